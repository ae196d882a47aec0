"""How fast the past of single modules or slots should be forgotten, by what it foretold of the periods after."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.level import one_step_loglik

DISCOUNTS = (1.0, 0.95, 0.9, 0.8, 0.7, 0.55)
GAIN = 3.0  # of log likelihood that forgetting must bring
CVS = (0.05, 0.4, 0.7, 1.1)


@dataclass(frozen=True)
class Forgetting:
    """The likeliest ``discount``, what a period leaves of the count of a unit; ``loglik``, that of the rows, less ``GAIN`` where it
    forgets; and ``before``, the mean factor of each unit before each period was seen, shape (periods, units)."""

    discount: float
    loglik: float
    before: np.ndarray


def forgetting(unit, period, seen, expected, *, units: int, periods: int) -> Forgetting:
    """Factors of units followed through the periods, and how much of them a period leaves.

    Parameters
    ----------
    unit, period : array_like of int, shape (n,)
    seen, expected : array_like, shape (n,)
        Events in the period, and those expected at a factor of 1.

    Notes
    -----
    Each unit's factor is gamma with mean 1; of its count and its expected events a period leaves the discount, what is forgotten
    falling back to what was known at first. Discount and spread are those that make the counts likeliest one step ahead, unit by
    unit, a discount below 1 only where it gains ``GAIN``: J. Q. Smith & J. E. Miller (1986), J. R. Stat. Soc. B 48, 79-88.
    The events of a unit and period fall to its rows as they were expected to (multinomial): with that, units of two kinds, such as
    modules and the slots they sat in, are compared on the same rows.
    """
    key, size = np.asarray(period) * units + np.asarray(unit), units * periods
    came, due = (np.bincount(key, of, size).reshape(periods, units) for of in (seen, expected))
    grid = np.array([(discount, cv**-2.0) for discount in DISCOUNTS for cv in CVS])
    discount, prior = grid[:, :1], grid[:, 1:]
    shape, rate = np.broadcast_to(prior, (len(grid), units)), np.broadcast_to(prior, (len(grid), units))
    loglik, before = np.zeros(len(grid)), np.ones((periods, len(grid), units), np.float32)
    for now in range(periods):
        shape, rate = prior + discount * (shape - prior), prior + discount * (rate - prior)
        before[now] = shape / rate
        if now:
            hit = came[now] > 0
            loglik -= (shape * np.log1p(due[now] / rate)).sum(axis=1)
            at = due[now][hit], shape[:, hit], rate[:, hit]
            none = at[1] * np.log1p(at[0] / at[2])
            loglik += (one_step_loglik(came[now][hit], at[0] * at[1] / at[2], 1 / at[1]) + none).sum(axis=1)
        shape, rate = shape + came[now], rate + due[now]
    loglik += _shared_out(key, seen, expected, came, due) - GAIN * (grid[:, 0] < 1)
    best = int(np.argmax(loglik))
    return Forgetting(float(grid[best, 0]), float(loglik[best]), before[:, best].astype(float))


def _shared_out(key, seen, expected, came, due) -> float:
    """Log likelihood of how the events of each unit and period fell to its rows, but for the first period."""
    from scipy.special import gammaln, xlogy

    row = (key >= came.shape[1]) & (np.asarray(seen) > 0)
    seen, expected, whole = np.asarray(seen)[row], np.asarray(expected)[row], due.ravel()[key[row]]
    return float(gammaln(came[1:] + 1).sum() + (xlogy(seen, expected / whole) - gammaln(seen + 1)).sum())
