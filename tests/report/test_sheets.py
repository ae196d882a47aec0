import csv
from datetime import datetime

import openpyxl
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from maintkit.report.sheets import FORMULA_STARTS, write_csv, write_workbook
from maintkit.survival.results import Estimate

FRAME = pd.DataFrame(
    {
        "serial": ["LMO-017", "=cmd|' /C calc'!A0", None],
        "share": [1 / 3, float("nan"), 2.0],
        "faults": [1, 2, 1204],
        "raised_on": [pd.Timestamp("2026-03-31"), pd.NaT, pd.Timestamp("2026-04-01 10:30")],
        "open": [True, False, True],
    }
)


def test_csv_keeps_numbers_unrounded_dates_iso_and_blanks_empty(tmp_path):
    written = write_csv(tmp_path / "t.csv", FRAME).read_bytes()
    assert written == (
        b"serial,share,faults,raised_on,open\n"
        b"LMO-017,0.3333333333333333,1,2026-03-31,yes\n"
        b"'=cmd|' /C calc'!A0,,2,,no\n"
        b",2.0,1204,2026-04-01T10:30:00,yes\n"
    )


def test_csv_gives_an_estimate_as_its_value_and_a_list_as_text(tmp_path):
    frame = pd.DataFrame(
        {"a": [Estimate(1.5, 1, 2, 0.9, 3, 4), Estimate(None, 1, None, 0.9, 3, 4)], "b": [("p", "q"), ()]}
    )
    assert write_csv(tmp_path / "t.csv", frame).read_text() == 'a,b\n1.5,"p, q"\n,\n'


def test_csv_headings_are_made_safe_too(tmp_path):
    assert write_csv(tmp_path / "t.csv", pd.DataFrame({"=a": [1]})).read_text() == "'=a\n1\n"


def test_negative_numbers_stay_numbers(tmp_path):
    assert (
        write_csv(tmp_path / "t.csv", pd.DataFrame({"a": [-1.5, float("-inf")]})).read_text()
        == "a\n-1.5\n'-inf\n"
    )


@given(st.text(st.characters(blacklist_categories=["Cs"])))
def test_text_comes_back_exactly_and_never_begins_a_formula(tmp_path_factory, text):
    path = write_csv(tmp_path_factory.mktemp("csv") / "t.csv", pd.DataFrame({"a": [text], "b": ["x"]}))
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert len(rows) == 2
    assert not rows[1][0].lstrip(" ").startswith(FORMULA_STARTS)
    assert rows[1][0].removeprefix("'") == text


@pytest.mark.parametrize(
    "text", ["=1+1", "+44", "-3", "@x", "\tx", "\rx", " =1", "'=1", "a,b", 'say "x"', "two\nlines", " x "]
)
def test_awkward_text_comes_back_exactly(tmp_path, text):
    path = write_csv(tmp_path / "t.csv", pd.DataFrame({"a": [text], "b": ["x"]}))
    with path.open(encoding="utf-8", newline="") as file:
        assert [cell.removeprefix("'") for cell in list(csv.reader(file))[1]] == [text, "x"]


@pytest.fixture
def book(tmp_path):
    path = write_workbook(
        tmp_path / "t.xlsx",
        {"Work list": FRAME, "Notes/2": FRAME.head(0)},
        notes={"Work list": "=Mind this."},
    )
    return openpyxl.load_workbook(path)


def test_a_workbook_has_a_sheet_a_frame_with_a_name_a_tab_can_bear(book):
    assert book.sheetnames == ["Work list", "Notes 2"]


def test_text_that_looks_like_a_formula_is_text(book):
    for cell in (book["Work list"]["A5"], book["Work list"]["A1"]):
        assert cell.data_type == "s" and cell.quotePrefix
    assert book["Work list"]["A5"].value == "=cmd|' /C calc'!A0"
    assert book["Work list"]["A1"].value == "=Mind this."
    assert not book["Work list"]["A4"].quotePrefix


def test_numbers_dates_and_blanks_keep_their_kind(book):
    sheet = book["Work list"]
    assert (sheet["B4"].value, sheet["C6"].value, sheet["B5"].value) == (pytest.approx(100 / 3), 1204, None)
    assert (sheet["D4"].value, sheet["D4"].number_format) == (datetime(2026, 3, 31), "yyyy-mm-dd")
    assert (sheet["D6"].value, sheet["D6"].number_format) == (
        datetime(2026, 4, 1, 10, 30),
        "yyyy-mm-dd hh:mm",
    )
    assert [sheet["E4"].value, sheet["E5"].value] == ["yes", "no"]


def test_headings_are_bold_frozen_and_filtered_below_the_note(book):
    sheet = book["Work list"]
    assert [cell.value for cell in sheet[3]] == ["serial", "share (%)", "faults", "raised on", "open"]
    assert all(cell.font.bold for cell in sheet[3])
    assert (sheet.freeze_panes, sheet.auto_filter.ref) == ("A4", "A3:E6")
    assert (book["Notes 2"].freeze_panes, book["Notes 2"].auto_filter.ref) == ("A2", "A1:E1")


def test_sheets_print_on_a4_across_one_page(book):
    sheet = book["Work list"]
    assert (sheet.page_setup.orientation, sheet.page_setup.paperSize) == ("landscape", 9)
    assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.print_title_rows == "$3:$3"


def test_what_a_workbook_cannot_hold_is_written_out(tmp_path):
    frame = pd.DataFrame(
        {
            "a": ["x\x00\x1by", "LM\u202e71", "z" * 40_000],
            "b": [Estimate(1.5, 1, 2, 0.9, 3, 4), ("p", "q"), None],
        }
    )
    sheet = openpyxl.load_workbook(write_workbook(tmp_path / "t.xlsx", {"s": frame}))["s"]
    assert [sheet["A2"].value, sheet["A3"].value] == ["x[U+0000][U+001B]y", "LM[U+202E]71"]
    assert len(sheet["A4"].value) == 32_767
    assert [sheet["B2"].value, sheet["B3"].value] == [1.5, "p, q"]


def test_long_text_wraps_and_columns_are_no_wider_than_a_page_bears(tmp_path):
    sheet = openpyxl.load_workbook(
        write_workbook(tmp_path / "t.xlsx", {"s": pd.DataFrame({"a": ["word " * 40]})})
    )["s"]
    assert sheet["A2"].alignment.wrap_text
    assert sheet.column_dimensions["A"].width == 48


@pytest.mark.parametrize(
    ("names", "said"),
    [((), "none"), (("a" * 40, "a" * 31), f"{'a' * 31}, {'a' * 31}"), (("Rates", "rates"), "Rates, rates")],
)
def test_sheets_without_names_of_their_own_are_refused(tmp_path, names, said):
    with pytest.raises(ValueError, match=rf"^A workbook needs sheets with different names; found {said}\.$"):
        write_workbook(tmp_path / "t.xlsx", {name: FRAME for name in names})
