"""What a record book could hold that would add most to its next review: facts, never a thing to do."""

from dataclasses import dataclass

from maintkit.quarter.quarter import Quarter
from maintkit.records.drafting import WHOLE_DESK

LINES = 3
LEAST = 0.1  # share of the rows below which a gap is not worth a line
FEWEST = 5


@dataclass(frozen=True)
class Gap:
    """A thing not written down: ``name`` from a closed set, the rows that lack it, and all of them."""

    name: str
    lacking: int
    of: int


@dataclass(frozen=True)
class KeepNext:
    """At most three gaps, the one that touches most first; the coupling of desks, where of several it is not known, comes last."""

    gaps: tuple[Gap, ...]


def facts(quarter: Quarter) -> KeepNext:
    """The gaps of faults and work since records began, those that touch most first."""
    evidence = quarter.evidence
    seen = evidence.fault_counts(["source", "serial", "desk", "position", "minutes_lost", "as_report"])
    stands_in = seen["serial"].isna() | (seen["serial"] == seen["desk"] + "/" + seen["position"])
    by_slot = evidence.tally["modules_by_slot"] > 0
    tickets, every = seen["source"] == "ticket", seen["serial"].notna() | True
    work = evidence.work[~evidence.work["planned"].astype(bool)]
    replaced = work[work["action"].eq("replace")]
    named = replaced["part_type"].notna()
    gaps = (
        _gap("outcome", seen, tickets & seen["as_report"].astype(bool), tickets),
        _gap("minutes", seen, tickets & seen["minutes_lost"].isna(), tickets),
        _gap("slot", seen, seen["position"].isna() | seen["position"].eq(WHOLE_DESK), every),
        _gap("swaps", seen, every, every) if by_slot else _gap("serial", seen, stands_in, every),
        Gap("part_type", int((~named).sum()), len(replaced)),
        Gap("parts_list", 0 if evidence.tally["parts_watched"] else int(named.sum()), int(named.sum())),
        Gap("bench_minutes", int(work["bench_minutes"].isna().sum()), len(work)),
    )
    worth = [gap for gap in gaps if gap.of >= FEWEST and gap.lacking >= LEAST * gap.of]
    told = sorted(worth, key=lambda gap: -gap.lacking)
    desks = evidence.stays.drop_duplicates("desk")
    untold = int(desks["coupling"].isna().sum())
    if untold and len(desks) > 1:
        told.append(Gap("coupling", untold, len(desks)))
    return KeepNext(tuple(told[:LINES]))


def _gap(name: str, seen, lacking, of) -> Gap:
    return Gap(name, int(seen.loc[lacking, "faults"].sum()), int(seen.loc[of, "faults"].sum()))
