"""The drawings and manuals of the demo's desks, and where they lie; every name is invented."""


def document_rows() -> list[dict]:
    """The table of documents."""
    columns = ("document", "of", "kind", "where", "pages")
    return [dict(zip(columns, row, strict=True)) for row in PAPERS]


PAPERS = (
    ("LS-101 channel path circuit", "channel path", "circuit", "folder Longshore 1, control room", "4-9"),
    (
        "LS-102 channel path board, issue of 1986",
        "channel path",
        "board drawing",
        "folder Longshore 1, control room",
        "12",
    ),
    (
        "LS-103 channel path board, issue of 1989",
        "channel path",
        "board drawing",
        "folder Longshore 1, control room",
        "13",
    ),
    ("LS-201 monitor path circuit", "monitor path", "circuit", "folder Longshore 2, control room", "2-6"),
    ("LS-202 monitor path board", "monitor path", "board drawing", "folder Longshore 2, control room", "8-9"),
    (
        "LS-210 coupling capacitors by reference",
        "monitor path",
        "note",
        "pinned inside the bench cupboard",
        None,
    ),
    ("SM-301 channel circuit", "channel", "circuit", "scans/saltmarsh/channel.pdf", "1-7"),
    ("SM-302 channel board", "channel", "board drawing", "scans/saltmarsh/channel.pdf", "8-10"),
    (
        "SM-310 gain-control stage, how it is lined up",
        "channel",
        "note",
        "scans/saltmarsh/lining-up.pdf",
        "3",
    ),
    ("Longshore frame and supplies", "longshore", "manual", "shelf over the bench, grey binder", "20-34"),
    ("Saltmarsh frame and supplies", "saltmarsh", "manual", "shelf over the bench, green binder", "11-19"),
    ("Heron, bay by bay: what was changed", "Heron", "note", "exercise book in the bench drawer", None),
    ("Curlew, fuses and rails of each bay", "Curlew", "note", "inside the rear door of the desk", None),
)
