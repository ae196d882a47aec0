"""What was wrong in any load stays listed until it is mended or accepted, with a reason that is kept."""

import re

import pytest

from maintkit.records.errors import StoreError
from maintkit.records.history import undo_last_load
from maintkit.records.opening import open_store
from maintkit.records.problems import AWAY, CONTRADICTION, NOT_UNDERSTOOD, find_problems
from maintkit.records.store import load_into, open_records
from maintkit.records.understood import drafted_tables, what_was_not_understood
from maintkit.records.unmended import accept, open_cells, open_turned_away

HEAD = "ticket,raised_on,desk,minutes_lost,closed_on\n"


@pytest.fixture
def after(book, tmp_path):
    """The store after loads of these rows of tickets, each from a file of the same name, as an export makes them."""

    def run(*loads):
        store = tmp_path / "records.duckdb"
        for number, rows in enumerate(loads):
            lines = "".join(f"{row}\n" for row in rows)
            load_into(store, book(f"load {number}", repairs=None, tickets=HEAD + lines))
        return store

    return run


def still_open(store):
    records = open_records(store)
    try:
        rows, cells = open_turned_away(records.connection), open_cells(records.connection)
        return [one.key for one in rows], [(one.key, one.found) for one in cells]
    finally:
        records.close()


BAD = ("T1,2020-01-01,Heron,5,", "T2,2020-02-31,Heron,,", "T3,2020-03-01,Heron,berta,")


def test_a_later_file_of_other_rows_mends_nothing(after):
    store = after(BAD, ["T9,2020-06-01,Heron,,"])
    assert still_open(store) == (["T2"], [("T3", "berta")])


def test_a_row_loaded_later_is_mended_and_so_is_a_cell(after):
    store = after(BAD, ["T2,2020-02-28,Heron,,", "T3,2020-03-01,Heron,15,"])
    assert still_open(store) == ([], [])
    undo_last_load(store)
    assert still_open(store) == (["T2"], [("T3", "berta")])


def test_a_file_loaded_again_with_its_faults_lists_them_once(after):
    assert still_open(after(BAD, BAD)) == (["T2"], [("T3", "berta")])


def test_a_row_taken_out_of_its_file_is_no_longer_wrong(after):
    assert still_open(after(BAD, [BAD[0], BAD[2]])) == ([], [("T3", "berta")])


def test_accepted_problems_are_listed_no_more_and_their_reason_is_kept(after):
    store = after([*BAD, "T4,2020-04-02,Heron,,2020-04-01"])
    connection = open_store(store, read_only=False)
    problems = {one.kind: one for one in find_problems(connection)}
    assert {AWAY, NOT_UNDERSTOOD, CONTRADICTION} <= set(problems)
    with pytest.raises(StoreError, match="accepted with a reason"):
        accept(connection, problems[AWAY], " ")
    for kind in (AWAY, NOT_UNDERSTOOD, CONTRADICTION):
        assert accept(connection, problems[kind], f"{kind}: the page is lost").rows == 1
    assert {one.kind for one in find_problems(connection)} & {AWAY, NOT_UNDERSTOOD, CONTRADICTION} == set()
    assert connection.execute("select column_name, found, reason from accepted order by all").fetchall() == [
        (
            "A ticket closed or restored before it was raised",
            "T4 was raised on 2020-04-02 and closed on 2020-04-01",
            "contradiction: the page is lost",
        ),
        ("minutes_lost", "berta", "not understood: the page is lost"),
        ("raised_on", "2020-02-31", "turned away: the page is lost"),
    ]
    connection.close()


def test_what_was_not_understood_is_counted_by_table_and_column(book, load):
    rows = [f"T{at},2020-01-01,Heron,{'x' if at < 3 else '5' if at < 10 else ''}," for at in range(20)]
    _, records = load(book(tickets=HEAD + "\n".join([*rows, "T20,,Heron,,", "T1,2020-01-01,Heron,x,", ""])))
    found = [
        (one.table, one.column, one.read, one.lost, one.comes_first)
        for one in what_was_not_understood(records)
    ]
    # 1 of 22 rows has no date (4.5 %), the repeated one was understood; 3 of the 10 minutes written are no number
    assert found == [("tickets", "", 22, 1, False), ("tickets", "minutes_lost", 10, 3, True)]


def test_drafted_tables_are_those_of_the_load_that_stands(book, load):
    assert drafted_tables(load(book(repairs=None))[1]) == {}
    assert drafted_tables(load(book("other", desks=None, repairs=None))[1]) == {"desks": 1}


def rows_named(line):
    """How many rows of the tickets a line of the account names, as in ``rows 3 to 5 and 7``."""
    named = re.match(r"  tickets\.csv, rows? ([\d ,and to]+), column", line)
    spans = re.findall(r"(\d+)(?: to (\d+))?", named[1]) if named else []
    return sum(int(last or first) - int(first) + 1 for first, last in spans)


def test_the_account_of_a_store_is_whole_over_all_its_loads(after):
    many = [f"X{at},2020-02-31,Heron,," for at in range(25)]
    records = open_records(after(BAD, many))
    lines = records.account().splitlines()
    records.close()
    assert [line.split(", of")[0].split(" on ")[0] for line in lines if line.startswith("Load")] == [
        "Load 1",
        "Load 2",
    ]
    assert "rows read = kept + turned away: 4 = 3 + 1" in lines  # a desk and two tickets; T2 has no such day
    # the desk has 4 cells; the tickets kept have 5 each, of which T1 leaves 1 blank and T3 leaves 1, and one is berta
    assert "cells read = kept + left blank + not understood: 14 = 11 + 2 + 1" in lines
    assert sum(map(rows_named, lines)) == 1 + 25 + 1


def test_rows_of_which_the_same_is_to_be_said_stand_in_one_line_of_the_account(tmp_path):
    (tmp_path / "desks.csv").write_text("desk\nHeron\n")
    days = ["2025-01-13", "", "", "", "2025-02-03", "", "31.02.25"]
    rows = "".join(f"T{at},{day},Heron\n" for at, day in enumerate(days, start=1))
    (tmp_path / "tickets.csv").write_text(f"ticket,raised_on,desk\n{rows}")
    records = open_records(tmp_path)
    lines = [line.strip() for line in records.account().splitlines() if "column raised_on" in line]
    records.close()
    assert lines == [
        "tickets.csv, rows 3 to 5 and 7, column raised_on: found nothing. The cell must be filled in. "
        "Fill it in (day it was reported, with or without the time) and load the file again; the other rows are in.",
        "tickets.csv, row 8, column raised_on: found '31.02.25'. A date must exist and read YYYY-MM-DD. "
        "Correct the cell and load the file again; the other rows are in.",
    ]
