"""The simulator draws what it says, and its books add up."""

import numpy as np
import pytest

from tests.calibration import frames
from tests.calibration.measure import population_age, true_mean_life
from tests.calibration.simulator import FRAILTY_CV, PARTS, QUARTER, SETTINGS, YEAR, Setting, draw_facility


@pytest.fixture(scope="module")
def facility():
    return draw_facility(np.random.default_rng(5), SETTINGS["usual"])


def test_every_part_is_watched_over_the_whole_of_the_records(facility):
    hours = np.bincount(facility.part, facility.weight * (facility.exit - facility.entry))
    whole = [len(facility.frailty) * part.quantity * facility.end for part in PARTS]
    assert hours == pytest.approx(whole)
    fitted = np.bincount(facility.part, facility.weight * facility.last)
    assert fitted.tolist() == [len(facility.frailty) * part.quantity for part in PARTS]


def test_failures_are_as_many_as_the_true_hazards_make(facility):
    # Frailty times the hazard collected by every part is what a count is Poisson-like about.
    for number, part in enumerate(PARTS):
        rows = facility.part == number
        gone = part.hazard(facility.exit[rows]) - part.hazard(facility.entry[rows])
        expected = np.sum(facility.frailty[facility.module[rows]] * gone * facility.weight[rows])
        failures = facility.weight[rows & facility.event].sum()
        assert abs(failures - expected) < 3.5 * np.sqrt(expected)


def test_the_coming_quarter_is_as_full_as_expected():
    drawn = [draw_facility(np.random.default_rng(seed), SETTINGS["usual"]) for seed in range(40)]
    expected = sum(one.coming_expected().sum() for one in drawn)
    assert abs(sum(one.coming.sum() for one in drawn) - expected) < 3.5 * np.sqrt(expected)


def test_frailties_spread_as_said_and_records_begin_late(facility):
    large = draw_facility(np.random.default_rng(6), Setting(6000, 1.0))
    assert large.frailty.std() == pytest.approx(FRAILTY_CV, rel=0.05)
    assert (facility.entry > 0).mean() > 0.4
    assert facility.entry.max() > 15 * YEAR


def test_moves_swap_pairs_and_cut_spells(facility):
    moved = np.isfinite(facility.moved_at)
    assert moved.mean() == pytest.approx(0.2)
    assert sorted(facility.slot[1]) == sorted(facility.slot[0])
    assert (facility.slot[0] != facility.slot[1])[moved].all()
    assert set(np.unique(facility.module[facility.stay == 1])) == set(np.flatnonzero(moved))


def test_re_caps_cut_electrolytics_short_and_nothing_else(facility):
    last_stay = facility.stay == np.isfinite(facility.moved_at)[facility.module]
    cut = ~facility.event & ~facility.last & last_stay
    assert cut.any()
    assert {PARTS[number].kind for number in np.unique(facility.part[cut])} == {"electrolytic"}


def test_without_spread_all_modules_are_alike():
    assert (draw_facility(np.random.default_rng(1), Setting(20, 1.0), frailty_cv=0).frailty == 1).all()


def test_truths_of_the_population_in_closed_form():
    # Shape 2, scale 60, v = 1/4: (1 + H / 4)^-4 = 0.9 at H = 4 (0.9^-0.25 - 1) = 0.10676; age 60 * 0.32674 = 19.60.
    switch = PARTS[1]
    assert population_age(switch, 0.1) / YEAR == pytest.approx(19.60, abs=0.005)
    # Constant rate, shape 1: the integral of (1 + a t)^-4 from 0 is (1 - (1 + a T)^-3) / (3 a), a = 1 / (4 * 180).
    chip, a = PARTS[2], 1 / 720
    assert true_mean_life(chip, 0.0, 30 * YEAR) / YEAR == pytest.approx(
        (1 - (1 + 30 * a) ** -3) / (3 * a), rel=1e-6
    )


def test_frames_carry_every_failure_and_hour(facility):
    spells, stays, faults = (
        make(facility) for make in (frames.part_spell_frame, frames.stay_frame, frames.fault_frame)
    )
    slots = frames.slot_frame(facility)
    assert stays["exposure_hours"].sum() == pytest.approx(len(facility.frailty) * facility.end)
    assert faults["part_type"].notna().sum() == spells.loc[spells["event"], "weight"].sum()
    assert slots["position"].nunique() == slots["serial"].nunique() == 200
    assert (slots["hours_ahead"] == QUARTER).all()
    last = spells[spells["still_fitted"]].drop_duplicates("serial").set_index("serial")["position"]
    assert (last == slots.set_index("serial")["position"].reindex(last.index)).all()
    assert frames.module_years(facility) == pytest.approx(2400)
