"""Demand for parts and modules with its doubt, what runs out, and what to order."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.stocking import chance_at_most, lasting, stock_for
from maintkit.stats.rates import poisson_limits
from maintkit.stats.trend import laplace_trend

DAYS_PER_YEAR = 365.25
LEAD_DAYS = 30.0             # where part_types names none
RECENT_YEARS = 3.0
TREND_P = 0.05
FEWEST_FOR_A_TREND = 8


@dataclass(frozen=True)
class Demand:
    """Uses of one kind a calendar year: ``shape`` / ``years`` on average, with gamma doubt of that shape."""

    used: int
    years: float
    recent: bool = False

    @property
    def shape(self) -> float:
        """Uses and a half: the doubt of a rate seen that often (Jeffreys' prior)."""
        return self.used + 0.5

    @property
    def a_year(self) -> float:
        """Mean uses a year."""
        return self.shape / self.years if self.years > 0 else 0.0

    def limits(self, *, level: float = 0.90):
        """Exact limits of uses a year."""
        return poisson_limits(self.used, level=level) / self.years if self.years > 0 else np.array([0.0, np.inf])


def demand_of(days, quantity, *, length_days: float) -> Demand:
    """Demand from the days on which parts were used.

    Parameters
    ----------
    days, quantity : array_like, shape (n,)
        Days since the records began, and parts used on each.
    length_days : float
        Length of the records.

    Notes
    -----
    Where use has risen or fallen (Laplace test, p below 0.05, eight uses or more) only the last three years count.

    Examples
    --------
    >>> demand_of([10, 900], [1, 2], length_days=1461).a_year
    0.875
    """
    days, quantity = np.asarray(days, float), np.asarray(quantity, int)
    inside = (days >= 0) & (days <= length_days)
    days, quantity = days[inside], quantity[inside]
    times = np.repeat(days, quantity)
    recent = RECENT_YEARS * DAYS_PER_YEAR
    enough = len(times) >= FEWEST_FOR_A_TREND and length_days > recent
    if enough and laplace_trend(np.sort(times), length_days).p < TREND_P:
        return Demand(int(quantity[days > length_days - recent].sum()), RECENT_YEARS, recent=True)
    return Demand(int(quantity.sum()), length_days / DAYS_PER_YEAR)


def part_demand(work, *, first_day, last_day) -> dict:
    """Demand for each part type from the parts put in one by one since ``first_day``; re-caps do not count."""
    used = work[(work["action"] == "replace") & work["part_type"].notna() & (work["done_on"] >= first_day)]
    length = float((last_day - first_day).days)
    days = (used["done_on"] - first_day).dt.days
    used = used.assign(day=days, quantity=used["quantity"].fillna(1).astype(int))
    return {name: demand_of(own["day"], own["quantity"], length_days=length) for name,
            own in used.groupby("part_type", sort=True)}


def order_list(part_types, demand: dict, on_hand: dict, *, protection: float, review_days: float, years: float):
    """What to order, part by part, most likely to run out first.

    Parameters
    ----------
    part_types : DataFrame
        ``part_type, kind, unit_cost, lead_time_days, obtainable``.
    demand : dict of Demand
        By part type; one that was never used has none seen in ``years``.
    on_hand : dict
        Parts counted; a type not counted has no number.
    protection : float
        Wanted chance that stock lasts until an order made a review later has come.
    review_days : float
        Days between orders.
    years : float
        Length of the records.

    Returns
    -------
    DataFrame
        ``part_type, kind, obtainable, used, used_per_year`` with limits, ``on_hand, lead_days, runs_out`` (chance
        within the lead time), ``order, order_cost, years_left`` with limits.
    """
    import pandas as pd

    rows = [_one_part(part, demand.get(part.part_type, Demand(0, years)), on_hand.get(part.part_type), protection,
                      review_days)
            for part in part_types.sort_values("part_type").itertuples(index=False)]
    table = pd.DataFrame(rows, columns=["part_type", "kind", "obtainable", "used", "used_per_year", "used_per_year_low",
                                        "used_per_year_high", "recent", "on_hand", "lead_days", "runs_out", "order",
                                        "order_cost",
                                        "years_left", "years_left_low", "years_left_high"])
    return table.sort_values(["runs_out", "part_type"], ascending=[False, True], kind="stable",
                             na_position="last").reset_index(drop=True)


def _one_part(part, demand: Demand, on_hand, protection, review_days):
    lead = (LEAD_DAYS if part.lead_time_days != part.lead_time_days or part.lead_time_days is None
            else float(part.lead_time_days))
    low, high = demand.limits()
    about = {"part_type": part.part_type, "kind": part.kind, "obtainable": part.obtainable, "used": demand.used,
             "recent": demand.recent,
             "used_per_year": demand.used / demand.years if demand.years else np.nan, "used_per_year_low": low,
             "used_per_year_high": high, "lead_days": lead}
    if on_hand is None:
        return {**about, "on_hand": np.nan, "runs_out": np.nan, "order": np.nan, "order_cost": np.nan}
    over = demand.a_year * lead / DAYS_PER_YEAR
    until = demand.a_year * (lead + review_days) / DAYS_PER_YEAR
    order = 0 if part.obtainable == "no" else max(stock_for(protection, until, shape=demand.shape) - on_hand, 0)
    median, least, most = lasting(on_hand, demand.a_year, shape=demand.shape)
    return {**about, "on_hand": on_hand, "runs_out": 1 - chance_at_most(on_hand, over, shape=demand.shape),
            "order": order,
            "order_cost": order * part.unit_cost if part.unit_cost is not None else np.nan, "years_left": median,
            "years_left_low": least,
            "years_left_high": most}
