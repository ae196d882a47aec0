"""What is true in a simulated facility: lives of parts, and how groups compare at equal age."""

import numpy as np

from tests.calibration.plant import (
    DESKS,
    FAMILY_OF,
    GAMMA_VARIANCE,
    HOT_ZONE,
    LATE_ERA,
    OTHER_A_YEAR,
    OTHER_SHARE,
    PARTS,
    WIDE_VARIANCE,
)
from tests.calibration.simulator import Facility

AGE = 15.0  # powered years at which modules of different kinds are compared
EFFECTS = {("zone", "electrolytic"): HOT_ZONE, ("board era", "ic"): LATE_ERA}
FIRST = {"zone": "middle", "board era": "late"}  # the level that fails faster where anything differs


def population_b10(facility: Facility, part) -> float:
    """Age in powered years by which a tenth of the parts of all modules of the family has failed, in zones and eras as they are."""
    plant, world = facility.plant, facility.world
    number = PARTS.index(part)
    faster = plant.hurried()[plant.part == number]
    rates, share = np.unique(faster, return_counts=True)
    age = np.linspace(0.05, 120.0, 24_000)
    hazard = part.hazard(age, world.lives)
    left = sum(n * laplace(world.spread, rate * hazard) for rate, n in zip(rates, share, strict=True))
    return float(np.interp(0.1, 1 - left / share.sum(), age))


def recap_interval(part, module_type: int, hot: bool, price_ratio: float) -> float:
    """Powered years between re-caps at which they cost least, for a board of a module of factor 1, where a re-cap costs
    ``price_ratio`` times a fault: R. E. Barlow & L. Hunter (1960), Operations Research 8, 90-100, for one kind of part."""
    due = part.quantity[module_type] * (HOT_ZONE if hot else 1.0) * (part.shape - 1)
    return part.scale_years * (price_ratio / due) ** (1 / part.shape)


def laplace(spread: str, hazard) -> np.ndarray:
    """Mean of exp(-factor x hazard) over the factors."""
    if spread == "gamma":
        return (1 + GAMMA_VARIANCE * hazard) ** (-1 / GAMMA_VARIANCE)
    from scipy.special import ndtri

    wide = np.log1p(WIDE_VARIANCE)
    factor = np.exp(ndtri((np.arange(999) + 0.5) / 999) * np.sqrt(wide) - wide / 2)
    return np.exp(-np.outer(hazard, factor)).mean(axis=1)


def true_ratio(row) -> float | None:
    """Rate of the first group over that of the second at equal age, of a row of ``rates.csv``; None where none is known.

    Part failures: the hazard ratio. Faults a module-year: all part types of a module of 15 powered years; desks of a family
    do not differ, and of zone and era only the direction is known (2 or one half stands for it).
    """
    what, label = row.what, row.what.rsplit("by ", 1)[-1]
    if "at equal age" in what:
        kind = what.split(" failures", 1)[0]
        return _directed(EFFECTS.get((label, kind), 1.0), label, row.level_a)
    if label in FIRST:
        return _directed(2.0, label, row.level_a)
    if label == "desk":
        return 1.0
    if label == "module type":
        family = ("gable", "truss").index(what.split(" of ", 1)[1].split(",")[0])
        ratio = module_rate(family, 1) / module_rate(family, 0)
        return ratio if row.level_a == "master" else 1 / ratio
    return module_rate(0, 0) / module_rate(1, 0) if label == "coupling" else None


def _directed(ratio: float, label: str, first: str) -> float:
    return ratio if FIRST.get(label) == first else 1 / ratio


def module_rate(family: int, module_type: int) -> float:
    """Faults a powered year of a module of factor 1 in the cooler zone, all its parts 15 powered years old."""
    parts = [part for part in PARTS if part.family == family]
    failures = [part.quantity[module_type] * part.shape * float(part.hazard(AGE)) / AGE for part in parts]
    return sum(failures) + OTHER_A_YEAR * OTHER_SHARE[family]


def is_false(facility: Facility, row) -> bool:
    """Whether a verdict of ``rates.csv`` says what is not so.

    A difference that the world itself makes is none of the kit's errors: the first desk does fail more where its use has
    doubled or its capacitors are poor, and in a world of slots its factors are where chance put them.
    """
    ratio, world = true_ratio(row), facility.world
    if row.verdict not in ("higher", "lower") or ratio is None:
        return False
    harder = (world.use_doubles or world.bad_batch) and DESKS[0] in (row.level_a, row.level_b)
    if harder and FAMILY_OF[0] == 0:
        return (row.verdict == "higher") != (row.level_a == DESKS[0])
    if world.bad_batch and "electrolytic failures of gable" in row.what:
        return False
    return abs(np.log(ratio)) < 1e-9 or (row.verdict == "higher") != (ratio > 1)
