import numpy as np
import pytest
from scipy import integrate, stats

from maintkit.survival.results import SpellError
from maintkit.survival.shared_rates import PRIOR_SD, _Rows, fit_shared_rates


def rows(seed=3):
    generator = np.random.default_rng(seed)
    code = np.repeat(np.arange(4), 3)
    design = np.column_stack([np.ones(12), generator.integers(0, 2, 12), generator.normal(size=12)])
    return _Rows(
        generator.poisson(2.0, 12).astype(float),
        np.log(generator.uniform(0.5, 3, 12)),
        design,
        code,
        np.arange(0, 12, 3),
    )


@pytest.mark.parametrize("variance", [0.0, 0.4, 2.0])
def test_the_likelihood_is_that_of_poisson_faults_with_the_factor_integrated_out(variance):
    # Up to the log factorials of the counts and the prior, which are added here.
    given, theta = rows(), np.array([-0.2, 0.5, 0.3])
    mean = np.exp(given.log_exposure + given.design @ theta)

    def together(factor, module):
        own = given.code == module
        chance = stats.poisson.pmf(given.events[own], factor * mean[own]).prod()
        return chance * stats.gamma(1 / variance, scale=variance).pdf(factor)

    if variance:
        slow = sum(
            np.log(integrate.quad(together, 0, 60, args=(m,), epsabs=1e-14, limit=200)[0]) for m in range(4)
        )
    else:
        slow = stats.poisson.logpmf(given.events, mean).sum()
    from scipy.special import gammaln

    prior = -(theta[1:] @ theta[1:]) / 2 / PRIOR_SD**2
    value = given.loglik(theta, variance)[0] + given.constant(variance) - gammaln(given.events + 1).sum()
    assert value == pytest.approx(slow + prior, abs=1e-6)


@pytest.mark.parametrize("variance", [0.0, 0.7])
def test_slopes_and_curvature_are_those_of_the_likelihood(variance):
    given, theta = rows(), np.array([0.1, -0.4, 0.2])
    _, gradient, hessian = given.loglik(theta, variance)
    for number in range(3):
        step = np.eye(3)[number] * 1e-5
        up, down = given.loglik(theta + step, variance), given.loglik(theta - step, variance)
        assert gradient[number] == pytest.approx((up[0] - down[0]) / 2e-5, rel=1e-5, abs=1e-6)
        np.testing.assert_allclose(hessian[number], (up[1] - down[1]) / 2e-5, rtol=1e-5, atol=1e-6)


def test_alike_modules_give_the_plain_ratio_of_rates():
    # 30 modules with 3 faults in 1 year, 30 with 2 in 1 year: 1.5 times, 90 faults against 60.
    found = fit_shared_rates([3] * 30 + [2] * 30, np.ones(60), np.repeat([1, 0], 30), np.arange(60))
    assert found.ratio().value == pytest.approx(1.5, rel=0.01)
    assert found.variance < 0.1
    assert (found.events, found.exposure) == (150, 60)
    # without the first covariate the 30 modules would have had as many as the others
    assert found.expected == pytest.approx(60, rel=0.02)


def worst_first(generator, ratio, variance=0.45):
    """120 modules over six years; from the third on, the 12 worst of the year before not yet treated are treated."""
    factor, treated = generator.gamma(1 / variance, variance, 120), np.zeros((120, 6), bool)
    faults = np.zeros((120, 6))
    for year in range(6):
        if year >= 2:
            treated[:, year] = treated[:, year - 1]
            rank = np.where(treated[:, year], -1, faults[:, year - 1] + generator.random(120) / 2)
            treated[np.argsort(-rank)[:12], year] = True
        faults[:, year] = generator.poisson(factor * 0.4 * np.where(treated[:, year], ratio, 1.0))
    return faults, treated


@pytest.mark.parametrize("ratio", [1.0, 0.5])
def test_work_on_the_worst_first_is_judged_by_what_it_does(ratio):
    # Set against all others over the same years, useless work on the worst looks harmful, and good work useless.
    generator, found, raw, held = np.random.default_rng(11), [], [], 0
    for _ in range(60):
        faults, treated = worst_first(generator, ratio)
        years = np.tile(np.arange(6), 120)[:, None] == np.arange(1, 6)
        fit = fit_shared_rates(
            faults.ravel(),
            np.ones(720),
            np.column_stack([treated.ravel(), years]),
            np.repeat(np.arange(120), 6),
        )
        estimate = fit.ratio()
        held += estimate.low <= ratio <= estimate.high
        found.append(np.log(estimate.value))
        raw.append(np.log(faults[treated].mean() / faults[:, 2:][~treated[:, 2:]].mean()))
    assert np.mean(found) == pytest.approx(np.log(ratio), abs=3 * 0.22 / np.sqrt(60))
    assert np.mean(raw) - np.log(ratio) > 0.3
    assert held >= 48  # 90 % limits: 54 of 60 on average, and 48 with a chance of 0.01 or less of fewer


def test_without_a_fault_there_is_no_ratio():
    with pytest.raises(SpellError, match="needs time at risk with at least one fault in it"):
        fit_shared_rates([0, 0], [1.0, 2.0], [1, 0], ["a", "b"])
    with pytest.raises(SpellError, match="needs time at risk"):
        fit_shared_rates([1, 0], [0.0, 2.0], [1, 0], ["a", "b"])
