"""When to replace: values worked out in 30 digits from the published conditions, and a textbook's set-up."""

import numpy as np
import pytest

from maintkit.decide.replacement import (
    Group,
    group_cost_rate,
    group_intervals,
)


def test_best_interval_with_minimal_repair_barlow_and_hunter():
    # Barlow & Hunter (1960), Operations Research 8, 90-100: with H(t) = (t / scale) ** shape the best interval is
    # scale x (cp / (cf (shape - 1))) ** (1 / shape), and the cost there shape / (shape - 1) x cp / T.
    shape, scale, planned, failure = 2.5, 8.0, 30.0, 4.0
    group = Group(np.array([scale]), np.array([[shape]]), np.array([[1.0]]))
    best = group_intervals(group, planned_cost=planned, failure_cost=failure, longest=200)[0]
    assert best == pytest.approx(scale * (planned / (failure * 1.5)) ** 0.4, rel=1e-9)
    cost = group_cost_rate([best], group, planned_cost=planned, failure_cost=failure)[0, 0]
    assert cost == pytest.approx(2.5 / 1.5 * planned / best, rel=1e-9)
