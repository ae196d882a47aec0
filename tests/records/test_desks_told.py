"""The coupling style and hours of desks that mapping.toml tells, where no table of desks does."""

from contextlib import closing

import pytest

from maintkit import capacitor_or_dc, open_quarter
from maintkit.questions import keep_next
from maintkit.records.errors import MappingError
from maintkit.records.headings import draft_mapping
from maintkit.records.store import load_into, open_records

FAULTS = """Day,Desk,Slot,Fault,Done
{}"""
SAYS = """
[coupling]
capacitor = ["Heron"]
dc = ["curlew"]
[powered_hours_per_week]
"Curlew" = 60
"""
DESKS = "select desk, coupling, powered_hours_per_week from desks order by desk"


def book(folder, mapping="", desks=""):
    rows = [
        f"2024-{month:02d}-{day:02d},{desk},{day},hum {month},replaced 47u 25V"
        for desk, days in (("Heron", range(1, 13)), ("Curlew", range(1, 8)))
        for day in days
        for month in (2, 5, 8)
    ]
    (folder / "faults.csv").write_text(FAULTS.format("\n".join(rows)), encoding="utf-8")
    if desks:
        (folder / "desks.csv").write_text(desks, encoding="utf-8")
    (folder / "mapping.toml").unlink(missing_ok=True)
    drafted = draft_mapping(folder).text
    (folder / "mapping.toml").write_text(drafted + mapping, encoding="utf-8")
    return drafted


def test_a_draft_asks_which_desks_are_of_which_style_and_its_lines_hold_as_they_stand(tmp_path):
    drafted = book(tmp_path)
    lines = drafted[drafted.index("# [coupling]") :].replace("# ", "")
    (tmp_path / "mapping.toml").write_text(
        drafted + lines.replace('capacitor = ["..."]', 'capacitor = ["Heron"]').replace("...", "Curlew")
    )
    with closing(open_records(tmp_path)) as records:
        assert records.connection.sql(DESKS).fetchall() == [
            ("Curlew", "dc", 60.0),
            ("Heron", "capacitor", 168.0),
        ]


def test_the_styles_are_compared_and_without_them_it_is_said_what_would_let_it(tmp_path):
    book(tmp_path)
    untold = open_quarter(tmp_path, "2024Q3")
    found = capacitor_or_dc(untold)
    assert found.facts.verdict is None and found.facts.untold == ("Curlew", "Heron")
    assert "under [coupling]" in found.title
    book(tmp_path, SAYS)
    told = open_quarter(tmp_path, "2024Q3")
    assert capacitor_or_dc(told).facts.verdict is not None


def test_where_nothing_touches_more_the_style_of_the_desks_is_what_to_keep_next(tmp_path):
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,desk,position,symptom\nT1,2024-02-01,Heron,1,hum\nT2,2024-05-01,Curlew,2,hum\n"
    )
    assert keep_next.facts(open_quarter(tmp_path, "2024Q2")).gaps == (keep_next.Gap("coupling", 2, 2),)
    (tmp_path / "mapping.toml").write_text(SAYS)
    assert keep_next.facts(open_quarter(tmp_path, "2024Q2")).gaps == ()


def test_a_table_of_desks_has_the_last_word(tmp_path):
    book(tmp_path, SAYS, desks="desk,coupling,powered_hours_per_week\nHeron,dc,168\nCurlew,dc,\n")
    with closing(open_records(tmp_path)) as records:
        assert records.connection.sql(DESKS).fetchall() == [("Curlew", "dc", 168.0), ("Heron", "dc", 168.0)]


def test_what_was_told_stays_in_a_store_when_more_is_loaded_without_it(tmp_path):
    book(tmp_path, SAYS)
    store = tmp_path / "store.duckdb"
    load_into(store, tmp_path)
    more = tmp_path / "more"
    more.mkdir()
    (more / "repairs.csv").write_text("repair,done_on,desk,position,action\nX1,2024-09-01,Heron,3,clean\n")
    load_into(store, more)
    with closing(open_records(store)) as records:
        assert records.connection.sql(DESKS).fetchall() == [
            ("Curlew", "dc", 60.0),
            ("Heron", "capacitor", 168.0),
        ]


@pytest.mark.parametrize(
    ("mapping", "said"),
    [
        ('[coupling]\ncapacitor = ["Herron"]', "There are Curlew, Heron."),
        ('[coupling]\nvalve = ["Heron"]', "The coupling styles are capacitor and dc."),
        ('[coupling]\ncapacitor = ["Heron"]\ndc = ["Heron"]', "'Heron' stands twice"),
        ('[coupling]\ncapacitor = "Heron"', "lists of desks"),
        ('[powered_hours_per_week]\n"Heron" = 200', '"Heron" = 60'),
        ("powered_hours_per_week = 5", '"Curlew" = 60'),
    ],
)
def test_what_cannot_be_meant_is_refused_with_what_can(tmp_path, mapping, said):
    drafted = book(tmp_path)
    text = f"{mapping}\n{drafted}" if "= 5" in mapping else f"{drafted}\n{mapping}\n"
    (tmp_path / "mapping.toml").write_text(text)
    with pytest.raises(MappingError, match=said.replace("[", r"\[").replace(".", r"\.")):
        open_records(tmp_path)
