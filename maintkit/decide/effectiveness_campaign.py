"""Is the re-cap money working: modules re-capped against those not yet; and how many parts to measure."""

from dataclasses import dataclass

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.survival.recurrence import (
    MeanCumulative,
    MeanCumulativeDifference,
    mean_cumulative,
    mean_cumulative_difference,
)

HOURS_A_DAY = 24.0
FEWEST_MODULES = 5
MOST_TO_MEASURE = 100_000


@dataclass(frozen=True)
class Comparison:
    """Faults per module of those re-capped and those not yet, over the same dates of one desk.

    ``done, not_yet`` run on calendar hours since ``first_day``; ``difference`` is done less not yet.
    """

    desk: str
    done: MeanCumulative
    not_yet: MeanCumulative
    difference: MeanCumulativeDifference
    first_day: object
    last_day: object
    module_years_done: float


def recapped_or_not(stays, faults, work, *, desk: str) -> Comparison | None:
    """Mean faults per module after a recorded re-cap and before one, over the dates on which both could be watched.

    Parameters
    ----------
    stays, faults, work : DataFrame
        The evidence's frames.
    desk : str

    Returns
    -------
    Comparison or None
        None where there was never a day with five modules of either group, or no fault of either while there was.

    Notes
    -----
    A module counts to those not yet done until its first re-cap on record, then to those done. From the first day on
    which five of either are in service to the last. Mean cumulative functions and their difference: Nelson (1995),
    Doganaksoy & Nelson (1998); a module that is in one group first and then the other counts as two, as if the halves
    were independent.
    """
    import pandas as pd

    windows = _windows(stays[stays["desk"] == desk], work)
    if windows is None:
        return None
    first, span = windows.attrs["first"], windows.attrs["span"]
    events = faults[faults["counts"] & (faults["desk"] == desk) & faults["serial"].notna()]
    events = events.assign(time=((events["happened_on"] - first).dt.days + 0.5) * HOURS_A_DAY)[
        ["serial", "time"]
    ]
    curves = [_curve(windows[windows["done"] == group], events) for group in (True, False)]
    if None in curves or not sum(float(curve.events.sum()) for curve in curves):
        return None
    return Comparison(
        desk,
        *curves,
        mean_cumulative_difference(*curves),
        first,
        first + pd.Timedelta(hours=span),
        curves[0].exposure / HOURS_PER_YEAR,
    )


def sample_size(spread: float, precision: float, *, level: float = 0.90, population: float = np.inf) -> int:
    """How many parts to measure for their mean to be known to within ``precision`` either way.

    Parameters
    ----------
    spread : float
        Standard deviation of single parts.
    precision : float
        Half the width of the interval, in the same unit.
    level : float
        Level of the interval.
    population : float
        Parts there are; a sample that is a good part of them tells more.

    Raises
    ------
    ValueError
        If the precision is not above 0.

    Notes
    -----
    Smallest n from 2 with t(n - 1) x spread x sqrt((1 - n / N) / n) <= precision: W. G. Cochran, Sampling Techniques,
    3rd ed. 1977, sec. 4.6, with Student's t for the normal deviate.

    Examples
    --------
    >>> sample_size(0.1, 0.05)
    13
    """
    from scipy.special import stdtrit

    if not precision > 0:
        raise ValueError(f"The precision is above 0, 0.05 for five hundredths; found {precision}.")
    most = int(min(population, MOST_TO_MEASURE))
    low, high = 2, max(most, 2)
    while low < high:  # the half width falls with every part measured
        number = (low + high) // 2
        half = stdtrit(number - 1, (1 + level) / 2) * spread * np.sqrt((1 - number / population) / number)
        low, high = (low, number) if half <= precision else (number + 1, high)
    return min(low, most)


def measured(readings, stays, *, precision: float, by: str = "zone", level: float = 0.90):
    """What is left of the capacitance by part type and zone, and how many more to measure for the wanted precision.

    Parameters
    ----------
    readings : DataFrame
        The table of that name; each serial, part type and designator counts with its last reading.
    stays : DataFrame
        They say in which zone or bay the module had been.
    precision : float
        Half width wanted, as a share of the first value.
    by : str
        Column of the place, ``zone`` or ``bay`` or ``desk``.

    Returns
    -------
    DataFrame
        ``part_type``, the place, ``measured, modules, share_left, low, high, spread, to_measure``: Student limits of the mean
        that let parts of one module be alike; blank below two modules.
    """
    import pandas as pd
    from scipy.special import stdtrit

    last = _last_readings(readings)
    begun = stays[["serial", "from_on", by]].astype({"from_on": "datetime64[ns]"})
    begun = begun.sort_values("from_on", kind="stable")
    placed = pd.merge_asof(
        last.astype({"measured_on": "datetime64[ns]"}).sort_values("measured_on", kind="stable"),
        begun,
        left_on="measured_on",
        right_on="from_on",
        by="serial",
    )
    placed[by] = placed[by].astype(object).fillna("not recorded")
    groups = placed.groupby(["part_type", by], sort=True)
    found = pd.DataFrame(
        [{"part_type": name[0], by: name[1], **_mean_by_module(own)} for name, own in groups],
        columns=["part_type", by, "measured", "modules", "share_left", "spread"],
    )
    found = found.astype(
        dict.fromkeys(("measured", "modules"), int) | dict.fromkeys(("share_left", "spread"), float)
    )
    reach = (
        stdtrit(np.maximum(found["modules"] - 1, 1), (1 + level) / 2)
        * found["spread"]
        / np.sqrt(found["measured"])
    )
    needed = [
        sample_size(spread, precision, level=level) if spread == spread else np.nan
        for spread in found["spread"]
    ]
    more = np.maximum(np.array(needed, float) - found["measured"], 0)
    return found.assign(low=found["share_left"] - reach, high=found["share_left"] + reach, to_measure=more)[
        ["part_type", by, "measured", "modules", "share_left", "low", "high", "spread", "to_measure"]
    ]


def _mean_by_module(own) -> dict:
    """Mean of the parts, and the spread of one independent part that would give the mean its doubt by module.

    Linearised variance of a mean over modules of unequal numbers (Cochran 1977, sec. 9A.2, from memory); never below
    that of independent parts.
    """
    number, mean = len(own), float(own["share"].mean())
    sums = (own["share"] - mean).groupby(own["serial"]).sum()
    if len(sums) < 2:
        return {"measured": number, "modules": len(sums), "share_left": mean, "spread": np.nan}
    by_module = float((sums**2).sum()) / number * len(sums) / (len(sums) - 1)
    return {
        "measured": number,
        "modules": len(sums),
        "share_left": mean,
        "spread": float(np.sqrt(max(by_module, own["share"].var()))),
    }


def _last_readings(readings):
    """Capacitance as a share of the first value, or of the print where none is known; the last of each part."""
    caps = readings[(readings["measure"] == "capacitance") & (readings["nominal"] > 0)]
    caps = caps.assign(
        share=caps["value"] / caps["baseline"].fillna(caps["nominal"]), ref=caps["ref"].fillna("")
    )
    caps = caps[
        (caps["share"] > 0.05) & (caps["share"] < 20)
    ]  # a reading in another unit is no loss of capacitance
    return (
        caps.sort_values("measured_on", kind="stable")
        .groupby(["serial", "part_type", "ref"], as_index=False)
        .last()
    )


def _windows(stays, work):
    """Stays cut at each module's first re-cap on record, in hours since the first common day; None without one."""
    import pandas as pd

    first_recap = work[work["action"] == "re-cap"].groupby("serial")["done_on"].min()
    stays = stays.sort_values(["serial", "from_on"], kind="stable")
    recap = stays["serial"].map(first_recap)
    if not recap.notna().any():
        return None
    done = stays.assign(done=(stays["from_on"] >= recap))[["serial", "from_on", "to_on", "done"]]
    split = (stays["from_on"] < recap) & (recap < stays["to_on"])
    after = done[split].assign(from_on=recap[split], done=True)
    done.loc[split, "to_on"] = recap[split]
    windows = pd.concat([done, after]).sort_values(["serial", "from_on"], kind="stable")
    common = _common_days(windows)
    if common is None:
        return None
    first, last = common
    # two stays of a module at once are one contradiction, not two modules
    begun = windows.groupby("serial")["to_on"].transform(lambda ends: ends.cummax().shift()).fillna(first)
    entry = windows[["from_on"]].assign(begun=begun, first=first).max(axis=1)
    windows = windows.assign(
        entry=(entry - first).dt.days * HOURS_A_DAY,
        exit=(windows["to_on"].clip(upper=last) - first).dt.days * HOURS_A_DAY,
    )
    windows = windows[windows["exit"] > windows["entry"]].reset_index(drop=True)
    windows.attrs.update(first=first, span=float((last - first).days) * HOURS_A_DAY)
    return windows


def _common_days(windows):
    """First and last day (exclusive) with five modules of either group in service."""
    import pandas as pd

    days = []
    for group in (True, False):
        own = windows[windows["done"] == group]
        steps = (
            pd.concat([pd.Series(1, index=own["from_on"]), pd.Series(-1, index=own["to_on"])])
            .groupby(level=0)
            .sum()
            .cumsum()
        )
        days.append(steps)
    both = pd.concat(days, axis=1).sort_index().ffill().fillna(0)
    enough = both.index[(both >= FEWEST_MODULES).all(axis=1)]
    if not len(enough):
        return None
    later = both.index[both.index > enough[-1]]
    return enough[0], later[0] if len(later) else enough[-1]


def _curve(windows, events):
    """The mean cumulative function of the faults that fall into the windows; None where no module was watched."""
    if not len(windows):
        return None
    inside = windows.merge(events, on="serial")
    inside = inside[(inside["entry"] < inside["time"]) & (inside["time"] <= inside["exit"])]
    return mean_cumulative(
        windows["serial"], windows["entry"], windows["exit"], inside["serial"], inside["time"]
    )
