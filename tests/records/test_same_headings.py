"""A file laid beside a mapped one under its table's name: read by the same sections where its headings are the same."""

import openpyxl
import pytest

from maintkit.records.errors import LayoutError

HEADS = "No;When;Bay;Complaint;Work"
MAPPING = """
[tickets]
file = "log.csv"
delimiter = ";"
date_format = "%d.%m.%Y"
same = {{ desk = "{desk}" }}
[tickets.columns]
No = "ticket"
When = "raised_on"
Bay = "position"
Complaint = "symptom"
"""
WORK = """
[repairs]
file = "log.csv"
delimiter = ";"
date_format = "%d.%m.%Y"
number_rows = ["repair"]
rows_with = ["Work"]
[repairs.columns]
No = "ticket"
When = "done_on"
Work = "action"
"""


def texts(*rows):
    return "\n".join((HEADS, *rows, ""))


FIRST, NEXT = texts("1;14.2.2024;7;hum;", "2;3.3.2024;9;dead;clean"), texts("3;30.4.2024;7;crackle;replace")


def of_files(report):
    return [(one.file, one.table, one.kept) for one in report.files if one.rows_in]


def test_a_new_quarter_with_the_headings_of_the_mapped_file_is_read_by_all_sections_of_that(book, load):
    place = book(
        desks=None, repairs=None, tickets=None, mapping=MAPPING.format(desk="Heron") + WORK, log=FIRST
    )
    (place / "tickets-2024Q2.csv").write_text(NEXT, encoding="utf-8")
    report, connection = load(place)
    assert of_files(report) == [
        ("log.csv", "tickets", 2),
        ("tickets-2024Q2.csv", "tickets", 1),
        ("log.csv", "repairs", 1),
        ("tickets-2024Q2.csv", "repairs", 1),
    ]
    found = connection.sql("select desk, position, raised_on::date::varchar from tickets order by ticket")
    assert found.fetchall()[-1] == ("Heron", "7", "2024-04-30")


def test_so_is_a_workbook_with_one_heading_more(book, load):
    place = book(desks=None, repairs=None, tickets=None, mapping=MAPPING.format(desk="Heron"), log=FIRST)
    sheet = openpyxl.Workbook()
    for row in NEXT.splitlines():
        sheet.active.append([*row.split(";"), "Remarks"])
    sheet.save(place / "tickets 2024Q2.xlsx")
    assert [one[-1] for one in of_files(load(place)[0])] == [2, 1]


def test_one_with_the_names_of_the_record_book_is_read_by_those(book, load):
    place = book(desks=None, repairs=None, mapping=MAPPING.format(desk="Tern"), log=FIRST)
    report, connection = load(place)
    found = connection.sql("select desk, count(*) from tickets group by all order by all").fetchall()
    assert found == [("Heron", 1), ("Tern", 2)]


def test_a_section_that_names_no_file_goes_before(book, load):
    own = MAPPING.format(desk="Tern").replace("[tickets]", "[[tickets]]")
    mapping = own + own.replace('file = "log.csv"', "").replace("Tern", "Heron")
    place = book(desks=None, repairs=None, tickets=NEXT, mapping=mapping, log=FIRST)
    found = load(place)[1].sql("select desk, count(*) from tickets group by all order by all").fetchall()
    assert found == [("Heron", 1), ("Tern", 2)]


def test_one_with_the_headings_of_two_that_different_sections_read_is_asked_about(book, load):
    sections = [MAPPING.format(desk=one).replace("[tickets]", "[[tickets]]") for one in ("Heron", "Tern")]
    mapping = sections[0] + sections[1].replace("log.csv", "other.csv")
    place = book(desks=None, repairs=None, tickets=None, mapping=mapping, log=FIRST, other=FIRST)
    (place / "tickets-2024Q2.csv").write_text(NEXT, encoding="utf-8")
    with pytest.raises(LayoutError) as caught:
        load(place)
    assert list(caught.value.faults) == [
        "tickets-2024Q2.csv has the headings of log.csv and of other.csv, which mapping.toml reads by different sections. "
        'Name it there beside the one that it goes on from, such as file = ["log.csv", "tickets-2024Q2.csv"].'
    ]
