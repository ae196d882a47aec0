"""Few records and odd ones: limits that widen, never a number that is none."""

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.past_quarters import cut, quarter_edges
from maintkit.decide.priority import next_quarter

YEAR = 8766.0
BEGUN, END = pd.Timestamp("2016-01-01"), pd.Timestamp("2023-12-31")


def forecast(make, spells, faults=None, *, years=8.0):
    slots = spells.drop_duplicates("serial")[["desk", "position", "serial"]].assign(hours_ahead=YEAR / 4)
    faults = make.faults(spells) if faults is None else faults
    return next_quarter(spells, make.stays(spells, years), make.seen(faults), slots)


def whole(found):
    numbers = found.count_limits.drop(columns=["scope", "desk"]).to_numpy(float)
    assert np.isfinite(numbers).all()
    assert np.isfinite(
        found.slots[["expected_faults", "module_factor", "slot_factor", "level"]].to_numpy(float)
    ).all()
    assert (found.count_limits["faults_low"] <= found.count_limits["faults_high"]).all()
    return found.count_limits.iloc[-1]


def others(make, quarters, *, modules=40, years=8.0):
    """Faults in which no part was replaced, one in each of these quarters (by number), modules taken in turn."""
    rows = [
        {"serial": f"M{n:03d}", "position": str(n), "exit": years * YEAR, "still_fitted": True}
        for n in range(modules)
    ]
    spells = make.spells(rows)
    faults = make.faults(spells.assign(event=True)).assign(part_type=None, kind=None)
    faults = faults.iloc[np.arange(len(quarters)) % modules].reset_index(drop=True)
    starts = pd.date_range(BEGUN, periods=int(4 * years), freq="QS")
    return spells, faults.assign(quarter=starts[np.asarray(quarters, int)])


def test_one_desk_in_its_first_quarter(make):
    spells, faults = others(make, [0, 0, 0], years=0.25)
    limits = whole(forecast(make, spells, faults, years=0.25))
    assert limits["faults_low"] == 0
    assert limits["faults_high"] >= 5


def test_no_fault_for_years_is_few_but_not_none(make):
    spells, faults = others(make, [0, 1, 2, 3] * 5)
    silent = whole(forecast(make, spells, faults))
    spells, faults = others(make, list(range(32)))
    steady = whole(forecast(make, spells, faults))
    assert 0 < silent["expected_faults"] < 0.6 * steady["expected_faults"]
    assert steady["expected_faults"] == pytest.approx(1.0, abs=0.25)


def test_a_hundred_times_the_faults_in_one_quarter_widen_the_limits(make):
    spells, faults = others(make, list(range(32)) * 2)
    calm = whole(forecast(make, spells, faults))
    spells, faults = others(make, [*list(range(32)) * 2, *[31] * 198])
    wild = whole(forecast(make, spells, faults))
    assert wild["faults_high"] - wild["faults_low"] > 5 * (calm["faults_high"] - calm["faults_low"])
    assert wild["expected_faults"] > calm["expected_faults"]


def test_a_year_without_power_is_no_year_without_faults(make):
    spells, faults = others(make, [n for n in range(28)] * 2)
    stays = make.stays(spells, 7.0)
    slots = spells[["desk", "position", "serial"]].assign(hours_ahead=YEAR / 4)
    found = next_quarter(spells, stays, make.seen(faults), slots, record_end=END.date())
    limits = whole(found)
    assert limits["level"] == pytest.approx(1.0, abs=0.25)


def test_a_desk_a_quarter_old_has_a_forecast_beside_an_old_one(make):
    spells, faults = others(make, list(range(32)) * 2)
    spells.loc[spells.index[30:], "desk"] = "Plover"
    stays = make.stays(spells)
    young = stays["desk"] == "Plover"
    stays.loc[young, "from_on"] = pd.Timestamp("2023-10-01")
    stays.loc[young, "exposure_hours"] = YEAR / 4
    faults = faults[faults["serial"] < "M030"]
    slots = spells[["desk", "position", "serial"]].assign(hours_ahead=YEAR / 4)
    found = next_quarter(spells, stays, make.seen(faults), slots)
    whole(found)
    width = (found.count_limits["level_high"] - found.count_limits["level_low"]).tolist()
    assert width[1] > width[0]


def test_quarters_are_cut_at_their_first_days():
    edges = quarter_edges(pd.Timestamp("2026-02-10").date(), pd.Timestamp("2026-06-30").date())
    assert edges[1:].astype("datetime64[D]").astype(str).tolist() == [
        "2026-01-01",
        "2026-04-01",
        "2026-07-01",
    ]
    row, period, start, stop = cut(edges[1:2] + 80, edges[1:2] + 100, edges)
    assert (row.tolist(), period.tolist(), start.tolist(), stop.tolist()) == (
        [0, 0],
        [1, 2],
        [0.0, 0.5],
        [0.5, 1.0],
    )


def test_parts_that_all_fail_at_one_old_age_say_little_of_new_ones_but_break_nothing(make):
    rows = []
    for n in range(40):
        about = {"serial": f"M{n:03d}", "position": str(n), "from_on": BEGUN, "to_on": END}
        fails, age = n % 8 == 0, 27.5 + 0.02 * n
        changed = BEGUN + pd.Timedelta((age - 21.0) * YEAR, "h")
        rows.append(
            about
            | {"entry": 21 * YEAR, "exit": age * YEAR, "event": fails, "still_fitted": not fails}
            | {"to_on": changed}
        )
        if fails:
            new = {"entry": 0, "exit": 9.0, "from_on": changed, "still_fitted": True}
            rows.append(about | new)
    limits = whole(forecast(make, make.spells(rows)))
    assert limits["expected_faults_high"] < 400


def test_what_stands_for_a_whole_desk_has_a_forecast_and_its_place_behind_the_slots(make):
    spells, faults = others(make, list(range(32)) * 2, modules=4)
    spells.loc[spells["serial"] == "M000", ["desk", "position"]] = "Plover", "all"
    faults = pd.concat([faults, *[faults.assign(serial="M000", desk="Plover", position="all")] * 3])
    slots = spells[["desk", "position", "serial"]].assign(hours_ahead=YEAR / 4)
    slots["is_desk"] = slots["desk"] == "Plover"
    found = next_quarter(spells, make.stays(spells), make.seen(faults), slots)
    assert found.slots["desk"].tolist() == ["Heron"] * 3 + ["Plover"]
    assert found.slots["rank"].tolist() == [1, 2, 3, 4]
    assert (found.slots["rank_high"].iloc[:3] <= 3).all() and found.slots["rank_low"].iloc[3] == 4
    assert found.slots["expected_faults"].idxmax() == 3 and "is_desk" not in found.slots
