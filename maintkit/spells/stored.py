"""Evidence kept in the store it was gathered from, under a key that says of what: read again instead of gathered anew."""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING

from maintkit.records.keeping import tables_of
from maintkit.spells.evidence import Evidence

if TYPE_CHECKING:
    import duckdb

PREFIX = "ready_"  # of the tables, beside those of the records
WORDS = "symptom_words"
ASKED = ("record_end", "clock", "cause_rule", "return_days")  # of the evidence, kept as columns


class StoredTables:
    """The tables of evidence that lie in the store itself; read as those of :class:`Kept` are."""

    def __init__(self, connection: duckdb.DuckDBPyConnection):
        self.connection = connection

    def name(self, table: str) -> str:
        """The table as a query must name it."""
        return f'main."{PREFIX}{table}"'

    def execute(self, query: str, values: dict | None = None) -> duckdb.DuckDBPyConnection:
        """Run a query, with the values it names, on the connection that holds the tables."""
        return self.connection.execute(query, values)


def store_evidence(connection: duckdb.DuckDBPyConnection, evidence: Evidence, key: str) -> None:
    """Put the evidence, and the words its tickets were sorted by, into the store in place of any that lies there; all or nothing."""
    here = StoredTables(connection)
    named = {table: evidence.kept.name(table) for table in evidence.kept.tables} | {WORDS: f"temp.{WORDS}"}
    asked = [getattr(evidence, name) for name in ASKED]
    about = [key, *asked, json.dumps(evidence.tally), json.dumps(evidence.gaps)]
    connection.begin()
    try:
        for table, source in named.items():
            connection.execute(f"create or replace table {here.name(table)} as from {source}")
        connection.execute(
            f"create or replace table {here.name('about')} (key varchar, record_end date, clock varchar, cause_rule varchar, "
            "return_days bigint, tally varchar, gaps varchar)"
        )
        connection.execute(f"insert into {here.name('about')} values (?, ?, ?, ?, ?, ?, ?)", about)
        connection.commit()
    except BaseException:
        connection.rollback()
        raise


def stored_days(connection: duckdb.DuckDBPyConnection) -> date | None:
    """The last day of the evidence that lies in the store; None where none does."""
    there = f"{PREFIX}about" in tables_of(connection)
    about = StoredTables(connection).name("about")
    found = connection.execute(f"select record_end from {about}").fetchone() if there else None
    return found[0] if found else None


def stored_evidence(connection: duckdb.DuckDBPyConnection, key: str) -> Evidence | None:
    """The evidence that lies in the store under this key, its tickets' words sorted as then; None where it has another."""
    here = StoredTables(connection)
    found = connection.execute(f"select * from {here.name('about')}").fetchone()
    if found is None or found[0] != key:
        return None
    connection.execute(f"create or replace temp table {WORDS} as from {here.name(WORDS)}")
    _, *asked, tally, gaps = found
    return Evidence(here, json.loads(tally), tuple(json.loads(gaps)), **dict(zip(ASKED, asked, strict=True)))
