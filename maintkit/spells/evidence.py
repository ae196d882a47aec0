"""What the records hold as time at risk, faults and work: frames, counts and what is missing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING

from maintkit.spells.frames import row_count, whole_frame
from maintkit.spells.parts import MOST, part_frames, whole_parts

if TYPE_CHECKING:
    from collections.abc import Iterator

    import pandas as pd

    from maintkit.spells.temp_tables import Kept


@dataclass(frozen=True, eq=False)
class Evidence:
    """The records as time at risk, on one clock and under one cause rule.

    Labels are those of the time (``LABELS`` of ``parts.py``), None where the records do not say. Spells are ``(entry,
    exit]`` in whole hours on ``clock``; ``to_on`` is exclusive; one powered year is 8,766 h. The tables stay in DuckDB
    and become frames when they are first asked for; where there may be millions of rows ask ``part_frames`` or
    ``fault_counts``.

    Attributes
    ----------
    stays : DataFrame
        A module's stay in a slot under one power regime and re-cap count: labels, ``from_on, to_on, entry, exit,
        exposure_hours, age_known``; ordered by serial, entry.
    part_spells : DataFrame
        Identical parts in one stay: labels, ``part_type, kind, ref, piece, fitted_on, ended_on, from_on, to_on, entry,
        exit, exposure_hours, event, interval_censored, counted_from, weight, age_known, still_fitted``; ordered by serial,
        part_type, piece, entry; words are categories where there are very many rows. ``entry, exit`` are ages of the part. A ``interval_censored`` row is interval-censored: the part
        failed some time within it. ``exposure_hours`` are the hours of the row inside the recorded window.
    faults : DataFrame
        Tickets, and unplanned work without a ticket (one fault a module and day): ``event_id, source, happened_on``,
        labels, ``time`` (module clock; None without a module), ``class`` ('fault', 'slot or supply', 'report', 'return',
        'no fault found', 'not the desk', 'open'), ``of_slot`` (slot, rail or cable, of a fault that is no module's), ``counts`` (a fresh fault inside the recorded window), ``in_window, decided_on``
        (the day it was known what it was), ``as_report`` (counted as a fault because nobody wrote down what reports
        proved to be), ``return_of, same_as, likely_intermittent,
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
        first_on, last_on, symptom, told_by`` ('symptom', 'part kind' or 'nothing found'), ``usual_faults`` (of that sort, on a module
        of that type in three years). A pattern means little where ``faults`` is not far above ``usual_faults``.
    slot_work : DataFrame
        Recorded work on slots themselves and their cables, on no module: ``repair, done_on, desk, position, action, part_type, cause,
        as_found, planned``; ordered by done_on, repair.
    supply_flags : DataFrame
        Faults of a slot or its supply with another report from that bay within three days: ``desk, bay, position,
        other_position, first_on, last_on, event_id, other_id, looked_on`` (work on a rail or cable there since).
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
    cause_rule: str
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

    @cached_property
    def slot_work(self) -> pd.DataFrame:
        return whole_frame(self.kept, "slot_work")

    @cached_property
    def supply_flags(self) -> pd.DataFrame:
        return whole_frame(self.kept, "supply_flags")

    def part_frames(
        self, names: list[str], *, by: tuple[str, ...], every_module: bool = True
    ) -> Iterator[pd.DataFrame]:
        """Some columns of the part spells in little memory, a frame after another: words are categories, hours take four bytes.

        Group by them with ``observed=True``. Weights come as floats, so that hours times weight fit.

        Parameters
        ----------
        names : list of str
            Columns of ``part_spells``, in the order wanted.
        by : tuple of str
            ``('part_type',)``, ``('family', 'part_type')`` or ``('family', 'kind')``: what no two frames share. Few spells
            come as one frame, many as a frame for each of these in order, without those that lack one of them.
        every_module : bool
            What has more than ``MOST`` spells (``parts.py``) comes in several frames, each of whole modules that chance
            brought together; only the first of them where not every module is asked for.
        """
        return part_frames(self.kept, self.stays, names, by, every_module=every_module)

    def fault_counts(
        self,
        labels: list[str],
        *,
        every: bool = False,
        serials: list[str] | None = None,
        days: int | None = None,
    ) -> pd.DataFrame:
        """How many faults there are of each set of labels: ``labels`` and ``faults``, in order of the labels.

        Parameters
        ----------
        labels : list of str
            Columns of ``faults``, and ``quarter``, the first day of the calendar quarter.
        every : bool
            Whether to count those too that do not count as fresh faults (column ``counts``).
        serials : list of str, optional
            Count those of these modules alone.
        days : int, optional
            Count those of the first so many days of each quarter alone.
        """
        shown = ", ".join(
            "date_trunc('quarter', happened_on) as quarter" if name == "quarter" else f'"{name}"'
            for name in labels
        )
        query = f"select {shown}, count(*) as faults from {self.kept.name('fault_rows')} where ({every} or counts)"
        if days is not None:
            query += f" and happened_on < date_trunc('quarter', happened_on) + to_days({int(days)})"
        if serials is None:
            return self.kept.execute(f"{query} group by all order by all").df()
        return self.kept.execute(
            f"{query} and serial in (select unnest($serials)) group by all order by all", {"serials": serials}
        ).df()

    def parts_on(self, serials: list[str], days: list[date]) -> pd.DataFrame:
        """The kinds of part in each of these modules on its day: ``row`` (of those asked), ``part_type, kind, hours``.

        ``hours`` is the mean powered age of the parts whose age is known, nan where none is; in order of row and part type.
        """
        name = self.kept.name
        return self.kept.execute(
            f"""
            with asked as (select unnest(range(len($serials))) as row, unnest($serials) as serial, unnest($days)::date as day)
            select row, part_type, kind,
                   sum(weight * (parts.entry + (parts.exit - parts.entry) * (day - parts.from_on)
                       / greatest(parts.to_on - parts.from_on, 1))) filter (parts.age_known)
                   / nullif(sum(weight) filter (parts.age_known), 0) as hours
            from asked
            join {name("stays")} as stays using (serial)
            join {name("part_spells")} as parts on parts.stay = stays.stay and parts.from_on < day and day <= parts.to_on
            join {name("part_names")} using (part_code)
            where part_type is not null and kind is not null
            group by row, part_type, kind
            order by row, part_type, kind
            """,
            {"serials": serials, "days": days},
        ).df()

    def report_ages(self) -> pd.DataFrame:
        """How many tickets there are of each desk, quarter of the report, ``days`` until it was known what it was and ``state``.

        ``state`` is 'open' (``days`` are those to the end of the records), 'fault' or 'no fault'; ``days`` are missing where
        nobody wrote down when it was known. Tickets of the recorded window; one that reports a known fault again is none.
        """
        return self.kept.execute(
            "select desk, date_trunc('quarter', happened_on) as quarter, "
            "case class when 'open' then 'open' when 'fault' then 'fault' else 'no fault' end as state, "
            "date_diff('day', happened_on, case class when 'open' then $record_end else decided_on end) as days, "
            f"count(*) as tickets from {self.kept.name('fault_rows')} "
            "where source = 'ticket' and class <> 'report' and in_window group by all order by all",
            {"record_end": self.record_end},
        ).df()

    @property
    def outgrown(self) -> bool:
        """Whether there are so many part spells or faults that some of them may be told by modules drawn by chance."""
        return max(self.tally["faults_counted"], row_count(self.kept, "part_spells")) > MOST

    def drawn_modules(self) -> list[str]:
        """Every module that was watched, in order; of more than ``MOST`` faults that count, modules drawn to about so many."""
        serials = self.kept.execute(
            f"select distinct serial from {self.kept.name('stays')} order by hash(serial)"
        ).fetchall()
        share = min(1.0, MOST / max(self.tally["faults_counted"], 1))
        return sorted(serial for (serial,) in serials[: math.ceil(len(serials) * share)])
