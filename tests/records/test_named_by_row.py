"""A note that names a report by its row: found again by what the row said when rows have moved, or turned away; never another desk's."""

import pytest

from maintkit.errors import MaintkitError
from maintkit.note import note

HEAD = "raised_on,desk,position,symptom\n"
ROWS = ("2025-01-06,Knot,7,crackle\n", "2025-02-03,Knot,8,hum\n", "2025-03-04,Ruff,2,dead\n")


@pytest.fixture
def noted(book):
    """A list without numbers, and work noted on its last row; rewritten with other rows where a test says so."""

    def write(*rows, folder="book"):
        return book(folder, desks=None, repairs=None, tickets=HEAD + "".join(rows))

    place = write(*ROWS)
    note("work", ["action=re-solder", "ticket=tickets row 4", "done_on=2025-03-06"], place, yes=True)
    return write


def answered(load, place):
    report, connection = load(place)
    rows = connection.execute(
        "select tickets.desk, tickets.position, symptom from repairs join tickets using (ticket)"
    ).fetchall()
    return rows, [str(one) for one in report.turned_away]


def test_rows_put_before_or_taken_out_leave_a_note_with_its_report(noted, load):
    earlier = "2025-01-20,Knot,3,no sound\n"
    for rows in (ROWS, (ROWS[0], earlier, *ROWS[1:]), ROWS[1:], ROWS[::-1]):
        assert answered(load, noted(*rows)) == ([("Ruff", "2", "dead")], [])


def test_a_report_whose_words_alone_were_corrected_is_found_by_desk_slot_and_day(noted, load):
    moved = noted(*ROWS[:2], "2025-02-20,Ruff,9,noisy\n", "2025-03-04,ruff,02,dead after lunch\n")
    assert answered(load, moved) == ([("Ruff", "02", "dead after lunch")], [])


def test_a_note_whose_report_is_gone_is_turned_away_with_what_it_said(noted, load):
    assert answered(load, noted(*ROWS[:2], "2025-03-05,Ruff,2,dead\n")) == (
        [],
        [
            "repairs-notes.csv, row 2, column ticket: found 'tickets row 4 (2025-03-04 | Ruff | 2 | dead)'. Rows have moved since this was "
            "written, and no row, or more than one, reads as that report did. Name the report by the row or number that maintkit ask tells "
            "now, and load the file again; the other rows are in."
        ],
    )


def test_two_reports_of_one_slot_and_day_are_told_apart_by_their_words(noted, load):
    other = "2025-03-04,Ruff,2,hum\n"
    assert answered(load, noted(ROWS[2], other))[0] == [("Ruff", "2", "dead")]
    assert answered(load, noted("\n\n\n", other, other.replace("hum", "dull"))) == (
        [],
        answered(load, noted(ROWS[0]))[1],
    )


@pytest.mark.parametrize(
    ("row", "rules"),
    [
        ("tickets row 4", []),
        ("tickets row 3", ["That report is of another desk than this work."]),
        ("tickets row 9", ["No report is called by this row."]),
    ],
)
def test_work_written_by_hand_is_held_against_the_desk_of_the_row_it_names(book, load, row, rules):
    repairs = f"repair,done_on,desk,position,action,ticket\nW1,2025-03-06,Ruff,2,clean,{row}\n"
    report, _ = load(book(desks=None, tickets=HEAD + "".join(ROWS), repairs=repairs))
    assert [one.rule for one in report.turned_away] == rules


def test_a_note_on_a_row_of_another_desk_or_on_none_is_not_kept(noted):
    place = noted(*ROWS)
    kept = (place / "repairs-notes.csv").read_text(encoding="utf-8")
    for desk, row, said in (
        (
            "Knot",
            4,
            "tickets row 4 (2025-03-04 | Ruff | 2 | dead)'. That report is of another desk than this work.",
        ),
        ("Ruff", 44, "tickets row 44'. No report is called by this row."),
    ):
        with pytest.raises(MaintkitError) as caught:
            given = [f"desk={desk}", "position=8", "action=clean", f"ticket=tickets row {row}"]
            note("work", [*given, "done_on=2025-03-06"], place, yes=True)
        assert str(caught.value) == f"Not kept: column ticket: found '{said}"
    assert (place / "repairs-notes.csv").read_text(encoding="utf-8") == kept


def test_numbers_of_their_own_say_all_that_a_note_needs(book):
    place = book(desks=None, repairs=None)
    note("work", ["action=clean", "ticket=T1", "done_on=2025-03-06"], place, yes=True)
    assert "ticket_was" not in (place / "repairs-notes.csv").read_text(encoding="utf-8")
