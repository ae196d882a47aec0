"""Likelihood of Weibull spells with its slopes and curvature.

Log cumulative hazard ``shape * (log age - middle) + x @ b``, the first column of x all ones; theta holds log shape,
then b, so the scale is ``exp(middle - b[0] / shape)``. A spell cut short adds -(H(exit) - H(entry)), a failure
log h(exit) besides, and a part found failed some time in (entry, exit] adds log(1 - exp(-(H(exit) - H(entry)))):
Meeker & Escobar (1998), sections 2.4 and 11.6 (from memory).
"""

from dataclasses import dataclass

import numpy as np

SMALLEST_SHAPE, LARGEST_SHAPE = 0.02, 200.0  # beyond these a fit has run off: common practice, no source
FLATTEST = 1e-4  # curvature per unit of a log below which nothing is known: common practice, no source


@dataclass(frozen=True)
class WeibullCells:
    """Spells summed up: net weight at each distinct age and pattern of covariates, failures, interval_censored failures.

    A part watched over (0, 5] and (5, 9] counts once, at 9: entry and exit at 5 cancel.
    """

    log_age: np.ndarray
    net: np.ndarray
    pattern: np.ndarray
    failure_log_age: np.ndarray
    failure_weight: np.ndarray
    failure_pattern: np.ndarray
    hidden_entry: np.ndarray
    hidden_exit: np.ndarray
    hidden_weight: np.ndarray
    hidden_pattern: np.ndarray
    design: np.ndarray
    precision: np.ndarray
    middle: float


def weibull_cells(rows, interval_censored, design=None, prior_sd=None) -> WeibullCells:
    """Checked spells, which of them are interval_censored failures, and their covariates (n, p), summed up.

    ``prior_sd``, shape (p,), is the spread of a normal prior on each coefficient; None for no prior.
    """
    design = np.zeros((len(rows.exit), 0)) if design is None else design
    patterns, pattern = distinct_rows(design)
    seen = ~interval_censored
    age = np.concatenate([rows.exit[seen], rows.entry[seen]])
    net_weight = np.concatenate([rows.weight[seen], -rows.weight[seen]])
    of = np.concatenate([pattern[seen], pattern[seen]])[age > 0]
    age, net, of = _summed(age[age > 0], net_weight[age > 0], of)
    failed_age, failures, failed_pattern = _summed(
        rows.exit[rows.event], rows.weight[rows.event], pattern[rows.event]
    )
    failed = rows.event | interval_censored
    middle = float(np.average(np.log(rows.exit[failed]), weights=rows.weight[failed]))
    precision = np.zeros(design.shape[1] + 1)
    precision[1:] = 0.0 if prior_sd is None else 1.0 / np.asarray(prior_sd) ** 2
    return WeibullCells(
        np.log(age),
        net,
        of,
        np.log(failed_age),
        failures,
        failed_pattern,
        rows.entry[interval_censored],
        rows.exit[interval_censored],
        rows.weight[interval_censored],
        pattern[interval_censored],
        np.column_stack([np.ones(len(patterns)), patterns]),
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


def weibull_loglik(cells: WeibullCells, theta: np.ndarray):
    """Log-likelihood with its gradient (q,) and Hessian (q, q), q = 1 + columns of the design."""
    b = theta[1:]
    linear = cells.design @ b
    gradient, hessian = np.zeros(len(theta)), np.zeros((len(theta), len(theta)))
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        value = _add_time_at_risk(cells, np.exp(theta[0]), linear, gradient, hessian)
        value += _add_failures(cells, theta[0], linear, gradient, hessian)
        if len(cells.hidden_exit):
            value += _add_hidden(cells, np.exp(theta[0]), linear, gradient, hessian)
    value -= 0.5 * float(cells.precision @ b**2)
    gradient[1:] -= cells.precision * b
    hessian[1:, 1:] -= np.diag(cells.precision)
    return (float(value) if np.isfinite(value) else -np.inf), gradient, hessian


def _add_time_at_risk(cells, shape, linear, gradient, hessian):
    y = shape * (cells.log_age - cells.middle)
    risk = cells.net * np.exp(y + _of_rows(linear, cells.pattern))
    tilted = risk * y
    total = _by_pattern(cells.pattern, risk, len(linear))
    cross = _by_pattern(cells.pattern, tilted, len(linear)) @ cells.design
    first = tilted.sum()
    gradient[0] -= first
    gradient[1:] -= total @ cells.design
    hessian[0, 0] -= tilted @ y + first
    hessian[0, 1:] -= cross
    hessian[1:, 0] -= cross
    hessian[1:, 1:] -= (cells.design * total[:, None]).T @ cells.design
    return -total.sum()


def _add_failures(cells, log_shape, linear, gradient, hessian):
    weight = cells.failure_weight
    y = np.exp(log_shape) * (cells.failure_log_age - cells.middle)
    of_pattern = _by_pattern(cells.failure_pattern, weight, len(linear))
    gradient[0] += weight @ (1 + y)
    gradient[1:] += of_pattern @ cells.design
    hessian[0, 0] += weight @ y
    return weight @ (log_shape + y - cells.failure_log_age) + of_pattern @ linear


def _add_hidden(cells, shape, linear, gradient, hessian):
    x = cells.design[cells.hidden_pattern]
    slope, bend, gone = 0.0, 0.0, 0.0
    for age, sign in ((cells.hidden_exit, 1.0), (cells.hidden_entry, -1.0)):
        y = shape * (np.log(np.where(age > 0, age, 1.0)) - cells.middle)
        part = np.where(age > 0, sign * np.exp(y + linear[cells.hidden_pattern]), 0.0)
        direction = np.column_stack([y, x])
        gone = gone + part
        slope = slope + part[:, None] * direction
        twice = np.einsum("i,ij,ik->ijk", part, direction, direction)
        twice[:, 0, 0] += part * y
        bend = bend + twice
    pull = 1.0 / np.expm1(gone)
    gradient += (cells.hidden_weight * pull) @ slope
    hessian += np.einsum("i,ijk->jk", cells.hidden_weight * pull, bend)
    hessian -= np.einsum("i,ij,ik->jk", cells.hidden_weight * pull * (1 + pull), slope, slope)
    return cells.hidden_weight @ np.log(-np.expm1(-gone))


def _of_rows(linear, pattern):
    """The value of each row's pattern; one number serves all rows where there is but one pattern."""
    return linear[0] if len(linear) == 1 else linear[pattern]


def _by_pattern(pattern, values, patterns):
    return np.array([values.sum()]) if patterns == 1 else np.bincount(pattern, values, minlength=patterns)


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
