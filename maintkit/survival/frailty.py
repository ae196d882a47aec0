"""How much modules differ beyond what is expected of them, and each module's own factor, shrunk toward the rest."""

from dataclasses import dataclass

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.newton import climb, edge_p
from maintkit.survival.rates import poisson_limits
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


def gamma_poisson(counts, expected, *, level=0.90) -> GammaPoisson:
    """Each module's factor on its expected events, shrunk toward the others as far as the data ask.

    Parameters
    ----------
    counts : array_like, shape (n,)
        Events of each module.
    expected : array_like, shape (n,)
        Events expected of it given its parts and ages; or its exposure, then the factors are rates.
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
    counts, expected = _checked(counts, expected, level)
    scale = counts.sum() / expected.sum()
    chance = _poisson_loglik(counts, scale * expected)
    shape, fitted, loglik = _most_likely(counts, expected, scale)
    if loglik <= chance + 1e-9 or shape >= MOST_SHAPE:
        shape, fitted, loglik = np.inf, scale, chance
    p, note = edge_p(2 * (loglik - chance)), _note(counts, shape)
    factors = _shrunk(shape, fitted, counts, expected, level)
    return GammaPoisson(
        float(shape), float(fitted), float(loglik), p, *factors, counts, expected, level, note
    )


def _checked(counts, expected, level):
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
    if not 0 < level < 1:
        raise SpellError(f"The level of an interval lies between 0 and 1, 0.90 for example; found {level}.")
    return counts, expected


def _poisson_loglik(counts, mean):
    from scipy.special import gammaln, xlogy

    return float(np.sum(xlogy(counts, mean) - mean - gammaln(counts + 1)))


def _negative_binomial(theta, counts, expected):
    """Log likelihood of the counts, its slopes along log shape and log scale, and its curvature."""
    from scipy.special import gammaln, polygamma, psi, xlogy

    shape, mean = np.exp(theta[0]), np.exp(theta[1]) * expected
    whole, beyond = shape + mean, mean - counts
    logs = np.log1p(mean / shape)
    loglik = np.sum(
        gammaln(shape + counts)
        - gammaln(shape)
        - gammaln(counts + 1)
        - shape * logs
        + xlogy(counts, mean / whole)
    )
    by_shape = shape * np.sum(psi(shape + counts) - psi(shape) - logs + beyond / whole)
    bend = polygamma(1, shape + counts) - polygamma(1, shape) + mean / (shape * whole) - beyond / whole**2
    cross = -shape * np.sum(beyond * mean / whole**2)
    along_scale = -shape * np.sum(mean * (shape + counts) / whole**2)
    hessian = np.array([[by_shape + shape**2 * bend.sum(), cross], [cross, along_scale]])
    return loglik, np.array([by_shape, -shape * np.sum(beyond / whole)]), hessian


def _most_likely(counts, expected, scale):
    """Shape, scale and log likelihood of the best gamma spread, from three starts; an infinite shape where there is none."""
    if counts.sum() == 0:
        return np.inf, scale, 0.0
    starts = ([start, np.log(scale)] for start in (-1.0, 1.0, 4.0))
    tops = [climb(lambda theta: _negative_binomial(theta, counts, expected), start) for start in starts]
    best = max(filter(None, tops), key=lambda top: top[1], default=None)
    return (np.inf, scale, -np.inf) if best is None else (*np.exp(best[0]), best[1])


def _shrunk(shape, scale, counts, expected, level):
    """Mean and limits of each factor: gamma quantiles, or exact limits of the pooled one where there is no spread."""
    from scipy.special import gammaincinv

    if np.isinf(shape):
        same = np.ones(len(counts))
        low, high = poisson_limits(counts.sum(), level=level) / expected.sum()
        return scale * same, low * same, high * same
    a, b = shape + counts, shape / scale + expected
    tail = (1 - level) / 2
    return a / b, gammaincinv(a, tail) / b, gammaincinv(a, 1 - tail) / b


def _note(counts, shape):
    if counts.sum() < 5:
        return sentence("frailty.few", events=counts.sum())
    if np.isinf(shape):
        return sentence("frailty.alike")
    return sentence("frailty.spread_known")
