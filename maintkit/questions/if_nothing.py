"""What is to be expected if nothing is done: the coming quarter, and two years."""

from dataclasses import dataclass
from datetime import date, timedelta

from maintkit.decide.priority import TAILS
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.resources import mending_hours
from maintkit.quarter.rows import records
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT
from maintkit.survival.results import Limited

QUARTERS = 8
FEWEST_DAYS = 365  # on record before anything is said of two years to come


@dataclass(frozen=True)
class DeskAhead:
    """What is expected of one desk in the coming quarter; ``faults`` has the limits of the count to come."""

    desk: str
    faults: Limited
    minutes: float


@dataclass(frozen=True)
class Ahead:
    """What is to be expected if nothing is done.

    Attributes
    ----------
    next_quarter : str
    seen : int
        Faults the forecast rests on; below five there is none.
    faults : Limited or None
        Faults of the coming quarter, all desks together, with the limits of the count to come.
    minutes : Limited or None
        Session minutes expected in it, with the limits of those to come; None where no minutes are on record.
    two_years_faults, two_years_hours : float or None
        Eight such quarters at the rate of the coming one: a floor where parts go on wearing; None with less than a year on record.
    two_years_mending : float or None
        Hours at the bench these faults take, each as long as usual; None where fewer than five jobs were timed, too.
    desks : tuple of DeskAhead
        Most expected faults first.
    untimed, counted : int
        Faults on record without minutes, which are taken to cost what the others did, and all of them.
    enough_on : date or None
        With too few faults, the day on which there will be five at the pace so far; None where none is on record.
    days : int or None
        Days on record, where they are too few to say anything of two years; else None.
    """

    next_quarter: str
    seen: int
    faults: Limited | None = None
    minutes: Limited | None = None
    two_years_faults: float | None = None
    two_years_hours: float | None = None
    two_years_mending: float | None = None
    desks: tuple[DeskAhead, ...] = ()
    untimed: int = 0
    counted: int = 0
    enough_on: date | None = None
    days: int | None = None


def facts(quarter: Quarter) -> Ahead:
    """Expected faults and session minutes of the coming quarter and of two years."""
    import numpy as np

    forecast = quarter.forecast
    slots = forecast.slots.dropna(subset=["expected_faults"])
    if not forecast.enough or not len(slots):
        return Ahead(quarter.next_label, forecast.failures, enough_on=_enough_on(quarter, forecast))
    limits = forecast.count_limits
    totals = forecast.draws[:, : len(forecast.slots)].sum(axis=1)
    counts = np.random.default_rng(1).poisson(totals)
    expected = float(slots["expected_faults"].sum())
    minutes = float(slots["expected_minutes_lost"].sum())
    by_desk = slots.groupby("desk")["expected_minutes_lost"].sum()
    desks = limits.assign(minutes=limits["desk"].map(by_desk).fillna(0.0))
    desks = desks.rename(columns={"expected_faults": "faults"}).sort_values(
        "faults", ascending=False, kind="stable"
    )
    low, high = (float(one) for one in np.quantile(counts, TAILS))
    each, faults = mending_hours(quarter), quarter.evidence.faults
    counted = faults[faults["counts"]]
    days = _days(quarter)
    quarters = None if days is not None and days < FEWEST_DAYS else QUARTERS
    return Ahead(
        quarter.next_label,
        forecast.failures,
        Limited(expected, low, high),
        Limited(minutes, *_limits_of_minutes(faults, forecast)) if minutes else None,
        quarters and quarters * expected,
        quarters and quarters * minutes / 60 or None,
        None if each is None else quarters and quarters * expected * each,
        records(DeskAhead, desks),
        untimed=int(counted["minutes_lost"].isna().sum()),
        counted=len(counted),
        days=None if quarters else days,
    )


def _days(quarter: Quarter) -> int | None:
    """Days from the first that was kept to the last; None where no desk is on record."""
    begun = quarter.records.first_day()
    return (quarter.last_day - begun).days + 1 if begun else None


def _limits_of_minutes(faults, forecast) -> tuple[float, float]:
    """Limits of the session minutes to come: as many faults as may come, each as dear as one of those on record.

    Own method. A desk's faults are Poisson about each draw of what is expected of it; each costs what one of the desk's own past
    faults did (of all desks where five of its own were never timed), scaled to the mean that draw expects.
    """
    import numpy as np

    generator = np.random.default_rng(2)
    due = forecast.draws[:, : len(forecast.slots)]
    lost = due * forecast.minutes.draws(generator, len(due))
    timed = faults[faults["counts"] & faults["minutes_lost"].notna()]
    of_all, of_desk = timed["minutes_lost"].to_numpy(float), timed.groupby("desk").indices
    total = np.zeros(len(due))
    for desk, slots in forecast.slots.groupby("desk", sort=True).indices.items():
        past = of_all[of_desk[desk]] if len(of_desk.get(desk, ())) >= FEWEST_FOR_A_VERDICT else of_all
        expected, count = due[:, slots].sum(axis=1), generator.poisson(due[:, slots].sum(axis=1))
        cost = generator.choice(past, count.sum()) if past.any() else np.zeros(count.sum())
        sums = np.bincount(np.repeat(np.arange(len(due)), count), cost, len(due))
        usual = expected * past.mean() if past.any() else 0.0
        total += sums * np.divide(lost[:, slots].sum(axis=1), usual, out=np.zeros(len(due)), where=usual > 0)
    low, high = np.quantile(total, TAILS)
    return float(low), float(high)


def _enough_on(quarter: Quarter, forecast) -> date | None:
    """When there will be five faults at the pace since records began."""
    days = _days(quarter)
    if days is None or forecast.enough or not forecast.failures:
        return None
    each = days / forecast.failures
    return quarter.last_day + timedelta(days=round((FEWEST_FOR_A_VERDICT - forecast.failures) * each))
