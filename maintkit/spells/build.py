"""Runs the queries in order on one connection, names the clock, and hands back frames."""

from __future__ import annotations

from contextlib import contextmanager
from datetime import date
from functools import cache
from typing import TYPE_CHECKING

import duckdb

from maintkit.actions import put_actions
from maintkit.errors import MaintkitError
from maintkit.hours import HOURS_PER_WEEK
from maintkit.records.drafting import WHOLE_DESK, is_whole_desk
from maintkit.records.folding import CHANNEL, SAME_WORD
from maintkit.records.known_words.outcomes import outcome_of_finding
from maintkit.records.known_words.words import is_wholly
from maintkit.spells.evidence import Evidence
from maintkit.spells.gaps import find_gaps
from maintkit.spells.parts import CAUSE_RULES
from maintkit.spells.queries import run, words
from maintkit.spells.temp_tables import Kept, drop_unwanted

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

CLOCKS = ("powered", "calendar", "use")
MACROS = ("clock_hours", "cause_rank", "cause_rule_of")
PLACES = (
    "regimes",
    "numbered_slots",
    "sittings",
    "known_modules",
    "clock_marks",
    "tickets_placed",
    "repairs_resolved",
    "repairs_placed",
    "nothing_found",
    "answers",
    "re_caps",
    "scrapped",
    "stays",
    "roster",
)
PARTS = (
    "inventory",
    "refitted",
    "report_days",
    "part_names",
    "replaced_parts",
    "streams",
    "moves",
    "births",
    "pieces",
    "known_good",
    "part_spells",
)
FAULTS = (
    "ticket_words",
    "ticket_evidence",
    "unticketed_work",
    "events",
    "event_work",
    "work",
    "work_done",
    "returns",
    "fault_facts",
    "fault_rows",
    "slot_patterns",
    "slot_work",
    "supply_flags",
)
QUERIES = (*PLACES, *FAULTS, "event_tally", *PARTS, "part_tally", "work_tally")
FORECAST = ("stays", "part_names", "part_spells", "roster", "fault_rows")  # what one stands on
KEPT = (*FORECAST, "work", "slot_patterns", "slot_work", "supply_flags")


class EvidenceError(MaintkitError, ValueError):
    """The evidence was asked for in a way that cannot be answered."""


def gather_evidence(
    connection: duckdb.DuckDBPyConnection,
    *,
    record_end: date,
    clock: str = "powered",
    cause_rule: str = "usual",
    return_days: int = 30,
    for_forecast: bool = False,
) -> Evidence:
    """Time at risk, faults and work of every module and part, up to and including ``record_end``.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        Holds the record tables; read-only will do, for only temporary tables are made. It must stay open while frames
        are still to be asked for. A temporary table ``symptom_words`` (ticket, section, symptom) is used to tell
        symptoms apart where there is one.
    record_end : date
        Last day of the window, inclusive. Rows dated later are left out.
    clock : {'powered', 'calendar', 'use'}
        What hours are counted: switched on, all, or switched on times the slot's use_weight.
    cause_rule : {'strict', 'usual', 'loose'}
        Which causes end a life: confirmed; all but unknown; all. It moves no count of faults.
    return_days : int, days
        A fault this soon after work on the module is a return.
    for_forecast : bool
        Whether to make only what a forecast stands on: no work, slot patterns, supply flags, tally and gaps.

    Returns
    -------
    Evidence
        Frames in stated order, counts, and what is missing.

    Raises
    ------
    EvidenceError
        Where a clock, a cause rule or a number of days is not one of those known; the message lists them.

    Notes
    -----
    An event on a day stands at the start of that day and belongs to the spell that was running the evening before.

    Examples
    --------
    >>> import duckdb
    >>> from datetime import date
    >>> from maintkit.records.keeping import create_tables
    >>> book = duckdb.connect()
    >>> create_tables(book)
    >>> _ = book.execute("insert into desks (desk, family, coupling, records_from) "
    ...                  "values ('Tern', 'a', 'dc', '2024-01-01')")
    >>> _ = book.execute("insert into positions (desk, position) values ('Tern', '1')")
    >>> gather_evidence(book, record_end=date(2024, 1, 10)).stays[["serial", "entry", "exit"]].values.tolist()
    [['Tern/1', 0, 240]]
    """
    _refuse_unknown(clock, cause_rule, return_days)
    asked = {"record_end": record_end, "clock": clock, "cause_rule": cause_rule, "return_days": return_days}
    values = (
        asked | {"hours_per_week": HOURS_PER_WEEK, "whole_desk": WHOLE_DESK} | _words_of_slots(connection)
    )
    drop_unwanted(connection)
    with _working_tables(connection):
        values |= _findings_of_nothing(connection)
        if for_forecast:
            _made(connection, _needed_for(FORECAST), values)
            return Evidence(Kept(connection, FORECAST), {}, (), **asked)
        tally = _made(connection, QUERIES, values)
        return Evidence(Kept(connection, KEPT), tally, find_gaps(connection, tally), **asked)


def _refuse_unknown(clock: str, cause_rule: str, return_days: int) -> None:
    if clock not in CLOCKS:
        raise EvidenceError(f"Found clock {clock!r}. The clocks are {', '.join(CLOCKS)}. Choose one of them.")
    if cause_rule not in CAUSE_RULES:
        raise EvidenceError(
            f"Found cause rule {cause_rule!r}. The cause rules are {', '.join(CAUSE_RULES)}. Choose one of them."
        )
    if return_days < 0:
        raise EvidenceError(
            f"Found return_days {return_days}. A return comes after the work. Give a number of days from 0 up."
        )


def _words_of_slots(connection: duckdb.DuckDBPyConnection) -> dict[str, list[str]]:
    """The slots that are called a supply, and those called a desk as a whole: no channel modules like the others; and the words for a channel."""
    tables = " union ".join(
        f"select position from {name}" for name in ("tickets", "repairs", "positions", "modules")
    )
    slots = [slot for (slot,) in connection.execute(tables).fetchall() if slot]
    return {
        "supply_slots": [slot for slot in slots if is_wholly("supply_slot", slot)],
        "whole_slots": [slot for slot in slots if is_whole_desk(slot)],
        "channel_words": [word for word, one in SAME_WORD.items() if one == CHANNEL],
    }


@contextmanager
def _working_tables(connection: duckdb.DuckDBPyConnection) -> Iterator[None]:
    """Drop what was made and is left, whatever happens; a vocabulary table that was there before stays."""
    made = {*QUERIES, "actions"}
    if "symptom_words" not in _temporary(connection):
        connection.execute(
            "create temp table symptom_words (ticket varchar, section varchar, symptom varchar)"
        )
        made |= {"symptom_words", "complaints"}
    put_actions(connection)
    try:
        for name in MACROS:
            run(connection, name, {})
        _find_complaints(connection)
        yield
    finally:
        _drop(connection, made & _temporary(connection))
        macros = (*MACROS, "complaint_alone")
        connection.execute("; ".join(f'drop macro if exists temp."{name}"' for name in macros))


def _findings_of_nothing(connection: duckdb.DuckDBPyConnection) -> dict[str, list[str]]:
    """Texts of findings of work that mends nothing, and of each the outcome that it tells."""
    texts = connection.execute(
        "select distinct finding from repairs join actions using (action) where makes_fault = 'never' and finding is not null order by 1"
    ).fetchall()
    told = {text: outcome for (text,) in texts if (outcome := outcome_of_finding(text))}
    return {"said": [*told], "told": [*told.values()]}


def _find_complaints(connection: duckdb.DuckDBPyConnection) -> None:
    connection.execute(
        "create temp table if not exists complaints (said varchar, alone varchar, words varchar)"
    )
    unread = "from tickets anti join complaints on said = symptom where symptom is not null limit 1"
    if connection.execute(unread).fetchall():
        run(connection, "complaint_alone", {})
        run(connection, "complaints", {})


def _temporary(connection: duckdb.DuckDBPyConnection) -> set[str]:
    return {
        name
        for (name,) in connection.execute("select table_name from duckdb_tables() where temporary").fetchall()
    }


@cache
def _needed_for(tables: tuple[str, ...]) -> tuple[str, ...]:
    """The queries that these tables come of, in order."""
    needed = set(tables)
    for name in reversed(QUERIES):
        if name in needed:
            needed |= words(name)
    return tuple(name for name in QUERIES if name in needed)


def _made(connection: duckdb.DuckDBPyConnection, queries: tuple[str, ...], values: dict) -> dict[str, int]:
    """Make the tables in order, giving back the memory of those no later query names; returns what was counted."""
    tally = {}
    for name in queries:
        result = run(connection, name, values)
        if name.endswith("_tally"):
            tally |= _one_row(result)
        _drop(connection, _spent_after(name, queries))
    return tally


@cache
def _spent_after(name: str, queries: tuple[str, ...]) -> tuple[str, ...]:
    """The tables made so far that no query names after this one."""
    at = queries.index(name) + 1
    later = set().union(*(words(other) for other in queries[at:]))
    made = {other for other in queries[:at] if not other.endswith("_tally")}
    return tuple(sorted((made - set(KEPT) - later) & (words(name) | {name})))


def _drop(connection: duckdb.DuckDBPyConnection, tables: Iterable[str]) -> None:
    if tables:
        connection.execute("; ".join(f'drop table temp."{name}"' for name in sorted(tables)))


def _one_row(result: duckdb.DuckDBPyConnection) -> dict[str, int]:
    names = [column[0] for column in result.description]
    return {name: int(value) for name, value in zip(names, result.fetchone(), strict=True)}
