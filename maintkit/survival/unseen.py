"""How many units were never seen, where only those with an event are on record."""

import numpy as np
from scipy.special import ndtri

from maintkit.survival.results import Limited


def zeros_expected(counts, *, confidence: float = 0.90) -> Limited:
    """How many units with no event there are, from how many had one event and how many two.

    Parameters
    ----------
    counts : array of int, shape (units,)
        Events of each unit that is on record; those without any are left out of account.
    confidence : float
        Of the limits, between 0 and 1.

    Returns
    -------
    Limited, units
        A lower bound whatever the spread of the rates between units, with limits; 0 where no unit had exactly one event.

    Notes
    -----
    Chao (1984), Nonparametric estimation of the number of classes in a population, Scandinavian Journal of Statistics 11,
    265-270: f1 ** 2 / (2 f2), and f1 (f1 - 1) / 2 where no unit had two events. Limits are log-normal, from the variance in Chao
    (1987), Estimating the population size for capture-recapture data with unequal catchability, Biometrics 43, 783-791.

    Examples
    --------
    >>> zeros_expected([1, 0, 3, 2, 6]).value, zeros_expected([1, 1, 1, 5]).value
    (0.5, 3.0)
    """
    counts = np.asarray(counts)
    once, twice = (float(np.sum(counts == many)) for many in (1, 2))
    if once < 1 or (once == 1 and not twice):
        return Limited(0.0, 0.0, 0.0)
    if twice:
        value, by = once**2 / (2 * twice), once / twice
        variance = twice * (by**2 / 2 + by**3 + by**4 / 4)
    else:
        value = once * (once - 1) / 2
        all_units = np.sum(counts > 0) + value
        variance = value + once * (2 * once - 1) ** 2 / 4 - once**4 / (4 * all_units)
    apart = np.exp(ndtri((1 + confidence) / 2) * np.sqrt(np.log1p(variance / value**2)))
    return Limited(value, float(value / apart), float(value * apart))
