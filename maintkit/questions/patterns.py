"""Is it the module or the slot?"""

from dataclasses import dataclass
from datetime import date

from maintkit.decide.patterns import FOLLOWS, STAYS, SURE, gone_on, judged_patterns, told_today
from maintkit.quarter.calendar import without_care
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import record
from maintkit.quarter.supply import SupplyFlag, supply_flags

OTHERS_SHOWN = 7
OF_A_SLOT = ["desk", "position", "happened_on", "done_on", "action", "part_type", "planned"]
FIRST_TOLD = 2  # of the runs that go on, where there is little room
RUN = ["verdict", "pattern", "serials", "desk", "position", "symptom", "faults", "usual_faults"]
TODAY = [
    "more_since",
    "alive",
    "slot_today",
    "days_quiet",
    "last_work_on",
    "last_work",
    "last_found",
    "tried",
]
COLUMNS = [*RUN, "first_on", "last_on", *TODAY, "p"]


@dataclass(frozen=True)
class Tried:
    """Work done on a run: what, and how often."""

    name: str
    times: int


@dataclass(frozen=True)
class Alive:
    """A run that still goes on: the module or slot, where it is today, its faults ``since`` the first, how many more came at
    its slot since the last of them (``more_since``, however worded), days quiet, what was tried since, the last work and
    what that found."""

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


@dataclass(frozen=True)
class Patterns:
    """Runs of one fault that are more than chance: the modules they follow, the slots they stay with, and the other runs.

    ``alive`` are those of them that still go on, each with where it is today, days quiet and the last work; ``over`` counts
    those that ended: quiet three times their usual gap, or mended with a confirmed cause. ``supply`` are the bays of which
    two slots were reported within three days, one with a fault that was no module's.
    """

    following: tuple[str, ...]
    alive: tuple[Alive, ...]
    over: int
    staying: tuple[str, ...]
    others: int
    supply: tuple[SupplyFlag, ...]
    table: object
    counts: dict

    @property
    def more_alive(self) -> int:
        return max(len(self.alive) - FIRST_TOLD, 0)


def module_or_slot(quarter: Quarter) -> Patterns:
    """Faults that follow a module through slots, and faults that stay with a slot through modules."""
    import pandas as pd

    evidence = quarter.evidence
    table = judged_patterns(evidence.slot_patterns, evidence.faults, evidence.stays)
    roster = evidence.roster.dropna(subset=["desk", "position"])
    sitting = {row.serial: (row.desk, row.position) for row in roster.itertuples()}
    work = without_care(evidence.work).sort_values("done_on", kind="stable")
    found = quarter.table("repairs", "repair", "finding").drop_duplicates("repair").set_index("repair")
    work = work.assign(finding=work["repair"].map(found["finding"]))
    today = pd.Timestamp(quarter.last_day)
    table = gone_on(table, evidence.faults, evidence.stays, work, today=today)
    if len(table) and len(of_slots := _of_the_slots(evidence.faults)):
        work = pd.concat([work, of_slots]).sort_values("done_on", kind="stable")
        table = _with_those_of_slots(table, of_slots)
    table = told_today(table, work, sitting, today=today)
    sure = table[table["verdict"] == SURE]
    alive = sure[sure["alive"].astype(bool)]
    following, staying = (sure[sure["pattern"] == pattern] for pattern in (FOLLOWS, STAYS))
    return Patterns(
        following=tuple(sorted(set(following["serials"]))),
        alive=tuple(_alive(row) for row in alive.itertuples()),
        over=len(sure) - len(alive),
        staying=tuple(sorted({f"{row.desk} {row.position}" for row in staying.itertuples()})),
        others=len(table) - len(sure),
        supply=supply_flags(quarter),
        table=_shown(table.head(len(sure) + OTHERS_SHOWN)),
        counts={"patterns": len(table), "faults": int(table["faults"].sum()) if len(table) else 0},
    )


def _of_the_slots(faults):
    """The faults that were of slots themselves, as the work on these: it is on no module."""
    own = faults[(faults["class"] == "slot or supply") & (faults["of_slot"] == "slot")]
    return own.assign(done_on=own["decided_on"], planned=False)[OF_A_SLOT]


def _with_those_of_slots(table, of_slots):
    """The runs, those that stay with a slot until the last fault that was of this slot itself."""
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
        tried=tuple(Tried(*one) for one in row.tried),
    )


def _shown(table):
    """The columns of the table, what was tried in words."""
    tried = [", ".join(f"{name} ({times})" for name, times in one) for one in table["tried"]]
    return table.assign(tried=tried)[COLUMNS]
