"""What the records hold as time at risk, faults and work: frames, counts and what is missing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

from maintkit.spells.frames import MANY, narrow_frame, row_count, whole_frame, with_words
from maintkit.spells.parts import narrow_parts, whole_parts

if TYPE_CHECKING:
    import pandas as pd

    from maintkit.spells.kept import Kept

TABLES = {"faults": "fault_rows"}  # where a frame's table has another name


@dataclass(frozen=True, eq=False)
class Evidence:
    """The records as time at risk, on one clock and under one reading of the rules.

    Labels are those of the time (``LABELS`` of ``parts.py``), None where the records do not say. Spells are ``(entry,
    exit]`` in whole hours on ``clock``; ``to_on`` is exclusive; one powered year is 8,766 h. The tables stay in DuckDB
    and become frames when they are first asked for; where there may be millions of rows ask ``columns`` or
    ``part_columns``.

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
    kept : Kept
        The tables the frames are read from.
    tally : dict of str to int
        What was counted, and what could not be placed.
    gaps : tuple of str
        What could not be built, and which table would let it.
    """

    kept: Kept
    tally: dict[str, int]
    gaps: tuple[str, ...]
    record_end: date
    clock: str
    reading: str
    return_days: int

    @cached_property
    def stays(self) -> pd.DataFrame:
        return whole_frame(self.kept, "stays").drop(columns=["stay", "next_entry"])

    @cached_property
    def part_spells(self) -> pd.DataFrame:
        return whole_parts(self.kept, self.stays)

    @cached_property
    def faults(self) -> pd.DataFrame:
        return whole_frame(self.kept, "fault_rows")

    @cached_property
    def work(self) -> pd.DataFrame:
        return whole_frame(self.kept, "work")

    @cached_property
    def roster(self) -> pd.DataFrame:
        return whole_frame(self.kept, "roster").drop(columns="in_service")

    @cached_property
    def slot_patterns(self) -> pd.DataFrame:
        return whole_frame(self.kept, "slot_patterns")

    def columns(self, frame: str, names: list[str]) -> pd.DataFrame:
        """Some columns of a frame; where it has many rows the others are not read.

        Parameters
        ----------
        frame : {'stays', 'faults', 'work', 'roster', 'slot_patterns'}
        names : list of str
            Which of its columns, in the order wanted.
        """
        if frame in self.__dict__ or row_count(self.kept, TABLES.get(frame, frame)) < MANY:
            return getattr(self, frame)[names]
        return with_words(narrow_frame(self.kept, TABLES.get(frame, frame), names))

    def counted_faults(self, names: list[str]) -> pd.DataFrame:
        """Some columns of the faults that count; where there are many the other rows and columns are not read."""
        if "faults" in self.__dict__ or row_count(self.kept, "fault_rows") < MANY:
            return self.faults.loc[self.faults["counts"], names]
        return with_words(narrow_frame(self.kept, "fault_rows", names, where="counts"))

    def part_columns(self, names: list[str]) -> pd.DataFrame:
        """Some columns of the part spells in little memory: words are categories, hours take four bytes.

        Group by them with ``observed=True``. Weights come as floats, so that hours times weight fit.
        """
        return narrow_parts(self.kept, self.stays, names)
