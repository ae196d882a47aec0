"""How rates of repeated faults depend on covariates, where every module has a gamma factor of its own."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from maintkit.survival.newton import climb, sandwich
from maintkit.survival.results import Estimate, SpellError
from maintkit.survival.spell_rows import group_codes

VARIANCES = (0.0, 0.1, 0.25, 0.5, 1.0, 2.0, 4.0)  # of the modules' factors, averaged over
NEAR_ENOUGH = 1e-16  # of the log likelihood: a ten-millionth of an error of a coefficient
PRIOR_SD = 3.0  # of a log rate ratio: keeps one that no fault tells from running off, and is nothing beside five faults


@dataclass(frozen=True)
class SharedRates:
    """Log rate ratios of repeated faults, with modules of different factors.

    ``coefficients`` (p,) are those of the design, ``errors`` (p,) the larger of the errors by curvature and by module, with what
    the unknown spread of the factors adds. ``variance`` is that of the factors. ``expected`` are the faults that the rows of the
    first covariate would have had without it, modules being as they are.
    """

    coefficients: np.ndarray
    errors: np.ndarray
    variance: float
    expected: float
    events: float
    exposure: float

    def ratio(self, number: int = 0, *, level: float = 0.90) -> Estimate:
        """Rate ratio for one unit of a covariate, with limits on the log scale."""
        from scipy.special import ndtri

        wide = ndtri((1 + level) / 2) * self.errors[number]
        return Estimate.of_log(self.coefficients[number], wide, level, self.events, self.exposure)

    def p(self, number: int = 0) -> float:
        """Two-sided p of "this ratio is 1"."""
        from scipy.special import ndtr

        return float(2 * ndtr(-abs(self.coefficients[number]) / self.errors[number]))


def fit_shared_rates(events, exposure, design, module) -> SharedRates:
    """Rates of repeated faults by Poisson regression with a gamma factor of mean 1 for each module.

    Parameters
    ----------
    events, exposure : array_like, shape (n,)
        Faults and time at risk of a row: a module while its covariates did not change. Rows without exposure count nothing.
    design : array_like, shape (n, p)
        Covariates; the first is the one asked for, the others stand beside it. A constant is added.
    module : array_like, shape (n,)
        Which module a row is of.

    Raises
    ------
    SpellError
        If there is no fault, or no time at risk.

    Notes
    -----
    Faults of row c of module i ~ Poisson(factor_i x exposure x exp(constant + design b)); the factors are integrated out,
    which is why a module chosen for its many faults may count after it was chosen: whoever chose by faults on record chose by
    nothing else, and the likelihood of all that is on record holds (J. F. Lawless (1987), Canadian Journal of Statistics
    15:209-225; ignorable choice: D. B. Rubin (1976), Biometrika 63:581-592). Errors by module: H. White (1982), Econometrica
    50:1-25, with m / (m - 1). All is averaged over variances of the factors, none among them, as likely as they make the faults.

    Examples
    --------
    >>> found = fit_shared_rates([8, 4, 6, 2], [10.0, 10.0, 10.0, 10.0], [[1], [0], [1], [0]], ["a", "b", "c", "d"])
    >>> round(found.ratio().value, 2)
    2.26
    """
    events, exposure = np.asarray(events, float), np.asarray(exposure, float)
    watched = exposure > 0
    if not events[watched].sum() > 0:
        raise SpellError("A ratio of rates needs time at risk with at least one fault in it; there is none.")
    design = np.column_stack([np.ones(len(events)), np.asarray(design, float).reshape(len(events), -1)])[
        watched
    ]
    modules, code = group_codes(np.asarray(module)[watched])
    order = np.argsort(code, kind="stable")
    starts = np.searchsorted(code[order], np.arange(len(modules)))
    rows = _Rows(events[watched][order], np.log(exposure[watched][order]), design[order], code[order], starts)
    weights, fits = _fits(rows)
    thetas, errors, expected = (np.array(each) for each in zip(*fits, strict=True))
    theta, variance = weights @ thetas, float(weights @ np.array(VARIANCES))
    spread = weights @ (errors**2 + (thetas - theta) ** 2)
    return SharedRates(
        theta[1:],
        np.sqrt(spread[1:]),
        variance,
        float(weights @ expected),
        float(rows.events.sum()),
        float(exposure[watched].sum()),
    )


@dataclass(frozen=True)
class _Rows:
    """Rows with time at risk in order of module: events, log exposure, design with a constant, number of the module; and where
    each module's rows start."""

    events: np.ndarray
    log_exposure: np.ndarray
    design: np.ndarray
    code: np.ndarray
    starts: np.ndarray

    def summed(self, of_rows) -> np.ndarray:
        """Sums over each module, of a column or of many."""
        return np.add.reduceat(of_rows, self.starts, axis=0)

    @cached_property
    def seen(self) -> np.ndarray:
        """Events of each module."""
        return self.summed(self.events)

    @cached_property
    def loose(self) -> np.ndarray:
        """Precision of the prior of each coefficient."""
        return np.where(np.arange(self.design.shape[1]) > 0, PRIOR_SD**-2.0, 1e-9)

    def at(self, theta, variance):
        """Mean of each row at factor 1, that of each module, its mean factor given its faults, and the rows' residuals."""
        mean = np.exp(self.log_exposure + self.design @ theta)
        due = self.summed(mean)
        factor = (1 + variance * self.seen) / (1 + variance * due)
        return mean, due, factor, self.events - factor[self.code] * mean

    def loglik(self, theta, variance):
        """Marginal log likelihood with its prior, up to what does not hang on theta, gradient and Hessian along theta."""
        mean, due, factor, residual = self.at(theta, variance)
        value = self.events @ (self.design @ theta) - self.loose @ theta**2 / 2
        value -= np.sum((1 / variance + self.seen) * np.log1p(variance * due)) if variance else due.sum()
        along = self.summed(mean[:, None] * self.design)
        spread = variance * factor / (1 + variance * due)
        weight = self.events - residual
        hessian = (along * spread[:, None]).T @ along - (self.design * weight[:, None]).T @ self.design
        return value, residual @ self.design - self.loose * theta, hessian - np.diag(self.loose)

    def constant(self, variance) -> float:
        """What belongs to the log likelihood beside it."""
        from scipy.special import gammaln

        value = self.events @ self.log_exposure
        if variance:
            shape = 1 / variance
            value += np.sum(gammaln(shape + self.seen) - gammaln(shape) + self.seen * np.log(variance))
        return float(value)


def _fits(rows: _Rows):
    """How likely each of the variances is, and with each the coefficients, their errors, and what is expected without the first."""
    theta = np.zeros(rows.design.shape[1])
    theta[0] = np.log(rows.events.sum() / np.exp(rows.log_exposure).sum())
    values, fits = np.full(len(VARIANCES), -np.inf), []
    for number, variance in enumerate(VARIANCES):
        found = climb(lambda at, v=variance: rows.loglik(at, v), theta, tolerance=NEAR_ENOUGH)
        if found is not None:
            theta, values[number] = found[0], found[1] + rows.constant(variance)
        hessian = rows.loglik(theta, variance)[2] if found is None else found[3]
        fits.append(_errors(rows, theta, variance, hessian))
    if not np.isfinite(values).any():
        raise SpellError("These faults tell no ratio of rates: a group has none.")
    weights = np.exp(values - values.max())
    return weights / weights.sum(), fits


def _errors(rows: _Rows, theta, variance, hessian):
    """The coefficients, the larger of their errors by curvature and by module, and what is expected without the first."""
    mean, _, factor, residual = rows.at(theta, variance)
    by_curvature = np.linalg.inv(-hessian)
    by_module = sandwich(by_curvature, rows.summed(residual[:, None] * rows.design))
    first = rows.design[:, 1]
    expected = np.sum((factor[rows.code] * mean * np.exp(-theta[1] * first))[first > 0])
    return theta, np.sqrt(np.maximum(np.diag(by_curvature), np.diag(by_module))), expected
