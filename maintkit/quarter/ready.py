"""What every question begins with, kept in a store with its records: read again as long as records, words and code are the same."""

from __future__ import annotations

import hashlib
from contextlib import suppress
from datetime import date
from functools import cache
from importlib.resources import files
from pathlib import Path

import duckdb

from maintkit.errors import MaintkitError
from maintkit.records.opening import open_store
from maintkit.records.store import Records
from maintkit.records.tables import TABLES
from maintkit.records.wording import sort_symptoms, vocabulary_beside
from maintkit.spells.build import gather_evidence
from maintkit.spells.evidence import Evidence
from maintkit.spells.stored import store_evidence, stored_days, stored_evidence

# tickets and pieces of work above which nothing is kept, for it would make the store much larger
MOST = 200_000
CODE = ("spells", "records", "records/known_words", "actions.py", "hours.py")  # what the evidence is made by


def ready_evidence(records: Records, record_end: date) -> Evidence | None:
    """The evidence to this day as it lies in the store; None where none does, or it was made from other records, words or code."""
    connection = records.connection
    if stored_days(connection) != record_end:
        return None
    return stored_evidence(connection, _key(connection, records.source, record_end))


def make_ready(path: Path) -> bool:
    """Gather the evidence to the last day of a store's records and keep it there; whether it lies there now.

    Nothing is kept in a store that cannot be written, is in use, or is very large: questions then gather it each time.
    """
    with suppress(MaintkitError, duckdb.Error, OSError):
        connection = open_store(path, read_only=False)
        try:
            return _keep(connection, str(path))
        finally:
            connection.close()
    return False


def _keep(connection, source: str) -> bool:
    rows = connection.execute(
        "select (select count(*) from tickets) + (select count(*) from repairs)"
    ).fetchone()[0]
    if not 0 < rows <= MOST:
        return False
    last = Records(connection, source).last_day()
    sort_symptoms(connection, vocabulary_beside(source))
    store_evidence(connection, gather_evidence(connection, record_end=last), _key(connection, source, last))
    return True


def _key(connection, source: str, record_end: date) -> str:
    """A digest of all that the evidence follows from: every row of the records, the vocabulary, the day and the code."""
    seen = hashlib.sha256(f"{duckdb.__version__} {record_end} {_code()}".encode())
    seen.update(repr(vocabulary_beside(source)).encode())
    sums = " union all ".join(
        f'select {number} as which, count(*), sum(hash(one)::hugeint) from "{table.name}" as one'
        for number, table in enumerate(TABLES)
    )
    seen.update(repr(connection.execute(f"{sums} order by which").fetchall()).encode())
    return seen.hexdigest()


@cache
def _code() -> str:
    """A digest of the code that makes the evidence."""
    seen = hashlib.sha256()
    for name in CODE:
        place = files("maintkit") / name
        for file in sorted(place.iterdir(), key=lambda one: one.name) if place.is_dir() else [place]:
            if file.name.endswith((".py", ".sql", ".toml")):
                seen.update(file.read_bytes())
    return seen.hexdigest()
