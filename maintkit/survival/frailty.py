"""How much modules differ beyond what is expected of them, and each module's own factor, shrunk toward the rest."""

from dataclasses import dataclass

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.results import SpellError, three_digits

MOST_SHAPE = 1e6  # a spread of a thousandth cannot be told from none


@dataclass(frozen=True)
class GammaPoisson:
    """Factors on the expected events: how far they spread over modules, and each module's own.

    Attributes
    ----------
    shape : float
        Shape of the gamma spread of the factors; small = far apart, ``inf`` = no more spread than chance.
    scale : float
        Mean factor: events seen per event expected.
    loglik : float
        Log likelihood at the fit.
    p_no_spread : float
        p of "all modules have the same factor".
    posterior_mean, low, high : ndarray, shape (n,)
        Each module's factor on its expected events, in the order given, and its limits.
    counts, expected : ndarray, shape (n,)
        What it was reckoned from.
    level : float
        Level of the limits.
    scale_known : bool
        True where the mean factor was given and not estimated.
    note : str
        What the reader must know.
    """

    shape: float
    scale: float
    loglik: float
    p_no_spread: float
    posterior_mean: np.ndarray
    low: np.ndarray
    high: np.ndarray
    counts: np.ndarray
    expected: np.ndarray
    level: float
    scale_known: bool = False
    note: str = ""

    def __str__(self) -> str:
        if np.isinf(self.shape):
            spread = "no more spread than chance"
        else:
            spread = f"factors spread with a coefficient of variation of {three_digits(self.shape**-0.5)}"
        expected = three_digits(self.expected.sum())
        text = (
            f"{len(self.counts)} modules, {self.counts.sum():g} events, {expected} expected: {spread} "
            f"(p of no spread {three_digits(self.p_no_spread) if self.p_no_spread >= 0.001 else '< 0.001'})"
        )
        return f"{text}. {self.note}" if self.note else text

    def between(self, share: float) -> tuple[float, float]:
        """The factors between which the middle share of such modules lies; twice the mean where there is no spread.

        Examples
        --------
        >>> fit = gamma_poisson([9, 0, 1] * 9, [4.0, 3.0, 3.0] * 9)
        >>> tuple(round(end, 2) for end in fit.between(0.5))
        (0.15, 1.21)
        """
        from scipy.special import gammaincinv

        if np.isinf(self.shape):
            return self.scale, self.scale
        low, high = gammaincinv(self.shape, [(1 - share) / 2, (1 + share) / 2]) * self.scale / self.shape
        return float(low), float(high)


def gamma_poisson(counts, expected, *, fixed=None, level=0.90) -> GammaPoisson:
    """Each module's factor on its expected events, shrunk toward the others as far as the data ask.

    Parameters
    ----------
    counts : array_like, shape (n,)
        Events of each module.
    expected : array_like, shape (n,)
        Events expected of it given its parts and ages; or its exposure, then the factors are rates.
    fixed : float, optional
        The mean factor where it is known (1 for "as expected"); estimated when left out.
    level : float
        Level of the limits.

    Raises
    ------
    SpellError
        If lengths differ, there are fewer than two modules, a count is not a whole number from 0 up,
        or something happened where nothing was expected.

    Notes
    -----
    counts ~ Poisson(factor * expected), factor ~ gamma with mean ``scale`` and the given shape; shape and scale
    maximise the negative binomial likelihood, and the factor given the count is gamma(shape + count,
    shape / scale + expected): D. P. Gaver & I. G. O'Muircheartaigh (1987), Technometrics 29, 1-15. p of no spread
    is half the chi-square tail of the likelihood ratio, for "none" lies on the edge: S. G. Self & K.-Y. Liang (1987),
    J. Am. Stat. Assoc. 82, 605-610. The limits take shape and scale as known, so they are somewhat too narrow.

    Examples
    --------
    >>> fit = gamma_poisson([8, 0, 1, 0, 1], [2.0, 2.0, 2.0, 2.0, 2.0])
    >>> fit.posterior_mean.round(2)
    array([3.4, 0.2, 0.6, 0.2, 0.6])
    """
    counts, expected = _checked(counts, expected, fixed, level)
    scale_known = fixed is not None
    scale = float(fixed) if scale_known else counts.sum() / expected.sum()
    chance = _poisson_loglik(counts, scale * expected)
    shape, fitted, loglik = _most_likely(counts, expected, scale, scale_known)
    if loglik <= chance + 1e-9 or shape >= MOST_SHAPE:
        shape, fitted, loglik = np.inf, scale, chance
    mean, low, high = _shrunk(shape, fitted, (counts, expected), scale_known, level)
    return GammaPoisson(
        float(shape),
        float(fitted),
        float(loglik),
        _edge_p(2 * (loglik - chance)),
        mean,
        low,
        high,
        counts,
        expected,
        level,
        scale_known,
        _note(counts, shape),
    )


def _checked(counts, expected, fixed, level):
    counts, expected = np.asarray(counts, float), np.asarray(expected, float)
    if counts.shape != expected.shape or counts.ndim != 1:
        raise SpellError(
            f"Every module needs both: {counts.size} counts but {expected.size} expected numbers."
        )
    if len(counts) < 2:
        raise SpellError(f"Spread between modules takes at least 2 modules; found {len(counts)}.")
    if not np.all((counts >= 0) & (counts == np.floor(counts)) & (expected >= 0) & np.isfinite(expected)):
        raise SpellError(
            "Counts are whole numbers from 0 up and expected numbers are 0 or more; one of these is not."
        )
    if np.any(counts[expected == 0] > 0) or expected.sum() == 0:
        raise SpellError("Nothing was expected of a module that has events. Check its time at risk.")
    if fixed is not None and not fixed > 0:
        raise SpellError(f"A known mean factor is above 0; found {fixed}.")
    if not 0 < level < 1:
        raise SpellError(f"The level of an interval lies between 0 and 1, 0.90 for example; found {level}.")
    return counts, expected


def _poisson_loglik(counts, mean):
    from scipy.special import gammaln, xlogy

    return float(np.sum(xlogy(counts, mean) - mean - gammaln(counts + 1)))


def _negative_binomial(log_shape, log_scale, counts, expected):
    """Log likelihood of the counts and its slopes along log shape and log scale."""
    from scipy.special import gammaln, psi, xlogy

    shape, mean = np.exp(log_shape), np.exp(log_scale) * expected
    whole = shape + mean
    loglik = np.sum(
        gammaln(shape + counts)
        - gammaln(shape)
        - gammaln(counts + 1)
        - shape * np.log1p(mean / shape)
        + xlogy(counts, mean / whole)
    )
    by_shape = shape * np.sum(
        psi(shape + counts) - psi(shape) - np.log1p(mean / shape) + (mean - counts) / whole
    )
    by_scale = np.sum((counts - mean) * shape / whole)
    return loglik, np.array([by_shape, by_scale])


def _most_likely(counts, expected, scale, scale_known):
    """Shape, scale and log likelihood of the best gamma spread, from three starts."""
    from scipy.optimize import minimize

    if counts.sum() == 0:
        return np.inf, scale, 0.0
    log_scale = np.log(scale)

    def cost(x):
        loglik, slope = _negative_binomial(x[0], log_scale if scale_known else x[1], counts, expected)
        return -loglik, -(slope[:1] if scale_known else slope)

    limits = [(-12.0, np.log(MOST_SHAPE)), (log_scale - 12, log_scale + 12)][: 1 if scale_known else 2]
    fits = [
        minimize(
            cost,
            [start, log_scale][: len(limits)],
            jac=True,
            bounds=limits,
            method="L-BFGS-B",
            options={"ftol": 1e-15, "gtol": 1e-9, "maxiter": 500},
        )
        for start in (-1.0, 1.0, 4.0)
    ]
    best = min(fits, key=lambda fit: fit.fun)
    return np.exp(best.x[0]), scale if scale_known else np.exp(best.x[1]), -best.fun


def _posterior(shape, scale, counts, expected, scale_known):
    if np.isfinite(shape):
        return shape + counts, shape / scale + expected
    if scale_known:  # all but certain: a gamma with next to no width about the known factor
        return np.full(len(counts), 1e9), np.full(len(counts), 1e9 / scale)
    return np.full(len(counts), max(counts.sum(), 0.5)), np.full(len(counts), expected.sum())


def _shrunk(shape, scale, data, scale_known, level):
    """Mean and limits of each factor: gamma quantiles, or exact limits of the pooled one where there is no spread."""
    from scipy.special import gammaincinv

    from maintkit.survival.rates import poisson_limits

    counts, expected = data
    same = np.ones(len(counts))
    if np.isinf(shape):
        low, high = (
            (scale, scale) if scale_known else poisson_limits(counts.sum(), level=level) / expected.sum()
        )
        return scale * same, low * same, high * same
    a, b = _posterior(shape, scale, counts, expected, scale_known)
    tail = (1 - level) / 2
    return a / b, gammaincinv(a, tail) / b, gammaincinv(a, 1 - tail) / b


def _edge_p(ratio):
    from scipy.special import chdtrc

    return float(0.5 * chdtrc(1, ratio)) if ratio > 0 else 1.0  # Self & Liang (1987)


def _note(counts, shape):
    if counts.sum() < 5:
        return sentence("frailty.few", events=counts.sum())
    if np.isinf(shape):
        return sentence("frailty.alike")
    return sentence("frailty.spread_known")
