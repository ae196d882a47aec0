"""Jobs and their kit as sheets, with sums."""

from datetime import date
from types import SimpleNamespace

import pandas as pd
import pytest

from maintkit import order_parts
from maintkit.quarter.kits import kit
from maintkit.quarter.programme import ReFormed, planned_serials
from maintkit.questions.jobs import TOTAL, job_sheet, kit_sheet
from maintkit.questions.plan import Batch
from maintkit.report.answers import BY_NAME

PLAN = pd.DataFrame(
    {
        "serial": ["LMO-045", "LCH-051"],
        "desk": "Heron",
        "position": ["25", "7"],
        "bench_hours": [6.5, 7.0],
        "capacitors": [115, 130],
        "joints": [230, 260],
        "kit": ["a", "b"],
        "pull_from": [date(2026, 10, 12), date(2026, 11, 9)],
        "back_by": [date(2026, 11, 8), date(2026, 12, 20)],
        "minutes_saved": [90.0, 40.5],
        "chance_in_top": 0.5,
    }
)


@pytest.fixture(scope="module")
def quarter(demo_quarter):
    return demo_quarter


def made(table=PLAN):
    """A plan of these pulls, two spares made ready in November for them, and 84 capacitors of old stock before."""
    spares = Batch("monitor (H)", 2, ("LMO-061", "LMO-062"), date(2026, 11, 1), date(2026, 11, 8), 2.5)
    stock = ReFormed("22u", 84, 124, date(2022, 10, 1), date(2026, 10, 11), 2.8, 84, 2.8)
    return SimpleNamespace(quarter="2026Q4", table=table, batches=(spares,), re_formed=(stock,))


def test_jobs_end_in_their_sums():
    sheet = job_sheet(made())
    last = sheet.iloc[-1]
    assert (
        last["what"],
        last["bench_hours"],
        last["capacitors"],
        last["joints"],
        last["minutes_saved"],
    ) == (TOTAL, pytest.approx(6.5 + 7.0 + 2.5 + 2.8), 245, 490, 130.5)
    assert len(sheet) == 2 + 2 + 1 + 1 and "chance_in_top" not in sheet


def test_spares_and_old_stock_made_ready_are_jobs_in_order_of_day():
    sheet = job_sheet(made()).set_index("what")
    assert list(sheet.index) == ["re-form", "re-cap", "make ready", "make ready", "re-cap", TOTAL]
    re_form, spare = sheet.loc["re-form"], sheet.loc["make ready"].iloc[1]
    assert (re_form["kit"], re_form["quarter"], re_form["bench_hours"]) == ("84 22u", "2026Q4", 2.8)
    assert (re_form["begin_from"], re_form["done_by"]) == (date(2026, 10, 1), date(2026, 10, 11))
    assert (spare["serial"], spare["quarter"], spare["bench_hours"]) == ("LMO-062", "2026Q4", 1.25)
    assert (spare["begin_from"], spare["done_by"]) == (date(2026, 11, 1), date(2026, 11, 8))


def test_the_jobs_take_the_hours_of_the_plan(quarter):
    plan = BY_NAME["pull_next"].facts(quarter)
    sheet = job_sheet(plan)
    assert sheet["bench_hours"].iloc[-1] == pytest.approx(plan.hours)
    assert (sheet["what"] == "re-cap").sum() == len(plan.table)
    assert plan.ready_hours > 0


def test_the_kit_of_the_coming_quarter_is_that_of_its_cards_and_of_the_order_list(quarter):
    sheet = kit_sheet(quarter).set_index("part_type")
    soon = planned_serials(quarter, within_days=quarter.days_ahead)
    kits = pd.concat([kit(quarter, serial) for serial in soon])
    part = "electrolytic 47u decoupling"
    wanted = kits.loc[kits["part_type"] == part, "quantity"].sum()
    monitors = sum(serial.startswith("LM") for serial in soon)
    in_each = {"monitor path": 34, "channel path": 40}  # by the parts list
    by_hand = in_each["monitor path"] * monitors + in_each["channel path"] * (len(soon) - monitors)
    assert sheet.loc[part, "quantity"] == wanted == by_hand
    assert sheet.loc[part, "joints"] == 2 * wanted
    assert sheet.loc[part, "usable"] == sheet.loc[part, "in_stock"]
    assert sheet.loc[part, "to_get"] == max(wanted - sheet.loc[part, "in_stock"], 0)
    assert sheet.loc[TOTAL, "quantity"] == kits["quantity"].sum()
    order = order_parts(quarter).table.set_index("part_type")["planned"]
    assert order[part] == wanted


def test_of_old_stock_only_what_the_plan_re_forms_is_counted_on(quarter):
    """The 22u are old and take 14 days to come: channel modules pulled before then take 84 each of the 124, later ones fresh ones."""
    part = "electrolytic 22u coupling channel"
    plan, sheet = BY_NAME["pull_next"].facts(quarter), kit_sheet(quarter).set_index("part_type")
    early = plan.table[(plan.table["pull_from"] < date(2026, 10, 15)) & plan.table["kit"].str.contains(part)]
    used = 84 * len(early)
    assert used > 0
    one = next(one for one in plan.re_formed if one.part_type == part)
    assert (one.number, one.soon, one.in_stock, one.hours) == (used, used, 124, pytest.approx(used * 2 / 60))
    assert (sheet.loc[part, "usable"], sheet.loc[part, "in_stock"]) == (used, 124)
    assert sheet.loc[part, "to_get"] == sheet.loc[part, "quantity"] - used
    orders = BY_NAME["order_parts"].facts(quarter)
    row = orders.table.set_index("part_type").loc[part]
    assert row["order"] >= sheet.loc[part, "to_get"]
    assert (row["on_hand"], row["usable"]) == (124, used)
    assert [(one.part_type, one.number, one.used) for one in orders.too_old] == [
        ("electrolytic 100u rail", 143, 0),
        (part, 124 - used, used),
    ]
    assert plan.hours == pytest.approx(plan.whole.hours + sum(one.hours for one in plan.batches) + one.hours)


def test_without_jobs_there_is_no_row():
    assert len(job_sheet(made(PLAN[:0]))) == len(job_sheet(None)) == 0
