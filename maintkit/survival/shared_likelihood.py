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

from maintkit.survival.weibull_likelihood import WeibullCells, cells_of, loglik_of, pattern_hazards


@dataclass(frozen=True)
class SharedCells(WeibullCells):
    """Spells summed up by module and age: ``deaths`` of each module, and ``more[j - 1]`` modules that have more than j of them."""

    deaths: np.ndarray
    more: np.ndarray


def shared_cells(rows, module, middle: float) -> SharedCells:
    """Checked spells and the number of the module of each, summed up."""
    ones = np.ones((int(module.max()) + 1, 1))
    failed = rows.event | rows.interval_censored
    deaths = np.bincount(module[failed], rows.weight[failed], minlength=len(ones))
    more = (deaths > np.arange(1, max(deaths.max(), 1))[:, None]).sum(axis=1).astype(float)
    cells = cells_of(rows, module, ones, np.zeros(1), middle, hidden_share=0.5)
    return SharedCells(**vars(cells), deaths=deaths, more=more)


@np.errstate(over="ignore", invalid="ignore", divide="ignore")
def shared_loglik(cells: SharedCells, theta):
    """Log-likelihood with its gradient (3,) and Hessian (3, 3)."""
    variance, hazards = np.exp(theta[2]), pattern_hazards(cells, theta[:2])
    gone, slope, _ = hazards
    whole, logs = 1 + variance * gone, np.log1p(variance * gone)
    pull = (1 + variance * cells.deaths) / whole

    def at_risk(_):
        return -(cells.deaths + 1 / variance) * logs, -pull, variance * pull / whole

    value, gradient, hessian = loglik_of(cells, theta[:2], hazards, at_risk, _found_failed)
    levels = variance * np.arange(1, len(cells.more) + 1)
    share = levels / (1 + levels)
    lean = variance * (gone - cells.deaths) / whole**2
    along = np.sum(logs / variance - pull * gone) + cells.more @ share
    bend = np.sum(gone / whole + gone * lean - logs / variance) + cells.more @ (share * (1 - share))
    cross = np.array([[lean @ slope], [lean @ gone]])
    return (
        value + cells.more @ np.log1p(levels),
        np.append(gradient, along),
        np.block([[hessian, cross], [cross.T, bend]]),
    )


def _found_failed(gone):
    """log(2 sinh(D / 2)) of a hidden failure, with its slope and curvature; the rest is with its module's."""
    return np.log(2 * np.sinh(gone / 2)), 0.5 / np.tanh(gone / 2), -0.25 / np.sinh(gone / 2) ** 2
