"""Cells that say in people's own words how bad a fault was."""

from tests.first_contact.as_drafted import drafted, rows

BAD = (
    "had to stop",
    "slowed us down",
    "can live with it",
    "just so you know",
    "grim",
    "grim",
    "5",
    "had to stop",
)
TOLD = "Date,Desk,Channel,Fault,How bad?\n" + "".join(
    f"{day}/3/2025,Heron,{day},no sound,{bad}\n" for day, bad in enumerate(BAD, 13)
)


def test_slowed_down_is_not_stopped_and_what_is_not_known_is_left_blank(tmp_path):
    (tmp_path / "list.csv").write_text(TOLD, encoding="utf-8")
    draft = drafted(tmp_path)
    assert '"slowed us down" = "worked round"' in draft and '"can live with it" = "nuisance"' in draft
    assert '# ? "grim" = ""' in draft and 'or "" to leave the cell blank' in draft
    (tmp_path / "mapping.toml").write_text(draft.replace("# ? ", ""), encoding="utf-8")
    impacts = "select impact, count(*) from tickets group by impact order by impact"
    found = [("nuisance", 2), ("stopped session", 2), ("worked round", 1), (None, 3)]
    assert rows(tmp_path, impacts) == found
