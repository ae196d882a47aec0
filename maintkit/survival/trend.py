"""Whether faults come more and more often, or less and less: Laplace's test of a steady rate."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.results import SpellError, three_digits
from maintkit.survival.windows import event_places, watched_windows

FEWEST = 5
STEPS = 100  # times tried for a change, evenly over the watching
SHOWN = 1.0  # least log-likelihood gained by a change in each: two in its chi-square
ELSEWHERE = (
    5.0  # log-likelihood more for a change at another time, from which it came then: faults come in bunches
)


@dataclass(frozen=True)
class LaplaceTrend:
    """Laplace's test of a steady rate.

    ``statistic`` is near standard normal where the rate is steady; above 0 = faults crowd late, it is getting worse.
    ``p`` is two-sided; ``events`` are those the test rests on; ``exposure`` is the time watched.
    """

    statistic: float
    p: float
    level: float
    events: int
    exposure: float
    note: str = ""

    @property
    def verdict(self) -> str:
        """``worse``, ``better``, ``no trend shown`` or ``too few faults``."""
        return verdict(self.events, self.p, self.level, self.statistic > 0)

    def __str__(self) -> str:
        numbers = f"Laplace {three_digits(self.statistic)}, p {three_digits(self.p)}"
        text = f"{self.verdict} ({self.events} faults, {numbers})"
        return f"{text}. {self.note}" if self.note else text


def laplace_trend(times, end=None, *, start=0.0, level=0.90) -> LaplaceTrend:
    """Are the faults of one unit crowding toward the end of its watching, or toward the start?

    Parameters
    ----------
    times : array_like, shape (n,)
        When each fault happened.
    end : float, optional
        When the watching ended; left out where it ended with the last fault.
    start : float
        When it began.
    level : float
        A verdict is given where p is below 1 - level and there are five events or more.

    Raises
    ------
    SpellError
        If a fault lies outside (start, end], or there is none.

    Notes
    -----
    (mean time - middle of the window) / (length / sqrt(12 n)); where the watching ended with a fault, that fault is
    the end and is not counted. D. R. Cox & P. A. W. Lewis (1966), The Statistical Analysis of Series of Events,
    ch. 3. Near enough normal from about four events on.

    Examples
    --------
    >>> print(laplace_trend([40, 55, 70, 80, 90, 95], 100))
    worse (6 faults, Laplace 1.84, p 0.066)
    """
    times, end = one_unit(times, end, start)
    unit = np.zeros(len(times), int)
    return pooled_laplace_trend([0], [start], [end], unit, times, level=level)


def pooled_laplace_trend(unit, entry, exit, event_unit, event_time, *, level=0.90) -> LaplaceTrend:
    """Laplace's test over many units, each held against its own windows.

    A unit may have a rate of its own and be watched late, in several windows; none of that looks like a trend.

    Parameters
    ----------
    unit, entry, exit : array_like, shape (n,)
        Windows (entry, exit] of each unit.
    event_unit, event_time : array_like, shape (m,)
        The faults.
    level : float
        See :func:`laplace_trend`.

    Raises
    ------
    SpellError
        If there is no fault, or one lies in no window of its unit.

    Notes
    -----
    Given its number of faults, a unit with a steady rate has them evenly over its windows: each adds their mean and
    variance. Cox & Lewis (1966), ch. 3; H. Ascher & H. Feingold (1984), Repairable Systems Reliability, p. 79,
    from memory.

    Examples
    --------
    >>> pooled_laplace_trend(["a", "b"], [0, 50], [100, 100], ["a", "b"], [75, 87.5]).statistic.round(4)
    np.float64(1.1619)
    """
    windows = watched_windows(unit, entry, exit)
    event_time = np.asarray(event_time, float)
    faults = np.bincount(placed(windows, event_unit, event_time), minlength=len(windows.names))
    length, first, second = (
        np.bincount(windows.row, (windows.exit**k - windows.entry**k) / k) for k in (1, 2, 3)
    )
    middle = first / length
    variance = np.sum(faults * (second / length - middle**2))
    statistic = (event_time.sum() - np.sum(faults * middle)) / np.sqrt(variance)
    return LaplaceTrend(statistic, _normal_p(statistic), level, len(event_time), float(length.sum()))


@dataclass(frozen=True)
class SharedStep:
    """A change of rate that several series of events share: when, and whether upwards."""

    at: float
    is_up: bool


def shared_step(series, length: float) -> SharedStep | None:
    """The time from which all of some series come more often, or all less often; None where not all do from about then.

    Parameters
    ----------
    series : list of array_like
        When each event of each series happened, counted from 0; at least one series, each with an event or more.
    length : float
        How long all of them were watched.

    Notes
    -----
    A Poisson rate that changes once, against a steady one, at evenly spaced times; the time of the highest summed log-likelihood is
    held against each series by itself: it must gain ``SHOWN`` there, the same way, and at most ``ELSEWHERE`` more at another time. A change
    at a time not known is as in K. J. Worsley (1986), Biometrika 73, 91-104, from memory.

    Examples
    --------
    >>> shared_step([[10, 60, 70, 80, 90], [30, 55, 65, 85, 95]], 100).is_up
    True
    >>> shared_step([[10, 60, 70, 80, 90], [5, 15, 25, 35, 90]], 100)
    """
    from scipy.special import xlogy

    at = np.linspace(0, length, STEPS + 1)[1:-1]
    number = np.array([len(times) for times in series])[:, None]
    before = np.array([np.searchsorted(np.sort(times), at) for times in series])
    after = number - before
    gain = xlogy(before, before / at) + xlogy(after, after / (length - at)) - xlogy(number, number / length)
    gain *= np.where(after / (length - at) > before / at, 1, -1)
    best = np.abs(gain.sum(axis=0)).argmax()
    gain *= np.sign(gain[:, best].sum())
    there = gain[:, best]
    if there.min() < SHOWN or (gain.max(axis=1) - there).max() > ELSEWHERE:
        return None
    is_up = bool(after[0, best] * at[best] > before[0, best] * (length - at[best]))
    return SharedStep(float(at[best]), is_up)


def one_unit(times, end, start):
    """Faults of one unit and the end of its watching; where that is None the last fault is the end, and not counted."""
    times = np.sort(np.asarray(times, float))
    if len(times) == 0 or (end is None and len(times) < 2):
        raise SpellError(
            f"A trend needs faults, and one more where the last one ends the watching; found {len(times)}."
        )
    if end is None:
        times, end = times[:-1], times[-1]
    outside = times[~((times > start) & (times <= end))]
    if len(outside):
        raise SpellError(
            f"{len(outside)} faults lie outside the watching from {start:g} to {end:g}; "
            f"the first is at {outside[0]:g}. Correct the window or leave them out."
        )
    return times, float(end)


def placed(windows, event_unit, event_time):
    """Number of the unit of each fault; SpellError where there is none or one was not watched."""
    if len(event_time) == 0:
        raise SpellError("No fault: a trend needs at least one. Give the rate instead.")
    return event_places(windows, np.asarray(event_unit), event_time)


def verdict(events, p, level, upward):
    """What may be said: nothing on fewer than five faults, and no arrow on noise."""
    if events < FEWEST:
        return "too few faults"
    if not p < 1 - level:
        return "no trend shown"
    return "worse" if upward else "better"


def _normal_p(statistic):
    from scipy.special import ndtr

    return float(2 * ndtr(-abs(statistic)))
