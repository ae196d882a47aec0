"""Limits of the session minutes to come, against sums of Poisson numbers of faults reckoned by hand."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from maintkit.questions.if_nothing import _limits_of_minutes

DRAWS = 4000


def forecast(expected: dict, minutes_a_fault: float):
    """Slots of desks with what is expected of each, known for sure."""
    places = [(desk, str(number)) for desk, own in expected.items() for number in range(len(own))]
    due = np.array([one for own in expected.values() for one in own])
    return SimpleNamespace(
        slots=pd.DataFrame(places, columns=["desk", "position"]),
        draws=np.broadcast_to(due, (DRAWS, len(due))),
        minutes=SimpleNamespace(draws=lambda generator, number: np.full((number, len(due)), minutes_a_fault)),
    )


def past(minutes, desk: str = "Heron"):
    return pd.DataFrame({"desk": desk, "minutes_lost": minutes, "counts": True})


def test_faults_that_cost_all_alike_have_the_limits_of_their_number():
    """Poisson of mean 12: 5 % and 95 % points 7 and 18 (scipy's), each fault ten minutes."""
    low, high = _limits_of_minutes(past([10.0] * 6), forecast({"Heron": [4.0, 8.0]}, 10.0))
    assert (stats.poisson.ppf(0.05, 12), stats.poisson.ppf(0.95, 12)) == (7, 18)
    assert (low, high) == pytest.approx((70, 180), abs=10.001)


def test_dear_faults_widen_the_limits():
    """A compound Poisson sum has the variance rate x mean square of one cost: here 100 x (0.5 x 100), against 100 x 25."""
    even = _limits_of_minutes(past([5.0] * 6), forecast({"Heron": [100.0]}, 5.0))
    uneven = _limits_of_minutes(past([0.0, 10.0] * 3), forecast({"Heron": [100.0]}, 5.0))
    assert (uneven[1] - uneven[0]) / (even[1] - even[0]) == pytest.approx(np.sqrt(2), rel=0.08)
    assert np.mean(uneven) == pytest.approx(500, rel=0.03)


def test_a_desk_of_few_timed_faults_takes_those_of_all():
    faults = pd.concat([past([10.0] * 6), past([1000.0], "Dunlin")])
    low, high = _limits_of_minutes(faults, forecast({"Dunlin": [50.0]}, 10.0))
    assert low < 500 < high  # the mean is the forecast's, whoever lends the spread


def test_nothing_timed_nothing_lost():
    assert _limits_of_minutes(past([0.0] * 6), forecast({"Heron": [5.0]}, 0.0)) == (0.0, 0.0)
