"""What came of what earlier reviews proposed?"""

from dataclasses import dataclass

from maintkit.quarter.decisions import READY, outcome
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.survival.rates import poisson_tail

MARKS = ("refused", "put_off", "agreed")
BY_CHANCE = 0.05  # of a count, from which chance may bring it


@dataclass(frozen=True)
class Outcome:
    """What was proposed, what was done, and the faults since on the modules done beside like modules left alone.

    ``faults_like`` is what the modules done would have had at the rate of like modules for which nothing was done; None where
    there is none to set them against; a module proposed in several reviews counts once. ``by_chance`` says that as few, or as
    many, would come by chance in one case of twenty. ``refused, put_off, agreed, unmarked`` count what was not done by what stands in ``agreed``.
    """

    proposed: int
    done: int
    refused: int
    put_off: int
    agreed: int
    unmarked: int
    modules: int
    faults: int
    faults_like: float | None
    by_chance: bool
    table: object

    counts = counted("proposed", "done")


def facts(quarter: Quarter) -> Outcome:
    """Every earlier proposal with whether it was done, and the faults since beside those of like modules left alone."""
    table = outcome(quarter)
    is_done = table["is_done"].astype(bool)
    done, left = table[is_done], table[~is_done]
    told = done[done["faults_like"].notna() & (done["what"] != READY)].drop_duplicates("serial")
    seen, due = int(told["faults"].sum()), float(told["faults_like"].sum())
    return Outcome(
        proposed=len(table),
        done=len(done),
        **{name: int((left["agreed"] == name.replace("_", " ")).sum()) for name in MARKS},
        unmarked=int(left["agreed"].isna().sum()),
        modules=len(told),
        faults=seen,
        faults_like=due if len(told) else None,
        by_chance=poisson_tail(seen, due) >= BY_CHANCE,
        table=table if len(table) else None,
    )
