import re

import numpy as np
import pytest

from maintkit.survival.results import SpellError
from maintkit.survival.weibull import fit_weibull
from maintkit.survival.weibull_regression import weibull_regression


def covariates(seed, number=60):
    generator = np.random.default_rng(100 + seed)
    return np.column_stack([generator.integers(0, 2, number), generator.normal(40, 5, number)])


def minus_logpost(theta, spells, design, ridge_sd=None):
    shape, scale, b = np.exp(theta[0]), np.exp(theta[1]), theta[2:]
    ratio = np.exp(design @ b)
    gone = ratio * ((spells["exit"] / scale) ** shape - (spells["entry"] / scale) ** shape)
    seen = np.where(spells["interval_censored"], np.log(-np.expm1(-gone)), -gone)
    density = np.log(ratio * shape / scale * (spells["exit"] / scale) ** (shape - 1))
    prior = 0 if ridge_sd is None else 0.5 * b @ b / ridge_sd**2
    return -float(spells["weight"] @ (seen + spells["event"] * density)) + prior


@pytest.mark.parametrize(("seed", "ridge_sd"), [(0, None), (1, None), (2, 0.5), (3, 0.05)])
def test_the_top_and_its_curvature_by_differences(random_spells, seed, ridge_sd):
    spells, group = random_spells(seed)
    spells["interval_censored"] = ~spells["event"] & (group == 0)
    design = covariates(seed)
    fit = weibull_regression(design=design, ridge_sd=ridge_sd, **spells)
    theta = np.concatenate([[fit.log_shape, fit.log_scale], fit.coefficients])

    def value(theta):
        return minus_logpost(theta, spells, design, ridge_sd)

    steps = np.diag([1e-4, 1e-4, 1e-4, 1e-5])
    slope = [(value(theta + step) - value(theta - step)) / (2 * step.max()) for step in steps]
    np.testing.assert_allclose(slope, 0, atol=2e-4)
    curvature = [
        [
            (
                value(theta + one + other)
                - value(theta + one - other)
                - value(theta - one + other)
                + value(theta - one - other)
            )
            / (4 * one.max() * other.max())
            for other in steps
        ]
        for one in steps
    ]
    np.testing.assert_allclose(np.linalg.inv(curvature), fit.covariance, rtol=2e-2, atol=1e-6)
    prior = 0 if ridge_sd is None else 0.5 * fit.coefficients @ fit.coefficients / ridge_sd**2
    assert fit.loglik == pytest.approx(-value(theta) + prior, abs=1e-9)


def test_without_covariates_it_is_the_plain_fit(random_spells):
    spells, _ = random_spells(1)
    fit, life = weibull_regression(design=np.zeros((60, 0)), **spells), fit_weibull(**spells)
    assert fit.log_shape == pytest.approx(life.log_shape, abs=1e-12)
    np.testing.assert_allclose(fit.covariance, life.covariance, rtol=1e-9)
    assert (fit.names, fit.coefficients.shape, fit.hazard_ratios) == ((), (0,), ())
    assert (fit.failures, fit.exposure) == (life.failures, life.exposure)


def test_a_hidden_failure_brings_half_its_interval():
    fit = weibull_regression(
        [0, 0, 2, 0],
        [4, 6, 5, 7],
        [1, 0, 0, 0],
        [0, 1, 0, 1],
        weight=[1, 1, 2, 1],
        interval_censored=[0, 0, 1, 0],
    )
    assert (fit.failures, fit.exposure) == (3, 4 + 6 + 2 * 1.5 + 7)


def test_a_covariate_as_in_lifelines(random_spells):
    from lifelines import WeibullAFTFitter
    from pandas import DataFrame

    spells, _ = random_spells(4)
    frame = DataFrame({**spells, "x": covariates(4)[:, 0]})
    found = WeibullAFTFitter().fit(frame, "exit", "event", entry_col="entry", weights_col="weight")
    fit = weibull_regression(design=frame["x"].to_numpy(), **spells)
    log_shape = found.params_["rho_", "Intercept"]
    assert fit.log_shape == pytest.approx(log_shape, abs=1e-4)
    assert fit.coefficients[0] == pytest.approx(-found.params_["lambda_", "x"] * np.exp(log_shape), abs=1e-4)
    assert fit.loglik == pytest.approx(found.log_likelihood_, abs=1e-6)


def test_hazard_ratios_read_off_the_coefficients(random_spells):
    spells, _ = random_spells(2)
    fit = weibull_regression(design=covariates(2), names=["zone: middle", "air"], **spells)
    assert fit.names == ("zone: middle", "air")
    ratio = fit.hazard_ratios[1]
    spread = np.sqrt(fit.covariance[3, 3]) * 1.6448536269514722
    assert ratio.value == pytest.approx(np.exp(fit.coefficients[1]))
    assert (ratio.low, ratio.high) == pytest.approx(
        tuple(np.exp(fit.coefficients[1] + np.array([-spread, spread])))
    )


def test_cumulative_hazard_of_parts(random_spells):
    spells, _ = random_spells(2)
    fit = weibull_regression(design=covariates(2), **spells)
    ages, design = np.array([5.0, 9.0, -1.0]), np.array([[0, 40.0], [1, 45.0], [0, 0]])
    expected = (ages[:2] / np.exp(fit.log_scale)) ** np.exp(fit.log_shape) * np.exp(
        design[:2] @ fit.coefficients
    )
    np.testing.assert_allclose(fit.cumulative_hazard(ages, design), [*expected, 0])


def test_a_prior_draws_toward_no_effect(random_spells):
    spells, _ = random_spells(3)
    free, drawn = (
        weibull_regression(design=covariates(3)[:, :1], ridge_sd=sd, **spells) for sd in (None, 0.1)
    )
    assert 0 < abs(drawn.coefficients[0]) < 0.9 * abs(free.coefficients[0])
    assert drawn.covariance[2, 2] < 0.1**2


def test_with_fewer_than_5_failures_nothing():
    fit = weibull_regression([0] * 6, range(1, 7), [1] * 4 + [0] * 2, [0, 1] * 3)
    assert (
        fit.coefficients,
        fit.covariance,
        fit.log_shape,
        fit.log_scale,
        fit.loglik,
        fit.hazard_ratios,
    ) == (None,) * 5 + ((),)
    assert fit.note == "Only 4 failures: a shape takes at least 5, so the rate alone is given."
    assert (fit.failures, fit.exposure) == (4, 21)


def test_covariates_that_cannot_be_told_apart_are_named():
    design = np.column_stack([[0, 1] * 6, [0, 2] * 6, range(12)])
    fit = weibull_regression(
        [0] * 12, range(1, 13), [1] * 12, design, names=["coupling: dc", "desk: Curlew", "age"]
    )
    assert fit.note == "coupling: dc and desk: Curlew cannot be told apart in these data."
    assert fit.coefficients is None


def test_with_a_prior_they_share_what_they_have():
    design = np.column_stack([[0, 1] * 6, [0, 1] * 6])
    fit = weibull_regression([0] * 12, range(1, 13), [1] * 12, design, ridge_sd=0.5)
    assert fit.note == ""
    assert fit.coefficients[0] == pytest.approx(fit.coefficients[1])


def test_a_covariate_that_parts_failed_from_unfailed():
    fit = weibull_regression([0] * 12, range(1, 13), [1] * 6 + [0] * 6, [0] * 6 + [1] * 6)
    assert fit.coefficients is None
    assert fit.note == (
        "The likelihood has no top: a covariate parts those that failed from those that did not, or "
        "the shape runs off."
    )


def test_with_a_prior_it_does_not():
    fit = weibull_regression([0] * 12, range(1, 13), [1] * 6 + [0] * 6, [0] * 6 + [1] * 6, ridge_sd=0.5)
    assert -2 < fit.coefficients[0] < 0


def test_rows_of_no_weight_are_left_out_with_their_covariates():
    spells = dict(
        entry=[0] * 9, exit=[3, 4, 5, 6, 8, 9, 2, 7, 5], event=[1] * 9, design=[0, 1, 0, 1, 1, 0, 1, 0, 0]
    )
    with_it = weibull_regression(**spells, weight=[0] + [1] * 8)
    without = weibull_regression(**{name: column[1:] for name, column in spells.items()})
    assert with_it.coefficients[0] == pytest.approx(without.coefficients[0], abs=1e-10)


def test_weight_of_another_length_is_refused():
    message = "The columns must have the same number of rows; found entry 2, exit 2, event 2, weight 3."
    with pytest.raises(SpellError, match=f"^{re.escape(message)}$"):
        weibull_regression([0, 0], [1, 2], [1, 1], [0, 1], weight=[1, 1, 1])
