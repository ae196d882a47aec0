import numpy as np
import pytest

from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.mean_life import restricted_mean, restricted_mean_difference
from maintkit.survival.results import SpellError

Z90 = 1.6448536269514722


def test_by_hand():
    # S is 1 to 2, 2/3 to 5, then 1/3: up to 8 the area is 2 + 2 + 1 = 5; the variance 3**2 / (3*2) + 1**2 / (2*1).
    mean = restricted_mean(kaplan_meier([0] * 3, [2, 5, 9], [1, 1, 1]), until=8)
    assert mean.value == pytest.approx(5)
    assert mean.low == pytest.approx(5 - Z90 * 2**0.5)
    assert mean.high == pytest.approx(5 + Z90 * 2**0.5)
    assert (mean.failures, mean.exposure, mean.level) == (2, 16, 0.9)


def test_with_every_life_known_it_is_the_plain_mean_of_lives_cut_at_the_age():
    lives = np.array([1.0, 3, 3, 6, 8, 11])  # two fail together
    curve = kaplan_meier(np.zeros(6), lives, [1] * 6)
    mean = restricted_mean(curve, until=7)
    assert mean.value == pytest.approx(np.minimum(lives, 7).mean())
    spread = np.minimum(lives, 7).std() / 6**0.5  # Greenwood's variance is that of the plain mean, divisor n
    assert (mean.value - mean.low) / Z90 == pytest.approx(spread)


def test_late_entry_and_a_start_age():
    curve = kaplan_meier([0, 4, 4], [6, 7, 9], [1, 1, 0], start=5)
    assert restricted_mean(curve, until=8).value == pytest.approx(1 + 2 / 3 + 1 / 3)


def test_limits_stay_between_0_and_the_span():
    curve = kaplan_meier([0] * 3, [1, 5, 6], [1, 0, 0])
    mean = restricted_mean(curve, until=6)
    assert mean.high == 6
    wide = restricted_mean(kaplan_meier([0] * 2, [0.1, 9], [1, 1]), until=9)
    assert wide.low == 0


def test_a_failure_at_the_very_age_changes_no_area():
    curve = kaplan_meier([0] * 3, [2, 5, 9], [1, 1, 1])
    assert restricted_mean(curve, until=5).value == pytest.approx(2 + 2)
    assert restricted_mean(curve, until=5).failures == 2


def test_a_risk_set_that_emptied_gives_no_number():
    curve = kaplan_meier([0, 5, 5], [3, 8, 9], [1, 1, 1])
    assert restricted_mean(curve, until=8).value is None
    assert restricted_mean(curve, until=3).value == 3


@pytest.mark.parametrize("until", [0, 9.5])
def test_until_lies_within_the_curve(until):
    curve = kaplan_meier([0] * 3, [2, 5, 9], [1, 1, 1])
    with pytest.raises(
        SpellError,
        match=f"^until must lie after the start 0 and no later than 9, the last age at which a part "
        f"was watched; found {until}.$",
    ):
        restricted_mean(curve, until=until)


def test_until_may_be_the_last_age_watched():
    assert restricted_mean(kaplan_meier([0] * 3, [2, 5, 9], [1, 1, 1]), until=9).value == pytest.approx(
        16 / 3
    )


def test_difference_by_hand():
    # Second less first up to 4: areas 3 and 3.5, to come after the failures 1 and 1/2, each over 2 * 1.
    first, second = kaplan_meier([0, 0], [2, 4], [1, 1]), kaplan_meier([0, 0], [3, 4], [1, 0])
    result = restricted_mean_difference(first, second, until=4)
    assert result.difference.value == pytest.approx(0.5)
    std_error = (1**2 / 2 + 0.5**2 / 2) ** 0.5
    assert result.difference.low == pytest.approx(0.5 - Z90 * std_error)
    assert result.difference.high == pytest.approx(0.5 + Z90 * std_error)
    assert result.p == pytest.approx(2 * (1 - normal_cdf(0.5 / std_error)))
    assert (result.difference.failures, result.difference.exposure, result.until) == (3, 13, 4)
    assert result.first.value == pytest.approx(3)


def normal_cdf(value):
    from scipy.stats import norm

    return norm.cdf(value)


def test_as_in_lifelines(random_spells):
    from lifelines import KaplanMeierFitter
    from lifelines.utils import restricted_mean_survival_time

    spells, _ = random_spells(4)
    exit, event = spells["exit"], spells["event"]
    value = restricted_mean_survival_time(
        KaplanMeierFitter().fit(exit, event), t=15
    )  # value only: its variance is
    # that of one life, not of the mean
    mean = restricted_mean(kaplan_meier(np.zeros(len(exit)), exit, event), until=15)
    assert mean.value == pytest.approx(value, rel=1e-9)


def test_no_difference_without_two_means():
    good, emptied = kaplan_meier([0, 0], [8, 9], [1, 1]), kaplan_meier([0, 5, 5], [3, 8, 9], [1, 1, 1])
    result = restricted_mean_difference(good, emptied, until=8)
    assert result.difference.value is None
    assert np.isnan(result.p)
    assert "every part then watched had failed" in result.difference.note


def test_curves_must_start_alike():
    first, second = kaplan_meier([0, 0], [8, 9], [1, 1]), kaplan_meier([0, 0], [8, 9], [1, 1], start=2)
    with pytest.raises(SpellError, match="^Both curves must start at the same age; found 0 and 2.$"):
        restricted_mean_difference(first, second, until=8)


def test_two_curves_without_failures_do_not_differ():
    first, second = kaplan_meier([0], [8], [0]), kaplan_meier([0], [9], [0])
    result = restricted_mean_difference(first, second, until=8)
    assert (result.difference.low, result.difference.high) == (0, 0)
    assert np.isnan(result.p)
