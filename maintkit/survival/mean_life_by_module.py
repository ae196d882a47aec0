"""Mean life up to a chosen age where parts of one module fail together: limits by module."""

from dataclasses import replace
from statistics import NormalDist

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.mean_life import (
    MeanLifeDifference,
    area_and_variance,
    restricted_mean,
    restricted_mean_difference,
)
from maintkit.survival.results import Estimate, SpellError
from maintkit.survival.spell_rows import group_codes, refuse_unequal_lengths, truth_values
from maintkit.survival.weibull import FEWEST_FAILURES


def mean_life_by_module(
    entry, exit, event, cluster, until: float, *, weight=None, start=0.0, level=0.90
) -> Estimate:
    """Mean working time between an age and a later one, with limits that let the modules differ.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over ``(entry, exit]``.
    event : array_like of bool, shape (n,)
        True where the spell ended in a failure.
    cluster : array_like, shape (n,)
        The module of each spell.
    until, start : float, unit of the spells
        Life is counted from ``start``, for parts that reached it, to ``until``.
    weight : array_like, shape (n,), optional
        How many identical parts a spell stands for; 1 each when left out.
    level : float

    Returns
    -------
    Estimate
        As ``restricted_mean``, but for the limits. With fewer than 5 failures between the two ages: no value, and a note.

    Raises
    ------
    SpellError
        If the spells cannot be used, there are fewer than two modules, or ``until`` lies beyond the last age watched.

    Notes
    -----
    The area under the Kaplan-Meier curve moves by -sum A(t) (dN - Y dL) / (n - d) for each module, A the area still to
    come, N its failures, Y its parts at risk, dL = d / n; the variance is the summed squares of these, times m / (m - 1)
    (jackknife form of Z. Ying & L. J. Wei (1994), J. Multivariate Analysis 50, 17-29). Where every part is its own
    module and none entered late it is Greenwood's but for that factor; the wider of the two counts. Student's t has
    (sum u^2)^2 / sum u^4 - 1 degrees of freedom, u the moves: as many as there are modules that matter, less one (after
    F. E. Satterthwaite (1946), Biometrics Bulletin 2, 110-114).

    Examples
    --------
    >>> mean = mean_life_by_module([0] * 12, [2, 3, 4, 5, 6, 9] * 2, [True] * 10 + [False] * 2, list("abcdef") * 2, until=6)
    >>> round(mean.value, 2), round(mean.low, 2), round(mean.high, 2)
    (4.33, 2.68, 5.98)
    """
    curve = kaplan_meier(entry, exit, event, weight, level=level, start=start)
    mean, number = restricted_mean(curve, until), _module_numbers(cluster, exit)
    if mean.value is None:
        return mean
    if mean.failures < FEWEST_FAILURES:
        return replace(mean, value=None, low=None, high=None, note=_too_few(mean.failures))
    reach = _reach(
        _moved(curve, until, (entry, exit, event, weight), number),
        number,
        area_and_variance(curve, until)[1],
        level,
    )
    low, high = max(mean.value - reach, 0.0), min(mean.value + reach, until - start)
    return replace(mean, low=float(low), high=float(high))


def mean_life_difference_by_module(
    entry, exit, event, second, cluster, until: float, *, weight=None, start=0.0, level=0.90
) -> MeanLifeDifference:
    """How much longer the second group works than the first, up to the same age, with limits that let the modules differ.

    ``second``, shape (n,), is true for spells of the second group; a module may have spells in both. The other
    parameters (``entry, exit, event, cluster, weight``, shape (n,); ``start`` and ``until`` in their unit; ``level``), the method
    and its source are as in ``mean_life_by_module``.

    Raises
    ------
    SpellError
        As there, and where either group has no spell; the message says which.

    Examples
    --------
    >>> spells = [0] * 12, [1, 2, 3, 4, 5, 9, 2, 3, 4, 5, 6, 9], [True] * 12
    >>> print(mean_life_difference_by_module(*spells, [False] * 6 + [True] * 6, list("abcdefghijkl"), until=6).difference)
    0.833 (-1.05 to 2.71, 90 % interval; 10 failures)
    """
    entry, exit, event, second = (np.ravel(np.asarray(column)) for column in (entry, exit, event, second))
    weight = np.ones(len(exit)) if weight is None else np.ravel(np.asarray(weight, float))
    refuse_unequal_lengths(entry=entry, exit=exit, event=event, second=second, weight=weight)
    second, number = truth_values("second", second), _module_numbers(cluster, exit)
    curves = [
        kaplan_meier(entry[rows], exit[rows], event[rows], weight[rows], level=level, start=start)
        for rows in (~second, second)
    ]
    plain = restricted_mean_difference(*curves, until, level=level)
    firsts = [
        mean_life_by_module(
            entry[rows],
            exit[rows],
            event[rows],
            number[rows],
            until,
            weight=weight[rows],
            start=start,
            level=level,
        )
        for rows in (~second, second)
    ]
    for one in firsts:
        if one.value is None:
            return MeanLifeDifference(
                *firsts,
                replace(plain.difference, value=None, low=None, high=None, note=one.note),
                until,
                float("nan"),
            )
    moved = sum(
        sign * _moved(curve, until, (entry, exit, event, weight * rows), number)
        for rows, curve, sign in zip((~second, second), curves, (-1, 1), strict=True)
    )
    greenwood, value = sum(area_and_variance(curve, until)[1] for curve in curves), plain.difference.value
    reach = _reach(moved, number, greenwood, level)
    return MeanLifeDifference(
        *firsts,
        replace(plain.difference, low=value - reach, high=value + reach),
        until,
        max(plain.p, _p(value, moved, number)),
    )


def _module_numbers(cluster, exit):
    names, number = group_codes(cluster)
    refuse_unequal_lengths(exit=np.ravel(exit), cluster=number)
    if len(names) < 2:
        raise SpellError(f"Limits by module take two modules or more; found {len(names)}.")
    return number


def _moved(curve, until, spells, number):
    """By how much each module moves the area under the curve between its start and ``until``."""
    entry, exit, event, weight = spells
    entry, exit = np.maximum(np.asarray(entry, float), curve.start), np.asarray(exit, float)
    weight = np.ones(len(exit)) if weight is None else np.asarray(weight, float)
    before = curve.time < until
    time, at_risk, failures = curve.time[before], curve.at_risk[before], curve.failures[before]
    edges = np.concatenate([[curve.start], time, [until]])
    area = np.diff(edges) * np.concatenate([[1.0], curve.survival[before]])
    to_come = np.cumsum(area[::-1])[::-1][1:]
    per_failure = np.divide(to_come, at_risk - failures, out=np.zeros(len(time)), where=to_come > 0)
    collected = np.concatenate([[0.0], np.cumsum(per_failure * failures / at_risk)])
    watched = exit > curve.start
    upto = np.searchsorted(time, exit, side="right")
    drift = np.where(watched, collected[upto] - collected[np.searchsorted(time, entry, side="right")], 0.0)
    failed = np.asarray(event, bool) & watched & (exit < until)
    drift[failed] -= per_failure[upto[failed] - 1]
    return np.bincount(number, weight * drift, minlength=int(number.max()) + 1)


def _reach(moved, number, greenwood, level) -> float:
    """Half the width of the limits: by module or with every part for itself, the wider."""
    from scipy.special import stdtrit

    spread, freedom = _spread(moved, number)
    alone = NormalDist().inv_cdf((1 + level) / 2) * np.sqrt(greenwood)
    return float(max(stdtrit(freedom, (1 + level) / 2) * spread, alone))


def _p(value, moved, number) -> float:
    from scipy.special import stdtr

    spread, freedom = _spread(moved, number)
    return float(2 * stdtr(freedom, -abs(value) / spread))


def _spread(moved, number):
    """Standard error by module, and its degrees of freedom: fewer where a few modules make most of it."""
    modules, square = len(np.unique(number)), moved**2
    freedom = max(np.sum(square) ** 2 / np.sum(square**2) - 1, 1.0)
    return float(np.sqrt(modules / (modules - 1) * np.sum(square))), freedom


def _too_few(failures) -> str:
    return sentence("mean_life.few", failures=failures, fewest=FEWEST_FAILURES)
