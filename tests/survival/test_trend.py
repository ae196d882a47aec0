"""Laplace's test: by hand, against integration over the windows, and what it says."""

import numpy as np
import pytest
from scipy import stats

from maintkit.survival.results import SpellError
from maintkit.survival.trend import laplace_trend, pooled_laplace_trend


def test_laplace_by_hand():
    # times 6 and 9 of 0 to 10: (7.5 - 5) / (10 / sqrt(24))
    found = laplace_trend([6, 9], 10)
    assert found.statistic == pytest.approx(2.5 * np.sqrt(24) / 10)
    assert found.p == pytest.approx(2 * stats.norm.sf(2.5 * np.sqrt(24) / 10))
    assert (found.events, found.exposure) == (2, 10)


def test_a_watch_that_ends_with_a_fault_leaves_that_fault_out():
    ended = laplace_trend([6, 9, 10])
    assert ended.statistic == pytest.approx(laplace_trend([6, 9], 10).statistic)
    assert ended.events == 2
    assert laplace_trend([9, 10]).events == laplace_trend([9], 10).events == 1


def test_a_late_start_shifts_the_window():
    late = laplace_trend([106, 109], 110, start=100)
    assert late.statistic == pytest.approx(laplace_trend([6, 9], 10).statistic)
    assert late.exposure == 10


@pytest.mark.parametrize("seed", range(6))
def test_pooled_agrees_with_moments_taken_numerically_over_each_units_windows(seed):
    generator = np.random.default_rng(seed)
    unit, entry, exit = ["a", "a", "b", "c"], [0, 60, 20, 5], [40, 90, 100, 30]
    windows = {"a": [(0, 40), (60, 90)], "b": [(20, 100)], "c": [(5, 30)]}
    event_unit = generator.choice(list("abc"), 25)
    event_time = np.array(
        [generator.uniform(*windows[u][generator.integers(len(windows[u]))]) for u in event_unit]
    )
    mean, variance = {}, {}
    for name, pieces in windows.items():
        points = np.concatenate([np.arange(a + 0.0005, b, 0.001) for a, b in pieces])
        mean[name], variance[name] = points.mean(), points.var()
    expected = sum(t - mean[u] for u, t in zip(event_unit, event_time, strict=True)) / np.sqrt(
        sum(variance[u] for u in event_unit)
    )
    found = pooled_laplace_trend(unit, entry, exit, event_unit, event_time)
    assert found.statistic == pytest.approx(expected, rel=1e-6)
    assert (found.events, found.exposure) == (25, 175)


def test_units_of_unlike_rate_and_window_are_no_trend():
    # a frequent unit watched early and a rare one watched late, both steady
    found = pooled_laplace_trend(
        ["a", "b"], [0, 50], [50, 100], ["a"] * 9 + ["b"], [*np.arange(5, 50, 5), 75]
    )
    assert found.statistic == pytest.approx(0)
    assert found.verdict == "no trend shown"


@pytest.mark.parametrize(
    ("times", "verdict"),
    [
        ([70, 80, 85, 90, 95], "worse"),
        ([5, 10, 15, 20, 30], "better"),
        ([10, 30, 50, 70, 90], "no trend shown"),
        ([90, 95, 98, 99], "too few faults"),
    ],
)
def test_verdicts(times, verdict):
    assert laplace_trend(times, 100).verdict == verdict


def test_a_verdict_is_given_at_the_level_asked_for():
    times = [40, 55, 70, 80, 90, 95]  # p 0.066
    assert laplace_trend(times, 100, level=0.90).verdict == "worse"
    assert laplace_trend(times, 100, level=0.95).verdict == "no trend shown"


def test_the_sentence():
    assert str(laplace_trend([6, 9], 10)) == "too few faults (2 faults, Laplace 1.22, p 0.221)"


@pytest.mark.parametrize(
    ("columns", "options", "message"),
    [
        (([], 10), {}, "A trend needs faults, and one more where the last one ends the watching; found 0."),
        (([3],), {}, "A trend needs faults, and one more where the last one ends the watching; found 1."),
        (
            ([3, 12, 11], 10),
            {},
            "2 faults lie outside the watching from 0 to 10; the first is at 11. "
            "Correct the window or leave them out.",
        ),
        (
            ([2, 5], 10),
            {"start": 2},
            "1 faults lie outside the watching from 2 to 10; the first is at 2. "
            "Correct the window or leave them out.",
        ),
    ],
)
def test_what_cannot_be_used_is_said(columns, options, message):
    with pytest.raises(SpellError) as caught:
        laplace_trend(*columns, **options)
    assert str(caught.value) == message


def test_no_fault_in_any_unit_is_no_trend():
    with pytest.raises(SpellError) as caught:
        pooled_laplace_trend(["a"], [0], [10], [], [])
    assert str(caught.value) == "No fault: a trend needs at least one. Give the rate instead."


def test_steady_units_give_a_standard_normal_statistic():
    generator = np.random.default_rng(11)
    found = []
    for _ in range(2000):
        times = np.concatenate([generator.uniform(0, 40, 3), generator.uniform(30, 100, 4)])
        found.append(pooled_laplace_trend([1, 2], [0, 30], [40, 100], [1] * 3 + [2] * 4, times).statistic)
    assert np.mean(found) == pytest.approx(0, abs=0.08)
    assert np.std(found) == pytest.approx(1, abs=0.05)
