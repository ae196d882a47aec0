from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.hazards import PartHazard
from maintkit.decide.heat import cooler, energy_of, fewer_hours

YEAR = 8766.0


def arrhenius_factor(energy_ev, cool_c, hot_c):
    """How many times as fast at the hotter: exp(E / k (1/T - 1/T')), k = 8.617333e-5 eV/K (CODATA)."""
    return np.exp(energy_ev / 8.617333262e-5 * (1 / (cool_c + 273.15) - 1 / (hot_c + 273.15)))


def drawn(make, energy_ev, hot_c=50.0, seed=5):
    """Half the modules in air of 35 °C, half in hotter air, where parts last shorter by the Arrhenius law."""
    dice, halves = make.generator(seed), []
    for air, modules in ((35.0, "cool"), (hot_c, "hot")):
        life = 10 * YEAR / arrhenius_factor(energy_ev, 35.0, air)
        spells = make.drawn(dice, modules=25, parts=20, shape=3.0, scale=life)
        halves.append(spells.assign(air_c=air, serial=modules + spells["serial"]))
    return pd.concat(halves, ignore_index=True)


def test_the_energy_planted_is_found(make):
    found = energy_of(drawn(make, 0.4)).of_family["longshore"]
    assert found.low < 0.4 < found.high
    assert found.high - found.low < 0.2


def test_air_too_much_alike_or_too_few_failures_tell_nothing(make):
    alike = energy_of(drawn(make, 0.4, hot_c=37.0))
    assert alike.told == {}
    assert alike.by_part["note"].tolist() == ["cannot tell: all within 5 °C"]
    few = drawn(make, 0.4)
    few = energy_of(few.assign(event=few["event"] & (few.groupby("event").cumcount() < 4)))
    assert few.by_part["note"].tolist() == ["cannot tell: fewer than 5 failures"]


def test_families_are_never_pooled(make):
    both = pd.concat([drawn(make, 0.4), drawn(make, 0.4, hot_c=36.0).assign(family="saltmarsh")])
    assert list(energy_of(both).told) == ["longshore"]


def one_desk(make, age=10.0, air=50.0, shape=2.0, hours_a_week=168.0):
    """One module of 100 capacitors, of which 1 in 100 has failed by 10 years; a quarter of a year is 2191.5 hours."""
    hazard = PartHazard(
        "longshore",
        "cap",
        "electrolytic",
        10 * YEAR,
        (),
        np.array([np.log(shape), np.log(0.01)]),
        np.zeros((2, 2)),
        90,
        1e9,
    )
    spells = make.spells([{"exit": age * YEAR, "weight": 100, "still_fitted": True, "air_c": air}])
    quarter = YEAR / 4 * hours_a_week / 168
    slots = pd.DataFrame({"desk": ["Heron"], "position": "1", "serial": "M1", "hours_ahead": quarter})
    modules = pd.DataFrame({"serial": ["M1"], "frailty": 2.0, "faults_per_failure": 1.0})
    risen = ((age + 4 * quarter / YEAR) ** shape - age**shape) / 100
    forecast = SimpleNamespace(
        hazards=[hazard],
        modules=modules,
        slots=pd.DataFrame({"desk": ["Heron"], "expected_faults": 2 * risen / 4 + 0.05}),
    )
    return SimpleNamespace(part_spells=spells), forecast, slots


def test_cooler_air_slows_the_ageing_to_come_and_leaves_the_age(make):
    evidence, forecast, slots = one_desk(make)
    row = cooler(evidence, forecast, slots, energy_of(drawn(make, 0.4)), change_c=-10.0).iloc[0]
    # the law: twice the life at 40 as at 50 °C, so half a year of ageing in a year; the 0.2 other faults stay
    now, then = 2 * (11.0**2 - 100) / 100, 2 * (10.5**2 - 100) / 100
    assert row["faults_now"] == pytest.approx(now + 0.2)
    assert row["faults_by_rule"] == pytest.approx(then + 0.2)
    assert (row["interval_times_by_rule"], row["in_range"]) == (2.0, 1.0)
    assert row["faults_then_low"] < row["faults_then"] < row["faults_then_high"] < row["faults_now"]


def test_below_40_degrees_the_law_gains_nothing(make):
    evidence, forecast, slots = one_desk(make, air=38.0)
    row = cooler(evidence, forecast, slots, energy_of(evidence.part_spells), change_c=-10.0).iloc[0]
    assert row["faults_by_rule"] == pytest.approx(row["faults_now"])
    assert (row["interval_times_by_rule"], row["in_range"]) == (1.0, 0.0)
    assert np.isnan(row["faults_then"])


def test_half_the_hours_are_half_the_ageing_and_half_the_other_faults(make):
    row = fewer_hours(*one_desk(make), hours_a_week=84.0).iloc[0]
    assert row["faults_then"] == pytest.approx(2 * (10.5**2 - 100) / 100 + 0.1)
    assert (row["hours_now"], row["recap_calendar_times"]) == (168.0, 2.0)


def test_a_desk_already_off_at_night_is_left_out(make):
    assert fewer_hours(*one_desk(make, hours_a_week=84.0), hours_a_week=84.0).empty


def test_a_module_that_has_not_run_since_it_moved_counts_where_it_is_now_and_its_air_is_not_known(make):
    evidence, forecast, slots = one_desk(make)
    moved = SimpleNamespace(part_spells=evidence.part_spells.assign(desk="Curlew"))
    assert len(cooler(moved, forecast, slots, energy_of(drawn(make, 0.4)), change_c=-10.0)) == 0
    pd.testing.assert_frame_equal(
        fewer_hours(moved, forecast, slots, hours_a_week=84.0),
        fewer_hours(evidence, forecast, slots, hours_a_week=84.0),
    )
