"""Does a rate rise or fall along a scale, such as the number of re-caps a board has had?"""

from dataclasses import replace

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.newton import by_cluster, climb, sandwich
from maintkit.survival.rates import RateRatio
from maintkit.survival.results import SpellError


def rate_ratio_a_step(events, exposure, score, cluster, *, level: float = 0.90) -> RateRatio:
    """How many times the rate becomes with each step up a scale.

    Parameters
    ----------
    events, exposure, score : array_like, shape (n,)
        Events, time at risk (or trials) and place on the scale of each cell; cells without exposure say nothing.
    cluster : array_like, shape (n,)
        The module each cell belongs to; limits allow for modules that differ.
    level : float
        Level of the interval.

    Returns
    -------
    RateRatio
        ``ratio`` for one step; ``events_a`` and ``exposure_a`` are all there is, ``events_b`` and ``exposure_b`` 0. ``ratio`` is
        None, with a note, where there are fewer than five events or no two places on the scale with exposure.

    Raises
    ------
    SpellError
        If lengths differ or something is negative.

    Notes
    -----
    Poisson regression of the counts on the score with log exposure as offset, by Newton's method; variance by module
    (K.-Y. Liang & S. L. Zeger 1986, Biometrika 73, 13-22), with m / (m - 1) for m modules, and Student's t on m - 1.

    Examples
    --------
    >>> found = rate_ratio_a_step([4, 8, 16], [100, 100, 100], [0, 1, 2], ["a", "b", "c"])
    >>> round(found.ratio, 3)
    2.0
    """
    events, exposure, score = (np.asarray(values, float) for values in (events, exposure, score))
    cluster = np.asarray(cluster)
    if not len(events) == len(exposure) == len(score) == len(cluster):
        raise SpellError(
            f"Every cell needs all four: {len(events)} events, {len(exposure)} exposures, {len(score)} scores, "
            f"{len(cluster)} modules."
        )
    if np.any(events < 0) or np.any(exposure < 0):
        raise SpellError("Events and exposures are never below 0; one of these is.")
    events, exposure, score, cluster = (values[exposure > 0] for values in (events, exposure, score, cluster))
    total, modules = events.sum(), len(np.unique(cluster))
    nothing = RateRatio(None, None, None, level, 1.0, int(total), 0, float(exposure.sum()), 0.0)
    if total < 5 or len(np.unique(score)) < 2 or modules < 2 or len(np.unique(score[events > 0])) < 2:
        return replace(nothing, note=sentence("rate_trend.few", events=total, places=len(np.unique(score))))
    slope, variance = _fit(events, exposure, score, cluster)
    return _limits(nothing, slope, variance, modules)


def _fit(events, exposure, score, cluster):
    """Slope of the log rate and its variance by module."""
    design = np.column_stack([np.ones(len(score)), score - np.average(score, weights=exposure)])

    def poisson(beta):
        log_rate = design @ beta
        mean = exposure * np.exp(log_rate)
        value = float(events @ log_rate - mean.sum())
        return value, design.T @ (events - mean), -design.T @ (design * mean[:, None])

    beta, *_, hessian = climb(poisson, [np.log(events.sum() / exposure.sum()), 0.0])
    scores = design * (events - exposure * np.exp(design @ beta))[:, None]
    return beta[1], sandwich(np.linalg.inv(-hessian), by_cluster(scores, cluster))[1, 1]


def _limits(nothing, slope, variance, modules):
    from scipy.special import stdtr, stdtrit

    spread = np.sqrt(variance)
    reach = stdtrit(modules - 1, (1 + nothing.level) / 2) * spread
    return replace(
        nothing,
        ratio=float(np.exp(slope)),
        low=float(np.exp(slope - reach)),
        high=float(np.exp(slope + reach)),
        p=float(2 * stdtr(modules - 1, -abs(slope) / spread)) if spread > 0 else 1.0,
    )
