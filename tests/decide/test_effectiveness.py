import numpy as np
import pandas as pd
import pytest

from maintkit.decide import effectiveness
from maintkit.decide.effectiveness import after_work, back_again, module_calendar

FIRST = pd.Timestamp("2020-01-01")
DAYS = 3 * 365


def day(number):
    return FIRST + pd.Timedelta(days=int(number))


def stays(count, **more):
    return pd.DataFrame(
        {
            "serial": [f"M{n}" for n in range(count)],
            "family": "longshore",
            "module_type": "channel",
            "from_on": FIRST,
            "to_on": day(DAYS),
            **more,
        }
    )


def faults(*rows):
    return pd.DataFrame(
        [{"serial": serial, "happened_on": day(on), "class": kind} for serial, on, kind in rows],
        columns=["serial", "happened_on", "class"],
    ).astype({"happened_on": "datetime64[ns]"})


def work(*rows):
    return pd.DataFrame(
        [
            {"serial": serial, "done_on": day(on), "action": action, "rework_cycles": 1}
            for serial, on, action in rows
        ],
        columns=["serial", "done_on", "action", "rework_cycles"],
    ).astype({"done_on": "datetime64[ns]"})


def compared(faults, work, count=3, days=30, **more):
    calendar = module_calendar(stays(count, **more), faults, work, record_end=day(DAYS - 1).date())
    return after_work(calendar, work, days=days)


def test_seen_and_expected_by_hand():
    seen = faults(
        ("M0", 400, "fault"),
        ("M0", 410, "return"),
        ("M1", 420, "fault"),
        ("M1", 300, "fault"),
        ("M2", 350, "fault"),
        ("M0", 405, "no fault found"),
    )
    row = compared(seen, work(("M0", 400, "replace"))).iloc[0]
    # M0 was worked on for its one fault of the year; so had M1 and M2 one each, and one of the two has another in the
    # 30 days
    assert (row["group"], row["works"], row["faults"]) == ("all work", 1, 1)
    assert row["expected"] == pytest.approx(0.5)
    assert row["excess_per_100"] == pytest.approx(50)
    assert row["verdict"] == "too few faults to say"


def test_a_sibling_worse_or_better_before_is_no_sibling():
    seen = faults(("M0", 400, "fault"), ("M1", 420, "fault"), ("M1", 300, "fault"))
    table = compared(seen, work(("M0", 400, "replace")))
    assert table.iloc[0]["expected"] == 1.0  # M2 had no fault in the year before and stands aside
    assert compared(faults(("M0", 400, "fault")), work(("M0", 400, "replace"))).empty


def test_a_sibling_just_worked_on_stands_aside_and_one_worked_on_later_does_not():
    seen = faults(("M0", 400, "fault"), ("M1", 300, "fault"), ("M1", 415, "fault"), ("M2", 310, "fault"))
    before = compared(seen, work(("M0", 400, "replace"), ("M1", 350, "clean")))
    assert before.set_index("group").loc["replace", "expected"] == 0
    after = compared(seen, work(("M0", 400, "replace"), ("M1", 416, "clean")))
    assert after.set_index("group").loc["replace", "expected"] == pytest.approx(0.5)


def test_days_on_the_shelf_are_no_exposure():
    seen = faults(("M0", 400, "fault"), ("M1", 300, "fault"), ("M1", 405, "fault"))
    half = stays(2).assign(to_on=[day(415), day(DAYS)])
    calendar = module_calendar(half, seen, work(("M0", 400, "replace")), record_end=day(DAYS - 1).date())
    row = after_work(calendar, work(("M0", 400, "replace"))).iloc[0]
    assert row["expected"] == pytest.approx(14 / 30)


def test_work_in_the_first_year_or_at_the_end_has_nothing_to_be_set_against():
    seen = faults(("M1", 100, "fault"))
    assert compared(
        seen, work(("M0", 200, "replace"), ("M0", DAYS - 5, "replace"), ("M0", 500, "test"))
    ).empty


def drawn(seed, extra):
    """Sixty modules whose faults come by chance and are mended that day; a share of the works brings one more."""
    dice = np.random.default_rng(seed)
    rate = dice.gamma(4, 0.25, 60) * 1.5 / 365
    rows, mended = [], []
    for module in range(60):
        for on in np.flatnonzero(dice.random(DAYS) < rate[module]):
            rows.append((f"M{module}", on, "fault"))
            mended.append((f"M{module}", on, "replace"))
            if dice.random() < extra and on + 20 < DAYS:
                rows.append((f"M{module}", on + dice.integers(1, 20), "return"))
    return compared(faults(*rows), work(*mended), count=60).iloc[0]


def test_work_that_brings_nothing_is_not_blamed():
    ratios = [drawn(seed, 0.0) for seed in range(6)]
    # modules with a fault in the year before are worse than the rest, which the classes allow for only roughly
    assert 0.8 < np.mean([row["ratio"] for row in ratios]) < 1.25
    assert sum(row["verdict"] != "no difference shown" for row in ratios) <= 1


def test_work_after_which_nothing_came_where_ten_faults_were_to_be_expected_held():
    before = [(f"M{n}", 300, "fault") for n in range(40)]
    later = [(f"M{n}", 410, "fault") for n in range(10, 40)]
    row = compared(
        faults(*before, *later), work(*((f"M{n}", 400, "re-cap") for n in range(10))), count=40
    ).iloc[0]
    assert (row["faults"], row["expected"], row["ratio"], row["low"]) == (0, 10.0, 0.0, 0.0)
    # no event, one-sided tail of 5 %: -ln 0.05 = 3.0 over 10 expected, and the chance of the siblings' 300 on top
    assert row["high"] == pytest.approx(2.9957 / 10 * np.exp(1.6449 / np.sqrt(10 * 30)), rel=1e-3)
    assert row["verdict"] == "fewer than siblings"


def test_work_that_brings_faults_of_its_own_is_found():
    row = drawn(2, 0.2)
    assert row["verdict"] == "more than siblings"
    assert 12 < row["excess_per_100"] < 28


def test_a_control_cleaned_three_times_in_two_years_is_named():
    rows = pd.DataFrame(
        {
            "serial": ["M1"] * 4 + ["M2"] * 3,
            "what": ["RV1"] * 4 + ["RV2"] * 3,
            "on": [day(n) for n in (0, 900, 1000, 1100, 0, 500, 1000)],
        }
    )
    found = back_again(rows, keys=("serial", "what"), day="on", times=3, within_days=730)
    assert found.to_dict("records") == [
        {"serial": "M1", "what": "RV1", "times": 3, "first_on": day(900), "last_on": day(1100)}
    ]
    assert back_again(rows.iloc[:2], keys=("serial", "what"), day="on").empty


def by_the_day(stays, faults, work, treated, days):
    """Expected faults after each work, gone through day by day and module by module."""
    stays = [(row.serial, row.from_on, row.to_on, row.module_type) for row in stays.itertuples()]
    types = {serial: module_type for serial, *_, module_type in reversed(stays)}

    def number(frame, column, serial, after, until):
        on = frame.loc[frame["serial"] == serial, column]
        return int(((on > after) & (on <= until)).sum())

    def served(serial, after, until):
        ahead = [after + pd.Timedelta(n, "D") for n in range(1, (until - after).days + 1)]
        return sum(any(one == serial and a <= t < b for one, a, b, _ in stays) for t in ahead)

    found = []
    for work_on in treated.itertuples():
        on, end = work_on.done_on, work_on.done_on + pd.Timedelta(days, "D")
        bad = min(number(faults, "happened_on", work_on.serial, on - pd.Timedelta(365, "D"), on), 2)
        like = [
            serial
            for serial, module_type in types.items()
            if module_type == types[work_on.serial]
            and min(number(faults, "happened_on", serial, on - pd.Timedelta(365, "D"), on), 2) == bad
            and not number(work, "done_on", serial, on - pd.Timedelta(90, "D"), on)
            and served(serial, on, end)
        ]
        ran = sum(served(serial, on, end) for serial in like)
        came = sum(number(faults, "happened_on", serial, on, end) for serial in like)
        found.append(came / ran * served(work_on.serial, on, end) if ran else np.nan)
    return found


def test_siblings_added_up_by_pieces_of_time_are_those_gone_through_day_by_day():
    generator, first = np.random.default_rng(3), pd.Timestamp("2015-01-01")

    def on(*days):
        return [first + pd.Timedelta(int(one), "D") for one in days]

    rows = []
    for number in range(8):
        for begins in generator.integers(0, 900, 2):  # stays may overlap
            until = begins + generator.integers(1, 500)
            rows.append((f"M{number}", "a", "xy"[number % 2], *on(begins, until)))
    stays = pd.DataFrame(rows, columns=["serial", "family", "module_type", "from_on", "to_on"])
    serials = [f"M{number}" for number in generator.integers(0, 9, 60)]  # one that is on no record
    faults = pd.DataFrame(
        {"serial": serials, "happened_on": on(*generator.integers(-5, 1000, 60)), "class": "fault"}
    )
    work = pd.DataFrame(
        {"serial": serials, "done_on": on(*generator.integers(-5, 1000, 60)), "action": "replace"}
    )
    calendar = module_calendar(stays, faults, work, record_end="2017-09-27")
    treated = effectiveness._treated(calendar, work, 30, "action")
    expected = effectiveness._beside_siblings(calendar, treated, 30)[1]
    assert len(treated) > 10 and np.isfinite(expected).sum() > 5
    np.testing.assert_allclose(expected, by_the_day(stays, faults, work, treated, 30), atol=1e-12)
