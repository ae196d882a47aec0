"""A re-cap campaign laid out bay by bay into the gaps of the bookings, and what it takes in all."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.plan_constraints import Resources, in_order, options_of
from maintkit.decide.replacement_boards import PAYS
from maintkit.decide.replacement_costs import JOINTS_PER_CAPACITOR, solder_grams

UNNAMED = "bay not recorded"


@dataclass(frozen=True)
class Campaign:
    """``rows``: modules in order of work, with ``opening`` (row of the gaps, -1 any day, NaN none) and ``swapped``."""

    rows: object
    totals: dict[str, float]

    @property
    def placed(self):
        """The rows that found a gap."""
        return self.rows[self.rows["opening"].notna()]


def campaign(modules, means: Resources, *, ahead_years: float) -> Campaign:
    """Lay the re-caps that are due, or will be within the years given, bay by bay into the gaps.

    Parameters
    ----------
    modules : DataFrame
        ``Recaps.modules`` and a ``kit`` (number by part type).
    means : Resources
    ahead_years : float
        Powered years within which a module must come due to be done with its bay.

    Notes
    -----
    Bays in order of how far their modules are past the interval, taken together; within a bay the modules most overdue
    first. Each takes the first gap in which hours, spares and stock still allow it.
    """
    wanted = modules[
        (modules["verdict"] == PAYS)
        & (modules["recaps_left"] > 0)
        & (modules["age_years"] + ahead_years > modules["interval_years"])
    ]
    wanted = wanted.assign(
        bay=wanted["bay"].fillna(UNNAMED),
        past_years=wanted["age_years"] - wanted["interval_years"],
        bench_minutes=wanted["recap_minutes"],
    )
    wanted = wanted.assign(
        urgency=(wanted["past_years"] + ahead_years).groupby([wanted["desk"], wanted["bay"]]).transform("sum")
    )
    wanted = wanted.sort_values(
        ["urgency", "desk", "bay", "past_years", "serial"],
        ascending=[False, True, True, False, True],
        kind="stable",
    ).reset_index(drop=True)
    opening, swapped = np.full(len(wanted), np.nan), np.zeros(len(wanted), bool)
    if len(wanted):
        options = options_of(wanted, means)
        for option in in_order(options, range(len(wanted))):
            module = options.module[option]
            opening[module], swapped[module] = options.opening[option], options.swapped[option]
    rows = wanted.assign(opening=opening, swapped=swapped)
    return Campaign(rows, totals(rows))


def totals(rows) -> dict[str, float]:
    """Capacitors, joints, solder, hours and cost of the re-caps in ``rows``.

    Two joints a capacitor; 0.02 to 0.05 g of solder a joint (common practice, no source).
    """
    capacitors = float(rows["capacitors"].sum())
    joints = capacitors * JOINTS_PER_CAPACITOR
    least, most = solder_grams(joints)
    return {
        "modules": len(rows),
        "capacitors": capacitors,
        "joints": joints,
        "solder_grams_low": least,
        "solder_grams_high": most,
        "bench_hours": float(rows["recap_minutes"].sum() / 60),
        "cost": float(rows["planned_cost"].sum()),
    }
