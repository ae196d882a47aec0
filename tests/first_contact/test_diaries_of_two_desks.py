"""Diaries of two desks in plain text: what was planned and done slot by slot, and lines that are no fresh report."""

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
    found = kept(tmp_path, DIARY, PLANNED, left_out=6)
    assert found == [
        ("2025-01-16", "Heron", "re-cap", "1 2 3 4"),
        ("2025-02-03", "Tern", "re-cap", "10 11 9"),
        ("2025-02-17", "Tern", "clean", "(whole desk)"),
    ]
