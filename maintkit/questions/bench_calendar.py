"""When is the bench at work on what in the coming quarter: free days, spares and old stock made ready, pulls, hours used."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from maintkit.quarter.programme import Programme, re_formed, usual_programme
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.resources import QUARTERS, READY_DAYS, day_of
from maintkit.quarter.rows import counted


@dataclass(frozen=True)
class FreeDays:
    """Days on which a desk is free, both inclusive; ``used`` where a module is pulled in them."""

    desk: str
    begins: date
    ends: date
    used: bool


@dataclass(frozen=True)
class Job:
    """Work from a day until it must be done: pulls of one day, spares or parts of one kind made ready; ``hours`` at the bench."""

    begins: date
    ends: date
    serials: tuple[str, ...]
    number: int
    hours: float


@dataclass(frozen=True)
class Calendar:
    """The coming quarter at the bench; without ``pulls`` where nothing is pulled in it.

    ``desks`` have jobs, most first; ``pulls``, ``ready`` (spares) and ``re_formed`` (parts of old stock)
    in order of day; ``queue_hours`` for what lies there now.
    ``used_hours``: hours used by each day, where each job is spread evenly over its time; ``hours_used`` by the
    end of the quarter, of ``hours_free``; ``hours_after`` of its jobs are left for the next. ``back_by`` the last is back.
    """

    quarter: str
    first: date
    last: date
    desks: tuple[str, ...] = ()
    free: tuple[FreeDays, ...] = ()
    ready: tuple[Job, ...] = ()
    re_formed: tuple[Job, ...] = ()
    pulls: tuple[Job, ...] = ()
    queue_hours: float = 0.0
    hours_free: float = 0.0
    hours_used: float = 0.0
    hours_after: float = 0.0
    back_by: date | None = None
    used_hours: tuple[float, ...] = ()

    @property
    def modules(self) -> int:
        return sum(one.number for one in self.pulls)

    @property
    def gaps_used(self) -> int:
        return sum(one.used for one in self.free)

    @property
    def spares(self) -> int:
        return sum(one.number for one in self.ready)

    @property
    def parts(self) -> int:
        return sum(one.number for one in self.re_formed)

    counts = counted("modules", "spares")

    @property
    def table(self):
        """A row per job of the quarter."""
        import pandas as pd

        jobs = {"spares": self.ready, "re-form parts": self.re_formed, "re-cap": self.pulls}
        told = [vars(one) | {"what": what} for what, own in jobs.items() for one in own]
        columns = ["what", "begins", "ends", "number", "hours", "serials"]
        table = pd.DataFrame(told, columns=columns).rename(columns={"hours": "bench_hours"})
        number, is_parts = table.pop("number"), table["what"] == "re-form parts"
        table.insert(3, "modules", number.mask(is_parts))
        return table.assign(serials=table["serials"].map(", ".join), parts=number.where(is_parts))


def facts(quarter: Quarter) -> Calendar:
    """The bench plan's coming quarter day by day."""
    days = quarter.days_ahead
    first, last = day_of(quarter, 0), day_of(quarter, days - 1)
    own = usual_programme(quarter)
    soon = None if own is None else own.plan.release < days
    if own is None or not soon.any():
        return Calendar(quarter.next_label, first, last)
    pulls, ready = _pulls(quarter, own, soon), _ready(quarter, own, days)
    parts = _re_formed(quarter, own, days)
    queue = own.means.queue_minutes / 60
    jobs = [*pulls, *ready, *parts, *([Job(first, last, (), 0, queue)] if queue else [])]
    used = [sum(_done(job, day_of(quarter, day)) for job in jobs) for day in range(days)]
    desks = own.modules.loc[own.plan.chosen[soon], "desk"].value_counts(sort=True).index
    return Calendar(
        quarter=quarter.next_label,
        first=first,
        last=last,
        desks=tuple(desks),
        free=_free(quarter, own, soon),
        ready=ready,
        re_formed=parts,
        pulls=pulls,
        queue_hours=queue,
        hours_free=own.means.hours_a_day * own.means.days / QUARTERS,
        hours_used=used[-1],
        hours_after=sum(job.hours for job in jobs) - used[-1],
        back_by=max(job.ends for job in pulls),
        used_hours=tuple(used),
    )


def _done(job: Job, day: date) -> float:
    """Hours of a job done by the end of a day, where it is spread evenly over its time."""
    share = ((day - job.begins).days + 1) / ((job.ends - job.begins).days + 1)
    return job.hours * min(max(share, 0.0), 1.0)


def _pulls(quarter: Quarter, own: Programme, soon) -> tuple[Job, ...]:
    """The pulls, those of one day together, what saves most first."""
    plan, found = own.plan, []
    for release in np.unique(plan.release[soon]):
        here = np.flatnonzero(soon & (plan.release == release))
        here = here[np.argsort(-plan.worth[here], kind="stable")]
        rows = own.modules.loc[plan.chosen[here]]
        hours, last = float(rows["bench_minutes"].sum() / 60), plan.latest[here].max()
        found.append(
            Job(day_of(quarter, release), day_of(quarter, last - 1), tuple(rows["serial"]), len(rows), hours)
        )
    return tuple(found)


def _ready(quarter: Quarter, own: Programme, days: int) -> tuple[Job, ...]:
    """The spares that are made ready for these pulls, those of one day together."""
    found = []
    batches = own.plan.batches[own.plan.batches["ready_by"] <= days]
    for by, rows in batches.groupby("ready_by", sort=True):
        number, end = int(rows["number"].sum()), day_of(quarter, by - 1)
        begin = max(end - timedelta(days=READY_DAYS), day_of(quarter, 0))
        found.append(Job(begin, end, (), number, number * own.means.ready_minutes / 60))
    return tuple(found)


def _re_formed(quarter: Quarter, own: Programme, days: int) -> tuple[Job, ...]:
    """Parts of old stock re-formed for these pulls, those of one day together."""
    found, before = [], 0
    for release in np.unique(own.plan.release[own.plan.release < days]):
        number = sum(re_formed(own, within_days=release + 1).values()) - before
        if number:
            hours = number * own.means.re_form_minutes / 60
            found.append(Job(day_of(quarter, 0), day_of(quarter, release - 1), (), number, hours))
        before += number
    return tuple(found)


def _free(quarter: Quarter, own: Programme, soon) -> tuple[FreeDays, ...]:
    """The free days of every desk in the quarter; those in which a module is pulled are used."""
    gaps, used = own.means.openings, set(own.plan.opening[soon])
    return tuple(
        FreeDays(
            row.desk,
            day_of(quarter, max(row.free_from, 0)),
            min(day_of(quarter, row.free_to), day_of(quarter, quarter.days_ahead - 1)),
            row.Index in used,
        )
        for row in gaps[gaps["free_from"] < quarter.days_ahead].itertuples()
    )
