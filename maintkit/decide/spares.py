"""Demand for parts and modules with its doubt, what runs out, and what to order."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.stocking import chance_at_most, lasting, stock_for
from maintkit.hours import DAYS_PER_YEAR
from maintkit.survival.rates import poisson_limits
from maintkit.survival.trend import laplace_trend

LEAD_DAYS = 30.0  # where part_types names none
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
        return (
            poisson_limits(self.used, level=level) / self.years if self.years > 0 else np.array([0.0, np.inf])
        )

    def rate_limits(self, *, level: float = 0.90):
        """Between which uses a year the rate lies by its gamma doubt."""
        from scipy.special import gammaincinv

        return (
            gammaincinv(self.shape, [(1 - level) / 2, (1 + level) / 2]) / self.years
            if self.years > 0
            else np.zeros(2)
        )


def demand_of(days, quantity, *, length_days: float) -> Demand:
    """Demand from the days on which parts were used.

    Parameters
    ----------
    days, quantity : array_like, shape (n,)
        Days since the records began, and parts used on each.
    length_days : float
        Length of the records.

    Returns
    -------
    Demand

    Notes
    -----
    Uses and a half over the years: the prior of H. Jeffreys (1946), Proc. Royal Soc. A 186, 453-461. Where use has risen or
    fallen (Laplace test, p below 0.05, eight uses or more) only the last three years count.

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
    if (
        enough and laplace_trend(times + 0.5, length_days + 1).p < TREND_P
    ):  # a use stands in the middle of its day
        return Demand(int(quantity[days > length_days - recent].sum()), RECENT_YEARS, recent=True)
    return Demand(int(quantity.sum()), length_days / DAYS_PER_YEAR)


def part_demand(work, *, first_day, last_day) -> dict:
    """Demand for each part type, a dict, from the parts put in one by one from ``first_day`` to ``last_day``; re-caps do not count.

    ``work`` is the evidence's frame; the method is as in :func:`demand_of`.
    """
    used = work[(work["action"] == "replace") & work["part_type"].notna() & (work["done_on"] >= first_day)]
    length = float((last_day - first_day).days)
    days = (used["done_on"] - first_day).dt.days
    used = used.assign(day=days, quantity=used["quantity"].fillna(1).astype(int))
    return {
        name: demand_of(own["day"], own["quantity"], length_days=length)
        for name, own in used.groupby("part_type", sort=True)
    }


@dataclass(frozen=True)
class Ordering:
    """How orders are made: ``protection`` is the wanted chance that stock lasts until an order made a review of
    ``review_days`` later has come; ``planned`` parts, by type, that planned work takes besides; ``years`` of records."""

    protection: float
    review_days: float
    years: float
    planned: dict


def order_list(part_types, demand: dict, on_hand: dict, *, ordering: Ordering, usable: dict | None = None):
    """What to order, part by part, most likely to run out first.

    Parameters
    ----------
    part_types : DataFrame
        ``part_type, kind, unit_cost, lead_time_days, obtainable``.
    demand : dict of Demand
        By part type; one that was never used has none seen in ``years``.
    on_hand : dict
        Parts counted; a type not counted has no number.
    ordering : Ordering
    usable : dict, optional
        How many of them an order may count on, by part type; all of what is not in it.

    Returns
    -------
    DataFrame
        ``part_type, kind, obtainable, used, used_per_year`` with limits, ``on_hand, usable, planned, lead_days, lead_demand`` (parts
        wanted one by one within the lead time, expected) and ``lead_demand_most`` (no more with the chance wanted),
        ``runs_out`` (chance within the lead time, planned work left out), ``order, order_cost, years_left`` with limits.

    Notes
    -----
    An order up to the quantile of the demand until the next one has come: periodic review, common practice; the demand is
    negative binomial, a Poisson one with gamma doubt (M. Greenwood & G. U. Yule 1920).
    """
    import pandas as pd

    rows = [
        _one_part(
            part,
            demand.get(part.part_type, Demand(0, ordering.years)),
            on_hand.get(part.part_type),
            (usable or on_hand).get(part.part_type),
            ordering,
        )
        for part in part_types.sort_values("part_type").itertuples(index=False)
    ]
    table = pd.DataFrame(
        rows,
        columns=[
            "part_type",
            "kind",
            "obtainable",
            "used",
            "used_per_year",
            "used_per_year_low",
            "used_per_year_high",
            "recent",
            "on_hand",
            "planned",
            "lead_days",
            "lead_demand",
            "lead_demand_most",
            "runs_out",
            "order",
            "order_cost",
            "years_left",
            "years_left_low",
            "years_left_high",
            "usable",
        ],
    )
    return table.sort_values(
        ["runs_out", "part_type"], ascending=[False, True], kind="stable", na_position="last"
    ).reset_index(drop=True)


def _one_part(part, demand: Demand, on_hand, usable, ordering: Ordering):
    lead = (
        LEAD_DAYS
        if part.lead_time_days != part.lead_time_days or part.lead_time_days is None
        else float(part.lead_time_days)
    )
    low, high = demand.limits()
    over = demand.a_year * lead / DAYS_PER_YEAR
    planned = int(ordering.planned.get(part.part_type, 0))
    about = {
        "part_type": part.part_type,
        "kind": part.kind,
        "obtainable": part.obtainable,
        "used": demand.used,
        "recent": demand.recent,
        "used_per_year": demand.used / demand.years if demand.years else np.nan,
        "used_per_year_low": low,
        "used_per_year_high": high,
        "lead_days": lead,
        "planned": planned,
        "lead_demand": over,
        "lead_demand_most": stock_for(ordering.protection, over, shape=demand.shape),
    }
    if on_hand is None or on_hand != on_hand:
        return {
            **about,
            "on_hand": np.nan,
            "usable": np.nan,
            "runs_out": np.nan,
            "order": np.nan,
            "order_cost": np.nan,
            **dict.fromkeys(("years_left", "years_left_low", "years_left_high"), np.nan),
        }
    until = demand.a_year * (lead + ordering.review_days) / DAYS_PER_YEAR
    wanted = stock_for(ordering.protection, until, shape=demand.shape) + planned
    order = 0 if part.obtainable == "no" else max(wanted - usable, 0)
    cost = np.nan if part.unit_cost is None else part.unit_cost
    median, least, most = lasting(on_hand, demand.a_year, shape=demand.shape)
    return {
        **about,
        "on_hand": on_hand,
        "usable": usable,
        "runs_out": 1 - chance_at_most(on_hand, over, shape=demand.shape),
        "order": order,
        "order_cost": order * cost if order else 0.0,
        "years_left": median,
        "years_left_low": least,
        "years_left_high": most,
    }
