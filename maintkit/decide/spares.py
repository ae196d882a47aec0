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

        if self.years <= 0:
            return np.zeros(2)
        return gammaincinv(self.shape, [(1 - level) / 2, (1 + level) / 2]) / self.years


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
    # a use stands in the middle of its day
    if enough and laplace_trend(times + 0.5, length_days + 1).p < TREND_P:
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
    ``review_days`` later has come; ``planned`` parts, by type, that planned work takes besides; ``years`` of records; ``refused``
    part types are not ordered."""

    protection: float
    review_days: float
    years: float
    planned: dict
    refused: frozenset = frozenset()


def order_list(part_types, demand: dict, on_hand: dict, *, ordering: Ordering, usable: dict | None = None):
    """What to order, part by part, most likely to run out first.

    Parameters
    ----------
    part_types : DataFrame
        ``part_type, kind, unit_cost, lead_time_days, obtainable``.
    demand : dict of Demand
        By part type; one that was never used has none seen in ``years``, and is ordered for planned work alone.
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

    parts = part_types.sort_values("part_type", ignore_index=True)
    names, lead = parts["part_type"], parts["lead_time_days"].astype(float).fillna(LEAD_DAYS).to_numpy()
    wanted = [demand.get(name, Demand(0, ordering.years)) for name in names]
    low, high = np.array([one.limits() for one in wanted]).reshape(-1, 2).T
    shape, a_year = (np.array([getattr(one, of) for one in wanted], float) for of in ("shape", "a_year"))
    over, until = (a_year * days / DAYS_PER_YEAR for days in (lead, lead + ordering.review_days))
    planned = [int(ordering.planned.get(name, 0)) for name in names]
    can_order = (parts["obtainable"] != "no") & ~names.isin(ordering.refused)
    held = [on_hand.get(name, np.nan) for name in names]
    sure = [
        (usable or on_hand).get(name) if own == own else own for name, own in zip(names, held, strict=True)
    ]
    most, best = ([stock_for(ordering.protection, *of) for of in zip(mean, shape)] for mean in (over, until))
    best = [number if name in demand else 0 for name, number in zip(names, best, strict=True)]
    order = [
        own if own != own else max(number + more - own, 0) if can else 0
        for own, can, number, more in zip(sure, can_order, best, planned, strict=True)
    ]
    years = [
        lasting(*of) if of[0] == of[0] else (np.nan,) * 3 for of in zip(held, a_year, shape, strict=True)
    ]
    median, least, longest = np.array(years).reshape(-1, 3).T
    return pd.DataFrame(
        {
            **parts[["part_type", "kind", "obtainable"]],
            "used": [one.used for one in wanted],
            "used_per_year": [one.used / one.years if one.years else np.nan for one in wanted],
            "used_per_year_low": low,
            "used_per_year_high": high,
            "recent": [one.recent for one in wanted],
            "on_hand": held,
            "planned": planned,
            "lead_days": lead,
            "lead_demand": over,
            "lead_demand_most": most,
            "runs_out": 1 - chance_at_most(held, over, shape=shape),
            "order": order,
            "order_cost": np.where(np.array(order) == 0, 0.0, parts["unit_cost"].astype(float) * order),
            "years_left": median,
            "years_left_low": least,
            "years_left_high": longest,
            "usable": sure,
        }
    ).sort_values(
        ["runs_out", "part_type"],
        ascending=[False, True],
        kind="stable",
        na_position="last",
        ignore_index=True,
    )
