"""A sheet that may be of either of two tables is of neither until the technician says which."""

import html
import tomllib
from pathlib import Path
from types import SimpleNamespace

import pytest

from maintkit.check import check_records
from maintkit.records.errors import RecordsError
from maintkit.records.headings import draft_mapping, write_draft
from maintkit.records.headings.doubts import asked_of
from maintkit.records.headings.kinds_of_rows import as_in_other_years
from maintkit.records.headings.places import Placing
from maintkit.records.headings.sections import Section
from maintkit.records.headings.tables import Weighed
from maintkit.records.store import open_records
from maintkit.review import review_records
from tests.first_contact.as_drafted import drafted
from tests.first_contact.test_shapes_of_books import workbook

# Its words are of a language that words.toml does not have: dates, names, a part here and there.
UNSURE = """\
Date,Console,Co było,Czas (min),Naprawa,Nowe,Koniec
06/01/2025,sala A,trzeszczy,5,czyszczenie,,07/01/2025
20/01/2025,sala A,cisza,30,wymiana,relais 24V,21/01/2025
10/02/2025,sala B,buczy,10,lutowanie,,10/02/2025
27/02/2025,sala A,trzeszczy,5,wymiana,pot 10k,28/02/2025
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "pult.csv").write_text(UNSURE, encoding="utf-8")
    return tmp_path


def test_nothing_is_placed_and_the_draft_names_both_tables(folder):
    said = write_draft(folder, folder / "mapping.toml")
    assert said.draft.placed == {}
    assert said.draft.either == {"pult.csv": "a list of repairs or a list of tickets"}
    assert (
        "pult.csv may be a list of repairs or a list of tickets: nothing of it is placed, mapping.toml asks which it is."
        in str(said)
    )
    with pytest.raises(RecordsError, match="pult.csv"):
        open_records(folder)


def test_the_lines_of_one_table_hold_once_their_marks_are_taken_away(folder):
    write_draft(folder, folder / "mapping.toml")
    path = folder / "mapping.toml"
    before, tickets = path.read_text(encoding="utf-8").split("# If it is a list of tickets:\n")
    path.write_text(before + tickets.replace("# ? ", ""), encoding="utf-8")
    records = open_records(folder)
    days = records.connection.execute("select raised_on::varchar from tickets order by 1").fetchall()
    assert days == [("2025-01-06",), ("2025-01-20",), ("2025-02-10",), ("2025-02-27",)]


@pytest.mark.parametrize(("heading", "went_in"), [("Component name", False), ("Component fitted", True)])
def test_a_component_beside_each_complaint_is_no_part_that_was_replaced(tmp_path, heading, went_in):
    parts = ("Yaw drive", "Rotor hub", "Tower top")
    said = ("Oil on the floor", "Noise from the left", "Does not turn")
    rows = [
        f"2025-01-{day:02},{said[day % 3]},{parts[day % 3]},{said[(day + day // 4) % 3]} again"
        for day in range(1, 25)
    ]
    text = "\n".join([f"Event Date,Description,{heading},Observations", *rows])
    (tmp_path / "jobs.csv").write_text(text, encoding="utf-8")
    draft = draft_mapping(tmp_path)
    assert ("[repairs]" in draft.text.splitlines()) is went_in
    assert bool(draft.either) is not went_in


def sheet(book, title):
    return SimpleNamespace(pages=[SimpleNamespace(part=SimpleNamespace(path=Path(book), title=title))])


@pytest.mark.parametrize(
    "book, title, tables",
    [
        ("work.xlsx", "2025", ["repairs"]),
        ("work.xlsx", "notes", ["tickets"]),
        ("faults.xlsx", "2025", ["tickets"]),
    ],
)
def test_a_sheet_in_doubt_is_what_those_of_other_years_are(book, title, tables):
    work, reports = Placing("repairs", {}), Placing("tickets", {})
    sure = [(sheet("work.xlsx", year), Weighed([work])) for year in ("2024", "2026")]
    *_, (_, found) = as_in_other_years([*sure, (sheet(book, title), Weighed([reports], [work]))])
    assert [one.table for one in found.likely] == tables and bool(found.rival) == (tables != ["repairs"])


def test_a_section_that_lacks_its_desk_is_asked_for_once_a_line_among_others_that_ask():
    columns = {"Ch": ("position", 1.0), "serial": ("serial", 1.0), "back in": ("fitted_on", 1.0)}
    lines = [
        'file = "progress.csv"',
        "",
        "[fitments.columns]",
        '"Ch" = "position"',
        '"back in" = "fitted_on"',
    ]
    section = Section(Placing("fitments", columns), (SimpleNamespace(name="progress.csv"),), lines)
    told = [line.replace("# ? ", "", 1) for line in asked_of([section]) if line.startswith("# ? ")]
    assert tomllib.loads("\n".join(told)) == {
        "fitments": {
            "same": {"desk": "…"},
            "file": "progress.csv",
            "columns": {"Ch": "position", "back in": "fitted_on"},
        }
    }


ROOMS = {
    "Studio 1 Ferry": [
        ("Date", "Ch", "What was wrong"),
        *((f"2025-01-{day:02}", day % 5 + 1, "crackles") for day in range(1, 13)),
    ],
    "Studio 2 Marlow": [
        ("Date", "Ch", "What was wrong"),
        *((f"2025-02-{day:02}", day % 4 + 1, "no sound") for day in range(1, 13)),
    ],
    "Dub room": [
        ("day", "where", "what happened", "done by", "hrs"),
        ("2025-01-17", "Ch8", "mic amp noisy, replaced Q1 Q2", "BK", 1.5),
        ("2025-02-05", "Ch16", "fader motor stuck, cleaned", "PR", 1),
        ("2025-02-11", "Ch2", "no sound from group 1, relay", "BK", 1),
        ("2025-03-10", "Ch8", "mic amp noisy again, this time the input cap", "BK", 2),
        ("2025-03-28", "Ch12", "button cap fell off, glued", "PR", 0.25),
        ("2025-04-26", "Ch4", "left output low, K3 relay", "BK", 1),
    ],
}


@pytest.fixture
def rooms(tmp_path):
    workbook(tmp_path, "rooms.xlsx", **ROOMS)
    draft = drafted(tmp_path)
    assert '["Dub room"] may be a list of tickets or a list of repairs' in draft
    return tmp_path


def test_every_question_of_a_sheet_of_two_minds_answered_gives_a_mapping_that_loads(rooms):
    path = rooms / "mapping.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("# ? ", ""), encoding="utf-8")
    records = open_records(rooms)
    told = "select desk, count(*) from tickets group by 1 order by 1"
    assert records.connection.sql(told).fetchall() == [
        ("Dub room", 6),
        ("Studio 1 Ferry", 12),
        ("Studio 2 Marlow", 12),
    ]
    assert records.asked == ()
    records.close()


def test_a_sheet_that_is_asked_about_and_not_read_is_said_before_anything_else(rooms):
    said = (
        "rooms.xlsx, sheet Dub room was not read, and nothing in it is counted: mapping.toml asks what it is. Take the # ? from its lines there, "
        "or take these lines away."
    )
    assert said in str(check_records(rooms, "2025Q1"))
    review_records(rooms, "2025Q1", rooms / "out")
    page = (rooms / "out" / "report.html").read_text(encoding="utf-8")
    assert said in html.unescape(page).partition("In short")[0]
