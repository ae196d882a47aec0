"""What does a module fail of first?"""

from dataclasses import dataclass

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.fitted import kind_replaced
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import record
from maintkit.survival.competing import cumulative_incidence
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

KEPT_APART = 5  # kinds with the most first faults stand apart, the rest go together
OTHER = "other kinds"


@dataclass(frozen=True)
class First:
    """The kind most modules fail of first: the share that has, with 90 % limits, and after how many powered years."""

    kind: str
    modules: int
    value: float
    low: float
    high: float
    powered_years: float


@dataclass(frozen=True)
class FirstCauses:
    """Of modules of one family, what their first fault was.

    Attributes
    ----------
    family : str or None
        None where no module was watched in a slot.
    families : tuple of str
        Those on record.
    failed, fewest : int
        Modules that had a counted fault, and how many it takes.
    first : First or None
    incidence : CumulativeIncidence or None
    table : DataFrame or None
        A row a kind: ``cause, first_faults, share, low, high``.
    counts : dict
    """

    family: str | None
    families: tuple[str, ...]
    failed: int
    fewest: int
    first: First | None = None
    incidence: object = None
    table: object = None
    counts: dict | None = None


def first_causes(quarter: Quarter, family: str | None = None) -> FirstCauses:
    """Of modules of one family, the share that has failed of each kind of part, by powered time since records began.

    Each module is followed from its first recorded day in a slot to its first fresh fault, or to the end.
    """
    families = tuple(sorted(quarter.evidence.stays["family"].dropna().unique()))
    family = family or next(iter(families), None)
    times = _first_faults(quarter, family) if families else ()
    failed = int((times["cause"] != "").sum()) if len(times) else 0
    if failed < FEWEST_FOR_A_VERDICT:
        return FirstCauses(family, families, failed, FEWEST_FOR_A_VERDICT, counts={})
    found = cumulative_incidence(np.zeros(len(times)), times["hours"].to_numpy(), times["cause"].to_numpy())
    table = _table(found, times)
    top = table.iloc[0].rename({"cause": "kind", "first_faults": "modules", "share": "value"})
    return FirstCauses(
        family,
        families,
        failed,
        FEWEST_FOR_A_VERDICT,
        first=record(First, top, powered_years=float(found.time[-1]) / HOURS_PER_YEAR),
        incidence=found,
        table=table,
        counts={
            "modules": len(times),
            "first_faults": failed,
            "powered_module_years": float(times["hours"].sum() / HOURS_PER_YEAR),
        },
    )


def _first_faults(quarter: Quarter, family):
    """A row per module: powered hours from first watched to first fault or end, and the kind of that fault."""
    evidence = quarter.evidence
    stays = evidence.stays[evidence.stays["family"] == family]
    watched = stays.groupby("serial", sort=True).agg(entry=("entry", "min"), exit=("exit", "max"))
    fresh = evidence.faults[evidence.faults["counts"] & evidence.faults["serial"].isin(watched.index)]
    first = fresh.sort_values(["happened_on", "event_id"]).groupby("serial").first()
    watched["cause"] = kind_replaced(first).reindex(watched.index).fillna("")
    known = watched.loc[watched["cause"] != "", "cause"].value_counts().sort_index()
    most = known.sort_values(ascending=False, kind="stable").index[:KEPT_APART]
    watched["cause"] = watched["cause"].where(watched["cause"].isin([*most, ""]), OTHER)
    until = first["time"].reindex(watched.index).fillna(watched["exit"])
    watched["hours"] = until - watched["entry"]
    return watched[watched["hours"] > 0].reset_index()


def _table(found, times):
    import pandas as pd

    number = times["cause"].value_counts().reindex(found.causes).to_numpy(int)
    table = pd.DataFrame({"cause": list(found.causes), "first_faults": number})
    ends = {"share": found.incidence[-1], "low": found.low[-1], "high": found.high[-1]}
    return table.assign(**ends).sort_values("share", ascending=False, kind="stable", ignore_index=True)
