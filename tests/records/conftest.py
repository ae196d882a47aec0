"""A small record book written as files, one line of which a test replaces."""

from datetime import date

import pytest

from maintkit.records.intake import load_records
from tests.conftest import in_memory

DESKS = "desk,family,coupling,records_from\nHeron,longshore,capacitor,2014-10-01\n"
TICKETS = "ticket,raised_on,desk,symptom\nT1,2020-01-01,Heron,hum\n"
REPAIRS = "repair,done_on,serial,action\nR1,2020-01-02,LMO-001,clean\n"
TODAY = "2026-11-25"


@pytest.fixture
def book(tmp_path):
    """Writes a folder with the three required files; text replaces or adds a file, None leaves it out."""

    def write(folder="book", **files):
        place = tmp_path / folder
        place.mkdir(exist_ok=True)
        for name, text in {"desks": DESKS, "tickets": TICKETS, "repairs": REPAIRS, **files}.items():
            path = place / (f"{name}.csv" if name != "mapping" else "mapping.toml")
            if text is None:
                path.unlink(missing_ok=True)
            elif isinstance(text, bytes):
                path.write_bytes(text)
            else:
                path.write_text(text, encoding="utf-8", newline="")
        return place

    return write


@pytest.fixture
def load():
    """Loads a folder or workbook into a fresh in-memory book as on 2026-11-25; gives the report and the connection."""

    def run(source, connection=None):
        connection = connection or in_memory()
        return load_records(connection, source, today=date.fromisoformat(TODAY)), connection

    return run
