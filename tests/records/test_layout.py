"""Faults of files and headings are found together, each with its sentence, and nothing is loaded."""

import duckdb
import pytest

from maintkit.records.errors import LayoutError, RecordsError
from maintkit.records.intake import load_records
from maintkit.records.layout import plan_layout
from maintkit.records.mapping import Mapping


def faults(source):
    connection = duckdb.connect()
    with pytest.raises(LayoutError) as caught:
        load_records(connection, source)
    assert connection.execute("select count(*) from information_schema.tables").fetchall() == [(0,)]
    connection.close()
    return list(caught.value.faults)


def test_a_folder_that_is_not_there(tmp_path):
    place = tmp_path / "nowhere"
    assert faults(place) == [f"There is no folder or workbook '{place}'. Check the path."]


def test_a_file_of_another_kind(tmp_path):
    path = tmp_path / "records.dat"
    path.write_text("x")
    assert faults(path) == [
        "records.dat is neither a folder nor an .xlsx workbook nor a .csv, .tsv, .txt, .md or .rst file. "
        "Name a folder of CSV files, a workbook, or a .duckdb store."
    ]


def test_a_spreadsheet_of_another_kind_is_to_be_saved_as_a_workbook(tmp_path):
    path = tmp_path / "records.ods"
    path.write_text("x")
    said = (
        "records.ods is a spreadsheet of a kind that is not read. Open it where it was made, save a copy as .xlsx, "
        "and name that copy or put it in the folder."
    )
    assert faults(path) == [said]
    assert faults(tmp_path) == [said]


def test_a_folder_without_a_file_of_records(tmp_path):
    (tmp_path / "notes.txt").write_text("x")
    assert faults(tmp_path) == [
        f"The folder '{tmp_path}' holds no CSV file and no workbook, but notes.txt. Put one file a table there."
    ]


def test_a_folder_of_files_of_other_kinds_names_them_and_says_what_a_text_is_called(tmp_path):
    for name in ("README.md", "log.tcl"):
        (tmp_path / name).write_text("3/2/2025 ch 4 hums\n")
    (said,) = faults(tmp_path)
    assert (
        "but README.md, log.tcl. Put one file a table there, a text as .txt or .md and not as README." in said
    )


def test_a_missing_required_table(book):
    assert faults(book(tickets=None, repairs=None)) == [
        "The file tickets.csv is missing. The table tickets is required: "
        "one row is a reported fault: what the user heard. Or repairs, where only the work was written down."
    ]


def test_an_empty_file(book):
    assert faults(book(tickets="")) == [
        "tickets.csv is empty. Its first row must hold the headings, at least ticket, raised_on, desk."
    ]
    assert faults(book(tickets="\n \n")) == faults(book(tickets=""))


def test_headings_without_rows_are_a_fault_of_the_desks_only_for_none_yet_is_an_answer(book, load):
    assert faults(book(desks="desk,family,coupling,records_from\n\n")) == [
        "desks.csv has headings and no rows. Write down each desk first: one row is a desk."
    ]
    report, _ = load(
        book(
            "other",
            power="desk,from_on\n",
            tickets="ticket,raised_on,desk\n",
            repairs="repair,done_on,action\n",
        )
    )
    rows = {count.table: count.rows_in for count in report.files}
    assert (rows["power"], rows["tickets"], rows["repairs"]) == (0, 0, 0)


def test_an_unknown_heading_has_no_place_and_is_named_where_a_required_column_is_missing(book):
    layout = plan_layout(book(tickets="ticket,raised_on,desk,restord_on\nT1,2020-01-01,Heron,\n"), Mapping())
    assert [plan.unplaced for plan in layout.tables if plan.table.name == "tickets"] == [{"restord_on": 3}]
    assert faults(book(tickets="ticket,rased_on,desk\nT1,2020-01-01,Heron\n")) == [
        "tickets.csv: the required column raised_on (day it was reported, with or without the time) is missing. Add it, or "
        "map the heading that stands for it in mapping.toml under [tickets.columns]. Headings without a place are: rased_on."
    ]


def test_another_delimiter_is_not_guessed_but_asked_for(book):
    assert faults(book(tickets="ticket;raised_on;desk\nT1;2020-01-01;Heron\n")) == [
        "tickets.csv: all headings stand in one cell, 'ticket;raised_on;desk'. "
        'Declare the delimiter in mapping.toml under [tickets]: delimiter = ";".'
    ]
    assert faults(book(tickets="ticket\traised_on\tdesk\n1\t2\t3\n"))[0].endswith('delimiter = "\\t".')


def test_a_heading_twice(book):
    assert faults(book(tickets="ticket,raised_on,desk,Desk\nT1,2020-01-01,Heron,Plover\n")) == [
        "tickets.csv: the headings 'desk' and 'Desk (2)' are both the column desk. Take one away, or list it in "
        "mapping.toml under [tickets] ignore."
    ]


def test_a_missing_required_column(book):
    assert faults(book(tickets="ticket,desk\nT1,Heron\n")) == [
        "tickets.csv: the required column raised_on (day it was reported, with or without the time) is missing. Add it, or map the heading that "
        "stands for it in mapping.toml under [tickets.columns]."
    ]


def test_a_file_that_is_no_table(book):
    assert faults(book(repair="x\n1\n")) == [
        "The file 'repair.csv' is none of the tables; the nearest are repairs, readings, parts_list, part_types, "
        'power. Rename it, name it in mapping.toml under its table with file = "repair.csv", or list it at the top '
        "under ignore."
    ]


def test_every_file_whose_name_begins_with_a_table_s_name_is_of_that_table(book, load):
    place = book(tickets=None)
    for number, name in enumerate(("tickets-2026Q3.csv", "Tickets 2025.csv", "tickets_old.csv")):
        (place / name).write_text(f"ticket,raised_on,desk\nT{number},2020-01-01,Heron\n")
    assert load(place)[1].execute("select ticket, source_file from tickets order by ticket").fetchall() == [
        ("T0", "tickets-2026Q3.csv"),
        ("T1", "Tickets 2025.csv"),
        ("T2", "tickets_old.csv"),
    ]


def test_a_latin_1_file(book):
    assert faults(book(tickets="ticket,raised_on,desk\nT1,2020-01-01,Möwe\n".encode("latin-1"))) == [
        "tickets.csv, line 2: byte 38 of the file is 0xf6, which is not UTF-8 text. "
        'Save the file as UTF-8, or declare its encoding in mapping.toml, such as encoding = "latin-1".'
    ]


def test_headings_that_cannot_be_read(book):
    assert faults(book(tickets='ticket,"raised_on\nT1,2020-01-01\n')) == [
        "tickets.csv, row 1: the headings cannot be read. A quote opens here and is not closed where the cell ends. "
        "Correct the row."
    ]


def test_every_fault_is_told_at_once(book):
    place = book(desks="", tickets="", repairs="repair,who,action\nR1,me,clean\n")
    with pytest.raises(RecordsError) as caught:
        load_records(duckdb.connect(), place)
    assert str(caught.value).splitlines() == [
        "Nothing was loaded, because 3 things are in the way:",
        "  1. desks.csv is empty. Its first row must hold the headings, at least desk.",
        "  2. tickets.csv is empty. Its first row must hold the headings, at least ticket, raised_on, desk.",
        "  3. repairs.csv: the required column done_on (day it was done) is missing. Add it, or map the heading that stands "
        "for it in mapping.toml under [repairs.columns]. Headings without a place are: who.",
        "If these are headings of your own, let a mapping be drafted, look it through, and try again:",
        f'  maintkit headings "{place}" --out "{place}/mapping.toml"',
    ]


def test_other_files_in_the_folder_are_named_as_not_read(book, load):
    place = book()
    (place / "read me.txt").write_text("hello")
    (place / ".hidden.csv").write_text("x")
    assert load(place)[0].unread == ("read me.txt",)


def test_a_list_without_numbers_is_read_and_each_row_called_by_its_place(book, load):
    tickets = "raised_on,desk,position,symptom\n2026-01-05,Heron,1,hum\n2026-01-09,Heron,2,dead\n"
    report, connection = load(
        book(desks=None, tickets=tickets, repairs="done_on,desk,position,action\n2026-01-06,Heron,1,clean\n")
    )
    assert connection.execute("select ticket, symptom from tickets order by all").fetchall() == [
        ("tickets row 2", "hum"),
        ("tickets row 3", "dead"),
    ]
    assert connection.execute("select repair, action from repairs").fetchall() == [("repairs row 2", "clean")]
    assert [one for one in report.drafted if "has no column" in one] == [
        f"{name}.csv has no column {column}, so its rows are called by their place, such as {name} row 2. Give them numbers "
        "before rows are sorted or put between, for then they change places."
        for name, column in (("tickets", "ticket"), ("repairs", "repair"))
    ]


def test_a_list_without_numbers_but_with_a_heading_that_may_be_them_is_asked_for_them(book, load):
    tickets = "TT,raised_on,desk,symptom\n7,2026-01-05,Heron,hum\n"
    with pytest.raises(
        LayoutError, match=r"required column ticket .* is missing.*Headings without a place are: TT\."
    ):
        load(book(desks=None, tickets=tickets))


ROWS_OF_WORK = [["repair", "done_on", "serial", "action"], ["1", "2026-03-01", "1118", "clean"]]


def work_book(path, *titles):
    from openpyxl import Workbook

    book = Workbook()
    for title in titles:
        sheet = book.create_sheet(title)
        for row in ROWS_OF_WORK:
            sheet.append(row)
        sheet["A2"] = titles.index(title) + 1
    book.remove(book.active)
    book.save(path / "cards.xlsx")


def test_a_sheet_is_named_without_regard_to_blanks_around_its_name_and_to_case(tmp_path, load):
    work_book(tmp_path, "1118 ", "Old cards")
    (tmp_path / "mapping.toml").write_text(
        'ignore = [" old CARDS"]\n[repairs]\nfile = "cards.xlsx"\nsheet = "1118"\n'
    )
    report, connection = load(tmp_path)
    assert connection.execute("select repair from repairs").fetchall() == [("1",)]


def test_sheets_that_differ_by_a_blank_are_each_read_once(tmp_path, load):
    work_book(tmp_path, "1118", "1118 ")
    section = '[[repairs]]\nfile = "cards.xlsx"\nsheet = "{}"\n'
    (tmp_path / "mapping.toml").write_text(section.format("1118") + section.format("1118 "))
    report, connection = load(tmp_path)
    assert connection.execute("select repair from repairs order by 1").fetchall() == [("1",), ("2",)]


def test_of_a_workbook_in_a_folder_the_sheets_that_are_not_read_are_named(tmp_path, load):
    work_book(tmp_path, "2026", "contacts")
    (tmp_path / "mapping.toml").write_text('ignore = ["contacts"]\n[repairs]\nsheet = "2026"\n')
    assert load(tmp_path)[0].unread == ("cards.xlsx, sheet contacts",)
