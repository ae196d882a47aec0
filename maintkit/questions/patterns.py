"""Is it the module or the slot?"""

from maintkit.decide.patterns import SURE, judged_patterns
from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import several
from maintkit.report.finding import Finding

OTHERS_SHOWN = 7
FOLLOWS, STAYS = "follows the module", "stays with the slot"


def module_or_slot(quarter: Quarter) -> Finding:
    """Faults that follow a module through slots, and faults that stay with a slot through modules."""
    evidence = quarter.evidence
    table = judged_patterns(evidence.slot_patterns, evidence.faults, evidence.stays)
    sure = table[table["verdict"] == SURE]
    columns = [
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
    return Finding(
        key="module-or-slot",
        title=_pattern_title(sure, len(table) - len(sure)),
        table=table[columns].head(len(sure) + OTHERS_SHOWN),
        caveats=(
            "A pattern takes three faults of one sort within three years and at least two slots or two modules; with fewer swaps "
            "on record it cannot be seen.",
            "Usual faults: how many of that sort a module of the type has in three years. p is adjusted for every module, slot, "
            "symptom and three years in which a run might have turned up; runs of one kind of part get none, for parts of a kind "
            "wear out together.",
            "A fault that stays with the slot points at its connector, its wiring or its rail, not at the module.",
        ),
        counts={"patterns": len(table), "faults": int(table["faults"].sum()) if len(table) else 0},
    )


def _pattern_title(sure, others: int) -> str:
    following, staying = (sure[sure["pattern"] == pattern] for pattern in (FOLLOWS, STAYS))
    said = []
    if len(following):
        said.append(f"One fault follows {' and '.join(sorted(set(following['serials'])))} from slot to slot")
    if len(staying):
        places = sorted({f"{row.desk} {row.position}" for row in staying.itertuples()})
        said.append(f"one stays with {' and '.join(places)} whatever module sits there")
    if not said:
        return (
            f"No fault on record follows a module or stays with a slot beyond chance; {several(others, 'run')} of three faults or "
            "more may be chance."
        )
    whole = "; ".join(said)
    return f"{whole[:1].upper()}{whole[1:]}; {several(others, 'other run')} may be chance."
