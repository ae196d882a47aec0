"""Rows that lean on the one above: days written once, titles over rows, marks for the same, headings that come again."""

import duckdb
import openpyxl
import pytest

from maintkit.records.errors import LayoutError, MappingError
from maintkit.records.headings import draft_mapping
from maintkit.records.intake import load_records
from maintkit.records.mapping import load_mapping

BY_DESK = """Date,Ch,Complaint,Fixed how,Lost
Studio 1:,,,,
5 Jan 2026,12,crackly fader,cleaned,10
,14,no sound,resoldered,45
,3,hum,ditto,20
19 Jan 2026,12,crackle again,new fader,15
Studio 2,,,,
Date,Ch,Complaint,Fixed how,Lost
12 Jan 2026,5,clicks on mute,new opamp,10
,8,meter stuck,new lamp,0
9 Feb 2026,5,clicks again,"''",10
Total,,,,110
"""
MAPPING = """
[tickets]
file = "log.csv"
date_format = "%d %b %Y"
as_above = ["Date"]
title_rows = "desk"
number_rows = ["ticket"]
[tickets.columns]
Date = "raised_on"
Ch = "position"
Complaint = "symptom"
"Fixed how" = "outcome"
Lost = "minutes_lost"
[tickets.values.outcome]
cleaned = "fault found"
resoldered = "fault found"
"new fader" = "fault found"
"new opamp" = "fault found"
"new lamp" = "no fault found"
"""
BY_HAND = [  # desk, slot, day, outcome, as a reader of the list would say
    ("Studio 1", "12", "2026-01-05", "fault found"),
    ("Studio 1", "14", "2026-01-05", "fault found"),
    ("Studio 1", "3", "2026-01-05", "fault found"),
    ("Studio 1", "12", "2026-01-19", "fault found"),
    ("Studio 2", "5", "2026-01-12", "fault found"),
    ("Studio 2", "8", "2026-01-12", "no fault found"),
    ("Studio 2", "5", "2026-02-09", "no fault found"),
]
TICKETS = "select desk, position, raised_on::varchar, outcome from tickets order by source_row"


def log_alone(book, log, mapping=None):
    return book(desks=None, tickets=None, repairs=None, log=log, mapping=mapping)


def test_a_day_and_a_desk_written_once_hold_for_the_rows_below(book, load):
    report, connection = load(log_alone(book, BY_DESK, MAPPING))
    assert connection.execute(TICKETS).fetchall() == BY_HAND
    assert report.turned_away == ()
    counts = report.files[0]
    assert (counts.rows_in, counts.kept, counts.left_out) == (8, 7, 1)  # the total is left out


def test_without_the_settings_such_rows_are_turned_away_as_before(book, load):
    plain = MAPPING.replace('as_above = ["Date"]', "").replace(
        'title_rows = "desk"', 'same = { desk = "Studio 1" }'
    )
    report, _ = load(log_alone(book, BY_DESK, plain))
    assert sorted(one.row for one in report.turned_away) == [2, 4, 5, 7, 10]


def test_a_sheet_of_a_workbook_is_read_alike(tmp_path, load):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "log"
    for line in BY_DESK.splitlines():
        sheet.append([cell.strip('"') or None for cell in line.split(",")])
    for first, last in ((3, 5), (9, 10)):
        sheet.merge_cells(start_row=first, end_row=last, start_column=1, end_column=1)
    book.save(tmp_path / "log.xlsx")
    (tmp_path / "mapping.toml").write_text(MAPPING.replace('file = "log.csv"', 'sheet = "log"'))
    _, connection = load(tmp_path / "log.xlsx")
    assert connection.execute(TICKETS).fetchall() == BY_HAND


def test_a_title_alone_in_its_line_is_one_too(book, load):
    log = BY_DESK.replace("Studio 1:,,,,", "Studio 1").replace("Studio 2,,,,", "--- Studio 2 ---")
    _, connection = load(log_alone(book, log, MAPPING))
    assert connection.execute(TICKETS).fetchall() == BY_HAND


def test_a_day_in_a_row_of_its_own_holds_for_the_rows_below(book, load):
    log = BY_DESK.replace("5 Jan 2026,12", "5 Jan 2026,,,,\n,12").replace(
        "9 Feb 2026,5", "9 Feb 2026,,,,\n,5"
    )
    report, connection = load(log_alone(book, log, MAPPING))
    assert connection.execute(TICKETS).fetchall() == BY_HAND
    assert report.files[0].rows_in == 8


def test_titles_that_say_nothing_are_left_out(book, load):
    months = BY_DESK.replace("Studio 1:", "January").replace("Studio 2", "Rest of the winter")
    mapping = MAPPING.replace('"desk"\n', '"leave out"\nsame = { desk = "Heron" }\n', 1)
    report, connection = load(log_alone(book, months, mapping))
    assert connection.execute("select desk, count(*) from tickets group by 1").fetchall() == [("Heron", 7)]
    assert report.turned_away == ()


@pytest.mark.parametrize(
    ("was", "now", "said"),
    (
        ('"desk"', '"dsk"', "there is no column 'dsk'"),
        ('title_rows = "desk"', "title_rows = true", "found True"),
        ('as_above = ["Date"]', 'as_above = "Date"', "must be a list of texts"),
    ),
)
def test_a_setting_of_another_shape_gets_a_sentence(book, was, now, said):
    folder = log_alone(book, BY_DESK, MAPPING.replace(was, now, 1))
    with pytest.raises(MappingError, match=said):
        load_mapping(folder)


def test_a_heading_that_is_not_there_gets_a_sentence(book, load):
    with pytest.raises(LayoutError, match="names the heading 'Day'"):
        load(log_alone(book, BY_DESK, MAPPING.replace('as_above = ["Date"]', 'as_above = ["Day"]')))


def drafted(book, log, name="log"):
    folder = book(desks=None, tickets=None, repairs=None, **{name: log})
    draft = draft_mapping(folder)
    (folder / "mapping.toml").write_text(draft.text, encoding="utf-8")
    return folder, draft.text


def test_the_drafter_sees_what_is_written_once(book, load):
    folder, text = drafted(book, BY_DESK)
    assert 'title_rows = "desk"' in text and 'as_above = ["Date"]' in text
    _, connection = load(folder)
    rows = connection.execute(
        "select desk, position, raised_on::varchar from tickets order by source_row"
    ).fetchall()
    assert rows == [row[:3] for row in BY_HAND]
    assert connection.execute("select count(*), count(desk) from repairs").fetchall() == [(7, 7)]


def test_the_drafter_takes_slots_and_days_over_their_rows(book, load):
    cards = "Date,Complaint,Done,Part,Lost\n"
    cards += "Ch 1,,,,\n3/1/2026,crackle,replaced,47u 35V,20\n18/2/2026,crackle,replaced,47u 35V,20\n"
    cards += "Ch 2,,,,\n4/1/2026,hum,replaced,100u 25V,30\n22/3/2026,dead,resoldered,,45\n"
    folder, text = drafted(book, cards)
    assert text.count('title_rows = "position"') == 2
    _, connection = load(folder)
    asked = "select position, count(*) from tickets group by 1 order by 1"
    assert connection.execute(asked).fetchall() == [("Ch 1", 2), ("Ch 2", 2)]
    days = "When,Where,Complaint,What I did,Lost\n"
    days += "Monday 5 January 2026,,,,\n,Ch 4,crackle,cleaned pot,5\n,Ch 9,dead,replaced IC4,30\n"
    days += "Tuesday 13 January 2026,,,,\n,Ch 4,crackle,replaced pot,5\n,Ch 2,hum,replaced C4 100u 25V,\n"
    folder, text = drafted(book, days)
    assert 'as_above = ["When"]' in text and "title_rows" not in text
    _, connection = load(folder)
    asked = "select raised_on::varchar, count(*) from tickets group by 1 order by 1"
    assert connection.execute(asked).fetchall() == [("2026-01-05", 2), ("2026-01-13", 2)]


def test_months_over_rows_are_left_out_and_notes_are_no_desks(book):
    months = BY_DESK.replace("Studio 1:", "January 2026").replace("Studio 2", "Week 7")
    _, text = drafted(book, months)
    assert 'title_rows = "leave out"' in text and 'same = { desk = "the desk" }' in text
    _, text = drafted(
        book, BY_DESK.replace("Studio 1:", "away").replace("Studio 2", "studio closed for painting")
    )
    assert 'title_rows = "desk"' not in text


def test_days_out_of_order_are_asked_for(book):
    log = BY_DESK.replace("9 Feb", "9 Jan")
    _, text = drafted(book, log)
    assert '# ? as_above = ["Date"]' in text and '\nas_above = ["Date"]' not in text


def test_a_desk_with_more_about_it_in_brackets_is_a_title_too(book):
    log = BY_DESK.replace("Studio 1:", "Studio 1 (in the old mill)")
    assert 'title_rows = "desk"' in drafted(book, log)[1]


BY_YEAR = """Tag;Pult;Kanal;Fehler;Reparatur
2024;;;;
12.11.;Ü1;5;Fader kratzt;gereinigt
17.12.;Ü2;8;verzerrt;OP getauscht
2025;;;;
8.1.;Ü2;22;Brummen;nachgelötet
4. Feb;Ü1;3;rauscht;IC ersetzt
"""


def test_a_year_over_rows_is_that_of_the_days_below_it(book, load, tmp_path):
    (tmp_path / "log.csv").write_text(BY_YEAR, encoding="utf-8")
    drafted = draft_mapping(tmp_path).text
    assert "\n# ?" not in drafted
    _, connection = load(log_alone(book, BY_YEAR, drafted))
    days = connection.execute("select raised_on::varchar from tickets order by source_row").fetchall()
    assert [day for (day,) in days] == ["2024-11-12", "2024-12-17", "2025-01-08", "2025-02-04"]


def test_rows_struck_out_are_asked_about_and_left_out_where_they_were_no_entries(tmp_path):
    book = openpyxl.Workbook()
    sheet = book.active
    struck = openpyxl.styles.Font(strike=True)
    sheet.append(["Date", "Desk", "Ch", "Fault"])
    for number, fault in enumerate(("no sound", "it was the cable", "hum", "user error", "crackle"), start=1):
        sheet.append([f"2025-01-{number:02}", "Heron", (5, 12, 3, 5, 14)[number - 1], fault])
        for cell in sheet[number + 1] if number in (2, 4) else ():
            cell.font = struck
    book.save(tmp_path / "faults.xlsx")
    drafted = draft_mapping(tmp_path).text
    assert "# 2 rows are struck out, and counted like any other." in drafted
    counts = []
    for text in (drafted, drafted.replace("# ? leave_struck_out", "leave_struck_out")):
        (tmp_path / "mapping.toml").write_text(text, encoding="utf-8")
        with duckdb.connect() as connection:
            (file,) = load_records(connection, tmp_path).files
            slots = connection.execute("select list(position order by source_row) from tickets").fetchall()
            counts.append((slots[0][0], file.rows_in, file.left_out))
    assert counts == [(["5", "12", "3", "5", "14"], 5, 0), (["5", "3", "14"], 5, 2)]


def test_a_mark_for_the_same_typed_as_a_lone_quote_costs_neither_its_row_nor_the_next(book, load):
    log = 'raised_on\tdesk\tposition\tsymptom\n2026-01-05\tHeron\t7\tdead\n"\t"\t9\t"\n"\t"\t"\t"hums, on and off"\n'
    log += "2026-01-19\tHeron\t3\tcrackle\n,,\t„\t4\tditto\n"
    report, connection = load(
        log_alone(book, log, '[tickets]\nfile = "log.csv"\ndelimiter = "\\t"\nnumber_rows = ["ticket"]\n')
    )
    assert report.turned_away == ()
    rows = "select raised_on::varchar, position, symptom from tickets order by source_row"
    assert connection.execute(rows).fetchall() == [
        ("2026-01-05", "7", "dead"),
        ("2026-01-05", "9", "dead"),
        ("2026-01-05", "9", "hums, on and off"),
        ("2026-01-19", "3", "crackle"),
        ("2026-01-19", "4", "crackle"),
    ]


TOLD = ("ch 14 crackly", "ch 22 no phantom", "ch 3 hum", "ch 9 dead", "ch 7 noisy", "ch 31 distorted")


@pytest.mark.parametrize(
    ("headings", "month", "behind"),
    (
        ("Date,What", "", ("", "")),
        ("Date,What", "March 2024,\n", ("", "")),  # months over the rows are titles all the same
        ("Date,What,Who", "", (",JM", ",")),
    ),
)
def test_an_entry_alone_below_the_day_of_another_is_of_that_day(book, load, headings, month, behind):
    log = f"{headings}\n"
    for day in (2, 5, 9, 16):
        told = TOLD[day % 3 :][:3]
        log += (month if day == 9 else "") + f"{day}/3/2024,{told[0]}{behind[0]}\n"
        log += "".join(f",{one}{behind[1]}\n" for one in told[1:])
    folder, _ = drafted(book, log)
    mapping = (folder / "mapping.toml").read_text(encoding="utf-8")
    if month:
        (folder / "mapping.toml").write_text(
            mapping.replace("as_above", 'title_rows = "leave out"\nas_above', 1), encoding="utf-8"
        )
    report, connection = load(folder)
    assert report.turned_away == ()
    asked = "select raised_on::varchar, count(*) from tickets group by 1 order by 1"
    assert connection.execute(asked).fetchall() == [(f"2024-03-{day:02}", 3) for day in (2, 5, 9, 16)]


def test_a_note_alone_under_another_heading_is_no_entry(book, load):
    log = BY_DESK.replace("Studio 1:,,,,\n", "").replace("Studio 2", ",,,see photo,")
    report, _ = load(log_alone(book, log, MAPPING.replace('title_rows = "desk"', 'same = { desk = "A" }')))
    assert [one.row for one in report.turned_away] == [6]
