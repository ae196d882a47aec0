"""Sheets that are grids: a column a slot, a day or a part, and each filled cell an entry of its own."""

from datetime import date

import openpyxl
import pytest

from maintkit.cli import main
from maintkit.records.contradictions import find_contradictions
from maintkit.records.errors import LayoutError
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

SLOTS_ACROSS = """Fault grid 2023

Date,1,2,3,4,5,6,Master,By
04/01/2023,,,hum,,,,,JB
18/01/2023,mute stuck - cleaned,,,,,,,JB
04/02/2023,,,"no output, replaced relay",,crackle,,,KL
13/02/2023,,,"",,,,meter dead,KL
18/02/2023,,,,,,,,KL
"""
DAYS_ACROSS = """;03.02.2024;17.02.2024;02.03.2024;15.03.2024
1;;;;
2;knackt;;Elko getauscht, knackt nicht mehr;
3;;Fader kratzt;;
4;;;;brummt
5;;;;
"""
PARTS_ACROSS = """Channel,Fader,Mute switch,Pan pot,Line relay
2,12/03/2021,,,14/05/2023
1,,13/04/2022,,
7,12/03/2021,13/04/2022,,30/06/2023
"""
COUNTS = "Month,Ch 1,Ch 2,Ch 3,Ch 4,Ch 5\n01/2024,0,1,0,2,0\n02/2024,1,0,0,1,0\n03/2024,0,0,3,0,0\n"


def book(folder, text):
    (folder / "log.csv").write_text(text, encoding="utf-8")
    drafted(folder)
    return folder


ENTRIES = "select position, raised_on, symptom from tickets order by raised_on, position"


def test_a_column_a_slot(tmp_path):
    folder = book(tmp_path, SLOTS_ACROSS)
    assert rows(folder, ENTRIES) == [
        ("3", date(2023, 1, 4), "hum"),
        ("1", date(2023, 1, 18), "mute stuck - cleaned"),
        ("3", date(2023, 2, 4), "no output, replaced relay"),
        ("5", date(2023, 2, 4), "crackle"),
        ("Master", date(2023, 2, 13), "meter dead"),
    ]
    slots = rows(folder, "select position from positions order by position")
    assert slots == [
        ("1",),
        ("2",),
        ("3",),
        ("4",),
        ("5",),
        ("6",),
        ("Master",),
    ]  # those that never failed as well


def test_a_column_a_day_and_one_more_later(tmp_path):
    folder = book(tmp_path, DAYS_ACROSS)
    found = [
        ("2", date(2024, 2, 3), "knackt"),
        ("3", date(2024, 2, 17), "Fader kratzt"),
        ("2", date(2024, 3, 2), "Elko getauscht, knackt nicht mehr"),
        ("4", date(2024, 3, 15), "brummt"),
    ]
    assert rows(folder, ENTRIES) == found
    lines = DAYS_ACROSS.splitlines()
    lines = [
        f"{line};{more}" for line, more in zip(lines, ["04.05.2024", "rauscht", "", "", "", ""], strict=True)
    ]
    (folder / "log.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert rows(folder, ENTRIES) == [*found, ("1", date(2024, 5, 4), "rauscht")]
    assert rows(folder, "select count(*) from positions") == [(5,)]


def test_a_column_a_day_in_a_sheet_a_desk(tmp_path):
    days = [date(2024, 2, 3), date(2024, 2, 17), date(2024, 3, 2), date(2024, 3, 15)]
    cells = {"Desk A": [[1, None, "hum"], [2, "crackle"]], "Desk B": [[1, None, None, None, "dead"], [2]]}
    workbook = openpyxl.Workbook()
    workbook.remove(workbook.active)
    for name, below in cells.items():
        sheet = workbook.create_sheet(name)
        for row in (["Faults"], ["Channel", *days], *below):
            sheet.append(row)
    workbook.save(tmp_path / "book.xlsx")
    drafted(tmp_path)
    found = rows(tmp_path, "select desk, position, raised_on, symptom from tickets order by raised_on")
    assert found == [
        ("Desk A", "2", date(2024, 2, 3), "crackle"),
        ("Desk A", "1", date(2024, 2, 17), "hum"),
        ("Desk B", "1", date(2024, 3, 15), "dead"),
    ]
    assert rows(tmp_path, "select count(*) from positions") == [(4,)]


def test_a_column_a_part_with_the_days_it_was_replaced(tmp_path):
    folder = book(tmp_path, PARTS_ACROSS)
    found = rows(
        folder, "select position, part_type, done_on, action from repairs order by position, part_type"
    )
    assert found == [
        ("1", "Mute switch", date(2022, 4, 13), "replace"),
        ("2", "Fader", date(2021, 3, 12), "replace"),
        ("2", "Line relay", date(2023, 5, 14), "replace"),
        ("7", "Fader", date(2021, 3, 12), "replace"),
        ("7", "Line relay", date(2023, 6, 30), "replace"),
        ("7", "Mute switch", date(2022, 4, 13), "replace"),
    ]


@pytest.mark.parametrize("text", [COUNTS, COUNTS.replace("0", "ok").replace("1", "x")])
def test_counts_and_ticks_are_no_entries(tmp_path, text):
    assert "grid = " not in draft_mapping(book(tmp_path, text)).text


def test_a_mark_for_the_same_is_the_cell_above_it(tmp_path):
    text = SLOTS_ACROSS.replace('13/02/2023,,,""', "13/02/2023,,,dto.")
    found = rows(book(tmp_path, text), ENTRIES, left_out=3)  # of six faults three tell of no work
    assert ("3", date(2023, 2, 13), "no output, replaced relay") in found


def test_a_grid_is_reviewed(tmp_path, capsys):
    (tmp_path / "book").mkdir()
    folder = book(tmp_path / "book", SLOTS_ACROSS)
    assert main(["review", str(folder), "--quarter", "2023Q1", "--out", str(tmp_path / "out")]) == 0
    assert "5 reported faults" in capsys.readouterr().out


def test_a_heading_that_a_grid_lacks_is_told_with_those_it_has(tmp_path):
    folder = book(tmp_path, SLOTS_ACROSS)
    file = folder / "mapping.toml"
    file.write_text(file.read_text().replace('grid = ["Date", "By"]', 'grid = ["Date", "Initials"]'))
    with pytest.raises(LayoutError, match="'Initials'.*Its headings are: Date, 1, 2, 3, 4, 5, 6, Master, By"):
        open_records(folder)


YEARS_ACROSS = """Strip,2018,2019,2020,2021,times
1,,"4/2 crackle / cap replaced
Mar re-cap 12",-,,2
2,3/5 dead - joint re-soldered; 9/6 hum - fuse replaced,,,8/1/21 on/off switch/cleaned,3
3,,,Aug re-cap 11,30/9 no o/p / ?,1
4,,7/7 noisy/2 caps,,,1
"""
YEARS_DOWN = """,Sub 1,Sub 2,Left,Talkback,Supply
'18,,3/5 dead - joint re-soldered,,,
'19,4/2 crackle / cap replaced,,7/7 noisy / 2 caps,,
'20,,,,-,11/12 hum / fuse replaced
'21,,8/1/21 on/off switch/cleaned; 30/9 no o/p / ?,,,
"""


def test_a_column_a_year_and_an_entry_a_day(tmp_path):
    folder = book(tmp_path, YEARS_ACROSS)
    assert rows(
        folder, "select position, raised_on::text, symptom from tickets order by 1, 2", left_out=2
    ) == [
        ("1", "2019-02-04", "crackle"),
        ("2", "2018-05-03", "dead"),
        ("2", "2018-06-09", "hum"),
        ("2", "2021-01-08", "on/off switch"),
        ("3", "2021-09-30", "no o/p"),
        ("4", "2019-07-07", "noisy"),
    ]
    work = "select position, done_on::text, action, part_type from repairs order by 1, 2"
    assert rows(folder, work, left_out=2) == [
        ("1", "2019-02-04", "replace", "capacitor"),
        ("1", "2019-03-01", "re-cap", None),
        ("2", "2018-05-03", "re-solder", None),
        ("2", "2018-06-09", "replace", "fuse"),
        ("2", "2021-01-08", "clean", None),
        ("3", "2020-08-01", "re-cap", None),
        ("4", "2019-07-07", "replace", "capacitor"),
    ]
    # a re-cap that answers no report is of its slot, and stands in a section of its own
    told = "select action, count(ticket), count(desk) from repairs where action in ('re-cap', 'clean') group by 1 order by 1"
    assert rows(folder, told, left_out=2) == [("clean", 1, 1), ("re-cap", 0, 2)]
    assert find_contradictions(open_records(folder).connection) == []


def test_a_row_a_year_and_a_column_a_slot(tmp_path):
    folder = book(tmp_path, YEARS_DOWN)
    assert rows(folder, "select position, raised_on::text, symptom from tickets order by 1, 2") == [
        ("Left", "2019-07-07", "noisy"),
        ("Sub 1", "2019-02-04", "crackle"),
        ("Sub 2", "2018-05-03", "dead"),
        ("Sub 2", "2021-01-08", "on/off switch"),
        ("Sub 2", "2021-09-30", "no o/p"),
        ("Supply", "2020-12-11", "hum"),
    ]
    assert ("Talkback",) in rows(folder, "select position from positions")


MONTHS_ACROSS = """HERON - board 2025,,,,,,
Ch,Jan,Feb,Mar,Sept,remarks
1,✓,R,,✓,
2,✓,,2x,?,noisy solo
3,✓,✓,✓,✓,
4,x,U,,cap,
"""
KEY = [
    "x = fault, mended",
    "2x = failed twice that month",
    "R = replaced",
    "? = a complaint, nothing found",
    "U = user",
]
WITH_YEAR = {"Jan": "2025-01", "Feb": "2025-02", "Mar": "2025-03", "Sept": "2025-09"}


def with_headings(text, headings):
    for old, new in headings.items():
        text = text.replace(f",{old}", f",{new}")
    return text


@pytest.mark.parametrize(
    "headings",
    [
        {},
        {one: f"{one} 2025" for one in WITH_YEAR},
        WITH_YEAR,
        {one: f"{new[5:]}/2025" for one, new in WITH_YEAR.items()},
        {one: f"{new}-01" for one, new in WITH_YEAR.items()},
    ],
)
def test_a_column_a_month_with_marks(tmp_path, headings):
    folder = book(tmp_path, with_headings(MONTHS_ACROSS, headings))
    assert rows(folder, ENTRIES) == [
        ("4", date(2025, 1, 1), "x"),
        ("1", date(2025, 2, 1), "R"),
        ("4", date(2025, 2, 1), "U"),
        ("2", date(2025, 3, 1), "2x"),
        ("2", date(2025, 9, 1), None),
        ("4", date(2025, 9, 1), "cap"),
    ]
    assert rows(folder, "select count(*) from positions") == [(4,)]
    says_first = (
        "each column is a month: (heading), of which the first day is taken" in draft_mapping(folder).text
    )
    assert says_first == ("2025-01-01" not in headings.values())


def test_months_of_no_year_ask_for_it(tmp_path):
    (tmp_path / "log.csv").write_text(MONTHS_ACROSS.replace(" - board 2025", ""), encoding="utf-8")
    assert "# ? year = " in draft_mapping(tmp_path).text


def test_months_in_the_order_of_the_headings_run_over_no_new_year(tmp_path):
    text = MONTHS_ACROSS.replace("1,✓,R", "1,,,,x,\n1,✓,R")  # the latest month stands first
    (tmp_path / "log.csv").write_text(text, encoding="utf-8")
    assert "year = 2025" in draft_mapping(tmp_path).text


@pytest.mark.parametrize("below", [False, True])
def test_a_key_to_the_marks_is_no_entry_and_says_what_they_mean(tmp_path, below):
    lines = MONTHS_ACROSS.splitlines()
    beside = [f'{line},,"{key}"' for line, key in zip(lines[1:], KEY, strict=True)]
    lines = [*lines, "", *(f'"{key}",,,,,' for key in KEY)] if below else [lines[0], *beside]
    folder = book(tmp_path, "\n".join(lines) + "\n")
    told = "select position, symptom, outcome from tickets order by position, raised_on"
    assert rows(folder, told, left_out=3) == [  # of six marks three tell of no work
        ("1", "replaced", None),
        ("2", "failed twice that month", None),
        ("2", "a complaint, nothing found", "no fault found"),
        ("4", "fault, mended", None),
        ("4", "user", "not the desk"),
        ("4", "cap", None),
    ]
    work = "select tickets.position, action from repairs join tickets using (ticket) order by 1"
    assert rows(folder, work, left_out=3)[0] == ("1", "replace")
    assert rows(folder, "select count(*) from positions", left_out=3) == [(4,)]


def test_grids_below_each_other_are_of_the_desk_in_their_title(tmp_path):
    second = "Curlew (right side),,,,,\nCh,Jan,Feb,Mar,Sept,remarks\n1,x,,,,\n2,,,R,,\n3,,,,,\n"
    folder = book(tmp_path, MONTHS_ACROSS + "\n" + second)
    found = rows(folder, "select desk, position, raised_on from tickets where desk <> 'HERON' order by 2")
    assert found == [("Curlew", "1", date(2025, 1, 1)), ("Curlew", "2", date(2025, 3, 1))]
    assert rows(folder, "select desk, count(*) from positions group by desk order by desk") == [
        ("Curlew", 3),
        ("HERON", 4),
    ]


@pytest.mark.parametrize(
    "text", ["Ch,Jan 2025,Feb 2025,Mar 2025,Apr 2025\n1,2,3,4,1\n2,1,0,2,1\n3,5,1,2,1\n"]
)
def test_a_grid_that_says_too_little_is_told_what_a_grid_needs(tmp_path, capsys, text):
    (tmp_path / "log.csv").write_text(text, encoding="utf-8")
    assert main(["headings", str(tmp_path), "--out", str(tmp_path / "mapping.toml")]) == 0
    said = capsys.readouterr().out + (tmp_path / "mapping.toml").read_text()
    assert said.count("Of a grid, the slots stand down the first column") == 2
    assert "column of days" not in said


LEGEND = [
    "KEY",
    "cap x3 = 3 electrolytics",
    "sw = new switch",
    "swap w/ = swapped with",
    "blank = not looked at",
]


@pytest.mark.parametrize("heading", ["", "KEY"])
@pytest.mark.parametrize("is_by_hand", [False, True])
def test_a_key_with_words_beside_a_grid_of_a_workbook_is_no_entry(tmp_path, heading, is_by_hand):
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    sheet.title = "Heron"
    cells = {2: (None, "cap x4", None, "cl"), 5: ("fdr", None, None, None), 6: ("sw", None, "jt", None)}
    sheet.append(["Strip", *(f"{day} 2024" for day in ("1 Jan", "1 Apr", "1 Jul", "1 Oct")), None, heading])
    for at, line in enumerate((*LEGEND, *[None] * 3), start=1):
        sheet.append([at, *cells.get(at, [None] * 4), None, line])
    workbook.save(tmp_path / "grid.xlsx")
    drafted(tmp_path)
    if is_by_hand:
        (tmp_path / "mapping.toml").write_text(
            '[tickets]\nsheet = "Heron"\ngrid = ["Strip"]\nsame = { desk = "Heron" }\nnumber_rows = ["ticket"]\n'
            'date_format = "%d %b %Y"\nrows_with = ["(cell)"]\n'
            '[tickets.columns]\nStrip = "position"\n"(heading)" = "raised_on"\n"(cell)" = "symptom"\n'
        )
    read = "select position, symptom from tickets order by position, raised_on"
    assert rows(tmp_path, read) == [
        ("2", "cap x4"),
        ("2", "cl"),
        ("5", "fdr"),
        ("6", "sw"),
        ("6", "jt"),
    ]
    assert rows(tmp_path, "select count(*) from repairs") == [(0,)]


def test_what_stands_right_of_a_grid_and_is_no_key_is_still_told(tmp_path):
    workbook = openpyxl.Workbook()
    sheet = workbook.active
    sheet.append(["Ch", *(f"2024-0{month}-01" for month in (1, 3, 5, 7))])
    for at in range(1, 6):
        sheet.append([at, "hum", None, "dead", None, None, "crackle" if at == 3 else None])
    sheet.title = "Heron"
    workbook.save(tmp_path / "grid.xlsx")
    drafted(tmp_path)
    records = open_records(tmp_path)
    away = records.report.turned_away
    records.close()
    assert {one.row for one in away} == {4}


@pytest.mark.parametrize("shape", ["Q{} 24", "2024Q{}", "Q{}/24", "{}. Quartal 2024"])
def test_a_column_a_quarter_is_of_its_first_day(tmp_path, shape):
    headings = ",".join(map(shape.format, range(1, 5)))
    cells = "1,,cap x4,,cl\n2,fdr,,,\n3,,,jt,\n4,,,,\n"
    folder = book(tmp_path, f"HERON - strip by strip,,,,\nStrip,{headings}\n{cells}")
    assert rows(folder, ENTRIES) == [
        ("2", date(2024, 1, 1), "fdr"),
        ("1", date(2024, 4, 1), "cap x4"),
        ("3", date(2024, 7, 1), "jt"),
        ("1", date(2024, 10, 1), "cl"),
    ]
    said = "each column is a quarter: (heading), of which the first day is taken"
    assert said in draft_mapping(folder).text


@pytest.mark.parametrize("is_beside", [False, True])
@pytest.mark.parametrize("is_of_months", [False, True])
def test_a_grid_of_months_or_quarters_beside_a_log_by_the_day_may_tell_the_same_twice(
    tmp_path, capsys, is_of_months, is_beside
):
    workbook = openpyxl.Workbook()
    grid = workbook.active
    grid.title = "Strips"
    columns = (
        ("Jan 24", "Feb 24", "Mar 24", "Apr 24") if is_of_months else ("Q1 24", "Q2 24", "Q3 24", "Q4 24")
    )
    grid.append(["Strip", *columns])
    for at in range(1, 6):
        grid.append([at, "hum" if at == 2 else None, None, "dead" if at == 4 else None, None])
    if is_beside:
        log = workbook.create_sheet("Log")
        log.append(["Date", "Ch", "Fault"])
        for day, slot, fault in ((14, 2, "hum"), (20, 5, "crackle"), (27, 4, "dead")):
            log.append([date(2024, 2, day), slot, fault])
    workbook.save(tmp_path / "book.xlsx")
    out = tmp_path / "mapping.toml"
    assert main(["headings", str(tmp_path / "book.xlsx"), "--out", str(out)]) == 0
    said, text = capsys.readouterr().out, out.read_text()
    if is_of_months:
        assert ("Strips tells by the month, another sheet by the day" in said) == is_beside
        assert ("or each counts twice" in text) == is_beside
    else:
        assert (
            "Strips: each entry is of a quarter, and Log tells faults and work day by day" in text
        ) == is_beside
        assert ("# ? [[tickets]]" in text) == is_beside


def test_lists_of_two_desks_keep_the_names_of_their_sheets_beside_a_grid_of_quarters(tmp_path):
    for name, slots in (("Plover", (2, 5, 4)), ("Dunlin", (1, 3, 2))):
        book = openpyxl.Workbook()
        book.active.title = name
        book.active.append(["Date", "Ch", "Fault"])
        for month, slot in enumerate(slots, start=1):
            book.active.append([date(2024, month, 14), slot, f"hum, no. {month}"])
        if name == "Plover":
            grid = book.create_sheet("Strips done")
            grid.append(["Strip", "Q1 24", "Q2 24", "Q3 24", "Q4 24"])
            for at in range(1, 6):
                grid.append([at, "new fader" if at == 2 else None, None, "cap x3" if at == 4 else None, None])
        book.save(tmp_path / f"{name.lower()}.xlsx")
    text = draft_mapping(tmp_path).text
    assert 'same = { desk = "Plover" }' in text and 'same = { desk = "Dunlin" }' in text
    assert "\n[positions]" not in text and "# ? [positions]" in text
