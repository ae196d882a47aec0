"""The tables of one evidence, kept in DuckDB under names of their own while anybody may ask for them."""

from __future__ import annotations

import itertools
import weakref
from weakref import WeakKeyDictionary

import duckdb

_numbers = itertools.count(1)
# by connection the tables whose evidence is gone; one is dropped only when nobody can be reading a result
_unwanted: WeakKeyDictionary[duckdb.DuckDBPyConnection, list[str]] = WeakKeyDictionary()


class Kept:
    """Temporary tables of a connection, taken over from the names they were made under.

    They are dropped when the next evidence is gathered after this one is gone, or with the connection.
    """

    def __init__(self, connection: duckdb.DuckDBPyConnection, tables: tuple[str, ...]):
        self.connection, self.tables = connection, tables
        self._names = {table: f"evidence_{next(_numbers)}_{table}" for table in tables}
        for table, name in self._names.items():
            connection.execute(f'alter table temp."{table}" rename to "{name}"')
        weakref.finalize(self, _unwanted.setdefault(connection, []).extend, list(self._names.values()))

    def name(self, table: str) -> str:
        """The table as a query must name it."""
        return f'temp."{self._names[table]}"'

    def execute(self, query: str, values: dict | None = None) -> duckdb.DuckDBPyConnection:
        """Run a query, with the values it names, on the connection that holds the tables."""
        return self.connection.execute(query, values)


def drop_unwanted(connection: duckdb.DuckDBPyConnection) -> None:
    """Drop the connection's tables of evidence that is gone."""
    unwanted = _unwanted.get(connection, [])
    while unwanted:
        connection.execute(f'drop table if exists temp."{unwanted.pop()}"')
