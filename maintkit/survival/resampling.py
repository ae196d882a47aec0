"""Intervals by drawing whole modules again: parts of one module share its air, its supply and its history."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.results import SpellError
from maintkit.survival.spell_rows import group_codes, refuse_bad_level

FEW_CLUSTERS = 20  # fewer modules than this and the limits are too narrow: common practice, no source


@dataclass(frozen=True)
class Resampled:
    """A statistic with limits from modules drawn again.

    Attributes
    ----------
    value : ndarray or float
        The statistic of the data as they are.
    low, high : ndarray or float
        Limits, of the shape of ``value``; nan where fewer than half the draws gave a number.
    level : float
    draws, clusters : int
    note : str
    """

    value: np.ndarray | float
    low: np.ndarray | float
    high: np.ndarray | float
    level: float
    draws: int
    clusters: int
    note: str = ""


def resample_clusters(cluster, statistic, *, draws=500, seed=0, level=0.90) -> Resampled:
    """Limits for any statistic by drawing modules, with all their spells, again and again.

    Parameters
    ----------
    cluster : array_like, shape (n,)
        The module of each row.
    statistic : callable
        Takes how often each row was drawn, shape (n,), a whole number to multiply weights by; returns a number
        or an array of one shape; nan where it cannot be computed.
    draws : int
        How many times the modules are drawn.
    seed : int
        The same seed gives the same limits.
    level : float
        Level of the limits.

    Returns
    -------
    Resampled
        Percentile limits.

    Raises
    ------
    SpellError
        If there are fewer than two modules, or no draws are asked for.

    Notes
    -----
    As many modules as there are, drawn with replacement; limits are quantiles of the drawn statistics (linear
    interpolation). Source: Davison & Hinkley (1997), Bootstrap Methods and their Application, section 3.8 (from
    memory).

    Examples
    --------
    >>> hours = np.array([5.0, 7.0, 9.0, 11.0])
    >>> mean = resample_clusters(["a", "a", "b", "b"], lambda times: hours @ times / times.sum(), draws=100)
    >>> float(mean.value), float(mean.low), float(mean.high)
    (8.0, 6.0, 10.0)
    """
    refuse_bad_level(level)
    names, number = group_codes(cluster)
    if len(names) < 2:
        raise SpellError(f"Drawing modules again takes two or more; found {len(names)}.")
    if draws < 1:
        raise SpellError(f"draws must be 1 or more; found {draws}.")
    generator = np.random.default_rng(seed)
    value = np.asarray(statistic(np.ones(len(number))), float)
    drawn = np.array(
        [np.asarray(statistic(times), float) for times in _times(generator, number, len(names), draws)]
    )
    known = np.isfinite(drawn).mean(axis=0)
    low, high = _limits(drawn, known, level)
    notes = (
        [f"Only {len(names)} modules: the limits are likely too narrow."] if len(names) < FEW_CLUSTERS else []
    )
    if np.min(known) < 1:
        notes.append(
            f"In {100 * (1 - float(np.min(known))):.3g} % of the draws the statistic could not be computed."
        )
    return Resampled(_plain(value), _plain(low), _plain(high), level, draws, len(names), " ".join(notes))


def _times(generator, number, clusters, draws):
    for _ in range(draws):
        yield np.bincount(generator.integers(clusters, size=clusters), minlength=clusters)[number].astype(
            float
        )


def _limits(drawn, known, level):
    enough = known >= 0.5
    usable = np.where(np.isfinite(drawn) & enough, drawn, np.where(enough, np.nan, 0.0))
    low, high = np.nanquantile(usable, [(1 - level) / 2, (1 + level) / 2], axis=0)
    return np.where(enough, low, np.nan), np.where(enough, high, np.nan)


def _plain(value):
    return float(value) if np.ndim(value) == 0 else value
