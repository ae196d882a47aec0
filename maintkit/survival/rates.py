"""Faults per powered time with exact limits, and the ratio of two such rates."""

from dataclasses import dataclass, replace

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.results import Estimate, SpellError, three_digits
from maintkit.survival.shares import share_limits

FEWEST_FOR_A_VERDICT = 5


@dataclass(frozen=True)
class RateRatio:
    """How many times as often group a fails as group b, per unit of exposure.

    Attributes
    ----------
    ratio : float or None
        Rate of a over rate of b; None where b has no events.
    low, high : float or None
        Limits; None on a side where there is no limit.
    level : float
        Level of the limits.
    p : float
        Two-sided p of "the rates are equal": twice the smaller tail, at most 1.
    events_a, events_b, exposure_a, exposure_b : float
        The evidence.
    note : str
        Which limits these are, and what the reader must know.
    """

    ratio: float | None
    low: float | None
    high: float | None
    level: float
    p: float
    events_a: float
    events_b: float
    exposure_a: float
    exposure_b: float
    note: str = ""

    def __str__(self) -> str:
        ratio = "not reached" if self.ratio is None else three_digits(self.ratio)
        low = "0" if self.low is None else three_digits(self.low)
        high = "no upper limit" if self.high is None else three_digits(self.high)
        text = (
            f"{ratio} times ({low} to {high}, {100 * self.level:g} % interval; "
            f"{self.events_a:g} against {self.events_b:g} events; p {three_digits(self.p)})"
        )
        return f"{text}. {self.note}" if self.note else text


def rate(events, exposure, *, level=0.90) -> Estimate:
    """Events per unit of exposure, with exact limits.

    Parameters
    ----------
    events : int
        How many events were seen.
    exposure : float
        Summed time at risk; the rate is per one of its units.
    level : float
        Level of the interval.

    Returns
    -------
    Estimate
        With no event the value and the lower limit are 0 and the upper limit is one-sided;
        the note says at which level.

    Raises
    ------
    SpellError
        If the count is not a whole number from 0 up, or the exposure is not above 0.

    Notes
    -----
    Low and high are quantiles of gamma(events, 1) and gamma(events + 1, 1) over the exposure:
    F. Garwood (1936), Biometrika 28, 437-442. They hold for an exposure fixed in advance (time truncation).

    Examples
    --------
    >>> print(rate(2, 800.0))
    0.0025 (0.000444 to 0.00787, 90 % interval; 2 failures)
    """
    events, exposure = _counted(events, exposure, level)
    low, high = poisson_limits(events, level=level)
    note = "" if events else sentence("rates.none_seen", percent=100 * (1 + level) / 2)
    return Estimate(events / exposure, low / exposure, high / exposure, level, events, exposure, note)


def poisson_limits(events, *, level=0.90) -> np.ndarray:
    """Exact limits for the expected number behind each count.

    Parameters
    ----------
    events : array_like, shape (n,) or scalar
        Counts, from 0 up.
    level : float
        Level of the interval.

    Returns
    -------
    ndarray, shape (2, n) or (2,)
        Lower limits (0 for a count of 0), then upper limits.

    Notes
    -----
    Gamma quantiles: F. Garwood (1936), Biometrika 28, 437-442.

    Examples
    --------
    >>> poisson_limits([0, 1, 10]).round(2)
    array([[ 0.  ,  0.05,  5.43],
           [ 3.  ,  4.74, 16.96]])
    """
    from scipy.special import gammaincinv

    events = np.asarray(events, float)
    tail = (1 - level) / 2
    low = np.where(events > 0, gammaincinv(np.maximum(events, 1), tail), 0.0)  # Garwood (1936)
    return np.array([low, gammaincinv(events + 1, 1 - tail)])


def rate_ratio(events_a, exposure_a, events_b, exposure_b, *, level=0.90) -> RateRatio:
    """How many times as often a fails as b, with exact limits that agree with their p.

    Parameters
    ----------
    events_a, events_b : int
        Events of either group.
    exposure_a, exposure_b : float
        Time at risk of either group, in the same unit.
    level : float
        Level of the interval.

    Raises
    ------
    SpellError
        If a count is not a whole number from 0 up, or an exposure is not above 0.

    Notes
    -----
    Given the total, events_a is binomial with share ratio * exposure_a / (ratio * exposure_a + exposure_b);
    limits are those of C. J. Clopper & E. S. Pearson (1934), Biometrika 26, 404-413, carried over to the ratio
    (J. Przyborowski & H. Wilenski (1940), Biometrika 31, 313-323). p is twice the smaller tail, so that p < 1 - level
    exactly where the interval leaves 1 out.

    Examples
    --------
    >>> print(rate_ratio(9, 100.0, 3, 100.0))
    3 times (0.896 to 12.9, 90 % interval; 9 against 3 events; p 0.146)
    """
    events_a, exposure_a = _counted(events_a, exposure_a, level)
    events_b, exposure_b = _counted(events_b, exposure_b, level)
    low, high, p = _conditional(events_a, events_b, exposure_a / (exposure_a + exposure_b), level)
    ratio = events_a / events_b * exposure_b / exposure_a if events_b else None
    back = exposure_b / exposure_a
    return RateRatio(
        ratio,
        low / (1 - low) * back,
        high / (1 - high) * back if high < 1 else None,
        level,
        p,
        events_a,
        events_b,
        exposure_a,
        exposure_b,
        _ratio_note(events_a, events_b),
    )


def clustered_rate_ratio(events_a, exposure_a, events_b, exposure_b, *, level=0.90) -> RateRatio:
    """How many times as often a fails as b, when events of one module come in bunches.

    Of the exact limits, which take every event as independent, and limits that let the modules differ,
    the wider on either side are given, and the larger p.

    Parameters
    ----------
    events_a, exposure_a : array_like, shape (m,)
        Events and time at risk of each module of group a; one row a module.
    events_b, exposure_b : array_like, shape (n,)
        The same for group b. A module that served in both groups makes the limits too wide or too narrow:
        put it in one.
    level : float
        Level of the interval.

    Raises
    ------
    SpellError
        If lengths differ, a count is not a whole number from 0 up, or an exposure is negative or sums to 0.

    Notes
    -----
    Robust variance of a log rate: m / (m - 1) * sum (events - rate * exposure)^2 / (sum events)^2, the linearised
    ratio estimator (W. G. Cochran, Sampling Techniques, 3rd ed. 1977, sec. 2.11 and 6.4, from memory); limits with
    Student's t on the degrees of freedom of F. E. Satterthwaite (1946), Biometrics Bulletin 2, 110-114.

    Examples
    --------
    >>> print(clustered_rate_ratio([9, 0, 0], [40.0, 30.0, 30.0], [1, 1, 1], [40.0, 30.0, 30.0]))
    3 times (0.223 to 40.4, 90 % interval; 9 against 3 events; p 0.346). Limits allow for events bunched in modules.
    """
    a, b = _per_module(events_a, exposure_a), _per_module(events_b, exposure_b)
    exact = rate_ratio(a[0].sum(), a[1].sum(), b[0].sum(), b[1].sum(), level=level)
    spread = [_log_rate_spread(*group) for group in (a, b)]
    if None in spread:
        return replace(exact, note=_joined(sentence("rates.independent"), exact.note))
    low, high, p = _robust(exact.ratio, spread, level)
    wider = low < exact.low or high > exact.high or p > exact.p
    note = sentence("rates.bunched" if wider else "rates.exact")
    return replace(
        exact,
        low=min(low, exact.low),
        high=max(high, exact.high),
        p=max(p, exact.p),
        note=_joined(note, exact.note),
    )


def _conditional(events_a, events_b, share, level):
    """Clopper-Pearson limits of a's share of the events, and the central p of the share expected."""
    from scipy.special import bdtr, bdtrc

    total = events_a + events_b
    low, high = share_limits(events_a, total, level=level)
    at_most = bdtr(events_a, total, share)
    at_least = bdtrc(events_a - 1, total, share) if events_a else 1.0
    return float(low), float(high), float(min(1.0, 2 * min(at_most, at_least)))


def _log_rate_spread(events, exposure):
    """Robust variance of the log rate over modules and its degrees of freedom; None where it cannot be had."""
    modules, total = np.count_nonzero(exposure > 0), events.sum()
    if modules < 2 or total == 0:
        return None
    residual = events - total / exposure.sum() * exposure
    return modules / (modules - 1) * np.sum(residual**2) / total**2, modules - 1


def _robust(ratio, spread, level):
    from scipy.special import stdtr, stdtrit

    variance = sum(v for v, _ in spread)
    if variance == 0:  # every module has the very same rate
        return ratio, ratio, float(ratio == 1)
    freedom = variance**2 / sum(v**2 / df for v, df in spread)  # Satterthwaite (1946)
    reach = np.exp(stdtrit(freedom, (1 + level) / 2) * np.sqrt(variance))
    p = 2 * stdtr(freedom, -abs(np.log(ratio)) / np.sqrt(variance))
    return float(ratio / reach), float(ratio * reach), float(p)


def _counted(events, exposure, level):
    if not 0 < level < 1:
        raise SpellError(f"The level of an interval lies between 0 and 1, 0.90 for example; found {level}.")
    if not (np.isfinite(events) and events >= 0 and events == int(events)):
        raise SpellError(f"A count of events is a whole number from 0 up; found {events}.")
    if not (np.isfinite(exposure) and exposure > 0):
        raise SpellError(
            f"A rate needs time at risk above 0; found {exposure}. Without it only the count can be told."
        )
    return int(events), float(exposure)


def _per_module(events, exposure):
    events, exposure = np.atleast_1d(np.asarray(events, float)), np.atleast_1d(np.asarray(exposure, float))
    if events.shape != exposure.shape:
        raise SpellError(
            f"Every module needs both: {events.size} counts of events but {exposure.size} exposures."
        )
    if np.any(events < 0) or np.any(exposure < 0):
        raise SpellError("Events and exposures are never below 0; one of these is.")
    if np.any(events[exposure == 0] > 0):
        raise SpellError("A module without time at risk has events. Check its window.")
    return events, exposure


def _ratio_note(events_a, events_b):
    total = events_a + events_b
    if total == 0:
        return sentence("rates.no_events")
    if total < FEWEST_FOR_A_VERDICT:
        return sentence("rates.few", events=total)
    return ""


def _joined(*sentences):
    return " ".join(sentence for sentence in sentences if sentence)


def poisson_tail(seen: int, expected: float) -> float:
    """Chance of so many events or more, or of so many or fewer, whichever is less: ``seen`` an int, ``expected`` a float above 0.

    The exact Poisson tails, common practice.

    Examples
    --------
    >>> round(poisson_tail(0, 3.0), 4), round(poisson_tail(5, 3.0), 4)
    (0.0498, 0.1847)
    """
    from scipy.special import pdtr, pdtrc

    return float(min(pdtr(seen, expected), pdtrc(seen - 1, expected) if seen else 1.0))
