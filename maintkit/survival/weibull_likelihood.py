"""Likelihood of Weibull spells with its slopes and curvature.

Log cumulative hazard ``shape * (log age - middle) + x @ b``, the first column of x all ones; theta holds log shape,
then b, so the scale is ``exp(middle - b[0] / shape)``. A spell cut short adds -(H(exit) - H(entry)), a failure
log h(exit) besides, and a part found failed some time in (entry, exit] adds log(1 - exp(-(H(exit) - H(entry)))):
Meeker & Escobar (1998), sections 2.4 and 11.6 (from memory).
"""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.newton import climb
from maintkit.survival.spell_rows import SpellRows

SMALLEST_SHAPE, LARGEST_SHAPE = 0.02, 200.0  # beyond these a fit has run off: common practice, no source
FLATTEST = 1e-4  # curvature per unit of a log below which nothing is known: common practice, no source


@dataclass(frozen=True)
class WeibullCells:
    """Spells summed up: net weight at each distinct age and pattern of covariates; failures of each pattern and their summed log
    ages; interval-censored failures one by one, ``hidden_net`` and ``hidden_log_age`` of shape (2, n): at exit and at entry.

    A part watched over (0, 5] and (5, 9] counts once, at 9: entry and exit at 5 cancel.
    """

    log_age: np.ndarray
    net: np.ndarray
    pattern: np.ndarray
    failure_weight: np.ndarray
    failure_log_age: np.ndarray
    hidden_log_age: np.ndarray
    hidden_net: np.ndarray
    hidden_weight: np.ndarray
    hidden_pattern: np.ndarray
    design: np.ndarray
    precision: np.ndarray
    middle: float


def weibull_cells(rows: SpellRows, design=None, prior_sd=None) -> WeibullCells:
    """Checked spells and their covariates (n, p), summed up.

    ``prior_sd``, shape (p,), is the spread of a normal prior on each coefficient; None for no prior.
    """
    design = np.zeros((len(rows.exit), 0)) if design is None else design
    patterns, pattern = distinct_rows(design)
    failed = rows.event | rows.interval_censored
    middle = float(np.average(np.log(rows.exit[failed]), weights=rows.weight[failed]))
    precision = np.zeros(design.shape[1] + 1)
    precision[1:] = 0.0 if prior_sd is None else 1.0 / np.asarray(prior_sd) ** 2
    return cells_of(rows, pattern, np.column_stack([np.ones(len(patterns)), patterns]), precision, middle)


def cells_of(rows: SpellRows, pattern, design, precision, middle: float, *, hidden_share=0.0) -> WeibullCells:
    """Spells of so many patterns, of covariates ``design``, summed up; of the time of a hidden failure that share is at risk."""
    weight = np.where(rows.interval_censored, hidden_share, 1.0) * rows.weight
    age, net = np.concatenate([rows.exit, rows.entry]), np.concatenate([weight, -weight])
    age, net, of = _summed(age[age > 0], net[age > 0], np.concatenate([pattern, pattern])[age > 0])
    failures, log_age = rows.weight * rows.event, np.log(rows.exit)
    hidden = np.array([rows.exit, rows.entry])[:, rows.interval_censored]
    return WeibullCells(
        np.log(age),
        net,
        of,
        np.bincount(pattern, failures, len(design)),
        np.bincount(pattern, failures * log_age, len(design)),
        np.log(np.where(hidden > 0, hidden, 1.0)),
        np.array([[1.0], [-1.0]]) * (hidden > 0),
        rows.weight[rows.interval_censored],
        pattern[rows.interval_censored],
        design,
        precision,
        middle,
    )


def distinct_rows(design):
    """The distinct rows of a matrix, and for each of its rows the number of the distinct one."""
    if design.shape[1] == 0:
        return np.zeros((1, 0)), np.zeros(len(design), np.intp)
    key = np.zeros(len(design))
    for column, factor in zip(design.T, np.random.default_rng(0).uniform(1, 2, design.shape[1]), strict=True):
        key += column * factor
    _, first, number = np.unique(key, return_index=True, return_inverse=True)
    if not np.array_equal(design[first][number], design):
        distinct, number = np.unique(design, axis=0, return_inverse=True)
        return distinct, number.ravel()
    return design[first], number


def _summed(age, weight, pattern):
    """Weight summed over rows of the same age and pattern; sums of nothing left out."""
    ages, place = np.unique(age, return_inverse=True)
    patterns = int(pattern.max()) + 1 if len(pattern) else 1
    cell = place * patterns + pattern
    if len(ages) * patterns > 4 * len(age) + 1000:
        distinct, cell = np.unique(cell, return_inverse=True)
    else:
        distinct = np.arange(len(ages) * patterns)
    total = np.bincount(cell, weights=weight, minlength=len(distinct))
    kept = np.flatnonzero(total)
    return ages[distinct[kept] // patterns], total[kept], distinct[kept] % patterns


def top_of(cells: WeibullCells, failures: float, exposure: float):
    """Theta, value, gradient and Hessian at the top, climbed to from a constant rate; None where there is none."""
    top = climb(lambda theta: weibull_loglik(cells, theta), constant_rate_start(cells, failures, exposure))
    return None if top is None or ran_off(top[0], top[3]) else top


def weibull_loglik(cells: WeibullCells, theta: np.ndarray):
    """Log-likelihood with its gradient (q,) and Hessian (q, q), q = 1 + columns of the design."""
    return loglik_of(
        cells, theta, pattern_hazards(cells, theta), lambda gone: (-gone, -1.0, 0.0), _found_failed
    )


def _found_failed(gone):
    """Log of the chance to fail while so much hazard is collected, with its slope and curvature."""
    pull = 1.0 / np.expm1(gone)
    return np.log(-np.expm1(-gone)), pull, -pull * (1 + pull)


@np.errstate(over="ignore", invalid="ignore", divide="ignore")
def pattern_hazards(cells: WeibullCells, theta):
    """Cumulative hazard collected by the parts of each pattern, and its first and second slope along log shape."""
    linear, patterns = cells.design @ theta[1:], len(cells.design)
    hazards = _hazards(cells.net, cells.log_age - cells.middle, np.exp(theta[0]), linear[cells.pattern])
    return [np.bincount(cells.pattern, of, patterns) for of in hazards]


def _hazards(net, lag, shape, linear):
    rise = shape * lag
    gone = net * np.exp(rise + linear)
    slope = gone * rise
    return gone, slope, slope * (1 + rise)


@np.errstate(over="ignore", invalid="ignore", divide="ignore")
def loglik_of(cells: WeibullCells, theta, hazards, at_risk, found):
    """Log-likelihood with gradient and Hessian, where hazards count by two functions that give value, slope and curvature.

    ``at_risk`` takes the ``hazards`` collected by each pattern, ``found`` those over the intervals of the hidden failures.
    """
    shape, b = np.exp(theta[0]), theta[1:]
    linear, patterns = cells.design @ b, len(cells.design)
    failures = cells.failure_weight
    rise = shape * (cells.failure_log_age - cells.middle * failures)
    seen = failures * (theta[0] + linear) + rise - cells.failure_log_age
    terms = np.array([seen, failures + rise, failures, rise, 0 * rise, 0 * rise]) + _terms(hazards, at_risk)
    if len(cells.hidden_weight):
        lag, of = cells.hidden_log_age - cells.middle, cells.hidden_pattern
        hidden = [part.sum(axis=0) for part in _hazards(cells.hidden_net, lag, shape, linear[of])]
        terms += [np.bincount(of, cells.hidden_weight * term, patterns) for term in _terms(hidden, found)]
    value, by_shape, by_height, bend, cross, curve = terms
    gradient = np.append(by_shape.sum(), by_height @ cells.design - cells.precision * b)
    hessian = np.empty((len(theta), len(theta)))
    hessian[0, 0], hessian[0, 1:], hessian[1:, 0] = bend.sum(), cross @ cells.design, cross @ cells.design
    hessian[1:, 1:] = (cells.design * curve[:, None]).T @ cells.design - np.diag(cells.precision)
    whole = float(value.sum() - 0.5 * cells.precision @ b**2)
    return (-np.inf if np.isnan(whole) else whole), gradient, hessian


def _terms(hazards, function) -> np.ndarray:
    """Value of a function of hazards, its slopes along log shape and height, and its curvature along both: shape shape, shape
    height, height height."""
    gone, slope, bend = hazards
    value, first, second = function(gone)
    along, across = first * slope, first * gone
    curves = second * slope**2 + first * bend, second * slope * gone + along, second * gone**2 + across
    return np.array([value, along, across, *curves])


def constant_rate_start(cells, failures, exposure):
    """Theta of a constant rate: shape 1, no effects."""
    start = np.zeros(1 + cells.design.shape[1])
    start[1] = np.log(failures / exposure) + cells.middle
    return start


def shape_and_scale(cells, theta, hessian):
    """Log shape, log scale, the other coefficients, and their covariance in this order."""
    per_shape = np.exp(-theta[0])
    turn = np.eye(len(theta))
    turn[1, :2] = theta[1] * per_shape, -per_shape
    moved = np.array(theta)
    moved[1] = cells.middle - theta[1] * per_shape
    return moved, turn @ np.linalg.inv(-hessian) @ turn.T


def ran_off(theta, hessian) -> bool:
    """Whether the shape has left the range any part can have, or the top is too flat to say where it is."""
    flat = np.linalg.eigvalsh(-hessian)[0] < FLATTEST
    return bool(flat or not np.log(SMALLEST_SHAPE) < theta[0] < np.log(LARGEST_SHAPE))
