"""A list typed without a row of headings: its columns are told by their cells, and the mapping names them."""

import openpyxl
import pytest

from maintkit.records.errors import MappingError
from maintkit.records.headings import draft_mapping
from maintkit.records.mapping import load_mapping
from maintkit.records.store import open_records

ROWS = (
    ("03/01/2025", "Heron", "12", "crackly fader", "cleaned"),
    ("09/01/2025", "Heron", "14", "no output at all", "replaced C12"),
    ("17/01/2025", "Tern", "3", "switch stuck", "new switch fitted"),
    ("02/02/2025", "Heron", "12", "crackly again", "fader replaced"),
)


def loaded(source):
    folder = source if source.is_dir() else source.parent
    (folder / "mapping.toml").write_text(draft_mapping(source).text, encoding="utf-8")
    records = open_records(source)
    rows = records.connection.sql(
        "select raised_on::varchar, t.desk, t.position, symptom, action from tickets as t join repairs using (ticket) order by 1"
    ).fetchall()
    kept = records.report.turned_away == ()
    records.close()
    return rows, kept


def test_every_row_is_read_the_first_too(tmp_path):
    (tmp_path / "log.csv").write_text("\n".join(map(",".join, ROWS)) + "\n", encoding="utf-8")
    rows, kept = loaded(tmp_path)
    assert kept and rows == [
        ("2025-01-03", "Heron", "12", "crackly fader", "clean"),
        ("2025-01-09", "Heron", "14", "no output at all", "replace"),
        ("2025-01-17", "Tern", "3", "switch stuck", "replace"),
        ("2025-02-02", "Heron", "12", "crackly again", "replace"),
    ]


def test_a_sheet_that_goes_on_without_the_headings_of_the_one_before(tmp_path):
    book = openpyxl.Workbook()
    book.active.title = "2024"
    for row in (
        ("Date", "Desk", "Channel", "Fault", "Action"),
        ("05/11/2024", "Heron", "2", "hum", "resoldered"),
        ("09/11/2024", "Tern", "2", "hum", "cleaned"),
    ):
        book.active.append(row)
    sheet = book.create_sheet("2025")
    for row in ROWS:
        sheet.append(row)
    book.save(tmp_path / "log.xlsx")
    rows, kept = loaded(tmp_path / "log.xlsx")
    assert kept and [row[3] for row in rows] == ["hum", "hum", *(row[3] for row in ROWS)]


def test_few_rows_or_no_days_tell_nothing(tmp_path):
    (tmp_path / "log.csv").write_text("\n".join(map(",".join, ROWS[:2])) + "\n", encoding="utf-8")
    assert draft_mapping(tmp_path).unread == ("log.csv",)


def test_headings_that_are_no_list_get_a_sentence(tmp_path):
    (tmp_path / "mapping.toml").write_text('[tickets]\nheadings = "Date"\n', encoding="utf-8")
    with pytest.raises(MappingError, match="headings: found 'Date'"):
        load_mapping(tmp_path)


def test_what_stands_right_of_the_last_heading_is_kept_beside_the_row(tmp_path):
    book = openpyxl.Workbook()
    for row in (*ROWS, ("03/02/2025", "Heron", "5", "dead", "cleaned", "ask Jo")):
        book.active.append(row)
    book.save(tmp_path / "log.xlsx")
    (tmp_path / "mapping.toml").write_text(
        '[tickets]\nsheet = "Sheet"\ndate_format = "%d/%m/%Y"\nnumber_rows = ["ticket"]\n'
        'headings = ["raised_on", "desk", "position", "symptom", "done"]\n',
        encoding="utf-8",
    )
    records = open_records(tmp_path / "log.xlsx")
    row = records.connection.sql("select as_written from tickets where position = '5'").fetchall()[0][0]
    kept = records.report.kept
    records.close()
    assert kept == 5 and "ask Jo" in row.values()
