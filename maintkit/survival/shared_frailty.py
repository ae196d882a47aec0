"""Do parts wear out, and when, where the parts of a module share its air, supply and history: Weibull life with a
gamma factor for each module."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.newton import climb, edge_p
from maintkit.survival.profile_points import profile_point
from maintkit.survival.shared_likelihood import shared_cells, shared_loglik
from maintkit.survival.spell_rows import group_codes, refuse_bad_level, refuse_unequal_lengths, spell_rows
from maintkit.survival.weibull import WeibullLife, fit_weibull, told, too_little
from maintkit.survival.weibull_likelihood import (
    pattern_hazards,
    ran_off,
    top_of,
    weibull_cells,
    weibull_loglik,
)
from maintkit.survival.weibull_profile import QUANTITIES, limit_held, quantity_of

# of the variance of the modules' factors: beyond these it counts as none, or has run off
LEAST_VARIANCE, MOST_VARIANCE = 1e-4, 50.0


@dataclass(frozen=True)
class SharedLife(WeibullLife):
    """Weibull life of a part in a module, and of all parts of all modules.

    ``shape``, ``log_shape`` and ``log_scale`` are those of a part in an average module, whose cumulative hazard is
    ``(t / exp(log_scale))**shape``; ``covariance`` is of the latter two. ``scale``, ``b10``, ``median``,
    ``cumulative_hazard`` and ``survival`` are those of the whole population, in which bad modules lose their parts first.

    Attributes
    ----------
    spread : float
        Coefficient of variation of the modules' factors; 0 where they do not differ beyond chance.
    p_no_spread : float
        p of "all modules have the same factor".
    modules : int
    """

    spread: float = 0.0
    p_no_spread: float = 1.0
    modules: int = 0

    def cumulative_hazard(self, age):
        """Cumulative hazard of the population, shape of ``age``; SpellError where no life was fitted."""
        hazard = super().cumulative_hazard(age)
        return hazard if self.spread == 0 else np.log1p(self.spread**2 * hazard) / self.spread**2


def fit_weibull_shared(
    entry, exit, event, cluster, *, weight=None, interval_censored=None, level=0.90, limited=tuple(QUANTITIES)
) -> SharedLife:
    """Shape, scale, B10 and median life of a kind of part whose modules differ.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over ``(entry, exit]``.
    event : array_like of bool, shape (n,)
        True where the part failed exactly at ``exit``.
    cluster : array_like, shape (n,)
        The module of each spell.
    weight, interval_censored : array_like, shape (n,), optional
        As in ``fit_weibull``.
    level : float
        Level of every interval.
    limited : tuple of str
        Which of shape, scale, b10 and median get limits; they take most of the time.

    Returns
    -------
    SharedLife
        The plain life of ``fit_weibull`` where modules do not differ beyond chance; the rate alone, and ``note`` says why,
        where that gives no life.

    Raises
    ------
    SpellError
        If the spells cannot be used; the message gives the first such row, or the lengths.

    Notes
    -----
    Gamma factor with mean 1 shared by the parts of a module, integrated out in closed form (D. G. Clayton (1978),
    Biometrika 65, 141-151; J. P. Klein (1992), Biometrics 48, 795-806). A module's factor is not tied to the ages at
    entry: a failed part is replaced, so no module is lost before the records begin. Limits by profile likelihood over
    shape, scale and spread; where the spread leaves its range on the way, the wider of those with the spread as fitted
    and with none. p of no spread is half a chi-square tail (S. G. Self & K.-Y. Liang (1987), J. Am. Stat. Assoc. 82,
    605-610).

    Examples
    --------
    >>> entry, exit = [0] * 8, [3, 4, 5, 6, 9, 9, 9, 9]
    >>> life = fit_weibull_shared(entry, exit, [True] * 6 + [False] * 2, list("aaaabbbb"))
    >>> round(life.spread, 2), round(life.shape.value, 2)
    (1.38, 5.17)
    """
    refuse_bad_level(level)
    codes = group_codes(cluster)[1]
    refuse_unequal_lengths(exit=np.ravel(exit), cluster=codes)
    rows = spell_rows(entry, exit, event, weight, interval_censored)
    module = np.unique(codes[rows.kept], return_inverse=True)[1]
    modules, found = int(module.max()) + 1, _found(rows, module)
    if found is None:
        plain = fit_weibull(
            entry, exit, event, weight, interval_censored=interval_censored, level=level, limited=limited
        )
        return SharedLife(**vars(plain), modules=modules)
    cells, top, _, plain = found

    def limit(hazard, target, side):
        quantity = quantity_of(cells.middle, hazard)
        at = profile_point(lambda theta: shared_loglik(cells, theta), quantity, top, target, side)
        return _without_spread_moving(found, hazard, target, side) if at is None else float(np.exp(at))

    return SharedLife(
        **told(rows, cells, top, limit, limited, level),
        spread=float(np.exp(top[0][2] / 2)),
        p_no_spread=edge_p(2 * (top[1] - plain[1])),
        modules=modules,
    )


def _found(rows, module):
    """Cells, top of the likelihood, and the plain cells and top it grew from; None where there is no spread to be had."""
    if too_little(rows):
        return None
    plain_cells = weibull_cells(rows)
    plain = top_of(plain_cells, rows.failures, rows.exposure)
    if plain is None:
        return None
    cells = shared_cells(rows, module, plain_cells.middle)
    gone = pattern_hazards(cells, plain[0])[0]
    # twice the slope along the variance at 0
    surplus = float(np.sum((cells.deaths - gone) ** 2 - cells.deaths))
    if surplus <= 0:
        return None
    start = np.append(plain[0], np.log(np.clip(surplus / float(gone @ gone), 0.02, 2.0)))
    top = climb(lambda theta: shared_loglik(cells, theta), start)
    if top is None or not LEAST_VARIANCE < np.exp(top[0][2]) < MOST_VARIANCE or ran_off(top[0], top[3]):
        return None
    return cells, top, plain_cells, plain


def _without_spread_moving(found, hazard, target, side):
    """The farther of the limits with the spread as fitted and with none; None where either has no limit."""
    cells, top, plain_cells, plain = found
    variance = np.exp(top[0][2])

    def fitted(theta):
        value, gradient, hessian = shared_loglik(cells, np.append(theta, top[0][2]))
        return value, gradient[:2], hessian[:2, :2]

    def none(theta):
        return weibull_loglik(plain_cells, theta)

    apart = None if hazard is None else np.expm1(variance * hazard) / variance
    held = (top[0][:2], top[1], top[2][:2], top[3][:2, :2])
    sides = [limit_held(fitted, held, cells.middle, apart, target, side)]
    if plain[1] > target:
        sides.append(limit_held(none, plain, cells.middle, hazard, target, side))
    if None in sides:
        return None
    return max(sides) if side > 0 else min(sides)
