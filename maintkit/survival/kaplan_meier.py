"""Share of parts still working at each age, for parts that entered late or were cut short."""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.blocks import distinct
from maintkit.survival.results import Estimate, three_digits
from maintkit.survival.spell_rows import (
    failed_at,
    refuse_bad_level,
    spell_rows,
    watched_at,
    watched_just_after,
)

THIN = 5  # fewer parts at risk than this is called thin: common practice, no source
ROUNDING = 1e-12


@dataclass(frozen=True)
class SurvivalCurve:
    """Share still working after each failure time; every array has shape (k,).

    Attributes
    ----------
    time : ndarray
        Distinct failure times, ascending.
    at_risk, failures : ndarray
        Parts watched just before that time, and how many of them failed.
    survival, std_error, low, high : ndarray
        Share working just after it, Greenwood's standard error, and limits inside [0, 1].
    level : float
    total_failures, exposure : float
        Failures and summed time at risk.
    watched_until : float
        Last age at which any part was watched; the curve says nothing beyond.
    emptied_at : float or None
        Age at which every part then watched had failed although others enter later.
    note : str
    """

    time: np.ndarray
    at_risk: np.ndarray
    failures: np.ndarray
    survival: np.ndarray
    std_error: np.ndarray
    low: np.ndarray
    high: np.ndarray
    level: float
    total_failures: float
    exposure: float
    watched_until: float
    emptied_at: float | None
    note: str = ""

    def survival_at(self, age):
        """Share working at an age (number or array); nan where no part was watched or the risk set had emptied."""
        age = np.asarray(age, float)
        steps = np.concatenate([[1.0], self.survival])
        share = steps[np.searchsorted(self.time, age, side="right")]
        beyond = (age > self.watched_until) | (age < 0)
        if self.emptied_at is not None:
            beyond |= age >= self.emptied_at
        share = np.where(beyond, np.nan, share)
        return float(share) if share.ndim == 0 else share

    def quantile(self, q: float) -> Estimate:
        """Age by which a share ``q`` has failed (0.5: the median), or None where not reached.

        Limits are where the limits of the curve cross. Source: Brookmeyer & Crowley (1982), Biometrics 38, 29-41.
        """
        value, low, high = (
            self._first_at_or_below(curve, 1 - q) for curve in (self.survival, self.low, self.high)
        )
        return Estimate(value, low, high, self.level, self.total_failures, self.exposure)

    def _first_at_or_below(self, curve, share):
        crossed = curve <= share + ROUNDING
        if self.emptied_at is not None:
            crossed &= self.time < self.emptied_at
        return float(self.time[np.argmax(crossed)]) if crossed.any() else None


def kaplan_meier(entry, exit, event, weight=None, *, level=0.90) -> SurvivalCurve:
    """Share of parts still working at each failure age, for parts that entered late or were cut short.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over the half-open spell ``(entry, exit]``.
    event : array_like of bool, shape (n,)
        True where the spell ended in a failure, False where it was cut short.
    weight : array_like, shape (n,), optional
        How many identical parts a spell stands for; 1 each when left out.
    level : float
        Level of the limits at each time.

    Returns
    -------
    SurvivalCurve
        One entry a distinct failure time, ascending.

    Raises
    ------
    SpellError
        If the spells cannot be used; the message gives the first such row.

    Notes
    -----
    At a tie failures happen before parts leave: a part cut short at t is still at risk at t, and a part that
    enters at t is not. Limits on the log(-log) scale, with Greenwood's variance. Where the estimate is 0 the
    upper limit is that of the time before, for the share can only have fallen since.
    Sources: Kaplan & Meier (1958), J. Am. Stat. Assoc. 53, 457-481; late entry: Klein & Moeschberger (2003),
    Survival Analysis, section 4.6 (from memory).

    Examples
    --------
    >>> kaplan_meier(entry=[0, 0, 0], exit=[2, 3, 3], event=[True, True, False]).survival
    array([0.66666667, 0.33333333])
    """
    refuse_bad_level(level)
    rows = spell_rows(entry, exit, event, weight)
    time = distinct(rows.exit[rows.event])
    at_risk, failures = watched_at(rows, time), failed_at(rows, time)
    left = at_risk - failures
    left[left < ROUNDING * rows.weight.sum()] = 0.0
    survival = np.cumprod(left / at_risk)
    with np.errstate(divide="ignore", invalid="ignore"):
        greenwood = np.cumsum(failures / (at_risk * left))
    error = np.sqrt(np.where(survival > 0, greenwood, 0.0))
    low, high = log_log_limits(survival, error, level)
    gone = np.flatnonzero(survival <= 0)
    if len(gone):
        high[gone[0] :] = high[gone[0] - 1] if gone[0] else 1.0
    std_error = np.where(survival > 0, survival * error, np.nan)
    emptied_at = _emptied_at(rows, time, survival)
    emptied = [] if emptied_at is None else [sentence("kaplan_meier.emptied", age=three_digits(emptied_at))]
    note = " ".join([*emptied, *_gap_notes(rows), *_thin_note(time, at_risk)])
    return SurvivalCurve(
        time,
        at_risk,
        failures,
        survival,
        std_error,
        low,
        high,
        level,
        float(failures.sum()),
        rows.exposure,
        float(rows.exit.max()),
        emptied_at,
        note,
    )


def log_log_limits(share, error, level):
    """Limits share**exp(±z error / log share) on the log(-log) scale, ``error`` being relative to the share; shares of 0 and 1 are
    their own. Kalbfleisch & Prentice (2002), section 1.4 (from memory)."""
    z = NormalDist().inv_cdf((1 + level) / 2)
    inside = (share > 0) & (share < 1)
    log_share = np.log(np.where(inside, share, 0.5))
    spread = np.where(inside, z * error / -log_share, 0.0)
    with np.errstate(over="ignore"):  # of a spread beyond measure the limit is nought
        ends = [np.exp(log_share * np.exp(side * spread)) for side in (1, -1)]
    return tuple(np.where(inside, end, share) for end in ends)


def _emptied_at(rows, time, survival):
    gone = np.flatnonzero((survival == 0) & (time < rows.exit.max()))
    return float(time[gone[0]]) if len(gone) else None


def _gap_notes(rows):
    notes, first = [], rows.entry.min()
    if first > 0:
        notes.append(sentence("kaplan_meier.late", age=three_digits(first)))
    ends, order = distinct(rows.exit), np.argsort(rows.entry)
    unwatched = np.flatnonzero(watched_just_after(rows, ends[:-1]) <= ROUNDING * rows.weight.sum())
    if len(unwatched):
        left = ends[unwatched[0]]
        back = rows.entry[order][np.searchsorted(rows.entry[order], left, side="right")]
        notes.append(sentence("kaplan_meier.unwatched", left=three_digits(left), back=three_digits(back)))
    return notes


def _thin_note(time, at_risk):
    thin = time[at_risk < THIN]
    if len(thin) == 0:
        return []
    first, last = three_digits(thin[0]), three_digits(thin[-1])
    where = f"age {first}" if len(thin) == 1 else f"ages {first} to {last}"
    return [sentence("kaplan_meier.thin", times=len(thin), all=len(time), where=where, fewest=THIN)]
