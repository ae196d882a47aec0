"""Cells of several lines, typed with Alt and Enter, of which each line is a fault of another slot: an entry a line."""

import pytest
from openpyxl import Workbook

from maintkit.records.several import entries_in
from tests.first_contact.as_drafted import drafted, rows

HEADINGS = ("Date", "Desk", "Faults", "Done", "Time (min)")
ROWS = (
    ("2024-01-08", "Studio 1", "ch 3 no sound\nch 7 fader crackly", "ch 3 swapped card\nch 7 cleaned fader", 50),
    ("2024-01-20", "Studio 1", "ch 12 mute sticks", "cleaned switch", 15),
    ("2024-02-03", "Studio 2", "1) ch 4 eq dead\n2) ch 5 hum\n3) meter stuck", "1) replaced U3\n2) recapped C4\n3) nothing found", 120),
    ("2024-02-13", "Studio 2", "ch 9 distorts", "replaced C12", 30),
    ("2024-03-13", "Studio 1", "ch 16 pan noisy again\nwhen turned fast", "replaced pot", 40),
    ("2024-04-21", "Studio 1", "ch 20 lamp dark\nch 21 lamp dark\nch 22 lamp dark", "replaced lamps", 60),
)  # fmt: skip


def book(folder, rows=ROWS, headings=HEADINGS):
    workbook = Workbook()
    for row in (headings, *rows):
        workbook.active.append(row)
    workbook.save(folder / "faults.xlsx")
    return drafted(folder)


def test_each_line_is_a_report_and_its_work(tmp_path):
    assert book(tmp_path).count('by_line = { "Faults" = ["ch #"], "Done" = [] }') == 2
    query = """select t.source_row, t.position, symptom, action, bench_minutes, outcome
               from tickets as t join repairs as r using (ticket) order by t.source_row, ticket"""
    found = rows(tmp_path, query)
    assert found[:7] == [
        (2, "ch 3", "ch 3 no sound", "swap module", 25, None),
        (2, "ch 7", "ch 7 fader crackly", "clean", 25, None),
        (3, "ch 12", "ch 12 mute sticks", "clean", 15, None),
        (4, "ch 4", "ch 4 eq dead", "replace", 40, None),
        (4, "ch 5", "ch 5 hum", "re-cap", 40, None),
        (4, None, "meter stuck", "test", 40, "no fault found"),
        (5, "ch 9", "ch 9 distorts", "replace", 30, None),
    ]
    assert [position for _, position, *_ in found[7:]] == ["ch 16", "ch 20", "ch 21", "ch 22"]
    assert sum(minutes for *_, minutes, _ in found) == sum(row[4] for row in ROWS)


def test_lines_beside_a_column_of_slots_are_one_report(tmp_path):
    with_slots = [
        (day, desk, ch, *rest) for ch, (day, desk, *rest) in zip((7, 3, 12, 9, 3, 7), ROWS, strict=True)
    ]
    assert "by_line" not in book(tmp_path, with_slots, ("Date", "Desk", "Ch", *HEADINGS[2:]))
    assert rows(tmp_path, "select count(*) from tickets") == [(len(ROWS),)]


def test_one_cell_of_two_lines_is_no_habit(tmp_path):
    assert "by_line" not in book(tmp_path, [ROWS[0], *ROWS[1:2], *ROWS[3:5]])


@pytest.mark.parametrize(
    ("text", "entries"),
    [
        ("ch 3 dead", ("ch 3 dead",)),
        ("ch 3 dead\nsince noon", ("ch 3 dead\nsince noon",)),
        ("ch 3 dead\r\n\r\nch 4 hum", ("ch 3 dead", "ch 4 hum")),
        ("- ch 3 dead\n- meter stuck", ("ch 3 dead", "meter stuck")),
    ],
)
def test_where_an_entry_begins(text, entries):
    assert entries_in(text, lambda line: line.startswith("ch")) == entries


VISITS = """Date,Rm,Hrs,What I did,Parts used,Next time
3/10/24,A,4,"ch 7 no output - Q3 open, replaced; 22 crackly pan pot, cleaned; swept up",BC184 x1,
4/10/24,B,1.5,"ch 11 mute LED dead, changed LED",3 mm LED,
17/10/24,A+B,6,"A: ch 4 hum, C12 dry, replaced; 19 noisy, contacts cleaned; B: ch 3 fader sticks, new fader fitted",fader x1,filters
24/10/24,A,5,"re-capped the talkback card
26 dead on monitor path, relay
ch 12 distorts (left; right fine) - could not reproduce",relay,
4/11/24,A,2,"ch 12 distorts now, output cap replaced; customer's compressor hums - their lead",470u x2,
11/11/24,B,3,"17 aux 2 send not working; bad pot, replaced; 8 intermittent; talkback mic dead, capsule replaced",,
18/11/24,B,2,"+16 rail low, regulator changed; 21 thin, C4 open",,
"""
JOBS = [
    ("2024-10-03", "A", "ch 7", "ch 7 no output - Q3 open, replaced", "replace", None),
    ("2024-10-03", "A", "ch 22", "22 crackly pan pot, cleaned; swept up", "clean", None),
    ("2024-10-04", "B", "ch 11", "ch 11 mute LED dead, changed LED", "replace", 90),
    ("2024-10-17", "A", "ch 4", "ch 4 hum, C12 dry, replaced", "replace", None),
    ("2024-10-17", "A", "ch 19", "19 noisy, contacts cleaned", "clean", None),
    ("2024-10-17", "B", "ch 3", "ch 3 fader sticks, new fader fitted", "replace", None),
    ("2024-10-24", "A", "ch 26", "26 dead on monitor path, relay", "other work", None),
    ("2024-10-24", "A", "ch 12", "ch 12 distorts (left; right fine) - could not reproduce", "test", None),
    ("2024-11-04", "A", "ch 12", "ch 12 distorts now, output cap replaced", "replace", None),
    ("2024-11-04", "A", None, "customer's compressor hums - their lead", "test", None),
    ("2024-11-11", "B", "ch 17", "17 aux 2 send not working; bad pot, replaced", "replace", None),
    ("2024-11-11", "B", "ch 8", "8 intermittent", "other work", None),
    ("2024-11-11", "B", None, "talkback mic dead, capsule replaced", "replace", None),
    ("2024-11-18", "B", None, "+16 rail low, regulator changed", "replace", None),
    ("2024-11-18", "B", "ch 21", "21 thin, C4 open", "replace", None),
]
OF_JOBS = """select raised_on::date::varchar, t.desk, t.position, symptom, action, bench_minutes
             from tickets as t join repairs as r using (ticket) order by t.source_row, ticket"""


@pytest.mark.parametrize("heading", ["What I did", "Notes", "Jobs", "Report", "Faults seen to"])
def test_each_job_of_a_visit_is_an_entry_of_its_day_and_desk(tmp_path, heading):
    (tmp_path / "visits.csv").write_text(VISITS.replace("What I did", heading))
    assert drafted(tmp_path).count(f'jobs = {{ "{heading}" = ["Hrs", "Parts used"] }}') == 3
    assert rows(tmp_path, OF_JOBS, left_out=2) == JOBS
    alone = "select desk, action, bench_minutes, planned from repairs where ticket is null"
    assert rows(tmp_path, alone, left_out=2) == [("A", "re-cap", None, "yes")]


def test_clauses_of_one_job_and_jobs_beside_a_column_of_slots_are_no_visits(tmp_path):
    one_job = VISITS.replace("; 22", ", it").replace("; 19", ", 19").replace("; B: ch", ", B: ch")
    (tmp_path / "visits.csv").write_text(one_job)
    assert "jobs" not in drafted(tmp_path)
    (tmp_path / "visits.csv").write_text(VISITS.replace("Next time", "Ch"))
    assert "jobs" not in drafted(tmp_path)


def test_jobs_of_numbered_visits_are_told_apart_and_lists_beside_them_are_parted(tmp_path):
    (tmp_path / "visits.csv").write_text(
        "No,Day,Desk,Jobs,Parts\n7,2025-03-04,Heron,ch 3 dead; ch 5 hums,relay; cap\n8,2025-03-06,Heron,ch 9 thin,\n"
    )
    (tmp_path / "mapping.toml").write_text(
        '[repairs]\nfile = "visits.csv"\njobs = { Jobs = ["Parts"] }\nsame = { action = "other work" }\n'
        '[repairs.columns]\nNo = "repair"\nDay = "done_on"\nDesk = "desk"\nJobs = "finding"\nParts = "part_type"\n'
        '[repairs.lookup.position]\nfrom = "Jobs"\nwithin = true\nwords = { "ch #" = "#" }\n'
    )
    told = [
        ("7", "ch 3 dead", "relay"),
        ("7 entry 2", "ch 5 hums", "cap"),
        ("8", "ch 9 thin", None),
    ]
    assert rows(tmp_path, "select repair, finding, part_type from repairs order by repair") == told
