"""Facts behind the figures of the report: bench calendar, cost by zone, re-capped against not yet, coupling by kind of part."""

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from maintkit.decide.effectiveness_recaps import rates_by_year
from maintkit.questions import bench_calendar, coupling_kinds, recap_zones, recapped_or_not
from maintkit.questions.bench_calendar import Job
from maintkit.report import evidence
from maintkit.report.answers import BY_NAME
from tests.questions.test_coupling import book_of


@pytest.fixture(scope="module")
def demo(demo_quarter):
    return demo_quarter


def test_a_job_is_spread_evenly_over_its_days():
    job = Job(date(2026, 10, 1), date(2026, 10, 4), (), 1, 8.0)
    days = (date(2026, 9, 30), date(2026, 10, 1), date(2026, 10, 3), date(2026, 10, 9))
    assert [bench_calendar._done(job, day) for day in days] == [0.0, 2.0, 6.0, 8.0]


def test_the_calendar_holds_the_plan_of_the_quarter_and_no_pull_outside_a_gap(demo):
    found, plan = bench_calendar.facts(demo), BY_NAME["pull_next"].facts(demo)
    assert found.modules == plan.soon.pulls > 0
    assert sum(job.hours for job in found.pulls) == pytest.approx(plan.soon.hours)
    every = sum(job.hours for job in (*found.pulls, *found.ready, *found.re_formed)) + found.queue_hours
    assert found.hours_used + found.hours_after == pytest.approx(every)
    assert found.hours_used <= found.hours_free == plan.hours_a_quarter
    used = [one for one in found.free if one.used]
    for job in found.pulls:
        assert any(one.begins <= job.begins <= one.ends and one.desk in found.desks for one in used)
    for job in (*found.ready, *found.re_formed):
        assert job.ends < max(pull.begins for pull in found.pulls)
    assert sum(job.hours for job in found.re_formed) == sum(one.hours_soon for one in plan.re_formed)


def test_the_slots_listed_say_what_they_make_of_all_and_which_part_makes_most_of_each(demo):
    found = BY_NAME["where_next"].facts(demo)
    slots = demo.forecast.slots
    listed = slots["expected_minutes_lost"].head(15).sum() / slots["expected_minutes_lost"].sum()
    assert found.listed_share == pytest.approx(listed)
    for one, reason in zip(found.next, slots["reason"], strict=False):
        assert f" {one.part} of " in reason and f"make {100 * one.share:.0f} % of what is expected" in reason
    assert {one.part for one in found.next} == set(found.kinds)


def test_too_few_faults_have_no_calendar_and_say_so(opened):
    found = BY_NAME["bench_calendar"](opened("2024Q3"))
    assert found.title == "No module is pulled in 2024Q4, so the bench has no calendar."


def test_the_flat_range_of_a_parabola_is_where_it_costs_within_5_percent():
    grid = np.geomspace(1, 60, 80)
    rows = pd.DataFrame({"modules": [1, 3]})
    curves = [100 + (grid - 8) ** 2 + 4, 100 + (grid - 8) ** 2 - 4 / 3]  # weighted 1 to 3: the parabola
    modules = pd.DataFrame({"zone": ["hot"] * 3, "age_years": [2.0, 9.0, 12.0]})
    zone = recap_zones._zone("hot", grid, curves, rows, modules)
    assert (zone.best, zone.least) == (pytest.approx(8, rel=3e-3), pytest.approx(100))
    assert (zone.flat_low, zone.flat_high) == (
        pytest.approx(8 - 5**0.5, rel=3e-3),
        pytest.approx(8 + 5**0.5, rel=3e-3),
    )
    assert (zone.modules, zone.past) == (3, 1)


def test_the_zones_of_the_demo_are_those_of_its_boards(demo):
    found, boards = recap_zones.facts(demo), BY_NAME["when_to_recap"].facts(demo)
    own = boards.table[boards.table["module_type"] == found.module_type]
    assert sum(zone.modules for zone in found.zones) == own["modules"].sum()
    for zone in found.zones:
        each = own[own["zone"] == zone.name]["interval_years"]
        assert each.min() * 0.97 <= zone.best <= each.max() * 1.03


DAY = pd.Timestamp


def test_faults_before_and_after_a_recap_stand_on_their_own_sides():
    """Two modules watched for two years of 365 days; A is re-capped after the first, B never."""
    stays = pd.DataFrame(
        {
            "serial": ["A", "B"],
            "desk": "Heron",
            "position": ["1", "2"],
            "family": "longshore",
            "module_type": "channel",
            "from_on": DAY("2021-01-01"),
            "to_on": DAY("2023-01-01"),
            "exposure_hours": 2 * 8766.0,
        }
    )
    days = {"A": ["2021-03-01", "2021-06-01", "2022-06-01"], "B": ["2022-02-01"]}
    faults = pd.DataFrame(
        [(serial, "Heron", DAY(day), "fault") for serial, own in days.items() for day in own],
        columns=["serial", "desk", "happened_on", "class"],
    )
    work = pd.DataFrame({"serial": ["A"], "desk": "Heron", "action": "re-cap", "done_on": DAY("2022-01-01")})
    table = rates_by_year(stays, faults, work).set_index(["period", "done"])
    assert table["faults"].to_dict() == {(1, False): 2, (0, False): 1, (0, True): 1}
    assert table["years"].to_dict() == pytest.approx({(1, False): 2.0, (0, False): 1.0, (0, True): 1.0})


def test_a_desk_of_which_a_supply_alone_was_re_capped_is_not_set_beside_one_re_capped_throughout():
    """Ten modules a desk for two years: eight of Heron re-capped after the first, one of Curlew."""
    serials = [(desk, f"{desk}-{at}") for desk in ("Heron", "Curlew") for at in range(10)]
    stays = pd.DataFrame(serials, columns=["desk", "serial"]).assign(
        position=[str(at + 1) for _ in range(2) for at in range(10)],
        family="longshore",
        module_type="channel",
        from_on=DAY("2021-01-01"),
        to_on=DAY("2023-01-01"),
        exposure_hours=2 * 8766.0,
    )
    done = [serial for _, serial in serials[:8]] + ["Curlew-0"]
    work = stays.loc[stays["serial"].isin(done), ["serial", "desk"]].assign(
        action="re-cap", done_on=DAY("2022-01-01")
    )
    faults = stays[["serial", "desk"]].assign(happened_on=DAY("2021-03-01"))
    faults["class"] = "fault"
    table = rates_by_year(stays, faults, work)
    assert set(table["desk"]) == {"Heron"}
    assert table.groupby("done")["years"].sum().to_dict() == pytest.approx({False: 12.0, True: 8.0})
    both = rates_by_year(stays, faults, work[work["desk"] == "Curlew"])
    assert set(both["desk"]) == {"Curlew"}


def test_fewer_faults_of_electrolytics_are_told_where_all_faults_show_no_difference():
    done, not_yet = (
        recapped_or_not.Watched(faults, years, *limits)
        for faults, years, limits in ((15, 64.0, (0.23, 0.15, 0.35)), (82, 221.0, (0.37, 0.31, 0.45)))
    )
    found = recapped_or_not.RecappedOrNot(("Heron",), done=done, not_yet=not_yet, electrolytics=(1, 32))
    assert found.spares_electrolytics and not found.helps
    assert not replace(found, electrolytics=(9, 32)).spares_electrolytics
    assert not recapped_or_not.RecappedOrNot().spares_electrolytics


def test_re_capped_modules_of_the_demo_are_counted_as_the_question_of_money_counts_them(demo):
    found, money = recapped_or_not.facts(demo), BY_NAME["recap_money"].facts(demo)
    assert found.done.faults == money.whole["faults"]
    assert found.done.high < found.not_yet.low
    of_all = zip(found.electrolytics, (found.done, found.not_yet), strict=True)
    assert all(0 < of_them < side.faults for of_them, side in of_all)
    rates = [
        count / side.years
        for count, side in zip(found.electrolytics, (found.done, found.not_yet), strict=True)
    ]
    assert rates[0] < rates[1] and found.helps


def test_slots_that_wait_for_a_re_cap_hold_modules_of_which_none_is_on_record(demo):
    found = recapped_or_not.facts(demo)
    waiting = {(one.desk, one.position): one.faults for one in found.waiting}
    query = """
        with done as (select distinct serial from repairs where action = 're-cap' and done_on >= $since),
        sits as (select serial, desk, position from fitments where removed_on is null)
        select desk, position from sits left join done using (serial) group by desk, position having count(done.serial) = 0
    """
    never = {*demo.records.connection.execute(query, {"since": found.since}).fetchall()}
    assert waiting and {*waiting} <= never and [*waiting.values()] == sorted(waiting.values(), reverse=True)
    assert {desk for desk, _ in waiting} <= {*found.desks} and min(waiting.values()) > 0


def test_thirty_faults_against_ten_in_as_many_channel_years(opened):
    found = coupling_kinds.facts(book_of(opened, 30, 10))
    assert found.ratio == pytest.approx(3.0)
    assert found.capacitor.value == pytest.approx(100 * 30 / found.years_capacitor)
    assert [(one.name, one.capacitor.faults, one.dc.faults) for one in found.kinds] == [
        ("no part replaced", 30, 10)
    ]
    assert (found.leading, found.weakness) == (None, None)  # no kind of part is known to differ


@pytest.mark.parametrize(("more", "said"), [(30, "3 times as often"), (11, "no difference shown")])
def test_the_figure_is_called_what_the_comparison_of_the_styles_says(opened, more, said):
    quarter = book_of(opened, more, 10)
    answers = {
        name: BY_NAME[name].facts(quarter) for name in ("coupling_kinds", "why_more", "capacitor_or_dc")
    }
    assert said in evidence._coupling(*answers.values()).heading.striptags()


def test_the_kinds_add_up_to_the_channels(demo):
    found, styles = coupling_kinds.facts(demo), BY_NAME["capacitor_or_dc"].facts(demo)
    channel = styles.channel
    assert (found.capacitor.faults, found.dc.faults) == (channel["faults_capacitor"], channel["faults_dc"])
    assert found.capacitor.value == pytest.approx(100 * channel["rate_capacitor"])
    assert sum(one.capacitor.faults for one in found.kinds) == found.capacitor.faults
    assert found.leading.name == "electrolytic" and found.weakness.name == "ic"
