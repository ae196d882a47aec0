"""Is it the module or the slot?"""

from dataclasses import dataclass

from maintkit.decide.patterns import FOLLOWS, SIGNIFICANCE, STAYS, SURE, longest_however_worded
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import record
from maintkit.quarter.runs import Alive, going_on, runs
from maintkit.quarter.supply import SupplyFlag, supply_flags

OTHERS_SHOWN = 7
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
class Longest:
    """A module with its faults of whatever sort in ``through`` slots, or a slot with those of as many modules, where ``usual`` are to be
    expected; ``p`` is the chance of as many at any module or slot, and ``is_sure`` whether that is little enough."""

    name: str
    follows: bool
    faults: int
    through: int
    usual: float
    p: float
    is_sure: bool


@dataclass(frozen=True)
class Patterns:
    """Runs of one fault that are more than chance: the modules they follow, the slots they stay with, and the other runs.

    ``alive`` are those of them that still go on, each with where it is today, days quiet and the last work; ``over`` counts
    those that ended: quiet three times their usual gap, or mended with a confirmed cause. ``supply`` are the bays of which
    two slots were reported within three days, one with a fault that was no module's. ``longest`` are the modules and slots with most
    faults however worded, where no run of one sort of fault follows any module or stays with any slot.
    """

    following: tuple[str, ...]
    alive: tuple[Alive, ...]
    over: int
    staying: tuple[str, ...]
    others: int
    supply: tuple[SupplyFlag, ...]
    table: object
    counts: dict
    longest: tuple[Longest, ...] = ()

    @property
    def more_alive(self) -> int:
        return max(len(self.alive) - FIRST_TOLD, 0)


def module_or_slot(quarter: Quarter) -> Patterns:
    """Faults that follow a module through slots, and faults that stay with a slot through modules."""
    table, alive = runs(quarter), going_on(quarter)
    sure = table[table["verdict"] == SURE]
    following, staying = (sure[sure["pattern"] == pattern] for pattern in (FOLLOWS, STAYS))
    return Patterns(
        following=tuple(sorted(set(following["serials"]))),
        alive=alive,
        over=len(sure) - len(alive),
        staying=tuple(sorted({f"{row.desk} {row.position}" for row in staying.itertuples()})),
        others=len(table) - len(sure),
        supply=supply_flags(quarter),
        table=_shown(table.head(len(sure) + OTHERS_SHOWN)),
        counts={"patterns": len(table), "faults": int(table["faults"].sum()) if len(table) else 0},
        longest=tuple(_longest(quarter.evidence)) if not len(sure) else (),
    )


def _longest(evidence):
    for row in longest_however_worded(evidence.faults, evidence.stays).itertuples():
        yield record(Longest, row, follows=row.pattern == FOLLOWS, is_sure=row.p < SIGNIFICANCE)


def _shown(table):
    """The columns of the table, what was tried in words."""
    tried = [", ".join(f"{name} ({times})" for name, times in one) for one in table["tried"]]
    return table.assign(tried=tried)[COLUMNS]
