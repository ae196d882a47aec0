"""Text that would like to act is shown as text everywhere, and runs nowhere."""

import csv
import json
import os
import re
import shutil
import subprocess
import sys
import unicodedata
from html.parser import HTMLParser

import pytest
from openpyxl import load_workbook

from maintkit.check import check_page, check_records
from maintkit.records.logbook import write_logbook
from maintkit.records.store import open_records
from maintkit.report.compose import gather, in_short
from maintkit.review import report
from tests.demo.truth import DATA_DEMO
from tests.hostile.conftest import DESKS, LONG, MARKUP
from tests.report.conftest import measured  # noqa: F401  (a fixture)

HOME = DATA_DEMO.parent


class Tags(HTMLParser):
    """Every element of a page with its attributes."""

    def __init__(self):
        super().__init__()
        self.seen = []

    def handle_starttag(self, tag, attributes):
        self.seen.append((tag, dict(attributes)))


def tags(html):
    parser = Tags()
    parser.feed(html)
    return parser.seen


@pytest.fixture(scope="module")
def checked(hostile_book):
    return check_records(hostile_book, "2026Q1")


@pytest.fixture(scope="module")
def page(review):
    return report(review, in_short(*gather(review.quarter, review.findings)))


def test_every_hostile_row_that_keeps_the_rules_is_kept_word_for_word(hostile_book):
    records = open_records(hostile_book)
    assert [(one.file, one.row) for one in records.report.turned_away] == [("tickets.csv", 162)]
    assert {desk for (desk,) in records.connection.execute("select desk from desks").fetchall()} == set(DESKS)
    assert (
        records.connection.execute(
            "select count(*) from tickets where symptom = $text", {"text": LONG}
        ).fetchall()[0][0]
        == 18
    )
    records.close()


def test_no_element_on_the_page_comes_from_the_records(page, checked):
    for html in (page, check_page(checked)):
        found = tags(html)
        assert not {tag for tag, _ in found} & {"img", "u", "b", "a href"}
        assert not [attributes for _, attributes in found for name in attributes if name.startswith("on")]
        assert {attributes["href"][0] for tag, attributes in found if tag == "a"} == {"#"}
        assert "&lt;script&gt;document.title" in html


def test_in_a_browser_nothing_runs_and_nothing_is_fetched(page, checked, measured):  # noqa: F811
    for html in (page, check_page(checked)):
        seen = measured(html, width=1280, extra="function (seen) { seen.title = document.title; }")
        assert (seen["errors"], seen["violations"], seen["resources"]) == ([], [], [])
        assert seen["title"] != "taken"
        assert "<script>document.title='taken'</script>" in seen["text"]
        assert "\u202e" not in seen["text"] and "\x1b" not in seen["text"]


def test_a_notebook_shows_text_and_no_element_of_the_records(review, checked):
    for finding in (*review.findings.values(), checked.mending, *checked.findings):
        found = tags(finding._repr_html_())
        assert not {tag for tag, _ in found} & {"script", "img", "u", "b", "a"}, finding.key


def test_labels_in_figures_are_escaped(review):
    drawn = [finding for finding in review.findings.values() if finding.figure is not None]
    assert len(drawn) > 5
    for finding in drawn:
        drawing = json.loads(finding.figure.to_json())
        drawing["layout"].pop(
            "meta", None
        )  # the title for the page's heading, which is escaped there and not drawn
        drawing = json.dumps(drawing)
        assert "<script" not in drawing and "<img" not in drawing, finding.key
    assert any("&lt;script&gt;" in finding.figure.to_json().replace("\\u0026", "&") for finding in drawn)


def test_no_cell_of_a_csv_file_is_a_formula(written):
    names = sorted(written.glob("*.csv"))
    assert len(names) >= 4
    for name in names:
        with name.open(encoding="utf-8", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert [cell for cell in cells if cell.lstrip(" ").startswith(("=", "+", "@", "\t", "\r"))] == []
        assert [
            cell for cell in cells if cell.startswith("-") and not re.fullmatch(r"-[\d.e+-]+", cell)
        ] == []


def test_no_cell_of_a_workbook_is_a_formula(written, hostile_book, tmp_path):
    log_book = write_logbook(tmp_path / "log.xlsx", hostile_book)
    for path in (written / "work-list.xlsx", log_book.path):
        for sheet in load_workbook(path):
            cells = [cell for row in sheet.iter_rows() for cell in row if cell.value is not None]
            assert cells and not [cell.coordinate for cell in cells if cell.data_type == "f"]


def test_a_log_book_of_hostile_records_loads_again(hostile_book, tmp_path):
    written = write_logbook(tmp_path / "log.xlsx", hostile_book)
    records = open_records(written.path)
    assert records.report.turned_away == ()
    assert records.report.kept == written.rows
    records.close()


def test_the_findings_are_data(written):
    content = json.loads((written / "findings.json").read_text(encoding="utf-8"))
    assert len(content["findings"]) > 10
    assert MARKUP in json.dumps(content, ensure_ascii=False).replace('\\"', '"')


def run(*arguments, folder):
    return subprocess.run(
        [sys.executable, "-m", "maintkit", *map(str, arguments)],
        capture_output=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(HOME), "PYTHONUTF8": "1"},
    )


@pytest.mark.parametrize("command", ["load", "check", "loads", "logbook", "missing"])
def test_nothing_said_in_a_terminal_steers_it(command, hostile_book, tmp_path):
    if command == "loads":
        run("load", hostile_book, "--into", "records.duckdb", folder=tmp_path)
    arguments = {
        "load": ("load", hostile_book, "--into", "again.duckdb"),
        "check": ("check", hostile_book, "--quarter", "2026Q1"),
        "loads": ("loads", "records.duckdb"),
        "logbook": ("logbook", "log.xlsx", "--from", hostile_book),
        "missing": ("load", "no \x1b[31m such \u202e folder", "--into", "x.duckdb"),
    }[command]
    done = run(*arguments, folder=tmp_path)
    assert done.returncode == {"check": 3, "missing": 1}.get(command, 0)
    said = done.stdout.decode() + (done.stderr.decode() if command == "missing" else "")
    steering = {
        character
        for character in said
        if character != "\n" and unicodedata.category(character) in ("Cc", "Cf", "Co", "Zl", "Zp")
    }
    assert said and steering == set()


def test_a_terminal_that_knows_few_letters_still_gets_its_answer(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "maintkit", "check", str(tmp_path / "für µ 日本")],
        capture_output=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(HOME), "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    )
    assert done.returncode == 1 and b"Traceback" not in done.stderr
    assert b"there is no such file or folder" in done.stderr


HEADING = "\x1b[2J<script>=1+1\u202e"


def with_heading(book, name, folder):
    """The book with one heading of its tickets that would steer a terminal."""
    shutil.copytree(book, folder)
    text = (folder / "tickets.csv").read_text(encoding="utf-8")
    (folder / "tickets.csv").write_text(text.replace(name, HEADING, 1), encoding="utf-8")
    return folder


def test_a_hostile_heading_without_a_place_is_kept_beside_the_row_and_steers_nothing(hostile_book, tmp_path):
    book = with_heading(hostile_book, "symptom", tmp_path / "book")
    done = run("load", book, "--into", "x.duckdb", folder=tmp_path)
    assert done.returncode == 0
    said = done.stdout + done.stderr
    assert b"\x1b[2J" not in said and "\u202e".encode() not in said
    records = open_records(tmp_path / "x.duckdb")
    beside = records.connection.execute(
        "select distinct unnest(map_keys(as_written)) from tickets where as_written is not null"
    ).fetchall()
    records.close()
    assert (HEADING,) in beside


def test_a_hostile_heading_for_a_required_one_is_refused_in_words_that_steer_nothing(hostile_book, tmp_path):
    book = with_heading(hostile_book, "raised_on", tmp_path / "book")
    done = run("load", book, "--into", "x.duckdb", folder=tmp_path)
    assert done.returncode == 1
    assert b"\x1b[2J" not in done.stderr and "\u202e".encode() not in done.stderr
    assert b"the required column raised_on" in done.stderr
