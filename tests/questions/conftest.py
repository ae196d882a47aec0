"""Record books small enough to reckon by hand, opened at a quarter."""

import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.records.store import Records

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
