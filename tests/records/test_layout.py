"""Faults of files and headings are found together, each with its sentence, and nothing is loaded."""

import duckdb
import pytest

from maintkit.records.errors import LayoutError, RecordsError
from maintkit.records.intake import load_records


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
    path = tmp_path / "records.ods"
    path.write_text("x")
    assert faults(path) == [
        "records.ods is neither a folder nor an .xlsx workbook. "
        "Name a folder of CSV files, a workbook, or a .duckdb store."
    ]


def test_a_folder_without_csv_files(tmp_path):
    assert faults(tmp_path) == [f"The folder '{tmp_path}' holds no CSV file. Put one CSV file a table there."]
    (tmp_path / "book.xlsx").write_text("x")
    assert faults(tmp_path) == [
        f"The folder '{tmp_path}' holds no CSV file. Name the workbook itself: book.xlsx."
    ]


def test_a_missing_required_table(book):
    assert faults(book(tickets=None)) == [
        "The file tickets.csv is missing. The table tickets is required: "
        "one row is a reported fault: what the user heard."
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


def test_an_unknown_heading(book):
    assert faults(book(tickets="ticket,raised_on,desk,restord_on\nT1,2020-01-01,Heron,\n")) == [
        "tickets.csv: the heading 'restord_on' is not known; the nearest are restored_on, restored_at, raised_on. Rename "
        'it, map it in mapping.toml under [tickets.columns], or list it there under [tickets] ignore = ["restord_on"].'
    ]


def test_another_delimiter_is_not_guessed_but_asked_for(book):
    assert faults(book(tickets="ticket;raised_on;desk\nT1;2020-01-01;Heron\n")) == [
        "tickets.csv: all headings stand in one cell, 'ticket;raised_on;desk'. "
        'Declare the delimiter in mapping.toml under [tickets]: delimiter = ";".'
    ]
    assert faults(book(tickets="ticket\traised_on\tdesk\n1\t2\t3\n"))[0].endswith('delimiter = "\\t".')


def test_a_heading_twice(book):
    assert faults(book(tickets="ticket,raised_on,desk,Desk\nT1,2020-01-01,Heron,Plover\n")) == [
        "tickets.csv: the headings 'desk' and 'Desk' are both the column desk. Take one away, or list it in "
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


def test_two_files_for_one_table(book):
    place = book()
    (place / "Tickets.csv").write_text("ticket,raised_on,desk\nT1,2020-01-01,Heron\n")
    assert faults(place) == [
        "Both 'Tickets.csv' and 'tickets.csv' would be the table tickets. "
        "Take one away, or list it in mapping.toml at the top under ignore."
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
    place = book(desks=None, tickets="", repairs="repair,done_on,action,who\nR1,2020-01-01,clean,me\n")
    with pytest.raises(RecordsError) as caught:
        load_records(duckdb.connect(), place)
    assert str(caught.value).splitlines() == [
        "Nothing was loaded, because 2 things are in the way:",
        "  1. tickets.csv is empty. Its first row must hold the headings, at least ticket, raised_on, desk.",
        "  2. repairs.csv: the heading 'who' is not known; the nearest are where, waits_for, action. Rename it, map "
        'it in mapping.toml under [repairs.columns], or list it there under [repairs] ignore = ["who"].',
    ]


def test_other_files_in_the_folder_are_named_as_not_read(book, load):
    place = book()
    (place / "read me.txt").write_text("hello")
    (place / ".hidden.csv").write_text("x")
    assert load(place)[0].unread == ("read me.txt",)
