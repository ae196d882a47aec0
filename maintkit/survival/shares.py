"""Limits of a share: exact ones of a count of trials, and those of a share that is no count."""

from statistics import NormalDist

import numpy as np

from maintkit.survival.results import SpellError


def share_limits(events, trials, *, level: float = 0.90) -> np.ndarray:
    """Exact limits of the share behind each count of events in so many trials.

    Parameters
    ----------
    events, trials : array_like of whole numbers, shape (n,) or scalar
        ``0 <= events <= trials``.
    level : float
        Level of the interval.

    Returns
    -------
    ndarray, shape (2, n) or (2,)
        Lower limits, then upper limits; 0 and 1 where there were no trials.

    Raises
    ------
    SpellError
        If there are more events than trials.

    Notes
    -----
    C. J. Clopper & E. S. Pearson (1934), Biometrika 26, 404-413.

    Examples
    --------
    >>> share_limits([0, 1, 10], 10).round(3)
    array([[0.   , 0.005, 0.741],
           [0.259, 0.394, 1.   ]])
    """
    from scipy.special import betaincinv

    events, trials = np.broadcast_arrays(np.asarray(events, float), np.asarray(trials, float))
    if np.any((events < 0) | (events > trials)):
        raise SpellError("A share needs 0 or more events and no more events than trials.")
    tail = (1 - level) / 2
    low = np.where(events > 0, betaincinv(np.maximum(events, 1), trials - events + 1, tail), 0.0)
    high = np.where(events < trials, betaincinv(events + 1, np.maximum(trials - events, 1), 1 - tail), 1.0)
    return np.array([low, high])


def wilson_limits(share, number: int, *, level: float = 0.90) -> tuple[np.ndarray, np.ndarray]:
    """Limits of a share that need be no count over a whole number, such as odds, as if seen in so many trials.

    Parameters
    ----------
    share : float or array_like, shape (n,)
        Between 0 and 1.
    number : int
        Trials, 1 or more.
    level : float
        Level of the interval.

    Returns
    -------
    tuple of ndarray
        Low and high limits, of the shape of ``share``; never on the wrong side of it.

    Notes
    -----
    E. B. Wilson (1927), J. Am. Stat. Assoc. 22, 209-212.

    Examples
    --------
    >>> [round(float(limit), 3) for limit in wilson_limits(0.5, 10)]
    [0.269, 0.731]
    """
    z = NormalDist().inv_cdf((1 + level) / 2)
    middle = (share + z * z / (2 * number)) / (1 + z * z / number)
    reach = z / (1 + z * z / number) * np.sqrt(share * (1 - share) / number + z * z / (4 * number**2))
    return np.maximum(np.minimum(middle - reach, share), 0), np.minimum(np.maximum(middle + reach, share), 1)
