"""A book whose columns changed: one list below another in the same sheet, each with headings of its own."""

import openpyxl
import pytest

from maintkit.records.errors import MappingError
from maintkit.records.headings import draft_mapping
from maintkit.records.mapping import load_mapping
from maintkit.records.store import open_records

OLD = (
    ("DESK FAULTS",),
    ("Date", "Ch", "Fault", "Action", "Init"),
    ("2009-02-03", 14, "No output", "Reseated card", "JG"),
    ("2009-02-11", 30, "Noisy mic pre", "Replaced IC3", "JG"),
    ("2009-03-19", 2, "Fader scratchy", "Cleaned", "JG"),
    ("2009-05-27", 41, "No treble", "Dry joint at pot", "JG"),
    (),
    ("New layout from Jan 2013",),
)
NEW = (
    ("No.", "Date", "Pos", "Symptom", "Work", "Min", "By"),
    (1, "2013-01-14", 12, "Gain pot jumpy", "Cleaned", 15, "JG"),
    (2, "2013-02-05", 37, "No phantom", "R2 burnt, replaced", 40, "JG"),
    (3, "2013-02-06", 38, "Distorted", "IC4 replaced", 20, "JG"),
    (4, "2013-04-22", 5, "Oscillates", "Capacitor replaced", 90, "PW"),
)


def as_workbook(folder):
    book = openpyxl.Workbook()
    for row in (*OLD, *NEW):
        book.active.append(row)
    book.save(folder / "log.xlsx")


def as_csv(folder):
    lines = [",".join(map(str, (*row, *[""] * (7 - len(row))))) for row in (*OLD, *NEW)]
    (folder / "log.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


@pytest.mark.parametrize("write", [as_workbook, as_csv])
def test_each_list_is_read_by_its_own_headings(tmp_path, write):
    write(tmp_path)
    draft = draft_mapping(tmp_path)
    assert draft.text.count('rows = "1-8"') == draft.text.count('rows = "9-"') == 2
    (tmp_path / "mapping.toml").write_text(draft.text, encoding="utf-8")
    records = open_records(tmp_path)
    found = records.connection.sql(
        "select ticket, position, symptom from tickets order by raised_on"
    ).fetchall()
    work = records.connection.sql("select ticket, bench_minutes from repairs order by done_on").fetchall()
    report = records.report
    records.close()
    assert (report.turned_away, report.rows_in, report.kept) == ((), 16, 16)
    assert found[3:5] == [
        ("log Sheet row 6" if write is as_workbook else "log row 6", "41", "No treble"),
        ("1", "12", "Gain pot jumpy"),
    ]
    assert [minutes for _, minutes in work] == [None] * 4 + [15, 40, 20, 90]
    assert [ticket for ticket, _ in work][4:] == ["1", "2", "3", "4"]


def test_headings_that_come_again_are_no_other_list(tmp_path):
    rows = [*OLD[1:6], OLD[1], *OLD[2:6]]
    (tmp_path / "log.csv").write_text("\n".join(",".join(map(str, row)) for row in rows), encoding="utf-8")
    assert "\nrows = " not in draft_mapping(tmp_path).text


def test_the_sheets_of_a_workbook_that_are_no_table_are_named(tmp_path):
    book = openpyxl.Workbook()
    book.active.title = "Rails"
    book.active.append(["17.9", "-18.0"])
    book.save(tmp_path / "rails.xlsx")
    assert "not read: Rails." in draft_mapping(tmp_path).text


@pytest.mark.parametrize("rows", ["22", "0-5", "9-3", "a-b", "-7"])
def test_rows_that_are_none_get_a_sentence(tmp_path, rows):
    (tmp_path / "mapping.toml").write_text(f'[tickets]\nrows = "{rows}"\n', encoding="utf-8")
    with pytest.raises(MappingError, match=r'rows: found .* such as "22-60"'):
        load_mapping(tmp_path)


def test_a_stray_word_is_turned_away_in_the_list_whose_words_it_is_none_of(tmp_path):
    (tmp_path / "log.csv").write_text(
        "Date,Desk,Ch,Fault\n2009-02-03,Heron,14,dead\n2009-02-11,Heron,30,hum\n"
        "Day,Kind,Where,Slot\n2013-01-14,f,Heron,12\n2013-02-05,x,Heron,37\n",
        encoding="utf-8",
    )
    (tmp_path / "mapping.toml").write_text(
        '[[tickets]]\nfile = "log.csv"\nrows = "1-3"\nnumber_rows = ["ticket"]\n[tickets.columns]\n"Date" = "raised_on"\n'
        '"Ch" = "position"\n"Fault" = "symptom"\n[[tickets]]\nfile = "log.csv"\nrows = "4-"\nnumber_rows = ["ticket"]\n'
        'rows_where = { "Kind" = ["f"] }\n[tickets.columns]\n"Day" = "raised_on"\n"Where" = "desk"\n"Slot" = "position"\n',
        encoding="utf-8",
    )
    records = open_records(tmp_path)
    away, report = records.report.turned_away, records.report
    records.close()
    assert [(one.row, one.column, one.found) for one in away] == [(6, "Kind", "x")]
    assert (report.rows_in, report.kept) == (4, 3)
