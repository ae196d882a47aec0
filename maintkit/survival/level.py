"""Whether faults come faster or slower now than ages, modules and slots have them: the level of the house and of each desk,
learnt from what past periods were expected to bring and what they brought, the past forgotten as fast as the counts ask."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.blocks import blocks, side_by_side
from maintkit.survival.results import SpellError

START = 25.0  # faults that "the level is 1" is worth before anything was seen
BACK = 1.0  # faults' worth of pull back to 1 where all is forgotten, so that a silent desk never comes to expect none
LEFT = 3.0  # faults' worth left of what was known where the level changes at once: half to twice as many are likely then
STILL = 0.85  # chance that a level stands still
CHANGE = 0.01  # chance of such a change a period
CHANGES = 12  # periods back for which a change is looked for
DAMPED = 0.9  # of a trend, what a period leaves
NO_DEVIATION = 1e9
ROUNDS = 3
SLOW = 2.0  # the faster a level drifts, the less it is expected to
MEMORY = 0.95  # of the likelihood of a setting, what a period leaves
DESKS_AT_ONCE = 64  # followed together
FEW_SEEN = 12  # a count whose rising product is made term by term
KEPT = 24  # settings of the house looked at together with those of its desks


@dataclass(frozen=True)
class Settings:
    """Ways in which a level may move, arrays of shape (settings,): what a period leaves of what was known; extra coefficient
    of variation of one period; how fast a trend is learnt, 0 = none; how many periods before the coming one the level changed at once, 0 =
    never; log prior probability."""

    discount: np.ndarray
    extra: np.ndarray
    trend: np.ndarray
    changed: np.ndarray
    log_prior: np.ndarray

    def __len__(self) -> int:
        return len(self.discount)


@dataclass(frozen=True)
class Level:
    """Events per event expected in the period to come, of the house and of each desk.

    Attributes
    ----------
    draws : ndarray, shape (draws, desks)
        Levels of the desks, as uncertain as the counts leave them.
    noise : ndarray, shape (draws, desks)
        What the coming period alone may do to each desk beside it, mean 1.
    house : ndarray, shape (draws,)
        Level all desks share.
    steady : float
        Probability that the level all desks share stands still: nothing of it is forgotten.
    """

    draws: np.ndarray
    noise: np.ndarray
    house: np.ndarray
    steady: float


@dataclass(frozen=True)
class Filtered:
    """A level under every setting: gamma ``shape`` and ``rate`` for the period to come and ``loglik`` of what came, shape
    (settings, ...); ``before`` and ``after``, its mean before and after each period, and ``variation``, the square of its
    coefficient of variation before each period with the period's own extra, shape (periods, settings, ...); of deviations from a
    house, which are many, none of these is kept."""

    shape: np.ndarray
    rate: np.ndarray
    loglik: np.ndarray
    before: np.ndarray
    after: np.ndarray
    variation: np.ndarray


def settings(discounts, extras, trends, changes: int) -> Settings:
    """Discounts crossed with extras; with the trends at discounts below 1; with a change 1 to ``changes`` periods ago at discount 1."""
    rows = [(d, e, 0.0, 0) for d in discounts for e in extras]
    rows += [(d, e, t, 0) for d in discounts if d < 0.9 for e in extras for t in trends]
    rows += [(1.0, e, 0.0, c + 1) for c in range(changes) for e in extras]
    discount, extra, trend, changed = np.array(rows).T
    drifts = np.where(discount < 1, np.exp(-SLOW * (1 - discount)), 0.0)
    chance = np.select([changed > 0, discount == 1], [CHANGE, STILL], 0.0) / len(extras)
    chance += max(1 - STILL - changes * CHANGE, 0.0) * drifts / max(drifts.sum(), 1e-300)
    return Settings(discount, extra, trend, changed, np.log(chance))


HOUSE = settings((1.0, 0.95, 0.9, 0.8, 0.65, 0.5), (0.0, 0.1, 0.25, 0.6, 1.2), (0.3,), CHANGES)
DESKS = settings((1.0, 0.9, 0.7), (0.0, 0.15, 0.3, 0.5, 0.8), (), CHANGES)
ALONE = settings((1.0,), (0.0,), (), 0)


def filtered(seen, expected, grid, *, house: Filtered | None = None, start: float = START) -> Filtered:
    """A level followed through the periods under every setting of ``grid`` at once.

    Parameters
    ----------
    seen, expected : array_like, shape (periods, ...)
        Events of each period, and those expected of it at a level of 1; none expected: nothing was at risk, and only time
        passes. Further axes are followed apart.
    grid : Settings
    house : Filtered, optional
        The level these deviate from, of shape (h,) itself; every result then has an axis of h before those of the units.
    start : float
        Events that the first level of 1 is worth.

    Notes
    -----
    A discounted gamma-Poisson update: J. Q. Smith & J. E. Miller (1986), J. R. Stat. Soc. B 48, 79-88; A. C. Harvey & C.
    Fernandes (1989), J. Bus. Econ. Stat. 7, 407-417; M. West & J. Harrison (1997), Bayesian Forecasting and Dynamic Models,
    ch. 6 and 10. A period whose own extra variation is cv weighs 1 / (1 + mean x cv squared) of a plain one; what is forgotten
    draws back to 1 with the weight of ``BACK`` events. Discount 1 without extra variation is the plain gamma-Poisson update.

    Examples
    --------
    >>> level = filtered([30, 10], [10, 10], settings([1.0], [0.0], [], 0))
    >>> level.shape, level.rate, level.after[:, 0]
    (array([65.]), array([45.]), array([1.57142857, 1.44444444]))
    """
    seen, expected = np.asarray(seen, float), np.asarray(expected, float)
    if seen.shape != expected.shape or np.any((seen > 0) & (expected <= 0)):
        raise SpellError("Every count needs an expected number, above 0 where anything came.")
    axes = seen.ndim - 1
    wide = (-1, *[1] * (axes + (house is not None)))
    columns = [of.reshape(wide) for of in (grid.discount, grid.extra, grid.trend, grid.changed)]
    like = _alike(grid)
    # in which period a setting leaves the one it goes with; those followed by themselves, and with which of them each goes
    parts = np.where(like == np.arange(len(grid)), 0, len(seen) - grid.changed)
    alone, row = np.unique(like, return_inverse=True)
    shape = np.full(
        (len(alone), *([] if house is None else [len(house.shape)]), *seen.shape[1:]), float(start)
    )
    rate, loglik, trend = shape.copy(), np.zeros(shape.shape), np.zeros(columns[0][alone].shape)
    told = np.empty((3, len(seen) if house is None else 0, len(grid), *shape.shape[1:]))
    for period, (came, due) in enumerate(zip(seen, expected, strict=True)):
        apart = np.flatnonzero(parts == period) if period else parts[:0]
        if len(apart):
            kept = np.append(np.arange(len(alone)), row[apart])
            shape, rate, loglik, trend = (of[kept] for of in (shape, rate, loglik, trend))
            row[apart], alone = len(alone) + np.arange(len(apart)), np.append(alone, apart)
        discount, extra, gain, changed = (column[alone] for column in columns)
        if period:
            shape, rate = _forget(shape, rate, (discount, trend), changed == len(seen) - period)
        before, variation = shape / rate, 1 / shape + extra**2
        shared, after, doubt = (1.0, 1.0, 0.0) if house is None else _of_house(house, period, axes)
        loglik = MEMORY * loglik + one_step_loglik(came, due * shared * before, variation + doubt)
        worth = 1 / (1 + due * after * before * extra**2)
        shape, rate = shape + worth * came, rate + worth * due * after
        if gain.any():
            trend = DAMPED * (trend + gain * np.log(shape / rate / before))
        if house is None:
            told[:, period] = before[row], (shape / rate)[row], variation[row]
    ended = _forget(shape, rate, (columns[0][alone], trend), False)
    return Filtered(*(of[row] for of in (*ended, loglik)), *told)


def _alike(grid: Settings) -> np.ndarray:
    """Of each setting, the number of the first that it goes with until its level changes at once, shape (settings,)."""
    moves = np.column_stack([grid.discount, grid.extra, grid.trend])
    _, first, of = np.unique(moves, axis=0, return_index=True, return_inverse=True)
    return first[of]


def _forget(shape, rate, discount, changed):
    """What is known a period later: the mean stays but for its trend and a pull back to 1, the doubt grows."""
    kept, trend = discount
    kept = np.where(changed, np.minimum(LEFT / shape, 1.0), kept)
    back = np.where(changed, 0.0, (1 - kept) * BACK)
    return shape * kept + back, rate * kept * np.exp(-trend) + back


def _of_house(house: Filtered, period: int, axes: int):
    """Mean of the house's level before and after a period, and its variation before it, to go with ``axes`` of units."""
    return (of[period].reshape(-1, *[1] * axes) for of in (house.before, house.after, house.variation))


def one_step_loglik(seen, mean, variation):
    """Log likelihood of counts whose mean is gamma with the square of its coefficient of variation given; 0 where the mean is 0.

    ``seen, mean, variation`` have shape (n,) or broadcast; so does the result. The counts are negative binomial: M. Greenwood & G. U. Yule (1920), J. Royal Stat. Soc. 83, 255-279.
    """
    from scipy.special import gammaln

    seen, mean, variation = np.asarray(seen, float), np.maximum(mean, 0.0), np.maximum(variation, 1e-9)
    size, ratio = 1 / variation, mean * variation
    most = seen.max(initial=0.0)
    if most <= FEW_SEEN and not np.any(seen % 1):
        came = _log_product(np.maximum(mean, 1e-24), ratio, seen, int(most))
    else:
        came = gammaln(size + seen) - gammaln(size) + seen * np.log(np.maximum(ratio, 1e-300))
    return came - gammaln(seen + 1) - (size + seen) * np.log1p(ratio)


def _log_product(mean, ratio, seen, most: int):
    """Log of ``mean (mean + ratio) ... (mean + (seen - 1) ratio)``, 0 where nothing was seen: small counts without a gamma function."""
    product = np.where(seen > 0, np.broadcast_arrays(mean, ratio)[0], 1.0)
    for more in range(1, most):
        product *= np.where(seen > more, mean + more * ratio, 1.0)
    return np.log(product)


def level_now(seen, expected, *, generator: np.random.Generator, number: int) -> Level:
    """The level of each desk for the period to come, drawn toward the house's.

    Parameters
    ----------
    seen, expected : array_like, shape (periods, desks)
        Events of each past period in order, and those expected at a level of 1.
    generator : numpy Generator
    number : int
        Draws wanted.

    Returns
    -------
    Level
        Draws of shape (number, desks).

    Notes
    -----
    Own method, after M. West & J. Harrison (1997), Bayesian Forecasting and Dynamic Models, ch. 10 (discounting; from memory).
    A desk's level is the house's times its own deviation, each a level of its own with discount and extra variation; what a house
    of one desk does is the house's. Settings are weighted by the negative binomial likelihood of what came one step ahead,
    those of the deviations desk by desk about weights all desks share.
    """
    seen, expected = np.asarray(seen, float), np.asarray(expected, float)
    alone = seen.shape[1] == 1
    grid, own_grid = HOUSE, ALONE if alone else DESKS
    house, grid = _likeliest(filtered(seen.sum(axis=1), expected.sum(axis=1), grid), grid)
    own = _deviations(seen, expected, own_grid, house, NO_DEVIATION if alone else START)
    by_desk, loglik = _desk_weights(own.loglik, own_grid.log_prior)
    weight = _normed(loglik.sum(axis=-1) + grid.log_prior)
    of_house = generator.choice(len(grid), size=number, p=weight)
    shared = generator.standard_gamma(house.shape[of_house]) / house.rate[of_house]
    noise = _noise(grid.extra[of_house], generator)[:, None]
    of_desk = _chosen(by_desk, of_house, generator)
    picked = of_desk, of_house[:, None], np.arange(seen.shape[1])
    deviation = generator.standard_gamma(own.shape[picked]) / own.rate[picked]
    whole, part = house.shape / house.rate, own.shape / own.rate
    mean = np.einsum("h,ohd,h,ohd->d", weight, by_desk, whole, part)
    draws = shared[:, None] * deviation
    draws = draws * (mean / draws.mean(axis=0))  # the mean of so few draws would wander
    noise = noise * _noise(own_grid.extra[of_desk], generator)
    still = float(weight[(grid.discount == 1) & (grid.changed == 0)].sum())
    return Level(draws, noise, shared, still)


def _deviations(seen, expected, grid: Settings, house: Filtered, start: float) -> Filtered:
    """``filtered`` of every desk from the house, some desks at a time."""
    found = side_by_side(
        lambda some: filtered(seen[:, some], expected[:, some], grid, house=house, start=start),
        blocks(seen.shape[1], DESKS_AT_ONCE),
    )
    if len(found) == 1:
        return found[0]
    return Filtered(
        *(np.concatenate(of, axis=-1) for of in zip(*(vars(part).values() for part in found), strict=True))
    )


def _likeliest(found: Filtered, grid: Settings):
    """The settings of the house that the totals make most likely, ``KEPT`` of them."""
    best = np.argsort(-(found.loglik + grid.log_prior), kind="stable")[:KEPT]
    grid = Settings(*(column[best] for column in vars(grid).values()))
    at_end = (of[best] for of in (found.shape, found.rate, found.loglik))
    return Filtered(*at_end, *(of[:, best] for of in (found.before, found.after, found.variation))), grid


def _desk_weights(loglik, log_prior):
    """Weights of the settings of each desk under each setting of the house, (own, house, desks), and log likelihood, (house,
    desks): each desk's settings are drawn from shares that all desks have in common, these found by EM from equal ones."""
    from scipy.special import logsumexp

    desks = loglik.shape[-1]
    first = _normed(log_prior)[:, None] * np.ones(loglik.shape[1])
    shares = first
    for _ in range(ROUNDS):
        joint = loglik + np.log(shares)[..., None]
        total = logsumexp(joint, axis=0)
        weight = np.exp(joint - total)
        shares = (weight.sum(axis=-1) + first) / (desks + 1)
    return weight, total


def _normed(loglik):
    weight = np.exp(loglik - loglik.max())
    return weight / weight.sum()


def _chosen(weight, of_house, generator):
    """The number of each desk's setting, drawn by its weight under the setting of the house of each draw, shape (draws, desks)."""
    below = weight.cumsum(axis=0)
    at = generator.random((len(of_house), weight.shape[-1])) * below[-1, of_house]
    found = np.zeros(at.shape, int)
    for one in below:
        found += one[of_house] < at
    return found


def _noise(cv, generator):
    """Gamma factors of mean 1 with these coefficients of variation."""
    size = 1 / np.maximum(cv, 1e-4) ** 2
    return generator.standard_gamma(size) / size
