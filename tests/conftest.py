"""Small facilities written out in the tests; and the demo, opened and reviewed once for all that only look at it."""

import csv
import hashlib
import os
import shutil
import tempfile
import weakref
from functools import cache
from itertools import count

import duckdb
import pytest

from maintkit import load_into, open_quarter, quarterly_review, what_to_mend, write_review
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.ready import make_ready
from maintkit.records.keeping import create_tables
from maintkit.records.store import Records
from maintkit.records.tables import TABLE
from tests.demo.truth import DATA_DEMO
from tests.first_contact.thin.books import write

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


def pytest_configure(config):
    """Let the commands run here share what they compile, also where this process is to write no bytecode."""
    if os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
        place = tempfile.mkdtemp(prefix="maintkit-bytecode-")
        config.add_cleanup(lambda: shutil.rmtree(place, ignore_errors=True))
        os.environ["PYTHONPYCACHEPREFIX"] = place


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """Of two processes one makes the review of the demo, and both end at nearly the same time."""
    if config.getvalue("dist") == "loadfile":
        from tests.handed_out import ByFile

        return ByFile(config, log)


def pytest_collection_modifyitems(items):
    """What takes longest is begun first."""
    from tests.handed_out import turn

    items.sort(key=turn)


NAMES = (f"book {number}" for number in count())


@cache
def duckdb_of_all():
    """One DuckDB for the small books of all tests of a process: to start one takes longer than to fill such a book."""
    return duckdb.connect(config={"threads": 1})


def in_memory():
    """A connection to an empty database of its own in memory, which goes with the connection."""
    shared, name = duckdb_of_all(), next(NAMES)
    connection = shared.cursor()
    # Planned as for a folder of so few rows.
    connection.execute(f'attach \':memory:\' as "{name}"; use "{name}"; pragma disable_optimizer')
    weakref.finalize(connection, shared.execute, f'detach "{name}"').atexit = False
    return connection


def small_facility(**tables):
    """An in-memory record book holding the given rows: ``small_facility(desks=[{...}], tickets=[{...}])``.

    Values may be ISO dates as text. A column left out takes its documented default.
    """
    connection = in_memory()
    create_tables(connection)
    for name, rows in tables.items():
        defaults = {column.name: column.default for column in TABLE[name].columns}
        full = []
        for number, row in enumerate(rows, start=2):
            unknown = set(row) - set(defaults)
            assert not unknown, f"{name} has no column {unknown}"
            full.append({**defaults, **row, "source_file": f"{name}.csv", "source_row": number, "load": 1})
        # A statement of many rows takes little longer than a statement of one.
        for some in (full[at : at + 500] for at in range(0, len(full), 500)):
            columns = ", ".join(f'"{column}"' for column in some[0])
            places = ", ".join([f"({', '.join('?' * len(some[0]))})"] * len(some))
            connection.execute(
                f'insert into "{name}" ({columns}) values {places}',
                [value for row in some for value in row.values()],
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


def prints(folder):
    """A fingerprint of every file below a folder."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {path: hashlib.sha256(path.read_bytes()).digest() for path in files}


@pytest.fixture(scope="session")
def demo_quarter():
    """The demo at its last whole quarter, for tests that only ask; those that change anything open it for themselves."""
    quarter = open_quarter(DATA_DEMO, "2026Q3")
    every = " + ".join(f'(select bit_xor(hash(one)) from "{name}" as one)::hugeint' for name in TABLE)
    before = quarter.records.connection.execute(f"select {every}").fetchone()
    yield quarter
    assert quarter.records.connection.execute(f"select {every}").fetchone() == before


@pytest.fixture(scope="session")
def demo_review(demo_quarter):
    """The review of the demo, to be looked at."""
    return quarterly_review(demo_quarter)


@pytest.fixture(scope="session")
def demo_mending(demo_quarter):
    """What to mend first in the demo, to be looked at."""
    return what_to_mend(demo_quarter)


@pytest.fixture(scope="session")
def demo_folder(demo_review, tmp_path_factory):
    """The folder that the review of the demo was written to, to be read or copied."""
    folder = write_review(demo_review, tmp_path_factory.mktemp("demo") / "review-{quarter}").folder
    before = prints(folder)
    yield folder
    assert prints(folder) == before


@pytest.fixture(scope="session")
def demo_store(tmp_path_factory):
    """The demo in one file, ready to be asked, its prices beside it; to be read or copied."""
    path = tmp_path_factory.mktemp("demo") / "book.duckdb"
    load_into(path, DATA_DEMO)
    assert make_ready(path)
    shutil.copy(DATA_DEMO / "prices.toml", path.parent)
    before = prints(path.parent)
    yield path
    assert prints(path.parent) == before


@pytest.fixture
def least_book(least, tmp_path):
    """The least record book as files, where any review will do: it takes a second."""
    return write(tmp_path / "least", **least)


@pytest.fixture(scope="session")
def slot_of_the_demo(tmp_path_factory):
    """The demo's files with the rows of Heron 25 and of its modules alone: every table, and a review in a third of the time."""
    folder = tmp_path_factory.mktemp("slot")
    with (DATA_DEMO / "fitments.csv").open(encoding="utf-8", newline="") as file:
        serials = {row["serial"] for row in csv.DictReader(file) if _is_of_slot(row, ())}
    for path in DATA_DEMO.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            heads, *rows = csv.reader(file)
        kept = [row for row in rows if _is_of_slot(dict(zip(heads, row, strict=False)), serials)]
        with (folder / path.name).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([heads, *kept])
    shutil.copy(DATA_DEMO / "mapping.toml", folder)
    shutil.copy(DATA_DEMO / "prices.toml", folder)
    return folder


def _is_of_slot(row, serials):
    of = {
        "desk": {"", "Heron"},
        "position": {"", "25"},
        "serial": {"", *serials} if serials else {row.get("serial")},
    }
    return all(row.get(column, "") in wanted for column, wanted in of.items())
