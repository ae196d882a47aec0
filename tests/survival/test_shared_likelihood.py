"""The likelihood of modules with a shared gamma factor, against the integral over the factor done numerically."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import gamma

from maintkit.survival.shared_likelihood import shared_cells, shared_loglik
from maintkit.survival.spell_rows import spell_rows
from maintkit.survival.weibull_likelihood import pattern_hazards, weibull_cells, weibull_loglik

MIDDLE = 1.5


def drawn(seed, rows=30, modules=6):
    generator = np.random.default_rng(seed)
    entry = generator.choice([0.0, 1.0, 2.5], rows)
    exit = entry + generator.uniform(0.2, 4.0, rows)
    event, interval_censored = generator.random(rows) < 0.5, np.zeros(rows, bool)
    interval_censored[np.flatnonzero(~event)[:3]] = True
    weight = np.where(event, 1, generator.integers(1, 5, rows)).astype(float)
    spells = spell_rows(entry, exit, event, weight, interval_censored)
    return spells, generator.permutation(np.arange(rows) % modules)


def by_integration(rows, module, theta):
    """Sum over modules of the log of the integral over z; interval_censored rows as 1 - exp(-z D), nothing approximated."""
    shape, height, variance = np.exp(theta[0]), theta[1], np.exp(theta[2])
    hazard = lambda age: np.exp(shape * (np.log(age) - MIDDLE) + height) if age > 0 else 0.0
    total = 0.0
    for number in np.unique(module):
        own = [
            (hazard(e), hazard(x), x, f, h, w)
            for e, x, f, h, w, m in zip(
                rows.entry, rows.exit, rows.event, rows.interval_censored, rows.weight, module, strict=True
            )
            if m == number
        ]

        def integrand(z, own=own):
            log = gamma.logpdf(z, 1 / variance, scale=variance)
            for at_entry, at_exit, age, failed, found, weight in own:
                gone = z * (at_exit - at_entry)
                log += weight * np.log(-np.expm1(-gone)) if found else -weight * gone
                log += weight * np.log(z * shape * at_exit / age) if failed else 0.0
            return np.exp(log)

        total += np.log(quad(integrand, 0, 30, epsabs=0, epsrel=1e-10, limit=400)[0])
    return total


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("theta", [(0.0, -1.0, -1.0), (0.7, -1.6, 0.3), (1.1, -2.0, -3.0)])
def test_it_is_the_integral_over_the_factor_where_no_failure_is_hidden(seed, theta):
    rows, module = drawn(seed)
    rows = replace(rows, interval_censored=np.zeros(len(module), bool))
    found = shared_loglik(shared_cells(rows, module, MIDDLE), np.array(theta))[0]
    assert found == pytest.approx(by_integration(rows, module, theta), abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_hidden_failures_are_off_the_integral_by_no_more_than_is_said(seed):
    # Off by (z^2 - 1) D^2 / 24 an interval-censored failure: with D about 0.3 and z near 1 a few thousandths of the log.
    rows, module = drawn(seed)
    theta = np.array([0.3, -1.8, -1.4])
    found = shared_loglik(shared_cells(rows, module, MIDDLE), theta)[0]
    assert found == pytest.approx(by_integration(rows, module, theta), abs=0.02)


def test_without_spread_it_is_the_plain_likelihood():
    rows, module = drawn(7)
    plain = weibull_cells(rows)
    theta = np.array([0.4, -1.2])
    found = shared_loglik(shared_cells(rows, module, plain.middle), np.append(theta, np.log(1e-7)))[0]
    assert found == pytest.approx(weibull_loglik(plain, theta)[0], abs=1e-4)


@pytest.mark.parametrize("theta", [(0.0, -1.0, -1.0), (0.7, -1.6, 0.3), (1.1, -2.0, -3.0)])
def test_slopes_and_curvature_are_those_of_small_steps(theta):
    cells = shared_cells(*drawn(3), MIDDLE)
    theta, step = np.array(theta), 1e-5
    _, gradient, hessian = shared_loglik(cells, theta)
    for number, way in enumerate(np.eye(3) * step):
        up, down = shared_loglik(cells, theta + way), shared_loglik(cells, theta - way)
        assert (up[0] - down[0]) / (2 * step) == pytest.approx(gradient[number], abs=1e-5)
        np.testing.assert_allclose((up[1] - down[1]) / (2 * step), hessian[number], atol=1e-5)


def test_stays_of_one_part_add_up_to_the_part():
    whole = spell_rows([1.0, 0.0], [6.0, 4.0], [True, False], [1.0, 3.0])
    cut = spell_rows(
        [1.0, 2.0, 5.0, 0.0], [2.0, 5.0, 6.0, 4.0], [False, False, True, False], [1.0, 1.0, 1.0, 3.0]
    )
    cells = [
        shared_cells(rows, np.array(module), MIDDLE)
        for rows, module in ((whole, [0, 1]), (cut, [0, 0, 0, 1]))
    ]
    theta = np.array([0.5, -1.0, -0.5])
    assert shared_loglik(cells[1], theta)[0] == pytest.approx(shared_loglik(cells[0], theta)[0])
    assert len(cells[0].net) == len(cells[1].net) == 3


def test_the_hazard_of_a_module_is_the_sum_over_its_parts():
    rows = spell_rows([1.0, 0.0], [4.0, 2.0], [False, False], [1.0, 3.0])
    cells = shared_cells(rows, np.array([0, 0]), 0.0)
    # Shape 2, height 0, middle 0: H(t) = t^2; (16 - 1) + 3 * 4 = 27.
    assert pattern_hazards(cells, np.array([np.log(2.0), 0.0]))[0] == pytest.approx([27.0])
