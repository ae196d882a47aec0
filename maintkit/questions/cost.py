"""What the quarter cost: session time, bench time and parts."""

from dataclasses import dataclass

from maintkit.quarter.counts import faults_by_desk
from maintkit.quarter.quarter import Quarter


@dataclass(frozen=True)
class Dearest:
    """The ticket that took most session time."""

    ticket: str
    desk: str
    minutes: float


@dataclass(frozen=True)
class Cost:
    """What the faults of a quarter took.

    Attributes
    ----------
    quarter : str
    faults : int
    session_minutes : float
    has_minutes : bool
        Whether any ticket of the quarter gives minutes.
    bench_hours : float or None
        Hands-on time of all unplanned work in the quarter; None where no minutes are written down.
    jobs, untimed : int
        Pieces of unplanned work with a time, and without one.
    parts : int
        Parts replaced in it.
    parts_cost : float or None
        In the money of ``unit_cost``; None where a part that was replaced has no price.
    usual_minutes, usual_bench_minutes : float or None
        Medians: of a fault that cost session time, of a job that took bench time.
    dearest : Dearest or None
        The one ticket with most minutes, where it took a quarter of them or more.
    planned_jobs, planned_parts : int
        Pieces of planned work, and the parts that it says it took.
    planned_hours : float or None
        Hands-on time of these; None where no minutes are written down.
    """

    quarter: str
    faults: int
    session_minutes: float
    has_minutes: bool
    bench_hours: float | None
    jobs: int
    untimed: int
    parts: int
    parts_cost: float | None
    usual_minutes: float | None
    usual_bench_minutes: float | None
    dearest: Dearest | None
    planned_jobs: int
    planned_parts: int
    planned_hours: float | None

    @property
    def is_planned_alone(self) -> bool:
        """Whether planned work was done and no other."""
        return self.planned_jobs > 0 and not self.jobs and not self.untimed


SHARE_TO_NAME = 0.25


def facts(quarter: Quarter) -> Cost:
    """Session minutes, bench hours and parts of the quarter's faults."""
    import pandas as pd

    first, last = pd.Timestamp(quarter.first_day), pd.Timestamp(quarter.last_day)
    by_desk = faults_by_desk(quarter)
    faults = quarter.evidence.faults
    here = faults[faults["happened_on"].between(first, last) & (faults["class"] != "not the desk")]
    work = quarter.evidence.work
    work = work[work["done_on"].between(first, last + pd.Timedelta(hours=23))]
    is_planned = work["planned"].astype(bool)
    planned, work = work[is_planned], work[~is_planned]
    timed, planned_timed = (some["bench_minutes"].dropna() for some in (work, planned))
    told = planned.loc[planned["action"].eq("replace") | planned["quantity"].gt(1), "quantity"]
    parts, parts_cost = _parts(quarter, work)
    minutes = here["minutes_lost"].dropna()
    lost = minutes[minutes > 0]
    return Cost(
        quarter=quarter.label,
        faults=int(by_desk["faults"].sum()),
        session_minutes=float(by_desk["minutes_lost"].sum()),
        has_minutes=bool(len(minutes)),
        bench_hours=float(timed.sum() / 60) if len(timed) else None,
        jobs=len(timed),
        untimed=len(work) - len(timed),
        parts=parts,
        parts_cost=parts_cost,
        usual_minutes=float(lost.median()) if len(lost) else None,
        usual_bench_minutes=float(timed.median()) if len(timed) else None,
        dearest=_dearest(here, float(lost.sum())),
        planned_jobs=len(planned),
        planned_parts=int(told.fillna(1).sum()),
        planned_hours=float(planned_timed.sum() / 60) if len(planned_timed) else None,
    )


def _parts(quarter: Quarter, work) -> tuple[int, float | None]:
    """How many parts the work took, and what they cost where each has a price."""
    taken = work[work["action"].eq("replace") & work["part_type"].notna()]
    number = taken["quantity"].fillna(1)
    costs = quarter.table("part_types").set_index("part_type")["unit_cost"]
    each = taken["part_type"].map(costs).astype(float)
    return int(number.sum()), None if each.isna().any() or not len(taken) else float((each * number).sum())


def _dearest(here, total: float) -> Dearest | None:
    known = here[here["minutes_lost"] > 0]
    if len(known) < 2:
        return None
    row = known.loc[known["minutes_lost"].idxmax()]
    if row["minutes_lost"] < SHARE_TO_NAME * total:
        return None
    return Dearest(str(row["event_id"]), str(row["desk"]), float(row["minutes_lost"]))
