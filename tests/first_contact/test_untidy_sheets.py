"""A year of a workshop as it stands in a spreadsheet: days of all kinds, totals, marks for nothing, text under no heading."""

from zipfile import ZipFile

import openpyxl
import pytest

from maintkit.records.headings import draft_mapping, write_draft
from maintkit.records.store import open_records

LOG = """\
Log of the desks,,,,,,
Date,Desk,Ch,What,Min lost,,Done
Mo 3.2.,Heron,7,crackle,5,see Bob,4.2.
4.2. 14:30,Heron,8,dead,20,,5.2.
12. März,Heron,7,crackle,-,,13. März
45741,Heron,9,hum,#N/A,,
2.4.25,Heron,9,?,3,again,3.4.25
Summe,,,5,28,,
,,,5,28,,
"""


@pytest.fixture
def records(tmp_path):
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "Log 2025.csv").write_text(LOG, encoding="utf-8")
    write_draft(folder, folder / "mapping.toml")
    return open_records(folder)


def column(records, *names):
    return records.connection.execute(
        f"select {', '.join(names)} from tickets order by source_row"
    ).fetchall()


def test_days_of_all_kinds_are_read_and_the_year_is_the_one_in_the_name(records):
    days = [
        "2025-02-03",
        "2025-02-04",
        "2025-03-12",
        "2025-03-25",
        "2025-04-02",
    ]  # day 45741 is 25 March 2025
    assert [day for (day,) in column(records, "raised_on::varchar")] == days
    assert [day for (day,) in column(records, "closed_on::varchar")] == [
        *("2025-02-04", "2025-02-05", "2025-03-13"),
        *(None, "2025-04-03"),
    ]
    assert [hour for (hour,) in column(records, "raised_at::varchar")] == [None, "14:30:00", None, None, None]


def test_totals_are_left_out_and_accounted_for(records):
    assert [(one.rows_in, one.kept, one.turned_away, one.left_out) for one in records.report.files] == [
        (7, 5, 0, 2)
    ]
    assert (
        "in = kept + turned away + left out (by mapping.toml, or totals of other rows): 7 = 5 + 0 + 2"
        in str(records.report)
    )
    assert (
        "rows read = kept + turned away + left out (by mapping.toml, or totals of other rows): 7 = 5 + 0 + 2"
        in records.account()
    )


def test_marks_for_nothing_and_errors_cost_the_cell_and_text_under_no_heading_is_kept_beside(records):
    assert column(records, "symptom", "minutes_lost") == [
        *(("crackle", 5.0), ("dead", 20.0), ("crackle", None), ("hum", None)),
        (None, 3.0),
    ]
    lost = [(one.row, one.column, one.found) for one in records.report.not_understood]
    assert lost == [(6, "Min lost", "#N/A"), (7, "What", "?")]
    beside = [written or {} for (written,) in column(records, "as_written")]
    nameless = "column 6, which has no heading"
    assert [one.get(nameless) for one in beside] == ["see Bob", None, None, None, "again"]


@pytest.mark.parametrize("title", ["Faults kept in 2024", "Log"])
def test_a_year_comes_from_the_title_or_is_asked(tmp_path, title):
    rows = "Date,Desk,Ch,What\n3.2.,Heron,7,crackle\n4.2.,Heron,8,hum\n13.2.,Heron,7,crackle\n"
    (tmp_path / "faults.csv").write_text(f"{title},,,\n{rows}", encoding="utf-8")
    text = write_draft(tmp_path, None).draft.text
    said = {"Log": "# ? year = 2025\n"}.get(title, "\nyear = 2024   # of days that name none, such as 3.2.\n")
    assert said in text


def test_a_fault_whose_complaint_is_a_total_is_no_total(tmp_path):
    rows = "ticket,raised_on,desk,symptom\nT1,2025-02-03,Heron,total\nT2,2025-02-04,Heron,hum\nTotal,,,2\n"
    (tmp_path / "tickets.csv").write_text(rows, encoding="utf-8")
    records = open_records(tmp_path)
    assert [row for (row,) in column(records, "ticket")] == ["T1", "T2"]
    assert records.report.turned_away == ()


@pytest.mark.parametrize("damaged", [False, True])
def test_comments_on_cells_are_said_not_to_be_read(tmp_path, damaged):
    book = openpyxl.Workbook()
    for row in (
        ["Date", "Desk", "Ch", "Fault"],
        ["2025-02-03", "Heron", 7, "hum"],
        ["2025-02-04", "Heron", 8, "dead"],
    ):
        book.active.append(row)
    book.active["D3"].comment = openpyxl.comments.Comment("was the\nsocket again", "B.")
    book.save(path := tmp_path / "log.xlsx")
    if damaged:
        whole = {name: ZipFile(path).read(name) for name in ZipFile(path).namelist()}
        with ZipFile(path, "w") as archive:
            for name, part in whole.items():
                archive.writestr(name, part[:40] if "comments/" in name else part)
    text = draft_mapping(path).text
    said = '# 1 cell has a comment, such as D3: "was the socket again". They are not read: what counts there belongs into a column.'
    assert (said in text.splitlines()) is not damaged
    assert '"Fault" = "symptom"' in text


def test_rows_that_lack_a_cell_in_the_middle_are_said(tmp_path):
    head = "Date,Desk,Key,Fault,State\n"
    whole = "".join(f"{day}.3.24,Heron,,hum {day},to do\n" for day in range(11, 15))
    short = "".join(f"{day}.3.24,Heron,crackles {day},to do\n" for day in range(15, 18))
    (tmp_path / "log.csv").write_text(head + whole + short, encoding="utf-8")
    assert "# 3 rows have fewer cells than there are headings" in draft_mapping(tmp_path).text
    blank_at_the_end = "".join(f"{day}.3.24,Heron,,crackles {day}\n" for day in range(15, 18))
    (tmp_path / "log.csv").write_text(head + whole + blank_at_the_end, encoding="utf-8")
    assert "fewer cells" not in draft_mapping(tmp_path).text


def test_a_desk_written_once_is_that_of_the_modules_below_though_their_rows_are_numbers_alone(tmp_path):
    log = ["Date,Desk,Slot,Fault,Done", *(f"2026-03-0{day},Heron,{day},hum,new 47u" for day in range(1, 6))]
    listed = [f"{'' if at % 4 else ('Heron', 'Curlew')[at // 4]},{at % 4 + 1},{101 + at}" for at in range(8)]
    listed = ["Desk,Slot,Serial", *listed, ",,109"]  # the last lies in the store
    (tmp_path / "log.csv").write_text("\n".join(log), encoding="utf-8")
    (tmp_path / "modules.csv").write_text("\n".join(listed), encoding="utf-8")
    write_draft(tmp_path, tmp_path / "mapping.toml")
    told = open_records(tmp_path).connection.execute("select serial, desk from modules order by serial")
    desks = [*["Heron"] * 4, *["Curlew"] * 4, None]
    assert told.fetchall() == [(str(101 + at), desk) for at, desk in enumerate(desks)]


BENCH_BOOK = """Date in,Date done,Module no,Fault found,Work done,Remark
2023,,,,,
2/11/23,3/11/23,H12,relay worn,new relay,
14/11/23,15/11/23,H4,switch dirty,cleaned,
5/12/23,6/12/23,H12,dried up,47u 35V replaced,
,,3 modules in 2023,,,
2024,,,,,
9/1/24,9/1/24,H31,dull,47u 35V replaced,
16/1/24,17/1/24,H7,crackles,cleaned,
,,2 modules in 2024,,,
"""


def test_what_a_year_came_to_is_a_total_and_no_row_to_correct(tmp_path):
    (tmp_path / "bench.csv").write_text(BENCH_BOOK, encoding="utf-8")
    write_draft(tmp_path, tmp_path / "mapping.toml")
    report = open_records(tmp_path).report
    assert (report.kept, report.turned_away, [one.left_out for one in report.files]) == (5, (), [2])
    assert "as_above" not in (tmp_path / "mapping.toml").read_text(encoding="utf-8")
