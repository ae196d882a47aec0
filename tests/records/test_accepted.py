"""Problems of a folder or a workbook are accepted in a file beside it: check and review list them no more, the records stay as they are."""

import csv

import pytest
from openpyxl import Workbook

from maintkit import open_quarter
from maintkit.check import accept_problem, check_records
from maintkit.questions.reading import facts as how_it_was_read
from maintkit.questions.soundness import sound_records
from maintkit.records.accepted import FILE_NAME
from maintkit.records.errors import RecordsError
from maintkit.records.problems import BLANK, find_problems
from maintkit.records.store import load_into, open_records
from maintkit.records.unmended import accept_beside

DESKS = ["desk,family,records_from", "Heron,h,2026-01-01"]
TICKETS = [
    "ticket,raised_on,desk,minutes_lost,closed_on",
    "T1,2026-01-05,Heron,5,2026-01-06",
    "T2,2026-02-31,Heron,,",  # no such day: turned away
    "T3,2026-03-01,Heron,berta,",  # the cell is lost, the row kept
    "T4,2026-03-02,Heron,5,2026-03-01",  # closed before it was raised
]


@pytest.fixture(params=["folder", "workbook"])
def source(request, tmp_path):
    tables = {"desks": DESKS, "tickets": TICKETS}
    if request.param == "folder":
        for name, lines in tables.items():
            (tmp_path / f"{name}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
        return tmp_path
    book = Workbook()
    for name, lines in tables.items():
        sheet = book.create_sheet(name)
        for line in lines:
            sheet.append(line.split(","))
    del book["Sheet"]
    book.save(tmp_path / "book.xlsx")
    return tmp_path / "book.xlsx"


def problems(source):
    """What is wrong with the records, but for cells left blank."""
    records = open_records(source)
    try:
        return [one for one in find_problems(records.connection) if one.kind != BLANK]
    finally:
        records.close()


def accept_first(source, reason):
    """Accept the first problem of the check that can be; what is said of it."""
    kinds = list(check_records(source, "2026Q1").mending.table["kind"])
    number = next(at for at, kind in enumerate(kinds, start=1) if kind != BLANK)
    return str(accept_problem(source, number, reason, "2026Q1"))


def accept_one(source, reason):
    records = open_records(source)
    try:
        accept_beside(records.connection, source, problems(source)[0], reason)
    finally:
        records.close()


def test_accepted_problems_are_listed_no_more_by_check_or_review_and_the_files_stay(source, tmp_path):
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    found = problems(source)
    assert len(found) == 3
    assert f"kept in {tmp_path / FILE_NAME}: the page is lost" in accept_first(source, "the page is lost")
    assert len(problems(source)) == 2
    records = open_records(source)
    for one in find_problems(records.connection):
        if one.kind != BLANK:
            accept_beside(records.connection, source, one, f"left: {one.kind}")
    records.close()
    assert problems(source) == []
    assert {path: path.read_bytes() for path in before} == before
    with (tmp_path / FILE_NAME).open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == ["file", "row", "column", "found", "reason", "accepted on"]
    assert sorted((row[1], row[2], row[3]) for row in rows[1:]) == [
        ("3", "raised_on", "2026-02-31"),
        ("4", "minutes_lost", "berta"),
        (
            "5",
            "A ticket closed or restored before it was raised",
            "T4 was raised on 2026-03-02 and closed on 2026-03-01",
        ),
    ]
    quarter = open_quarter(source, "2026Q1")
    found = sound_records(quarter)
    assert (found.turned_away, found.contradictions) == (0, 0)
    assert how_it_was_read(quarter).lost == ()
    assert "the page is lost" in quarter.records.account()


def test_a_line_taken_away_is_listed_again(source, tmp_path):
    accept_one(source, "the page is lost")
    (tmp_path / FILE_NAME).unlink()
    assert len(problems(source)) == 3


def test_what_was_accepted_goes_along_into_a_store(source, tmp_path):
    accept_one(source, "the page is lost")
    for _ in range(2):
        load_into(tmp_path / "records.duckdb", source)
    records = open_records(tmp_path / "records.duckdb")
    assert records.connection.execute("select count(*) from accepted").fetchone() == (1,)
    records.close()


def test_nothing_is_accepted_without_a_reason_or_beyond_the_list(source, tmp_path):
    with pytest.raises(RecordsError, match="accepted with a reason"):
        accept_one(source, " ")
    with pytest.raises(RecordsError, match="no problem 9 to accept"):
        accept_problem(source, 9, "why not", "2026Q1")
    assert not (tmp_path / FILE_NAME).exists()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "name,day\nx,y\n",
            "accepted.csv: its headings are not file, row, column, found, reason, accepted on.",
        ),
        (
            "file,row,column,found,reason,accepted on\ntickets.csv,three,a,b,c,2026-01-01\n",
            "accepted.csv, row 2: found 'tickets.csv, three, a, b, c, 2026-01-01'.",
        ),
    ],
)
def test_a_file_of_that_name_that_is_none_of_ours_is_refused_in_a_sentence(source, tmp_path, text, said):
    (tmp_path / FILE_NAME).write_text(text, encoding="utf-8")
    with pytest.raises(RecordsError) as refused:
        open_records(source)
    assert str(refused.value).startswith(said)
    assert (tmp_path / FILE_NAME).read_text(encoding="utf-8") == text
