import numpy as np
import pytest
from scipy.optimize import brentq, minimize
from scipy.special import gammaln
from scipy.stats import burr12, chi2

from maintkit.survival.results import SpellError
from maintkit.survival.shared_frailty import _without_spread_moving, fit_weibull_shared
from maintkit.survival.weibull import fit_weibull
from maintkit.survival.weibull_profile import quantity_of


def drawn(seed, modules=60, parts=8, shape=2.0, scale=10.0, variance=0.5, until=9.0):
    """Parts of modules with a gamma factor, entered at ages up to 4, cut short at ``until``."""
    generator = np.random.default_rng(seed)
    module = np.repeat(np.arange(modules), parts)
    factor = (generator.gamma(1 / variance, variance, modules) if variance else np.ones(modules))[module]
    entry = generator.uniform(0, 4, len(module))
    life = scale * ((entry / scale) ** shape + generator.standard_exponential(len(module)) / factor) ** (
        1 / shape
    )
    return entry, np.minimum(life, until), life < until, module


def slow_loglik(spells, shape, scale, variance):
    """Module by module from the formula; nothing shared with the code under test."""
    entry, exit, event, module = spells
    total = 0.0
    for number in np.unique(module):
        own = module == number
        deaths, k = event[own].sum(), 1 / variance
        gone = ((exit[own] / scale) ** shape - (entry[own] / scale) ** shape).sum()
        at = exit[own & event]
        total += gammaln(k + deaths) - gammaln(k) + k * np.log(k) - (k + deaths) * np.log(k + gone)
        total += np.sum(np.log(shape / scale) + (shape - 1) * np.log(at / scale))
    return total


def slow_top(spells, fixed=None):
    """The top of the slow likelihood; ``fixed(free)`` turns two free numbers into shape, scale, variance."""
    turn = fixed or (lambda x: np.exp(x))
    start = [0.5, -0.5] if fixed else [0.5, 2.0, -0.5]
    return minimize(
        lambda x: -slow_loglik(spells, *turn(x)),
        start,
        method="Nelder-Mead",
        options={"xatol": 1e-7, "fatol": 1e-10, "maxiter": 4000},
    )


def test_fit_and_limits_against_a_slow_likelihood_profiled_by_another_optimiser():
    spells = drawn(4, modules=25, parts=6)
    life = fit_weibull_shared(*spells)
    best = slow_top(spells)
    shape, scale, variance = np.exp(best.x)
    assert life.spread > 0.3
    assert (life.shape.value, np.exp(life.log_scale), life.spread**2) == pytest.approx(
        (shape, scale, variance), rel=1e-4
    )
    assert life.loglik == pytest.approx(-best.fun, abs=1e-7)

    def shape_drop(log_shape):
        held = slow_top(spells, lambda x: (np.exp(log_shape), np.exp(2 + x[0]), np.exp(x[1])))
        return 2 * (held.fun - best.fun) - chi2.ppf(0.90, 1)

    def b10_drop(log_age):
        def fixed(x):
            shape, variance = np.exp(x)
            away = (0.9**-variance - 1) / variance
            return shape, np.exp(log_age) / away ** (1 / shape), variance

        return 2 * (slow_top(spells, fixed).fun - best.fun) - chi2.ppf(0.90, 1)

    for estimate, drop in ((life.shape, shape_drop), (life.b10, b10_drop)):
        middle = np.log(estimate.value)
        assert estimate.low == pytest.approx(np.exp(brentq(drop, middle - 1.2, middle, xtol=1e-6)), rel=1e-3)
        assert estimate.high == pytest.approx(np.exp(brentq(drop, middle, middle + 1.2, xtol=1e-6)), rel=1e-3)


def test_one_part_a_module_is_a_burr_distribution_in_scipy():
    # With every part its own module the lives of the population are Burr XII (Takahasi 1965, Annals of the Institute of
    # Statistical Mathematics 17, 257-260, from memory): c = shape, d = 1 / v, scale = scale * v^(-1 / shape).
    life = burr12.rvs(2.5, 1.4, scale=8.0, size=400, random_state=np.random.default_rng(1))
    fit = fit_weibull_shared(np.zeros(400), life, np.ones(400, bool), np.arange(400))
    law = burr12(
        fit.shape.value, fit.spread**-2, scale=np.exp(fit.log_scale) * fit.spread ** (-2 / fit.shape.value)
    )
    assert fit.loglik == pytest.approx(law.logpdf(life).sum(), abs=1e-6)
    for away in (0.97, 1.03):
        assert (
            burr12(fit.shape.value * away, fit.spread**-2, scale=law.kwds["scale"]).logpdf(life).sum()
            < fit.loglik
        )
    assert fit.b10.value == pytest.approx(law.ppf(0.1))
    assert fit.median.value == pytest.approx(law.median())
    assert fit.survival(5.0) == pytest.approx(law.sf(5.0))


def test_p_of_no_spread_is_half_the_tail_of_twice_the_gain():
    spells = drawn(2, variance=0.2)
    shared, plain = fit_weibull_shared(*spells), fit_weibull(*spells[:3])
    gain = 2 * (shared.loglik - plain.loglik)
    assert 0 < gain < 20
    assert shared.p_no_spread == pytest.approx(0.5 * chi2.sf(gain, 1))


@pytest.mark.parametrize("hazard", [0.1, 1.0])
def test_slopes_of_an_age_of_the_population_are_those_of_small_steps(hazard):
    quantity, theta, step = quantity_of(2.0, hazard), np.array([0.6, -1.2, -0.4]), 1e-5
    value, slope, bend = quantity(theta)
    # By hand: (1 + v H)^(-1 / v) = exp(-hazard), H = exp(shape (log age - 2) + height).
    gone = np.exp(np.exp(0.6) * (value - 2.0) - 1.2)
    assert np.log1p(np.exp(-0.4) * gone) / np.exp(-0.4) == pytest.approx(hazard)
    for number, way in enumerate(np.eye(3) * step):
        up, down = quantity(theta + way), quantity(theta - way)
        assert (up[0] - down[0]) / (2 * step) == pytest.approx(slope[number], abs=1e-8)
        np.testing.assert_allclose((up[1] - down[1]) / (2 * step), bend[number], atol=1e-8)


def test_where_the_spread_cannot_be_moved_along_limits_lie_just_inside_the_profile(monkeypatch):
    spells = drawn(5, modules=30, parts=20, variance=1.0)
    whole = fit_weibull_shared(*spells)
    monkeypatch.setattr("maintkit.survival.shared_frailty.profile_point", lambda *about: None)
    held = fit_weibull_shared(*spells)
    for full, inner in ((whole.shape, held.shape), (whole.median, held.median), (whole.b10, held.b10)):
        assert full.low - 1e-6 <= inner.low < inner.value < inner.high <= full.high + 1e-6
        assert np.log(inner.high / inner.low) > 0.8 * np.log(full.high / full.low)


def test_of_the_two_ways_to_hold_the_spread_the_wider_counts(monkeypatch):
    ages = iter([2.0, 3.0, 2.0, 3.0])
    monkeypatch.setattr("maintkit.survival.shared_frailty.limit_held", lambda *about: next(ages))
    top = np.zeros(3), 0.0, np.zeros(3), np.eye(3)
    found = None, top, None, (np.zeros(2), -0.5)
    cells = type("Cells", (), {"middle": 0.0})()
    assert _without_spread_moving((cells, *found[1:]), None, -1.35, 1.0) == 3.0
    assert _without_spread_moving((cells, *found[1:]), None, -1.35, -1.0) == 2.0


def test_the_truth_is_found_again_where_the_plain_fit_misses_the_shape():
    spells = drawn(11, modules=1500, parts=8, shape=3.0, variance=0.8, until=12.0)
    shared, plain = fit_weibull_shared(*spells), fit_weibull(*spells[:3])
    assert shared.shape.value == pytest.approx(3.0, rel=0.03)
    assert shared.spread == pytest.approx(0.8**0.5, rel=0.06)
    assert plain.shape.value < 2.7
    assert shared.p_no_spread < 1e-6


def test_modules_alike_get_the_plain_life():
    seed = next(seed for seed in range(20) if fit_weibull_shared(*drawn(seed, variance=0)).spread == 0)
    spells = drawn(seed, variance=0)
    shared, plain = fit_weibull_shared(*spells), fit_weibull(*spells[:3])
    assert (shared.shape, shared.b10, shared.loglik) == (plain.shape, plain.b10, plain.loglik)
    assert (shared.p_no_spread, shared.modules) == (1.0, 60)
    assert shared.survival(6.0) == plain.survival(6.0)


def test_with_many_parts_a_module_the_limits_are_wider_than_if_parts_were_independent():
    spells = drawn(5, modules=30, parts=60, variance=1.0)
    shared, plain = fit_weibull_shared(*spells), fit_weibull(*spells[:3])
    assert np.log(shared.median.high / shared.median.low) > 1.5 * np.log(plain.median.high / plain.median.low)


def test_b10_is_that_of_all_modules_together():
    # Of all modules a tenth has failed when (1 + v H)^(-1 / v) = 0.9; with v = 1 at 10 (1 / 0.9 - 1)^0.5 = 3.33.
    found = [fit_weibull_shared(*drawn(seed, variance=1.0)).b10.value for seed in range(8)]
    assert np.mean(np.log(found)) == pytest.approx(np.log(10 / 3), abs=0.05)


def test_a_weight_is_that_many_rows():
    entry, exit, event, module = drawn(6)
    weight = np.where(event, 1, 3)
    repeated = [np.repeat(column, weight) for column in (entry, exit, event, module)]
    weighted, rows = (
        fit_weibull_shared(entry, exit, event, module, weight=weight),
        fit_weibull_shared(*repeated),
    )
    assert weighted.spread > 0
    assert weighted.shape.high == pytest.approx(rows.shape.high, rel=1e-6)
    assert weighted.b10.low == pytest.approx(rows.b10.low, rel=1e-6)


def test_hidden_failures_count_as_failures_of_their_module():
    entry, exit, event, module = drawn(8)
    interval_censored = ~event & (np.arange(len(event)) % 9 == 0)
    life = fit_weibull_shared(entry, exit, event, module, interval_censored=interval_censored)
    assert life.failures == event.sum() + interval_censored.sum()
    assert life.shape.low < life.shape.value < life.shape.high
    assert f"{interval_censored.sum()} of the failures were found by planned work" in life.rate.note


def test_four_failures_get_the_rate_alone():
    life = fit_weibull_shared([0] * 6, [1, 2, 3, 4, 5, 6], [True] * 4 + [False] * 2, list("aabbcc"))
    assert life.shape is None and life.b10 is None
    assert life.note == "Only 4 failures: a shape takes at least 5, so the rate alone is given."
    assert life.rate.value == pytest.approx(4 / 21)


def test_names_of_modules_and_rows_of_weight_0_do_not_matter():
    entry, exit, event, module = drawn(9)
    names = np.array([f"M{number}" for number in module], object)
    weight = np.ones(len(entry))
    weight[:5] = 0
    life = fit_weibull_shared(entry, exit, event, names, weight=weight)
    same = fit_weibull_shared(entry[5:], exit[5:], event[5:], module[5:])
    assert (life.shape.value, life.shape.low) == pytest.approx((same.shape.value, same.shape.low), rel=1e-6)
    assert life.modules == same.modules


def test_a_module_is_asked_for_every_row():
    with pytest.raises(
        SpellError, match="^The columns must have the same number of rows; found exit 2, cluster 1.$"
    ):
        fit_weibull_shared([0, 0], [1, 2], [True, True], ["a"])


def test_only_what_is_asked_for_gets_limits():
    spells = drawn(5, modules=30, parts=60, variance=1.0)
    whole, some = fit_weibull_shared(*spells), fit_weibull_shared(*spells, limited=("shape",))
    assert some.spread > 0
    assert some.shape == whole.shape
    assert (some.b10.value, some.b10.low, some.b10.high) == (whole.b10.value, None, None)
