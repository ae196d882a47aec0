"""Mean life up to a chosen age, and its difference between two groups whose parts of one module fail together."""

from statistics import NormalDist

import numpy as np

from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.results import Estimate, SpellError
from maintkit.survival.spell_rows import group_codes, refuse_bad_level, refuse_unequal_lengths, truth_values
from maintkit.survival.weibull import FEWEST_FAILURES


def mean_life_difference(
    entry, exit, event, second, cluster, until: float, *, weight=None, level: float = 0.90
) -> Estimate:
    """How much longer the second group works than the first, up to the same age, with limits that let the modules differ.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over ``(entry, exit]``.
    event : array_like of bool, shape (n,)
        True where the spell ended in a failure.
    second : array_like of bool, shape (n,)
        True for spells of the second group; a module may have spells in both.
    cluster : array_like, shape (n,)
        The module of each spell.
    until : float, unit of the spells
        The age at which counting stops; no later than the last age watched in either group.
    weight : array_like, shape (n,), optional
        How many identical parts a spell stands for; 1 each when left out.
    level : float

    Returns
    -------
    Estimate
        In the unit of the spells. No value with fewer than 5 failures before ``until`` in either group, or where a risk set
        had emptied before it.

    Raises
    ------
    SpellError
        If the spells cannot be used, a group has fewer than two modules, or ``until`` lies beyond the last age watched.

    Notes
    -----
    Mean life is the area under the Kaplan-Meier curve; with every part for itself its variance is the sum over failure
    times of (area still to come)^2 d / (n (n - d)): Klein & Moeschberger (2003), Survival Analysis, formulas 4.5.1 and
    4.5.2 (from memory). The area moves by -sum A(t) (dN - Y dL) / (n - d) for each module, A the area still to
    come, N its failures, Y its parts at risk, dL = d / n; the variance is the summed squares of these, times m / (m - 1)
    (jackknife form of Z. Ying & L. J. Wei (1994), J. Multivariate Analysis 50, 17-29). Where every part is its own
    module and none entered late it is Greenwood's but for that factor; the wider of the two counts. Student's t has
    (sum u^2)^2 / sum u^4 - 1 degrees of freedom, u the moves: as many as there are modules that matter, less one (after
    F. E. Satterthwaite (1946), Biometrics Bulletin 2, 110-114).

    Examples
    --------
    >>> spells = [0] * 12, [1, 2, 3, 4, 5, 9, 2, 3, 4, 5, 6, 9], [True] * 12
    >>> found = mean_life_difference(*spells, [False] * 6 + [True] * 6, list("abcdefghijkl"), until=6)
    >>> round(found.value, 3), round(found.low, 2), round(found.high, 2)
    (0.833, -1.05, 2.71)
    """
    refuse_bad_level(level)
    entry, exit, event, second = (np.ravel(np.asarray(column)) for column in (entry, exit, event, second))
    weight = np.ones(len(exit)) if weight is None else np.ravel(np.asarray(weight, float))
    number = group_codes(cluster)[1]
    refuse_unequal_lengths(entry=entry, exit=exit, event=event, second=second, weight=weight, cluster=number)
    second = truth_values("second", second)
    value, greenwood, moved, curves = 0.0, 0.0, 0.0, []
    for rows, sign in ((~second, -1), (second, 1)):
        spells, own = tuple(column[rows] for column in (entry, exit, event, weight)), number[rows]
        curve = kaplan_meier(*spells)
        _refuse(curve, until, len(np.unique(own)))
        area, variance = area_and_variance(curve, until)
        value, greenwood = value + sign * area, greenwood + variance
        moved = moved + sign * _moved(curve, until, spells, own, int(number.max()) + 1)
        curves.append(curve)
    failures = [float(curve.failures[curve.time <= until].sum()) for curve in curves]
    about = level, sum(failures), sum(curve.exposure for curve in curves)
    emptied = any(curve.emptied_at is not None and curve.emptied_at < until for curve in curves)
    if emptied or min(failures) < FEWEST_FAILURES:
        return Estimate(None, None, None, *about)
    reach = _reach(moved, len(np.unique(number)), greenwood, level)
    return Estimate(float(value), float(value - reach), float(value + reach), *about)


def _refuse(curve, until: float, modules: int) -> None:
    if not 0 < until <= curve.watched_until:
        raise SpellError(
            f"until must lie after 0 and no later than {curve.watched_until:g}, the last age at which a part was "
            f"watched; found {until:g}."
        )
    if modules < 2:
        raise SpellError(f"Limits by module take two modules or more; found {modules}.")


def area_and_variance(curve, until):
    """Area under a curve up to an age, and its variance with every part for itself."""
    before, area, to_come = _areas(curve, until)
    at_risk, failures = curve.at_risk[before], curve.failures[before]
    with np.errstate(divide="ignore", invalid="ignore"):
        variance = to_come**2 * failures / (at_risk * (at_risk - failures))
    return float(area.sum()), float(np.sum(variance))


def _areas(curve, until):
    """Which failure times lie before an age, the pieces of the area up to it, and the area still to come after each time."""
    before = curve.time < until
    edges = np.concatenate([[0.0], curve.time[before], [until]])
    area = np.diff(edges) * np.concatenate([[1.0], curve.survival[before]])
    return before, area, np.cumsum(area[::-1])[::-1][1:]


def _moved(curve, until, spells, number, modules: int):
    """By how much each module moves the area under the curve up to ``until``, shape (modules,)."""
    entry, exit, event, weight = spells
    before, _, to_come = _areas(curve, until)
    time, at_risk, failures = curve.time[before], curve.at_risk[before], curve.failures[before]
    per_failure = np.divide(to_come, at_risk - failures, out=np.zeros(len(time)), where=to_come > 0)
    collected = np.concatenate([[0.0], np.cumsum(per_failure * failures / at_risk)])
    upto = np.searchsorted(time, exit, side="right")
    drift = collected[upto] - collected[np.searchsorted(time, entry, side="right")]
    failed = np.asarray(event, bool) & (exit < until)
    drift[failed] -= per_failure[upto[failed] - 1]
    return np.bincount(number, weight * drift, minlength=modules)


def _reach(moved, modules: int, greenwood: float, level: float) -> float:
    """Half the width of the limits: by module or with every part for itself, the wider."""
    from scipy.special import stdtrit

    square = moved**2
    freedom = max(np.sum(square) ** 2 / np.sum(square**2) - 1, 1.0)
    spread = np.sqrt(modules / (modules - 1) * np.sum(square))
    alone = NormalDist().inv_cdf((1 + level) / 2) * np.sqrt(greenwood)
    return float(max(stdtrit(freedom, (1 + level) / 2) * spread, alone))
