"""A list of complaints and work in one row, whose words of work name the place on the board: replaced C41."""

import tomllib

import duckdb

from maintkit.records.headings import draft_mapping
from maintkit.records.intake import load_records

BOOK = """date,desk,slot,fault,what I did
6/1/26,Nora,Ch 7,crackles,cleaned fader
17/2/26,Tim,3,distorted,replaced C41 10u 63V
3/3/26,Nora,Ch 15,eq mid dead,replaced IC3
30/4/26,Nora,Ch 31,no 48 volts,checked P48 supply
12/5/26,Nora,Ch 7,dead,track lifted at c12 bridged
2/6/26,Tim,3,distorted again,replaced C41 again
"""


def write(folder, text=BOOK):
    (folder / "faults.csv").write_text(text, encoding="utf-8")
    mapping = draft_mapping(folder).text
    (folder / "mapping.toml").write_text(mapping, encoding="utf-8")
    return tomllib.loads(mapping)


def test_the_place_on_the_board_is_read_out_of_the_work_and_is_no_part_of_the_kind(tmp_path):
    repairs = write(tmp_path)["repairs"]
    assert repairs["lookup"]["ref"]["words"] == {"c#": "C#", "ic#": "IC#"}
    assert "10u 63v" in repairs["lookup"]["part_type"]["words"]
    connection = duckdb.connect()
    load_records(connection, tmp_path)
    found = connection.execute("select done_on::text, ref from repairs order by done_on").fetchall()
    assert [ref for _, ref in found] == [None, "C41", "IC3", None, "C12", "C41"]


def test_of_two_places_in_one_text_the_first_counts_and_the_draft_says_so(tmp_path):
    write(tmp_path, BOOK.replace("replaced C41 again", "replaced C41 and C43"))
    drafted = (tmp_path / "mapping.toml").read_text(encoding="utf-8")
    assert (
        '1 of 6 cells, such as "replaced C41 and C43": the first alone is the place that is kept.' in drafted
    )


COUNTED = """date,desk,slot,fault,what I did,parts,took
6/1/26,Nora,Ch 7,weak,recapped,6x 100uF 25V,½ h
17/2/26,Tim,3,distorted,opamp changed,1x NE5532,45 min
3/3/26,Nora,Ch 15,meters dark,lamps replaced,lamp x2,20 min
30/4/26,Nora,Ch 31,no 48 volts,resistor replaced,6k8,1½ h
12/5/26,Nora,Ch 7,dead,connector changed,2 × XLR,1 h
"""


def test_how_many_of_a_part_are_told_in_its_cell(tmp_path):
    write(tmp_path, COUNTED)
    connection = duckdb.connect()
    load_records(connection, tmp_path)
    rows = "select part_type, quantity, bench_minutes from repairs order by done_on"
    assert connection.execute(rows).fetchall() == [
        ("100uF 25V", 6, 30.0),
        ("NE5532", 1, 45.0),
        ("lamp", 2, 20.0),
        ("6k8", 1, 90.0),
        ("XLR", 2, 60.0),
    ]


def test_one_designator_alone_in_a_book_asks_nothing(tmp_path):
    assert "ref" not in write(tmp_path, "".join(BOOK.splitlines(True)[:3])).get("repairs", {}).get(
        "lookup", {}
    )
