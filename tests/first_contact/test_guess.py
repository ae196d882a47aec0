"""A sheet of which no heading is known is taken for a list of faults by its cells, in lines that ask."""

import pytest

from maintkit.cli import main
from maintkit.records.headings import draft_mapping
from maintkit.records.headings.guess import fault_list
from maintkit.records.headings.values import Cells
from maintkit.records.store import open_records
from tests.first_contact.test_shapes_of_books import workbook

BOOK = """Kiedy;Czego;Nr;Co było słychać;Co zrobiłem
06-01-2025;duży stół;12;trzeszczy przy kręceniu;potencjometr przemyty
11-01-2025;duży stół;14;brak dźwięku;kondensator wymieniony
25-02-2025;mały stół;3;przycisk zacina się;przełącznik wymieniony
14-03-2025;duży stół;12;znowu trzeszczy;potencjometr wymieniony
"""


@pytest.fixture
def book(tmp_path):
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "dziennik.csv").write_text(BOOK, encoding="utf-8")
    return folder


def test_its_columns_are_asked_about_and_nothing_is_placed(book):
    draft = draft_mapping(book)
    assert (draft.placed, draft.guessed, draft.asks) == ({}, ("dziennik.csv",), 1)
    lines = draft.text.splitlines()
    for line in (
        '"Kiedy" = "raised_on"',
        '"Nr" = "position"',
        '"Co było słychać" = "symptom"',
        '"Czego" = "desk"',
    ):
        assert f"# ? {line}" in lines


def test_it_is_read_once_the_question_is_answered(book):
    lines = (
        line.removeprefix("# ? ")
        for line in draft_mapping(book).text.splitlines()
        if not line.startswith("ignore")
    )
    (book / "mapping.toml").write_text("\n".join(lines), encoding="utf-8")
    records = open_records(book)
    assert (records.report.kept, records.report.turned_away) == (4, ())
    rows = records.connection.sql("select desk, position, symptom from tickets order by raised_on").fetchall()
    assert rows[0] == ("duży stół", "12", "trzeszczy przy kręceniu")
    records.close()


def test_the_line_of_what_is_ignored_is_spoken_of_where_there_is_one(book, tmp_path):
    assert "and its name out of the line that begins with ignore." in draft_mapping(book).text
    folder = tmp_path / "in a workbook"
    folder.mkdir()
    workbook(folder, "dziennik.xlsx", Karta=[line.split(";") for line in BOOK.splitlines()])
    text = draft_mapping(folder).text
    assert '# ? sheet = "Karta"' in text and "ignore" not in text
    (folder / "mapping.toml").write_text(text.replace("# ? ", ""), encoding="utf-8")
    records = open_records(folder)
    assert records.report.kept == 4
    records.close()


def test_what_says_so_is_printed_and_the_review_points_to_it(book, capsys):
    assert main(["headings", str(book), "--out", str(book / "mapping.toml")]) == 0
    assert "takes dziennik.csv for a list of faults" in capsys.readouterr().out
    assert main(["review", "--records", str(book), "--out", str(book.parent / "out")]) == 1
    assert "mapping.toml ignores dziennik.csv" in capsys.readouterr().err


def test_there_is_no_guess_without_days_or_without_words():
    days = Cells(("2025-01-06", "2025-01-11", "2025-02-25"))
    numbers = Cells(("1", "2", "5"))
    assert fault_list({"a": days, "b": numbers}) is None
    assert fault_list({"a": numbers, "b": Cells(("no sound", "hum", "no light"))}) is None


def test_beside_a_sheet_that_is_recognised_there_is_no_guess(book):
    (book / "tickets.csv").write_text("Date,Desk,Channel,Fault\n2025-01-06,Heron,3,hum\n", encoding="utf-8")
    assert draft_mapping(book).guessed == ()


def test_teams_whose_code_is_town_and_number_stop_no_draft(tmp_path):
    teams = [f"QX-{town}-F{number:03}M" for town in ("HAR", "DEL", "MOR") for number in (3, 4)]
    rows = [f"{day:02}/10/2025,{teams[day % 6]},{32030040 + 137 * day},VISIT" for day in range(1, 19)]
    (tmp_path / "rounds.csv").write_text("\n".join(["Day,Team,Meter,Opened", *rows]), encoding="utf-8")
    assert '"Team" = "position"' in draft_mapping(tmp_path).text


def _answered(folder):
    """The mapping with its questions answered, but for those within them."""
    lines = draft_mapping(folder).text.splitlines()
    told = (line.removeprefix("# ? ") for line in lines if not line.startswith("ignore"))
    (folder / "mapping.toml").write_text("\n".join(told), encoding="utf-8")


def test_a_diary_that_tells_of_work_too_is_asked_about_as_both(tmp_path):
    (tmp_path / "oven.rst").write_text(
        "Oven\n====\n\n6/9/2024 - Door heater lost. Waited.\n\n6/25/2024 - Vacuum lost. Replaced the seal.\n\n"
        "7/29/2024 - Pump tripped. Reset by hand.\n\n8/5/2024 - Water gone in the whole house.\n",
        encoding="utf-8",
    )
    _answered(tmp_path)
    records = open_records(tmp_path)
    found = "select raised_on::date::varchar, action from tickets left join repairs using (ticket) order by 1"
    assert records.connection.sql(found).fetchall() == [
        ("2024-06-09", None), ("2024-06-25", "replace"), ("2024-07-29", "adjust"), ("2024-08-05", None),
    ]  # fmt: skip
    # the title, which is of no day, is a report of none and no work
    assert len(records.report.turned_away) == 1
    records.close()


def test_where_most_rows_say_nothing_it_is_asked_whether_they_are_reports(tmp_path):
    days = [f"{day:02}-01-2025;duży stół;{day % 7};" for day in range(1, 20)]
    (tmp_path / "dziennik.csv").write_text(BOOK + "\n".join(days), encoding="utf-8")
    _answered(tmp_path)
    text = (tmp_path / "mapping.toml").read_text(encoding="utf-8")
    assert "# 19 of 23 rows say nothing there" in text
    answer = '# ? rows_with = ["Co było słychać"]'
    assert answer in text.splitlines()
    (tmp_path / "mapping.toml").write_text(
        text.replace(answer, answer.removeprefix("# ? ")), encoding="utf-8"
    )
    records = open_records(tmp_path)
    assert records.connection.sql("select count(*) from tickets").fetchall() == [(4,)]
    records.close()


def test_a_heading_that_says_persons_or_minutes_is_neither_desk_nor_slot(tmp_path):
    rows = [
        f"{day:02}.03.2025;{'trzeszczy' if day % 3 else 'nie ma'} dźwięku;{'Ola' if day % 2 else 'Jan'};{day % 3 + 1}h30"
        for day in range(1, 9)
    ]
    (tmp_path / "dziennik.csv").write_text("\n".join(["Kiedy;Co;Technicien;Durée", *rows]), encoding="utf-8")
    draft = draft_mapping(tmp_path)
    assert '# ? "Co" = "symptom"' in draft.text
    assert '"Technicien" =' not in draft.text and '"Durée" =' not in draft.text


def test_remarks_that_tell_stories_are_what_was_wrong(tmp_path):
    told = (
        "one of the circuits went off",
        "access to the cavity for an hour",
        "injection kicker did not fire",
    )
    rows = [f"{day:02}/05/2024;P{day % 4};{told[day % 3]}" for day in range(1, 25)]
    (tmp_path / "x.csv").write_text("\n".join(["Kiedy;Element;Remarks", *rows]), encoding="utf-8")
    assert '# ? "Remarks" = "symptom"' in draft_mapping(tmp_path).text.splitlines()
