import numpy as np
import pandas as pd
import pytest

from maintkit.decide.minutes import minutes_per_fault


def frames(minutes_by_slot):
    faults = pd.DataFrame(
        [
            {"desk": "Heron", "position": slot, "minutes_lost": value, "faults": 1}
            for slot, values in minutes_by_slot.items()
            for value in values
        ],
        columns=["desk", "position", "minutes_lost", "faults"],
    )
    return faults, pd.DataFrame({"desk": "Heron", "position": list(minutes_by_slot)})


def test_with_no_timed_fault_a_fault_costs_nothing_known():
    faults, places = frames({"1": [], "2": []})
    assert minutes_per_fault(faults, places).mean.tolist() == [0, 0]


def test_fewer_than_five_faults_give_every_slot_the_plain_mean():
    faults, places = frames({"1": [10, 30], "2": [], "3": [50]})
    assert minutes_per_fault(faults, places).mean == pytest.approx([30, 30, 30])


def test_slots_that_differ_only_by_chance_share_the_mean_of_their_desk():
    faults, places = frames({"1": [10, 30, 50], "2": [30, 10, 50], "3": []})
    assert minutes_per_fault(faults, places).mean == pytest.approx([30, 30, 30])


def test_slots_that_truly_differ_keep_most_of_their_difference():
    generator = np.random.default_rng(4)
    faults, places = frames({"1": generator.lognormal(2, 0.3, 40), "2": generator.lognormal(4, 0.3, 40)})
    cheap, dear = minutes_per_fault(faults, places).mean
    assert cheap == pytest.approx(np.exp(2), rel=0.25)
    assert dear == pytest.approx(np.exp(4), rel=0.25)


def test_one_bad_afternoon_does_not_set_the_price_of_a_slot():
    generator = np.random.default_rng(5)
    slots = {str(number): generator.lognormal(2.5, 0.8, 3) for number in range(30)}
    slots["31"] = [700.0]
    faults, places = frames(slots)
    assert minutes_per_fault(faults, places).mean[-1] < 100


def test_draws_centre_on_the_typical_minutes_and_never_fall_below_0():
    faults, places = frames({"1": [0, 5, 60, 20], "2": [0, 0, 10, 240]})
    found = minutes_per_fault(faults, places)
    drawn = found.draws(np.random.default_rng(1), 4000)
    assert drawn.min() >= 0
    assert np.median(drawn, axis=0) == pytest.approx(found.mean, rel=0.1)


def test_a_fault_without_minutes_says_nothing():
    faults, places = frames({"1": [10, np.nan, 30, 20, 20, 20], "2": [np.nan]})
    assert minutes_per_fault(faults, places).mean == pytest.approx([20, 20], rel=0.1)


def test_faults_counted_together_are_those_faults_one_by_one():
    one_by_one, places = frames({"1": [10, 10, 30, 20, 20, 20], "2": [0, 240, 240], "3": []})
    together = one_by_one.groupby(["desk", "position", "minutes_lost"])["faults"].sum().reset_index()
    assert len(together) < len(one_by_one)
    for found, same in zip(
        *(vars(minutes_per_fault(faults, places)).values() for faults in (together, one_by_one)), strict=True
    ):
        assert found == pytest.approx(same, rel=1e-12)


def test_a_desk_of_five_faults_counted_together_has_enough_of_its_own():
    faults = pd.DataFrame(
        {"desk": ["Heron", "Curlew"], "position": "1", "minutes_lost": [10.0, 200.0], "faults": [5, 50]}
    )
    places = pd.DataFrame({"desk": ["Heron", "Curlew"], "position": "1"})
    assert minutes_per_fault(faults, places).mean == pytest.approx([10, 200])
    assert minutes_per_fault(faults.assign(faults=[4, 50]), places).mean[0] > 100
