"""Which reports stay without an outcome: a complaint with its cause behind it is a fault found, and what waits is not."""

import pytest

from maintkit.records.known_words.outcomes import outcome_in_text
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, loaded
from tests.first_contact.test_shapes_of_books import workbook

DIARY = """07.01.2025 Heron ch 14 no signal, relay replaced
07.01.2025 Heron ch 29 low output, coupling caps
14.01.2025 Tern ch 3 fader scratchy, cleaned
14.01.2025 Tern ch 6 hum, check caps
06.02.2025 Heron ch 31 EQ dead, IC5
06.02.2025 Heron ch 8 distorted when hot, waiting for a new cap
03.03.2025 Tern ch 9 crackles on send, pan, fader
03.03.2025 Heron ch 2 dull. Output cap shorted, took out R6 as well
03.03.2025 Heron ch 11 meter stuck at the end stop, freed it
"""


def test_a_complaint_with_the_part_that_was_the_cause_behind_it_is_a_fault_found(tmp_path):
    records, _ = loaded(tmp_path, "diary.txt", DIARY)
    told = records.connection.sql(
        "select position, outcome from tickets order by raised_on, position"
    ).fetchall()
    work = records.connection.sql("select action, ref from repairs where ref is not null").fetchall()
    records.close()
    assert told == [
        ("ch 14", None), ("ch 29", "fault found"), ("ch 3", None), ("ch 6", None), ("ch 31", "fault found"), ("ch 8", None),
        ("ch 11", "fault found"), ("ch 2", "fault found"), ("ch 9", None),
    ]  # fmt: skip
    assert work == [("replace", "IC5")]


@pytest.mark.parametrize(
    "text",
    ("hum, cap?", "hum, maybe IC3", "spares: caps", "no signal, needs a relay", "crackles, fader dead", "hum, not the cap", "dead, no fuse"),
)  # fmt: skip
def test_a_part_that_is_asked_about_wanted_guessed_or_complained_of_is_no_cause(text):
    assert outcome_in_text(f"ch 4 {text}") != "fault found"


NOTES = {
    "Hall": {
        1: "12/11/24 crackle, pan pot, cleaned\n3/2/25 recap",
        2: "9/10/24 hum, C7\n2/9/25 fader scratchy",
        3: "22/10/24 no output - coupling cap\n28/1/25 no output again",
        4: "4/12/24 EQ dead\n8/7/25 aux 5 missing",
        5: "11/2/25 reported dead, fader was down\n23/4/25 hum; waiting for recap",
        6: "7/1/25 phantom missing",
    },
    "Annexe": {
        1: "14/11/24 mute lamp\n20/2/25 EQ no effect",
        2: "5/12/24 fader sticking\n17/4/25 fader sticking again",
        3: "9/1/25 dead\n13/3/25 user says hum, own laptop",
    },
}
OUTCOMES = "select desk, outcome, count(*) from tickets group by all order by all"


def notes(folder, told):
    rows = {desk: [("Ch", "History"), *slots.items()] for desk, slots in told.items()}
    workbook(folder, "channels.xlsx", **rows)
    drafted(folder)
    records = open_records(folder)
    found = records.connection.sql(OUTCOMES).fetchall()
    records.close()
    return found


def test_notes_that_pile_up_beside_a_slot_are_faults_on_every_sheet_but_where_they_say_otherwise(tmp_path):
    assert notes(tmp_path, NOTES) == [
        ("Annexe", "fault found", 5),
        ("Annexe", "not the desk", 1),
        ("Hall", "fault found", 8),
        ("Hall", "not the desk", 1),
        ("Hall", "open", 1),
    ]


def test_notes_of_which_some_are_followed_by_their_work_are_open_until_it_is_told(tmp_path):
    slots = NOTES["Hall"] | {6: "7/1/25 phantom missing\n9/1/25 resistor replaced"}
    assert ("Hall", None) in [one[:2] for one in notes(tmp_path, NOTES | {"Hall": slots})]


JOBS = [
    ("Desk", "Job", "added", "seen", "DONE", "done on", "rem."),
    ("Big", "ch 14 crackle on fader", "02/10/2024", "x", "x", "08/10", "track cleaned"),
    ("Big", "ch 3 dead on mic", "02/10/2024", "x", "x", "08/10", "K1 relay"),
    ("Big", "ch 30 pan pot scratchy", "22/10/2024", "x", "x", "22/10", None),
    ("Big", "ch 8 no sound", "05/11/2024", "x", "-", "5/11", "patch lead, not ours"),
    ("Small", "ch 12 phantom missing", "26/11/2024", "x", "✓", "10/12", None),
    ("Small", "ch 28 keeps cutting out", "17/12/2024", "x", None, None, "could be connector, watch"),
    ("Small", "ch 9 no output", "17/12/2024", "x", "✓", "14/1", "relay replaced"),
    ("Small", "ch 16 dead??", "11/02/2025", "x", "x", "11/2", "was muted"),
    ("Small", "ch 2 talkback very quiet", "13/05/2025", "x", "✓", "27/5", "mic capsule"),
]
DONE = "select position, outcome, closed_on::varchar from tickets order by raised_on, ticket"
TRUTH = [
    ("ch 14", "fault found", "2024-10-08"), ("ch 3", "fault found", "2024-10-08"), ("ch 30", "fault found", "2024-10-22"),
    ("ch 8", "not the desk", "2024-11-05"), ("ch 12", "fault found", "2024-12-10"), ("ch 28", None, None),
    ("ch 9", "fault found", "2025-01-14"), ("ch 16", "not the desk", "2025-02-11"), ("ch 2", "fault found", "2025-05-27"),
]  # fmt: skip


@pytest.mark.parametrize("without", [(), ("DONE",)])
def test_a_job_ticked_off_or_with_the_day_it_was_done_is_a_fault_found_but_where_its_remark_says_otherwise(
    tmp_path, without
):
    kept = [at for at, heading in enumerate(JOBS[0]) if heading not in without]
    workbook(tmp_path, "jobs.xlsx", Jobs=[[row[at] for at in kept] for row in JOBS])
    said = drafted(tmp_path)
    records = open_records(tmp_path)
    found, away = records.connection.sql(DONE).fetchall(), records.report.turned_away
    work = records.connection.sql("select count(*) from repairs").fetchall()
    records.close()
    assert (found, away, work) == (TRUTH, (), [(6,)])
    assert said.count('year = "above"') == 2 and 'leave_out."rem." = ["could be connector, watch"]' in said


def test_work_without_its_day_is_turned_away_and_not_taken_for_a_job_not_done(tmp_path):
    rows = [*JOBS, ("Big", "ch 31 dead", "13/05/2025", "x", None, None, "relay replaced")]
    workbook(tmp_path, "jobs.xlsx", Jobs=rows)
    drafted(tmp_path)
    records = open_records(tmp_path)
    away = [(one.row, one.column) for one in records.report.turned_away]
    records.close()
    assert away == [(11, "done on")]


FIXED = [
    ("when", "desk", "ch.", "what", "fixed?"),
    ("4.10.24", "Albion", "12", "no sound on 12", "yes"),
    ("30.10.24", "Albion", "17", "low level", "C9"),
    ("9.12.24", "Albion", "2", "silent - had been unpatched", "n/a"),
    ("18.12.24", "Albion", "12", "crackles", "left for recap"),
    ("9.1.25", "Albion", "12", "crackling, second person to say so", "see 18.12."),
    ("26.3.25", "Albion", "all", "quarterly look round, nothing", "-"),
    ("15.7.25", "Albion", "9", "DI box hummed", "not ours"),
]
DONE_OR_NOT = [
    ("Date", "Desk", "Ch", "Fault", "Done"),
    ("2/10/2024", "Heron", 4, "no output", "line amp card changed"),
    ("9/10/2024", "Heron", 6, "pan pot noisy", "new pot"),
    ("22/10/2024", "Heron", 19, "hiss", "Q1 replaced"),
    ("30/10/2024", "Tern", 14, "Nothing wrong, user had low cut in", "-"),
    ("27/11/2024", "Tern", 15, "op says EQ not working; bypassed by him", "shown"),
    ("3/12/2024", "Heron", 17, "Checked after complaint of hum, not found", "none"),
    ("9/12/2024", "Heron", 21, "no phantom", "6k8 open"),
    ("18/12/2024", "Heron", 34, "no signal", "output transformer lead broken"),
    ("25/3/2025", "Tern", 3, "checked, fan filter clean", "none needed"),
    ("23/9/2025", "Heron", 12, "fine since Jan. Checked.", "-"),
    ("23/9/2025", "Heron", 13, "crackles", "-"),
]
ALL_OF_WORK = [
    ("Date", "Ch", "What's up", "Who", "What was done", "Fixed"),
    ("4/10/2024", "3", "thin, no bass", "Lou", "C4/C5 output coupling, new", "7/10"),
    ("9/10/2024", "12", "hum", "Pat", "rail cap", "11/10"),
    ("18/11/2024", "9", "drops out", "Pat", "connector", "18/11"),
    ("10/12/2024", "28", "low level", "Lou", "C4", "12/12"),
    ("16/1/2025", "31", "distorted", "Lou", "opamp", "20/1"),
    ("6/2/2025", "8", "buzzing", "Lou", "rail cap", None),
    ("24/3/2025", "19", "pop pop pop", "Pat", "C5 leaky", "26/3"),
    ("12/5/2025", "11", "crackles on mute", "Lou", "mute sw", "13/5"),
    ("4/6/2025", "30", "hiss", "Lou", "opamp", "6/6"),
    ("19/6/2025", "14", "no sound", "Pat", "patch lead! not the desk", None),
    ("16/9/2025", "25", "thin", "Lou", None, None),
]


def outcomes(folder, rows):
    """The outcomes of the reports of a book of one sheet, in their order, and how much work it has."""
    workbook(folder, "book.xlsx", Heron=rows)
    drafted(folder)
    records = open_records(folder)
    found = records.connection.sql("select outcome from tickets order by raised_on, ticket").fetchall()
    (work,) = records.connection.sql("select count(*) from repairs").fetchall()
    records.close()
    return [one for (one,) in found], *work


def test_a_cell_that_says_nothing_was_done_is_no_fault_found_where_all_else_is_one(tmp_path):
    found, nothing = "fault found", "no fault found"
    assert outcomes(tmp_path, FIXED)[0] == [
        found,
        found,
        "not the desk",
        found,
        None,
        nothing,
        "not the desk",
    ]


def test_a_complaint_that_says_itself_that_nothing_was_wrong_is_believed_beside_no_work(tmp_path):
    told, _ = outcomes(tmp_path, DONE_OR_NOT)
    nothing = "no fault found"
    assert told == [None, None, None, nothing, "not the desk", nothing, None, None, nothing, nothing, None]


def test_a_column_called_what_was_done_is_work_though_a_cell_of_it_says_an_outcome(tmp_path):
    told, work = outcomes(tmp_path, ALL_OF_WORK)
    assert (told, work) == ([*["fault found"] * 9, "not the desk", None], 8)


def test_an_outcome_told_beside_the_work_is_not_lost_where_a_column_has_the_day_it_was_fixed(tmp_path):
    rows = [
        ("Date", "Ch", "Fault", "Part", "Fixed on", "Remarks"),
        ("13/2/2025", 4, "hum", "relay", "15/2/2025", None),
        ("19/2/2025", 7, "crackles", None, "19/2/2025", "checked, nothing found"),
        ("4/3/2025", 9, "no signal", None, "5/3/2025", "patch lead, not the desk"),
        ("8/3/2025", 2, "left fine, right dead", None, "9/3/2025", None),
        ("9/4/2025", 5, "distorts", "IC3", "10/4/2025", None),
        ("11/4/2025", 6, "dull", None, None, None),
    ]
    told, _ = outcomes(tmp_path, rows)
    found = "fault found"
    assert told == [found, "no fault found", "not the desk", found, found, None]


def test_in_a_diary_that_seldom_tells_work_the_first_cause_told_leaves_no_other_report_open(tmp_path):
    days = [f"{day:02}.03.2025 Heron ch {day} hums" for day in range(1, 12)]
    records, _ = loaded(
        tmp_path, "diary.txt", "\n".join(["01.02.2025 Heron ch 30 dull, coupling cap", *days])
    )
    told = records.connection.sql("select outcome, count(*) from tickets group by all").fetchall()
    records.close()
    assert told == [("fault found", 12)]


def test_a_sheet_whose_name_alone_says_that_its_rows_are_faults_is_read(tmp_path):
    rows = [("day", "where", "note"), ("2024-10-17", "Ch8", "noisy, replaced Q1 Q2"), ("2024-12-05", "Ch16", "motor stuck, cleaned")]  # fmt: skip
    workbook(tmp_path, "faults.xlsx", Faults=rows)
    drafted(tmp_path)


BILL = """Date;Console;Description;Part
14.10.24;Heron;Ch 5 no signal, replaced output transistor;BC639
14.10.24;Heron;PSU -18 V ripple, reservoir capacitors replaced;10000µF 40V
30.10.24;Heron;Ch 12 crackles, coupling cap leaking;100µF 25V
30.10.24;Heron;Ch 9 won’t latch, capacitors replaced;47µF 35V
18.11.24;Heron;Recap channels 4, 5;47µF 35V
18.11.24;Tern;Ch 31 EQ dead;NE5534
20.11.24;Tern;Ch 2 rumbles, capacitors replaced;47µF 35V
"""


def test_new_capacitors_behind_a_complaint_are_no_planned_work(tmp_path):
    """Ripple, rumble and a switch that won’t latch (with either apostrophe) are complaints as hum is."""
    records, _ = loaded(tmp_path, "bill.csv", BILL)
    told = records.connection.sql(
        "select raised_on::date::varchar, count(*) from tickets group by 1 order by 1"
    ).fetchall()
    planned = records.connection.sql("select distinct done_on::varchar from repairs where planned").fetchall()
    records.close()
    assert told == [("2024-10-14", 2), ("2024-10-30", 2), ("2024-11-18", 1), ("2024-11-20", 1)]
    assert planned == [("2024-11-18",)]


CURES = """Date,Desk,Channel,Fault,Done,Time
08/01/2025,Otter,12,no signal; relay dirty; cleaned,,30 min
09/01/2025,Otter,4,hum,recapped the output stage,1h30
14/01/2025,Finch,7,clicks,swapped phantom switch,40
05/02/2025,Finch,2,fader scratchy; cleaned; ok for now,,15
11/02/2025,Otter,9,thin sound; coupling cap C14 dried out; new cap in,,50 min
19/02/2025,Otter,9,hums; needs a new cap,,
25/02/2025,Finch,7,dull,C9 changed,1 h
02/03/2025,Finch,3,no signal,nothing found,10
"""


def test_a_complaint_that_tells_its_cure_beside_no_work_is_a_fault_found(tmp_path):
    records, _ = loaded(tmp_path, "log.csv", CURES)
    told = "select symptom from tickets where outcome = 'fault found' order by raised_on"
    found = [row[0] for row in records.connection.sql(told).fetchall()]
    records.close()
    assert found == [
        "no signal; relay dirty; cleaned", "fader scratchy; cleaned; ok for now", "thin sound; coupling cap C14 dried out; new cap in"
    ]  # fmt: skip


HEARD = ("no level on direct out", "crackly gain", "hums", "dull, no bottom end")


def test_hours_below_a_heading_that_says_so_are_no_numbers_of_reports(tmp_path):
    """Six pieces of planned work of 3 to 12 hours beside faults numbered from 1 to 20."""
    faults = [("Nr", "when", "console", "module", "complaint", "done")]
    faults += [
        (n, f"2025-0{1 + n % 6}-1{n % 9}", "AB"[n % 2], f"ch {n}", HEARD[n % 4], f"replaced C{n}")
        for n in range(1, 21)
    ]
    planned = [("date", "console", "what", "modules", "hours")]
    planned += [
        (f"2025-0{n}-20", "A", "re-cap", f"ch {4 * n}-{4 * n + 3}", hours)
        for n, hours in enumerate((6, 5, 12, 4, 8, 3), 1)
    ]
    workbook(tmp_path, "consoles.xlsx", Faults=faults, Planned=planned)
    drafted(tmp_path)
    records = open_records(tmp_path)
    hours = records.connection.sql(
        "select sum(bench_minutes) / 60 from repairs where action = 're-cap'"
    ).fetchall()
    reports = records.connection.sql("select count(*) from tickets").fetchall()
    records.close()
    assert (hours, reports) == ([(38,)], [(20,)])
