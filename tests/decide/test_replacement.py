import numpy as np
import pytest

from maintkit.decide.replacement import (
    Group,
    group_cost_rate,
    group_intervals,
)


def test_a_cost_of_nothing_is_refused():
    group = Group(np.array([5.0]), np.array([[2.0]]), np.array([[1.0]]))
    with pytest.raises(ValueError, match="planned cost: found 0. It must be above 0."):
        group_intervals(group, planned_cost=0, failure_cost=3, longest=60)


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
