"""A diary of a day and a text: lines that go on with an entry before them are no fresh reports."""

import csv

from maintkit.records.headings import draft_mapping
from maintkit.records.headings.goes_on import lines_that_go_on

LINES = [
    ("2/10/23", "ch 22 no phantom, 6k8 gone, replaced"),
    ("", "14 crackly on the gain pot"),
    ("3/10/23", "14 again"),
    ("", "swapped the pot, that was it"),
    ("5/10/23", "Tilda 21 pan dead on the right"),
    ("", "grp 3 no output"),
    ("7/10/23", "grp 3 was the output capacitor, 2 changed"),
    ("9/10/23", "21 pan pot, none in stock, ordered"),
    ("12/10/23", "Duck 21 lamp out, new lamp"),
    ("15/1/24", "grp 3 relay replaced"),
]
MORE = [LINES[place][1] for place in (2, 3, 6, 7)]


def test_lines_that_tell_more_of_an_entry_are_found_and_others_are_not():
    assert lines_that_go_on(*zip(*LINES, strict=True)) == MORE


def test_work_told_at_once_ends_an_entry_and_another_desk_is_another_slot():
    lines = [
        ("1/3/24", "Tilda 5 dead, new fuse"),
        ("3/3/24", "Tilda 5 dead, new chip"),
        ("4/3/24", "Duck 9 hums"),
        ("5/3/24", "Tilda 9 relay replaced"),
    ]
    assert lines_that_go_on(*zip(*lines, strict=True)) == []


def test_the_draft_leaves_them_out_and_says_so(tmp_path):
    with open(tmp_path / "diary.csv", "w", newline="") as file:
        csv.writer(file).writerows([("Date", "What"), *LINES])
    text = draft_mapping(tmp_path).text
    line = next(line for line in text.splitlines() if line.startswith('leave_out."What"'))
    assert all(f'"{said}"' in line for said in MORE)
    assert line.count('", "') == len(MORE) - 1
    assert "go on with an entry" in line


def test_beside_tags_each_row_is_a_fault_of_its_own(tmp_path):
    tags = [("SL-21", "AC-R2", "", "SL-03")[row % 4] for row in range(len(LINES))]
    rows = [(day or "3/10/23", tag, said) for (day, said), tag in zip(LINES, tags, strict=True)]
    with open(tmp_path / "jobs.csv", "w", newline="") as file:
        csv.writer(file).writerows([("Date", "Tag", "What"), *rows])
    text = draft_mapping(tmp_path).text
    assert '"What" = "symptom"' in text and "leave_out" not in text


def test_a_text_that_comes_again_or_a_part_that_is_complained_of_is_a_fault_of_its_own():
    lines = [
        ("2/3/23", "ch 6 crackles"),
        ("9/3/23", "ch 6 mute switch intermittent"),
        ("10/3/23", "lamp over the door"),
        ("11/3/23", "ch 6 pan does nothing on the left"),
        ("4/6/23", "ch 9 thin"),
        ("5/6/23", "ch 9 fader"),
        ("6/6/23", "lamp over the door"),
    ]
    assert lines_that_go_on(*zip(*lines, strict=True)) == ["ch 9 fader"]
