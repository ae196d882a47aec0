"""Is it the heat: the Arrhenius law fitted to lives seen at different temperatures."""

from dataclasses import dataclass

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.newton import by_cluster, climb, sandwich
from maintkit.survival.results import Estimate, SpellError, three_digits
from maintkit.survival.temperature import inverse_ev

FEWEST = 5
DISTRIBUTIONS = ("lognormal", "weibull")


@dataclass(frozen=True)
class ArrheniusFit:
    """How steeply life falls with temperature: ln life = intercept + energy / (k T) + sigma * error.

    Attributes
    ----------
    energy_ev : Estimate
        Activation energy in electronvolts; None with a note where the records cannot tell it.
    intercept, sigma : float or None
        The rest of the fit; sigma is 1 / shape of the Weibull distribution.
    covariance : ndarray, shape (3, 3), or None
        Of intercept, energy and log sigma.
    loglik : float or None
        Log likelihood on the scale of time.
    distribution : str
        ``lognormal`` or ``weibull``.
    failures, exposure : float
        The evidence.
    note : str
        What the reader must know.
    """

    energy_ev: Estimate
    intercept: float | None
    sigma: float | None
    covariance: np.ndarray | None
    loglik: float | None
    distribution: str
    failures: float
    exposure: float
    note: str = ""

    def __str__(self) -> str:
        return f"Activation energy in eV ({self.distribution}): {self.energy_ev}"

    def factor(self, cool_c, hot_c) -> Estimate:
        """How many times as long the thing lasts at ``cool_c`` as at ``hot_c`` (°C), by these records."""
        step = float(inverse_ev(cool_c) - inverse_ev(hot_c))
        energy = self.energy_ev
        if energy.value is None:
            return energy
        ends = sorted(np.exp([energy.low * step, energy.high * step]))
        return Estimate(np.exp(energy.value * step), *ends, *self._about)

    def life_at(self, celsius, *, failed=0.5) -> Estimate:
        """Age by which the share ``failed`` has failed at that temperature, in the unit of the spells."""
        if self.energy_ev.value is None:
            return self.energy_ev
        from scipy.special import ndtri

        z = float(ndtri(failed) if self.distribution == "lognormal" else np.log(-np.log1p(-failed)))
        row = np.array([1.0, float(inverse_ev(celsius)), self.sigma * z])
        middle = self.intercept + self.energy_ev.value * row[1] + row[2]
        reach = ndtri((1 + self.energy_ev.level) / 2) * np.sqrt(row @ self.covariance @ row)
        return Estimate.of_log(middle, reach, *self._about)

    @property
    def _about(self) -> tuple:
        return self.energy_ev.level, self.failures, self.exposure, self.note


def fit_arrhenius(
    entry, exit, event, air_c, weight=None, *, cluster=None, distribution="lognormal", level=0.90
) -> ArrheniusFit:
    """Activation energy from spells at different temperatures, by maximum likelihood.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), powered hours
        Spells (entry, exit] in the age of the part.
    event : array_like of bool, shape (n,)
        True where the spell ended in a failure.
    air_c : array_like, shape (n,), °C
        Temperature over the spell.
    weight : array_like, shape (n,), optional
        Identical parts a spell stands for.
    cluster : array_like, shape (n,), optional
        The module of each spell; then limits allow for parts of one module failing together.
    distribution : str
        ``lognormal`` or ``weibull``.
    level : float
        Level of the limits.

    Raises
    ------
    SpellError
        If a spell takes no time, lengths differ, or the distribution is not known.

    Notes
    -----
    Late entry divides by the survival at entry. A part that moved between temperatures is taken as if it had
    always been at that of the spell. W. Nelson (1990), Accelerated Testing, ch. 2 and 5, from memory; NIST/SEMATECH
    e-Handbook, sec. 8.4.2.2. Clustered limits: D. Y. Lin & L. J. Wei (1989), J. Am. Stat. Assoc. 84, 1074-1078.
    Air temperature stands for that of the part: a constant difference between the two changes the energy little.

    Examples
    --------
    >>> fit = fit_arrhenius([0] * 6, [800, 1000, 1250, 90, 100, 110], [True] * 6, [50, 50, 50, 80, 80, 80])
    >>> round(fit.energy_ev.value, 2)
    0.76
    """
    from scipy.special import ndtri

    data = _checked((entry, exit, event, air_c, weight), distribution)
    entry, exit, event, x, weight = data
    failures, exposure = float(weight[event].sum()), float(np.sum(weight * (exit - entry)))
    reason = _cannot_tell(failures, x, event)
    fit = None if reason else _top(data, distribution)
    if fit is None:
        note = reason or sentence("arrhenius.unsettled")
        none = Estimate(None, None, None, level, failures, exposure, note)
        return ArrheniusFit(none, None, None, None, None, distribution, failures, exposure, note)
    theta, covariance, loglik = _uncentred(fit, data, cluster, distribution)
    reach = ndtri((1 + level) / 2) * np.sqrt(covariance[1, 1])
    about = failures, exposure, sentence("arrhenius.by_module") if cluster is not None else ""
    energy = Estimate(theta[1], theta[1] - reach, theta[1] + reach, level, *about)
    intercept, sigma = float(theta[0]), float(np.exp(theta[2]))
    return ArrheniusFit(energy, intercept, sigma, covariance, float(loglik), distribution, *about)


def _checked(columns, distribution):
    entry, exit, event, air_c, weight = columns
    if distribution not in DISTRIBUTIONS:
        raise SpellError(f"Unknown distribution {distribution!r}. Known are {' and '.join(DISTRIBUTIONS)}.")
    entry, exit, x = np.asarray(entry, float), np.asarray(exit, float), inverse_ev(air_c)
    event = np.asarray(event, bool)
    weight = np.ones(len(exit)) if weight is None else np.asarray(weight, float)
    lengths = {len(column) for column in (entry, exit, event, x, weight)}
    if len(lengths) > 1:
        raise SpellError(f"Every spell needs all its columns; they have {sorted(lengths)} rows.")
    bad = np.flatnonzero(~((exit > entry) & (entry >= 0)))
    if len(bad):
        raise SpellError(
            f"{len(bad)} of {len(exit)} spells cannot be right; the first is row {bad[0] + 1}: entry "
            f"{entry[bad[0]]:g}, exit {exit[bad[0]]:g}. An age is 0 or more and a spell takes time."
        )
    if not np.all(np.isfinite(x)):
        raise SpellError("A spell has no temperature. Leave such spells out and say how many.")
    return entry, exit, event, x, weight


def _cannot_tell(failures, x, event):
    if failures < FEWEST:
        return sentence("arrhenius.few", failures=three_digits(failures), fewest=FEWEST)
    if np.ptp(x) == 0:
        return sentence("arrhenius.one_temperature")
    return "" if event.any() else "No failure."


def _log_density(z, distribution):
    """Log density of the error with its first and second slope."""
    if distribution == "lognormal":
        return -(z**2) / 2 - 0.5 * np.log(2 * np.pi), -z, -np.ones_like(z)
    grown = np.exp(z)
    return z - grown, 1 - grown, -grown


def _log_survival(z, distribution):
    """Log survival of the error with its first and second slope."""
    from scipy.special import erfcx, log_ndtr

    if distribution == "lognormal":
        hazard = np.sqrt(2 / np.pi) / erfcx(z / np.sqrt(2))
        return log_ndtr(-z), -hazard, -hazard * (hazard - z)
    grown = np.exp(z)
    return -grown, -grown, -grown


def _likelihood(theta, data, distribution):
    """Log likelihood, each row's slopes (n, 3) and the summed second slopes (3, 3)."""
    entry, exit, event, x, weight = data
    late = entry > 0
    rows = np.column_stack([np.ones_like(x), x])
    sigma = np.exp(theta[2])
    value, slope, second = np.zeros(len(x)), np.zeros((len(x), 3)), np.zeros((3, 3))
    parts = (
        (event, 1, exit, _log_density),
        (~event, 1, exit, _log_survival),
        (late, -1, entry, _log_survival),
    )
    for use, sign, time, term in parts:
        design, w = rows[use], sign * weight[use]
        z = (np.log(time[use]) - design @ theta[:2]) / sigma
        log, first, curve = term(z, distribution)
        dz = np.column_stack([-design / sigma, -z])
        value[use] += w * log
        slope[use] += (w * first)[:, None] * dz
        second += (dz * (w * curve)[:, None]).T @ dz
        cross = np.sum((w * first)[:, None] * design, axis=0) / sigma
        second[:2, 2] += cross
        second[2, :2] += cross
        second[2, 2] += np.sum(w * first * z)
    value[event] -= weight[event] * (np.log(exit[event]) + theta[2])
    slope[event, 2] -= weight[event]
    return value.sum(), slope, second


def _top(data, distribution):
    """Theta at the top of the likelihood, temperatures centred; None where there is none."""
    entry, exit, event, x, weight = data
    data = (entry, exit, event, x - x.mean(), weight)
    theta = np.array([np.average(np.log(exit[event]), weights=weight[event]), 0.5, 0.0])

    def summed(theta):
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            value, slope, second = _likelihood(theta, data, distribution)
        return value, slope.sum(axis=0), second

    top = climb(summed, theta)
    return top[0] if top and np.all(np.linalg.eigvalsh(-top[3]) > 1e-9) else None


def _uncentred(theta, data, cluster, distribution):
    """Estimates, covariance and log likelihood with temperatures no longer centred."""
    theta = np.array([theta[0] - theta[1] * data[3].mean(), theta[1], theta[2]])
    shift = np.array([[1.0, -data[3].mean(), 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    centred = (*data[:3], data[3] - data[3].mean(), data[4])
    loglik, slope, second = _likelihood(np.linalg.solve(shift, theta), centred, distribution)
    covariance = np.linalg.inv(-second)
    if cluster is not None:
        covariance = sandwich(covariance, by_cluster(slope, cluster))
    return theta, shift @ covariance @ shift.T, loglik
