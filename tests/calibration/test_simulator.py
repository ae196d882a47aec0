"""The simulator draws what it says, and its books add up."""

import numpy as np
import pytest

from tests.calibration import truth
from tests.calibration.book import FIRST_DAY, record_tables
from tests.calibration.plant import END, GAMMA_VARIANCE, PARTS, QUARTER, WIDE_VARIANCE, YEAR, draw_factors
from tests.calibration.simulator import SEED, STEPS, draw_facility, level, likely_factor
from tests.calibration.worlds import WORLDS


@pytest.fixture(scope="module")
def base():
    return [draw_facility("base", number) for number in range(6)]


def test_the_same_number_gives_the_same_facility(base):
    again = draw_facility("base", 3)
    assert again.faults.equals(base[3].faults)
    assert (again.expected == base[3].expected).all()
    assert len(draw_facility("base", 7).faults) != len(again.faults)


def test_faults_are_as_many_as_the_true_hazards_make(base):
    # A count is Poisson about the factor times what a module of factor 1 collects.
    expected = sum(float(one.collected @ one.plant.factor) for one in base)
    assert abs(sum(len(one.faults) for one in base) - expected) < 3.5 * np.sqrt(expected)


def test_the_coming_quarter_is_as_full_as_expected():
    drawn = [draw_facility("base", number) for number in range(20)]
    expected = sum(one.expected.sum() for one in drawn)
    assert abs(sum(one.coming.sum() for one in drawn) - expected) < 3.5 * np.sqrt(expected)


def test_factors_have_mean_one_and_the_spread_of_their_world():
    generator = np.random.default_rng(SEED)
    for spread, variance in (("gamma", GAMMA_VARIANCE), ("lognormal", WIDE_VARIANCE)):
        drawn = draw_factors(generator, spread, 400_000)
        assert drawn.mean() == pytest.approx(1, abs=0.02)
        assert drawn.var() == pytest.approx(variance, rel=0.15)


def test_lognormal_lives_have_the_same_medians():
    for part in PARTS:
        median = part.scale_years * np.log(2) ** (1 / part.shape)
        assert part.hazard(median) == pytest.approx(np.log(2))
        assert part.hazard(median, "lognormal") == pytest.approx(np.log(2))


def test_the_planner_reckons_with_the_spread_of_the_factors():
    # Gamma: (1 / v + n) / (1 / v + expected). Lognormal, nothing seen and nothing expected: the mean, 1.
    assert likely_factor("gamma", np.array([3.0]), np.array([1.0])) == pytest.approx(
        (1 / GAMMA_VARIANCE + 3) / (1 / GAMMA_VARIANCE + 1)
    )
    assert likely_factor("lognormal", np.zeros(1), np.zeros(1)) == pytest.approx(1, abs=0.03)


def test_levels_change_as_the_worlds_say():
    doubles, wanders = WORLDS["use doubles"], WORLDS["level wanders"]
    assert level(doubles, END - YEAR - 1, 0).tolist() == [1, 1, 1]
    assert level(doubles, END + QUARTER, 0).tolist() == [2, 1, 1]
    assert level(wanders, 1000.0, 1000.0).tolist() == [0.5, 0.5, 0.5]
    assert level(wanders, 1000.0 + YEAR, 1000.0)[0] == pytest.approx(0.5**0.5)
    assert level(wanders, 1000.0 + 2 * YEAR, 1000.0).tolist() == [1, 1, 1]


def test_half_the_modules_move_in_the_world_of_slots_and_factors_stay_behind():
    facility = draw_facility("frailty of the slot", 0)
    assert len(facility.moves) / len(facility.plant.slot) == pytest.approx(0.5, abs=0.03)
    assert (facility.plant.factor == 1).all()
    assert facility.plant.slot_factor.var() > 0.1
    assert sorted(facility.plant.slot) == list(range(len(facility.plant.slot)))


def test_unreported_faults_are_in_no_table():
    facility = draw_facility("reporting starts", 1)
    tickets = record_tables(facility)["tickets"]
    known = facility.faults["reported"].sum()
    assert known < len(facility.faults)
    assert (tickets["outcome"] != "no fault found").sum() == known


def test_work_that_is_missing_or_late_leaves_its_ticket():
    for world in ("missing work", "work written late"):
        tables = record_tables(draw_facility(world, 0))
        answered = set(tables["repairs"]["ticket"].dropna())
        asked = tables["tickets"].loc[tables["tickets"]["outcome"] != "no fault found", "ticket"]
        assert answered < set(asked)


def test_useless_re_caps_are_written_but_leave_the_capacitors_as_they_were():
    works, useless = (draw_facility(f"worst first, re-caps {what}", 0) for what in ("work", "useless"))
    for facility in (works, useless):
        assert (facility.recaps["day"] > 0).sum() > 50
    new, old = works.after_recap
    assert new < 0.85 * old
    new, old = useless.after_recap
    assert new == pytest.approx(old)


def test_the_bad_batch_ages_the_capacitors_of_a_third_of_the_first_desk():
    plant = draw_facility("bad batch", 0).plant
    poor = np.unique(plant.module[plant.poor])
    assert set(plant.home[poor]) == {0}
    assert len(poor) / np.count_nonzero(plant.home == 0) == pytest.approx(0.3, abs=0.03)


def test_no_designator_is_written_where_the_world_has_none():
    assert record_tables(draw_facility("no designators", 0))["repairs"]["ref"].isna().all()
    assert record_tables(draw_facility("base", 0))["repairs"]["ref"].notna().any()


def test_every_day_lies_within_the_records(base):
    tables = record_tables(base[0])
    last = FIRST_DAY + np.timedelta64(END, "D")
    assert tables["tickets"]["raised_on"].between(FIRST_DAY, last, inclusive="left").all()
    assert (tables["repairs"]["done_on"] < last).all()
    assert STEPS[0] == 0
    assert STEPS[-1] == END


def test_ages_of_a_tenth_in_closed_form():
    # Gamma, shape k, scale s, no effect: age = s ((0.9^-v - 1) / v)^(1 / k).
    facility = draw_facility("base", 0)
    fader = next(part for part in PARTS if part.kind == "fader")
    closed = fader.scale_years * ((0.9**-GAMMA_VARIANCE - 1) / GAMMA_VARIANCE) ** (1 / fader.shape)
    assert truth.population_b10(facility, fader) == pytest.approx(closed, rel=1e-3)
