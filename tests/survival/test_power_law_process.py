"""Power law: by hand, against a grid of the likelihood, and what it says."""

import numpy as np
import pytest
from scipy import stats

from maintkit.survival.power_law_process import pooled_power_law, power_law


def conditional(shape, windows, event_unit, event_time):
    """Log likelihood given the faults of each unit: product of shape t^(shape-1) / sum(exit^shape - entry^shape)."""
    total = {}
    for unit, entry, exit in windows:
        total[unit] = total.get(unit, 0) + exit**shape - entry**shape
    faults = zip(event_unit, event_time, strict=True)
    return sum(np.log(shape) + (shape - 1) * np.log(t) - np.log(total[u]) for u, t in faults)


def test_closed_form_by_hand():
    # ln(end / t) = 1, 2, 3, 4, 5 with end = e^5
    end = np.exp(5)
    found = power_law(np.exp([4, 3, 2, 1, 0]), end, level=0.90)
    assert found.shape.value == pytest.approx(5 / 15)
    assert found.unbiased_shape == pytest.approx(4 / 15)
    assert (found.statistic, found.df) == (pytest.approx(30), 10)
    assert found.p == pytest.approx(2 * stats.chi2.sf(30, 10))
    assert found.shape.low == pytest.approx(stats.chi2.ppf(0.05, 10) / 30)
    assert found.shape.high == pytest.approx(stats.chi2.ppf(0.95, 10) / 30)
    assert found.scale == pytest.approx(5 / end ** (1 / 3))
    assert found.rate_end == pytest.approx(5 / 3 / end)
    assert (found.events, found.exposure, found.verdict) == (5, pytest.approx(end), "better")


def test_a_watch_that_ends_with_a_fault_by_hand():
    found = power_law(np.exp([5, 4, 3, 2, 1, 0]), level=0.90)
    assert found.shape.value == pytest.approx(6 / 15)
    assert found.unbiased_shape == pytest.approx(4 / 15)
    assert (found.statistic, found.df, found.events) == (pytest.approx(30), 10, 6)
    assert found.shape.low == pytest.approx(stats.chi2.ppf(0.05, 10) / 30)
    assert found.scale == pytest.approx(6 / np.exp(5 * 0.4))


def test_small_chi_square_means_worse():
    found = power_law([80, 85, 90, 95, 99], 100)
    assert found.verdict == "worse" and found.shape.low > 1
    assert found.p == pytest.approx(2 * stats.chi2.cdf(found.statistic, 10))


def test_p_is_never_above_one():
    assert power_law(100 * np.exp(-np.array([0.3, 0.6, 0.9, 1.2, 1.67])), 100).p <= 1


@pytest.mark.parametrize("seed", range(6))
def test_late_and_broken_windows_agree_with_a_grid_of_the_likelihood(seed):
    generator = np.random.default_rng(seed)
    windows = [("a", 10, 40), ("a", 55, 90), ("b", 30, 100), ("c", 0, 60), ("d", 20, 30)]
    event_unit, event_time = [], []
    for unit, entry, exit in windows[:4]:
        n = generator.integers(2, 7)
        event_unit += [unit] * n
        event_time += list((entry**1.8 + generator.uniform(0, 1, n) * (exit**1.8 - entry**1.8)) ** (1 / 1.8))
    columns = [list(column) for column in zip(*windows, strict=True)]
    found = pooled_power_law(*columns, event_unit, event_time, level=0.90)
    grid = np.exp(np.linspace(np.log(0.02), np.log(50), 40001))
    loglik = np.array([conditional(shape, windows, event_unit, event_time) for shape in grid[::20]])
    best = grid[::20][loglik.argmax()]
    assert found.shape.value == pytest.approx(best, rel=8e-3)
    at_best = conditional(found.shape.value, windows, event_unit, event_time)
    assert at_best >= loglik.max()
    for limit in (found.shape.low, found.shape.high):
        drop = at_best - conditional(limit, windows, event_unit, event_time)
        assert drop == pytest.approx(stats.chi2.ppf(0.90, 1) / 2, abs=1e-6)
    assert found.shape.low < found.shape.value < found.shape.high
    statistic = 2 * (at_best - conditional(1.0, windows, event_unit, event_time))
    assert found.statistic == pytest.approx(statistic, abs=1e-8)
    assert (found.p, found.df) == (pytest.approx(stats.chi2.sf(statistic, 1)), 1)
    growth = sum(exit**found.shape.value - entry**found.shape.value for _, entry, exit in windows)
    assert found.scale == pytest.approx(len(event_time) / growth)
    assert found.rate_end == pytest.approx(found.scale * found.shape.value * 100 ** (found.shape.value - 1))
    assert found.unbiased_shape is None
    assert found.note == "Limits from the likelihood ratio."


def test_cutting_a_window_in_two_changes_next_to_nothing():
    times = [3, 20, 31, 44, 70, 95]
    whole = power_law(times, 100)
    cut = pooled_power_law([0, 0], [0, 50], [50, 100], [0] * 6, times)
    assert cut.shape.value == pytest.approx(whole.shape.value, rel=1e-9)
    assert cut.exposure == whole.exposure == 100


def test_a_late_start_of_one_unit_goes_the_same_way_as_pooled():
    times = [30, 44, 70, 80, 95]
    late = power_law(times, 100, start=20)
    assert late == pooled_power_law(["x"], [20], [100], ["x"] * 5, times)


def test_units_with_ends_of_their_own_use_their_own_end():
    gaps = np.log([10 / 5, 10 / 9, 20 / 11, 20 / 15, 20 / 19])
    found = pooled_power_law(["a", "b"], [0, 0], [10, 20], ["a", "a", "b", "b", "b"], [5, 9, 11, 15, 19])
    assert found.shape.value == pytest.approx(5 / gaps.sum())
    assert found.df == 10


def test_fewer_than_five_faults_give_no_shape_but_keep_the_test():
    found = power_law([90, 95, 98, 99], 100)
    assert (found.shape.value, found.unbiased_shape, found.scale, found.rate_end) == (None, None, None, None)
    assert found.p < 0.01 and found.verdict == "too few faults"
    assert (found.exposure, found.shape.exposure, found.events) == (100, 100, 4)
    assert str(found) == (
        f"too few faults (p {found.p:.3g}): shape no estimate (4 failures). "
        "Only 4 faults: a shape takes at least 5."
    )
    few = pooled_power_law(["a"], [10], [100], ["a"] * 3, [20, 30, 99])
    assert few.shape.value is None and few.note == "Only 3 faults: a shape takes at least 5."
    assert few.exposure == 90


def test_faults_all_at_the_end_pin_down_no_shape():
    found = power_law([100] * 5, 100)
    assert found.shape.value is None
    assert found.note == "The faults pin down no shape: it runs off to an end of its range."
    late = pooled_power_law(["a"], [10], [100], ["a"] * 5, [100] * 5)
    assert late.shape.value is None and late.p == 0
    early = pooled_power_law(["a"], [10], [100], ["a"] * 5, [10.1] * 5)
    assert early.shape.value is None and early.p < 0.01


def test_a_steep_shape_overflows_nothing():
    found = power_law([3999.5] * 6 + [3998.5], 4000.0)
    assert found.shape.value > 1000 and found.scale == 0  # below the smallest number there is
    assert found.rate_end == pytest.approx(7 * found.shape.value / 4000)


def test_a_lower_limit_off_the_range_is_no_limit():
    found = pooled_power_law(["a"], [50], [100], ["a"] * 6, [58, 62, 70, 78, 88, 94])
    assert found.shape.low is None and found.shape.high > found.shape.value
    assert found.verdict == "no trend shown"


def test_the_sentence_leads_with_the_verdict():
    found = power_law([80, 85, 90, 95, 99], 100)
    assert str(found) == "worse (p 0.000543): shape 9.05 (3.57 to 16.6, 90 % interval; 5 failures)"
