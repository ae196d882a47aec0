"""A file that may hold records and was not read is said by the loader, the check, the review and its page; one that is no record is not."""

import re

import pytest

from maintkit.check import SOUND, check_records
from maintkit.review import review_records

IN_FOLDER = (
    "{} not read: a file is read where its name begins with that of its table, such as repairs-2026, or where mapping.toml names it; what is "
    "no record is listed there under ignore."
)
BESIDE = "{} not read: one file alone was named. Give --records the folder for all that lies there."
LOG = "raised_on,desk,position,symptom\n" + "".join(f"2025-0{at}-06,Knot,{at},hum\n" for at in range(1, 7))
DECISIONS = "review,decision,what\n2025Q1,D1,re-cap\n"


def sheet(path, title, *rows):
    from openpyxl import Workbook

    book = Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(row)
    book.save(path)


@pytest.fixture
def place(book):
    """A list, a workbook that is no table by its name, an old spreadsheet, and what holds no records."""
    folder = book(desks=None, repairs=None, tickets=LOG)
    sheet(folder / "Knot-4.xlsx", "work", ["repair", "done_on"], ["1", "2025-03-01"])
    for name in ("stock.xls", "circuit.pdf", "photo.jpg", "read me.txt"):
        (folder / name).write_bytes(b"x")
    return folder


def test_files_that_may_hold_records_are_told_from_what_holds_none(place, load):
    assert load(place)[0].overlooked == ("Knot-4.xlsx", "stock.xls")
    (place / "mapping.toml").write_text('ignore = ["Knot-4.xlsx", "stock.xls"]\n', encoding="utf-8")
    assert load(place)[0].overlooked == ()


def test_a_whole_record_book_in_a_workbook_beside_the_one_read_is_not_overlooked(place, load):
    sheet(place / "all of it.xlsx", "Tickets", *(row.split(",") for row in LOG.splitlines()))
    assert load(place)[0].overlooked == ("Knot-4.xlsx", "stock.xls")


def test_a_sheet_left_shut_on_purpose_is_not_overlooked(tmp_path, load):
    sheet(tmp_path / "tickets.xlsx", "tickets", *(row.split(",") for row in LOG.splitlines()))
    sheet(tmp_path / "Knot-4.xlsx", "work", ["repair", "done_on"], ["1", "2025-03-01"])
    assert load(tmp_path)[0].overlooked == ("Knot-4.xlsx",)
    (tmp_path / "mapping.toml").write_text('ignore = ["work"]\n', encoding="utf-8")
    assert load(tmp_path)[0].overlooked == ()


def test_check_says_so_and_whether_the_rest_is_sound_does_not_hang_on_it(place):
    check = check_records(place, "2025Q2")
    assert str(check).splitlines()[0].endswith(IN_FOLDER.format("Knot-4.xlsx and stock.xls were"))
    (place / "decisions.csv").write_text(DECISIONS, encoding="utf-8")
    alone = check_records(place / "tickets.csv", "2025Q2")
    assert str(alone).splitlines()[0].endswith(BESIDE.format("decisions.csv was"))
    assert alone.exit_code == check.exit_code == SOUND


def test_the_review_says_so_on_the_terminal_and_before_anything_else_on_the_page(place, tmp_path):
    said = review_records(place, "2025Q2", tmp_path / "out")
    assert IN_FOLDER.format("Knot-4.xlsx and stock.xls were") in said
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    first = re.sub(r"<[^>]+>", "", page[page.index("Before anything else") :])
    assert (
        first.removeprefix("Before anything else")
        .lstrip()
        .startswith("Knot-4.xlsx and stock.xls were not read:")
    )
