"""How far modules differ, with its uncertainty: what a few faults say of the spread of the modules' factors."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.level import one_step_loglik
from maintkit.survival.results import SpellError

MOST_CV, POINTS = 2.0, 80  # the spread is looked for between none and this coefficient of variation


@dataclass(frozen=True)
class SpreadPosterior:
    """Coefficients of variation of the modules' factors, ascending, and the probability of each; shape (points,)."""

    cv: np.ndarray
    probability: np.ndarray

    @property
    def mean(self) -> float:
        """Mean coefficient of variation."""
        return float(self.cv @ self.probability)


def spread_posterior(counts, expected) -> SpreadPosterior:
    """What the faults of the modules say of the spread of their factors.

    Parameters
    ----------
    counts, expected : array_like, shape (n,)
        Faults of each module, and those expected of it at a factor of 1.

    Returns
    -------
    SpreadPosterior

    Raises
    ------
    SpellError
        If the lengths differ, or a module has faults where none were expected.

    Notes
    -----
    counts ~ Poisson(factor * expected), the factor gamma with mean 1, so the counts are negative binomial (M. Greenwood
    & G. U. Yule (1920), J. Royal Stat. Soc. 83, 255-279); the coefficient of variation has a flat prior from 0 to 2
    (flat on the spread: A. Gelman (2006), Bayesian Analysis 1, 515-533). With few faults no spread fitted is not no
    spread, which is why this is used for forecasts and not the best fit alone.

    Examples
    --------
    >>> few, many = spread_posterior([1, 0, 1], [1.0, 0.5, 0.5]), spread_posterior([9, 0, 1] * 9, [4.0, 3.0, 3.0] * 9)
    >>> round(few.mean, 1), round(many.mean, 1)
    (0.7, 1.3)
    """
    counts, expected = np.asarray(counts, float), np.asarray(expected, float)
    if counts.shape != expected.shape:
        raise SpellError(
            f"Every module needs both: {counts.size} counts but {expected.size} expected numbers."
        )
    if np.any(counts[expected <= 0] > 0):
        raise SpellError("Nothing was expected of a module that has faults. Check its time at risk.")
    cv = (np.arange(POINTS) + 0.5) * MOST_CV / POINTS
    loglik = one_step_loglik(counts, expected, cv[:, None] ** 2).sum(axis=1)
    weight = np.exp(loglik - loglik.max())
    return SpreadPosterior(cv, weight / weight.sum())
