"""Faults per module over time, where a module can fail again and again."""

from dataclasses import dataclass

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.results import Estimate
from maintkit.survival.windows import event_places, first_unwatched, units_watched, watched_windows

ROUNDING = 1e-14  # of the squares added up, below which a difference of them is none
FEW_MODULES = 5


@dataclass(frozen=True)
class MeanCumulative:
    """Mean number of events per module up to each time; every array has shape (k,), one per time with events.

    Attributes
    ----------
    time : ndarray
        Times at which something happened, rising.
    at_risk : ndarray
        Modules watched at that time.
    events : ndarray
        Events at that time; two of one module count twice.
    mean : ndarray
        Mean events per module from ``start`` up to and including that time.
    low, high : ndarray
        Limits, kept above 0 by the log scale.
    variance : ndarray
        Variance of ``mean`` that lets modules differ (Lawless and Nadeau); never below the Poisson one
        where there are fewer than five modules.
    nelson_variance : ndarray
        Nelson's variance; NaN from the first event on at which a single module was watched.
    level : float
        Level of the limits.
    start, until : float
        Where the watching begins and ends.
    units, exposure : float
        Modules watched, and their summed time.
    note : str
        Where the curve is not to be trusted.
    """

    time: np.ndarray
    at_risk: np.ndarray
    events: np.ndarray
    mean: np.ndarray
    low: np.ndarray
    high: np.ndarray
    variance: np.ndarray
    nelson_variance: np.ndarray
    level: float
    start: float
    until: float
    units: int
    exposure: float
    note: str = ""

    def __str__(self) -> str:
        return f"Mean events per module up to {self.until:g}: {self.mean_at(self.until)}"

    def mean_at(self, time) -> Estimate:
        """Mean events per module up to and including ``time``, with limits; None after the watching ends."""
        place = np.searchsorted(self.time, time, side="right") - 1
        so_far = float(self.events[: place + 1].sum())
        if time > self.until or time < self.start:
            note = sentence("recurrence.outside", start=self.start, until=self.until)
            return Estimate(None, None, None, self.level, so_far, self.exposure, note)
        if place < 0:
            return Estimate(0.0, None, None, self.level, 0, self.exposure, sentence("recurrence.nothing_yet"))
        found = (of[place] for of in (self.mean, self.low, self.high))
        return Estimate(*found, self.level, so_far, self.exposure, self.note)


def mean_cumulative(unit, entry, exit, event_unit, event_time, *, level=0.90) -> MeanCumulative:
    """Mean number of events per module over time, each module counted while it was watched.

    Parameters
    ----------
    unit : array_like, shape (n,)
        The module of each window; a module may have several.
    entry, exit : array_like, shape (n,)
        Windows (entry, exit] in which every event of the module was recorded.
    event_unit, event_time : array_like, shape (m,)
        The module of each event and when it happened, on the same clock.
    level : float
        Level of the limits.

    Raises
    ------
    SpellError
        If a window takes no time, two windows of a module overlap, or an event lies in no window of its module.

    Notes
    -----
    mean(t) = sum of events / at_risk over times up to t. A module that enters at t is not watched at t; one that
    leaves at t still is. W. Nelson (1988), J. Quality Technology 20, 24-35. Robust variance: J. F. Lawless &
    C. Nadeau (1995), Technometrics 37, 158-168. Nelson's: W. Nelson (1995), Technometrics 37, 147-157. Either may
    fall at some times; that is no error. Limits: mean * exp(-+ z * se / mean). With fewer than five modules the
    larger of robust and Poisson variance is taken, for a lone module has no robust one.

    Examples
    --------
    >>> curve = mean_cumulative(["a", "b"], [0, 0], [10, 10], ["a", "a", "b"], [2, 6, 8])
    >>> curve.mean, curve.at_risk
    (array([0.5, 1. , 1.5]), array([2, 2, 2]))
    """
    from scipy.special import ndtri

    windows = watched_windows(unit, entry, exit)
    event_unit, event_time = np.asarray(event_unit), np.asarray(event_time, float)
    place = event_places(windows, event_unit, event_time)
    time, slot = np.unique(event_time, return_inverse=True)
    events, at_risk = np.bincount(slot, minlength=len(time)).astype(float), units_watched(windows, time)
    mean = np.cumsum(events / at_risk)
    robust, nelson = _variances(windows, (time, events, at_risk), place, slot)
    if len(windows.names) < FEW_MODULES:
        robust = np.maximum(robust, np.cumsum(events / at_risk**2))
    reach = np.exp(ndtri((1 + level) / 2) * np.sqrt(robust) / mean)
    return MeanCumulative(
        time,
        at_risk,
        events,
        mean,
        mean / reach,
        mean * reach,
        robust,
        nelson,
        level,
        float(windows.entry.min()),
        float(windows.exit.max()),
        len(windows.names),
        float(np.sum(windows.exit - windows.entry)),
        _note(windows, at_risk, events),
    )


def _variances(windows, steps, place, slot):
    """Robust and Nelson's variance of the mean at each time.

    Between its own events and the ends of its windows what a module has beyond the mean changes with the mean alone; so sums over the
    modules are followed from one such mark to the next.
    """
    time, events, at_risk = steps
    share, jump = 1 / at_risk, events / at_risk**2
    due = np.r_[0.0, np.cumsum(jump)]  # of a module watched all along, before each time
    opens, closes = (np.searchsorted(time, of, side="right") for of in (windows.entry, windows.exit))
    unit = np.concatenate([place, windows.row, windows.row])
    at = np.concatenate([slot, opens, closes])
    order = np.lexsort((at, unit))
    unit, at = unit[order], at[order]
    none, one = np.zeros(len(slot)), np.ones(len(opens))
    own = _followed(unit, np.concatenate([share[slot], 0 * one, 0 * one])[order])
    beyond = _followed(unit, np.concatenate([share[slot], due[opens], -due[closes]])[order])
    watched = _followed(unit, np.concatenate([none, one, -one])[order])

    def summed(first, second):
        """The product of two such things added up over the modules, at each time."""
        change = first[1] * second[1] - first[0] * second[0]
        return np.cumsum(np.bincount(at, change, len(time) + 1)[: len(time)])

    squares = summed(beyond, beyond) + due[1:] ** 2 * summed(watched, watched)
    robust = squares - 2 * due[1:] * summed(watched, beyond)
    nelson = np.diff(summed(own, own), prepend=0.0) - jump * (2 * summed(watched, own) - events * share)
    lone = np.where(at_risk > 1, at_risk / np.maximum(at_risk - 1, 1), np.nan)
    return np.where(robust > ROUNDING * squares, robust, 0.0), np.cumsum(nelson * lone)


def _followed(unit, change):
    """Before and after each mark, what the marks of its module (they stand together) have made of it."""
    after = np.cumsum(change)
    first = np.flatnonzero(np.diff(unit, prepend=-1))
    after -= np.repeat(after[first] - change[first], np.diff(np.append(first, len(unit))))
    return after - change, after


def _note(windows, at_risk, events):
    notes = []
    if events.sum() < 5:
        notes.append(sentence("recurrence.few", events=events.sum()))
    gap = first_unwatched(windows)
    if gap:
        notes.append(sentence("recurrence.gap", left=gap[0], back=gap[1]))
    thin = np.flatnonzero(at_risk < FEW_MODULES)
    if len(windows.names) < FEW_MODULES:
        notes.append(sentence("recurrence.few_modules", modules=len(windows.names)))
    elif len(thin):
        notes.append(sentence("recurrence.thin", fewest=FEW_MODULES))
    return " ".join(notes)
