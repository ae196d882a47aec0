"""The log book carries the loader's rules, and a record book goes through it and back without loss."""

from datetime import date

import pytest
from openpyxl import load_workbook

from maintkit.records.errors import LayoutError, RecordsError
from maintkit.records.logbook import GUIDANCE, write_logbook
from maintkit.records.store import load_into, open_records
from maintkit.records.tables import TABLES
from tests.demo.truth import DATA_DEMO


def every_row(records):
    """All record rows without where they came from."""
    return {
        table.name: records.connection.execute(
            f'select {", ".join(chr(34) + column.name + chr(34) for column in table.columns)} from "{table.name}" order by all'
        ).fetchall()
        for table in TABLES
    }


def rules(sheet):
    """Validation of each column letter."""
    return {
        str(rule.sqref).split(":")[0].rstrip("0123456789"): rule
        for rule in sheet.data_validations.dataValidation
    }


@pytest.fixture(scope="module")
def demo_book(tmp_path_factory):
    path = tmp_path_factory.mktemp("log") / "demo.xlsx"
    return path, write_logbook(path, DATA_DEMO)


def test_the_demo_goes_through_a_log_book_and_back_without_loss(demo_book):
    path, written = demo_book
    (path.parent / "mapping.toml").write_text("as_of = 2026-09-30\n")
    with_demo, with_book = open_records(DATA_DEMO), open_records(path)
    assert every_row(with_book) == every_row(with_demo)
    assert with_book.report.turned_away == ()
    assert written.rows == with_book.report.kept == with_demo.report.kept
    assert with_book.report.unread == ("read me", "turned away")
    with_demo.close()
    with_book.close()


def test_what_could_not_be_read_is_in_a_sheet_of_its_own(demo_book):
    path, written = demo_book
    sheet = load_workbook(path)["turned away"]
    assert sheet.max_row - 1 == written.turned_away == 10
    assert [cell.value for cell in sheet[2]][:4] == ["fitments.csv", 703, "removed_on", "2018-11-25"]
    assert "10 rows of the source could not be read and are in the sheet 'turned away' alone" in str(written)


def test_every_closed_set_drops_down_and_every_limit_stands(tmp_path):
    book = load_workbook(write_logbook(tmp_path / "blank.xlsx").path)
    assert book.sheetnames == ["read me", *(table.name for table in TABLES)]
    for table in TABLES:
        sheet = book[table.name]
        assert [cell.value for cell in sheet[1]] == [column.name for column in table.columns]
        assert sheet.freeze_panes == "A2"
        found = rules(sheet)
        for cell, column in zip(sheet[1], table.columns, strict=True):
            rule, said = found[cell.column_letter], (table.name, column.name)
            assert column.meaning.lower() in rule.prompt.lower(), said
            if column.choices:
                assert (rule.type, rule.formula1, rule.errorStyle) == (
                    "list",
                    f'"{",".join(column.choices)}"',
                    None,
                ), said
            elif column.refers_to:
                assert rule.type == "list" and f"{column.refers_to.split('.')[0]}!$" in rule.formula1, said
                assert (rule.errorStyle == "warning") is (column.refers_to != "desks.desk"), said
            elif column.kind == "date":
                assert rule.type == "date" and (rule.formula2 == "TODAY()") is not column.may_be_ahead, said
            elif column.kind in ("number", "minutes", "whole"):
                limits = [f"{limit:g}" for limit in (column.low, column.high) if limit is not None] or [
                    "-1E+15",
                    "1E+15",
                ]
                assert (
                    rule.type == {"whole": "whole", "number": "decimal", "minutes": "decimal"}[column.kind]
                ), said
                assert [one for one in (rule.formula1, rule.formula2) if one is not None] == limits, said
            assert cell.font.underline == ("single" if column.required else None), said
            assert (
                sheet.cell(3, cell.column).number_format
                == {
                    "date": "yyyy-mm-dd",
                    "text": "@",
                    "choice": "@",
                    "number": "General",
                    "minutes": "General",
                    "whole": "0",
                    "clock": "hh:mm",
                }[column.kind]
            ), said


def test_slots_drop_down_by_desk_and_dates_in_order(tmp_path):
    book = load_workbook(write_logbook(tmp_path / "blank.xlsx").path)
    assert rules(book["tickets"])["D"].formula1 == (
        "OFFSET(positions!$B$1,MATCH($C2,positions!$A:$A,0)-1,0,MAX(COUNTIF(positions!$A:$A,$C2),1),1)"
    )
    assert rules(book["modules"])["A"].formula1 == "COUNTIF($A:$A,A2)=1"
    assert (rules(book["fitments"])["E"].formula1, rules(book["bookings"])["C"].formula1) == ("D2", "B2")


def test_the_guidance_names_every_table(tmp_path):
    sheet = load_workbook(write_logbook(tmp_path / "blank.xlsx").path)["read me"]
    names = [cell.value for cell in sheet["A"] if cell.value]
    assert names == [table.name for table in TABLES]
    assert [cell.value for cell in sheet["B"]][: len(GUIDANCE)] == list(GUIDANCE)


def test_records_kept_in_a_blank_log_book_load_whole(tmp_path):
    path = write_logbook(tmp_path / "blank.xlsx").path
    with pytest.raises(LayoutError, match="Write down each desk first"):
        open_records(path)
    book = load_workbook(path)
    for name, row in (
        ("desks", ["Heron", "longshore", "capacitor", date(2014, 10, 1)]),
        ("tickets", ["007", date(2020, 1, 1), "Heron", "017"]),
        ("repairs", ["1E5", date(2020, 1, 2), "LMO-001", None, None, "007", "clean"]),
    ):
        for place, value in enumerate(row, start=1):
            book[name].cell(2, place).value = value
    book.save(path)
    records = open_records(path)
    assert records.report.turned_away == ()
    assert records.connection.execute(
        "select ticket, tickets.position, repair from tickets join repairs using (ticket)"
    ).fetchall() == [("007", "017", "1E5")]
    records.close()


AWKWARD = [
    "=1+2",
    "+44",
    "-1",
    "@x",
    "'quoted",
    " ".join("long" for _ in range(900)),
    "two\nlines",
    "<b>&amp;</b>",
    "défaut µF Ω",
    "\u202eLM",
    "001",
    "1e5",
    "2020-01-01",
    "TRUE",
    "_x0041_",
    "a\tb",
]


def test_awkward_text_goes_through_and_back(book, tmp_path):
    quoted = [text.replace('"', '""') for text in AWKWARD]
    rows = "".join(f'T{number},2020-01-01,Heron,"{text}"\n' for number, text in enumerate(quoted))
    folder = book(tickets="ticket,raised_on,desk,symptom\n" + rows)
    written = write_logbook(tmp_path / "awkward.xlsx", folder)
    assert written.altered == ()
    records = open_records(written.path)
    found = records.connection.execute(
        "select symptom from tickets order by try_cast(ticket[2:] as int)"
    ).fetchall()
    assert [text for (text,) in found] == AWKWARD
    records.close()


def test_what_a_workbook_cannot_hold_is_written_out_and_said(book, tmp_path):
    folder = book(tickets='ticket,raised_on,desk,symptom\nT1,2020-01-01,Heron,"a\x07b"\n')
    written = write_logbook(tmp_path / "odd.xlsx", folder)
    assert written.altered == ("tickets, row 2, symptom",)
    assert "1 cell holds what a workbook cannot" in str(written)
    assert load_workbook(written.path)["tickets"]["F2"].value == "a[U+0007]b"


def test_a_store_is_written_out_with_all_its_loads(book, tmp_path):
    store = tmp_path / "records.duckdb"
    load_into(store, book())
    load_into(store, book(tickets="ticket,raised_on,desk\nT2,2020-05-01,Heron\n"))
    written = write_logbook(tmp_path / "all.xlsx", store)
    records = open_records(written.path)
    assert records.connection.execute("select ticket from tickets order by ticket").fetchall() == [
        ("T1",),
        ("T2",),
    ]
    records.close()


def test_no_file_is_written_over_and_no_other_kind_is_made(tmp_path):
    path = tmp_path / "book.xlsx"
    path.write_text("mine")
    with pytest.raises(RecordsError) as caught:
        write_logbook(path)
    assert (
        str(caught.value)
        == f"{path} is there already and is left as it is. Choose another name, or move it away."
    )
    assert path.read_text() == "mine"
    with pytest.raises(RecordsError) as caught:
        write_logbook(tmp_path / "book.ods")
    assert str(caught.value) == "book.ods: a log book is an .xlsx workbook. Give its name that ending."
