"""Every kind of problem is one entry with its rows; rows set aside are only not seen."""

import duckdb
import pytest

from maintkit.records.problems import AWAY, BLANK, CONTRADICTION, find_problems
from maintkit.records.store import load_into, open_records
from maintkit.records.without_rows import rows_set_aside

DESK = [{"desk": "Heron", "family": "l", "coupling": "dc", "records_from": "2020-01-01"}]


def test_a_sound_book_has_no_problem(book, load):
    _, records = load(
        book(
            repairs="repair,done_on,serial,action,ticket,cause,part_type\nR1,2020-01-02,A,replace,T1,confirmed,c\n",
            tickets="ticket,raised_on,desk,position,outcome\nT1,2020-01-01,Heron,1,fault found\n",
        )
    )
    assert find_problems(records) == []


def test_a_blank_outcome_is_a_problem_only_where_no_work_tells_what_was_found(book, load):
    tickets = "ticket,raised_on,desk,position\nT1,2020-01-01,Heron,1\nT2,2020-01-01,Heron,2\nT3,2020-01-01,Heron,3\n"
    repairs = (
        "repair,done_on,serial,desk,position,action,ticket,planned\nR1,2020-06-02,A,,,clean,T1,no\n"
        "R2,2020-01-09,,Heron,2,clean,,no\nR3,2020-03-09,,Heron,3,clean,,no\n"
    )
    _, records = load(book(tickets=tickets, repairs=repairs))
    found = [one for one in find_problems(records) if one.what.startswith("Tickets without an outcome")]
    assert [(one.rows, one.of, one.example) for one in found] == [
        (1, 3, "tickets.csv, row 4")
    ]  # R3 came too late


def test_work_without_a_serial_is_a_problem_only_where_modules_are_known_by_their_serials(book, load):
    repairs = "repair,done_on,desk,position,action\nR1,2020-01-02,Heron,1,clean\n"
    without = "Work without a serial"
    _, slots_alone = load(book(repairs=repairs))
    _, with_modules = load(book("other", repairs=repairs, modules="serial\nA\n"))
    assert without not in {one.what for one in find_problems(slots_alone)}
    assert without in {one.what for one in find_problems(with_modules)}


def test_rows_turned_away_are_gathered_by_table_column_and_rule(book, load):
    rows = [
        "T1,2020-01-01,Heron,1,open",
        "T2,2020-13-01,Heron,1,open",
        "T3,,Heron,1,open",
        "T4,2020-02-31,Heron,1,open",
        "T1,2020-01-05,Heron,1,open",
        "T1,2020-01-06,Heron,1,open",
    ]
    _, records = load(book(tickets="\n".join(["ticket,raised_on,desk,position,outcome", *rows, ""])))
    found = {(one.what, one.rows, one.of, one.example) for one in find_problems(records) if one.kind == AWAY}
    assert found == {
        (
            "tickets, raised_on: A date must exist and read YYYY-MM-DD.",
            2,
            6,
            "tickets.csv, row 3: found '2020-13-01'",
        ),
        ("tickets, raised_on: The cell must be filled in.", 1, 6, "tickets.csv, row 4: found nothing"),
        ("tickets, ticket: It is in the records already.", 2, 6, "tickets.csv, row 6: found 'T1'"),
    }


def test_only_the_latest_load_of_a_file_counts_as_turned_away(book, tmp_path):
    store = tmp_path / "records.duckdb"
    load_into(store, book(tickets="ticket,raised_on,desk\nT1,2020-13-01,Heron\n"))
    load_into(store, book())
    records = open_records(store)
    assert [one for one in find_problems(records.connection) if one.kind == AWAY] == []
    records.close()


def test_contradictions_and_blanks_name_their_rows(book, load):
    _, records = load(
        book(
            tickets="ticket,raised_on,closed_on,desk,position,outcome\nT1,2020-01-05,2020-01-02,Heron,1,open\nT2,2020-02-05,,Heron,,open\n",
            repairs="repair,done_on,serial,action,ticket,cause\nR1,2020-01-06,A,replace,T1,unknown\nR2,2020-03-01,A,clean,,unknown\n",
        )
    )
    found = {one.what: one for one in find_problems(records)}
    assert {what: (one.kind, one.table, one.rows, one.of) for what, one in found.items()} == {
        "A ticket closed or restored before it was raised": (CONTRADICTION, "tickets", 1, 2),
        "Parts replaced on a fault whose cause is said to be unknown": (BLANK, "repairs", 1, 1),
        "Parts replaced without a part type": (BLANK, "repairs", 1, 1),
        "Unplanned work without a ticket": (BLANK, "repairs", 1, 2),
        "Tickets without a slot": (BLANK, "tickets", 1, 2),
    }
    for one, row in (
        (found["A ticket closed or restored before it was raised"], ("tickets.csv", 2)),
        (found["Unplanned work without a ticket"], ("repairs.csv", 3)),
    ):
        assert records.execute(f"select source_file, source_row from ({one.query})").fetchall() == [row]


@pytest.mark.parametrize("source", ["memory", "store"])
def test_rows_set_aside_are_not_seen_and_then_seen_again(book, load, tmp_path, source):
    folder = book(tickets="ticket,raised_on,desk\nT1,2020-01-01,Heron\nT2,2020-01-02,Heron\n")
    if source == "memory":
        _, connection = load(folder)
    else:
        load_into(tmp_path / 'odd "name".duckdb', folder)
        connection = open_records(tmp_path / 'odd "name".duckdb').connection
    query = "select source_file, source_row, 1 as more from tickets where ticket = 'T2' union all select 'no such', 2, 3"
    with rows_set_aside(connection, query) as without:
        assert without == {"tickets": 1}
        assert connection.execute("select ticket from tickets").fetchall() == [("T1",)]
        assert connection.execute("select count(*) from repairs").fetchall() == [(1,)]
    assert connection.execute("select ticket from tickets order by ticket").fetchall() == [("T1",), ("T2",)]
    connection.close()


def test_rows_are_seen_again_after_an_error_within(facility):
    connection = facility(desks=DESK, tickets=[{"ticket": "T1", "raised_on": "2020-02-01", "desk": "Heron"}])
    with (
        pytest.raises(duckdb.Error),
        rows_set_aside(connection, "select source_file, source_row from tickets"),
    ):
        connection.execute("select no_such_column from tickets")
    assert connection.execute("select count(*) from tickets").fetchall() == [(1,)]
    assert connection.execute("select count(*) from duckdb_tables() where temporary").fetchall() == [(0,)]
