import ctypes
import os
from itertools import product

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.plan import NO_GAP, NO_ROOM, NO_SAVING, bench_plan, chance_in_top
from maintkit.decide.plan_constraints import Resources, options_of
from maintkit.decide.plan_in_order import in_order
from maintkit.decide.plan_programme import unheard

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
        **more,
    )


def fits(options, shared, columns) -> bool:
    """Whether columns, batches given as often as they are taken, keep to every limit: each stretch of days looked at."""
    if np.any(shared[:, columns].sum(axis=1) > options.limit + 1e-9):
        return False
    for first in options.starts:
        for last in options.ends[options.ends > first]:
            own = [one for one in columns if options.release[one] >= first and options.latest[one] <= last]
            place = np.flatnonzero(options.starts == first)[0], np.flatnonzero(options.ends == last)[0]
            before = [one for one in columns if first == 0 and options.release[one] <= last]
            work = options.minutes[own].sum() + options.before[before].sum()
            if work > options.capacity[place] + 1e-9:
                return False
    return True


def best_by_trying(table, limits):
    """The most any choice can save: every way to pull every module is tried, with every number of spares made ready."""
    options = options_of(table, limits)
    value = table["minutes_saved"].to_numpy()
    ways = [
        [(), *((one,) for one in np.flatnonzero(options.module == number))] for number in range(len(table))
    ]
    batches = np.flatnonzero(options.module < 0)
    ways += [[(one,) * times for times in range(int(options.most[one]) + 1)] for one in batches]
    shared = options.shared(np.arange(len(options.module))).toarray()
    most = 0.0
    for choice in product(*ways):
        taken = [column for own in choice for column in own]
        worth = sum(value[options.module[column]] for column in taken if options.module[column] >= 0)
        if worth > most and fits(options, shared, taken):
            most = worth
    return most


@pytest.mark.parametrize("seed", range(8))
def test_no_choice_saves_more_than_the_plan(seed):
    dice = np.random.default_rng(seed)
    table = modules(dice.uniform(1, 50, 4), dice.uniform(3, 9, 4), kit=10)
    limits = means(
        gaps((3, 9), (40, 44)),
        hours_a_day=dice.uniform(0.5, 1.5),
        spares=int(dice.integers(0, 3)),
        stock={"cap": 20},
        lead_days={"cap": 30},
        to_ready={KIND: int(dice.integers(0, 3))},
        ready_minutes=90.0,
        ready_days=float(dice.integers(0, 30)),
        queue_minutes=60.0 * int(dice.integers(0, 3)),
    )
    plan = bench_plan(table, limits)
    most = best_by_trying(table, limits)
    assert most > 0
    assert most - 1e-3 * most <= plan.saved <= most + 1e-9 <= plan.bound + 1e-6


def test_hours_bound_what_is_pulled():
    plan = bench_plan(
        modules([30, 20, 10], hours=6),
        means(gaps(), hours_a_day=13 / 90, always_free=("Heron",)),
        ways={"worst last quarter first": [2, 0, 1], "as they stand": [0, 1, 2]},
    )
    assert sorted(plan.chosen) == [0, 1]
    assert plan.saved == 50
    assert plan.others == {"doing nothing": 0.0, "worst last quarter first": 40.0, "as they stand": 50.0}


def test_without_a_spare_a_module_must_be_back_before_the_gap_ends():
    table, four_days = modules([30, 20], hours=4), gaps((10, 13))
    assert bench_plan(table, means(four_days, hours_a_day=1)).chosen.tolist() == [0]
    swapped = bench_plan(table, means(four_days, hours_a_day=1, spares=1))
    assert sorted(swapped.chosen) == [0, 1]
    assert sorted(swapped.swapped) == [False, True]


def test_the_bench_hours_of_a_week_may_be_worked_within_a_short_gap_but_eight_a_day_at_most():
    def pulled(hours, last, hours_a_day=1.0):
        return len(bench_plan(modules([30], hours=hours), means(gaps((10, last)), hours_a_day)).chosen)

    assert [pulled(hours, 13) for hours in (5.0, 7.0, 7.5)] == [1, 1, 0]  # seven hours a week
    assert [pulled(hours, 10, 2.0) for hours in (8.0, 8.5)] == [1, 0]
    assert pulled(8.5, 10, 9.0) == 1  # a bench of several hands


def test_a_pulled_spare_must_be_whole_again_before_the_next_gap():
    table = modules([30, 20], hours=8)
    near, far = gaps((0, 0), (4, 4)), gaps((0, 0), (40, 40))
    limits = [means(openings, hours_a_day=1, spares=1) for openings in (near, far)]
    assert [len(bench_plan(table, limit).chosen) for limit in limits] == [1, 2]


def test_stock_that_stood_too_long_is_counted_on_once_it_is_re_formed():
    """Ten capacitors that take a week to re-form: a gap on day 3 cannot have them, one on day 8 can; fresh ones both."""
    table = modules([30], hours=1, kit=10)
    for first, old, pulled in ((3, ("cap",), 0), (8, ("cap",), 1), (3, (), 1), (3, ("other",), 1)):
        limits = means(
            gaps((first, first + 2)), stock={"cap": 10}, lead_days={"cap": 30}, ready_days=7.0, old_stock=old
        )
        assert len(bench_plan(table, limits).chosen) == pulled, (first, old)


def test_old_stock_asks_the_bench_for_its_hours_before_the_gap():
    """By day 8 the bench has 48 minutes: ten capacitors of 4 minutes fit, of 6 not; after day 14 they are ordered fresh."""
    table = modules([30], hours=1, kit=10)
    about = dict(hours_a_day=0.1, stock={"cap": 10}, lead_days={"cap": 14}, ready_days=7.0)
    for first, each, old, pulled in (
        (8, 4.0, ("cap",), 1),
        (8, 6.0, ("cap",), 0),
        (8, 6.0, (), 1),
        (15, 60.0, ("cap",), 1),
    ):
        limits = means(gaps((first, first + 12)), old_stock=old, re_form_minutes=each, **about)
        assert len(bench_plan(table, limits).chosen) == pulled, (first, each, old)
        assert in_order(options_of(table, limits), [0]).sum() == pulled
        assert limits.re_formed({"cap": 10}, first) == ({"cap": 10} if old and first == 8 else {})


@pytest.mark.parametrize("seed", range(6))
def test_no_choice_with_old_stock_saves_more_than_the_plan(seed):
    dice = np.random.default_rng(seed)
    table = modules(dice.uniform(1, 50, 3), dice.uniform(3, 9, 3), kit=10)
    limits = means(
        gaps((3, 9), (12, 16)),
        hours_a_day=dice.uniform(0.5, 2.0),
        spares=1,
        stock={"cap": 20},
        lead_days={"cap": 60},
        ready_days=10.0,
        old_stock=("cap",),
        re_form_minutes=float(dice.integers(0, 60)),
    )
    plan, most = bench_plan(table, limits), best_by_trying(table, limits)
    assert most > 0 and (plan.release >= 10).all()
    assert most - 1e-3 * most <= plan.saved <= most + 1e-9


def test_parts_that_come_too_late_hold_the_work_back():
    table = modules([30, 20], hours=1, kit=10)
    early, late = gaps((5, 9)), gaps((35, 39))
    for openings, pulled in ((early, 1), (late, 2)):
        plan = bench_plan(table, means(openings, stock={"cap": 15}, lead_days={"cap": 30}))
        assert len(plan.chosen) == pulled


@pytest.mark.parametrize(
    ("table", "limits", "why"),
    [
        (
            modules([30]),
            means(gaps()),
            NO_GAP,
        ),
        (
            modules([30]),
            means(gaps((3, 9)), hours_a_day=0),
            NO_ROOM,
        ),
        (
            modules([-2, -1]),
            means(gaps((3, 9))),
            NO_SAVING,
        ),
        (
            modules([]),
            means(gaps((3, 9))),
            NO_GAP,
        ),
    ],
)
def test_where_nothing_is_pulled_it_says_why(table, limits, why):
    plan = bench_plan(table, limits)
    assert (plan.saved, len(plan.chosen), plan.why) == (0, 0, why)


def test_modules_that_save_nothing_stay_in():
    assert bench_plan(modules([5, -3]), means(gaps(), always_free=("Heron",))).chosen.tolist() == [0]


def test_plain_order_goes_on_past_what_does_not_fit():
    options = options_of(
        modules([1, 1, 1], hours=[6, 9, 2]), means(gaps(), hours_a_day=10 / 90, always_free=("Heron",))
    )
    assert options.module[in_order(options, [0, 1, 2]) > 0].tolist() == [0, 2]


def test_chance_of_the_top_counts_the_draws():
    draws = np.array([[4.0, 3, 2, 1], [1, 4, 3, 2], [4, 1, 3, 2]])
    np.testing.assert_allclose(chance_in_top(draws, 2), [2 / 3, 2 / 3, 2 / 3, 0])
    alike = np.array([[0.0, 1, 0, 0], [2, 2, 2, 1]])
    np.testing.assert_allclose(chance_in_top(alike, 2), [1, 1, 0, 0])  # of those alike the first
    assert chance_in_top(draws, 0).tolist() == [0] * 4
    assert chance_in_top(draws, 4).tolist() == [1] * 4


def test_a_module_pulled_late_saves_for_less_long():
    early_and_late = gaps((0, 0), (73, 73))
    plan = bench_plan(
        modules([30, 20], hours=5),
        means(early_and_late, hours_a_day=1),
        ways={"worst last quarter first": [1, 0]},
        years=0.4,
    )
    # half of 0.4 years has gone by day 73, so the one that saves more goes first; worst last quarter is the other one
    assert dict(zip(plan.chosen.tolist(), plan.opening.tolist(), strict=True)) == {0: 0, 1: 1}
    np.testing.assert_allclose(plan.saved, 30 + 20 * (1 - 73 / 365.25 / 0.4))
    np.testing.assert_allclose(plan.others["worst last quarter first"], 20 + 30 * (1 - 73 / 365.25 / 0.4))
    np.testing.assert_allclose(plan.shares["this plan"] @ [30, 20], plan.saved)


def test_it_says_what_half_as_much_again_would_save():
    table = modules([30, 20, 10], hours=4)
    hours = bench_plan(table, means(gaps(), hours_a_day=8 / 90, always_free=("Heron",)))
    assert (hours.saved, hours.with_more) == (50, {"bench hours": 60})
    stock = means(gaps((5, 9)), hours_a_day=9, stock={"cap": 20}, lead_days={"cap": 30})
    assert bench_plan(table, stock).with_more == {"parts in stock": 60}
    spares = bench_plan(modules([30, 20, 10], hours=20), means(gaps((5, 5)), spares=1))
    assert (spares.saved, spares.with_more) == (30, {"swap spares": 50})
    assert bench_plan(table, means(gaps(), always_free=("Heron",))).with_more == {}


def test_modules_of_a_type_not_recorded_are_pulled_beside_others_and_never_against_a_spare():
    table = modules([30, 20], hours=1).assign(module_type=["channel", None])
    plan = bench_plan(table, means(gaps((5, 9)), spares=1))
    assert dict(zip(plan.chosen.tolist(), plan.swapped.tolist(), strict=True)) == {0: True, 1: False}


def test_a_spare_counts_only_once_it_was_made_ready():
    table, early, late = modules([30, 20], hours=8), gaps((2, 2)), gaps((20, 20))
    for openings, pulled in ((early, 0), (late, 1)):
        plan = bench_plan(table, means(openings, to_ready={KIND: 1}, ready_minutes=120, ready_days=7))
        assert len(plan.chosen) == pulled
    assert plan.batches.to_dict("records") == [
        {"family": "longshore", "module_type": "channel", "number": 1, "ready_by": 20}
    ]


@pytest.mark.parametrize(
    ("ready_minutes", "queue_minutes", "pulled"), [(20 * 60, 0, 1), (21 * 60, 0, 0), (60, 20 * 60, 0)]
)
def test_making_a_spare_ready_and_the_queue_take_bench_hours(ready_minutes, queue_minutes, pulled):
    # one hour a day: twenty before the gap, seventy after it
    limits = means(
        gaps((20, 20)),
        to_ready={KIND: 1},
        ready_minutes=ready_minutes,
        queue_minutes=queue_minutes,
        queue_due=15,
    )
    assert len(bench_plan(modules([30], hours=70), limits).chosen) == pulled


def test_of_many_modules_those_left_out_could_not_matter():
    dice = np.random.default_rng(5)
    many = pd.concat([modules(dice.uniform(5, 60, 40), 6.0, desk=f"D{n}") for n in range(20)])
    openings = pd.concat(
        [gaps(*[(day, day + 3) for day in dice.integers(0, 85, 3)], desk=f"D{n}") for n in range(20)]
    )
    limits = means(openings, spares=2, hours_a_day=1.0)
    plan = bench_plan(many, limits, years=2.0)
    assert plan.gap < 0.005  # two spares of one family, each away three weeks or more, let few be pulled
    others = bench_plan(
        many, limits, ways={"by worth": np.argsort(-many["minutes_saved"].to_numpy())}, years=2.0
    )
    assert 0 < others.others["by worth"] <= plan.saved


def test_what_the_solver_writes_by_itself_does_not_reach_the_screen(capfd):
    library = ctypes.CDLL("ucrtbase" if os.name == "nt" else None)
    library.puts(b"before")
    with unheard():
        library.puts(b"a line of the solver's own")
    library.puts(b"after")
    library.fflush(None)
    assert capfd.readouterr().out.split() == ["before", "after"]


def test_a_plainer_way_takes_no_more_hours_than_the_plan_and_counts_what_each_pull_really_saves():
    table = modules([50, 4, 3, 2]).assign(proposed=[True, False, False, False])
    plan = bench_plan(
        table, means(gaps((0, 90)), hours_a_day=8), ways={"worst last quarter first": [1, 2, 3, 0]}
    )
    assert plan.chosen.tolist() == [0]
    assert np.count_nonzero(plan.shares["worst last quarter first"]) == 1
    assert (
        plan.others["worst last quarter first"]
        == plan.shares["worst last quarter first"] @ table["minutes_saved"]
        > 0
    )
