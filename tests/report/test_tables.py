from datetime import date, datetime

import numpy as np
import pandas as pd
import pytest

from maintkit.report.tables import (
    cell_text,
    chance_text,
    date_text,
    heading_text,
    interval_text,
    number_text,
)
from maintkit.survival.results import Estimate


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (0, "0"),
        (-0.0, "0"),
        (3, "3"),
        (1204, "1,204"),
        (1204.0, "1,204"),
        (1204.4, "1,204"),
        (0.012345, "0.0123"),
        (99.96, "100"),
        (999.6, "1,000"),
        (0.00001234, "under 0.001"),
        (-0.00001234, "over −0.001"),
        (1234.56, "1,235"),
        (-2.345, "−2.35"),
        (float("inf"), "∞"),
        (float("-inf"), "−∞"),
        (None, "–"),
        (float("nan"), "–"),
        (np.int64(7), "7"),
        (np.float64(0.5), "0.5"),
    ],
)
def test_a_number_is_shown_with_three_digits_and_a_whole_one_in_full(number, text):
    assert number_text(number) == text


@pytest.mark.parametrize(
    ("cells", "text"),
    [
        ((1.8, 1.2, 2.7), "1.8 (1.2 to 2.7)"),
        ((0.0, None, 2.3), "0 (at most 2.3)"),
        ((4.0, 1.0, None), "4 (at least 1)"),
        ((None, 5.0, None), "not reached (at least 5)"),
        ((float("nan"),) * 3, "–"),
        ((2.5, None, None), "2.5"),
    ],
)
def test_an_interval_says_which_limits_there_are(cells, text):
    assert interval_text(*cells) == text


def test_an_estimate_in_a_cell_and_one_not_reached():
    assert cell_text(Estimate(2.0, 1.0, 3.0, 0.90, 9, 1e6)) == "2 (1 to 3)"
    assert cell_text(Estimate(None, None, None, 0.90, 9, 1e6)) == "not reached"


@pytest.mark.parametrize(
    ("p", "text"), [(0.00099, "< 0.001"), (0.001, "0.001"), (0.0, "< 0.001"), (1.0, "1"), (None, "–")]
)
def test_a_p_below_a_thousandth_says_only_that(p, text):
    assert chance_text(p) == text


def test_dates_are_iso_and_a_time_is_shown_only_where_there_is_one():
    assert [date_text(date(2026, 9, 30)), date_text(pd.Timestamp("2026-09-30"))] == ["2026-09-30"] * 2
    assert date_text(datetime(2026, 9, 30, 14, 5)) == "2026-09-30 14:05"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (True, "yes"),
        (np.bool_(False), "no"),
        (pd.NaT, "–"),
        (pd.NA, "–"),
        (("LMO-1", "LMO-2"), "LMO-1, LMO-2"),
        ((), "–"),
        (pd.Timestamp("2026-03-31"), "2026-03-31"),
        ("bay 1", "bay 1"),
        (Estimate(1.8, 1.2, 2.7, 0.90, 9, 1.0), "1.8 (1.2 to 2.7)"),
    ],
)
def test_any_cell_has_a_text(value, text):
    assert cell_text(value) == text


@pytest.mark.parametrize(
    ("column", "text"),
    [
        ("bench_minutes", "bench (min)"),
        ("air_c", "air (°C)"),
        ("lead_time_days", "lead time (d)"),
        ("raised_on", "raised on"),
        ("failures_per_powered_year", "failures per powered year"),
        ("share_left", "share left (%)"),
        ("expected_minutes_lost", "expected minutes lost"),
        ("exposure_hours", "exposure (powered years)"),
        ("c", "c"),
        ("minutes_lost", "minutes lost"),
        ("powered_years", "powered years"),
    ],
)
def test_a_heading_says_the_unit(column, text):
    assert heading_text(column) == text
