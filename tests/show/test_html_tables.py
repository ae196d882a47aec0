import re

import pandas as pd

from maintkit.show.html_tables import html_table, table_columns
from maintkit.stats.results import Estimate


def headings(table: str) -> list[str]:
    return re.findall(r'<th scope="col"[^>]*>(.*?)</th>', table)


def cells(table: str) -> list[str]:
    return re.findall(r"<(?:td|th scope=\"row\")[^>]*>(.*?)</t[dh]>", table)


def test_limits_join_the_column_before_them():
    frame = pd.DataFrame({"desk": ["Heron"], "ratio": [1.8], "low": [1.2], "high": [2.7], "level": [0.90]})
    table = html_table(frame, caption="c")
    assert headings(table) == ["desk", "ratio, 90 % interval"]
    assert cells(table) == ["Heron", "1.8 (1.2 to 2.7)"]


def test_named_limits_join_their_own_column():
    frame = pd.DataFrame({"shape": [3.0], "scale": [2.0], "shape_low": [2.0], "shape_high": [None]})
    table = html_table(frame, caption="c")
    assert headings(table) == ["shape, low to high", "scale"]
    assert cells(table) == ["3 (at least 2)", "2"]


def test_limits_without_a_column_before_them_stand_alone():
    frame = pd.DataFrame({"low": [1.2], "high": [2.7], "n": [3]})
    assert headings(html_table(frame, caption="c")) == ["low", "high", "n"]


def test_a_column_called_level_that_is_no_level_of_an_interval_stays():
    frame = pd.DataFrame({"level": ["longshore", "longshore"], "shape": [3.0, 2.0], "low": [2.0, 1.0],
                          "high": [4.0, 3.0]})
    assert headings(html_table(frame, caption="c")) == ["level", "shape, low to high"]


def test_levels_that_differ_are_shown_row_by_row():
    frame = pd.DataFrame({"rate": [1.0, 1.0], "low": [0.5, 0.4], "high": [2.0, 3.0], "level": [0.90, 0.95]})
    assert headings(html_table(frame, caption="c")) == ["rate, low to high", "level"]


def test_exposure_is_shown_in_years_of_the_clock_named_by_the_frame():
    frame = pd.DataFrame({"exposure_hours": [8766.0 * 1204.2]})
    assert headings(html_table(frame, caption="c")) == ["exposure (powered years)"]
    assert cells(html_table(frame, caption="c")) == ["1,204"]
    frame.attrs["clock"] = "calendar"
    assert headings(html_table(frame, caption="c")) == ["exposure (calendar years)"]


def test_hours_are_shown_as_hours_where_no_years_are_asked_for():
    frame = pd.DataFrame({"exposure_hours": [8766.5]})
    assert headings(html_table(frame, caption="c", years=())) == ["exposure (h)"]


def test_numbers_stand_to_the_right_dates_stay_whole_and_long_text_gets_room():
    frame = pd.DataFrame({"desk": ["Heron"], "faults": [3], "on": [pd.Timestamp("2026-01-02")],
                          "reason": ["word " * 10]})
    table = html_table(frame, caption="c")
    assert '<th scope="col" class="number">faults</th>' in table
    assert '<td class="date">2026-01-02</td>' in table
    assert '<td class="long">' in table
    assert '<th scope="row">Heron</th>' in table


def test_hostile_text_is_shown_as_text():
    frame = pd.DataFrame({"<b>name</b>": ["<script>alert(1)</script>", "LM\u202e71"], "said": ["=cmd()", "קול"]})
    table = html_table(frame, caption="<i>")
    assert "<script" not in table and "<b>" not in table and "<i>" not in table and "\u202e" not in table
    assert cells(table) == ["&lt;script&gt;alert(1)&lt;/script&gt;", "=cmd()", "LM[U+202E]71", "קול"]


def test_rows_left_out_are_counted_in_the_caption():
    table = html_table(pd.DataFrame({"n": range(1500)}), caption="Slots", max_rows=2)
    assert "<caption>Slots (the first 2 of 1,500 rows)</caption>" in table
    assert cells(table) == ["0", "1"]
    assert "<caption>Slots</caption>" in html_table(pd.DataFrame({"n": [1, 2]}), caption="Slots", max_rows=2)


def test_a_table_without_rows_says_so():
    assert '<td colspan="2">no rows</td>' in html_table(pd.DataFrame({"a": [], "b": []}), caption="c")


def test_estimates_in_cells_are_numbers():
    frame = pd.DataFrame({"b10": [Estimate(1.8, 1.2, 2.7, 0.90, 9, 1.0), None]})
    assert table_columns(frame) == [("b10", True, ["1.8 (1.2 to 2.7)", "–"])]


def test_the_frame_is_not_changed():
    frame = pd.DataFrame({"ratio": [1.8], "low": [1.2], "high": [2.7]})
    before = frame.copy()
    html_table(frame, caption="c")
    pd.testing.assert_frame_equal(frame, before)


def test_many_columns_are_marked_for_small_print():
    few, many = (pd.DataFrame({f"c{number}": [1] for number in range(count)}) for count in (9, 10))
    assert '<table class="wide">' in html_table(many, caption="c")
    assert '<table class="wide">' not in html_table(few, caption="c")
