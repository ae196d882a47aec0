"""One fault that two lists tell of: the thirty reports of ``books.py`` and a second list beside them."""

import pytest

from maintkit import open_quarter
from maintkit.questions import happened
from maintkit.records.contradictions import find_contradictions
from tests.first_contact.thin import books

KIND = "A slot of which two lists tell on one day"


@pytest.fixture
def beside(tmp_path):
    """The quarter with one more report in a list of its own."""

    def opened(day, slot, said, **more):
        second = [dict(ticket="X1", raised_on=day, desk="Alder", position=slot, symptom=said)]
        tables = dict(desks=books.desks(), tickets=books.tickets(), **{"tickets-notes": second})
        if more:
            tables["repairs"] = [dict(repair="R1", ticket="X1", done_on=day, **more)]
        return open_quarter(books.write(tmp_path / "book", **tables), "2026Q3")

    return opened


def listed(quarter):
    return [one for one in find_contradictions(quarter.records.connection) if one.kind == KIND]


def test_a_fault_told_in_two_lists_is_one_and_listed(beside):
    """Alder 3 on 7 July stands in both, in other words: seven faults remain seven."""
    quarter = beside("2026-07-07", "3", "comes up grubby")
    assert happened.facts(quarter).faults == 7
    seen = quarter.evidence.faults.set_index("event_id")
    assert (seen.loc["X1", "class"], seen.loc["X1", "same_as"]) == ("report", "T24")
    (one,) = listed(quarter)
    assert one.examples == (
        "tickets-notes.csv, row 2: Alder 3 on 2026-07-07 is told in tickets.csv, row 25, too.",
    )


def test_work_that_answers_the_second_telling_is_of_the_one_fault(beside):
    quarter = beside("2026-07-07", "3", "comes up grubby", action="replace", part_type="pot 10k")
    seen = quarter.evidence.faults.set_index("event_id")
    assert (seen.loc["T24", "class"], seen.loc["T24", "part_type"]) == ("fault", "pot 10k")
    assert seen.loc["X1", "class"] == "report"


@pytest.mark.parametrize(
    ("day", "slot", "said", "is_listed"),
    [
        ("2026-07-07", "3", "hum", True),  # the other list has a crackle: two symptoms, so two faults
        ("2026-07-08", "3", "comes up grubby", False),
        ("2026-07-07", "4", "comes up grubby", False),
    ],
)
def test_another_symptom_day_or_slot_is_another_fault(beside, day, slot, said, is_listed):
    quarter = beside(day, slot, said)
    assert happened.facts(quarter).faults == 8
    assert bool(listed(quarter)) == is_listed


def test_one_list_that_tells_of_a_slot_twice_a_day_has_two_faults(tmp_path):
    twice = [*books.tickets(), {**books.tickets()[23], "ticket": "X1", "symptom": "comes up grubby"}]
    quarter = open_quarter(books.write(tmp_path, desks=books.desks(), tickets=twice), "2026Q3")
    assert happened.facts(quarter).faults == 8
    assert listed(quarter) == []
