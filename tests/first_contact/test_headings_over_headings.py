"""Headings in two lines, of which the lower says too little by itself; one day for complaint and work."""

import openpyxl

from tests.first_contact.as_drafted import drafted, rows

LINES = (
    ("STUDIO 1 ON-AIR DESK - FAULT SHEET",),
    ("Date", "Time", "Ch", "Fault", None, "Engineer", None, "Air lost", None),
    (None, "rptd.", None, "as reported", "found", "done", "by", "mins", "prog."),
    (
        "2010-04-18",
        "15:55",
        "Grp 2",
        "whistle during news",
        "screen close to desk",
        "moved it",
        None,
        0,
        None,
    ),
    ("2010-04-30", "06:01", "15", "cue dim on this one", "diode", "diode replaced", "DH", None, None),
    ("2010-05-21", "20:04", "16", "fader noisy on air", "worn", "replaced", None, 2, "Drive"),
    ("2010-06-02", "06:22", "4", "PFL lamp out", "bulb gone", "replaced", "Viv", 1, "Drive"),
    ("2010-06-10", "09:27", "12", "muffled", "C51 low", None, "Ian", 5, "Drive"),
)


def test_a_heading_that_says_too_little_says_more_with_the_one_over_it(tmp_path):
    book = openpyxl.Workbook()
    for line in LINES:
        book.active.append(line)
    book.save(tmp_path / "faults.xlsx")
    drafted(tmp_path)
    found = rows(tmp_path, "select position, symptom, minutes_lost from tickets order by raised_on")
    assert found[:3] == [
        ("Grp 2", "whistle during news", 0),
        ("15", "cue dim on this one", None),
        ("16", "fader noisy on air", 2),
    ]
    assert rows(tmp_path, "select count(*), count(bench_minutes) from repairs") == [(4, 0)]


def test_the_day_it_came_back_to_the_bench_is_that_of_the_complaint_where_no_other_stands_there(tmp_path):
    (tmp_path / "returns.csv").write_text(
        "Job,Desk,Back in,Pos,Fault reported,Bench found / did,Hrs\n"
        "4410,BIG 1,09-Feb-22,03,fader snapped off on site,c/o fader,1.5\n4411,MON A,12-Feb-22,CH 29,fader scratches,,\n"
        "4417,MON A,16-Feb-22,9,whole EQ section noisy,recapped,1.5\n4419,BIG 1,19-Feb-22,ch43,aux 2 pot smashed,knob fitted,1\n"
        "4420,MON A,28-Feb-22,ST4,noisy when EQ in,soak test 24h - nothing. NFF,1\n"
    )
    drafted(tmp_path)
    assert rows(tmp_path, "select count(*), min(raised_on)::date::varchar from tickets") == [
        (5, "2022-02-09")
    ]
    assert rows(tmp_path, "select action from repairs order by source_row")[:2] == [("replace",), ("re-cap",)]


def test_a_list_of_slots_and_serials_is_one_of_modules_and_two_side_by_side_are_of_two_desks(tmp_path):
    book = openpyxl.Workbook()
    faults, serials, slots = book.active, book.create_sheet("Serials"), book.create_sheet("Modules")
    faults.title = "Faults"
    faults.append(("Date", "Desk", "Ch", "Fault", "Done"))
    for day, desk, slot in ((3, "Stage A", 2), (9, "Stage B", 4), (15, "Stage A", 4), (20, "Stage A", 2)):
        faults.append((f"2024-03-{day:02}", desk, slot, "crackles", "cleaned"))
    serials.append(("Stage A", None, None, "Stage B"))
    serials.append(("slot", "serial", None, "slot", "serial"))
    for slot in range(1, 7):
        serials.append((slot, f"D10{slot}", None, slot, f"D20{slot}"))
    slots.append(("Desk", "Slot", "Serial", "Rev", "Recapped?"))
    for slot in range(7, 13):
        slots.append(("Stage A", slot, f"D1{slot:02}", "C", 2019 if slot % 2 else "y"))
    book.save(tmp_path / "record.xlsx")
    drafted(tmp_path)
    found = rows(
        tmp_path,
        "select desk, count(*), count(distinct position) from modules group by desk order by desk",
        left_out=3,
    )
    assert found == [("Stage A", 12, 12), ("Stage B", 6, 6)]
    recaps = rows(
        tmp_path, "select count(*), min(year(done_on)) from repairs where action = 're-cap'", left_out=3
    )
    assert recaps == [(3, 2019)]
