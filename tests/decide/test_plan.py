from itertools import product

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.plan import chance_in_top, work_plan
from maintkit.decide.plan_constraints import Resources, in_order, options_of

KIND = ("longshore", "channel")


def gaps(*days, desk="Heron"):
    return pd.DataFrame(
        [{"desk": desk, "family": "longshore", "free_from": first, "free_to": last} for first, last in days],
        columns=["desk", "family", "free_from", "free_to"],
    )


def modules(minutes, hours=6.0, kit=10, desk="Heron"):
    return pd.DataFrame(
        {
            "desk": desk,
            "family": "longshore",
            "module_type": "channel",
            "minutes_saved": np.asarray(minutes, float),
            "bench_minutes": 60 * np.broadcast_to(hours, len(minutes)),
            "kit": [{"cap": kit}] * len(minutes),
        }
    )


def means(openings, hours_a_day=1.0, spares=0, **more):
    return Resources(
        openings,
        more.pop("always_free", ()),
        hours_a_day,
        90,
        {KIND: spares},
        more.pop("stock", {}),
        more.pop("lead_days", {}),
    )


def best_by_trying(table, limits):
    """The most any choice can save: every way to pull every module is tried."""
    options = options_of(table, limits)
    value = table["minutes_saved"].to_numpy()
    ways = [[None, *np.flatnonzero(options.module == number)] for number in range(len(table))]
    most = 0.0
    for choice in product(*ways):
        taken = [option for option in choice if option is not None]
        if np.all(options.taken[:, taken].sum(axis=1) <= options.limit + 1e-9):
            most = max(most, sum(value[options.module[option]] for option in taken))
    return most


@pytest.mark.parametrize("seed", range(6))
def test_no_choice_saves_more_than_the_plan(seed):
    dice = np.random.default_rng(seed)
    table = modules(dice.uniform(1, 50, 5), dice.uniform(3, 9, 5), kit=10)
    limits = means(
        gaps((3, 9), (40, 44)),
        hours_a_day=dice.uniform(0.2, 1),
        spares=int(dice.integers(0, 3)),
        stock={"cap": 20},
        lead_days={"cap": 30},
    )
    plan = work_plan(table, limits, last_quarter=np.zeros(5))
    most = best_by_trying(table, limits)
    assert most > 0
    assert 0.995 * most <= plan.saved <= most + 1e-9 <= plan.bound + 1e-6


def test_hours_bound_what_is_pulled():
    plan = work_plan(
        modules([30, 20, 10], hours=6),
        means(gaps(), hours_a_day=13 / 90, always_free=("Heron",)),
        last_quarter=[0, 0, 1],
    )
    assert sorted(plan.chosen) == [0, 1]
    assert plan.saved == 50
    assert plan.others == {"doing nothing": 0.0, "worst last quarter first": 40.0, "all in order": 50.0}


def test_without_a_spare_a_module_must_be_back_before_the_gap_ends():
    table, four_days = modules([30, 20], hours=3), gaps((10, 13))
    assert work_plan(table, means(four_days, hours_a_day=1), last_quarter=[0, 0]).chosen.tolist() == [0]
    swapped = work_plan(table, means(four_days, hours_a_day=1, spares=1), last_quarter=[0, 0])
    assert sorted(swapped.chosen) == [0, 1]
    assert sorted(swapped.swapped) == [False, True]


def test_a_pulled_spare_must_be_whole_again_before_the_next_gap():
    table = modules([30, 20], hours=5)
    near, far = gaps((0, 0), (4, 4)), gaps((0, 0), (40, 40))
    limits = [means(openings, hours_a_day=1, spares=1) for openings in (near, far)]
    assert [len(work_plan(table, limit, last_quarter=[0, 0]).chosen) for limit in limits] == [1, 2]


def test_parts_that_come_too_late_hold_the_work_back():
    table = modules([30, 20], hours=1, kit=10)
    early, late = gaps((5, 9)), gaps((35, 39))
    for openings, pulled in ((early, 1), (late, 2)):
        plan = work_plan(
            table, means(openings, stock={"cap": 15}, lead_days={"cap": 30}), last_quarter=[0, 0]
        )
        assert len(plan.chosen) == pulled


@pytest.mark.parametrize(
    ("table", "limits", "why"),
    [
        (
            modules([30]),
            means(gaps()),
            "No module can be pulled: no gap in the bookings falls into the quarter.",
        ),
        (
            modules([30]),
            means(gaps((3, 9)), hours_a_day=0),
            "No overhaul fits: the bench hours, spares or stock do not suffice for one module.",
        ),
        (
            modules([-2, -1]),
            means(gaps((3, 9))),
            "No overhaul saves anything: new capacitors would fail no less than those that are in.",
        ),
        (
            modules([]),
            means(gaps((3, 9))),
            "No module can be pulled: no gap in the bookings falls into the quarter.",
        ),
    ],
)
def test_where_nothing_is_pulled_it_says_why(table, limits, why):
    plan = work_plan(table, limits, last_quarter=np.zeros(len(table)))
    assert (plan.saved, len(plan.chosen), plan.note) == (0, 0, why)


def test_modules_that_save_nothing_stay_in():
    assert work_plan(
        modules([5, -3]), means(gaps(), always_free=("Heron",)), last_quarter=[0, 9]
    ).chosen.tolist() == [0]


def test_plain_order_goes_on_past_what_does_not_fit():
    options = options_of(
        modules([1, 1, 1], hours=[6, 9, 2]), means(gaps(), hours_a_day=10 / 90, always_free=("Heron",))
    )
    assert options.module[in_order(options, [0, 1, 2])].tolist() == [0, 2]


def test_chance_of_the_top_counts_the_draws():
    draws = np.array([[4.0, 3, 2, 1], [1, 4, 3, 2], [4, 1, 3, 2]])
    np.testing.assert_allclose(chance_in_top(draws, 2), [2 / 3, 2 / 3, 2 / 3, 0])


def test_a_module_pulled_late_saves_for_less_long():
    early_and_late = gaps((0, 0), (73, 73))
    plan = work_plan(
        modules([30, 20], hours=1), means(early_and_late, hours_a_day=1), last_quarter=[0, 9], years=0.4
    )
    # half of 0.4 years has gone by day 73, so the one that saves more goes first; worst last quarter is the other one
    assert dict(zip(plan.chosen.tolist(), plan.opening.tolist(), strict=True)) == {0: 0, 1: 1}
    np.testing.assert_allclose(plan.saved, 30 + 20 * (1 - 73 / 365.25 / 0.4))
    np.testing.assert_allclose(plan.others["worst last quarter first"], 20 + 30 * (1 - 73 / 365.25 / 0.4))
    np.testing.assert_allclose(plan.shares["this plan"] @ [30, 20], plan.saved)


def test_it_says_what_half_as_much_again_would_save():
    table = modules([30, 20, 10], hours=4)
    hours = work_plan(
        table, means(gaps(), hours_a_day=8 / 90, always_free=("Heron",)), last_quarter=[0, 0, 0]
    )
    assert (hours.saved, hours.with_more) == (50, {"bench hours": 60})
    stock = means(gaps((5, 9)), hours_a_day=9, stock={"cap": 20}, lead_days={"cap": 30})
    assert work_plan(table, stock, last_quarter=[0, 0, 0]).with_more == {"parts in stock": 60}
    spares = work_plan(modules([30, 20, 10], hours=20), means(gaps((5, 5)), spares=1), last_quarter=[0, 0, 0])
    assert (spares.saved, spares.with_more) == (30, {"swap spares": 50})
    assert work_plan(table, means(gaps(), always_free=("Heron",)), last_quarter=[0, 0, 0]).with_more == {}


def test_modules_of_a_type_not_recorded_are_pulled_beside_others_and_never_against_a_spare():
    table = modules([30, 20], hours=1).assign(module_type=["channel", None])
    plan = work_plan(table, means(gaps((5, 9)), spares=1), last_quarter=[0, 0])
    assert dict(zip(plan.chosen.tolist(), plan.swapped.tolist(), strict=True)) == {0: True, 1: False}
