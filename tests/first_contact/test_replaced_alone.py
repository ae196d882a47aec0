"""A fault list whose only word of the work is a column of what was replaced: what it drafts, and what loading makes of each row."""

import duckdb
import pytest

from maintkit.records.headings import draft_mapping
from maintkit.records.headings.command import write_draft
from maintkit.records.intake import load_records

REPORTS = (
    "2024-02-03,4,hums",
    "2024-02-11,12,crackles on gain",
    "2024-02-27,7,dead",
    "2024-03-14,4,thin sound",
    "2024-04-02,3,hiss on solo",
    "2024-04-19,15,mute sticks",
)
# what stands under the heading, row by row; the column it is; and the rows that are work, all of them replacements
COLUMNS = {
    "part replaced": (("47u 35V", "none", "relay 24V", "100u 25V", "opamp", ""), "part_type", (1, 3, 4, 5)),
    "replaced": (("NE5532", "", "TL074", "NE5532", "nothing", "no"), "part_type", (1, 3, 4)),
    "ersetzt": (("C12", "", "K1", "C14", "IC3", ""), "ref", (1, 3, 4, 5)),
    "getauscht": (("ja", "nein", "ja", "j", "n", ""), "action", (1, 3, 4)),
    "changed": (("x", "", "x", "", "", "x"), "action", (1, 3, 6)),
}


def folder_of(tmp_path, heading, cells):
    rows = [f"{report},{cell}" for report, cell in zip(REPORTS, cells, strict=True)]
    text = "\n".join([f"date,channel,complaint,{heading}", *rows, ""])
    (tmp_path / "faults.csv").write_text(text, encoding="utf-8")
    return tmp_path


def told(place, cell, asked):
    """What part the letter of a place on the board tells, where the place is what the column has."""
    return (
        {"C": "capacitor", "I": "ic", "R": "resistor", "S": "switch", "U": "ic"}.get(cell[:1])
        if (place, asked) == (2, 1)
        else None
    )


@pytest.mark.parametrize("heading", COLUMNS)
def test_what_stands_under_replaced_is_the_part_its_place_or_whether_there_was_one(tmp_path, heading):
    cells, column, work = COLUMNS[heading]
    folder = folder_of(tmp_path, heading, cells)
    draft = write_draft(folder, folder / "mapping.toml").draft
    assert draft.placed["faults.csv"][heading] == (f"repairs.{column}",)
    assert draft.asks == 0
    connection = duckdb.connect()
    report = load_records(connection, folder)
    assert not report.turned_away
    assert connection.execute("select count(*) from tickets").fetchone() == (6,)
    found = connection.execute(
        "select action, ref, part_type, source_row from repairs order by source_row"
    ).fetchall()
    asked = {"ref": 1, "part_type": 2}.get(column)
    assert found == [
        (
            "replace",
            *((cells[row - 1] if place == asked else told(place, cells[row - 1], asked)) for place in (1, 2)),
            row + 1,
        )
        for row in work
    ]
    [repairs] = [file for file in report.files if file.table == "repairs"]
    says_none = sum(cell in ("none", "nothing", "no", "nein", "n") for cell in cells)
    assert (repairs.rows_in, repairs.kept, repairs.left_out) == (len(work) + says_none, len(work), says_none)


def test_year_price_and_shelf_have_no_place_in_it_even_where_their_numbers_run(tmp_path):
    for more in (",2024,{},A{}", ",2024,{},{}"):
        cells = [
            f"{part}{more.format(at, at)}" for at, part in enumerate(COLUMNS["part replaced"][0], start=1)
        ]
        for names in ("year,price,shelf", "Jahr,Preis,Regal"):
            folder = folder_of(tmp_path, f"part replaced,{names}", cells)
            assert draft_mapping(folder).unplaced["faults.csv"] == tuple(names.split(","))
