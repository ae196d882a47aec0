import numpy as np
import pytest

from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.mean_life import area_and_variance, restricted_mean_difference
from maintkit.survival.mean_life_by_module import mean_life_by_module, mean_life_difference_by_module
from maintkit.survival.results import SpellError


def drawn(seed, modules=30, parts=6, spread=0.0, late=False):
    generator = np.random.default_rng(seed)
    module = np.repeat(np.arange(modules), parts)
    factor = (generator.gamma(1 / spread, spread, modules) if spread else np.ones(modules))[module]
    entry = generator.uniform(0, 2, len(module)) if late else np.zeros(len(module))
    life = entry + 6 * generator.standard_exponential(len(module)) / factor
    return entry, np.minimum(life, 8.0), life < 8.0, module


def jackknife_moves(spells, until):
    """Area without each module, less the area with all: what leaving it out does, from the curve alone."""
    entry, exit, event, module = spells
    area = lambda kept: area_and_variance(kaplan_meier(entry[kept], exit[kept], event[kept]), until)[0]
    whole = area(np.ones(len(exit), bool))
    return np.array([area(module != number) - whole for number in np.unique(module)])


def test_with_every_part_its_own_module_and_no_late_entry_the_error_is_greenwoods():
    entry, exit, event, _ = drawn(1, modules=100, parts=1)
    curve = kaplan_meier(entry, exit, event)
    found = mean_life_by_module(entry, exit, event, np.arange(100), until=6.0)
    error = np.sqrt(100 / 99 * area_and_variance(curve, 6.0)[1])
    reach = (found.high - found.low) / 2
    assert 1.645 < reach / error < 1.70  # Student's t on some 60 modules that matter


@pytest.mark.parametrize("late", [False, True])
def test_bunched_modules_widen_the_limits_as_leaving_modules_out_does(late):
    spells = drawn(2, spread=1.0, late=late)
    found = mean_life_by_module(*spells, until=6.0)
    moves = jackknife_moves(spells, 6.0)
    jackknife = np.sqrt(29 / 30 * np.sum((moves - moves.mean()) ** 2))
    greenwood = np.sqrt(area_and_variance(kaplan_meier(*spells[:3]), 6.0)[1])
    reach = (found.high - found.low) / 2
    assert reach / 1.72 == pytest.approx(jackknife, rel=0.08)  # t on about 20 degrees of freedom
    assert reach > 1.2 * 1.645 * greenwood


def test_the_difference_of_groups_of_other_modules_adds_their_variances():
    entry, exit, event, module = drawn(3, modules=60, spread=0.6)
    second = module >= 30
    found = mean_life_difference_by_module(entry, exit, event, second, module, until=6.0)
    plain = restricted_mean_difference(
        *(kaplan_meier(entry[g], exit[g], event[g]) for g in (~second, second)), 6.0
    )
    sides = [(one.high - one.low) / 2 for one in (found.first, found.second)]
    assert found.difference.value == plain.difference.value
    assert (found.difference.high - found.difference.low) / 2 == pytest.approx(
        np.hypot(*sides), rel=0.08
    )  # t of fewer modules each
    assert found.p > plain.p


def test_modules_that_serve_in_both_groups_cancel_out_of_the_difference():
    entry, exit, event, module = drawn(4, modules=40, parts=20, spread=1.0)
    second = np.arange(len(exit)) % 2 == 1
    shared = mean_life_difference_by_module(entry, exit, event, second, module, until=6.0).difference
    apart = mean_life_difference_by_module(
        entry, exit, event, second, module + 40 * second, until=6.0
    ).difference
    assert shared.high - shared.low < 0.8 * (apart.high - apart.low)


def test_no_p_is_smaller_than_if_every_part_stood_for_itself():
    entry, exit, event, _ = drawn(4, modules=40, parts=20)
    second, module = np.arange(len(exit)) % 2 == 1, np.arange(len(exit)) // 2
    exit[second], event[second] = (
        exit[~second] - 1e-6,
        event[~second],
    )  # two alike in every module: no move at all
    found = mean_life_difference_by_module(entry, exit, event, second, module, until=6.0)
    plain = restricted_mean_difference(
        *(kaplan_meier(entry[g], exit[g], event[g]) for g in (~second, second)), 6.0
    )
    assert found.p == plain.p
    assert found.difference.high == pytest.approx(plain.difference.high)


def test_a_weight_is_that_many_parts():
    entry, exit, event, module = drawn(5, spread=0.5)
    weight = np.where(event, 1, 2)
    repeated = [np.repeat(column, weight) for column in (entry, exit, event, module)]
    weighted = mean_life_by_module(entry, exit, event, module, until=6.0, weight=weight, start=1.0)
    rows = mean_life_by_module(*repeated, until=6.0, start=1.0)
    assert (weighted.low, weighted.high) == pytest.approx((rows.low, rows.high))


def test_four_failures_are_too_few():
    found = mean_life_by_module(
        [0] * 6, [1, 2, 3, 4, 9, 9], [True] * 4 + [False] * 2, list("abcdef"), until=8
    )
    assert (found.value, found.low, found.high) == (None, None, None)
    assert found.note == "Only 4 failures between the two ages: a mean life by module takes at least 5."


def test_a_group_with_too_few_failures_has_no_difference():
    entry, exit, event, module = drawn(6)
    second = module >= 30 - 2
    found = mean_life_difference_by_module(
        entry, exit, event & ~(second & (exit < 6)), second, module, until=6.0
    )
    assert found.difference.value is None
    assert np.isnan(found.p)
    assert (
        found.difference.note
        == "Only 0 failures between the two ages: a mean life by module takes at least 5."
    )


def test_one_module_is_refused():
    with pytest.raises(SpellError, match="^Limits by module take two modules or more; found 1.$"):
        mean_life_by_module([0, 0], [1, 2], [True, True], ["a", "a"], until=2)
