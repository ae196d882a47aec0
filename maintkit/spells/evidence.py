"""What the records hold as time at risk, faults and work: frames, counts and what is missing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

LABELS = (
    "serial",
    "desk",
    "position",
    "bay",
    "zone",
    "room",
    "family",
    "coupling",
    "module_type",
    "board_era",
    "origin",
    "use_weight",
    "air_c",
    "rework_cycles",
)
PART_COLUMNS = (
    "part_type",
    "kind",
    "ref",
    "piece",
    "fitted_on",
    "ended_on",
    "from_on",
    "to_on",
    "entry",
    "exit",
    "exposure_hours",
    "event",
    "hidden",
    "counted_from",
    "weight",
    "age_known",
    "still_fitted",
)


@dataclass(frozen=True)
class Evidence:
    """The records as time at risk, on one clock and under one reading of the rules.

    Labels are ``LABELS``: those of the time, None where the records do not say. Spells are ``(entry, exit]`` in whole
    hours on ``clock``; ``to_on`` is exclusive; one powered year is 8,766 h.

    Attributes
    ----------
    stays : DataFrame
        A module's stay in a slot under one power regime and re-cap count: labels, ``from_on, to_on, entry, exit,
        exposure_hours, age_known``; ordered by serial, entry.
    part_spells : DataFrame
        Identical parts in one stay: labels, ``part_type, kind, ref, piece, fitted_on, ended_on, from_on, to_on, entry,
        exit, exposure_hours, event, hidden, counted_from, weight, age_known, still_fitted``; ordered by serial,
        part_type, piece, entry. ``entry, exit`` are ages of the part. A ``hidden`` row is interval-censored: the part
        failed some time within it. ``exposure_hours`` are the hours of the row inside the recorded window.
    faults : DataFrame
        Tickets, and unplanned work without a ticket (one fault a module and day): ``event_id, source, happened_on``,
        labels, ``time`` (module clock; None without a module), ``class`` ('fault', 'report', 'return', 'no fault
        found', 'not the desk', 'open'), ``counted_from`` ('strict', 'usual', 'loose'), ``counts`` (a fresh fault
        inside the recorded window under the reading), ``in_window, return_of, same_as, likely_intermittent,
        part_type, kind, action, symptom, symptom_key, impact, minutes_lost, restored_on, closed_on, bench_minutes``;
        ordered by happened_on, event_id.
    work : DataFrame
        Recorded work on known modules: ``repair, done_on, serial, desk, position, module_type, family, board_era,
        action, part_type, kind, ref, quantity, cause, as_found, planned, ticket, donor_serial, bench_minutes,
        rework_cycles`` (before it), ``event_id`` (the fault it answers); ordered by done_on, repair.
    roster : DataFrame
        Every module known and where it is at ``record_end``: ``serial, family, module_type, board_era, origin,
        made_on, desk, position, rework_cycles, bridged_tracks, retired_desk, scrapped_on``; ordered by serial.
    slot_patterns : DataFrame
        Faults that follow a module or stay with a slot: ``desk, position, module_type, pattern, serials, faults,
        first_on, last_on, symptom, told_by`` ('symptom' or 'part kind'), ``usual_faults`` (of that sort, on a module
        of that type in three years). A pattern means little where ``faults`` is not far above ``usual_faults``.
    tally : dict of str to int
        What was counted, and what could not be placed.
    gaps : tuple of str
        What could not be built, and which table would let it.
    """

    stays: pd.DataFrame
    part_spells: pd.DataFrame
    faults: pd.DataFrame
    work: pd.DataFrame
    roster: pd.DataFrame
    slot_patterns: pd.DataFrame
    tally: dict[str, int]
    gaps: tuple[str, ...]
    record_end: date
    clock: str
    reading: str
    return_days: int
