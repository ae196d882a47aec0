"""How many to keep: stock against chance demand, empty places, and how long the last ones hold."""

import numpy as np


def stock_for(protection, mean, shape=np.inf) -> int:
    """Fewest spares with which demand is met with at least that probability.

    Parameters
    ----------
    protection : float
        Wanted probability that demand is no more than the spares on the shelf, such as 0.95.
    mean : float
        Demand expected over the time in question.
    shape : float
        Gamma shape of the doubt about the rate behind the mean; infinite where the rate is known.

    Raises
    ------
    ValueError
        If the probability is not between 0 and 1, or the mean below 0.

    Notes
    -----
    Smallest k with P(demand <= k) >= protection; Poisson, or negative binomial where the rate is uncertain (a gamma
    mixture of Poissons, M. Greenwood & G. U. Yule 1920, J. R. Stat. Soc. 83, 255-279).

    Examples
    --------
    >>> stock_for(0.95, 4.32), stock_for(0.95, 4.32, shape=2.0)
    (8, 11)
    """
    if not 0 < protection < 1:
        raise ValueError(
            f"The probability that stock suffices lies between 0 and 1, 0.95 for example; found {protection}."
        )
    if not mean >= 0:
        raise ValueError(f"Expected demand is 0 or more; found {mean}.")
    most = 16
    while chance_at_most(most, mean, shape=shape) < protection:
        most *= 2
    return int(np.argmax(chance_at_most(np.arange(most + 1), mean, shape=shape) >= protection))


def chance_at_most(number, mean, *, shape=np.inf):
    """Probability that demand is ``number`` or less.

    Parameters
    ----------
    number, mean, shape : float or array_like
        As in :func:`stock_for`; below 0 the probability is 0.

    Examples
    --------
    >>> chance_at_most([0, 1], 1.0).round(3), chance_at_most(0, 1.0, shape=1.0)
    (array([0.368, 0.736]), np.float64(0.5))
    """
    from scipy.special import betainc, gammaincc

    number, mean, shape = np.asarray(number, float), np.asarray(mean, float), np.asarray(shape, float)
    kept = np.maximum(number, 0.0)
    known = np.isinf(shape)
    finite = np.where(known, 1.0, shape)
    poisson = gammaincc(kept + 1, mean)
    mixed = betainc(finite, kept + 1, finite / (finite + mean))
    return np.where(number < 0, 0.0, np.where(known, poisson, mixed))[()]


def backorders(spares, pipeline, *, shape=np.inf) -> np.ndarray:
    """Places expected to stand empty with so many spares in the pool.

    Parameters
    ----------
    spares : array_like of int, shape (n,)
    pipeline : float or array_like, shape (kinds,)
        Modules in repair on average: pulls a day x days away. By Palm's theorem only the mean of the days counts.
    shape : float or array_like, shape (kinds,)
        Gamma shape of the doubt about the rate of pulls; infinite where it is known.

    Returns
    -------
    ndarray, shape (n,) or (kinds, n)

    Notes
    -----
    E[(X - s)+], X Poisson with the pipeline as mean (C. Palm 1938; G. J. Feeney & C. C. Sherbrooke 1966, Management
    Science 12, 391-411), negative binomial where the rate is uncertain. Summed from s = 0 by EBO(s + 1) = EBO(s) - P(X
    > s).

    Examples
    --------
    >>> backorders([0, 1, 2, 3], 1.0).round(3)
    array([1.   , 0.368, 0.104, 0.023])
    """
    pipeline, shape = (np.asarray(of, float)[..., None] for of in (pipeline, shape))
    spares = np.asarray(spares, int)
    short = 1 - chance_at_most(np.arange(spares.max(initial=0)), pipeline, shape=shape)
    so_far = np.concatenate([np.zeros(pipeline.shape), np.cumsum(short, axis=-1)], axis=-1)
    return np.maximum(pipeline - so_far, 0.0)[..., spares]


def days_saved(held, count, *, mean_a_day, shape, days) -> np.ndarray:
    """Days a place is spared from standing empty, for each further part kept of a kind that cannot be bought.

    Parameters
    ----------
    held : int
        Parts there already.
    count : int
        How many further ones to price.
    mean_a_day : float
        Demand a day.
    shape : float
        Gamma shape of the doubt about it; infinite where it is known.
    days : float
        Horizon.

    Returns
    -------
    ndarray, shape (count,)
        The j-th further part fills a place from the (held + j)-th demand to the end of the horizon:
        int_0^days P(demand by t >= held + j) dt, by the trapezoid rule on 200 steps.

    Examples
    --------
    >>> days_saved(0, 2, mean_a_day=0.01, shape=float("inf"), days=100.0).round(1)
    array([36.8, 10.4])
    """
    time = np.linspace(0, days, 201)
    wanted = held + np.arange(count)
    reached = 1 - chance_at_most(wanted[:, None], mean_a_day * time[None, :], shape=shape)
    return np.trapezoid(reached, time, axis=1)


def lasting(held, mean_a_year, shape=np.inf, *, level=0.90) -> tuple[float, float, float]:
    """Years until the last one is gone: median, and the limits that leave (1 - level) / 2 on either side.

    Parameters
    ----------
    held : int
        Parts there.
    mean_a_year, shape : float
        Demand a year and the gamma shape of the doubt about it.
    level : float
        Of the limits.

    Returns
    -------
    tuple of float
        0 where nothing is held, ``inf`` where nothing is ever wanted.

    Notes
    -----
    Quantiles t of P(demand by t >= held), by definition: gamma where the rate is known, its gamma mixture (a beta of the second kind)
    else.

    Examples
    --------
    >>> [round(years, 2) for years in lasting(1, 2.0)]
    [0.35, 0.03, 1.5]
    """
    from scipy.special import betaincinv, gammaincinv

    share = np.array([0.5, (1 - level) / 2, (1 + level) / 2])
    if held <= 0:
        return 0.0, 0.0, 0.0
    if mean_a_year <= 0:
        return np.inf, np.inf, np.inf
    if np.isinf(shape):
        return tuple(float(years) for years in gammaincinv(held, share) / mean_a_year)
    part = betaincinv(held, shape, share)
    return tuple(float(years) for years in shape / mean_a_year * part / (1 - part))
