"""Diaries of two desks in plain text: what was planned and done slot by slot, and lines that are no fresh report."""

from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, rows

DIARY = """13 January 2025
Heron ch 5 hums, new cap
Tern 3 dead, relay replaced

16 January 2025
Re-capped Heron ch 1-4, all electrolytics, two days

20 January 2025
Heron 14 crackles, pot cleaned
Tern 9 no sound, new fuse

3 February 2025
Recapped 9-11 on Tern.
Heron ch 6 dead, relay replaced

17 February 2025
Cleaned all faders on Tern, routine.
"""
PLANNED = """select done_on::varchar, desk, action, string_agg(regexp_replace(position, '^ch ', ''), ' ' order by position)
             from repairs where planned = 'yes' group by all order by all"""


def kept(folder, text, query, *, left_out):
    (folder / "diary.txt").write_text(text, encoding="utf-8")
    drafted(folder)
    return rows(folder, query, left_out=left_out)


def test_re_caps_in_a_diary_are_of_the_desk_and_of_each_slot_that_the_line_names(tmp_path):
    found = kept(tmp_path, DIARY, PLANNED, left_out=16)
    assert found == [
        ("2025-01-16", "Heron", "re-cap", "1 2 3 4"),
        ("2025-02-03", "Tern", "re-cap", "10 11 9"),
        ("2025-02-17", "Tern", "clean", "(whole desk)"),
    ]


GOES_ON = """1 Oct 2024
Heron ch 11 no bottom end, pulled, spare in
Tern 3 dead, relay replaced

7 Oct 2024
Quiet. Heron ch11 back in, two coupling caps.
Heron 23 humming

8 Oct 2024
didn't get to Heron 23
Heron 9-16 done & back.

28 Nov 2024
Tern ch 5 distorting all evening, could be heard in the control room. later: it was the pad on the mic, no fault
Heron ch 9 fine since recap. touch wood.

12 May 2025
Tern 12 aux 2 intermittent. fire alarm test Thursday 10am

14 May 2025
Tern 12: pot replaced
Recap planned for 25-32 on Heron in the new year.
"""


def test_how_a_job_goes_on_and_a_re_cap_to_come_are_no_reports(tmp_path):
    query = "select desk, regexp_extract(position, '\\d+')::int, outcome from tickets order by raised_on, source_row"
    assert kept(tmp_path, GOES_ON, query, left_out=12) == [
        ("Heron", 11, None),
        ("Tern", 3, None),
        ("Heron", 23, None),
        ("Tern", 5, "no fault found"),
        ("Tern", 12, None),
    ]
    assert rows(tmp_path, "select count(*) from repairs where action = 're-cap'", left_out=12) == [(0,)]


ROOMS = """Hand-over log   Room 1 = Heron (the old one)   Room 2 = Tern

Mon 3 Mar 2025 late
R1: Heron ch 11 dead
R2 mic stand broken
Tern 3 hums
Heron 4 dead

Tue 4 Mar 2025 day
R1 29 hum, R1 30 hum
R19 of the headphone amp burnt
hot. Heron 21 distorted after midnight

Wed 5 Mar 2025 night
Heron 29, 30 rail caps. both ok
21 opamp
Tern 3 relay replaced
Tern 5 dead, new fuse
"""


def test_a_room_that_the_head_of_a_log_explains_stands_for_its_desk_where_a_slot_follows(tmp_path):
    (tmp_path / "log.txt").write_text(ROOMS, encoding="utf-8")
    drafted(tmp_path)
    records = open_records(tmp_path)
    told = "select desk || regexp_replace(position, '^ch', '') from tickets order by raised_on, source_row"
    found = [place for (place,) in records.connection.sql(told).fetchall()]
    assert found == ["Heron 11", "Tern3", "Heron 4", "Heron 29", "Heron 21", "Tern5"]
    away = [one.found for one in records.report.turned_away]
    records.close()
    assert [text[:6] for text in away] == ["", "R2 mic", "R19 of"]
