"""Faults growing as a power of age: how steeply, whether that fits, and how far apart they lie by now."""

from dataclasses import dataclass

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.results import Estimate, SpellError, three_digits
from maintkit.survival.trend import FEWEST, one_unit, placed, verdict
from maintkit.survival.windows import last_exit, watched_windows

SHAPES = (1e-3, 1e3)


@dataclass(frozen=True)
class PowerLaw:
    """Faults growing as a power of age: mean number up to age t = scale * t ** shape.

    Attributes
    ----------
    shape : Estimate
        Above 1 = getting worse, below 1 = getting better; maximum likelihood.
    unbiased_shape : float or None
        The same without the bias of few events; None where no closed form exists.
    scale : float or None
        Mean faults of one unit up to age 1 under the fit.
    rate_end : float or None
        Rate at the end of the watching under the fit, faults per unit of time and unit watched.
    statistic, df : float
        Chi-square of the test of a steady rate and its degrees of freedom.
    p : float
        Two-sided p of that test.
    events, exposure : float
        The evidence.
    note : str
        How the limits were reached, or why there are none.
    """

    shape: Estimate
    unbiased_shape: float | None
    scale: float | None
    rate_end: float | None
    statistic: float
    df: int
    p: float
    events: int
    exposure: float
    note: str = ""

    @property
    def verdict(self) -> str:
        """``worse``, ``better``, ``no trend shown`` or ``too few faults``."""
        return verdict(self.events, self.p, self.shape.level, (self.shape.value or 1) > 1)

    def __str__(self) -> str:
        return f"{self.verdict} (p {three_digits(self.p)}): shape {self.shape}"


def power_law(times, end=None, *, start=0.0, level=0.90) -> PowerLaw:
    """How the rate of faults of one unit has changed with its age, as one number: the shape.

    Parameters
    ----------
    times : array_like, shape (n,)
        Age at each fault; the zero of this clock matters, it is where the power law begins.
    end : float, optional
        Age at which the watching ended; left out where it ended with the last fault.
    start : float
        Age at which it began.
    level : float
        Level of the limits.

    Raises
    ------
    SpellError
        If a fault lies outside (start, end], there is none, or start is below 0.

    Notes
    -----
    Maximum likelihood n / sum ln(end / t), with 2 shape sum ln(end / t) chi-square on 2 n degrees of freedom; ended
    with a fault: n over the sum of the others, 2 (n - 1) degrees. Without bias: (n - 1) and (n - 2) over the same
    sums. L. H. Crow (1974), Reliability Analysis for Complex, Repairable Systems, in Reliability and Biometry,
    379-410; J. M. Finkelstein (1976), Technometrics 18, 115-117. A late start: see :func:`pooled_power_law`.

    Examples
    --------
    >>> fit = power_law([5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], 1500)
    >>> round(fit.unbiased_shape, 4), fit.verdict
    (0.4835, 'better')
    """
    if end is None and start == 0:
        times, end = one_unit(times, end, start)
        return _closed(np.log(end / times), len(times) + 1, _single(end), level)
    if end is None:
        raise SpellError("A watch that starts late needs its end; give the age at which it ended.")
    times, end = one_unit(times, end, start)
    return pooled_power_law([0], [start], [end], np.zeros(len(times), int), times, level=level)


def pooled_power_law(unit, entry, exit, event_unit, event_time, *, level=0.90) -> PowerLaw:
    """One shape for many units, each held against its own windows.

    Parameters
    ----------
    unit, entry, exit : array_like, shape (n,)
        Windows (entry, exit] of each unit, in its age.
    event_unit, event_time : array_like, shape (m,)
        The faults.
    level : float
        Level of the limits.

    Raises
    ------
    SpellError
        If there is no fault, one lies in no window of its unit, or an entry is below 0.

    Notes
    -----
    Likelihood given each unit's number of faults, so that a unit may have a rate of its own:
    n ln(shape) + shape sum ln t - sum over units of n_u ln sum(exit^shape - entry^shape). Watched once from age 0,
    it is the closed form of :func:`power_law` with each unit's own end (Crow 1974); otherwise limits and p come from
    the likelihood ratio.

    Examples
    --------
    >>> fit = pooled_power_law(["a", "b"], [0, 0], [10, 20], ["a", "a", "b", "b", "b"], [5, 9, 11, 15, 19])
    >>> round(fit.shape.value, 3), fit.df
    (2.881, 10)
    """
    windows = watched_windows(unit, entry, exit)
    if np.any(windows.entry < 0):
        raise SpellError(f"An age is never below 0; found an entry at {windows.entry.min():g}.")
    event_time = np.asarray(event_time, float)
    place = placed(windows, event_unit, event_time)
    last = last_exit(windows)
    gap = np.log(last[place] / event_time)
    if np.all(windows.entry == 0):
        return _closed(gap, len(gap), windows, level)
    return _by_likelihood(gap, np.bincount(place, minlength=len(last)), windows, level)


def _closed(gap, events, windows, level):
    """Power law of units watched once from age 0; ``gap`` = ln(end / t) of each fault that could fall anywhere."""
    from scipy.special import chdtr, chdtrc, chdtri

    total, df, tail = gap.sum(), 2 * len(gap), (1 - level) / 2
    p = 2 * float(min(chdtr(df, 2 * total), chdtrc(df, 2 * total)))
    if events < FEWEST or total == 0:
        return _no_shape(2 * total, df, p, events, (windows, level))
    low, high = chdtri(df, 1 - tail) / (2 * total), chdtri(df, tail) / (2 * total)
    shape, unbiased = (events / total, low, high), (len(gap) - 1) / total
    return _power_law(shape, (2 * total, df, p), events, (windows, level), unbiased)


def _by_likelihood(gap, faults, windows, level):
    """Power law of units that were watched late or in pieces, by the likelihood given each unit's number of faults."""
    from scipy.special import chdtrc, chdtri

    events = len(gap)
    loglik, slope = _conditional(gap.sum(), faults, windows)
    best = _root(slope, *SHAPES)
    statistic = 2 * (loglik(best) - loglik(1.0)) if best else np.inf
    p = float(chdtrc(1, max(statistic, 0.0)))
    if events < FEWEST or best is None:
        return _no_shape(statistic, 1, p, events, (windows, level))
    drop = loglik(best) - chdtri(1, 1 - level) / 2
    low = _root(lambda shape: loglik(shape) - drop, SHAPES[0], best)
    high = _root(lambda shape: loglik(shape) - drop, best, SHAPES[1])
    note = sentence("power_law.by_likelihood")
    return _power_law((best, low, high), (statistic, 1, p), events, (windows, level), note=note)


def _conditional(total_gap, faults, windows):
    """Log likelihood of the shape, up to a constant, and its slope; ages are taken relative to each unit's last."""
    from scipy.special import xlogy

    last = last_exit(windows)
    exit, entry = windows.exit / last[windows.row], windows.entry / last[windows.row]
    used = faults > 0

    def span(shape):
        return np.bincount(windows.row, exit**shape - entry**shape)[used]

    def loglik(shape):
        return faults.sum() * np.log(shape) - shape * total_gap - np.sum(faults[used] * np.log(span(shape)))

    def slope(shape):
        by_shape = np.bincount(windows.row, xlogy(exit**shape, exit) - xlogy(entry**shape, entry))[used]
        return faults.sum() / shape - total_gap - np.sum(faults[used] * by_shape / span(shape))

    return loglik, slope


def _root(function, low, high):
    """Where the function crosses 0 between low and high, or None where it does not."""
    from scipy.optimize import brentq

    if function(low) * function(high) > 0:
        return None
    return float(np.exp(brentq(lambda x: function(np.exp(x)), np.log(low), np.log(high), xtol=1e-12)))


def _power_law(shape, test, events, watch, unbiased=None, note=""):
    """The result, with the scale and the rate at the end that go with the shape, where there is one."""
    windows, level = watch
    exposure, end, value = float(np.sum(windows.exit - windows.entry)), windows.exit.max(), shape[0]
    scale = at_end = None
    if value is not None:
        # of 1: a power of days overflows
        span = np.sum((windows.exit / end) ** value - (windows.entry / end) ** value)
        scale, at_end = (
            float(events / span * np.exp(-value * np.log(end))),
            float(events * value / (span * end)),
        )
    estimate = Estimate(*shape, level, events, exposure, note)
    unbiased = None if unbiased is None else float(unbiased)
    return PowerLaw(estimate, unbiased, scale, at_end, float(test[0]), *test[1:], events, exposure, note)


def _no_shape(statistic, df, p, events, watch):
    few = sentence("power_law.few", events=events, fewest=FEWEST)
    note = few if events < FEWEST else sentence("power_law.no_shape")
    return _power_law((None, None, None), (statistic, df, p), events, watch, note=note)


def _single(end):
    return watched_windows([0], [0.0], [end])
