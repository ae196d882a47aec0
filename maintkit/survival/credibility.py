"""Resources of groups, each drawn toward the rest as far as its own evidence is thin."""

from dataclasses import dataclass

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.results import SpellError


@dataclass(frozen=True)
class Credibility:
    """Resources of groups, each drawn toward the overall mean as far as its own evidence is thin.

    Attributes
    ----------
    mean : ndarray, shape (g,)
        The drawn-in means, in the order given.
    credibility : ndarray, shape (g,)
        Share of its own mean in each, 0 to 1.
    error : ndarray, shape (g,)
        Root mean square error to expect of each, with the two variances taken as known.
    overall : float
        The mean they are drawn toward.
    within_variance, between_variance : float
        Variance of one observation inside a group, and of the true means of the groups.
    note : str
        What the reader must know.
    """

    mean: np.ndarray
    credibility: np.ndarray
    error: np.ndarray
    overall: float
    within_variance: float
    between_variance: float
    note: str = ""


NO_SPREAD = 0.5  # probability that groups do not differ at all, before anything is seen
# of the variance between groups to all variance, each as likely as the next
RATIOS = np.arange(0.0, 1.0, 0.02)


def credibility(group_mean, n, variance, *, cautious: bool = False) -> Credibility:
    """Mean of each group, such as minutes lost per fault, made fit for groups with few observations.

    Parameters
    ----------
    group_mean : array_like, shape (g,)
        Mean of each group; NaN where it has no observation.
    n : array_like, shape (g,)
        Observations of each group, or their summed weight.
    variance : array_like, shape (g,) or scalar
        Sample variance inside each group (unused where n is below 2), or the pooled one where it is known.
    cautious : bool
        Take the variance between groups from what all sizes of it make of these means, none among them, and not from the
        one estimate: few observations then seldom set a group apart.

    Raises
    ------
    SpellError
        If lengths differ, a number is negative, or no group has an observation.

    Notes
    -----
    credibility = n / (n + within / between), with the unbiased estimate of the variance between groups, 0 where that
    is negative: H. Bühlmann & E. Straub (1970), Bulletin of the Swiss Association of Actuaries 70, 111-133. Cautious: the
    ratio between / (between + within) is averaged over the residual likelihood of the one-way model (D. A. Harville 1977,
    J. Am. Stat. Assoc. 72, 320-338), half of the prior at nought. Error:
    H. Bühlmann & A. Gisler (2005), A Course in Credibility Theory, sec. 4.4, from memory.

    Examples
    --------
    >>> credibility([10.0, 30.0], [8, 8], [16.0, 16.0]).mean
    array([10.1, 29.9])
    """
    group_mean, n = np.asarray(group_mean, float), np.asarray(n, float)
    within = _within(group_mean, n, np.asarray(variance, float))
    seen, total = n > 0, n.sum()
    own, size = group_mean[seen], n[seen]
    pooled = float(np.sum(size * own) / total)
    if cautious:
        between = _between_averaged(own, size, within, np.broadcast_to(variance, n.shape)[seen])
    else:
        between = _between(own, size, pooled, within)
    if not between > 0:
        one, note = np.ones(len(n)), sentence("credibility.alike")
        return Credibility(
            pooled * one, 0 * one, np.sqrt(within / total) * one, pooled, within, between, note
        )
    share = np.where(seen, n * between / np.maximum(n * between + within, 1e-300), 0.0)
    overall = float(np.sum(share[seen] * own) / share.sum())
    mean = overall + share * np.where(seen, group_mean - overall, 0.0)
    spread = np.sqrt(between * (1 - share) * (1 + (1 - share) / share.sum()))
    return Credibility(mean, share, spread, overall, within, between)


def _within(group_mean, n, variance):
    """Pooled variance inside the groups; NaN where no group has two observations."""
    if not len(group_mean) == len(n) or variance.size not in (1, len(n)):
        raise SpellError(
            f"Every group needs all three: {len(group_mean)} means, {len(n)} numbers, "
            f"{variance.size} variances."
        )
    if not n.sum() > 0 or np.any(n < 0) or np.any(variance < 0) or np.any(np.isnan(group_mean[n > 0])):
        raise SpellError(
            "Credibility needs observations: numbers of 0 or more, not all 0, "
            "and a mean wherever there are some."
        )
    if variance.ndim == 0:
        return float(variance)
    free = np.maximum(n - 1, 0)
    return float(np.sum(free[free > 0] * variance[free > 0]) / free.sum()) if free.sum() > 0 else np.nan


def _between(own, size, pooled, within):
    """Unbiased variance of the groups' true means, 0 where it comes out negative or cannot be had."""
    total = size.sum()
    freedom = total - np.sum(size**2) / total
    if freedom <= 0 or np.isnan(within):
        return 0.0
    surplus = np.sum(size * (own - pooled) ** 2) - (len(own) - 1) * within  # Bühlmann & Straub (1970)
    return float(max(0.0, surplus / freedom))


def _between_averaged(own, size, within, variance):
    """Variance between the groups at the mean of its ratio to all variance; 0 where nothing tells it from that within."""
    if len(own) < 2 or np.isnan(within):
        return 0.0
    spread = RATIOS / (1 - RATIOS)
    weight = size / (1 + size * spread[:, None])
    centre = (weight * own).sum(axis=1, keepdims=True) / weight.sum(axis=1, keepdims=True)
    inside = float(np.sum(np.maximum(size - 1, 0) * np.nan_to_num(variance)))
    squares = np.maximum(inside + (weight * (own - centre) ** 2).sum(axis=1), 1e-12)
    log = (size.sum() - 1) * np.log(squares) + np.log1p(size * spread[:, None]).sum(axis=1)
    log = -0.5 * (log + np.log(weight.sum(axis=1)))
    prior = np.where(RATIOS > 0, (1 - NO_SPREAD) / (len(RATIOS) - 1), NO_SPREAD)
    chance = prior * np.exp(log - log.max())
    ratio = float(chance @ RATIOS / chance.sum())
    return within * ratio / (1 - ratio)
