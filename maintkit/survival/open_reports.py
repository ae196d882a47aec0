"""How many of the reports still open will prove to be faults, by what became of earlier ones that were open as long."""

from dataclasses import dataclass

import numpy as np

PRIOR_REPORTS = 4.0  # how many of a desk's own reports the house's share is worth: common practice, no source


@dataclass(frozen=True)
class OpenReports:
    """Chances of open reports, and the number of them to expect.

    Attributes
    ----------
    chance : ndarray, shape (n,)
        That each proves to be a fault, in the order given.
    expected, low, high : float
        How many will, of all of them, with limits.
    """

    chance: np.ndarray
    expected: float
    low: float
    high: float


def open_reports(desk, days, proved, open_desk, open_days, *, level=0.90) -> OpenReports:
    """How many reports still open will prove to be faults: the share of earlier ones, open as long, that did.

    Parameters
    ----------
    desk, days, proved : array_like, shape (m,)
        Earlier reports: of which desk, days until it was known what they were (nan where that was not written down), and
        whether that was a fault.
    open_desk, open_days : array_like, shape (n,)
        The reports still open, and the days they have been.
    level : float
        Level of the limits.

    Returns
    -------
    OpenReports

    Notes
    -----
    The share at an age is the chance of a fault (O. O. Aalen & S. Johansen (1978), Scand. J. Stat. 5, 141-150) after it, given open at it, so that those still open count for
    as long as they have been. Few reports of a desk are shrunk to the house's share at that age, and that to its share at
    any age (Jeffreys' prior); where most earlier reports say no day, ages tell nothing and shares at any age are used. The
    number of a desk is beta-binomial with the mean chance and the mean number of reports behind it.

    Examples
    --------
    >>> found = open_reports(["a"] * 10, [9] * 10, [True] * 6 + [False] * 4, ["a", "a"], [5, 5])
    >>> round(found.expected, 2), found.low, found.high
    (1.2, 0.0, 2.0)
    """
    desk, days, proved = np.asarray(desk), np.asarray(days, float), np.asarray(proved, bool)
    open_desk, open_days = np.asarray(open_desk), np.asarray(open_days, float)
    if not len(open_days):
        return OpenReports(np.empty(0), 0.0, 0.0, 0.0)
    undated = 2 * np.isnan(days).sum() > len(days)
    overall = (proved.sum() + 0.5) / (len(proved) + 1)
    house, behind = _share(days, proved, open_days, open_days, undated)
    prior = (house * behind + overall * PRIOR_REPORTS) / (behind + PRIOR_REPORTS)
    chance, size = prior.copy(), np.zeros(len(prior))
    order = np.argsort(desk, kind="stable")
    for name in np.unique(open_desk):
        here = open_desk == name
        own = order[slice(*(np.searchsorted(desk, name, side, order) for side in ("left", "right")))]
        share, count = _share(days[own], proved[own], open_days[here], open_days[here], undated)
        chance[here] = (share * count + prior[here] * PRIOR_REPORTS) / (count + PRIOR_REPORTS)
        size[here] = count + PRIOR_REPORTS
    low, high = _limits(open_desk, chance, size, level)
    return OpenReports(chance, float(chance.sum()), low, high)


def _share(days, proved, still, asked, undated):
    """Of reports open at the ages asked, the share that proved to be faults later, and how many were open longer."""
    if undated:
        share = proved.mean() if len(proved) else 0.0
        return np.full(len(asked), share), np.full(len(asked), float(len(proved)))
    days, proved = days[~np.isnan(days)], proved[~np.isnan(days)]
    ages = np.unique(days)
    watched = np.sort(np.concatenate([days, still]))
    at_risk = len(watched) - np.searchsorted(watched, ages, side="left")
    told = np.bincount(np.searchsorted(ages, days), minlength=len(ages))
    faults = np.bincount(np.searchsorted(ages, days[proved]), minlength=len(ages))
    before = np.concatenate([[1.0], np.cumprod(1 - told / at_risk)])
    later = np.concatenate([np.cumsum((before[:-1] * faults / at_risk)[::-1])[::-1], [0.0]])
    place = np.searchsorted(ages, asked, side="right")
    now = before[place]
    share = np.divide(later[place], now, out=np.zeros(len(asked)), where=now > 0)
    told_later = len(days) - np.searchsorted(np.sort(days), asked, side="right")
    return share, told_later.astype(float)


def _limits(desk, chance, size, level):
    """Limits of the number over all desks: the desks' beta-binomial numbers added."""
    total = np.ones(1)
    for name in np.unique(desk):
        here = desk == name
        mean, weight = float(np.clip(chance[here].mean(), 1e-9, 1 - 1e-9)), float(size[here].mean())
        total = np.convolve(total, _beta_binomial(int(here.sum()), mean * weight, (1 - mean) * weight))
    reached = np.cumsum(total)
    tail = (1 - level) / 2
    return float(np.searchsorted(reached, tail)), float(np.searchsorted(reached, 1 - tail - 1e-12))


def _beta_binomial(trials: int, a: float, b: float) -> np.ndarray:
    """Chances of 0 to ``trials`` faults, the share drawn from a beta distribution (equal to scipy.stats.betabinom's)."""
    from scipy.special import betaln

    faults = np.arange(trials + 1)
    ways = -np.log(trials + 1) - betaln(faults + 1, trials - faults + 1)
    return np.exp(ways + betaln(faults + a, trials - faults + b) - betaln(a, b))
