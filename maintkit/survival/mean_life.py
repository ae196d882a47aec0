"""Mean life up to a chosen age, and its difference between two groups."""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from maintkit.survival.results import Estimate, SpellError
from maintkit.survival.spell_rows import refuse_bad_level


@dataclass(frozen=True)
class MeanLifeDifference:
    """Mean life of the second group less that of the first, up to the same age.

    Attributes
    ----------
    first, second, difference : Estimate
        All in the unit of the spells.
    until : float
        The age up to which life is counted.
    p : float
        Two-sided chance of a difference as large if there is none (normal approximation).
    """

    first: Estimate
    second: Estimate
    difference: Estimate
    until: float
    p: float


def restricted_mean(curve, until: float) -> Estimate:
    """Mean working time between the start of a curve and an age: the area under the curve up to there.

    Parameters
    ----------
    curve : SurvivalCurve
    until : float, unit of the spells
        The age at which counting stops; no later than the last age watched.

    Returns
    -------
    Estimate
        Time, in the unit of the spells, with normal limits at the level of the curve, kept within 0 and
        ``until - curve.start``. No value where the risk set had emptied before ``until``.

    Raises
    ------
    SpellError
        If ``until`` is not after the start, or beyond the last age watched.

    Notes
    -----
    Variance: the sum over failure times of (area still to come)^2 d / (n (n - d)).
    Source: Klein & Moeschberger (2003), Survival Analysis, formulas 4.5.1 and 4.5.2 (from memory).

    Examples
    --------
    >>> from maintkit.survival.kaplan_meier import kaplan_meier
    >>> restricted_mean(kaplan_meier([0, 0], [2, 4], [True, True]), until=4).value
    3.0
    """
    if not curve.start < until <= curve.watched_until:
        raise SpellError(
            f"until must lie after the start {curve.start:g} and no later than {curve.watched_until:g}, the last age "
            f"at which a part was watched; found {until:g}."
        )
    if curve.emptied_at is not None and curve.emptied_at < until:
        return Estimate(None, None, None, curve.level, curve.total_failures, curve.exposure, curve.note)
    area, variance = area_and_variance(curve, until)
    reach = NormalDist().inv_cdf((1 + curve.level) / 2) * np.sqrt(variance)
    span = until - curve.start
    return Estimate(
        area,
        float(max(area - reach, 0.0)),
        float(min(area + reach, span)),
        curve.level,
        float(curve.failures[curve.time <= until].sum()),
        curve.exposure,
        curve.note,
    )


def restricted_mean_difference(first, second, until: float, *, level=0.90) -> MeanLifeDifference:
    """How much longer the second group works than the first, up to the same age.

    Parameters
    ----------
    first, second : SurvivalCurve
        Curves of different parts, with the same start.
    until : float, unit of the spells
    level : float
        Level of the interval of the difference.

    Returns
    -------
    MeanLifeDifference

    Raises
    ------
    SpellError
        If the curves start at different ages, or ``until`` lies beyond either.

    Notes
    -----
    The two areas are independent, so their variances add. Source: Royston & Parmar (2013), BMC Med. Res. Methodol. 13,
    152.

    Examples
    --------
    >>> from maintkit.survival.kaplan_meier import kaplan_meier
    >>> a, b = kaplan_meier([0, 0], [2, 4], [True, True]), kaplan_meier([0, 0], [3, 4], [True, False])
    >>> restricted_mean_difference(a, b, until=4).difference.value
    0.5
    """
    refuse_bad_level(level)
    if first.start != second.start:
        raise SpellError(
            f"Both curves must start at the same age; found {first.start:g} and {second.start:g}."
        )
    one, other = restricted_mean(first, until), restricted_mean(second, until)
    failures, exposure = one.failures + other.failures, one.exposure + other.exposure
    if one.value is None or other.value is None:
        note = one.note if one.value is None else other.note
        nothing = Estimate(None, None, None, level, failures, exposure, note)
        return MeanLifeDifference(one, other, nothing, until, float("nan"))
    std_error = np.sqrt(area_and_variance(first, until)[1] + area_and_variance(second, until)[1])
    value = other.value - one.value
    reach = NormalDist().inv_cdf((1 + level) / 2) * std_error
    p = 2 * NormalDist().cdf(-abs(value) / std_error) if std_error > 0 else float("nan")
    return MeanLifeDifference(
        one,
        other,
        Estimate(value, float(value - reach), float(value + reach), level, failures, exposure),
        until,
        p,
    )


def area_and_variance(curve, until):
    """Area under a curve between its start and an age, and its variance with every part for itself."""
    before = curve.time < until
    edges = np.concatenate([[curve.start], curve.time[before], [until]])
    area = np.diff(edges) * np.concatenate([[1.0], curve.survival[before]])
    to_come = np.cumsum(area[::-1])[::-1][1:]
    at_risk, failures = curve.at_risk[before], curve.failures[before]
    return float(area.sum()), float(np.sum(to_come**2 * failures / (at_risk * (at_risk - failures))))
