"""Do the boards suffer from being re-worked?"""

from dataclasses import dataclass
from typing import Literal

from maintkit.actions import ACTIONS
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.survival.rate_trend import rate_ratio_a_step
from maintkit.survival.rates import rate

SIGNIFICANCE = 0.05
SOLDERING = tuple(action.name for action in ACTIONS if action.may_lift_tracks)
COLUMNS = ["rework_cycles", "bridged", "soldering_works", "modules", "bridged_per_100_works", "low", "high"]


@dataclass(frozen=True)
class BoardDamage:
    """Tracks bridged in soldering works, and how many times as often with each re-cap the board had before.

    ``value`` is None where too few are on record to tell; ``table`` has a row for each number of re-caps.
    """

    verdict: Literal["cannot tell", "no difference", "more", "less"]
    bridged: int
    works: int
    value: float | None
    low: float | None
    high: float | None
    table: object

    counts = counted(bridged_tracks="bridged", soldering_works="works")


def facts(quarter: Quarter) -> BoardDamage:
    """Tracks bridged for each piece of soldering work, by how often the board had been re-capped before it."""
    cells = _cells(quarter)
    table = _by_cycles(cells)
    trend = rate_ratio_a_step(cells["bridged"], cells["works"], cells["rework_cycles"], cells["serial"])
    if trend.ratio is None:
        verdict = "cannot tell"
    elif trend.p >= SIGNIFICANCE:
        verdict = "no difference"
    else:
        verdict = "more" if trend.ratio > 1 else "less"
    sums = table[["bridged", "soldering_works"]].sum()
    return BoardDamage(verdict, *(int(one) for one in sums), trend.ratio, trend.low, trend.high, table)


def _cells(quarter: Quarter):
    """Soldering works and bridged tracks of each module at each number of re-caps, of families that are re-capped."""
    work = quarter.evidence.work
    start = quarter.evidence.stays["from_on"].min()
    work = work[work["serial"].notna() & (work["done_on"] >= start)]
    capped = work.groupby("family")["rework_cycles"].transform("max") > 0
    work = work[capped].assign(
        bridged=work["quantity"].where(work["action"] == "bridge track", 0),
        works=work["action"].isin(SOLDERING).astype(int),
    )
    return work.groupby(["rework_cycles", "serial"], sort=True)[["bridged", "works"]].sum().reset_index()


def _by_cycles(cells):
    import pandas as pd

    rows = []
    for cycles, of_cycles in cells.groupby("rework_cycles", sort=True):
        bridged, works = (int(of_cycles[name].sum()) for name in ("bridged", "works"))
        if works:
            found = rate(bridged, works)
            each = (100 * one for one in (found.value, found.low, found.high))
            rows.append((int(cycles), bridged, works, len(of_cycles), *each))
    return pd.DataFrame(rows, columns=COLUMNS)
