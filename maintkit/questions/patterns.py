"""Is it the module or the slot?"""

from dataclasses import dataclass

from maintkit.decide.patterns import SURE, judged_patterns
from maintkit.quarter.quarter import Quarter

OTHERS_SHOWN = 7
FOLLOWS, STAYS = "follows the module", "stays with the slot"
COLUMNS = [
    "verdict",
    "pattern",
    "serials",
    "desk",
    "position",
    "symptom",
    "faults",
    "usual_faults",
    "first_on",
    "last_on",
    "p",
]


@dataclass(frozen=True)
class Patterns:
    """Runs of one fault that are more than chance: the modules they follow, the slots they stay with, and the other runs."""

    following: tuple[str, ...]
    staying: tuple[str, ...]
    others: int
    table: object
    counts: dict


def module_or_slot(quarter: Quarter) -> Patterns:
    """Faults that follow a module through slots, and faults that stay with a slot through modules."""
    evidence = quarter.evidence
    table = judged_patterns(evidence.slot_patterns, evidence.faults, evidence.stays)
    sure = table[table["verdict"] == SURE]
    following, staying = (sure[sure["pattern"] == pattern] for pattern in (FOLLOWS, STAYS))
    return Patterns(
        following=tuple(sorted(set(following["serials"]))),
        staying=tuple(sorted({f"{row.desk} {row.position}" for row in staying.itertuples()})),
        others=len(table) - len(sure),
        table=table[COLUMNS].head(len(sure) + OTHERS_SHOWN),
        counts={"patterns": len(table), "faults": int(table["faults"].sum()) if len(table) else 0},
    )
