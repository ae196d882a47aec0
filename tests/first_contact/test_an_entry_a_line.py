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
