"""Likelihood of Weibull spells whose modules share a gamma factor, with its slopes and curvature.

Given its factor z, a part of the module has cumulative hazard ``z * H(t)``, ``H = exp(shape (log age - middle) + height)``;
z is gamma with mean 1 and variance v. With d failures and summed hazard H of a module, z integrated out, the module gives
prod over j < d of (1 + j v), times (1 + v H)^-(d + 1/v), times the hazards at its failures: Klein (1992), Biometrics 48,
795-806; theta holds log shape, height, log v. A part found failed some time in (entry, exit] gives 1 - exp(-z D), with D
the hazard it collected; this is taken as z exp(-z D / 2) 2 sinh(D / 2), exact at z = 1 and off by (z^2 - 1) D^2 / 24 of its
log elsewhere (own approximation).
"""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class SharedCells:
    """Spells summed up by module and age: net weight of each, and the failures.

    ``lag`` is log age less ``middle``; ``deaths`` has shape (modules,); ``more[j - 1]`` modules have more than j failures;
    ``hidden_lag`` has shape (2, interval_censored rows): exit, entry (-inf at age 0).
    """

    lag: np.ndarray
    net: np.ndarray
    module: np.ndarray
    deaths: np.ndarray
    more: np.ndarray
    seen: float
    seen_lag: float
    seen_log_age: float
    hidden_lag: np.ndarray
    hidden_weight: np.ndarray
    middle: float


def shared_cells(rows, interval_censored, module, middle: float) -> SharedCells:
    """Checked spells, which of them are interval_censored failures, and the number of the module of each, summed up."""
    half = np.where(interval_censored, 0.5, 1.0) * rows.weight
    age = np.concatenate([rows.exit, rows.entry])
    kept = age > 0
    lag, net, of = _summed(
        age[kept], np.concatenate([half, -half])[kept], np.concatenate([module, module])[kept], middle
    )
    failed = rows.event | interval_censored
    deaths = np.bincount(module[failed], rows.weight[failed], minlength=int(module.max()) + 1)
    more = (deaths > np.arange(1, max(deaths.max(), 1))[:, None]).sum(axis=1).astype(float)
    log_age, weight = np.log(rows.exit[rows.event]), rows.weight[rows.event]
    with np.errstate(divide="ignore"):
        hidden_lag = np.log(np.array([rows.exit[interval_censored], rows.entry[interval_censored]])) - middle
    return SharedCells(
        lag,
        net,
        of,
        deaths,
        more,
        float(weight.sum()),
        float(weight @ (log_age - middle)),
        float(weight @ log_age),
        hidden_lag,
        rows.weight[interval_censored],
        middle,
    )


def _summed(age, weight, module, middle):
    """Net weight of each module and age, sums of nothing left out: exit of one stay and entry of the next cancel."""
    order = np.lexsort((age, module))
    age, weight, module = age[order], weight[order], module[order]
    new = np.flatnonzero(np.r_[True, (np.diff(age) != 0) | (np.diff(module) != 0)])
    net = np.add.reduceat(weight, new)
    kept = new[net != 0]
    return np.log(age[kept]) - middle, net[net != 0], module[kept]


def shared_loglik(cells: SharedCells, theta):
    """Log-likelihood with its gradient (3,) and Hessian (3, 3)."""
    shape, variance = np.exp(theta[0]), np.exp(theta[2])
    gradient, hessian = np.zeros(3), np.zeros((3, 3))
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        gone, slope, bend = module_hazards(cells, shape, theta[1])
        value = _add_modules(cells.deaths, (gone, slope, bend), variance, gradient, hessian)
        levels = np.arange(1, len(cells.more) + 1)
        share = variance * levels / (1 + variance * levels)
        value += cells.more @ np.log1p(variance * levels)
        gradient[2] += cells.more @ share
        hessian[2, 2] += cells.more @ (share * (1 - share))
        rise = shape * cells.seen_lag
        value += cells.seen * (theta[0] + theta[1]) + rise - cells.seen_log_age
        gradient[:2] += cells.seen + rise, cells.seen
        hessian[0, 0] += rise
        if len(cells.hidden_weight):
            value += _add_hidden(cells, shape, theta[1], gradient, hessian)
    return value, gradient, hessian


def module_hazards(cells: SharedCells, shape, height):
    """Summed cumulative hazard of each module, and its first and second slope along log shape."""
    rise = shape * cells.lag
    part = cells.net * np.exp(rise + height)
    number = len(cells.deaths)
    first = part * rise
    return (
        np.bincount(cells.module, part, number),
        np.bincount(cells.module, first, number),
        np.bincount(cells.module, first * (1 + rise), number),
    )


def _add_modules(deaths, hazards, variance, gradient, hessian):
    """Terms -(d + 1/v) log(1 + v H) of the modules."""
    gone, slope, bend = hazards
    whole = 1 + variance * gone
    logs = np.log1p(variance * gone)
    pull = (1 + variance * deaths) / whole
    gradient[:2] -= pull @ slope, pull @ gone
    steep = variance * pull / whole
    hessian[0, 0] += steep @ slope**2 - pull @ bend
    hessian[0, 1] += steep @ (slope * gone) - pull @ slope
    hessian[1, 1] += steep @ gone**2 - pull @ gone
    lean = variance * (gone - deaths) / whole**2
    hessian[0, 2] += lean @ slope
    hessian[1, 2] += lean @ gone
    along = float(np.sum(logs / variance - pull * gone))
    gradient[2] += along
    hessian[2, 2] += float(
        np.sum(-logs / variance + gone / whole + variance * gone * (gone - deaths) / whole**2)
    )
    hessian[1, 0], hessian[2, 0], hessian[2, 1] = hessian[0, 1], hessian[0, 2], hessian[1, 2]
    return -float(np.sum((deaths + 1 / variance) * logs))


def _add_hidden(cells, shape, height, gradient, hessian):
    """Terms log(2 sinh(D / 2)) of the interval_censored failures; their modules' terms are with the others."""
    rise = shape * np.where(np.isfinite(cells.hidden_lag), cells.hidden_lag, 0.0)
    part = np.where(np.isfinite(cells.hidden_lag), np.exp(rise + height), 0.0)
    gone, slope, bend = (np.subtract(*term) for term in (part, part * rise, part * rise * (1 + rise)))
    pull = cells.hidden_weight * 0.5 / np.tanh(gone / 2)
    steep = -cells.hidden_weight * 0.25 / np.sinh(gone / 2) ** 2
    gradient[:2] += pull @ slope, pull @ gone
    hessian[0, 0] += pull @ bend + steep @ slope**2
    hessian[1, 1] += pull @ gone + steep @ gone**2
    hessian[0, 1] += pull @ slope + steep @ (slope * gone)
    hessian[1, 0] = hessian[0, 1]
    return float(cells.hidden_weight @ np.log(2 * np.sinh(gone / 2)))
