"""Small facilities written out in the tests, and nothing else."""

import duckdb
import pytest

from maintkit.records.keeping import create_tables
from maintkit.records.tables import TABLE


def small_facility(**tables):
    """An in-memory record book holding the given rows: ``small_facility(desks=[{...}], tickets=[{...}])``.

    Values may be ISO dates as text. A column left out takes its documented default.
    """
    connection = duckdb.connect()
    create_tables(connection)
    for name, rows in tables.items():
        defaults = {column.name: column.default for column in TABLE[name].columns}
        for number, row in enumerate(rows, start=2):
            unknown = set(row) - set(defaults)
            assert not unknown, f"{name} has no column {unknown}"
            full = {**defaults, **row, "source_file": f"{name}.csv", "source_row": number, "load": 1}
            columns = ", ".join(f'"{column}"' for column in full)
            connection.execute(
                f'insert into "{name}" ({columns}) values ({", ".join("?" * len(full))})', list(full.values())
            )
    return connection


@pytest.fixture
def facility():
    """The function that makes a small facility."""
    return small_facility
