import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from maintkit.decide.replacement import (
    Group,
    age_replacement,
    age_replacement_cost,
    group_cost_rate,
    group_intervals,
)


@settings(max_examples=40, deadline=None)
@given(st.floats(1.2, 6), st.floats(1.5, 50))
def test_the_dearer_the_failure_the_earlier_the_replacement(shape, ratio):
    cheap = age_replacement(shape, 1.0, planned_cost=1, failure_cost=ratio)
    dear = age_replacement(shape, 1.0, planned_cost=1, failure_cost=2 * ratio)
    assert dear.interval < (cheap.interval or np.inf)


def test_the_optimum_is_the_lowest_point_of_the_cost_curve():
    best = age_replacement(2.5, 8.0, planned_cost=1, failure_cost=6)
    ages = best.interval * np.array([0.98, 1.0, 1.02])
    cost = age_replacement_cost(
        ages, lambda age: np.exp(-((age / 8.0) ** 2.5)), planned_cost=1, failure_cost=6
    )
    assert cost[1] == pytest.approx(best.cost_rate, rel=1e-9)
    assert cost[1] < min(cost[0], cost[2])


@pytest.mark.parametrize(
    ("shape", "failure_cost", "why"),
    [
        (
            1.0,
            9,
            "An old part is as good as a new one (shape not above 1): planned replacement does not pay.",
        ),
        (3.0, 1, "A failure costs no more than planned work: planned replacement does not pay."),
        (1.01, 1.001, "The best age lies beyond 20 scale lives: planned replacement gains nothing."),
    ],
)
def test_where_it_does_not_pay_it_says_why(shape, failure_cost, why):
    best = age_replacement(shape, 5.0, planned_cost=1, failure_cost=failure_cost)
    assert (best.interval, best.note) == (None, why)
    assert best.cost_rate == best.run_to_failure_rate


def test_a_cost_of_nothing_is_refused():
    with pytest.raises(ValueError, match="planned cost: found 0. It must be above 0."):
        age_replacement(2.0, 5.0, planned_cost=0, failure_cost=3)


def test_the_interval_of_a_mixed_board_is_the_lowest_point_found_by_trying():
    dice = np.random.default_rng(3)
    group = Group(np.array([9.0, 7.0, 12.0]), dice.uniform(1.3, 4, (25, 3)), dice.uniform(0.05, 1.5, (25, 3)))
    found = group_intervals(group, planned_cost=6, failure_cost=1, longest=400)
    tried = np.geomspace(0.5, 400, 60_000)
    cost = group_cost_rate(tried, group, planned_cost=6, failure_cost=1)
    np.testing.assert_allclose(found, tried[cost.argmin(axis=1)], rtol=2e-3)


def test_a_board_whose_parts_do_not_wear_is_never_renewed():
    group = Group(np.array([5.0]), np.array([[1.0], [0.8], [1.5]]), np.array([[2.0], [2.0], [2.0]]))
    assert np.isnan(group_intervals(group, planned_cost=5, failure_cost=1, longest=60)).tolist() == [
        True,
        True,
        False,
    ]
