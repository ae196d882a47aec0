from datetime import datetime

import pandas as pd
import pytest
from openpyxl import load_workbook

from maintkit.quarter.blanks import Blanks
from maintkit.report.bench_book import write_bench_book
from maintkit.report.bench_card import BenchCard, CardPart, bench_card_html
from maintkit.report.cautions import GENERAL_REMINDER, cautions_for


def blanks():
    rows = pd.DataFrame(
        {
            "repair": ["2026Q4-LMO-1-1", "=cmd()"],
            "done_on": [None, datetime(2026, 10, 3)],
            "action": ["replace", None],
        },
        dtype=object,
    )
    return Blanks(rows, ("repair", "done_on", "action"), {"action": ("replace", "clean")}, ("done_on",))


@pytest.fixture
def book(tmp_path):
    return load_workbook(write_bench_book(tmp_path / "card.xlsx", {"repairs": blanks()}))


def test_headings_are_the_columns_of_the_record_table_and_what_is_known_is_filled_in(book):
    rows = list(book["repairs"].iter_rows(values_only=True))
    assert rows[:3] == [
        ("repair", "done_on", "action"),
        ("2026Q4-LMO-1-1", None, "replace"),
        ("=cmd()", datetime(2026, 10, 3), None),
    ]
    assert not [value for row in rows[3:] for value in row if value is not None]


def test_text_is_never_reckoned(book):
    assert (book["repairs"]["A3"].data_type, book["repairs"]["A3"].quotePrefix) == ("s", True)


def test_closed_columns_have_a_pick_list_and_days_a_format(book):
    rule = book["repairs"].data_validations.dataValidation[0]
    assert (rule.formula1, str(rule.sqref)) == ('"replace,clean"', "C2:C41")
    assert book["repairs"]["B2"].number_format == "yyyy-mm-dd"
    assert book["repairs"].column_dimensions["B"].number_format == "yyyy-mm-dd"


def test_the_advice_stands_on_a_sheet_of_its_own(book):
    assert book.sheetnames == ["read me", "repairs"]
    assert "delete those you did not" in book["read me"]["A1"].value
    assert book["read me"]["A2"].value.startswith("General reminder, not a procedure.")
    assert all(book["read me"].row_dimensions[row].height >= 15 for row in (1, 2))
    assert (book["repairs"].page_setup.orientation, book["repairs"].page_setup.paperSize) == ("landscape", 9)


@pytest.fixture
def card():
    table = pd.DataFrame({"part_type": ["electrolytic 22u"], "chance": [0.4]})
    return BenchCard(
        "LMO-1",
        "Bench card LMO-1",
        "to 2026-09-30",
        ("17 faults <b>.",),
        (CardPart("What is likely", "Odds.", table),),
        ("Write it down.",),
        cautions_for(["re-cap"]),
        {"repairs": blanks()},
    )


def test_the_card_holds_everything_in_its_order(card):
    html = bench_card_html(card)
    at = [
        html.index(words)
        for words in (
            "Bench card LMO-1</h1>",
            "17 faults &lt;b&gt;.",
            GENERAL_REMINDER[:40],
            "Replacing electrolytics",
            "What is likely</h2>",
            "electrolytic 22u",
            "Write it down.",
            "2026Q4-LMO-1-1",
            "Done by ___",
        )
    ]
    assert at == sorted(at)
    assert "default-src 'none'" in html and "<script" not in html


def test_what_is_not_known_is_an_empty_cell_to_write_in(card):
    row = bench_card_html(card).split("2026Q4-LMO-1-1</td>")[1].split("</tr>")[0]
    assert row == "<td></td><td>replace</td>"


def test_a_card_says_its_title_and_sentences(card):
    assert repr(card) == "Bench card LMO-1. 17 faults <b>."
