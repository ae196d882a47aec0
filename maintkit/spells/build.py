"""Runs the queries in order on one connection, names the clock, and hands back frames."""

from __future__ import annotations

import re
from contextlib import contextmanager
from datetime import date
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

import duckdb

from maintkit.spells.evidence import LABELS, PART_COLUMNS, Evidence
from maintkit.spells.frames import labelled_rows, ordered_frame
from maintkit.spells.gaps import find_gaps

if TYPE_CHECKING:
    from collections.abc import Iterator

    import pandas as pd

CLOCKS = ("powered", "calendar", "use")
READINGS = ("strict", "usual", "loose")
MACROS = ("clock_hours", "reading_rank")
PLACES = (
    "regimes",
    "sittings",
    "known_modules",
    "clock_marks",
    "tickets_placed",
    "repairs_resolved",
    "repairs_placed",
    "answers",
    "re_caps",
    "scrapped",
    "stays",
    "roster",
)
PARTS = ("inventory", "part_names", "replaced_parts", "streams", "moves", "births", "pieces", "known_good", "part_rows")
WORK = ("ticket_words", "ticket_evidence", "events", "event_work", "work")
FAULTS = ("returns", "fault_facts", "slot_patterns")
LABELLED = ("fault_rows",)
TABLES = PLACES + PARTS + WORK + FAULTS + LABELLED
QUERIES = (*PLACES, *PARTS, "part_spells", "part_tally", *WORK, "work_tally", *FAULTS, "event_tally", *LABELLED)
KEPT = {"stays", "roster", "fault_rows", "work", "slot_patterns"}


class EvidenceError(ValueError):
    """The evidence was asked for in a way that cannot be answered."""


def gather_evidence(
    connection: duckdb.DuckDBPyConnection,
    *,
    record_end: date,
    clock: str = "powered",
    reading: str = "usual",
    return_days: int = 30,
) -> Evidence:
    """Time at risk, faults and work of every module and part, up to and including ``record_end``.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        Holds the record tables; read-only will do, for only temporary tables are made, and they are dropped again. A
        temporary table ``symptom_words`` (ticket, section, symptom) is used to tell symptoms apart where there is one.
    record_end : date
        Last day of the window, inclusive. Rows dated later are left out.
    clock : {'powered', 'calendar', 'use'}
        What hours are counted: switched on, all, or switched on times the slot's use_weight.
    reading : {'strict', 'usual', 'loose'}
        Which causes make a failure: confirmed; confirmed and suspected; all.
    return_days : int, days
        A fault this soon after work on the module is a return.

    Returns
    -------
    Evidence
        Frames in stated order, counts, and what is missing.

    Raises
    ------
    EvidenceError
        Where a clock, a reading or a number of days is not one of those known; the message lists them.

    Notes
    -----
    An event on a day stands at the start of that day and belongs to the spell that was running the evening before.

    Examples
    --------
    >>> import duckdb
    >>> from datetime import date
    >>> from maintkit.records.tables import TABLES, table_ddl
    >>> book = duckdb.connect()
    >>> for table in TABLES:
    ...     _ = book.execute(table_ddl(table))
    >>> _ = book.execute("insert into desks (desk, family, coupling, records_from) "
    ...                  "values ('Tern', 'a', 'dc', '2024-01-01')")
    >>> _ = book.execute("insert into positions (desk, position) values ('Tern', '1')")
    >>> gather_evidence(book, record_end=date(2024, 1, 10)).stays[["serial", "entry", "exit"]].values.tolist()
    [['Tern/1', 0, 240]]
    """
    _refuse_unknown(clock, reading, return_days)
    values = {"record_end": record_end, "clock": clock, "reading": reading, "return_days": return_days}
    with _working_tables(connection):
        _make(connection, PLACES, values)
        stays = ordered_frame(connection, "stays", "serial, entry").drop(columns="stay")
        _make(connection, PARTS, values)
        part_spells = _part_spells(connection, stays, values)
        tally = _one_row(_run(connection, "part_tally", values))
        _make(connection, WORK, values)
        tally |= _one_row(_run(connection, "work_tally", values))
        work = ordered_frame(connection, "work", "done_on, repair")
        _drop(connection, ("work",))
        _make(connection, FAULTS, values)
        tally |= _one_row(_run(connection, "event_tally", values))
        _make(connection, LABELLED, values)
        return Evidence(
            stays=stays,
            part_spells=part_spells,
            faults=ordered_frame(connection, "fault_rows", "happened_on, event_id"),
            work=work,
            roster=ordered_frame(connection, "roster", "serial").drop(columns="in_service"),
            slot_patterns=ordered_frame(
                connection, "slot_patterns", "pattern, faults desc, desk, position, module_type, serials"
            ),
            tally=tally,
            gaps=find_gaps(connection, tally),
            record_end=record_end,
            clock=clock,
            reading=reading,
            return_days=return_days,
        )


def _refuse_unknown(clock: str, reading: str, return_days: int) -> None:
    if clock not in CLOCKS:
        raise EvidenceError(f"Found clock {clock!r}. The clocks are {', '.join(CLOCKS)}. Choose one of them.")
    if reading not in READINGS:
        raise EvidenceError(f"Found reading {reading!r}. The readings are {', '.join(READINGS)}. Choose one of them.")
    if return_days < 0:
        raise EvidenceError(
            f"Found return_days {return_days}. A return comes after the work. " "Give a number of days from 0 up."
        )


@contextmanager
def _working_tables(connection: duckdb.DuckDBPyConnection) -> Iterator[None]:
    """Drop what was made, whatever happens; a vocabulary table that was there before stays."""
    made = TABLES
    if not connection.execute("select count(*) from duckdb_tables() where table_name = 'symptom_words'").fetchone()[0]:
        connection.execute("create temp table symptom_words (ticket varchar, section varchar, symptom varchar)")
        made += ("symptom_words",)
    try:
        for name in MACROS:
            connection.execute(_query(name)[0])
        yield
    finally:
        _drop(connection, made)
        for name in MACROS:
            connection.execute(f'drop macro if exists temp."{name}"')


@cache
def _query(name: str) -> tuple[str, tuple[str, ...]]:
    """The text of a query and the names of the values it takes."""
    text = (files("maintkit.spells") / f"{name}.sql").read_text(encoding="utf-8")
    return text, tuple(sorted(set(re.findall(r"\$(\w+)", re.sub(r"--.*", "", text)))))


def _run(connection: duckdb.DuckDBPyConnection, name: str, values: dict) -> duckdb.DuckDBPyConnection:
    text, takes = _query(name)
    return connection.execute(text, {key: values[key] for key in takes})


def _make(connection: duckdb.DuckDBPyConnection, tables: tuple[str, ...], values: dict) -> None:
    """Make the tables in order, giving back the memory of those no later query names."""
    for name in tables:
        _run(connection, name, values)
        _drop(connection, _spent_after(name))


@cache
def _spent_after(name: str) -> tuple[str, ...]:
    """The tables made so far that no query names after this one."""
    at = QUERIES.index(name) + 1
    later = " ".join(_query(other)[0] for other in QUERIES[at:])
    return tuple(made for made in QUERIES[:at] if made not in KEPT and not re.search(rf"\b{made}\b", later))


def _drop(connection: duckdb.DuckDBPyConnection, tables: tuple[str, ...]) -> None:
    for name in tables:
        connection.execute(f'drop table if exists temp."{name}"')


def _one_row(result: duckdb.DuckDBPyConnection) -> dict[str, int]:
    names = [column[0] for column in result.description]
    return {name: int(value) for name, value in zip(names, result.fetchone(), strict=True)}


def _part_spells(connection: duckdb.DuckDBPyConnection, stays: pd.DataFrame, values: dict) -> pd.DataFrame:
    """Part spells with their labels looked up by number: millions of rows share one copy of each word."""
    import pandas as pd

    rows = _run(connection, "part_spells", values).df()
    parts = connection.execute("select part_type, kind from part_names order by part_code").df()
    readings = pd.DataFrame({"counted_from": [*READINGS, None]}, dtype=object)
    spells = labelled_rows(
        rows,
        {
            "stay_row": (stays, list(LABELS)),
            "part_row": (parts, ["part_type", "kind"]),
            "reading_row": (readings, ["counted_from"]),
        },
    )
    return spells[[*LABELS, *PART_COLUMNS]]
