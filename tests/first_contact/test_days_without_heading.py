"""A book below months whose column of days has no heading, and whose slots begin with the letter of their desk."""

import pytest

from maintkit.records.known_words.part_kinds import work_in_text
from tests.first_contact.as_drafted import drafted
from tests.first_contact.test_shapes_of_books import loaded, workbook

LETTERS = "A = upstairs Tern 48, B = downstairs Tern 24"
BOOK = [
    ("Typed up from the wall book",),
    (LETTERS,),
    (None, "where", "what", "done"),
    ("NOV '07",),
    ("Thu 15th", "A36", "mic trim jumps, cleaned 2x", "x"),
    ("22/11", "A7", "solo stuck. new switch", "x"),
    (),
    ("DEC",),
    ("16", "B1-3", "hum. changed C4", "x"),
    ('"', "A psu", "hums. decouplers C18+C32", "x"),
    (None, "b12", "noisy fader. cleaned", None),
    (None, None, "power cut, all ok after", None),
    (None, "A 45", "no hf. IC8 in eq section", "x"),
    (),
    ("JAN",),
    ("17/1", "B7", "dead. swapped with spare", "x"),
    ("29th", '"', "tape return intermittent, burnished switch", "x"),
]
TICKETS = [
    ("2007-11-15", "A", "36"),
    ("2007-11-22", "A", "7"),
    ("2007-12-16", "B", "1-3"),
    ("2007-12-16", "A", "psu"),
    ("2007-12-16", "B", "12"),
    ("2007-12-16", "A", "45"),
    ("2008-01-17", "B", "7"),
    ("2008-01-29", "B", "7"),
]


@pytest.fixture
def found(tmp_path):
    workbook(tmp_path, "wall.xlsx", Wall=BOOK)
    return loaded(
        tmp_path,
        "select raised_on::text, desk, position from tickets order by source_row",
        "select action, part_type from repairs order by source_row",
    )


def test_days_without_a_heading_are_those_of_the_months_above(found):
    draft, tickets, _ = found
    assert '"(first column)" = "raised_on"' in draft
    assert tickets == TICKETS


def test_complaint_and_work_stand_in_one_cell(found):
    *_, work = found
    assert work == [
        ("clean", None),
        ("replace", "switch"),
        ("replace", "capacitor"),
        ("replace", "capacitor"),
        ("clean", "fader"),
        ("replace", "ic"),
        ("swap module", None),
        ("clean", "switch"),
    ]


@pytest.mark.parametrize("line", ["A = input, B = group", "A = 1 to 48", "typed up in 2010"])
def test_letters_that_no_line_says_to_be_desks_are_none(tmp_path, line):
    workbook(tmp_path, "wall.xlsx", Wall=[(line,) if one == (LETTERS,) else one for one in BOOK])
    assert '= "A"' not in drafted(tmp_path)


def test_numbers_of_rows_without_a_heading_are_no_days(tmp_path):
    rows = [
        (None, "Date", "Ch", "Fault", "Done"),
        *((at, f"{at}/11/2023", at % 4, "hum", "cleaned") for at in range(1, 25)),
    ]
    workbook(tmp_path, "log.xlsx", Log=rows)
    assert "(first column)" not in drafted(tmp_path)


def test_headings_without_the_first_may_come_again(tmp_path):
    workbook(tmp_path, "wall.xlsx", Wall=[*BOOK[:7], BOOK[2], *BOOK[7:]])
    _, tickets = loaded(tmp_path, "select raised_on::text, desk, position from tickets order by source_row")
    assert tickets == TICKETS


def test_a_place_on_the_board_behind_the_complaint_is_a_part_replaced_and_no_more_than_that():
    texts = ("hum - Q7", "dim sticks. relay RL2", "dead. C4?", "dead. C4 dried up", "dead. same as C4 there")
    assert [work_in_text(text) for text in texts] == ["replace", "replace", "", "", ""]
