"""The likelihood against one written out row by row, and its slopes against differences."""

from math import exp, expm1, log

import numpy as np
import pytest

from maintkit.survival.spell_rows import spell_rows
from maintkit.survival.weibull_likelihood import (
    constant_rate_start,
    distinct_rows,
    ran_off,
    shape_and_scale,
    weibull_cells,
    weibull_loglik,
)


def random_case(seed, number=40):
    generator = np.random.default_rng(seed)
    entry = np.round(generator.integers(0, 2, number) * generator.uniform(0, 8, number), 1)
    exit = np.round(entry + generator.uniform(0.5, 9, number), 1)
    kind = generator.integers(0, 3, number)
    design = np.column_stack([generator.integers(0, 2, number), generator.integers(0, 3, number)]).astype(
        float
    )
    return entry, exit, kind == 1, kind == 2, generator.integers(1, 4, number).astype(float), design


def row_by_row(case, log_shape, log_scale, b):
    """Sum over rows of weight times log of what was seen."""
    shape, scale = exp(log_shape), exp(log_scale)
    total = 0.0
    for entry, exit, event, interval_censored, weight, x in zip(*case, strict=True):
        ratio = exp(float(x @ b))
        gone = ratio * ((exit / scale) ** shape - (entry / scale) ** shape)
        seen = log(-expm1(-gone)) if interval_censored else -gone
        if event:
            seen += log(ratio * shape / scale * (exit / scale) ** (shape - 1))
        total += weight * seen
    return total


@pytest.fixture(params=range(4))
def case(request):
    return random_case(request.param)


def cells_of(case, prior_sd=None):
    entry, exit, event, interval_censored, weight, design = case
    return weibull_cells(spell_rows(entry, exit, event, weight, interval_censored), design, prior_sd)


def test_value_row_by_row(case):
    cells = cells_of(case)
    b = np.array([0.4, -0.3])
    height = (cells.middle - 2.0) * exp(0.3)  # log scale 2
    assert weibull_loglik(cells, np.array([0.3, height, *b]))[0] == pytest.approx(
        row_by_row(case, 0.3, 2.0, b), rel=1e-12
    )


def test_gradient_and_hessian_by_differences(case):
    cells = cells_of(case, np.array([0.5, 2.0]))
    theta, step = np.array([0.2, -1.0, 0.4, -0.3]), 1e-5
    _, gradient, hessian = weibull_loglik(cells, theta)
    for place in range(4):
        up, down = (weibull_loglik(cells, theta + side * step * np.eye(4)[place]) for side in (1, -1))
        assert gradient[place] == pytest.approx((up[0] - down[0]) / (2 * step), rel=1e-6, abs=1e-6)
        np.testing.assert_allclose(hessian[place], (up[1] - down[1]) / (2 * step), rtol=1e-6, atol=1e-6)


def test_a_prior_draws_the_coefficients_but_not_the_height(case):
    theta = np.array([0.2, -1.0, 0.4, -0.3])
    with_prior, without = (
        weibull_loglik(cells_of(case, np.array([0.5, 2.0])), theta),
        weibull_loglik(cells_of(case), theta),
    )
    assert with_prior[0] - without[0] == pytest.approx(-0.5 * (0.4 / 0.5) ** 2 - 0.5 * (0.3 / 2) ** 2)


def test_spells_that_touch_count_once():
    once = weibull_cells(spell_rows([0], [9], [1]))
    split = weibull_cells(spell_rows([0, 4, 6], [4, 6, 9], [0, 0, 1]))
    assert split.log_age.tolist() == once.log_age.tolist() == [np.log(9)]
    assert split.net.tolist() == once.net.tolist() == [1]


def test_many_ages_and_patterns_sum_as_few_do():
    generator = np.random.default_rng(0)
    exit, design = generator.uniform(1, 9, 900), generator.uniform(0, 1, (900, 1))
    cells = weibull_cells(spell_rows(np.zeros(900), exit, np.arange(900) % 2), design)
    order = np.lexsort((cells.pattern, cells.log_age))
    np.testing.assert_allclose(np.exp(cells.log_age[order]), np.sort(exit))
    assert len(cells.design) == 900
    assert cells.failure_weight.sum() == 450


def test_distinct_rows():
    design = np.array([[1.0, 2], [0, 1], [1, 2], [0, 0]])
    distinct, number = distinct_rows(design)
    assert len(distinct) == 3
    assert np.array_equal(distinct[number], design)
    assert distinct_rows(np.zeros((3, 0)))[1].tolist() == [0, 0, 0]


def test_distinct_rows_whose_keys_fall_together(monkeypatch):
    class Ones:
        def uniform(self, low, high, size):
            return np.ones(size)

    monkeypatch.setattr(np.random, "default_rng", lambda seed: Ones())
    design = np.array([[1.0, 2], [2, 1], [1, 2]])
    distinct, number = distinct_rows(design)
    assert len(distinct) == 2
    assert np.array_equal(distinct[number], design)


def test_the_middle_is_the_mean_log_age_of_the_failures():
    cells = weibull_cells(spell_rows([0, 1, 0], [4, 9, 99], [1, 0, 0], [1, 3, 1], [False, True, False]))
    assert cells.middle == pytest.approx((np.log(4) + 3 * np.log(9)) / 4)


def test_start_at_a_constant_rate():
    cells = weibull_cells(spell_rows([0, 1], [4, 9], [1, 1]))
    start = constant_rate_start(cells, 2, 12)
    assert start[0] == 0
    assert shape_and_scale(cells, start, -np.eye(2))[0][1] == pytest.approx(np.log(6))


def test_covariance_of_shape_and_scale_by_differences(case):
    cells = cells_of(case)
    theta = np.array([0.2, -1.0, 0.4, -0.3])
    hessian = -np.diag([4.0, 5, 6, 7]) + 0.5
    moved, covariance = shape_and_scale(cells, theta, hessian)

    def scales(t):
        return np.array([t[0], cells.middle - t[1] / np.exp(t[0]), t[2], t[3]])

    turn = np.column_stack([(scales(theta + 1e-6 * e) - scales(theta - 1e-6 * e)) / 2e-6 for e in np.eye(4)])
    np.testing.assert_allclose(moved, scales(theta))
    np.testing.assert_allclose(covariance, turn @ np.linalg.inv(-hessian) @ turn.T, rtol=1e-6)


@pytest.mark.parametrize(
    ("log_shape", "curvature", "off"),
    [
        (0.0, 1.0, False),
        (np.log(0.019), 1.0, True),
        (np.log(0.021), 1.0, False),
        (np.log(201), 1.0, True),
        (np.log(199), 1.0, False),
        (0.0, 0.9e-4, True),
        (0.0, 1.1e-4, False),
        (0.0, -1.0, True),
    ],
)
def test_a_fit_that_ran_off(log_shape, curvature, off):
    assert ran_off(np.array([log_shape, 0.0]), -np.diag([1.0, curvature])) is off
