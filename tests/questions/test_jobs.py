"""Jobs and their kit as sheets, with sums."""

import pandas as pd
import pytest

from maintkit.quarter.quarter import open_quarter
from maintkit.questions.jobs import TOTAL, job_sheet, kit_sheet
from maintkit.report.finding import Finding
from tests.demo import truth

PLAN = pd.DataFrame(
    {
        "serial": ["LM-045", "LC-051"],
        "desk": "Heron",
        "position": ["25", "7"],
        "bench_hours": [6.5, 7.0],
        "capacitors": [115, 130],
        "joints": [230, 260],
        "kit": ["a", "b"],
        "minutes_saved": [90.0, 40.5],
        "chance_in_top": 0.5,
    }
)


@pytest.fixture(scope="module")
def quarter():
    return open_quarter(truth.DATA_DEMO, "2026Q3")


def test_jobs_end_in_their_sums():
    sheet = job_sheet(Finding("work-plan", "Pull two.", PLAN))
    last = sheet.iloc[-1]
    assert (
        last["serial"],
        last["bench_hours"],
        last["capacitors"],
        last["joints"],
        last["minutes_saved"],
    ) == (TOTAL, 13.5, 245, 490, 130.5)
    assert len(sheet) == 3 and "chance_in_top" not in sheet


def test_the_kit_of_two_modules_is_summed_and_set_against_the_stock(quarter):
    sheet = kit_sheet(quarter, ["LM-045", "LC-051"]).set_index("part_type")
    shared = sheet.loc["electrolytic 47u decoupling"]  # 53 in a monitor path, 60 in a channel path
    assert (shared["modules"], shared["quantity"], shared["joints"]) == (2, 113, 226)
    assert shared["to_get"] == max(113 - shared["in_stock"], 0)
    assert shared["cost"] == pytest.approx(113 * 0.3)
    parts = sheet.drop(index=TOTAL)
    assert sheet.loc[TOTAL, "quantity"] == parts["quantity"].sum() >= 62 + 70 + 113
    assert sheet.loc[TOTAL, "joints"] == 2 * (62 + 70 + 113)


def test_without_jobs_there_is_no_row(quarter):
    assert len(job_sheet(Finding("work-plan", "None.", PLAN[:0]))) == 0
    assert len(kit_sheet(quarter, [])) == 0
