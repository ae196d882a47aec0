"""What lies on the bench now: open reports, what waits for what, what came back, decisions due, spares not ready."""

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from maintkit.quarter.borrowed import Debt
from maintkit.quarter.in_slot import serial_of
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.resources import bench_queue, spare_modules, still_open, wanted_back
from maintkit.quarter.rows import records

RECENT_DAYS = 31
RETURN_DAYS = 92
SHOWN = 6


@dataclass(frozen=True)
class Report:
    """A report still open, and the module it is about."""

    ticket: str
    on: date
    desk: str
    position: str | None
    complaint: str | None
    serial: str | None
    impact: str | None


@dataclass(frozen=True)
class Waiting:
    """What work stands still for, and the modules that wait for it."""

    what: str
    serials: tuple[str, ...]


@dataclass(frozen=True)
class Back:
    """A fault that came back after repair."""

    serial: str | None
    desk: str
    position: str | None
    complaint: str | None
    on: date


@dataclass(frozen=True)
class Due:
    """A decision not done yet, by the day it was due; ``of`` is its module or kind of part."""

    on: date | None
    what: str
    of: str | None
    agreed: str | None
    is_late: bool


@dataclass(frozen=True)
class BenchNow:
    """One screen of what asks for attention.

    Attributes
    ----------
    as_of : date
    source : str
    recent, older : tuple of Report
        Open reports of the last month, newest first; and those before.
    oldest : date or None
    waiting : tuple of Waiting
    back : tuple of Back
        Of the last three months; ``jobs`` unplanned repairs were done in them.
    jobs : int
    due : tuple of Due
        Decisions agreed to or not answered, not done.
    not_ready, ready : tuple of str
        Working spares that must be re-formed, soaked and tested first, or lack a part they lent; and those that may be swapped in.
    lent : tuple of Debt
        What modules in a slot, and working spares, lent and have not had back.
    """

    as_of: date
    source: str
    recent: tuple[Report, ...]
    older: tuple[Report, ...]
    oldest: date | None
    waiting: tuple[Waiting, ...]
    back: tuple[Back, ...]
    jobs: int
    due: tuple[Due, ...]
    not_ready: tuple[str, ...]
    ready: tuple[str, ...]
    lent: tuple[Debt, ...] = ()

    @property
    def open(self) -> int:
        return len(self.recent) + len(self.older)

    @property
    def oldest_ticket(self) -> str | None:
        """The report that has been open longest."""
        return next((one.ticket for one in reversed((*self.recent, *self.older))), None)

    @property
    def recent_number(self) -> int:
        return len(self.recent)

    @property
    def older_number(self) -> int:
        return len(self.older)

    @property
    def back_number(self) -> int:
        return len(self.back)

    @property
    def older_places(self) -> tuple[str, ...]:
        """Where the older reports are, each slot once."""
        return tuple(dict.fromkeys(f"{one.desk} {one.position or ''}".strip() for one in self.older))

    @property
    def counts(self) -> dict:
        return {"open_reports": self.open, "back_after_repair": len(self.back)}


def facts(quarter: Quarter) -> BenchNow:
    """What is open, what waits, what came back, which decisions are due and which spares are not ready."""
    end = pd.Timestamp(quarter.last_day)
    faults = quarter.evidence.faults
    waiting = faults[still_open(faults)].sort_values("happened_on", ascending=False, kind="stable")
    late = (end - waiting["happened_on"]).dt.days > RECENT_DAYS
    since = end - pd.Timedelta(days=RETURN_DAYS)
    back = faults[(faults["class"] == "return") & (faults["happened_on"] > since)]
    work = quarter.evidence.work
    spares = spare_modules(quarter)
    return BenchNow(
        quarter.last_day,
        quarter.records.name,
        _reports(Report, waiting[~late]),
        _reports(Report, waiting[late]),
        waiting["happened_on"].min().date() if len(waiting) else None,
        _waiting(quarter),
        _reports(Back, back.sort_values("happened_on", ascending=False, kind="stable")),
        int((work["done_on"].gt(since) & ~work["planned"].astype(bool)).sum()),
        _due(quarter),
        tuple(spares.loc[~spares["ready"], "serial"]),
        tuple(spares.loc[spares["ready"], "serial"]),
        wanted_back(quarter),
    )


def _reports(kind, faults) -> tuple:
    names = {"event_id": "ticket", "happened_on": "on", "symptom": "complaint"}
    serials = [serial_of(row) for row in faults.itertuples()]
    return records(kind, faults.rename(columns=names).assign(serial=np.array(serials, object)))


def _waiting(quarter: Quarter) -> tuple[Waiting, ...]:
    queue = bench_queue(quarter)
    names = [serial_of(row) or f"{row.desk} {row.position}" for row in queue.itertuples()]
    queue = queue.assign(serial=names)
    found = [Waiting(str(what), tuple(own)) for what, own in queue.groupby("waits_for", sort=True)["serial"]]
    bare = tuple(queue.loc[queue["waits_for"].isna() & queue["at_bench"].astype(bool), "serial"])
    return (*found, *((Waiting("bench time", bare),) if bare else ()))


def _due(quarter: Quarter) -> tuple[Due, ...]:
    """What the last review that asked for it proposed and nobody did; what was refused or put off waits to be proposed anew."""
    table = quarter.table("decisions")
    table = table.assign(of=table["serial"].fillna(table["part_type"])).sort_values("review", kind="stable")
    table = table.assign(sort=table["what"].str.split().str[0]).drop_duplicates(["sort", "of"], keep="last")
    left = table["done_on"].isna() & ~table["agreed"].isin(["refused", "put off"])
    table = table[left & (table["agreed"].eq("agreed") | table["review"].eq(table["review"].max()))]
    table = table.sort_values("due_on", kind="stable")
    is_late = table["due_on"] < pd.Timestamp(quarter.last_day)
    return records(Due, table.rename(columns={"due_on": "on"}).assign(is_late=is_late))
