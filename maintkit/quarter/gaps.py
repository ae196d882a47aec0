"""What the bookings on record do not let be planned, so that more gaps can be asked for."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from maintkit.decide.plan_held import HOURS, STOCK
from maintkit.quarter.programme import Programme, limited_sum, minutes_used
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.resources import QUARTERS, day_of, days_ahead
from maintkit.quarter.rows import plain
from maintkit.survival.results import Limited


@dataclass(frozen=True)
class Gaps:
    """Modules worth an overhaul that fit the bench hours left, had their desks gaps: how many, on which desk most, hours at the bench,
    session minutes and faults saved with limits; ``least_days`` that a gap must last for those that no gap on record holds."""

    number: int
    desk: str
    on_desk: int
    bench_hours: float
    saved: Limited
    faults: Limited
    least_days: int | None = None


def bookings_until(quarter: Quarter) -> date | None:
    """The last day of the bookings on record where they end before the plan does, else None."""
    last = plain(quarter.table("bookings")["free_to"].max())
    ends = day_of(quarter, days_ahead(quarter, QUARTERS) - 1)
    return last if last is not None and last < ends else None


def gaps_wanted(own: Programme, left) -> Gaps | None:
    """What would fit the hours left, those first that save most; None where bookings hold nothing back. ``left`` has ``why``."""
    left = left[~left["desk"].isin(own.means.always_free) & (left["why"] != STOCK)]
    free = 60 * own.means.hours_a_day * own.means.days - minutes_used(own)
    fits = left[left["bench_minutes"].cumsum() <= free]
    if not len(fits):
        return None
    here = np.zeros(len(own.modules))
    here[fits.index] = 1.0
    desks, longer = fits["desk"].value_counts(), fits.loc[fits["why"] == HOURS, "bench_minutes"]
    return Gaps(
        len(fits),
        str(desks.index[0]),
        int(desks.iloc[0]),
        float(fits["bench_minutes"].sum() / 60),
        limited_sum(own.worth.draws, float(fits["minutes_saved"].sum()), here),
        limited_sum(own.worth.faults[1:], float(own.worth.faults[0] @ here), here),
        own.means.days_for(float(longer.max())) if len(longer) else None,
    )
