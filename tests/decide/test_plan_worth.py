"""What an overhaul saves, reckoned by hand for one module."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.hazards import PartHazard
from maintkit.decide.minutes import MinutesPerFault
from maintkit.decide.plan_worth import Overhaul, early_faults, overhaul_worth
from maintkit.decide.replacement_costs import MINUTES_PER_CAPACITOR, connector_wear

YEAR = 8766.0
WORK = pd.DataFrame(
    columns=[
        "repair",
        "serial",
        "done_on",
        "action",
        "part_type",
        "family",
        "module_type",
        "bench_minutes",
        "rework_cycles",
        "quantity",
    ]
).astype({"done_on": "datetime64[ns]", "bench_minutes": float, "rework_cycles": float, "quantity": float})


def book(make, age=10.0, kind="electrolytic", cleaned=0, work=WORK, returns=()):
    """One module, frailty 2, of 100 parts, 1 in 100 failed by 10 years, shape 2; a fault costs 15 minutes."""
    spells = make.spells([{"exit": age * YEAR, "weight": 100, "still_fitted": True, "kind": kind}])
    stays = make.stays(spells, years=10.0).assign(
        rework_cycles=0, from_on=pd.Timestamp("2014-01-01"), to_on=pd.Timestamp("2024-01-01")
    )
    rows = [("fault", "clean", None)] * cleaned + [("return", "replace", repair) for repair in returns]
    faults = pd.DataFrame(rows, columns=["class", "action", "return_of"]).assign(
        counts=lambda frame: frame["class"] == "fault",
        family="longshore",
        kind=None,
        desk="Heron",
        position="1",
        minutes_lost=15.0,
    )
    roster = pd.DataFrame({"serial": ["M1"], "module_type": "channel", "board_era": "A", "rework_cycles": 2})
    hazard = PartHazard(
        "longshore",
        "cap",
        kind,
        10 * YEAR,
        (),
        np.array([np.log(2.0), np.log(0.01)]),
        1e-12 * np.eye(2),
        90,
        1e9,
    )
    modules = pd.DataFrame(
        {
            "serial": ["M1"],
            "family": "longshore",
            "faults_per_failure": 1.0,
            "frailty": 2.0,
            "frailty_error": 0.0,
            "faults": 20,
            "expected": 10.0,
        }
    )
    places = pd.DataFrame(
        {"desk": ["Heron"], "position": "1", "minutes_per_fault": 15.0, "expected_minutes_lost": 4.0}
    )
    sure = np.array([2e8]), np.array([1e8])
    minutes = MinutesPerFault(np.log1p([15.0]), np.zeros(1), np.ones(1))
    forecast = SimpleNamespace(
        modules=modules,
        slots=places,
        hazards=[hazard],
        minutes=minutes,
        spread=SimpleNamespace(posterior=lambda: sure),
        shared={"longshore": 0.0},
    )
    slots = pd.DataFrame({"desk": ["Heron"], "position": "1", "serial": "M1", "hours_ahead": YEAR / 4})
    return (
        SimpleNamespace(part_spells=spells, stays=stays, faults=faults, work=work, roster=roster),
        forecast,
        slots,
    )


def saved(*args, overhaul=Overhaul(years=2.0), **more):
    return overhaul_worth(*book(*args, **more), overhaul=overhaul).modules["minutes_saved"].iloc[0]


def test_saved_is_what_old_parts_would_fail_more_than_new_ones(make):
    old, new = (12**2 - 10**2) / 100, 2**2 / 100  # failures of 100 parts in two years
    assert saved(make) == pytest.approx(15 * (2 * (old - new) - 0.08))
    assert saved(make, age=0.0) == pytest.approx(-15 * 0.08)


def test_nothing_but_electrolytics_grows_younger(make):
    assert saved(make, kind="ic") == pytest.approx(-15 * 0.08)
    assert overhaul_worth(*book(make, kind="ic")).modules["kit"].tolist() == [{}]


def test_half_the_faults_that_cleaning_answers_are_prevented(make):
    # half a fault a module-year, two years, half prevented, frailty 2
    more = saved(make, cleaned=5) - saved(make)
    assert more == pytest.approx(15 * 2 * 0.5 * 0.5 * 2)
    assert saved(make, cleaned=5, overhaul=Overhaul(years=2.0, cleaning_saves=0.0)) == pytest.approx(
        saved(make)
    )


@pytest.mark.parametrize("age", [0.0, 10.0])
def test_what_new_capacitors_save_by_themselves_stands_beside_it(make, age):
    cleaned, plain = (
        overhaul_worth(*book(make, age=age, cleaned=number)).modules.iloc[0] for number in (50, 0)
    )
    assert cleaned["minutes_saved"] > plain["minutes_saved"] == pytest.approx(plain["minutes_by_capacitors"])
    assert cleaned["minutes_by_capacitors"] == pytest.approx(plain["minutes_saved"])
    assert cleaned["faults_by_capacitors"] == pytest.approx(plain["minutes_saved"] / 15 / 2)


def test_early_faults_are_learnt_from_the_re_caps_on_record(make):
    work = pd.DataFrame(
        {
            "repair": [f"R{n}" for n in range(14)],
            "serial": "M1",
            "done_on": pd.Timestamp("2015-01-01"),
            "action": "re-cap",
            "part_type": None,
            "family": "longshore",
            "module_type": "channel",
            "bench_minutes": np.nan,
            "rework_cycles": 0.0,
            "quantity": 1.0,
        }
    )
    evidence, *_ = book(make, work=work, returns=("R1", "R5", "R9", "R99"))
    assert early_faults(evidence) == pytest.approx((3 + 6 * 0.08) / 20)


def test_it_says_what_the_work_takes(make):
    row = overhaul_worth(*book(make)).modules.iloc[0]
    assert (row["kit"], row["capacitors"], row["joints"], row["bench_minutes"]) == (
        {"cap": 100},
        100,
        200,
        100 * MINUTES_PER_CAPACITOR,
    )


def test_limits_hold_the_mean_and_going_on_counts_every_slot(make):
    worth = overhaul_worth(*book(make), overhaul=Overhaul(years=3.0))
    row = worth.modules.iloc[0]
    assert row["minutes_saved_low"] <= row["minutes_saved"] <= row["minutes_saved_high"]
    assert worth.minutes_going_on == 4.0 * 4 * 3
    assert worth.draws.shape == (400, 1)


def test_every_fault_of_a_connector_is_laid_at_the_matings_before_it():
    # M1 came back into a slot twice, a re-cap in place between cuts the stay but mates nothing: 0, 1, 1 and 2 matings
    days = pd.to_datetime(["2014-01-01", "2015-01-01", "2016-01-01", "2017-01-01", "2018-01-01"])
    stays = pd.DataFrame(
        {
            "serial": "M1",
            "desk": "Heron",
            "position": ["1", "2", "2", "2"],
            "from_on": days[:4],
            "to_on": [days[1], days[2], days[2] + pd.Timedelta(days=300), days[4]],
            "exposure_hours": [YEAR, YEAR, 2 * YEAR, 3 * YEAR],
        }
    )
    faults = pd.DataFrame({"counts": [True, True, False], "kind": ["connector", "ic", "connector"]})
    assert connector_wear(stays, faults) == pytest.approx(1 / (0 * 1 + 1 * 1 + 1 * 2 + 2 * 3))
    assert connector_wear(stays.head(1), faults) == 0


def test_what_the_work_brings_is_taken_off(make):
    evidence, forecast, slots = book(make)
    plain = overhaul_worth(evidence, forecast, slots, overhaul=Overhaul(years=2.0))
    days = pd.to_datetime(["2014-01-01", "2015-01-01", "2016-01-01"])
    stays = pd.concat([evidence.stays] * 2, ignore_index=True).assign(
        from_on=days[:2],
        to_on=days[:2] + pd.Timedelta(days=300),
        exposure_hours=5 * YEAR,
        rework_cycles=[0, 1],
    )
    bad = pd.DataFrame(
        {
            "class": "fault",
            "action": ["bridge track", "replace"],
            "return_of": None,
            "counts": True,
            "family": "longshore",
            "kind": [None, "connector"],
            "desk": "Heron",
            "position": "1",
            "minutes_lost": 15.0,
        }
    )
    evidence.stays, evidence.faults = stays, bad
    worse = overhaul_worth(evidence, forecast, slots, overhaul=Overhaul(years=2.0))
    # one fault of tracks and one of connectors in 5 years x 1 cycle or mating: 0.2 a year each, two years, 15 minutes
    assert (worse.brought.tracks, worse.brought.connectors) == (0.2, 0.2)
    lost = plain.modules["minutes_saved"].iloc[0] - worse.modules["minutes_saved"].iloc[0]
    assert lost == pytest.approx(15 * 2 * (0.2 + 0.2))


def test_limits_carry_the_doubt_of_the_session_minutes(make):
    evidence, forecast, slots = book(make, cleaned=4)
    sure = overhaul_worth(evidence, forecast, slots).modules.iloc[0]
    forecast.minutes = replace(forecast.minutes, error=np.array([0.8]))
    unsure = overhaul_worth(evidence, forecast, slots).modules.iloc[0]
    assert sure["minutes_saved_high"] - sure["minutes_saved_low"] < 0.5 * (
        unsure["minutes_saved_high"] - unsure["minutes_saved_low"]
    )


def test_limits_carry_the_doubt_of_the_level_that_a_family_shares(make):
    evidence, forecast, slots = book(make, cleaned=4)
    sure = overhaul_worth(evidence, forecast, slots).draws
    forecast.shared = {"longshore": 0.25}
    unsure = overhaul_worth(evidence, forecast, slots).draws
    # the faults spared are moved by exp(N(-v/2, v)): their mean stays, their log spreads by 0.5
    brought = 15 * 0.08  # what the work brings is not of the family's level
    assert np.log((unsure + brought) / (sure + brought)).std() == pytest.approx(0.5, abs=0.06)


def test_faults_laid_on_a_slot_are_no_reason_to_overhaul_the_module(make):
    evidence, forecast, slots = book(make)
    forecast.spread = SimpleNamespace(shape=4.0)
    own, slot = (
        overhaul_worth(evidence, forecast, slots, of_slots=of).modules.iloc[0] for of in ({}, {"M1": 18})
    )
    assert (own["faults"], slot["faults"]) == (20, 2)
    # 20 faults, 18 of them the slot's: a gamma factor of shape 4 is then 6 / 24 of what it was
    gain = own["minutes_by_capacitors"] + 15 * 0.08
    assert slot["minutes_by_capacitors"] == pytest.approx(gain * 6 / 24 - 15 * 0.08)
