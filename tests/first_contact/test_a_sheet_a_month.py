"""A sheet a month, named by month and year, whose days are bare numbers."""

import csv

import pytest

from maintkit.records.store import open_records
from maintkit.review import review_records
from tests.first_contact.as_drafted import drafted
from tests.first_contact.test_shapes_of_books import loaded, workbook

HEADINGS = ("Day", "Desk", "Ch", "Fault", "What done")
BOOK = {
    "Sept 25": [
        HEADINGS,
        (3, "Heron", 7, "crackles", "pot cleaned"),
        ("Sun 7", "Heron", 16, "no output", "relay replaced"),
        ("ditto", "Tern", 4, "hum", "C14 replaced"),
        (12, "Tern", 18, "distorts", "IC3 replaced"),
        (None, "Heron", 2, "dead", "fuse replaced"),
    ],
    "Oct 25": [
        HEADINGS,
        ("1st", "Heron", 7, "scratchy fader", "fader replaced"),
        ("09", "Tern", 11, "noisy", "cleaned"),
        (28, "Tern", 3, "no input", "dry joint resoldered"),
        (31, "Heron", 5, "hum", "C9 replaced"),
    ],
    "Nov 25": [
        HEADINGS,
        (2, "Heron", 9, "dull", "C3 replaced"),
        (14, "Tern", 4, "dead", "C14 replaced"),
    ],
    "Jan 2026": [
        HEADINGS,
        (5, "Heron", 12, "led dead", "led replaced"),
        ("19th", "Tern", 1, "no output", "relay replaced"),
    ],
}
DAYS = "select raised_on::date::text, desk, position from tickets order by all"
# as typed above: quarter and desk, and how many faults
TRUTH = {
    ("2025Q3", "Heron"): "3",
    ("2025Q3", "Tern"): "2",
    ("2025Q4", "Heron"): "3",
    ("2025Q4", "Tern"): "3",
    ("2026Q1", "Heron"): "1",
    ("2026Q1", "Tern"): "1",
}


def test_the_name_of_the_sheet_gives_month_and_year(tmp_path):
    workbook(tmp_path, "faults.xlsx", **BOOK)
    draft, found = loaded(tmp_path, DAYS)
    assert [day for day, *_ in found] == [
        "2025-09-03", "2025-09-07", "2025-09-07", "2025-09-12", "2025-09-12", "2025-10-01", "2025-10-09",
        "2025-10-28", "2025-10-31", "2025-11-02", "2025-11-14", "2026-01-05", "2026-01-19",
    ]  # fmt: skip
    assert "in the sheet's name: 3 in Sept 25 is 3 Sept 2025." in draft


def test_the_counts_are_those_of_the_book(tmp_path):
    folder = tmp_path / "records"
    folder.mkdir()
    workbook(folder, "faults.xlsx", **BOOK)
    drafted(folder)
    review_records(folder, "2026Q1", tmp_path / "out")
    with next((tmp_path / "out").rglob("counts.csv")).open(encoding="utf-8-sig", newline="") as file:
        counts = {(one["quarter"], one["desk"]): one["faults"] for one in csv.DictReader(file)}
    assert counts == TRUTH


@pytest.mark.parametrize(
    ("sheets", "days"),
    [
        (("März 25", "Mai 25"), ["2025-03-03", "2025-03-07", "2025-05-03", "2025-05-07"]),
        (("janv. 25", "févr. 25"), ["2025-01-03", "2025-01-07", "2025-02-03", "2025-02-07"]),
        (("Sep-24", "dec 24"), ["2024-09-03", "2024-09-07", "2024-12-03", "2024-12-07"]),
    ],
)
def test_months_in_other_words(tmp_path, sheets, days):
    headings = ("Tag", "Pult", "Kanal", "Fehler", "Maßnahme")
    rows = [(3, "Nord", 7, "kratzt", "gereinigt"), ("So 7", "Nord", 16, "tot", "Relais ersetzt")]
    workbook(tmp_path, "stoerungen.xlsx", **{one: [headings, *rows] for one in sheets})
    _, found = loaded(tmp_path, DAYS)
    assert [day for day, *_ in found] == days


def test_two_digits_behind_a_month_give_no_year_to_a_day_with_its_month(tmp_path):
    rows = [("12 Mar", "Heron", 7, "hum", "cleaned"), ("12 Mar", "Heron", 9, "dead", "relay replaced")]
    workbook(tmp_path, "faults.xlsx", **{"Mar 12": [HEADINGS, *rows], "Mar 13": [HEADINGS, *rows]})
    draft, found = loaded(tmp_path, DAYS)
    assert ("# ? year = " in draft, found) == (True, [])


def test_four_digits_do(tmp_path):
    rows = [("17/9", "Heron", 7, "hum", "cleaned"), ("3/9", "Heron", 9, "dead", "relay replaced")]
    workbook(tmp_path, "faults.xlsx", **{"Sept 2025": [HEADINGS, *rows]})
    _, found = loaded(tmp_path, DAYS)
    assert [day for day, *_ in found] == ["2025-09-03", "2025-09-17"]


def test_a_day_that_the_month_lacks_is_turned_away_and_the_sheet_is_named(tmp_path):
    september = [
        *BOOK["Sept 25"],
        (31, "Heron", 3, "hum", "cleaned"),
        ("Fri 35", "Heron", 4, "hum", "cleaned"),
        ("soon", "Heron", 6, "hum", "cleaned"),
    ]
    workbook(tmp_path, "faults.xlsx", **BOOK | {"Sept 25": september})
    drafted(tmp_path)
    records = open_records(tmp_path)
    away = [one for one in records.report.turned_away if one.row > 6]
    records.close()
    assert {one.file for one in away} == {"faults.xlsx, sheet Sept 25"}
    said = {one.row: (one.found, one.rule) for one in away}
    lacks = "The sheet Sept 25 is of September 2025, which has 30 days."
    assert (said[7], said[8]) == (("31 Sept 2025", lacks), ("Fri 35", lacks))
    assert (said[9][0], said[9][1].startswith("A date must exist")) == ("soon", True)


@pytest.mark.parametrize(("slot", "is_asked"), [("16/17", True), ("16/19", False), ("L16/17", False)])
def test_whether_two_slots_behind_a_stroke_are_two_is_asked(tmp_path, slot, is_asked):
    october = [*BOOK["Oct 25"], (30, "Heron", slot, "hum", "cleaned")]
    workbook(tmp_path, "faults.xlsx", **BOOK | {"Oct 25": october})
    draft, found = loaded(tmp_path, DAYS)
    assert ('# ? codes = { "Ch" = { "16/17" = "16, 17" } }' in draft) == is_asked
    assert ("2025-10-30", "Heron", slot) in found
    answered = draft.replace("# ? several", "several").replace("# ? codes", "codes")
    (tmp_path / "mapping.toml").write_text(answered, encoding="utf-8")
    records = open_records(tmp_path)
    slots = [one for day, _, one in records.connection.sql(DAYS).fetchall() if day == "2025-10-30"]
    records.close()
    assert slots == (["16", "17"] if is_asked else [slot])
