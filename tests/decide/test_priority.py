import numpy as np
import pandas as pd
import pytest

from maintkit.decide.expectation import watched_modules
from maintkit.decide.priority import BY_MODULE, next_quarter

YEAR = 8766.0
QUARTER = YEAR / 4


def slots_of(spells, hours=QUARTER, extra=()):
    places = spells.drop_duplicates("serial")[["desk", "position", "serial"]]
    return pd.concat(
        [places, pd.DataFrame(list(extra), columns=["desk", "position", "serial"])], ignore_index=True
    ).assign(hours_ahead=hours)


@pytest.fixture
def facility(make):
    generator = make.generator(21)
    frailty = generator.gamma(2.0, 0.5, 60)
    spells = make.drawn(generator, modules=60, parts=20, shape=2.0, scale=12 * YEAR, frailty=frailty)
    return spells, frailty, make


def test_every_slot_has_a_row_and_the_ranks_run_from_one(facility):
    spells, _, make = facility
    found = next_quarter(spells, make.stays(spells), make.seen(make.faults(spells)), slots_of(spells)).slots
    assert len(found) == 60
    assert found["rank"].tolist() == list(range(1, 61))
    assert found["expected_minutes_lost"].is_monotonic_decreasing
    assert (found["expected_faults_low"] < found["expected_faults"]).all()
    assert (found["expected_faults"] < found["expected_faults_high"]).all()
    assert ((found["rank_low"] <= found["rank"]) & (found["rank"] <= found["rank_high"])).all()


def test_the_total_is_what_the_law_predicts(facility):
    spells, frailty, make = facility
    found = next_quarter(spells, make.stays(spells), make.seen(make.faults(spells)), slots_of(spells)).slots
    fitted = spells[spells["still_fitted"]]
    factor = frailty[fitted["serial"].str[1:].astype(int)]
    truth = (
        factor * (((fitted["exit"] + QUARTER) / (12 * YEAR)) ** 2 - (fitted["exit"] / (12 * YEAR)) ** 2)
    ).sum()
    assert found["expected_faults"].sum() == pytest.approx(truth, rel=0.1)


def test_limits_hold_the_true_expected_number_about_nine_times_in_ten(facility):
    spells, frailty, make = facility
    found = next_quarter(spells, make.stays(spells), make.seen(make.faults(spells)), slots_of(spells)).slots
    fitted = spells[spells["still_fitted"]]
    each = ((fitted["exit"] + QUARTER) / (12 * YEAR)) ** 2 - (fitted["exit"] / (12 * YEAR)) ** 2
    truth = each.groupby(fitted["position"]).sum()
    truth = truth * frailty[truth.index.astype(int)]
    merged = found.set_index("position").join(truth.rename("truth"))
    held = (
        (merged["expected_faults_low"] <= merged["truth"])
        & (merged["truth"] <= merged["expected_faults_high"])
    ).mean()
    assert 0.8 <= held <= 1.0


def test_a_bad_module_ranks_above_a_good_one_and_its_reason_says_why(make):
    generator = make.generator(8)
    frailty = np.full(40, 0.9)
    frailty[7] = 6.0
    spells = make.drawn(generator, modules=40, parts=20, shape=1.5, scale=20 * YEAR, frailty=frailty)
    top = next_quarter(
        spells, make.stays(spells), make.seen(make.faults(spells)), slots_of(spells)
    ).slots.iloc[0]
    seen = int(spells.loc[spells["serial"] == "M007", "event"].sum())
    assert top["position"] == "7"
    assert f"the module had {seen} faults where its parts predict" in top["reason"]
    assert top["reason"].endswith("a fault here costs about 20 session minutes.")


def test_one_bad_quarter_shrinks_toward_what_the_parts_predict(facility):
    spells, frailty, make = facility
    modules = next_quarter(
        spells, make.stays(spells), make.seen(make.faults(spells)), slots_of(spells)
    ).modules
    raw = modules["faults"] / modules["expected"]
    assert ((modules["frailty"] - 1).abs() <= (raw - 1).abs() + 0.02).mean() > 0.95  # drawn, hence 0.02


def test_an_empty_slot_stands_last_without_a_number(facility):
    spells, _, make = facility
    slots = slots_of(spells, extra=[("Heron", "99", None)])
    last = next_quarter(spells, make.stays(spells), make.seen(make.faults(spells)), slots).slots.iloc[-1]
    assert last["position"] == "99"
    assert np.isnan(last["expected_faults"])
    assert (
        last["reason"]
        == "No module is recorded in this slot, so nothing can be forecast; a fitments row would let it."
    )


def test_a_desk_off_at_night_expects_half(facility):
    spells, _, make = facility
    stays, faults = make.stays(spells), make.seen(make.faults(spells))
    full = next_quarter(spells, stays, faults, slots_of(spells)).slots["expected_faults"].sum()
    half = (
        next_quarter(spells, stays, faults, slots_of(spells, hours=QUARTER / 2))
        .slots["expected_faults"]
        .sum()
    )
    assert half == pytest.approx(full / 2, rel=0.05)


def test_two_modules_in_a_slot_add_up(make):
    spells = make.drawn(make.generator(9), modules=40, parts=20, shape=1.5, scale=20 * YEAR)
    spells["position"] = (spells["serial"].str[1:].astype(int) // 2).astype(str)
    found = next_quarter(spells, make.stays(spells), make.seen(make.faults(spells)), slots_of(spells))
    assert len(found.slots) == 20
    assert found.slots["expected_faults"].sum() > 0


def test_what_a_fault_costs_stands_in_the_order_of_the_slots(facility):
    spells, _, make = facility
    faults = make.faults(spells)
    faults["minutes_lost"] = 5.0 + 3 * faults["position"].astype(int)
    found = next_quarter(spells, make.stays(spells), make.seen(faults), slots_of(spells))
    assert found.slots["minutes_per_fault"].nunique() > 10
    assert found.minutes.mean == pytest.approx(found.slots["minutes_per_fault"])


def test_the_same_seed_gives_the_same_answer(facility):
    spells, _, make = facility
    arguments = spells, make.stays(spells), make.seen(make.faults(spells)), slots_of(spells)
    pd.testing.assert_frame_equal(next_quarter(*arguments).slots, next_quarter(*arguments).slots)


def test_faults_in_which_no_part_is_replaced_are_expected_too(make):
    spells = make.spells(
        [{"serial": f"M{n}", "position": str(n), "exit": 8 * YEAR, "still_fitted": True} for n in range(40)]
    )
    faults = make.faults(spells.assign(event=True)).assign(part_type=None, kind=None)
    faults["quarter"] = pd.date_range("2016-01-01", periods=32, freq="QS")[np.arange(40) * 32 // 40]
    found = next_quarter(spells, make.stays(spells), make.seen(faults), slots_of(spells)).slots
    assert found["expected_faults"].sum() == pytest.approx(40 / 32, rel=0.1)
    assert found["reason"].iloc[0].startswith("Mostly faults of M")


def test_faults_counted_together_make_the_same_modules_as_one_by_one(facility):
    spells, _, make = facility
    plain = make.faults(spells.assign(event=spells["event"] | (spells["serial"] == "M000")))
    faults = pd.concat([plain, plain.head(30), plain.head(40).assign(part_type=None)])
    one_by_one = make.seen(faults).by_module
    together = one_by_one.groupby(BY_MODULE, dropna=False)["faults"].sum().reset_index()
    assert together["faults"].max() > 1 and together["part_type"].isna().any()
    stays = make.stays(spells)
    pd.testing.assert_frame_equal(watched_modules(stays, together), watched_modules(stays, one_by_one))
