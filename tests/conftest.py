"""Small facilities written out in the tests, and nothing else."""

import duckdb
import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.records.keeping import create_tables
from maintkit.records.store import Records
from maintkit.records.tables import TABLE

DESKS = [
    {"desk": "Heron", "family": "longshore", "coupling": "capacitor", "records_from": "2024-01-01"},
    {"desk": "Curlew", "family": "saltmarsh", "coupling": "dc", "records_from": "2024-01-01"},
]
TICKETS = [
    {
        "ticket": "T1",
        "raised_on": "2024-05-02",
        "desk": "Heron",
        "position": "1",
        "symptom": "crackle",
        "minutes_lost": 10,
        "outcome": "fault found",
        "closed_on": "2024-05-03",
    },
    {
        "ticket": "T2",
        "raised_on": "2024-08-02",
        "desk": "Curlew",
        "position": "2",
        "symptom": "hum",
        "minutes_lost": 30,
        "outcome": "fault found",
        "closed_on": "2024-08-05",
    },
]
REPAIRS = [
    {
        "repair": "R1",
        "done_on": "2024-05-03",
        "desk": "Heron",
        "position": "1",
        "ticket": "T1",
        "action": "clean",
        "cause": "confirmed",
        "planned": "no",
    },
    {
        "repair": "R2",
        "done_on": "2024-08-05",
        "desk": "Curlew",
        "position": "2",
        "ticket": "T2",
        "action": "re-solder",
        "cause": "suspected",
        "planned": "no",
    },
]


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


@pytest.fixture
def opened(facility):
    """The function that opens a small record book at a quarter."""

    def open_at(label="2024Q3", **tables):
        return Quarter(Records(facility(**tables), "small"), label)

    return open_at


@pytest.fixture
def least():
    """The least a record book can hold."""
    return {"desks": DESKS, "tickets": TICKETS, "repairs": REPAIRS}
