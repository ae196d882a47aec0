"""What pulled capacitors measured, and how many more to measure."""

import numpy as np

MOST_TO_MEASURE = 100_000


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
    level : float
        Of the limits.

    Returns
    -------
    DataFrame
        ``part_type``, the place, ``measured, modules, share_left, low, high, spread, to_measure``: Student limits of the mean
        that let parts of one module be alike; blank below two modules.

    Raises
    ------
    ValueError
        If the precision is not above 0.

    Notes
    -----
    Mean of clusters of unequal size: W. G. Cochran (1977), Sampling Techniques, sec. 9A.2, from memory; how many more by
    :func:`sample_size`.
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
    student = stdtrit(np.maximum(found["modules"] - 1, 1), (1 + level) / 2)
    reach = student * found["spread"] / np.sqrt(found["measured"])
    spreads = found["spread"]
    needed = [sample_size(one, precision, level=level) if one == one else np.nan for one in spreads]
    more = np.maximum(np.array(needed, float) - found["measured"], 0)
    return found.assign(low=found["share_left"] - reach, high=found["share_left"] + reach, to_measure=more)[
        ["part_type", by, "measured", "modules", "share_left", "low", "high", "spread", "to_measure"]
    ]


def _mean_by_module(own) -> dict:
    """Mean of the parts, and the spread of one independent part that would give the mean its doubt by module.

    Linearised variance of a mean over modules of unequal numbers (Cochran 1977, sec. 9A.2, from memory); never below
    that of independent parts.
    """
    number, mean, spread = len(own), float(own["share"].mean()), np.nan
    sums = (own["share"] - mean).groupby(own["serial"]).sum()
    if len(sums) > 1:
        by_module = float((sums**2).sum()) / number * len(sums) / (len(sums) - 1)
        spread = float(np.sqrt(max(by_module, own["share"].var())))
    return {"measured": number, "modules": len(sums), "share_left": mean, "spread": spread}


def _last_readings(readings):
    """Capacitance as a share of the first value, or of the print where none is known; the last of each part."""
    caps = readings[(readings["measure"] == "capacitance") & (readings["nominal"] > 0)]
    caps = caps.assign(
        share=caps["value"] / caps["baseline"].fillna(caps["nominal"]), ref=caps["ref"].fillna("")
    )
    # a reading in another unit is no loss of capacitance
    caps = caps[(caps["share"] > 0.05) & (caps["share"] < 20)].sort_values("measured_on", kind="stable")
    return caps.groupby(["serial", "part_type", "ref"], as_index=False).last()
