"""Does the model fit: faults seen over faults expected, by age of the parts, zone, era, desk and quarter; and whether what a zone
or an era does to parts is the same for younger and older ones, as proportional hazards have it."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.hazards import PartHazard
from maintkit.decide.part_groups import PartGroups
from maintkit.decide.past_quarters import ROWS, cut
from maintkit.hours import HOURS_PER_YEAR

AGES = (0.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, np.inf)  # powered years
AGE_NAMES = [
    f"{low:g} to {high:g}" if np.isfinite(high) else f"over {low:g}"
    for low, high in zip(AGES[:-1], AGES[1:], strict=True)
]
EDGES = np.array(AGES) * HOURS_PER_YEAR
LEVEL = 0.90
FEWEST = 5  # expected or seen, below which nothing is said
COLUMNS = ["by", "group", "seen", "expected", "ratio", "low", "high", "beyond"]


@dataclass(frozen=True)
class ModelFit:
    """``table`` has a row a group, ``COLUMNS``: ``low, high`` are limits of the ratio adjusted for the number of groups, ``beyond``
    whether they leave out 1. ``worst`` is the row beyond chance whose ratio is farthest from 1, None where there is none."""

    table: object
    worst: dict | None


def model_fit(groups: PartGroups, forecast, last_day) -> ModelFit:
    """Part failures seen over expected by age band, zone and era, and by zone and era of parts younger and older than they are when
    they typically fail; faults of desks and quarters over those expected of them.

    ``groups`` are the parts watched, ``forecast`` what was learnt from them, ``last_day`` (a day) where the quarters past end; the
    result's ``table`` is a DataFrame.

    Notes
    -----
    Own method. Limits: a count whose mean is expected and whose variance is expected + (cv of the modules x expected of each)^2 summed, at a level
    adjusted for the number of rows (Bonferroni); those of desks and quarters are what would be seen at a level of 1.
    """
    import pandas as pd

    factors = forecast.factors
    place = pd.Index(forecast.modules["serial"]).get_indexer(groups.serials)
    factor = np.append(factors.module.mean(axis=0), 1.0)[place]
    parts = _of_parts(groups, forecast.hazards, factor)
    rows = [*parts, *_of_desks(factors), *_of_quarters(factors, last_day)]
    table = pd.DataFrame(rows, columns=["by", "group", "seen", "expected", "squares"])
    enough = (table["expected"] >= FEWEST) | (table["seen"] >= FEWEST)
    table = table[enough & (table["expected"] > 0)].reset_index(drop=True)
    table = _limited(table, factors.crossed.module_cv)
    beyond = table[table["beyond"]]
    whole = set(zip(beyond["by"], beyond["group"], strict=True))  # told before a half of it
    pairs = zip(beyond["by"], beyond["group"], strict=True)
    halves = [
        (by.removesuffix(" and age"), name.rsplit(", ", 1)[0]) in whole - {(by, name)} for by, name in pairs
    ]
    beyond, worst = beyond[~np.array(halves, bool)], None
    if len(beyond):
        far = np.abs(np.log(beyond["ratio"].clip(lower=1e-3))).argmax()
        worst = beyond.iloc[far].to_dict()
    return ModelFit(table[COLUMNS], worst)


def _limited(table, cv: float):
    """The ratio with its limits: the counts to be expected, turned about 1."""
    from scipy.special import nbdtrik

    expected = table["expected"].to_numpy(float)
    size = expected**2 / np.maximum(cv**2 * table["squares"].to_numpy(float), 1e-9 * expected**2)
    tail = (1 - LEVEL) / 2 / max(len(table), 1)
    share = size / (size + expected)
    fewest, most = (np.maximum(np.ceil(nbdtrik(q, size, share)), 0.0) for q in (tail, 1 - tail))
    seen = table["seen"].to_numpy(float)
    ratio = seen / expected
    return table.assign(
        ratio=ratio,
        low=ratio * expected / np.maximum(most, 1.0),
        high=np.where(fewest > 0, ratio * expected / np.maximum(fewest, 1.0), np.nan),
        beyond=(seen < fewest) | (seen > most),
    )


def _of_parts(groups: PartGroups, hazards: list[PartHazard], factor: np.ndarray):
    """Rows by age band, zone and era: failures seen and expected, each module's factor allowed for, and sums of squares by module."""
    known, sums = {hazard.of: hazard for hazard in hazards}, {}
    for group in groups.pieces():
        for first in range(0, len(group), ROWS):
            some = group.rows(slice(first, first + ROWS))
            _add_some(sums, some.rows(some.age_known & (some.hours > 0)), known[group.of], factor)
    for (by, name), (seen, expected, modules) in sorted(sums.items(), key=lambda item: _order(*item[0])):
        yield by, name, seen, expected, float(np.sum(modules**2))


def _order(by: str, name: str):
    return by, AGE_NAMES.index(name) if by == "age" else name


def _add_some(sums: dict, some, hazard: PartHazard, factor) -> None:
    """Add spells of one kind of part: by zone and era, and cut at the ages."""
    due = hazard.expected(some, some.entry, some.exit)[0] * factor[some.module]
    came, size = np.where(some.event, some.weight, 0.0), len(factor)
    for name, came_own, expected in _by_age(some, hazard, factor, EDGES, AGE_NAMES):
        _add(sums, ("age", name), came_own, expected)
    halves = np.array([0.0, hazard.age_hours, np.inf])
    for label, by in (("zone", "zone"), ("board_era", "era")):
        words, number = some.labels[label]
        for code in np.unique(number[number >= 0]):
            own = number == code
            expected = np.bincount(some.module[own], due[own], size)
            _add(sums, (by, str(words[code])), came[own].sum(), expected)
            names = [f"{words[code]}, {age} parts" for age in ("younger", "older")]
            for name, came_own, expected in _by_age(some.rows(own), hazard, factor, halves, names):
                _add(sums, (f"{by} and age", name), came_own, expected)


def _by_age(some, hazard: PartHazard, factor, edges, names):
    """Spells cut at ages: name of each band, failures in it, and those expected of each module."""
    row, band, start, stop = cut(some.entry, some.exit, edges)
    ages = some.entry[row] + start * some.hours[row], some.entry[row] + stop * some.hours[row]
    module = some.module[row]
    due = hazard.expected(some.rows(row), *ages)[0] * factor[module]
    came, ends = np.where(some.event, some.weight, 0.0), np.searchsorted(edges, some.exit, side="left") - 1
    for code in np.unique(band):
        own = band == code
        yield names[code], came[ends == code].sum(), np.bincount(module[own], due[own], len(factor))


def _add(sums: dict, key: tuple, came: float, expected: np.ndarray) -> None:
    seen, whole, modules = sums.get(key, (0.0, 0.0, 0.0))
    sums[key] = seen + float(came), whole + float(expected.sum()), modules + expected


def _of_desks(factors):
    """Rows by desk over the quarters looked at: the forecasts made for them at a level of 1."""
    for number, desk in enumerate(factors.past.desks):
        both = factors.past.desk_counted, factors.expected
        seen, expected = (float(of[1:, number].sum()) for of in both)
        yield "desk", str(desk), seen, expected, 0.0


def _of_quarters(factors, last_day):
    last = np.datetime64(last_day, "M").astype(int) // 3
    periods = len(factors.expected)
    for period in range(1, periods):
        quarter = last - (periods - 1 - period)
        name = f"{1970 + quarter // 4}Q{quarter % 4 + 1}"
        seen, expected = (float(of[period].sum()) for of in (factors.past.desk_counted, factors.expected))
        yield "quarter", name, seen, expected, 0.0
