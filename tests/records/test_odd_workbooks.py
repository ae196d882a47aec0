"""Workbooks as other hands and programs leave them: hidden and merged cells, day numbers, the 1904 calendar, bombs."""

import gc
import io
import os
import re
import subprocess
import sys
import time
from datetime import date
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from maintkit.records import workbooks
from maintkit.records.errors import LayoutError, RecordsError
from maintkit.records.store import open_records

DESKS = [
    ["desk", "family", "coupling", "records_from"],
    ["Heron", "longshore", "capacitor", date(2014, 10, 1)],
]
TICKETS = [
    ["ticket", "raised_on", "desk", "position", "symptom"],
    *([f"T{n}", date(2020, 1, n), "Heron", "1", "hum"] for n in (1, 2, 3)),
]
REPAIRS = [["repair", "done_on", "serial", "action"], ["R1", date(2020, 1, 2), "LMO-001", "clean"]]


@pytest.fixture
def made(tmp_path):
    """Function: writes a workbook with the three sheets after a change to it; gives its path."""

    def write(change=lambda book: None, name="records.xlsx"):
        book = Workbook()
        book.remove(book.active)
        for title, rows in (("desks", DESKS), ("tickets", TICKETS), ("repairs", REPAIRS)):
            sheet = book.create_sheet(title)
            for row in rows:
                sheet.append(row)
        change(book)
        path = tmp_path / name
        book.save(path)
        return path

    return write


def opened(path):
    records = open_records(path)
    report = records.report
    assert report.rows_in == report.kept + len(report.turned_away)
    return records, {
        one[0]: one[1]
        for one in records.connection.execute("select ticket, raised_on from tickets").fetchall()
    }


def test_hidden_rows_columns_and_sheets_are_read_like_any_other(made):
    def hide(book):
        book["tickets"].row_dimensions[3].hidden = True
        book["tickets"].column_dimensions["B"].hidden = True
        book["repairs"].sheet_state = "hidden"

    records, tickets = opened(made(hide))
    assert set(tickets) == {"T1", "T2", "T3"}
    assert records.connection.execute("select repair from repairs").fetchall() == [("R1",)]


def test_merged_cells_hold_their_value_in_the_first_row_only_and_the_others_are_named(made):
    records, tickets = opened(made(lambda book: book["tickets"].merge_cells("B2:B4")))
    assert tickets == {"T1": date(2020, 1, 1)}
    assert [(one.row, one.column, one.rule) for one in records.report.turned_away] == [
        (3, "raised_on", "The cell must be filled in."),
        (4, "raised_on", "The cell must be filled in."),
    ]


def test_merged_headings_leave_a_column_without_a_name(made):
    with pytest.raises(LayoutError, match="the required column desk .* is missing"):
        opened(made(lambda book: book["tickets"].merge_cells("B1:C1")))


def test_a_day_number_without_a_date_format_is_the_day_it_counts(made):
    def plain(book):
        book["tickets"]["B3"].number_format = "General"
        book["tickets"]["B3"].value = 43831

    records, tickets = opened(made(plain))
    assert tickets["T2"] == date(2020, 1, 1)  # day 43831 of the 1900 calendar


def test_a_workbook_of_the_1904_calendar_gives_the_same_days(made):
    path = made(lambda book: setattr(book, "epoch", CALENDAR_MAC_1904))
    with ZipFile(path) as archive:
        assert b'date1904="1"' in archive.read("xl/workbook.xml")
        assert b"<v>43831</v>" not in archive.read("xl/worksheets/sheet2.xml")
    assert opened(path)[1]["T1"] == date(2020, 1, 1)


def test_the_first_days_of_the_1900_calendar_and_its_day_that_never_was(made):
    def early(book):
        sheet = book["tickets"]
        for row, number in (
            (2, 59),
            (3, 61),
            (4, 60),
        ):  # 28 February, 1 March, and the 29 February 1900 that did not exist
            sheet.cell(row, 2).value = number
            sheet.cell(row, 2).number_format = "yyyy-mm-dd"

    records, tickets = opened(made(early))
    assert (tickets["T1"], tickets["T2"]) == (date(1900, 2, 28), date(1900, 3, 1))
    assert len(tickets) + len(records.report.turned_away) == 3


def test_of_two_hundred_columns_those_without_a_place_are_kept_beside_the_row_or_ignored(made, tmp_path):
    def widen(book):
        for place in range(6, 201):
            book["tickets"].cell(1, place).value = f"extra {place}"
            book["tickets"].cell(2, place).value = place

    path = made(widen)
    records, _ = opened(path)
    beside = "select as_written from tickets where ticket = 'T1'"
    assert records.connection.execute(beside).fetchall() == [
        ({f"extra {place}": str(place) for place in range(6, 201)},)
    ]
    names = ", ".join(f'"extra {place}"' for place in range(6, 201))
    (tmp_path / "mapping.toml").write_text(f"[tickets]\nignore = [{names}]\n")
    assert set(opened(path)[1]) == {"T1", "T2", "T3"}


def test_a_heading_twice_is_a_fault_that_names_both(made):
    with pytest.raises(
        LayoutError, match="the headings 'symptom' and 'Symptom .2.' are both the column symptom"
    ):
        opened(made(lambda book: book["tickets"].cell(1, 6, "Symptom")))


def test_paths_with_blanks_and_other_letters(made, book):
    assert set(opened(made(name="été µ ’24 – Küche 日本.xlsx"))[1]) == {"T1", "T2", "T3"}
    assert set(opened(book(folder="Ordner mit Leerzeichen – é 日本"))[1]) == {"T1"}


def rezipped(path, change):
    """The workbook with its parts changed by ``change(name, data)``."""
    buffer = io.BytesIO()
    with ZipFile(path) as old, ZipFile(buffer, "w", ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
    path.write_bytes(buffer.getvalue())
    return path


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ("xl/worksheets/sheet9.xml", "2 MiB of sheets; at most 1 MiB are read"),
        ("xl/media/bomb", "2 MiB of texts and styles; at most 1 MiB are read"),
    ],
)
def test_a_workbook_that_would_unzip_too_large_is_refused_before_it_is_unzipped(
    made, monkeypatch, part, said
):
    path = made()
    with ZipFile(path, "a", ZIP_DEFLATED) as archive:
        archive.writestr(part, b"\0" * 2**21)
    assert path.stat().st_size < 2**14
    monkeypatch.setattr(workbooks, "MOST_SHEET_BYTES", 2**20)
    monkeypatch.setattr(workbooks, "MOST_OTHER_BYTES", 2**20)
    with pytest.raises(RecordsError, match=said):
        opened(path)


def test_a_real_bomb_is_refused_at_once(made):
    path = made()
    with (
        ZipFile(path, "a", ZIP_DEFLATED, compresslevel=1) as archive,
        archive.open("xl/sharedStrings2.xml", "w") as part,
    ):
        block = b"\0" * 2**24
        for _ in range(40):
            part.write(block)
    with pytest.raises(
        RecordsError,
        match="would unzip to 640 MiB of texts and styles; at most 512 MiB are read. Save each sheet as a CSV file",
    ):
        opened(path)


SWOLLEN = {
    "xl/worksheets/sheet2.xml": (b"</sheetData>", b'<row r="9">' + b"<c/>" * 10**6 + b"</row></sheetData>"),
    "xl/styles.xml": (b"</cellXfs>", b"<xf/>" * 10**6 + b"</cellXfs>"),
}


@pytest.mark.skipif(sys.platform == "win32", reason="memory is not limited there")
@pytest.mark.parametrize("part", SWOLLEN)
def test_a_small_workbook_that_would_cost_gigabytes_is_refused_within_little_time_and_memory(made, part):
    """The program itself takes some 100 MiB; a million cells or styles read would take ten times that and a minute."""
    import resource

    before, after = SWOLLEN[part]
    path = rezipped(made(), lambda name, data: data.replace(before, after) if name == part else data)
    assert path.stat().st_size < 2**16
    done = subprocess.run(
        [sys.executable, "-m", "maintkit", "load", str(path), "--into", str(path.with_name("x.duckdb"))],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (20, 20)),
    )
    assert done.returncode == 1
    assert re.search(rf"its part {part} would unzip to [0-9,]+ times its size", " ".join(done.stderr.split()))


def test_many_small_parts_that_swell_are_refused_together_and_at_once(made):
    """Ten sheets of a hundred thousand cells each, every one of them below what a part may have, would take twenty seconds."""
    cells = b'<row r="9">' + b"<c/>" * 10**5 + b"</row></sheetData>"
    path = rezipped(made(), lambda name, data: data)
    with ZipFile(path, "a", ZIP_DEFLATED) as archive:
        sheet = archive.read("xl/worksheets/sheet2.xml").replace(b"</sheetData>", cells)
        for number in range(10):
            archive.writestr(f"xl/worksheets/sheet{number + 20}.xml", sheet)
    began = time.process_time()
    with pytest.raises(RecordsError, match="sheet20.xml would unzip to [0-9,]+ times its size"):
        opened(path)
    assert time.process_time() - began < 2


BILLION = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9))
    + b']><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row r="1"><c r="A1" t="str"><v>&j;</v></c></row>'
    + b"</sheetData></worksheet>"
)


def test_entities_within_entities_are_refused(made):
    path = rezipped(made(), lambda name, data: BILLION if name.endswith("sheet2.xml") else data)
    with pytest.raises(
        RecordsError, match="records.xlsx.* (is no XLSX workbook that can be read|cannot be read after row 0)"
    ):
        opened(path)


def test_a_workbook_without_a_sheet_is_refused_by_name_and_closed(made):
    none = re.compile(rb"<sheets>.*</sheets>", re.DOTALL)
    path = rezipped(
        made(), lambda name, data: none.sub(b"<sheets/>", data) if name == "xl/workbook.xml" else data
    )
    with pytest.raises(RecordsError, match="records.xlsx holds no sheet of cells"):
        opened(path)
    gc.collect()  # a file left open would warn here, and a warning fails


@pytest.mark.parametrize(
    ("reference", "said"),
    [
        (
            b'<row r="900000000"><c r="A900000000" t="inlineStr"><is><t>T9</t></is></c></row>',
            "has a cell in row 900,000,000",
        ),
        (
            b'<row r="9"><c r="XFD9" t="inlineStr"><is><t>T9</t></is></c></row>',
            "has a cell in column 16,384 in row 9",
        ),
    ],
)
def test_a_cell_far_out_does_not_take_for_ever(made, reference, said):
    def far(name, data):
        return (
            data.replace(b"</sheetData>", reference + b"</sheetData>")
            if name.endswith("sheet2.xml")
            else data
        )

    with pytest.raises(RecordsError, match=said):
        opened(rezipped(made(), far))


def changed_tickets(made, old, new):
    """The workbook with some XML of its second sheet, that of the tickets, put in place of another."""

    def change(name, data):
        if name != "xl/worksheets/sheet2.xml":
            return data
        assert old in data
        return data.replace(old, new)

    return rezipped(made(), change)


OUT_OF_ORDER = (
    "The workbook gives this row the number of an earlier row, or a lower one.",
    "Put its cells into a row of their own, save the workbook and load the workbook again; the other rows are in.",
)


@pytest.mark.parametrize(
    ("claims", "ticket", "row"), [(b"2", "T2", 2), (b"1", "T2", 1), (b"0", "T2", 0), (b"4", "T3", 4)]
)
def test_a_row_whose_number_is_taken_or_goes_back_is_counted_and_named(made, claims, ticket, row):
    path = changed_tickets(made, b'<row r="3">', b'<row r="' + claims + b'">')
    records, tickets = opened(path)
    assert set(tickets) == {"T1", "T2", "T3"} - {ticket}
    assert records.report.files[1].rows_in == 3
    [one] = records.report.turned_away
    assert (one.row, one.rule, one.remedy) == (row, *OUT_OF_ORDER)
    assert one.found.startswith(f"{ticket}, 2020-01-0")


def test_a_cell_given_twice_and_cells_in_no_order_are_not_lost(made):
    first = b'<c r="A2"'
    twice = changed_tickets(made, first, b'<c r="A2" t="inlineStr"><is><t>T0</t></is></c>' + first)
    records, tickets = opened(twice)
    assert set(tickets) == {"T2", "T3"}
    assert [(one.row, one.column, one.found) for one in records.report.turned_away] == [
        (2, "ticket", "T0 | T1")
    ]
    last = b'<c r="A3" t="inlineStr"><is><t>T9</t></is></c></row><row r="4">'
    path = changed_tickets(made, b'</row><row r="3"><c r="A3"', b'</row><row r="3"><c r="F3"')
    rezipped(path, lambda name, data: data.replace(b'</row><row r="4">', last))
    records, tickets = opened(path)
    assert set(tickets) == {"T1", "T3", "T9"}
    beside = records.connection.execute("select as_written from tickets where ticket = 'T9'").fetchall()
    assert beside == [({"column 6, which has no heading": "T2"},)]


def test_a_formula_cell_written_with_a_prefix_is_turned_away_and_not_read_as_blank(made):
    def prefixed(name, data):
        if not name.endswith("sheet2.xml"):
            return data
        space = b'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
        assert space in data and b'<c r="D3" t="n"' not in data
        cell = b'<x:c r="D3"><x:f>1+2</x:f><x:v></x:v></x:c>'
        begin = data.index(b'<c r="D3"')
        end = data.index(b"</c>", begin) + 4
        return (
            data[:begin].replace(space, space + b" " + space.replace(b"xmlns", b"xmlns:x"))
            + cell
            + data[end:]
        )

    records, tickets = opened(rezipped(made(), prefixed))
    assert set(tickets) == {"T1", "T3"}
    [one] = records.report.turned_away
    assert (one.row, one.column, one.found) == (3, "position", "=1+2")
    assert one.rule == "The cell holds a formula and the workbook keeps no value for it."


def test_a_formula_that_was_calculated_as_an_empty_text_is_a_blank_cell(made):
    def empty(book):
        book["tickets"]["D3"] = '=IF(A3="","1","")'

    def calculated(name, data):
        return data.replace(b'<c r="D3"><f>', b'<c r="D3" t="str"><f>')

    path = rezipped(made(empty), calculated)
    records, tickets = opened(path)
    assert set(tickets) == {"T1", "T2", "T3"}
    assert records.report.turned_away == ()
