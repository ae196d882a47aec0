"""Faults of a slot, rail or cable: counted apart, nobody's module; and when to look at the supply."""

import pytest

from maintkit.spells import gather_evidence
from tests.spells.books import RECORD_END, book, gathered, heard, replaced, rows

SLOTS = "12345"
PLACED = {
    "positions": [{"desk": "Tern", "position": slot, "bay": "A" if slot < "4" else "B"} for slot in SLOTS],
    "modules": [{"serial": f"M{slot}", "family": "f", "module_type": "channel"} for slot in SLOTS],
    "fitments": [
        {"serial": f"M{slot}", "desk": "Tern", "position": slot, "fitted_on": "2019-01-01"} for slot in SLOTS
    ],
}


def beside(repair, done_on, where="slot", **changed):
    """Work on a slot, rail or cable."""
    return {"repair": repair, "done_on": done_on, "action": "re-solder", "where": where} | changed


def flags(tickets, repairs):
    found = gathered(tickets, repairs, **PLACED).supply_flags
    return rows(found, "bay", "position", "other_position", "first_on", "last_on", "looked_on")


def test_a_fault_of_the_slot_is_counted_apart_and_ends_no_life():
    tickets = [heard("T1", "2022-06-01"), heard("T2", "2022-08-01", "2")]
    work = [beside("R1", "2022-06-02", ticket="T1"), replaced("R2", "2022-08-02", ticket="T2", serial="M2")]
    found = gathered(tickets, work, **PLACED)

    assert rows(found.faults, "event_id", "class", "counts", "of_slot") == [
        ("T1", "slot or supply", False, "slot"),
        ("T2", "fault", True, None),
    ]
    assert (found.tally["faults_counted"], found.tally["slot_or_supply"]) == (1, 1)
    assert found.work["repair"].tolist() == ["R2"]
    spells = found.part_spells
    assert spells.loc[spells["serial"] == "M1", "event"].sum() == 0


def test_a_serial_in_the_row_says_where_but_the_module_is_not_charged():
    ticket, work = heard("T1", "2022-06-01"), beside("R1", "2022-06-02", ticket="T1", serial="M1")
    swapped = replaced("R1", "2022-06-02", ticket="T1", where="cable")
    for one in (work, swapped):
        found = gathered([ticket], [one], **PLACED)
        assert found.faults["class"].tolist() == ["slot or supply"]
        assert not len(found.work) and not found.part_spells["event"].any()


def test_where_a_part_of_the_module_failed_too_the_fault_is_the_modules():
    work = [beside("R1", "2022-06-02", ticket="T1"), replaced("R2", "2022-06-03", ticket="T1")]
    found = gathered([heard("T1", "2022-06-01")], work, **PLACED)

    assert rows(found.faults, "class", "part_type", "of_slot") == [("fault", "cap", None)]


def test_an_outcome_that_says_no_fault_stands_above_work_on_the_slot():
    found = gathered(
        [heard("T1", "2022-06-01", outcome="no fault found")], [beside("R1", "2022-06-02", ticket="T1")]
    )

    assert found.faults["class"].tolist() == ["no fault found"]


def test_the_same_report_again_is_the_same_fault_of_the_slot():
    tickets = [
        heard("T1", "2022-06-01", symptom="dead", closed_on="2022-06-05"),
        heard("T2", "2022-06-03", symptom="dead", closed_on="2022-06-05"),
    ]
    found = gathered(tickets, [beside("R1", "2022-06-04", ticket="T1")])

    assert rows(found.faults, "event_id", "class") == [("T1", "slot or supply"), ("T2", "report")]


def test_work_on_a_rail_that_nobody_reported_needs_no_slot():
    found = gathered([], [beside("R1", "2022-06-02", "rail", desk="Tern", action="replace")], **PLACED)

    assert rows(found.faults, "source", "class", "of_slot", "position", "serial") == [
        ("repair", "slot or supply", "rail", None, None)
    ]
    assert found.tally["work_without_serial"] == 0 and found.tally["unplanned_replacements"] == 0


def test_a_module_that_fails_after_work_on_its_slot_has_not_come_back():
    tickets = [heard("T1", "2022-06-01", symptom="dead"), heard("T2", "2022-06-11", symptom="dead")]
    work = [beside("R1", "2022-06-02", ticket="T1"), replaced("R2", "2022-06-12", ticket="T2")]

    assert gathered(tickets, work).faults["class"].tolist() == ["slot or supply", "fault"]
    nobody_in = [{**one, "position": "3"} for one in tickets]
    work[1] = {**work[1], "serial": None, "desk": "Tern", "position": "3"}
    assert gathered(nobody_in, work).faults["class"].tolist() == ["slot or supply", "fault"]


@pytest.mark.parametrize(("day", "is_flagged"), [("2022-06-04", True), ("2022-06-05", False)])
def test_another_slot_of_the_bay_within_three_days_is_a_flag(day, is_flagged):
    tickets = [heard("T1", "2022-06-01"), heard("T2", day, "2", outcome="open")]
    found = flags(tickets, [beside("R1", "2022-06-02", ticket="T1")])

    assert found == ([("A", "1", "2", "2022-06-01", day, None)] if is_flagged else [])


def test_another_bay_the_same_slot_and_other_gear_are_no_flag():
    tickets = [
        heard("T1", "2022-06-01"),
        heard("T2", "2022-06-02", "4"),
        heard("T3", "2022-06-03", symptom="hum"),
        heard("T4", "2022-06-03", "2", outcome="not the desk"),
    ]

    assert flags(tickets, [beside("R1", "2022-06-02", ticket="T1")]) == []


def test_two_faults_of_slots_are_one_flag_and_work_on_the_rail_answers_it():
    tickets = [heard("T1", "2022-06-01"), heard("T2", "2022-06-03", "2")]
    work = [beside("R1", "2022-06-02", ticket="T1"), beside("R2", "2022-06-03", ticket="T2")]
    seen_to = beside("R3", "2022-06-09", "rail", desk="Tern", position="3", action="trace")

    assert flags(tickets, work) == [("A", "1", "2", "2022-06-01", "2022-06-03", None)]
    assert flags(tickets, [*work, seen_to]) == [("A", "1", "2", "2022-06-01", "2022-06-03", "2022-06-09")]


def test_a_rail_of_no_named_slot_stands_for_its_desk():
    found = flags(
        [heard("T1", "2022-06-03", "5")], [beside("R1", "2022-06-02", "rail", desk="Tern", action="replace")]
    )

    assert found == [("B", None, "5", "2022-06-02", "2022-06-03", None)]


def test_without_fitments_the_slot_is_counted_apart_too():
    connection = book(
        modules=[],
        fitments=[],
        tickets=[heard("T1", "2022-06-01")],
        repairs=[beside("R1", "2022-06-02", ticket="T1")],
    )

    assert gather_evidence(connection, record_end=RECORD_END).tally["faults_counted"] == 0
