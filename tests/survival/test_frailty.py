"""Spread between modules, shrunken factors, predicted counts and credibility."""

import numpy as np
import pytest
from scipy import stats

from maintkit.survival.credibility import credibility
from maintkit.survival.frailty import gamma_poisson
from maintkit.survival.results import SpellError

COUNTS_WRONG = "Counts are whole numbers from 0 up and expected numbers are 0 or more; one of these is not."
NO_OBSERVATIONS = (
    "Credibility needs observations: numbers of 0 or more, not all 0, and a mean wherever there are some."
)


def simulated(seed, shape=1.5, modules=60):
    generator = np.random.default_rng(seed)
    expected = generator.uniform(0.2, 4, modules)
    return generator.poisson(0.7 * generator.gamma(shape, 1 / shape, modules) * expected), expected


def profile(counts, expected, shape, scale):
    """Log likelihood by scipy's negative binomial, written apart from the estimator."""
    return stats.nbinom.logpmf(counts, shape, shape / (shape + scale * np.asarray(expected))).sum()


@pytest.mark.parametrize("seed", range(5))
def test_gamma_poisson_agrees_with_statsmodels_negative_binomial(seed):
    import statsmodels.api as sm

    counts, expected = simulated(seed)
    fit = sm.NegativeBinomial(counts, np.ones(len(counts)), exposure=expected).fit(
        disp=0, method="bfgs", gtol=1e-8
    )
    found = gamma_poisson(counts, expected)
    assert found.loglik == pytest.approx(fit.llf, abs=1e-6)
    assert found.shape == pytest.approx(1 / fit.params[1], rel=1e-3)
    assert found.scale == pytest.approx(np.exp(fit.params[0]), rel=1e-3)
    poisson = stats.poisson.logpmf(counts, counts.sum() / expected.sum() * expected).sum()
    assert found.p_no_spread == pytest.approx(stats.chi2.sf(2 * (fit.llf - poisson), 1) / 2, rel=1e-3)


@pytest.mark.parametrize("seed", range(5))
def test_no_nearby_shape_or_scale_is_likelier(seed):
    counts, expected = simulated(seed)
    found = gamma_poisson(counts, expected)
    assert found.loglik == pytest.approx(profile(counts, expected, found.shape, found.scale), abs=1e-9)
    for shape, scale in ((1.02, 1), (0.98, 1), (1, 1.02), (1, 0.98)):
        assert profile(counts, expected, found.shape * shape, found.scale * scale) < found.loglik - 1e-6


def test_factors_are_gamma_quantiles_given_the_count():
    counts, expected = simulated(1)
    found = gamma_poisson(counts, expected, level=0.80)
    a, b = found.shape + counts, found.shape / found.scale + expected
    np.testing.assert_allclose(found.posterior_mean, a / b)
    np.testing.assert_allclose(found.low, stats.gamma.ppf(0.1, a, scale=1 / b))
    np.testing.assert_allclose(found.high, stats.gamma.ppf(0.9, a, scale=1 / b))
    assert found.note == "The limits take the spread as known, so they are somewhat too narrow."


def test_one_bad_quarter_shrinks_toward_what_its_parts_predict():
    counts, expected = [6, 1, 0, 2, 1, 0, 3, 1, 0, 2], np.ones(10)
    factors = gamma_poisson(counts, expected).posterior_mean
    assert 1.6 < factors[0] < 6
    assert factors[2] > 0


def test_spread_no_wider_than_chance_gives_every_module_the_pooled_factor():
    found = gamma_poisson([1, 1, 1, 1, 1, 1], [1.0] * 6, level=0.90)
    assert np.isinf(found.shape) and found.p_no_spread == 1.0 and found.scale == 1.0
    np.testing.assert_allclose(found.posterior_mean, 1.0)
    np.testing.assert_allclose(found.low * 6, stats.chi2.ppf(0.05, 12) / 2)
    np.testing.assert_allclose(found.high * 6, stats.chi2.ppf(0.95, 14) / 2)
    assert found.loglik == pytest.approx(-6.0)
    assert str(found) == (
        "6 modules, 6 events, 6 expected: no more spread than chance (p of no spread 1). "
        "The modules differ no more than chance would have them: every one gets the pooled factor."
    )


def test_no_event_at_all_still_has_an_upper_limit():
    found = gamma_poisson([0, 0, 0], [1.0, 2.0, 3.0])
    np.testing.assert_allclose(found.posterior_mean, 0.0)
    np.testing.assert_allclose(found.high, -np.log(0.05) / 6)
    assert found.note == "Only 0 events over all modules: too few to tell one module from another."


def test_few_events_are_said_below_five():
    assert gamma_poisson([4, 0, 0], [1.0] * 3).note.startswith("Only 4 events over all modules")
    assert not gamma_poisson([5, 0, 0], [1.0] * 3).note.startswith("Only")


def test_a_module_of_which_nothing_is_expected_takes_the_mean_factor():
    counts, expected = simulated(2)
    found = gamma_poisson([*counts, 0], [*expected, 0.0])
    assert found.posterior_mean[-1] == pytest.approx(found.scale)
    assert found.shape == pytest.approx(gamma_poisson(counts, expected).shape, rel=1e-4)


def test_the_sentence_tells_the_spread():
    found = gamma_poisson([8, 0, 1, 0, 1], [2.0] * 5)
    assert str(found).startswith(
        "5 modules, 10 events, 10 expected: factors spread with a coefficient of variation of "
        f"{found.shape**-0.5:.3g} (p of no spread {found.p_no_spread:.3g}). "
    )


@pytest.mark.parametrize(
    ("counts", "expected", "options", "message"),
    [
        ([1, 2], [1.0], {}, "Every module needs both: 2 counts but 1 expected numbers."),
        ([1], [1.0], {}, "Spread between modules takes at least 2 modules; found 1."),
        ([1, -1], [1.0, 1.0], {}, COUNTS_WRONG),
        ([1, 0.5], [1.0, 1.0], {}, COUNTS_WRONG),
        ([1, 1], [1.0, -1.0], {}, COUNTS_WRONG),
        ([1, 1], [1.0, np.inf], {}, COUNTS_WRONG),
        ([1, 1], [1.0, 0.0], {}, "Nothing was expected of a module that has events. Check its time at risk."),
        ([0, 0], [0.0, 0.0], {}, "Nothing was expected of a module that has events. Check its time at risk."),
        (
            [1, 1],
            [1.0, 1.0],
            {"level": 1},
            "The level of an interval lies between 0 and 1, 0.90 for example; found 1.",
        ),
    ],
)
def test_what_cannot_be_used_is_said(counts, expected, options, message):
    with pytest.raises(SpellError) as caught:
        gamma_poisson(counts, expected, **options)
    assert str(caught.value) == message


def test_credibility_by_hand():
    # means 10 and 30, 8 each, variance 16: between = (8 x 100 x 2 - 16) / (16 - 128 / 16) = 198
    found = credibility([10.0, 30.0], [8, 8], [16.0, 16.0])
    share = 8 / (8 + 16 / 198)
    assert found.between_variance == pytest.approx(198)
    assert found.within_variance == 16
    np.testing.assert_allclose(found.credibility, share)
    np.testing.assert_allclose(found.mean, [20 - 10 * share, 20 + 10 * share])
    np.testing.assert_allclose(found.error, np.sqrt(198 * (1 - share) * (1 + (1 - share) / (2 * share))))
    assert found.overall == pytest.approx(20) and found.note == ""


def test_variances_are_pooled_by_their_degrees_of_freedom_and_lone_observations_have_none():
    found = credibility([10.0, 30.0, 20.0, np.nan], [3, 6, 1, 0], [4.0, 25.0, np.nan, np.nan])
    assert found.within_variance == pytest.approx((2 * 4 + 5 * 25) / 7)
    assert found.credibility[3] == 0
    assert found.mean[3] == pytest.approx(found.overall)
    assert 0 < found.credibility[2] < found.credibility[0] < found.credibility[1] < 1


def test_groups_that_differ_by_chance_alone_get_the_overall_mean():
    found = credibility([10.0, 12.0], [2, 6], [100.0, 100.0])
    assert found.between_variance == 0
    np.testing.assert_allclose(found.mean, 11.5)
    np.testing.assert_allclose(found.error, np.sqrt(100 / 8))
    assert found.note == "The groups differ no more than chance would have them: all get the overall mean."


def test_one_observation_each_cannot_tell_groups_apart():
    found = credibility([10.0, 40.0], [1, 1], [np.nan, np.nan])
    np.testing.assert_allclose(found.mean, 25.0)


def test_one_group_alone_gets_its_own_mean():
    np.testing.assert_allclose(credibility([10.0], [5], [4.0]).mean, 10.0)


def test_credibility_error_holds_in_simulation():
    generator = np.random.default_rng(5)
    n, misses, told = np.array([2, 4, 8, 16, 3, 5, 9, 30, 2, 2, 6, 7] * 4), [], []
    for _ in range(300):
        truth = generator.normal(30, 6, len(n))
        found = credibility(generator.normal(truth, 10 / np.sqrt(n)), n, 100.0)
        misses.append((found.mean - truth) ** 2)
        told.append(found.error**2)
    np.testing.assert_allclose(np.mean(misses), np.mean(told), rtol=0.06)


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        (([1.0, 2.0], [1], 1.0), "Every group needs all three: 2 means, 1 numbers, 1 variances."),
        (
            ([1.0, 2.0, 3.0], [1, 1, 1], [1.0, 2.0]),
            "Every group needs all three: 3 means, 3 numbers, 2 variances.",
        ),
        (([1.0], [0], 1.0), NO_OBSERVATIONS),
        (([1.0, 2.0], [3, -1], 1.0), NO_OBSERVATIONS),
        (([1.0, np.nan], [3, 1], 1.0), NO_OBSERVATIONS),
        (([1.0, 2.0], [3, 1], -1.0), NO_OBSERVATIONS),
    ],
)
def test_credibility_says_what_it_cannot_use(columns, message):
    with pytest.raises(SpellError) as caught:
        credibility(*columns)
    assert str(caught.value) == message


def test_the_middle_share_of_factors_lies_between_gamma_quantiles():
    fit = gamma_poisson([9, 0, 1] * 9, [4.0, 3.0, 3.0] * 9)
    low, high = stats.gamma.ppf([0.25, 0.75], fit.shape, scale=fit.scale / fit.shape)
    assert fit.between(0.5) == pytest.approx((low, high))
    alike = gamma_poisson([4, 4, 4], [4.0, 4.0, 4.0])
    assert alike.between(0.5) == (alike.scale, alike.scale)


def test_cautious_credibility_errs_less_where_little_is_seen_and_agrees_where_much_is():
    """Means drawn from known groups, 1 or 2 of each and 15 of each; error against the true means, 300 times."""
    generator = np.random.default_rng(3)

    def errors(groups, each, apart):
        found = []
        for _ in range(300):
            size = generator.poisson(each, groups)
            true = generator.normal(0, apart, groups)
            seen = [generator.normal(centre, 1, number) for centre, number in zip(true, size, strict=True)]
            mean = [one.mean() if len(one) else np.nan for one in seen]
            variance = [one.var(ddof=1) if len(one) > 1 else 0.0 for one in seen]
            if max(size) > 1:
                found.append(
                    [
                        np.mean((credibility(mean, size, variance, cautious=cautious).mean - true) ** 2)
                        for cautious in (False, True)
                    ]
                )
        return np.mean(found, axis=0)

    usual, cautious = errors(14, 1.6, 0.0)
    assert cautious < 0.8 * usual
    usual, cautious = errors(14, 1.6, 0.5)
    assert cautious < usual
    usual, cautious = errors(56, 15, 0.6)
    assert cautious == pytest.approx(usual, rel=0.02)
