"""Shapes in which people keep their books: a sheet a month, a file a desk, two desks side by side, a diary below months, a form."""

from openpyxl import Workbook

from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted


def workbook(folder, name, **sheets):
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title.replace("_", " "))
        for row in rows:
            sheet.append(row)
    book.save(folder / name)


def loaded(folder, *queries):
    """The draft, and what each query gives of the book loaded by it."""
    draft = drafted(folder)
    records = open_records(folder)
    report = records.report
    assert report.rows_in == report.kept + len(report.turned_away) + sum(one.left_out for one in report.files)
    found = [records.connection.sql(query).fetchall() for query in queries]
    records.close()
    return draft, *found


def test_a_sheet_a_month_with_bare_days(tmp_path):
    headings = ("Day", "Room", "Posn", "They said", "I did", "Mins")
    january = (
        (1, "Front", "ch 7", "low output", "changed the output chip", 30),
        (4, "Back", 2, "light stuck on", "changed the transistor", 40),
    )
    february = (
        ("Fri 2", "Back", "ch 3", "buzzing", "resoldered screen", 35),
        ('"', "Front", 19, "solo not working", "cleaned the button", 15),
    )
    workbook(
        tmp_path,
        "faults.xlsx",
        **{
            "Jan_'24": [
                ("January 2024",),
                (None,),
                headings,
                *january,
                (None,),
                ("Total", None, None, "2 faults", None, 70),
            ],
            "Feb_'24": [
                ("February 2024",),
                (None,),
                headings,
                *february,
                (None,),
                ("Total", None, None, "2 faults", None, 50),
            ],
        },
    )
    _, found, away = loaded(
        tmp_path,
        "select raised_on::text, desk, position from tickets order by 1, 2",
        "select count(*) from repairs",
    )
    assert found == [
        ("2024-01-01", "Front", "ch 7"),
        ("2024-01-04", "Back", "2"),
        ("2024-02-02", "Back", "ch 3"),
        ("2024-02-02", "Front", "19"),
    ]
    assert away == [(4,)]


def test_a_file_a_desk_with_headings_of_its_own(tmp_path):
    (tmp_path / "Larkspur.csv").write_text(
        "Date,Strip,Trouble,Action\n03-Apr-23,8,crackles,cleaned pot\n11-Apr-23,28,dead,new relay\n02-May-23,8,hum,re-soldered\n",
        encoding="utf-8",
    )
    (tmp_path / "Old Tamsin.csv").write_text(
        "Ch.,What happened,Cure,Date\n3,no output,replaced fuse,4.4.23\n6L,noisy,cleaned fader,19.4.23\n3,dull,replaced op amp,2.6.23\n",
        encoding="utf-8",
    )
    _, found = loaded(tmp_path, "select desk, count(*) from tickets group by 1 order by 1")
    assert found == [("Larkspur", 3), ("Old Tamsin", 3)]


def test_two_desks_side_by_side_on_one_sheet(tmp_path):
    rows = [
        ("Red Room board", None, None, None, None, "PUB ROOM desk", None, None, None),
        ("when", "ch", "wots wrong", "wot i did", None, "ch", "fixed?", "problem", "date"),
        ("10/1/24", 16, "fader dodgy", "new fader", None, 12, "new globe", "light out", "11/2/24"),
        ("12/1/24", 20, "too quiet", "tweaked trim", None, 11, "new chip", "EQ does nothing", "18/2/24"),
        ("18/1/24", 4, "crackly knob", "sprayed it", None, 4, "resoldered edge conn", "drops out", "13/3/24"),
        ("26/1/24", 2, "buzzy", "replaced cap", None, None, None, None, None),
        ("31/1/24", 11, "dead", "new fuse", None, 7, "cleaned contacts", "buzzy", "29/4/24"),
        (
            "2/2/24",
            16,
            "fader dodgy",
            "new fader",
            None,
            11,
            "washed both send pots",
            "sends noisy",
            "12/5/24",
        ),
        ("9/2/24", 22, "buzzy", "replaced cap", None, 5, "cleaned pots", "sends noisy", "16/5/24"),
        ("14/2/24", 7, "dead", "new fuse", None, None, None, None, None),
        ("2/3/24", 23, "fader dodgy", "new fader", None, "SHOPPING", None, None, None),
        ("9/3/24", 11, "buzzy", "replaced cap", None, "globes", "x10", None, None),
    ]
    workbook(tmp_path, "desk stuff.xlsx", Sheet1=rows)
    _, found, worked = loaded(
        tmp_path,
        "select desk, count(*), count(distinct ticket) from tickets group by 1 order by 1",
        "select tickets.desk, count(*) from repairs join tickets using (ticket) group by 1 order by 1",
    )
    assert found == [("PUB ROOM desk", 6, 6), ("Red Room board", 10, 10)]
    assert worked == [("PUB ROOM desk", 6), ("Red Room board", 10)]


def test_two_sections_of_one_table_may_read_one_sheet(tmp_path):
    (tmp_path / "log.csv").write_text(
        "Date,Kind,Ch,Text\n2024-01-08,A,3,hum\n2024-01-09,B,4,dead\n2024-01-10,A,5,crackle\n",
        encoding="utf-8",
    )
    section = '[[tickets]]\nfile = "log.csv"\nsame = {{ desk = "{desk}" }}\nnumber_rows = ["ticket"]\nrows_where = {{ "Kind" = ["{kind}"] }}\n'
    columns = '[tickets.columns]\n"Date" = "raised_on"\n"Ch" = "position"\n"Text" = "symptom"\n'
    (tmp_path / "mapping.toml").write_text(
        "".join(
            section.format(desk=desk, kind=kind) + columns for desk, kind in (("Heron", "A"), ("Tern", "B"))
        ),
        encoding="utf-8",
    )
    records = open_records(tmp_path)
    found = records.connection.sql("select desk, count(*) from tickets group by 1 order by 1").fetchall()
    labels = [one.file for one in records.report.files]
    records.close()
    assert (found, labels) == ([("Heron", 2), ("Tern", 1)], ["log.csv", "log.csv, section 2"])


def test_a_sheet_called_as_a_table_that_is_none_does_not_stop_the_book(tmp_path):
    faults = [("Ref", "Date", "Desk", "Channel", "Fault", "Work carried out")]
    faults += [
        (f"F{at}", f"2024-01-{at + 1:02}", "Rowan", at, "crackle", "cleaned pot") for at in range(1, 8)
    ]
    workbook(tmp_path, "book.xlsx", Fault_Book=faults, Stock=[("A", "B"), ("x1", 4), ("x2", 7)])
    draft, found = loaded(tmp_path, "select count(*) from tickets")
    assert ('ignore = ["Stock"]' in draft, found) == (True, [(7,)])


def test_the_day_of_a_form_is_that_of_the_report_and_a_day_without_a_year_that_of_the_work(tmp_path):
    rows = [
        ("1/12/2024 16:50:47", "Room 2", "ch 2", "scratchy gain", "contact cleaner in pot", "1/15", 10),
        ("2/22/2024 18:12:25", "Room 1", "ch 15", "gain pot noisy", "new pot", "2/28", 50),
        ("3/25/2024 23:41:47", "Room 1", "ch 5", "no sound", "new relay", "3/26", 30),
        ("5/2/2024 09:10:00", "Room 1", "ch 5", "distorts", "replaced op amp", "5/9", 30),
        ("12/20/2024 11:10:00", "Room 2", "ch 9", "hum", "replaced 2 caps", "12/23", 45),
    ]
    lines = [
        "Timestamp,Which control room are you in?,Which channel?,Describe what you heard,TECH what I did,TECH when,TECH min"
    ]
    lines += [",".join(map(str, row)) for row in rows]
    (tmp_path / "form.csv").write_text("\n".join([*lines, ""]), encoding="utf-8")
    _, found = loaded(
        tmp_path, "select raised_on::text, done_on::text from tickets join repairs using (ticket) order by 1"
    )
    assert found == [
        ("2024-01-12", "2024-01-15"),
        ("2024-02-22", "2024-02-28"),
        ("2024-03-25", "2024-03-26"),
        ("2024-05-02", "2024-05-09"),
        ("2024-12-20", "2024-12-23"),
    ]


def test_a_status_says_the_outcome(tmp_path):
    rows = ["fault_id,reported_at,desk,position,symptom,status,closed_at"]
    said = ("CLOSED", "NFF", "CLOSED", "OPEN", "AWAITING_PART", "CLOSED")
    rows += [
        f"{at},2023-02-{at + 1:02}T16:31:04,WHARF,CH{at:02},dead,{one},2023-03-{at + 1:02}T10:00:00"
        for at, one in enumerate(said, start=1)
    ]
    (tmp_path / "faults.csv").write_text("\n".join([*rows, ""]), encoding="utf-8")
    _, found = loaded(tmp_path, "select outcome from tickets order by ticket")
    assert [outcome for (outcome,) in found] == [None, "no fault found", None, "open", "open", None]


def test_a_diary_below_months_names_its_desks_behind_the_slot(tmp_path):
    text = """--- October 2023 ---
Monday 2nd October - Isla says ch. 6 on Hector cuts out. Replaced the relay.
Friday 6th: Mr D says channel 9 on Hector is noisy. Cleaned the pot.
Tuesday 10th: strip 3 of Wee Jean was dead. New fuse.

--- January 2024 ---
Thursday 4th. Channel 9 on Hector hums. Re-soldered the earth.
Monday 15th: ch. 3 on Wee Jean crackled. Fader cleaned.
Friday 26th: channel 6 on Wee Jean distorted. Replaced C12.
"""
    (tmp_path / "diary.txt").write_text(text, encoding="utf-8")
    _, found, work = loaded(
        tmp_path,
        "select raised_on::text, desk, position from tickets order by 1",
        "select action from repairs order by done_on",
    )
    assert found == [
        ("2023-10-02", "Hector", "channel 6"),
        ("2023-10-06", "Hector", "channel 9"),
        ("2023-10-10", "Wee Jean", "channel 3"),
        ("2024-01-04", "Hector", "channel 9"),
        ("2024-01-15", "Wee Jean", "channel 3"),
        ("2024-01-26", "Wee Jean", "channel 6"),
    ]
    assert [action for (action,) in work] == ["replace", "clean", "replace", "re-solder", "clean", "replace"]


def test_channels_not_yet_recapped_are_no_work(tmp_path):
    rows = [("Ch", "Date recapped", "Cap kit", "Qty", "Bench hrs", "Remarks")]
    rows += [
        (slot, f"2023-0{at}-11", "kit A", 29, 3, None)
        for at, slot in enumerate((3, 7, 1, 2, 9, 4, "L/R bus"), start=1)
    ]
    rows += [(slot, None, None, None, None, "not yet") for slot in (5, 6, 8, 10, 11)]
    faults = [("Ch", "Date", "Problem", "Repair", "Hrs")]
    faults += [
        (slot, f"2024-0{at}-02", "hum", "replaced servo cap", 1)
        for at, slot in enumerate((3, 9, 3, 4, 2, 9), start=1)
    ]
    workbook(tmp_path, "Bluebird console.xlsx", RECAP_REGISTER=rows, FAULT_LOG=faults)
    _, found = loaded(tmp_path, "select action, count(*), sum(quantity) from repairs group by 1 order by 1")
    assert found == [("re-cap", 7, 203), ("replace", 6, 6)]
