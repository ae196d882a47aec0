"""Books that name desk, slot or part within a sentence, and two tables side by side on a sheet; every row by hand."""

import duckdb
import pytest
from openpyxl import Workbook

from maintkit.records.headings import draft_mapping, write_draft
from maintkit.records.intake import load_records
from maintkit.records.store import open_records

COMPLAINTS = """\
Date,Niggle
3 Mar 2025,Big Room ch 7 crackly
11 Mar 2025,Heron Ch. 12 no signal
2 Apr 2025,Heron group 2 hums
19 Apr 2025,Big Room ch 17 crackly again
8 May 2025,Heron master meter stuck
"""
WORK = """\
Date,Desk,Ch,Problem,What we did
3/2/2025,Heron,7,crackly,pot cleaned
14/2/2025,Heron,7,no signal,changed relay 24V
20/2/2025,Heron,8,hums,new cap 100u 25V fitted
28/2/2025,Heron,9,distorts,resoldered
"""


def rows(folder, name, text, query):
    (folder / name).write_text(text, encoding="utf-8")
    write_draft(folder, folder / "mapping.toml")
    return open_records(folder).connection.execute(query).fetchall()


def test_desk_and_slot_are_taken_from_the_complaint_and_the_complaint_stays_whole(tmp_path):
    found = rows(
        tmp_path, "niggles.csv", COMPLAINTS, "select desk, position, symptom from tickets order by raised_on"
    )
    assert found == [
        ("Big Room", "ch 7", "Big Room ch 7 crackly"),
        ("Heron", "ch 12", "Heron Ch. 12 no signal"),
        ("Heron", "group 2", "Heron group 2 hums"),
        ("Big Room", "ch 17", "Big Room ch 17 crackly again"),
        ("Heron", None, "Heron master meter stuck"),
    ]


def test_the_part_is_taken_from_the_words_of_the_work(tmp_path):
    found = rows(tmp_path, "log.csv", WORK, "select action, part_type from repairs order by done_on")
    assert found == [
        ("clean", "pot"),
        ("replace", "relay 24V"),
        ("replace", "cap 100u 25V"),
        ("re-solder", None),
    ]


def test_two_tables_side_by_side_are_each_read_by_itself(tmp_path):
    book = Workbook()
    for row in [
        ["Date", "Desk", "Chan", "What", "Mins", None, "Part", "Qty", "Counted"],
        ["2025-01-09", "Plover", 4, "crackle", 5, None, "Relay 24V", 6, "2025-01-02"],
        ["2025-01-22", "Plover", 9, "dead", 25, None, "Pot 10k log", 11, "2025-01-02"],
        ["2025-02-06", "Dunlin", 2, "hum", None, None, "Opamp dual", 30, "2025-01-02"],
        ["2025-03-13", "Dunlin", 7, "low level", 10, None, None, None, None],
    ]:
        book.active.append(row)
    path = tmp_path / "Faults and spares.xlsx"
    book.save(path)
    write_draft(path, tmp_path / "mapping.toml")
    records = open_records(path)
    count = records.connection.execute(
        "select (select count(*) from tickets), (select count(*) from stock), (select sum(on_hand) from stock)"
    ).fetchone()
    assert count == (4, 3, 47)
    assert records.report.turned_away == ()


@pytest.mark.parametrize("gap", [[None], []])
def test_an_empty_column_within_one_table_parts_nothing(tmp_path, gap):
    book = Workbook()
    for row in [
        ["Date", "Desk", *gap, "Chan", "What"],
        ["2025-01-09", "Plover", *gap, 4, "crackle"],
        ["2025-01-22", "Plover", *gap, 9, "dead"],
        ["2025-02-06", "Dunlin", *gap, 2, "hum"],
    ]:
        book.active.append(row)
    path = tmp_path / "faults.xlsx"
    book.save(path)
    assert set(write_draft(path, None).draft.placed["Sheet"]) == {"Date", "Desk", "Chan", "What"}


BENCH = """\
Job,Received,Serial,Complaint,Work done,Part,Returned
5501,2025-01-06,B20714,scratchy,cleaned,,2025-01-08
5502,2025-01-14,B20731,dead,replaced,cap 47u 35V,2025-01-17
5503,2025-02-03,B20714,scratchy,replaced,pot 5k,2025-02-05
5504,2025-02-19,B20790,hum,re-soldered,,2025-02-20
"""


def test_where_no_column_names_slots_each_module_stands_for_one(tmp_path):
    found = rows(tmp_path, "bench.csv", BENCH, "select position, count(*) from tickets group by 1 order by 1")
    assert found == [("B20714", 2), ("B20731", 1), ("B20790", 1)]


VISITS = """service date,desk,findings,work,hrs
2025-01-18,Wharf,"ch 4 crackly fader, ch 11 no aux 2",both cleaned,2.5
2025-02-01,Wharf,ch 23 distorted,IC replaced,1
2025-03-15,Quay,ch 7 intermittent,reseated,0.25
2025-04-12,Wharf,all dusty,cleaned as routine,3
2025-04-26,Wharf,ch 30 no phantom,-,
2025-05-10,Quay,ch 9 noisy EQ,pots cleaned,0.5
"""


def test_work_without_a_column_of_slots_has_those_that_its_findings_name(tmp_path):
    (tmp_path / "visits.csv").write_text(VISITS, encoding="utf-8")
    drafted = draft_mapping(tmp_path).text
    assert "More than one stands in 1 of 6 cells" in drafted
    (tmp_path / "mapping.toml").write_text(drafted, encoding="utf-8")
    with duckdb.connect() as connection:
        load_records(connection, tmp_path)
        places = connection.execute("select position from repairs order by done_on").fetchall()
    assert [place for (place,) in places][:4] == ["ch 4", "ch 23", "ch 7", "(whole desk)"]


def test_a_mark_for_nothing_where_the_work_should_stand_is_no_work(tmp_path):
    log = "Date,Desk,Ch,Fault,What we did\n3/2/2025,Wharf,4,crackly,pot cleaned\n14/2/2025,Wharf,3,hiss,-\n"
    log += "1/3/2025,Quay,7,no signal,IC replaced\n9/3/2025,Quay,9,hum,earth resoldered\n20/3/2025,Wharf,4,crackly again,new pot\n"
    (tmp_path / "log.csv").write_text(log, encoding="utf-8")
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    with duckdb.connect() as connection:
        load_records(connection, tmp_path)
        work = connection.execute("select position, action from repairs order by done_on").fetchall()
    assert work == [("4", "clean"), ("7", "replace"), ("9", "re-solder"), ("4", "replace")]
