"""A log in codes with a list of what they mean beside it, on a sheet of its own or in a file."""

import pytest
from openpyxl import Workbook

from maintkit.records.errors import MappingError
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

LOG = (
    ("#", "Date", "Console", "Loc", "Sx", "Ax", "Ref des", "Qty"),
    (1, "2008-03-25", "Big Orrin", "C-03", "N", "R", "C39, C40", 2),
    (2, "2008-05-16", "Big Orrin", "B-08", "P", "R/C", "fader", 1),
    (3, "2008-08-29", "Little Orrin", "B-01", "D", "0", None, None),
    (4, "2008-10-22", "Big Orrin", "C-03", "N", "C", None, None),
    (5, "2009-03-16", "Little Orrin", "D-03", "LT", "R", "D4", 1),
    (6, "2009-03-18", "Big Orrin", "E-02", "D", "R", "U17", 1),
    (7, "2009-05-25", "Big Orrin", "D-05", "Q", "ORD", None, None),
    (8, "2009-06-15", "Little Orrin", "D-05", "P", "RS", None, None),
)
CODES = (
    ("Sx", "SYMPTOM"), ("N", "noise / crackle"), ("D", "dead"), ("P", "pot or fader scratchy"), ("LT", "light out"), (None, None),
    ("Ax", "ACTION"), ("R", "replaced part(s), see Ref des"), ("C", "cleaned"), ("RS", "resoldered"), ("0", "CND"),
)  # fmt: skip


def book(folder, codes=CODES):
    workbook = Workbook()
    workbook.active.title = "LOG"
    for row in LOG:
        workbook["LOG"].append(row)
    for row in codes:
        (workbook["CODES"] if "CODES" in workbook.sheetnames else workbook.create_sheet("CODES")).append(row)
    workbook.save(folder / "log.xlsx")
    return drafted(folder)


def test_codes_are_read_in_words(tmp_path):
    draft = book(tmp_path)
    assert '[tickets.codes."Sx"]   # what the codes stand for, by CODES\n"N" = "noise / crackle"' in draft
    query = "select ticket, position, symptom, outcome from tickets order by ticket"
    assert rows(tmp_path, query) == [
        ("1", "C-03", "noise / crackle", None),
        ("2", "B-08", "pot or fader scratchy", None),
        ("3", "B-01", "dead", "no fault found"),
        ("4", "C-03", "noise / crackle", None),
        ("5", "D-03", "light out", None),
        ("6", "E-02", "dead", None),
        ("7", "D-05", "Q", None),
        ("8", "D-05", "pot or fader scratchy", None),
    ]


def test_the_work_and_the_part_are_told_by_codes_and_letters(tmp_path):
    book(tmp_path)
    query = "select ticket, action, part_type, quantity from repairs order by ticket"
    assert rows(tmp_path, query) == [
        ("1", "replace", "capacitor", 2),
        ("2", "replace", "fader", 1),
        ("3", "test", None, 1),
        ("4", "clean", None, 1),
        ("5", "replace", "diode", 1),
        ("6", "replace", "ic", 1),
        ("7", "other work", None, 1),
        ("8", "re-solder", None, 1),
    ]


def test_a_list_that_tells_no_codes_of_the_log_is_none(tmp_path):
    assert ".codes." not in book(
        tmp_path, [("X1", "Studio one"), ("X2", "Studio two"), ("X3", "Studio three")]
    )


def test_a_mistake_in_codes_gets_a_sentence(tmp_path):
    book(tmp_path)
    (tmp_path / "mapping.toml").write_text(
        '[tickets]\nsheet = "LOG"\n[tickets.codes]\n"Sx" = "noise"\n', encoding="utf-8"
    )
    with pytest.raises(MappingError, match=r"\[tickets.codes\] 'Sx': it must be a section of lines"):
        open_records(tmp_path)


def test_a_list_of_machines_by_their_model_is_no_list_of_codes(tmp_path):
    models = {number: f"model {'AB'[number % 2]}" for number in range(1, 9)}
    (tmp_path / "machines.csv").write_text(
        "machine,model,age\n" + "".join(f"{one},{model},{one + 3}\n" for one, model in models.items())
    )
    (tmp_path / "failures.csv").write_text(
        "date,machine,failure\n" + "".join(f"2024-0{at % 9 + 1}-11,{at % 8 + 1},dead\n" for at in range(24))
    )
    assert ".codes." not in drafted(tmp_path)
    assert rows(tmp_path, "select count(distinct desk) from tickets") == [(8,)]


WORK = ("CL", "RP", "NFF", "RS", "CL", "RP")
KEYS = (
    '"NFF = no fault found, RS = resoldered, CL = cleaned, RP = replaced"',
    "NFF = no fault found, RS = resoldered, CL = cleaned, RP = replaced",
    "Key: NFF = no fault found; RS = resoldered; CL = cleaned; RP = replaced",
    "NFF = no fault found,,,,\nRS = resoldered,,,,\nCL = cleaned\nRP = replaced,,,,\n",
)


def log_under_a_key(key, work, year=2025):
    lines = (f"1{at}/3/{year},Heron,{at + 2},hum,{one}" for at, one in enumerate(work))
    return "\n".join([key, "Date,Desk,Ch,Problem,Work", *lines])


@pytest.mark.parametrize("key", KEYS)
def test_a_key_in_the_lines_over_the_headings_is_no_row_and_says_what_the_work_was(tmp_path, key):
    for year in (2024, 2025):
        (tmp_path / f"log {year}.csv").write_text(log_under_a_key(key, WORK, year), encoding="utf-8")
    drafted(tmp_path)
    query = "select action from repairs where year(done_on) = {} order by done_on"
    work = [("clean",), ("replace",), ("test",), ("re-solder",), ("clean",), ("replace",)]
    assert [rows(tmp_path, query.format(year)) for year in (2024, 2025)] == [work, work]
    assert rows(tmp_path, "select count(*), count(distinct position) from tickets") == [(12, 6)]


def test_a_key_over_the_headings_is_of_texts_too_and_not_of_words_that_tell_no_work(tmp_path):
    work = ("CL pot", "RP C14", "RS plug", "cleaned IN jack", "RP IC3", "HE said it hums")
    key = "CL = cleaned; RP = replaced; RS = resoldered; IN = cleaned; HE = Heron"
    (tmp_path / "log.csv").write_text(log_under_a_key(key, work), encoding="utf-8")
    draft = drafted(tmp_path)
    assert '[repairs.shorthand."Work"]   # what the shorthand stands for, by the key on log.csv' in draft
    assert '"IN" =' not in draft and '"HE" =' not in draft
    told = ["clean", "replace", "re-solder", "clean", "replace", "other work"]
    assert rows(tmp_path, "select action from repairs order by done_on") == [(one,) for one in told]


BOOK = (
    ("Month", "Desk", "Ch", "Code", "Hrs", "Remarks"),
    ("Oct 24", "Granny", "5", "N", 1, "coupling cap"),
    ("Oct 24", "Gran", "23", "C", 0.5, "pot cleaned"),
    ("Oct 24", "Kid", "3", "S", 0.75, "mute relay"),
    ("Oct 24", "Granny", "1-12", "RC", 30, "the worst dozen"),
    ("Nov 24", "Granny", "8", "0", 0.5, "insert button was in"),
    ("Nov 24", "Granny", "14", "H", 1, "cap"),
    ("Dec 24", "Kid", "all", "PM", 16, "Christmas clean"),
    ("Jan 25", "Kid", "16", "C", 0.5, "pan pot"),
    ("Jan 25", "Kid", "4", "D", 2, "No sound - session laptop set wrong, not us"),
    ("Jan 25", "Kid", "1", "N", 1, None),
    ("Feb 25", "Granny", "45", "D", 1, "chip"),
)
LEGEND = (
    ("Code", "Means"), ("D", "dead, no signal"), ("N", "noise / hiss"), ("H", "hum"), ("C", "crackle, pot or switch"),
    ("S", "switch or relay sticking"), ("0", "no fault found / operator"), ("RC", "re-cap"), ("PM", "planned clean"), (None, None),
    ("Granny, Gran", "the old 48 in Studio 1"), ("Kid", "the 24 in Studio 2"),
)  # fmt: skip


def book_of_hours(folder):
    workbook = Workbook()
    workbook.active.title = "Book"
    for row in BOOK:
        workbook["Book"].append(row)
    workbook.create_sheet("Legend")
    for row in LEGEND:
        workbook["Legend"].append(row)
    workbook.save(folder / "hours.xlsx")
    return drafted(folder)


def test_codes_that_a_list_says_are_work_are_work_and_no_reports(tmp_path):
    book_of_hours(tmp_path)
    work = "select action, planned, count(*), sum(bench_minutes) / 60 from repairs where {} group by all order by all"
    assert rows(tmp_path, work.format("planned = 'yes'"), left_out=4) == [
        ("clean", "yes", 1, 16.0),
        ("re-cap", "yes", 12, 30.0),
    ]
    assert rows(tmp_path, work.format("planned = 'no'"), left_out=4) == [
        ("clean", "no", 1, 0.5),
        ("other work", "no", 1, 0.5),
        ("replace", "no", 5, 4.25),
        ("test", "no", 1, 2.0),
    ]


def test_a_code_that_a_list_says_is_no_fault_is_none_and_so_is_what_the_work_says(tmp_path):
    book_of_hours(tmp_path)
    query = (
        "select position, raised_on::text, outcome from tickets where outcome is not null order by raised_on"
    )
    assert rows(tmp_path, query, left_out=4) == [
        ("8", "2024-11-01", "no fault found"),
        ("4", "2025-01-01", "not the desk"),
    ]


def test_two_names_in_one_cell_of_a_legend_are_one_desk(tmp_path):
    assert '"Gran" = "Granny"   # so says Legend' in book_of_hours(tmp_path)
    assert rows(tmp_path, "select distinct desk from tickets order by 1", left_out=4) == [
        ("Granny",),
        ("Kid",),
    ]
