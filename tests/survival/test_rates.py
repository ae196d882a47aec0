"""Rates and rate ratios: by hand, against a second library, and what they say when the data cannot be used."""

import numpy as np
import pytest
from scipy import stats

from maintkit.survival.multiple_tests import holm
from maintkit.survival.rates import clustered_rate_ratio, poisson_limits, rate, rate_ratio
from maintkit.survival.results import SpellError


def test_no_event_gives_a_one_sided_limit_by_hand():
    found = rate(0, 10.0, level=0.90)
    assert (found.value, found.low, found.failures, found.exposure) == (0.0, 0.0, 0, 10.0)
    assert found.high == pytest.approx(-np.log(0.05) / 10)  # exp(-10 high) = 0.05
    assert found.note == "None was seen: the upper limit is one-sided, at 95 %."
    assert str(found) == (
        "0 (0 to 0.3, 90 % interval; 0 failures). None was seen: the upper limit is one-sided, at 95 %."
    )


def test_one_event_by_hand():
    found = rate(1, 2.0, level=0.80)
    assert found.value == 0.5
    assert np.exp(-2 * found.low) == pytest.approx(0.9)  # no event at the lower limit: 90 %
    assert np.exp(-2 * found.high) * (1 + 2 * found.high) == pytest.approx(
        0.1
    )  # at most one at the upper: 10 %
    assert found.note == ""


def test_limits_are_where_the_poisson_tails_are_five_percent():
    events = np.array([1, 2, 5, 17, 140])
    low, high = poisson_limits(events, level=0.90)
    np.testing.assert_allclose(stats.poisson.sf(events - 1, low), 0.05, rtol=1e-9)
    np.testing.assert_allclose(stats.poisson.cdf(events, high), 0.05, rtol=1e-9)


def test_ratio_limits_are_where_the_binomial_tails_are_five_percent():
    found = rate_ratio(7, 3.0, 12, 11.0, level=0.90)
    assert found.ratio == pytest.approx(7 / 3 / (12 / 11))
    share = [limit * 3 / (limit * 3 + 11) for limit in (found.low, found.high)]
    assert stats.binom.sf(6, 19, share[0]) == pytest.approx(0.05)
    assert stats.binom.cdf(7, 19, share[1]) == pytest.approx(0.05)
    assert (found.events_a, found.events_b, found.exposure_a, found.exposure_b) == (7, 12, 3.0, 11.0)


def test_ten_faults_last_quarter_and_six_this_are_no_news():
    # by hand: 2 P(X >= 10 | 16, 1/2) = 2 * 14893 / 65536
    assert rate_ratio(10, 1.0, 6, 1.0).p == pytest.approx(2 * 14893 / 65536)
    assert rate_ratio(6, 1.0, 10, 1.0).p == pytest.approx(2 * 14893 / 65536)


def test_the_same_count_on_the_same_time_has_p_one():
    assert rate_ratio(4, 2.0, 4, 2.0).p == 1.0


@pytest.mark.parametrize("seed", range(30))
def test_ratio_agrees_with_scipy_binomial_intervals_and_p_with_its_own_interval(seed):
    generator = np.random.default_rng(seed)
    a, b = int(generator.integers(0, 15)), int(generator.integers(1, 15))
    time_a, time_b = generator.uniform(0.5, 20, 2)
    found = rate_ratio(a, time_a, b, time_b, level=0.90)
    interval = stats.binomtest(a, a + b).proportion_ci(0.90, "exact")
    assert found.low == pytest.approx(interval.low / (1 - interval.low) * time_b / time_a)
    assert found.high == pytest.approx(interval.high / (1 - interval.high) * time_b / time_a)
    leaves_one_out = found.low > 1 or found.high < 1
    assert leaves_one_out == (found.p < 0.10)


def test_none_in_b_has_a_lower_limit_only():
    found = rate_ratio(5, 1.0, 0, 1.0)
    assert (found.ratio, found.high) == (None, None)
    assert found.low == pytest.approx(0.05**0.2 / (1 - 0.05**0.2))  # share^5 = 0.05
    assert found.p == pytest.approx(2 / 32)
    assert (
        str(found)
        == "not reached times (1.22 to no upper limit, 90 % interval; 5 against 0 events; p 0.0625)"
    )


def test_none_in_a_has_ratio_zero_and_lower_limit_zero():
    found = rate_ratio(0, 1.0, 4, 1.0)
    assert (found.ratio, found.low) == (0.0, 0.0)
    assert found.high == pytest.approx((1 - 0.05**0.25) / 0.05**0.25)
    assert found.note == "Only 4 events in all: too few for a verdict."


def test_nothing_on_either_side_is_nothing_to_compare():
    found = rate_ratio(0, 1.0, 0, 1.0)
    assert (found.ratio, found.low, found.high, found.p) == (None, 0.0, None, 1.0)
    assert found.note == "No events in either group: nothing to compare."


def test_the_note_on_few_events_ends_at_five():
    assert rate_ratio(1, 1.0, 0, 1.0).note == "Only 1 event in all: too few for a verdict."
    assert rate_ratio(4, 1.0, 1, 1.0).note == ""


@pytest.mark.parametrize(
    ("events", "exposure", "level", "message"),
    [
        (-1, 1.0, 0.9, "A count of events is a whole number from 0 up; found -1."),
        (1.5, 1.0, 0.9, "A count of events is a whole number from 0 up; found 1.5."),
        (1, 0.0, 0.9, "A rate needs time at risk above 0; found 0.0. Without it only the count can be told."),
        (1, 1.0, 90, "The level of an interval lies between 0 and 1, 0.90 for example; found 90."),
        (1, 1.0, 0, "The level of an interval lies between 0 and 1, 0.90 for example; found 0."),
    ],
)
def test_what_cannot_be_used_is_said(events, exposure, level, message):
    with pytest.raises(SpellError) as caught:
        rate(events, exposure, level=level)
    assert str(caught.value) == message


@pytest.mark.parametrize("seed", range(8))
def test_module_robust_variance_agrees_with_statsmodels_clustered_poisson(seed):
    import statsmodels.api as sm

    generator = np.random.default_rng(seed)
    groups = []
    for size in (12, 9):
        time = generator.uniform(1, 4, size)
        events = generator.poisson(generator.gamma(0.4, 2, size) * time)
        events[0] += 9  # bunched, so that the robust limits are the wider ones
        groups.append((events, time))
    variances = []
    for events, time in groups:
        fit = sm.GLM(events, np.ones(len(time)), family=sm.families.Poisson(), exposure=time).fit(
            cov_type="cluster", cov_kwds={"groups": np.arange(len(time))}
        )
        variances.append(fit.bse[0] ** 2)
    (events_a, time_a), (events_b, time_b) = groups
    found = clustered_rate_ratio(events_a, time_a, events_b, time_b, level=0.90)
    total = sum(variances)
    freedom = total**2 / (variances[0] ** 2 / 11 + variances[1] ** 2 / 8)
    reach = np.exp(stats.t.ppf(0.95, freedom) * np.sqrt(total))
    assert found.ratio == pytest.approx(events_a.sum() / time_a.sum() / (events_b.sum() / time_b.sum()))
    assert found.low == pytest.approx(found.ratio / reach, rel=1e-5)
    assert found.high == pytest.approx(found.ratio * reach, rel=1e-5)
    assert found.p == pytest.approx(
        2 * stats.t.sf(abs(np.log(found.ratio)) / np.sqrt(total), freedom), rel=1e-5
    )
    assert found.note == "Limits allow for events bunched in modules."


def test_bunched_events_widen_both_ends_and_even_ones_do_not():
    bunched = clustered_rate_ratio([12, 0, 0, 0], [1] * 4, [1, 1, 1, 1], [1] * 4)
    even = clustered_rate_ratio([3, 3, 3, 3], [1] * 4, [1, 1, 1, 1], [1] * 4)
    exact = rate_ratio(12, 4, 4, 4)
    assert bunched.low < exact.low and bunched.high > exact.high and bunched.p > exact.p
    assert (even.low, even.high, even.p) == (exact.low, exact.high, exact.p)
    assert even.note == "Exact limits; modules add no width."


def test_only_one_module_falls_back_on_the_exact_limits_and_says_so():
    found = clustered_rate_ratio([6], [2.0], [1, 1], [1.0, 1.0])
    exact = rate_ratio(6, 2.0, 2, 2.0)
    assert (found.low, found.high, found.p) == (exact.low, exact.high, exact.p)
    assert (
        found.note == "Limits take every event as independent: too few modules or events to judge by module."
    )


def test_modules_without_time_do_not_count_as_modules():
    with_empty = clustered_rate_ratio([9, 0, 0], [2.0, 2.0, 0.0], [1, 1], [2.0, 2.0])
    without = clustered_rate_ratio([9, 0], [2.0, 2.0], [1, 1], [2.0, 2.0])
    assert with_empty == without


def test_no_event_in_a_group_of_modules_keeps_exact_limits_and_both_notes():
    found = clustered_rate_ratio([0, 0], [1.0, 1.0], [1, 2], [1.0, 1.0])
    assert found.ratio == 0.0
    assert found.note == (
        "Limits take every event as independent: too few modules or events to judge by module. "
        "Only 3 events in all: too few for a verdict."
    )


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        (([1, 2], [1.0], [1], [1.0]), "Every module needs both: 2 counts of events but 1 exposures."),
        (([1, -2], [1.0, 1.0], [1], [1.0]), "Events and exposures are never below 0; one of these is."),
        (([1, 2], [1.0, -1.0], [1], [1.0]), "Events and exposures are never below 0; one of these is."),
        (([1, 2], [1.0, 0.0], [1], [1.0]), "A module without time at risk has events. Check its window."),
    ],
)
def test_module_columns_that_cannot_be_right_are_named(columns, message):
    with pytest.raises(SpellError) as caught:
        clustered_rate_ratio(*columns)
    assert str(caught.value) == message


@pytest.mark.parametrize("seed", range(5))
def test_holm_agrees_with_statsmodels(seed):
    from statsmodels.stats.multitest import multipletests

    p = np.random.default_rng(seed).uniform(0, 0.2, 9)
    p[3] = p[5]
    np.testing.assert_allclose(holm(p), multipletests(p, method="holm")[1])


def test_holm_by_hand_with_a_comparison_not_made():
    np.testing.assert_allclose(holm([0.5, np.nan, 0.01, 0.02]), [0.5, np.nan, 0.03, 0.04])
    np.testing.assert_allclose(holm([0.9, 0.8]), [1.0, 1.0])
    np.testing.assert_allclose(holm([0.0, 1.0]), [0.0, 1.0])
    np.testing.assert_allclose(
        holm([0.01, 0.04, 0.03, 0.005]), [0.03, 0.06, 0.06, 0.02]
    )  # x 3, x 1, x 2, x 4, rising
    assert holm([]).shape == (0,)


@pytest.mark.parametrize("wrong", [-0.01, 1.01])
def test_holm_refuses_what_is_no_p(wrong):
    with pytest.raises(SpellError, match="A p lies between 0 and 1"):
        holm([0.5, wrong])
