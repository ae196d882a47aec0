"""A store keeps a record book in one file: made, opened read-only, refused with a sentence, whole after an error."""

import subprocess
import sys
from datetime import date

import duckdb
import pytest

from maintkit.records.contradictions import find_contradictions
from maintkit.records.errors import LayoutError, StoreError
from maintkit.records.keeping import columns_made, tables_of
from maintkit.records.store import Records, load_into, open_records
from maintkit.records.wording import sort_symptoms
from tests.conftest import in_memory


def test_a_folder_opens_in_memory_with_its_report(book):
    records = open_records(book())
    assert records.report.rows_in == 3
    assert records.last_day() == date(2020, 1, 2)
    records.close()


def test_a_record_book_has_its_own_tables_and_no_temporary_ones(facility):
    whole, empty = facility(), in_memory()
    empty.execute("create temp table desks (desk varchar)")
    assert tables_of(whole) == {*columns_made()} and tables_of(empty) == set()


def test_the_last_day_is_the_later_of_tickets_and_repairs(facility):
    desk = [{"desk": "Heron", "family": "l", "coupling": "dc", "records_from": "2014-10-01"}]
    ticket = [{"ticket": "T1", "raised_on": "2020-01-05", "desk": "Heron"}]
    repair = [{"repair": "R1", "done_on": "2020-01-02", "serial": "A", "action": "clean"}]
    assert Records(facility(desks=desk, tickets=ticket, repairs=repair), "x").last_day() == date(2020, 1, 5)
    assert Records(facility(desks=desk, repairs=repair), "x").last_day() == date(2020, 1, 2)
    assert Records(facility(desks=desk, tickets=ticket), "x").last_day() == date(2020, 1, 5)
    with pytest.raises(StoreError) as caught:
        Records(facility(desks=desk), "x").last_day()
    assert str(caught.value) == "x holds no ticket and no repair, so it has no last day. Load some records."


def test_where_every_row_was_turned_away_the_first_says_why(book):
    folder = book(tickets="ticket,raised_on,desk\nT1,32.1.2025,Heron\nT2,,Heron\n", repairs=None)
    with pytest.raises(
        StoreError, match="All 2 rows were turned away, such as tickets.csv, row 2, column raised_on"
    ):
        open_records(folder).last_day()


def test_a_store_is_made_and_opens_read_only(book, tmp_path):
    store = tmp_path / "records.duckdb"
    assert load_into(store, book()).load == 1
    records = open_records(store)
    assert records.report is None
    assert records.last_day() == date(2020, 1, 2)
    with pytest.raises(duckdb.Error, match="read-only"):
        records.connection.execute("delete from tickets")
    records.close()
    assert load_into(store, book()).load == 2


def test_a_read_only_store_can_be_searched_and_sorted(book, tmp_path):
    store = tmp_path / "records.duckdb"
    load_into(store, book(tickets="ticket,raised_on,desk,symptom\nT1,2010-01-01,Heron,hum\n"))
    records = open_records(store)
    assert [one.kind for one in find_contradictions(records.connection)] == [
        "A ticket older than its desk's complete records"
    ]
    assert sort_symptoms(records.connection).with_symptom == 1
    records.close()


def test_progress_is_shown_on_standard_error_only_when_asked_for(book, capsys):
    open_records(book()).close()
    assert capsys.readouterr() == ("", "")
    open_records(book(), progress=True).close()
    out, err = capsys.readouterr()
    assert out == ""
    assert "reading records" in err


def test_a_failed_load_leaves_the_store_as_it_was(book, tmp_path):
    store = tmp_path / "records.duckdb"
    load_into(store, book())
    with pytest.raises(LayoutError):
        load_into(store, book(repairs="repair,done\nR9,2026-01-01\n"))
    records = open_records(store)
    assert records.connection.execute("select count(*) from loads").fetchall() == [(1,)]
    assert records.connection.execute("select repair from repairs").fetchall() == [("R1",)]
    records.close()


def test_a_store_that_has_the_required_tables_takes_a_file_of_one_of_them(book, tmp_path):
    store = tmp_path / "records.duckdb"
    load_into(store, book())
    report = load_into(store, book(desks=None, tickets=None))
    assert sum(count.turned_away for count in report.files) == 0
    assert {count.table for count in report.files} == {"repairs"}


def test_a_failed_first_load_leaves_no_store_behind(book, tmp_path):
    store = tmp_path / "records.duckdb"
    with pytest.raises(LayoutError):
        load_into(store, book(repairs="repair,done\nR9,2026-01-01\n"))
    assert not store.exists()


def refusal(path):
    with pytest.raises(StoreError) as caught:
        open_records(path)
    return str(caught.value)


def test_a_store_that_is_not_there(tmp_path):
    path = tmp_path / "records.duckdb"
    assert (
        refusal(path) == f"There is no store '{path}'. Check the path, or make it by loading records into it."
    )


def test_a_file_that_is_no_store(tmp_path):
    path = tmp_path / "records.duckdb"
    path.write_text("ticket,raised_on,desk\n" * 500)
    assert (
        refusal(path) == "records.duckdb is no DuckDB store. Name another file, or take this one from a copy."
    )


def test_a_duckdb_file_of_something_else(tmp_path):
    path = tmp_path / "records.duckdb"
    duckdb.connect(str(path)).execute("create table songs (title varchar)").close()
    assert refusal(path) == "records.duckdb is a DuckDB file, but not a store of records. Name another file."


@pytest.mark.parametrize(
    ("version", "message"),
    [
        (
            6,
            "records.duckdb has schema version 6, newer than version 5 that this program reads. Nothing in it was "
            "changed. Update this program.",
        ),
        (
            1,
            "records.duckdb has schema version 1, older than version 5 that this program reads. Nothing in it was "
            "changed. Load the source files into a new store. Where some rows are in this one alone, write them out first "
            "with the version of this program that made it (maintkit logbook book.xlsx --from this-store.duckdb) and load "
            "that workbook too.",
        ),
    ],
)
def test_a_store_of_another_version(book, tmp_path, version, message):
    path = tmp_path / "records.duckdb"
    load_into(path, book())
    connection = duckdb.connect(str(path))
    connection.execute("update store set schema_version = $version", {"version": version})
    connection.close()
    assert refusal(path) == message
    with pytest.raises(StoreError) as caught:
        load_into(path, book())
    assert str(caught.value) == message


def test_a_store_in_use_by_another_program(book, tmp_path):
    path = tmp_path / "records.duckdb"
    load_into(path, book())
    hold = "import duckdb, sys; c = duckdb.connect(sys.argv[1]); print('held', flush=True); sys.stdin.read()"
    holder = subprocess.Popen(
        [sys.executable, "-c", hold, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    try:
        assert holder.stdout.readline() == b"held\n"
        assert (
            refusal(path)
            == "records.duckdb is in use by another program. Close that program, then try again."
        )
    finally:
        holder.communicate()


def test_a_store_of_another_kind_cannot_be_loaded_into(book, tmp_path):
    path = tmp_path / "no such folder" / "records.duckdb"
    with pytest.raises(StoreError) as caught:
        load_into(path, book())
    assert str(caught.value).startswith("records.duckdb cannot be opened: ")
    assert str(caught.value).endswith(" Check the folder and its rights.")


def test_memory_is_limited_and_spills_outside_the_folder_of_the_records(book, tmp_path):
    load_into(tmp_path / "records.duckdb", book())
    for source in (book(), tmp_path / "records.duckdb"):
        records = open_records(source)
        limit, place = records.connection.execute(
            "select current_setting('memory_limit'), current_setting('temp_directory')"
        ).fetchall()[0]
        assert limit == "4.0 GiB"
        assert not place.startswith(str(tmp_path))
        records.close()
