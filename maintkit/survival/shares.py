"""A share of trials with exact limits."""

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
