import numpy as np
import pytest

from maintkit.survival.unseen import zeros_expected


def test_of_few_units_it_is_what_the_formula_of_chao_gives():
    # worked example in the documentation of the R package ecodive, function chao1: 1, 0, 3, 2, 6 give 4.5 units in all
    assert zeros_expected([1, 0, 3, 2, 6]).value + 4 == 4.5


def test_butterflies_of_malaya():
    # R. A. Fisher, A. S. Corbet and C. B. Williams (1943), J. Animal Ecology 12, 42-58 (counts from memory): 118 species were caught
    # once and 74 twice
    found = zeros_expected([1] * 118 + [2] * 74)
    assert found.value == pytest.approx(94.08, abs=0.01)
    assert found.low < found.value < found.high and found.low * found.high == pytest.approx(found.value**2)


@pytest.mark.parametrize("counts", [[], [0, 0], [2, 3], [1]])
def test_where_none_or_one_had_a_single_event_none_is_told(counts):
    assert zeros_expected(counts).high == 0


def test_of_equal_units_the_limits_hold_what_is_not_seen_nine_times_in_ten():
    dice = np.random.default_rng(20261101)
    held = tried = 0
    for _ in range(400):
        counts = dice.poisson(0.9, size=80)
        found = zeros_expected(counts)
        held += found.low <= np.sum(counts == 0) <= found.high
        tried += 1
    assert held / tried == pytest.approx(0.90, abs=0.06)
