import numpy as np
import pytest

from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.mean_life import area_and_variance, mean_life_difference
from maintkit.survival.results import SpellError


def drawn(seed, modules=30, parts=6, spread=0.0, late=False):
    generator = np.random.default_rng(seed)
    module = np.repeat(np.arange(modules), parts)
    factor = (generator.gamma(1 / spread, spread, modules) if spread else np.ones(modules))[module]
    entry = generator.uniform(0, 2, len(module)) if late else np.zeros(len(module))
    life = entry + 6 * generator.standard_exponential(len(module)) / factor
    return entry, np.minimum(life, 8.0), life < 8.0, module


def curves_of(entry, exit, event, second):
    return [kaplan_meier(entry[rows], exit[rows], event[rows]) for rows in (~second, second)]


def test_an_area_by_hand():
    # S is 1 to 2, 2/3 to 5, then 1/3: up to 8 the area is 2 + 2 + 1 = 5; the variance 3**2 / (3*2) + 1**2 / (2*1).
    area, variance = area_and_variance(kaplan_meier([0] * 3, [2, 5, 9], [1, 1, 1]), 8)
    assert (area, variance) == (pytest.approx(5), pytest.approx(2))


def test_with_every_life_known_the_area_is_the_plain_mean_of_lives_cut_at_the_age():
    lives = np.array([1.0, 3, 3, 6, 8, 11])  # two fail together
    area, variance = area_and_variance(kaplan_meier(np.zeros(6), lives, [1] * 6), 7)
    assert area == pytest.approx(np.minimum(lives, 7).mean())
    # Greenwood's variance is that of the plain mean, divisor n
    assert variance**0.5 == pytest.approx(np.minimum(lives, 7).std() / 6**0.5)


def test_a_failure_at_the_very_age_changes_no_area():
    assert area_and_variance(kaplan_meier([0] * 3, [2, 5, 9], [1, 1, 1]), 5)[0] == pytest.approx(2 + 2)


def test_an_area_as_in_lifelines(random_spells):
    from lifelines import KaplanMeierFitter
    from lifelines.utils import restricted_mean_survival_time

    spells, _ = random_spells(4)
    exit, event = spells["exit"], spells["event"]
    # value only: its variance is that of one life, not of the mean
    value = restricted_mean_survival_time(KaplanMeierFitter().fit(exit, event), t=15)
    area = area_and_variance(kaplan_meier(np.zeros(len(exit)), exit, event), 15)[0]
    assert area == pytest.approx(value, rel=1e-9)


def test_with_every_part_its_own_module_and_no_late_entry_the_error_is_greenwoods():
    entry, exit, event, _ = drawn(1, modules=200, parts=1)
    second = np.arange(200) % 2 == 1
    found = mean_life_difference(entry, exit, event, second, np.arange(200), until=6.0)
    (first, one), (other, two) = (
        area_and_variance(curve, 6.0) for curve in curves_of(entry, exit, event, second)
    )
    assert found.value == pytest.approx(other - first)
    reach, error = (found.high - found.low) / 2, np.sqrt(200 / 199 * (one + two))
    assert 1.645 < reach / error < 1.70  # Student's t on some 120 modules that matter


@pytest.mark.parametrize("late", [False, True])
def test_bunched_modules_widen_the_limits_as_leaving_modules_out_does(late):
    entry, exit, event, module = drawn(2, modules=60, spread=1.0, late=late)
    second = module % 2 == 1
    found = mean_life_difference(entry, exit, event, second, module, until=6.0)

    def difference(kept):
        areas = [
            area_and_variance(curve, 6.0)[0]
            for curve in curves_of(*(of[kept] for of in (entry, exit, event, second)))
        ]
        return areas[1] - areas[0]

    moves = np.array([difference(module != number) for number in range(60)])
    jackknife = np.sqrt(59 / 60 * np.sum((moves - moves.mean()) ** 2))
    greenwood = np.sqrt(
        sum(area_and_variance(curve, 6.0)[1] for curve in curves_of(entry, exit, event, second))
    )
    reach = (found.high - found.low) / 2
    assert reach / 1.68 == pytest.approx(jackknife, rel=0.08)  # t on about 40 degrees of freedom
    assert reach > 1.2 * 1.645 * greenwood


def test_modules_that_serve_in_both_groups_cancel_out_of_the_difference():
    entry, exit, event, module = drawn(4, modules=40, parts=20, spread=1.0)
    second = np.arange(len(exit)) % 2 == 1
    shared = mean_life_difference(entry, exit, event, second, module, until=6.0)
    apart = mean_life_difference(entry, exit, event, second, module + 40 * second, until=6.0)
    assert shared.high - shared.low < 0.8 * (apart.high - apart.low)


def test_no_limits_are_narrower_than_if_every_part_stood_for_itself():
    entry, exit, event, _ = drawn(4, modules=40, parts=20)
    second, module = np.arange(len(exit)) % 2 == 1, np.arange(len(exit)) // 2
    # two alike in every module: no move at all
    exit[second], event[second] = exit[~second] - 1e-6, event[~second]
    found = mean_life_difference(entry, exit, event, second, module, until=6.0)
    greenwood = sum(area_and_variance(curve, 6.0)[1] for curve in curves_of(entry, exit, event, second))
    assert found.high - found.value == pytest.approx(1.6448536269514722 * greenwood**0.5)


def test_a_weight_is_that_many_parts():
    entry, exit, event, module = drawn(5, spread=0.5)
    weight, second = np.where(event, 1, 2), module % 2 == 1
    repeated = [np.repeat(column, weight) for column in (entry, exit, event, second, module)]
    weighted = mean_life_difference(entry, exit, event, second, module, until=6.0, weight=weight)
    rows = mean_life_difference(*repeated, until=6.0)
    assert (weighted.value, weighted.low, weighted.high) == pytest.approx((rows.value, rows.low, rows.high))


def test_a_group_with_too_few_failures_has_no_difference():
    entry, exit, event, module = drawn(6)
    second = module >= 30 - 2
    found = mean_life_difference(entry, exit, event & ~(second & (exit < 6)), second, module, until=6.0)
    assert (found.value, found.low, found.high) == (None, None, None)


def test_a_risk_set_that_emptied_gives_no_difference():
    good, emptied = ([0] * 8, [1, 2, 3, 4, 5, 6, 8, 9]), ([0, 0, 5, 5, 5, 5, 5], [3, 3, 6, 7, 7, 8, 9])
    entry, exit = (good[side] + emptied[side] for side in (0, 1))
    second = [False] * 8 + [True] * 7
    assert mean_life_difference(entry, exit, [1] * 15, second, range(15), until=8).value is None
    assert mean_life_difference(entry, exit, [1] * 15, second, range(15), until=3).value is None
    entry[8:10] = 0, 5
    assert mean_life_difference(entry, exit[:9] + [6] + exit[10:], [1] * 15, second, range(15), until=8)


def test_one_module_in_a_group_is_refused():
    with pytest.raises(SpellError, match="^Limits by module take two modules or more; found 1.$"):
        mean_life_difference([0] * 4, [1, 2, 1, 2], [1] * 4, [0, 0, 1, 1], list("aabc"), until=2)


@pytest.mark.parametrize("until", [0, 9.5])
def test_until_lies_within_both_curves(until):
    with pytest.raises(
        SpellError,
        match=f"^until must lie after 0 and no later than 9, the last age at which a part was watched; "
        f"found {until}.$",
    ):
        mean_life_difference([0] * 4, [8, 9, 10, 11], [1] * 4, [0, 0, 1, 1], list("abcd"), until=until)
