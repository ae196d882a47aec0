"""Runs of one fault that follow a module through slots or stay with a slot through modules, as they stand today."""

from dataclasses import dataclass
from datetime import date

from maintkit.actions import MENDING
from maintkit.decide.patterns import FOLLOWS, NOTHING, STAYS, SURE, gone_on, judged_patterns, told_today
from maintkit.quarter.calendar import without_care
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.rows import record


@dataclass(frozen=True)
class Tried:
    """Work done on a run: what, and how often."""

    name: str
    times: int


@dataclass(frozen=True)
class Alive:
    """A run that still goes on: the module or slot, where it is today, its faults ``since`` the first, how many more came at
    its slot since the last of them (``more_since``, however worded), days quiet, what was tried since, the last work and
    what that found; in how many ``modules``, and whether it is of reports of which nothing was found."""

    name: str
    follows: bool
    symptom: str
    faults: int
    since: date
    slot_today: str
    days_quiet: int
    tried: tuple[Tried, ...]
    last_work: str | None
    last_work_on: date | None
    last_found: str | None
    more_since: int = 0
    modules: int = 1
    nothing_found: bool = False


@once_a_quarter
def runs(quarter: Quarter):
    """Every run of three faults or more, with its verdict and what is told of it today; not to be changed."""
    import pandas as pd

    evidence = quarter.evidence
    table = judged_patterns(evidence.slot_patterns, evidence.faults, evidence.stays)
    roster = evidence.roster.dropna(subset=["desk", "position"])
    sitting = {row.serial: (row.desk, row.position) for row in roster.itertuples()}
    work = without_care(evidence.work)
    today = pd.Timestamp(quarter.last_day)
    table = gone_on(table, evidence.faults, evidence.stays, work, today=today)
    if len(table) and len(evidence.slot_work):
        table = _with_those_of_slots(table, evidence.faults)
        work = pd.concat([work, _found_where_advised(evidence.slot_work)])
    found = quarter.table("repairs", "repair", "finding").drop_duplicates("repair").set_index("repair")
    work = work.assign(finding=work["repair"].map(found["finding"])).sort_values("done_on", kind="stable")
    return told_today(table, work, sitting, today=today)


@once_a_quarter
def going_on(quarter: Quarter) -> tuple[Alive, ...]:
    """The runs beyond chance that still go on."""
    table = runs(quarter)
    table = table[(table["verdict"] == SURE) & table["alive"].astype(bool)]
    return tuple(_alive(row) for row in table.itertuples())


def _found_where_advised(slot_work):
    """The work on slots; what was mended there as planned, as the review asks, is the cause found, unless it is said to be unknown."""
    is_asked = slot_work["planned"].astype(bool) & slot_work["action"].isin(MENDING)
    told = slot_work["cause"].where(~is_asked | (slot_work["cause"] == "unknown"), "confirmed")
    return slot_work.assign(cause=told)


@once_a_quarter
def faults_of_slots(quarter: Quarter) -> dict[str, int]:
    """How many faults of each module, by serial, were a slot's: those in a slot in the time of a run beyond chance that stays with it and
    still goes on, however worded, but where an electrolytic was found."""
    table, faults = runs(quarter), quarter.evidence.faults
    table = table[(table["verdict"] == SURE) & table["alive"].astype(bool) & (table["pattern"] == STAYS)]
    faults = faults[faults["counts"].astype(bool) & faults["kind"].astype(object).ne("electrolytic")]
    events: set = set()
    for run in table.itertuples():
        here = (faults["desk"] == run.desk) & (faults["position"] == run.position)
        events |= {*faults["event_id"][here & faults["happened_on"].between(run.first_on, run.latest_on)]}
    return faults[faults["event_id"].isin(events)].groupby("serial", observed=True).size().to_dict()


def _with_those_of_slots(table, faults):
    """The runs, those that stay with a slot until the last fault that was of this slot itself or its cable."""
    of_slots = faults[(faults["class"] == "slot or supply") & faults["of_slot"].isin(["slot", "cable"])]
    last = of_slots.groupby(["desk", "position"])["happened_on"].max().rename("latest_of_slot")
    later = table.join(last, on=["desk", "position"])["latest_of_slot"].where(table["pattern"] == STAYS)
    return table.assign(latest_on=table["latest_on"].where(~(later > table["latest_on"]), later))


def _alive(row) -> Alive:
    follows = row.pattern == FOLLOWS
    return record(
        Alive,
        row,
        name=row.serials if follows else f"{row.desk} {row.position}",
        follows=follows,
        since=row.first_on.date(),
        modules=len(row.serials.split(", ")),
        nothing_found=row.told_by == NOTHING,
        tried=tuple(Tried(*one) for one in row.tried),
    )
