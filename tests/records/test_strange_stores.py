"""Stores from a stranger: what is in them is read as tables or not at all, and nothing is fetched or loaded."""

import sqlite3

import duckdb
import pytest

from maintkit.records.errors import StoreError
from maintkit.records.history import list_loads, undo_last_load
from maintkit.records.opening import connect
from maintkit.records.store import load_into, open_records


@pytest.fixture
def store(book, tmp_path):
    path = tmp_path / "records.duckdb"
    load_into(path, book())
    return path


def refused(store, book):
    """The one sentence with which every deed refuses the store, which stays as it is."""
    left, said = store.read_bytes(), set()
    for deed in (open_records, list_loads, undo_last_load, lambda path: load_into(path, book())):
        with pytest.raises(StoreError) as caught:
            deed(store)
        said.add(str(caught.value))
    assert store.read_bytes() == left
    [one] = said
    return one


CHANGED = (
    "A store that this program made holds tables alone, so this one was changed by another and is not read. "
    "Take it from a copy, or load the source files into a new store."
)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            "alter table tickets rename to real; create view tickets as select real.* from real, read_text('{secret}')",
            "records.duckdb holds a view, 'tickets'. ",
        ),
        ("create macro trim(text, marks) as 'gone'", "records.duckdb holds a macro, 'trim'. "),
        (
            "create type colour as enum ('red')",
            "records.duckdb holds a type of its own, 'colour'. ",
        ),
        (
            "drop table undone; create table undone (load bigint, undone_at timestamp, rows_in bigint, kept bigint, "
            "turned_away bigint, new bigint, changed bigint generated always as (new + 1))",
            "records.duckdb holds a generated column, 'undone'. ",
        ),
    ],
)
def test_a_store_with_more_than_tables_is_not_read(store, book, tmp_path, change, said):
    (tmp_path / "secret.txt").write_text("secret")
    with duckdb.connect(str(store)) as connection:
        connection.execute(change.format(secret=tmp_path / "secret.txt"))
    assert refused(store, book) == said + CHANGED


@pytest.mark.parametrize(
    ("change", "table"),
    [
        ("drop table tickets", "tickets"),
        ("alter table tickets drop column symptom", "tickets"),
        ("alter table repairs alter column done_on type varchar", "repairs"),
        ("alter table undo_desks add column more bigint", "undo_desks"),
        ("drop table load_files", "load_files"),
    ],
)
def test_a_store_without_a_table_as_it_must_be_is_said_and_left_as_it_is(store, book, change, table):
    with duckdb.connect(str(store)) as connection:
        connection.execute(change)
    assert refused(store, book) == (
        f"records.duckdb has not the table {table!r} of this version, with all its columns. Nothing in it was changed. Take it from a "
        "copy, or load the source files into a new store."
    )


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ("update store set schema_version = null", "its schema version is None"),
        (
            "drop table store; create table store as select 'one' as schema_version",
            "its schema version is 'one'",
        ),
        ("delete from store", "its schema version is None"),
    ],
)
def test_a_store_without_a_version_is_said_to_be_damaged(store, book, change, why):
    with duckdb.connect(str(store)) as connection:
        connection.execute(change)
    assert refused(store, book) == (
        f"records.duckdb is damaged ({why}). Nothing in it was changed. Take it from a copy, or load the source files into a new store."
    )


def test_another_kind_of_database_is_no_store_and_nothing_is_fetched_to_read_it(tmp_path):
    path = tmp_path / "records.duckdb"
    other = sqlite3.connect(path)
    other.execute("create table tickets (ticket text)")
    other.commit()
    other.close()
    with pytest.raises(StoreError) as caught:
        open_records(path)
    assert (
        str(caught.value)
        == "records.duckdb is no DuckDB store. Name another file, or take this one from a copy."
    )


@pytest.mark.parametrize("kind", ["in memory", "store read", "store written"])
def test_duckdb_is_shut_off_from_files_extensions_and_the_names_of_python(store, book, kind, tmp_path):
    connection = {
        "in memory": lambda: open_records(book()).connection,
        "store read": lambda: open_records(store).connection,
        "store written": lambda: connect(store),
    }[kind]()
    secret = [1, 2, 3]
    assert secret
    for statement in (
        "select * from read_text('/etc/hostname')",
        "copy (select 1) to '/var/out.csv'",
        "attach '/var/other.duckdb' as other",
        "attach 'md:' as other",
        "install httpfs",
        "load httpfs",
        "install h3 from community",
        "select * from 'https://localhost/x.parquet'",
        "select * from secret",
        "set enable_external_access = true",
        "set allow_community_extensions = true",
        "set allowed_directories = ['/']",
    ):
        with pytest.raises(duckdb.Error):
            connection.execute(statement)
    off = connection.execute(
        "select name, value from duckdb_settings() where name in ('autoinstall_known_extensions', "
        "'autoload_known_extensions', 'enable_external_access') order by name"
    ).fetchall()
    assert {value for _, value in off} == {"false"} and len(off) == 3
    connection.close()
