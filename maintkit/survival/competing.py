"""Which cause takes how many: cumulative incidence of competing causes of failure."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.kaplan_meier import log_log_limits
from maintkit.survival.spell_rows import (
    failed_at,
    group_codes,
    refuse_bad_level,
    refuse_unequal_lengths,
    spell_rows,
    watched_at,
)


@dataclass(frozen=True)
class CumulativeIncidence:
    """Share lost to each cause after each failure time, of k times and c causes.

    Attributes
    ----------
    causes : tuple, length c
    time, at_risk, event_free : ndarray, shape (k,)
        Distinct failure times, parts watched just before, share with no failure just after.
    failures, incidence, std_error, low, high : ndarray, shape (k, c)
        Failures of each cause at that time, share failed of it so far, and its limits inside [0, 1].
        ``incidence`` sums with ``event_free`` to 1.
    level, exposure : float
    """

    causes: tuple
    time: np.ndarray
    at_risk: np.ndarray
    event_free: np.ndarray
    failures: np.ndarray
    incidence: np.ndarray
    std_error: np.ndarray
    low: np.ndarray
    high: np.ndarray
    level: float
    exposure: float

    def incidence_at(self, age: float) -> np.ndarray:
        """Share failed of each cause by an age, shape (c,)."""
        steps = np.vstack([np.zeros(len(self.causes)), self.incidence])
        return steps[np.searchsorted(self.time, age, side="right")]


def cumulative_incidence(entry, exit, cause, weight=None, *, level=0.90) -> CumulativeIncidence:
    """Share of parts lost to each cause by each failure age, the causes competing for the same parts.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over ``(entry, exit]``.
    cause : array_like of str or int, shape (n,)
        What ended the spell; None, 0 or an empty text where it was cut short.
    weight : array_like, shape (n,), optional
        How many identical parts a spell stands for; 1 each when left out.
    level : float
        Level of the limits at each time.

    Returns
    -------
    CumulativeIncidence
        Times ascending, causes in alphabetical or numeric order.

    Raises
    ------
    SpellError
        If the spells cannot be used; the message gives the first such row.

    Notes
    -----
    Each failure of cause j at t adds S(t-) d_j / n, where S(t-) is the share free of any failure just before
    (Aalen & Johansen 1978, Scand. J. Statist. 5, 141-150). Ties are exact: all causes at t share one risk set.
    Variance of the Greenwood type (Marubini & Valsecchi 1995, section 10.2, from memory); limits on the
    log(-log) scale of the incidence.

    Examples
    --------
    >>> result = cumulative_incidence([0, 0, 0, 0], [1, 2, 2, 3], ["dry", "leak", None, "dry"])
    >>> result.causes, result.incidence[-1].tolist(), float(result.event_free[-1])
    (('dry', 'leak'), [0.75, 0.25], 0.0)
    """
    refuse_bad_level(level)
    names, code = group_codes(cause)
    refuse_unequal_lengths(exit=np.ravel(exit), cause=code)
    failed = np.array([name not in (None, 0, "") for name in names], bool)[code]
    weight = np.ones(len(code)) if weight is None else np.ravel(np.asarray(weight, float))
    rows = spell_rows(entry, exit, failed, weight)
    kept, code = np.unique(code[failed & (weight > 0)], return_inverse=True)
    causes = tuple(names[number] for number in kept)
    time, place = np.unique(rows.exit[rows.event], return_inverse=True)
    at_risk = watched_at(rows, time)
    failures = np.zeros((len(time), len(causes)))
    np.add.at(failures, (place, code), rows.weight[rows.event])
    left = at_risk - failed_at(rows, time)
    left[left < 1e-12 * rows.weight.sum()] = 0.0
    event_free = np.cumprod(left / at_risk)
    before = np.concatenate([[1.0], event_free[:-1]])
    incidence = np.cumsum((before / at_risk)[:, None] * failures, axis=0)
    std_error = _std_error(before, at_risk, left, failures, incidence)
    relative = np.divide(std_error, incidence, out=np.zeros(incidence.shape), where=incidence > 0)
    low, high = log_log_limits(incidence, relative, level)
    return CumulativeIncidence(
        causes, time, at_risk, event_free, failures, incidence, std_error, low, high, level, rows.exposure
    )


def _std_error(before, at_risk, left, failures, incidence):
    """Greenwood-type: sum over u <= t of the variance that each failure time brings, written out in sums up to t."""
    total = failures.sum(axis=1)
    hazard_spread = np.where(left > 0, total / (at_risk * np.where(left > 0, left, 1.0)), 0.0)[:, None]
    own = (before**2 / at_risk**3)[:, None] * failures * (at_risk[:, None] - failures)
    shared = (before / at_risk**2)[:, None] * failures
    variance = (
        incidence**2 * np.cumsum(hazard_spread, axis=0)
        - 2 * incidence * np.cumsum(incidence * hazard_spread + shared, axis=0)
        + np.cumsum(incidence**2 * hazard_spread + own + 2 * incidence * shared, axis=0)
    )
    return np.sqrt(np.maximum(variance, 0.0))
