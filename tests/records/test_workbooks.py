"""Sheets of a workbook: cells as text, rows as numbered there, errors and uncalculated formulas turned away."""

from datetime import date, datetime, time
from zipfile import ZipFile

import duckdb
import pytest
from openpyxl import Workbook as Made

from maintkit.records.errors import LayoutError, RecordsError
from maintkit.records.store import open_records

DESKS = [
    ["desk", "family", "coupling", "records_from"],
    ["Heron", "longshore", "capacitor", date(2014, 10, 1)],
]
TICKETS = [
    ["ticket", "raised_on", "desk", "position", "minutes_lost"],
    ["T1", datetime(2020, 1, 1), "Heron", 17.0, 2.5],
]
REPAIRS = [["repair", "done_on", "serial", "action"], ["R1", date(2020, 1, 2), "LMO-001", "clean"]]


@pytest.fixture
def workbook(tmp_path):
    def write(**sheets):
        made = Made()
        made.remove(made.active)
        for name, rows in {"desks": DESKS, "tickets": TICKETS, "repairs": REPAIRS, **sheets}.items():
            sheet = made.create_sheet(name)
            for row in rows:
                sheet.append(row)
        path = tmp_path / "records.xlsx"
        made.save(path)
        return path

    return write


def ticket_rows(*rows):
    return [TICKETS[0], *rows]


def test_dates_numbers_and_text_arrive_as_in_a_csv_file(workbook, load):
    report, records = load(workbook())
    assert records.execute(
        "select ticket, raised_on, position, minutes_lost, source_file, source_row from tickets"
    ).fetchall() == [("T1", date(2020, 1, 1), "17", 2.5, "records.xlsx, sheet tickets", 2)]
    assert report.turned_away == ()


def test_the_row_number_is_that_of_the_sheet_and_blank_rows_are_counted(workbook, load):
    report, records = load(
        workbook(tickets=ticket_rows([], TICKETS[1], [None, " "], ["T2", "2020-01-03", "Heron"]))
    )
    assert records.execute("select ticket, source_row from tickets order by ticket").fetchall() == [
        ("T1", 3),
        ("T2", 5),
    ]
    assert [count.blank_rows for count in report.files] == [0, 2, 0]


def test_a_time_of_day_is_kept(workbook, load):
    report, records = load(workbook(tickets=ticket_rows(["T1", datetime(2020, 1, 1, 14, 30), "Heron"])))
    assert report.turned_away == ()
    assert records.execute("select raised_on, raised_at from tickets").fetchall() == [
        (date(2020, 1, 1), time(14, 30))
    ]


def test_a_true_date_cell_needs_no_declared_format(workbook, load, tmp_path):
    path = workbook(tickets=ticket_rows(TICKETS[1], ["T2", "03.01.2020", "Heron"]))
    (tmp_path / "mapping.toml").write_text('[tickets]\ndate_format = "%d.%m.%Y"\ndecimal = ","\n')
    _, records = load(path)
    assert records.execute("select raised_on, minutes_lost from tickets order by ticket").fetchall() == [
        (date(2020, 1, 1), 2.5),
        (date(2020, 1, 3), None),
    ]


def test_an_error_cell_costs_the_cell_and_not_the_row(workbook, load):
    report, records = load(
        workbook(tickets=ticket_rows(TICKETS[1], ["T2", date(2020, 1, 3), "Heron", "#N/A"]))
    )
    assert report.turned_away == ()
    assert [str(one) for one in report.not_understood] == [
        "records.xlsx, sheet tickets, row 3, column position: found '#N/A'. The cell holds a question mark or a "
        "spreadsheet error. Write what is meant and load the file again; the row is kept without this cell."
    ]
    assert records.execute("select position from tickets where ticket = 'T2'").fetchall() == [(None,)]


def test_an_error_in_a_required_cell_costs_the_row(workbook, load):
    report, _ = load(workbook(tickets=ticket_rows(TICKETS[1], ["T2", date(2020, 1, 3), "#REF!", "2"])))
    assert [(one.row, one.column, one.found) for one in report.turned_away] == [(3, "desk", "#REF!")]


def test_an_ignored_column_may_hold_errors(workbook, load, tmp_path):
    path = workbook(tickets=[[*TICKETS[0], "sum"], [*TICKETS[1], "#REF!"]])
    (tmp_path / "mapping.toml").write_text('[tickets]\nignore = ["sum"]\n')
    assert load(path)[0].turned_away == ()


def test_a_formula_without_a_saved_value_is_turned_away(workbook, load):
    report, records = load(
        workbook(tickets=ticket_rows(TICKETS[1], ["T2", date(2020, 1, 3), "Heron", "=1+2"]))
    )
    assert [str(one) for one in report.turned_away] == [
        "records.xlsx, sheet tickets, row 3, column position: found '=1+2'. The cell holds a formula and the workbook "
        "keeps no value for it. Open the workbook in the spreadsheet program, let it calculate, save it and load the "
        "workbook again; the other rows are in."
    ]
    assert records.execute("select ticket from tickets").fetchall() == [("T1",)]


def test_a_formula_with_a_saved_value_gives_the_value(workbook, load, tmp_path):
    path = workbook(tickets=ticket_rows(["T1", date(2020, 1, 3), "Heron", "=1+2"]))
    calculated = tmp_path / "calculated.xlsx"
    with ZipFile(path) as old, ZipFile(calculated, "w") as new:
        for name in old.namelist():
            new.writestr(
                name,
                old.read(name)
                .replace(b"<f>1+2</f><v />", b"<f>1+2</f><v>3</v>")
                .replace(b"<f>1+2</f><v></v>", b"<f>1+2</f><v>3</v>"),
            )
    report, records = load(calculated)
    assert report.turned_away == ()
    assert records.execute("select position from tickets").fetchall() == [("3",)]


def test_text_beyond_the_headings_is_kept_beside_the_row(workbook, load):
    report, records = load(workbook(tickets=ticket_rows([*TICKETS[1], "extra", "more"])))
    assert report.turned_away == ()
    beside = records.execute("select as_written from tickets").fetchall()
    assert beside == [({"column 6, which has no heading": "extra | more"},)]


def test_notes_and_lists_are_left_unread_and_any_other_sheet_is_a_fault(workbook, load):
    assert load(workbook(Notes=[["anything"]]))[0].unread == ("Notes",)
    with pytest.raises(LayoutError) as caught:
        load(workbook(ticket=TICKETS))
    assert caught.value.faults == (
        "The sheet 'ticket' is none of the tables; the nearest are tickets, stock, documents, parts_list, fitments. "
        'Rename it, name it in mapping.toml under its table with sheet = "ticket", or list it at the top under '
        "ignore.",
    )


def test_a_damaged_sheet_gets_a_sentence_and_loads_nothing(workbook, load, tmp_path):
    path, damaged = workbook(), tmp_path / "damaged.xlsx"
    with ZipFile(path) as old, ZipFile(damaged, "w") as new:
        for name in old.namelist():
            text = old.read(name)
            new.writestr(name, text[:-60] if name.endswith("sheet2.xml") else text)
    connection = duckdb.connect()
    with pytest.raises(RecordsError) as caught:
        load(damaged, connection)
    assert str(caught.value) == (
        "Nothing was loaded, because 1 thing is in the way:\n"
        "  1. damaged.xlsx, sheet tickets cannot be read after row 2 (ParseError). "
        "Open the workbook in the spreadsheet program and save it again."
    )
    assert connection.execute("select count(*) from duckdb_tables()").fetchall() == [(0,)]


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "records.xlsx is empty (0 bytes). Save the workbook again, or take it from a copy."),
        (
            b"not a workbook",
            "records.xlsx is no XLSX workbook that can be read (BadZipFile). "
            "Open it in the spreadsheet program and save it as XLSX without a password.",
        ),
    ],
)
def test_a_file_that_is_no_workbook_gets_a_sentence(tmp_path, load, content, why):
    path = tmp_path / "records.xlsx"
    path.write_bytes(content)
    with pytest.raises(LayoutError) as caught:
        load(path)
    assert caught.value.faults == (why,)


def test_a_sum_below_the_rows_that_was_never_calculated_is_no_row(tmp_path):
    book = Made()
    sheet = book.active
    sheet.title = "repairs"
    sheet.append(["repair", "done_on", "desk", "position", "action", "bench_minutes"])
    for at in (1, 2):
        sheet.append([f"R{at}", f"2025-03-0{at}", "Heron", 7, "clean", 30])
    sheet.append(["TOTAL", None, None, "2 modules", None, "=SUM(F2:F3)"])
    sheet.append(["R3", "2025-03-04", "Heron", 8, "clean", "=F2*2"])
    book.save(tmp_path / "book.xlsx")
    records = open_records(tmp_path)
    assert [(one.row, one.found) for one in records.report.turned_away] == [(5, "=F2*2")]
    assert sum(one.left_out for one in records.report.files) == 1
    records.close()
