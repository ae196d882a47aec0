"""What makes parts fail sooner, on top of age: Weibull life with covariates that multiply the hazard."""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.designs import checked_design, middle_and_spread, without_gaps
from maintkit.survival.newton import LARGEST_EFFECT
from maintkit.survival.results import Estimate
from maintkit.survival.spell_rows import refuse_bad_level, spell_rows
from maintkit.survival.weibull import too_little
from maintkit.survival.weibull_likelihood import shape_and_scale, top_of, weibull_cells


@dataclass(frozen=True)
class WeibullRegression:
    """Cumulative hazard ``(t / scale)**shape * exp(x @ coefficients)``, or the reason why there is none.

    Attributes
    ----------
    names : tuple of str, length p
    coefficients : ndarray, shape (p,), or None
        Log hazard ratio for one unit of each covariate.
    covariance : ndarray, shape (2 + p, 2 + p), or None
        Of log shape, log scale and the coefficients, in this order.
    log_shape, log_scale, loglik : float or None
        ``loglik`` is without the prior.
    failures, exposure, level : float
    note : str
    """

    names: tuple[str, ...]
    coefficients: np.ndarray | None
    covariance: np.ndarray | None
    log_shape: float | None
    log_scale: float | None
    loglik: float | None
    failures: float
    exposure: float
    level: float
    note: str = ""

    @property
    def hazard_ratios(self) -> tuple[Estimate, ...]:
        """How many times as fast parts fail for one unit more of each covariate; limits on the log scale."""
        if self.coefficients is None:
            return ()
        reach = NormalDist().inv_cdf((1 + self.level) / 2) * np.sqrt(np.diag(self.covariance)[2:])
        told = zip(self.coefficients, reach, strict=True)
        return tuple(Estimate.of_log(*one, self.level, self.failures, self.exposure) for one in told)

    def cumulative_hazard(self, age, design):
        """Cumulative hazard at ages (n,) of parts with covariates (n, p)."""
        age = np.maximum(np.asarray(age, float), 0.0)
        return (age / np.exp(self.log_scale)) ** np.exp(self.log_shape) * np.exp(
            np.asarray(design, float) @ self.coefficients
        )


def weibull_regression(
    entry, exit, event, design, *, weight=None, interval_censored=None, names=None, ridge_sd=None, level=0.90
) -> WeibullRegression:
    """How age and covariates together drive failures, by maximum likelihood.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over ``(entry, exit]``.
    event : array_like of bool, shape (n,)
        True where the part failed exactly at ``exit``.
    design : array_like, shape (n, p)
        Covariates, no constant; p may be 0.
    weight, interval_censored : array_like, shape (n,), optional
        As in ``fit_weibull``.
    names : sequence of str, length p, optional
        What the covariates are called in messages.
    ridge_sd : float, optional
        Spread of a normal prior with mean 0 on every coefficient; without it, none.
    level : float
        Level of the hazard ratios' intervals.

    Returns
    -------
    WeibullRegression
        Without estimates, and with a ``note`` that says why, where there are fewer than 5 failures, failures at one
        age only, covariates that cannot be told apart (without ``ridge_sd``), or a likelihood without a top.

    Raises
    ------
    SpellError
        If the spells or the design cannot be used; the message gives the row or the lengths.

    Notes
    -----
    Weibull proportional hazards; with a prior the top is that of likelihood times prior, and the covariance its
    curvature. Source: Collett (2015), Modelling Survival Data in Medical Research, section 5.6 (from memory).

    Examples
    --------
    >>> fit = weibull_regression([0] * 8, [2, 3, 5, 6, 4, 6, 10, 12], [True] * 8, [[0]] * 4 + [[1]] * 4)
    >>> round(float(np.exp(fit.coefficients[0])), 2)
    0.14
    """
    refuse_bad_level(level)
    design, names = checked_design(design, len(np.ravel(exit)), names)
    rows = spell_rows(entry, exit, event, weight, interval_censored)
    design = design[rows.kept]
    about = (rows.failures, rows.exposure, level)
    reason = too_little(rows) or ("" if ridge_sd else without_gaps(design, names))
    middle, spread = middle_and_spread(design, rows.weight)
    top = None
    if not reason:
        cells = weibull_cells(rows, (design - middle) / spread, ridge_sd and ridge_sd * spread)
        top = top_of(cells, rows.failures, rows.exposure)
    if top is None or np.any(np.abs(top[0][2:]) > LARGEST_EFFECT):
        reason = reason or sentence("weibull.regression")
        return WeibullRegression(names, None, None, None, None, None, *about, reason)
    theta, covariance = _as_given(*shape_and_scale(cells, top[0], top[3]), middle, spread)
    loglik = top[1] + 0.5 * float(cells.precision @ top[0][1:] ** 2)
    return WeibullRegression(names, theta[2:], covariance, float(theta[0]), float(theta[1]), loglik, *about)


def _as_given(theta, covariance, middle, spread):
    """From covariates counted from their mean in spreads back to those given; log scale moves by middle @ b / shape."""
    per_shape = np.exp(-theta[0])
    b = theta[2:] / spread
    turn = np.diag(np.concatenate([[1.0, 1.0], 1 / spread]))
    turn[1, 0], turn[1, 2:] = -(middle @ b) * per_shape, middle / spread * per_shape
    return np.concatenate([theta[:1], theta[1:2] + middle @ b * per_shape, b]), turn @ covariance @ turn.T
