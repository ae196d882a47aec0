"""Cox's partial likelihood for spells (entry, exit], with strata and ties, and its residuals.

At a failure time t of a stratum with d tied failures, the i-th of them (i = 0 ... d - 1) is drawn from a risk sum
S0 - f D0, where S0 sums exp(x @ b) over all at risk, D0 over those failing, and f = i / d (Efron) or 0 (Breslow).
Source: Therneau & Grambsch (2000), Modeling Survival Data, section 3.3.
"""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.blocks import distinct
from maintkit.survival.results import SpellError


@dataclass(frozen=True)
class RiskSets:
    """Spells of every stratum lined up: failure times numbered stratum after stratum, age by age.

    A spell is at risk at the times ``first_time`` up to, not including, ``last_time``. ``died`` are the rows that
    failed and ``died_at`` the number of their failure time; ``term_time`` and ``term_share`` list the tied failures
    one by one; ``age`` is the age at each failure time.
    """

    design: np.ndarray
    weight: np.ndarray
    first_time: np.ndarray
    last_time: np.ndarray
    died: np.ndarray
    died_at: np.ndarray
    term_time: np.ndarray
    term_share: np.ndarray
    age: np.ndarray


def risk_sets(rows, design, stratum, ties) -> RiskSets:
    """Checked spells, covariates (n, p) and stratum numbers (n,), lined up; ``ties`` is "efron" or "breslow"."""
    if ties not in ("efron", "breslow"):
        raise SpellError(f"ties must be 'efron' or 'breslow'; found '{ties}'.")
    if np.any(rows.weight != np.round(rows.weight)):
        row = int(np.argmax(rows.weight != np.round(rows.weight)))
        raise SpellError(
            f"weight, row {row + 1}: found '{rows.weight[row]:g}'. A weight is a whole number of parts."
        )
    ages = distinct(np.concatenate([rows.entry, rows.exit]))
    entry_key = stratum * len(ages) + np.searchsorted(ages, rows.entry)
    exit_key = stratum * len(ages) + np.searchsorted(ages, rows.exit)
    died = np.flatnonzero(rows.event)
    time, died_at = np.unique(exit_key[died], return_inverse=True)
    tied = np.bincount(died_at, rows.weight[died], minlength=len(time)).astype(int)
    term_time = np.repeat(np.arange(len(time)), tied)
    place = np.arange(len(term_time)) - np.repeat(np.cumsum(tied) - tied, tied)
    share = place / tied[term_time] if ties == "efron" else np.zeros(len(term_time))
    first, last = (
        np.searchsorted(time, entry_key, side="right"),
        np.searchsorted(time, exit_key, side="right"),
    )
    return RiskSets(design, rows.weight, first, last, died, died_at, term_time, share, ages[time % len(ages)])


@dataclass(frozen=True)
class RiskSums:
    """The sums at one vector of coefficients: relative risks (n,), denominators and means of each tied failure."""

    risk: np.ndarray
    denominator: np.ndarray
    mean: np.ndarray
    per_time: np.ndarray
    shared: np.ndarray


def risk_sums(sets: RiskSets, b) -> RiskSums:
    """Risk sums at the coefficients ``b``."""
    risk = sets.weight * np.exp(sets.design @ b)
    moved = risk[:, None] * np.column_stack([np.ones(len(risk)), sets.design])
    times = len(sets.age)
    joined, left = _summed(moved, sets.first_time, times + 1), _summed(moved, sets.last_time, times + 1)
    at_risk = np.cumsum(joined - left, axis=0)[:-1]
    dying = _summed(moved[sets.died], sets.died_at, times)
    terms = at_risk[sets.term_time] - sets.term_share[:, None] * dying[sets.term_time]
    denominator = terms[:, 0]
    per_time = np.bincount(sets.term_time, 1 / denominator, minlength=times)
    shared = np.bincount(sets.term_time, sets.term_share / denominator, minlength=times)
    return RiskSums(risk, denominator, terms[:, 1:] / denominator[:, None], per_time, shared)


def partial_loglik(sets: RiskSets, b):
    """Log partial likelihood with its gradient (p,) and Hessian (p, p)."""
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        sums = risk_sums(sets, b)
        failed = sets.weight[sets.died] @ sets.design[sets.died]
        value = failed @ b - np.log(sums.denominator).sum()
        gradient = failed - sums.mean.sum(axis=0)
        spread = sums.risk * _between(sets, sums.per_time)
        hessian = sums.mean.T @ sums.mean - (sets.design * spread[:, None]).T @ sets.design
        own = (sums.risk[sets.died] * sums.shared[sets.died_at])[:, None] * sets.design[sets.died]
        hessian += own.T @ sets.design[sets.died]
    return (float(value) if np.isfinite(value) else -np.inf), gradient, hessian


def score_residuals(sets: RiskSets, b) -> np.ndarray:
    """What each spell adds to the gradient, shape (n, p); the rows sum to the gradient."""
    sums = risk_sums(sets, b)
    tilted = _sum_terms(sets, sums.mean / sums.denominator[:, None])
    residual = -sums.risk[:, None] * (
        sets.design * _between(sets, sums.per_time)[:, None] - _between(sets, tilted)
    )
    died, at = sets.died, sets.died_at
    own = sums.risk[died, None] * (
        sets.design[died] * sums.shared[at, None]
        - _sum_terms(sets, sums.mean * (sets.term_share / sums.denominator)[:, None])[at]
    )
    residual[died] += sets.weight[died, None] * (sets.design[died] - _mean_at(sets, sums)[at]) + own
    return residual


def schoenfeld_residuals(sets: RiskSets, b) -> np.ndarray:
    """Covariates of each failure less their mean among those at risk, shape (failed rows, p), for one part each."""
    return sets.design[sets.died] - _mean_at(sets, risk_sums(sets, b))[sets.died_at]


def _mean_at(sets, sums):
    tied = np.bincount(sets.term_time, minlength=len(sets.age))
    return _sum_terms(sets, sums.mean) / tied[:, None]


def _sum_terms(sets, values):
    return _summed(values, sets.term_time, len(sets.age))


def _summed(values, place, places):
    """Sum of the rows of each place, shape (places, columns)."""
    return np.column_stack([np.bincount(place, column, minlength=places) for column in values.T])


def _between(sets, values):
    """Sum over the failure times in (entry, exit] of each spell."""
    sums = np.concatenate([np.zeros((1, *values.shape[1:])), np.cumsum(values, axis=0)])
    return sums[sets.last_time] - sums[sets.first_time]
