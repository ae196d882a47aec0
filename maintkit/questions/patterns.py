"""Is it the module or the slot?"""

from dataclasses import dataclass

from maintkit.decide.patterns import FOLLOWS, STAYS, SURE
from maintkit.quarter.quarter import Quarter
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
    )


def _shown(table):
    """The columns of the table, what was tried in words."""
    tried = [", ".join(f"{name} ({times})" for name, times in one) for one in table["tried"]]
    return table.assign(tried=tried)[COLUMNS]
