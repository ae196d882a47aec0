"""What came of what earlier reviews proposed?"""

from dataclasses import dataclass

from maintkit.quarter.decisions import outcome
from maintkit.quarter.marked import READY, refused_lately
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.survival.rates import poisson_tail

MARKS = ("refused", "put_off", "agreed")
BY_CHANCE = 0.05  # of a count, from which chance may bring it


@dataclass(frozen=True)
class Outcome:
    """What was proposed, what was done, and the faults since on the modules done beside like modules left alone.

    The same work on the same module or kind of part, proposed again before it was done, is one proposal, marked as it was last;
    ``rows`` counts each time it was proposed. ``not_again`` are the modules that are not proposed now, for their re-cap was refused
    within a year and no fault of capacitors was seen since.

    ``faults_due`` is what was expected of the modules done in the days since, had they been left alone; None where some row does not say.
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
    faults_due: float | None
    faults_like: float | None
    by_chance: bool
    rows: int
    not_again: tuple[str, ...]
    table: object

    counts = counted("proposed", "done")


def facts(quarter: Quarter) -> Outcome:
    """Every earlier proposal with whether it was done, and the faults since beside those of like modules left alone."""
    table = outcome(quarter)
    asked = table[table["is_last"].astype(bool)]
    is_done = asked["is_done"].astype(bool)
    done, left = asked[is_done], asked[~is_done]
    told = done[done["faults_like"].notna() & (done["what"] != READY)].drop_duplicates("serial")
    seen, due = int(told["faults"].sum()), float(told["faults_like"].sum())
    return Outcome(
        proposed=len(asked),
        done=len(done),
        **{name: int((left["marked"] == name.replace("_", " ")).sum()) for name in MARKS},
        unmarked=int(left["marked"].isna().sum()),
        modules=len(told),
        faults=seen,
        faults_due=None if told["faults_due"].isna().any() else float(told["faults_due"].sum()),
        faults_like=due if len(told) else None,
        by_chance=poisson_tail(seen, due) >= BY_CHANCE,
        rows=len(table),
        not_again=refused_lately(quarter),
        table=table.drop(columns=["is_last", "marked"]) if len(table) else None,
    )
