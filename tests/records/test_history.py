"""Each load can be taken back: the tables are then as they were, down to the place each row came from."""

import duckdb
import pytest

from maintkit.records.errors import StoreError
from maintkit.records.history import list_loads, undo_last_load
from maintkit.records.keeping import undo_name
from maintkit.records.store import load_into, open_records
from maintkit.records.tables import TABLE, TABLES
from maintkit.records.unmended import open_turned_away

HEAD = "ticket,raised_on,desk,symptom\n"
FIRST = HEAD + "T1,2020-01-01,Heron,hum\nT2,2020-01-02,Heron,hum\nbad,2020-13-01,Heron,\n"
SECOND = HEAD + "T0,2019-01-01,Heron,new\nT2,2020-01-02,Heron,crackle\nT1,2020-01-01,Heron,hum\n"


def contents(store):
    """Every record row with where it came from, and what is open to mend."""
    records = open_records(store)
    tables = {
        table.name: records.connection.execute(f'select * from "{table.name}" order by all').fetchall()
        for table in TABLES
    }
    tables["turned away"] = open_turned_away(records.connection)
    records.close()
    return tables


@pytest.fixture
def twice(book, tmp_path):
    """A store loaded twice, and what it held after the first load."""
    store = tmp_path / "records.duckdb"
    load_into(store, book(tickets=FIRST))
    before = contents(store)
    load_into(
        store, book(tickets=SECOND, repairs="repair,done_on,serial,action\nR1,2020-01-02,LMO-001,adjust\n")
    )
    return store, before


def test_the_last_load_is_taken_back_whole(twice):
    store, before = twice
    after = contents(store)
    assert [row[:4] for row in after["tickets"]] != [row[:4] for row in before["tickets"]]
    done = undo_last_load(store)
    assert contents(store) == before
    assert str(done).startswith("Load 2 of ")
    assert str(done).endswith(
        "is undone: 3 rows it brought are out, 3 are as they were before. 1 load stands. Load the source again to have it back."
    )


def test_loads_are_listed_with_what_they_did_also_when_undone(twice):
    store, _ = twice
    undo_last_load(store)
    lines = str(list_loads(store)).splitlines()
    assert lines[0] == "Loads of records.duckdb, of which 1 of 2 stand:"
    assert "5 in = 4 kept + 1 turned away; 4 new, 0 changed" in lines[1]
    assert "5 in = 5 kept + 0 turned away; 1 new, 2 changed; undone 2" in lines[2]
    assert lines[3] == "Add --undo to take back the last that stands."


def test_load_after_load_is_taken_back_until_none_stands(twice):
    store, _ = twice
    undo_last_load(store)
    undo_last_load(store)
    assert all(rows == [] for rows in contents(store).values())
    with pytest.raises(StoreError) as caught:
        undo_last_load(store)
    assert str(caught.value) == "No load of records.duckdb stands, so there is nothing to undo."


def test_an_undone_load_can_be_loaded_again_under_a_new_number(twice, book):
    store, _ = twice
    wanted = contents(store)["tickets"]
    undo_last_load(store)
    assert load_into(store, book(tickets=SECOND)).load == 3
    assert [row[:4] for row in contents(store)["tickets"]] == [row[:4] for row in wanted]


def test_the_same_file_again_leaves_nothing_to_undo_but_itself(book, tmp_path):
    store = tmp_path / "records.duckdb"
    load_into(store, book())
    before = contents(store)
    load_into(store, book())
    assert undo_last_load(store).put_back == 0
    assert contents(store) == before


def test_a_load_without_copies_is_not_undone(twice):
    store, _ = twice
    after = contents(store)
    connection = duckdb.connect(str(store))
    connection.execute(f"delete from {undo_name(TABLE['tickets'])}")
    connection.close()
    with pytest.raises(StoreError) as caught:
        undo_last_load(store)
    assert str(caught.value) == (
        "Load 2 of records.duckdb changed 2 rows and was made by a version of this program that kept no copy of them, so "
        "it cannot be undone. Take the file from a backup made before that load."
    )
    assert contents(store) == after


def test_a_store_that_is_not_there_is_not_made(tmp_path):
    for deed in (list_loads, undo_last_load):
        with pytest.raises(StoreError, match="There is no store"):
            deed(tmp_path / "none.duckdb")
    assert list(tmp_path.iterdir()) == []
