"""Mean cumulative function: by hand, against a slow version and lifelines, and what it refuses."""

import numpy as np
import pytest
from scipy import stats

from maintkit.survival.recurrence import mean_cumulative
from maintkit.survival.results import SpellError


def facility(seed, units=14):
    """Random windows, up to two a unit, and events in them; whole numbers, so that ties abound."""
    generator = np.random.default_rng(seed)
    unit, entry, exit, event_unit, event_time = [], [], [], [], []
    for name in range(units):
        cuts = np.sort(generator.choice(40, 4, replace=False))
        windows = [cuts[:2], cuts[2:]] if name % 3 else [cuts[[0, 3]]]
        for start, stop in windows:
            unit.append(f"m{name}")
            entry.append(start)
            exit.append(stop)
            times = generator.integers(
                start + 1, stop + 1, generator.poisson(0.08 * (1 + name % 4) * (stop - start))
            )
            event_unit += [f"m{name}"] * len(times)
            event_time += times.tolist()
    return unit, entry, exit, event_unit, event_time


def slow(unit, entry, exit, event_unit, event_time):
    """Mean, robust and Nelson's variance straight from the sums of their definitions, with loops."""
    names, times = sorted(set(unit)), sorted(set(event_time))
    windows, happened = (
        list(zip(unit, entry, exit, strict=True)),
        list(zip(event_unit, event_time, strict=True)),
    )
    watched = np.array(
        [[any(u == name and a < t <= b for u, a, b in windows) for t in times] for name in names], float
    )
    d = np.array([[happened.count((name, t)) for t in times] for name in names], float)
    n, total = watched.sum(axis=0), d.sum(axis=0)
    mean, robust, nelson = [], [], []
    units = range(len(names))
    for k in range(len(times)):
        mean.append(sum(total[j] / n[j] for j in range(k + 1)))
        robust.append(
            sum(
                sum(watched[i, j] / n[j] * (d[i, j] - total[j] / n[j]) for j in range(k + 1)) ** 2
                for i in units
            )
        )
        pairs = [(min(j, m), max(j, m)) for j in range(k + 1) for m in range(k + 1)]
        with np.errstate(divide="ignore", invalid="ignore"):
            nelson.append(
                sum(
                    watched[i, m] * (d[i, m] - total[m] / n[m]) * d[i, j] / (n[j] * (n[m] - 1))
                    for i in units
                    for j, m in pairs
                )
            )
    return np.array(times), n, total, np.array(mean), np.array(robust), np.array(nelson)


def test_two_modules_by_hand():
    curve = mean_cumulative(["a", "b"], [0, 0], [10, 6], ["a", "b", "b", "a"], [2, 5, 5, 8])
    assert curve.time.tolist() == [2, 5, 8]
    assert curve.at_risk.tolist() == [2, 2, 1]
    assert curve.events.tolist() == [1, 2, 1]
    assert curve.mean.tolist() == [0.5, 1.5, 2.5]
    assert (curve.start, curve.until, curve.units, curve.exposure) == (0, 10, 2, 16)


def test_one_that_enters_at_t_is_not_watched_at_t_and_one_that_leaves_at_t_is():
    curve = mean_cumulative(["a", "b", "c"], [0, 5, 0], [10, 10, 5], ["a"], [5])
    assert curve.at_risk.tolist() == [2]
    assert (curve.start, curve.until, curve.exposure) == (0, 10, 20)


def test_a_module_watched_twice_is_not_watched_in_between():
    curve = mean_cumulative(["a", "a", "b"], [0, 6, 0], [4, 9, 9], ["b", "b", "a"], [4, 5, 7])
    assert curve.at_risk.tolist() == [2, 1, 2]


@pytest.mark.parametrize("seed", range(12))
def test_agrees_with_the_slow_sums(seed):
    columns = facility(seed)
    curve = mean_cumulative(*columns)
    time, at_risk, events, mean, robust, nelson = slow(*columns)
    np.testing.assert_array_equal(curve.time, time)
    np.testing.assert_array_equal(curve.at_risk, at_risk)
    np.testing.assert_array_equal(curve.events, events)
    np.testing.assert_allclose(curve.mean, mean)
    np.testing.assert_allclose(curve.variance, robust, atol=1e-12)
    np.testing.assert_allclose(curve.nelson_variance, nelson, atol=1e-12)


def test_the_result_does_not_hang_on_the_order_of_rows():
    columns = facility(3)
    whole = mean_cumulative(*columns)
    generator = np.random.default_rng(1)
    rows, events = generator.permutation(len(columns[0])), generator.permutation(len(columns[3]))
    mixed = mean_cumulative(
        *(np.array(column)[rows] for column in columns[:3]),
        *(np.array(column)[events] for column in columns[3:]),
    )
    for name in ("time", "at_risk", "mean", "variance", "nelson_variance", "low", "high"):
        np.testing.assert_allclose(getattr(mixed, name), getattr(whole, name), atol=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_mean_agrees_with_lifelines_on_one_row_a_gap(seed):
    from lifelines import NelsonAalenFitter

    unit, entry, exit, event_unit, event_time = facility(seed)
    starts, stops, happened = [], [], []
    seen = list(zip(event_unit, event_time, strict=True))
    for name, a, b in zip(unit, entry, exit, strict=True):
        inside = sorted({t for u, t in seen if u == name and a < t <= b})
        marks = [a, *inside, b] if not inside or inside[-1] != b else [a, *inside]
        starts += marks[:-1]
        stops += marks[1:]
        happened += [seen.count((name, mark)) for mark in marks[1:]]
    single = np.array(happened) <= 1  # lifelines counts one event a row: thin the double ones out of both
    keep = np.array([seen.count(pair) == 1 for pair in seen])
    fit = NelsonAalenFitter(nelson_aalen_smoothing=False).fit(
        stops, np.array(happened) * single, entry=starts
    )
    curve = mean_cumulative(unit, entry, exit, np.array(event_unit)[keep], np.array(event_time)[keep])
    np.testing.assert_allclose(
        curve.mean, fit.cumulative_hazard_.loc[curve.time].to_numpy().ravel(), rtol=1e-9
    )


def test_limits_are_on_the_log_scale():
    curve = mean_cumulative(*facility(5), level=0.80)
    z = stats.norm.ppf(0.9)
    np.testing.assert_allclose(np.log(curve.high / curve.mean), z * np.sqrt(curve.variance) / curve.mean)
    np.testing.assert_allclose(curve.low * curve.high, curve.mean**2)
    assert np.all(curve.low > 0)


def test_fewer_than_five_modules_take_the_larger_of_robust_and_poisson_variance():
    lone = mean_cumulative(["a"], [0], [10], ["a"] * 5, [1, 2, 3, 4, 5])
    np.testing.assert_allclose(lone.variance, [1, 2, 3, 4, 5])
    assert np.all(np.isnan(lone.nelson_variance))
    assert lone.note == "Only 1 module."
    five = mean_cumulative(list("abcde"), [0] * 5, [10] * 5, list("abcde"), [1] * 5)
    np.testing.assert_allclose(five.variance, 0)
    assert five.note == ""


def test_mean_at_reads_the_step_and_its_evidence():
    curve = mean_cumulative(list("abcdef"), [0] * 6, [10] * 6, list("abcab"), [2, 4, 4, 6, 8])
    assert curve.mean_at(1).value == 0 and curve.mean_at(1).failures == 0
    assert curve.mean_at(1).note == "Nothing had happened by then."
    at_four = curve.mean_at(4)
    assert (at_four.value, at_four.failures, at_four.exposure) == (pytest.approx(0.5), 3, 60)
    assert (at_four.low, at_four.high) == (curve.low[1], curve.high[1])
    assert curve.mean_at(3.9).value == pytest.approx(1 / 6)
    assert curve.mean_at(10).value == pytest.approx(5 / 6)
    for outside in (10.1, -0.1):
        assert curve.mean_at(outside).value is None
        assert curve.mean_at(outside).note == "Watched only from 0 to 10."
    assert str(curve) == f"Mean events per module up to 10: {curve.mean_at(10)}"


def test_no_event_gives_an_empty_curve_and_a_note():
    curve = mean_cumulative(list("abcde"), [0] * 5, [10] * 5, [], [])
    assert len(curve.time) == len(curve.variance) == 0
    assert curve.mean_at(5).value == 0
    assert curve.note == "Only 0 events: too few for a verdict."


def test_a_time_nobody_was_watched_is_said():
    unit = list("abcdefghij")
    gap = mean_cumulative(unit, [0] * 5 + [6] * 5, [4] * 5 + [9] * 5, list("abcfg"), [1, 2, 3, 7, 8])
    assert gap.note == "Nobody was watched from 4 to 6: what happened then is missing from the curve."
    touching = mean_cumulative(unit, [0] * 5 + [4] * 5, [4] * 5 + [9] * 5, list("abcfg"), [1, 2, 3, 7, 8])
    assert touching.note == ""


def test_a_thin_crowd_is_said():
    curve = mean_cumulative(list("abcdef"), [0] * 6, [10] * 4 + [5] * 2, list("abcde"), [1, 2, 3, 4, 5])
    assert curve.note == ""
    curve = mean_cumulative(list("abcdef"), [0] * 6, [10] * 4 + [5] * 2, list("abcda"), [1, 2, 3, 4, 6])
    assert curve.note == "At some times fewer than 5 modules were watched."


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        ((["a"], [0, 1], [5], [], []), "A window needs all three: 1 units, 2 entries, 1 exits."),
        (([], [], [], [], []), "No module was watched: there is no window. Check the filter."),
        (
            (["a", "b"], [0, 5], [5, 5], [], []),
            "1 of 2 windows take no time; the first is row 2: entry 5, exit 5.",
        ),
        (
            (["a", "b", "a"], [0, 0, 4], [5, 9, 8], [], []),
            "Two windows of a overlap: one ends at 5, the next starts at 4. A module can be watched once at a time.",
        ),
        ((["a"], [0], [5], ["a"], []), "An event needs both: 1 units but 0 times."),
        (
            (["a"], [0], [5], ["a", "a"], [1, 6]),
            "1 of 2 events fall outside the windows of their module; the first is row "
            "2: a at 6. Give the window it was seen in, or leave the event out.",
        ),
        (
            (["b"], [0], [5], ["a"], [1]),
            "1 of 1 events fall outside the windows of their module; the first is row 1: "
            "a at 1. Give the window it was seen in, or leave the event out.",
        ),
        (
            (["b"], [0], [5], ["c"], [1]),
            "1 of 1 events fall outside the windows of their module; the first is row 1: "
            "c at 1. Give the window it was seen in, or leave the event out.",
        ),
        (
            (["a", "a"], [0, 5], [4, 9], ["a"], [5]),
            "1 of 1 events fall outside the windows of their module; the first "
            "is row 1: a at 5. Give the window it was seen in, or leave the event out.",
        ),
        (
            (["a", "b"], [0, 3], [9, 9], ["b"], [3]),
            "1 of 1 events fall outside the windows of their module; the first "
            "is row 1: b at 3. Give the window it was seen in, or leave the event out.",
        ),
    ],
)
def test_what_cannot_be_used_is_said(columns, message):
    with pytest.raises(SpellError) as caught:
        mean_cumulative(*columns)
    assert str(caught.value) == message


def test_windows_of_a_module_may_touch():
    assert mean_cumulative(["a", "a"], [0, 5], [5, 9], ["a"], [5]).at_risk.tolist() == [1]
