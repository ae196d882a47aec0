"""Readings against age: by hand, against statsmodels, Fieller by scanning, and what it refuses."""

import numpy as np
import pytest
from scipy import stats

from maintkit.survival.ageing import corner_shift, drift
from maintkit.survival.results import SpellError


def bench(seed, slope=-1.2e-5, modules=9):
    generator = np.random.default_rng(seed)
    module = np.repeat(np.arange(modules), generator.integers(1, 5, modules))
    age = generator.uniform(1000, 60_000, len(module))
    noise = generator.normal(0, 0.04, len(age)) + generator.normal(0, 0.05, modules)[module]
    return age, np.exp(0.02 + slope * age + noise), module


@pytest.mark.parametrize("seed", range(5))
def test_agrees_with_statsmodels_clustered_least_squares(seed):
    import statsmodels.api as sm

    age, ratio, module = bench(seed)
    fit = sm.OLS(np.log(ratio), sm.add_constant(age / 1e4)).fit(
        cov_type="cluster", cov_kwds={"groups": module}
    )
    found = drift(age, ratio, module, level=0.90)
    scale = np.diag([1, 1e-4])
    assert found.intercept == pytest.approx(fit.params[0])
    assert found.slope.value == pytest.approx(fit.params[1] / 1e4)
    np.testing.assert_allclose(found.covariance, scale @ fit.cov_params() @ scale, rtol=1e-8)
    reach = stats.t.ppf(0.95, 8) * fit.bse[1] / 1e4
    assert (found.slope.low, found.slope.high) == pytest.approx(
        (found.slope.value - reach, found.slope.value + reach)
    )
    assert (found.freedom, found.modules, found.readings) == (8, 9, len(age))
    assert (found.oldest_hours, found.slope.exposure) == (age.max(), pytest.approx(age.sum()))
    assert found.note == ""


def test_one_module_is_ordinary_least_squares_and_says_so():
    age, ratio, _ = bench(3)
    found = drift(age, ratio, ["a"] * len(age))
    line = stats.linregress(age, np.log(ratio))
    assert found.slope.value == pytest.approx(line.slope)
    assert np.sqrt(found.covariance[1, 1]) == pytest.approx(line.stderr)
    assert np.sqrt(found.covariance[0, 0]) == pytest.approx(line.intercept_stderr)
    assert (found.freedom, found.modules) == (len(age) - 2, 1)
    assert found.note == "All readings are of one module and count as independent."
    assert found.age_at(0.99).note.endswith("All readings are of one module and count as independent.")


def test_an_exact_line_is_found_by_hand():
    # 10 % in 10,000 h, so 0.8 after ln(0.8) / ln(0.9) times 10,000 h
    found = drift([0, 10_000, 20_000, 30_000, 40_000], 0.9 ** np.arange(5.0), list("aabbb"))
    assert found.age_at(0.8).value == pytest.approx(10_000 * np.log(0.8) / np.log(0.9))
    assert found.age_at(0.8).low == pytest.approx(found.age_at(0.8).high)
    assert found.ratio_at(20_000).value == pytest.approx(0.81)
    assert str(found) == "-10 % in 10,000 h (-10 % to -10 %, 90 % interval; 5 readings of 2 modules)"


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("limit", [0.8, 0.7])
def test_ages_inside_the_limits_are_those_a_scan_would_keep(seed, limit):
    found = drift(*bench(seed))
    t = stats.t.ppf(0.95, found.freedom)
    age = np.linspace(0, 400_000, 400_001)
    miss = found.intercept + found.slope.value * age - np.log(limit)
    spread = t * np.sqrt(
        found.covariance[0, 0] + 2 * age * found.covariance[0, 1] + age**2 * found.covariance[1, 1]
    )
    kept = age[np.abs(miss) <= spread]
    at = found.age_at(limit)
    assert at.low == pytest.approx(kept.min(), abs=1.01)
    assert at.high == pytest.approx(kept.max(), abs=1.01)
    assert at.low < at.value < at.high
    assert (at.failures, at.level) == (found.readings, 0.90)


def test_an_uncertain_drift_has_no_upper_end():
    age, ratio, module = bench(0, slope=-1e-7)
    found = drift(age, ratio, module)
    assert found.slope.low < 0 < found.slope.high
    at = found.age_at(0.5)
    assert at.high is None
    t = stats.t.ppf(0.95, found.freedom)
    grid = np.linspace(0, 5e6, 500_001)
    miss = np.abs(found.intercept + found.slope.value * grid - np.log(0.5))
    spread = t * np.sqrt(
        found.covariance[0, 0] + 2 * grid * found.covariance[0, 1] + grid**2 * found.covariance[1, 1]
    )
    assert at.low == pytest.approx(grid[miss <= spread].min(), abs=11)


def test_a_limit_hugged_all_along_has_no_ends():
    generator = np.random.default_rng(0)
    found = drift(generator.uniform(1, 10, 12), np.exp(generator.normal(0, 0.1, 12)), np.arange(12))
    at = found.age_at(np.exp(found.intercept + found.slope.value * 5.5))
    assert (at.low, at.high) == (None, None)


def test_a_limit_passed_in_the_past_starts_at_age_zero():
    age = np.array([5000, 10_000, 20_000, 30_000, 40_000, 50_000.0])
    found = drift(age, 0.9 * np.exp(-1e-5 * age + [0.02, -0.02, 0.01, -0.01, 0.02, -0.02]), np.arange(6))
    at = found.age_at(0.895)
    assert at.low == 0 and at.high > at.value > 0


def test_esr_that_rises_reaches_two_and_capacitance_that_does_not_fall_reaches_nothing():
    age = np.array([0, 10_000, 20_000, 30_000, 40_000])
    rising = drift(age, np.exp(2e-5 * age + [0.01, -0.01, 0.02, -0.02, 0.0]), np.arange(5))
    assert rising.age_at(2).value == pytest.approx(np.log(2) / 2e-5, rel=0.1)
    assert rising.age_at(0.8).value is None
    assert (rising.age_at(0.8).low, rising.age_at(0.8).high) == (None, None)
    assert rising.age_at(0.8).note == "Not reached: the readings do not drift toward that limit."


def test_readings_that_do_not_move_at_all_reach_nothing():
    found = drift([1, 2, 3, 4, 5], [1.0] * 5, list("abcde"))
    assert found.slope.value == 0
    at = found.age_at(0.8)
    assert (at.value, at.low, at.high) == (None, None, None)


def test_a_limit_met_at_age_zero_is_age_zero():
    found = drift(*bench(1))
    assert found.age_at(np.exp(found.intercept)).value == pytest.approx(0, abs=0.5)
    assert found.age_at(np.exp(found.intercept - 1e-6)).value == pytest.approx(-1e-6 / found.slope.value)
    assert found.age_at(np.exp(found.intercept + 1e-6)).value is None


def test_an_age_beyond_the_oldest_reading_is_called_a_forecast():
    age = np.array([0, 10_000, 20_000, 30_000, 40_000])
    found = drift(age, np.exp(-1e-5 * age + [0.001, -0.001, 0.002, -0.002, 0.0]), np.arange(5))
    assert found.age_at(0.8).value < 40_000 and found.age_at(0.8).note == ""
    assert found.age_at(0.6).note == "A forecast: the oldest reading is at 40,000 h."
    assert found.ratio_at(40_000).note == ""
    assert found.ratio_at(40_001).note == "A forecast: the oldest reading is at 40,000 h."


def test_mean_reading_at_an_age_has_limits_on_the_log_scale():
    found = drift(*bench(1), level=0.80)
    row = np.array([1, 30_000])
    reach = stats.t.ppf(0.9, found.freedom) * np.sqrt(row @ found.covariance @ row)
    at = found.ratio_at(30_000)
    middle = found.intercept + 30_000 * found.slope.value
    assert (at.low, at.value, at.high) == pytest.approx(
        tuple(np.exp([middle - reach, middle, middle + reach]))
    )


def test_four_readings_are_too_few():
    found = drift([1, 2, 3, 4], [1, 0.9, 0.8, 0.7], list("abcd"))
    assert (found.slope.value, found.intercept, found.covariance) == (None, None, None)
    assert found.note == "Only 4 readings: a drift takes at least 5."
    assert found.age_at(0.8) == found.ratio_at(5) == found.slope
    assert str(found) == "no drift to be told. Only 4 readings: a drift takes at least 5."
    assert drift([], [], []).note == "Only 0 readings: a drift takes at least 5."


def test_readings_of_one_age_tell_no_drift():
    assert drift([100] * 6, [0.9] * 6, range(6)).note == "All readings are of one age: no drift to be told."


def test_corner_moves_up_as_capacitance_falls():
    assert corner_shift(0.7) == pytest.approx(10 / 7)  # f = 1 / (2 pi R C)
    np.testing.assert_allclose(corner_shift(np.array([1.0, 0.5])), [1, 2])


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        (([1, 2], [1.0], ["a"]), "A reading needs all three: 2 ages, 1 ratios, 1 modules."),
        (
            ([1, 2], [1.0, 0.0], ["a", "a"]),
            "1 of 2 readings cannot be right; the first is row 2: age 2 h, ratio 0. "
            "An age is 0 or more, a ratio above 0.",
        ),
        (
            ([-1, 2], [1.0, 0.9], ["a", "a"]),
            "1 of 2 readings cannot be right; the first is row 1: age -1 h, ratio 1. "
            "An age is 0 or more, a ratio above 0.",
        ),
        (
            ([1, np.inf], [1.0, 0.9], ["a", "a"]),
            "1 of 2 readings cannot be right; the first is row 2: age inf h, "
            "ratio 0.9. An age is 0 or more, a ratio above 0.",
        ),
        (
            ([1, 2], [1.0, np.inf], ["a", "a"]),
            "1 of 2 readings cannot be right; the first is row 2: age 2 h, ratio inf. "
            "An age is 0 or more, a ratio above 0.",
        ),
    ],
)
def test_what_cannot_be_used_is_said(columns, message):
    with pytest.raises(SpellError) as caught:
        drift(*columns)
    assert str(caught.value) == message


@pytest.mark.parametrize("limit", [0, -0.2])
def test_a_limit_that_is_no_ratio_is_refused(limit):
    with pytest.raises(SpellError) as caught:
        drift(*bench(1)).age_at(limit)
    assert str(caught.value) == f"A limit is a ratio above 0, 0.8 for a loss of 20 %; found {limit}."


def test_fieller_limits_hold_the_true_age_as_often_as_they_say():
    truth, held = np.log(0.8) / -1e-5, []
    generator = np.random.default_rng(12)
    module = np.repeat(np.arange(12), 3)
    for _ in range(400):
        age = generator.uniform(0, 40_000, 36)
        log_ratio = -1e-5 * age + generator.normal(0, 0.03, 36) + generator.normal(0, 0.03, 12)[module]
        at = drift(age, np.exp(log_ratio), module, level=0.90).age_at(0.8)
        held.append(at.low <= truth and (at.high is None or truth <= at.high))
    assert np.mean(held) == pytest.approx(0.90, abs=0.06)
