"""Rules of meaning 5, 6, 10, 11, 12, 13: whose fault it was, and what kind."""

import pytest

from maintkit.spells import gather_evidence
from tests.spells.books import RECORD_END, YEAR, book, gathered, heard, replaced, rows


def test_unplanned_work_nobody_raised_a_ticket_for_is_one_fault_a_module_and_day():
    evidence = gathered(
        [],
        [
            replaced("R2", "2021-01-01"),
            replaced("R1", "2021-01-01", "switch", cause="suspected"),
            replaced("R3", "2021-06-01", planned="yes"),
            {"repair": "R4", "done_on": "2021-07-01", "serial": "M1", "action": "test"},
        ],
    )

    assert rows(evidence.faults, "event_id", "source", "class", "part_type", "time") == [
        ("repair R1", "repair", "fault", "switch", YEAR + 366 * 24)
    ]


@pytest.mark.parametrize("cause", ["confirmed", "suspected", "unknown", None])
def test_a_fault_is_told_by_its_first_replacement_whatever_the_cause(cause):
    evidence = gathered(
        [heard("T1", "2021-01-01")],
        [
            replaced("R1", "2021-01-02", None, ticket="T1", action="clean", cause="confirmed"),
            replaced("R2", "2021-01-03", ticket="T1", cause=cause),
        ],
    )

    assert rows(evidence.faults, "counts", "action", "part_type", "kind") == [
        (True, "replace", "cap", "electrolytic")
    ]


def test_no_fault_found_and_not_the_desk_are_no_failures():
    evidence = gathered(
        [
            heard("T1", "2021-01-01", outcome="no fault found"),
            heard("T2", "2021-02-01", outcome="not the desk"),
            heard("T3", "2021-03-01", outcome="open"),
        ],
    )

    assert rows(evidence.faults, "class", "counts") == [
        ("no fault found", False),
        ("not the desk", False),
        ("open", False),
    ]


@pytest.mark.parametrize(("later", "likely"), [("2021-03-02", True), ("2021-03-03", False)])
def test_no_fault_found_before_a_confirmed_fault_within_sixty_days_is_a_likely_intermittent(later, likely):
    evidence = gathered(
        [heard("T1", "2021-01-01", outcome="no fault found"), heard("T2", later)],
        [replaced("R1", later, ticket="T2")],
    )

    assert rows(evidence.faults, "event_id", "likely_intermittent") == [("T1", likely), ("T2", False)]


def test_the_same_symptom_while_a_fault_is_open_is_one_failure_with_many_reports():
    evidence = gathered(
        [
            heard("T1", "2021-01-01", symptom="Crackle ", closed_on="2021-01-10"),
            heard("T2", "2021-01-05", symptom="crackle", closed_on="2021-01-20"),
            heard("T3", "2021-01-06", symptom="hum", closed_on="2021-01-06"),
            heard("T4", "2021-01-15", symptom=" CRACKLE", closed_on="2021-01-16"),
            heard("T5", "2021-01-21", symptom="crackle"),
        ],
        return_days=0,
    )

    assert rows(evidence.faults, "event_id", "class", "same_as") == [
        ("T1", "fault", None),
        ("T2", "report", "T1"),
        ("T3", "fault", None),
        ("T4", "report", "T1"),
        ("T5", "fault", None),
    ]


def test_symptoms_are_compared_by_the_vocabulary_where_there_is_one():
    connection = book(
        tickets=[
            heard("T1", "2021-01-01", symptom="crackles", closed_on="2021-01-10"),
            heard("T2", "2021-01-05", symptom="crakling"),
        ]
    )
    connection.execute(
        """create temp table symptom_words as
        select ticket, 'fader' as section, 'crackle' as symptom, 'x' as matched
        from (values ('T1'), ('T2')) tickets(ticket)"""
    )

    evidence = gather_evidence(connection, record_end=RECORD_END)

    assert rows(evidence.faults, "event_id", "class") == [("T1", "fault"), ("T2", "report")]
    assert connection.execute("select count(*) from symptom_words").fetchone() == (2,)


@pytest.mark.parametrize(
    ("raised_on", "return_days", "returned"),
    [("2021-01-31", 30, "R1"), ("2021-02-01", 30, None), ("2021-02-01", 31, "R1")],
)
def test_a_fault_within_thirty_days_of_work_on_the_module_is_a_return(raised_on, return_days, returned):
    evidence = gathered(
        [heard("T0", "2020-12-30", closed_on="2021-01-01"), heard("T1", raised_on)],
        [replaced("R1", "2021-01-01", ticket="T0"), replaced("R2", raised_on, ticket="T1")],
        return_days=return_days,
    )

    assert rows(evidence.faults, "event_id", "class", "return_of") == [
        ("T0", "fault", None),
        ("T1", "return" if returned else "fault", returned),
    ]
    assert evidence.faults["counts"].tolist() == [True, returned is None]


def test_tickets_outside_the_recorded_window_do_not_count():
    evidence = gathered(
        [
            heard("T1", "2019-12-31"),
            heard("T2", "2021-01-01"),
            heard("T3", "2021-06-01"),
            heard("T4", "2023-01-01"),
        ],
        desks=[
            {
                "desk": "Tern",
                "family": "f",
                "coupling": "dc",
                "records_from": "2020-01-01",
                "retired_on": "2021-03-01",
            }
        ],
    )

    assert rows(evidence.faults, "event_id", "counts") == [("T2", True), ("T3", False)]
    assert evidence.tally["tickets_outside_records"] == 2


def test_a_report_comes_while_any_earlier_one_is_open_its_last_day_included():
    evidence = gathered(
        [
            heard("T1", "2021-01-01", symptom="hum", closed_on="2021-01-20"),
            heard("T2", "2021-01-05", symptom="hum", closed_on="2021-01-06"),
            heard("T3", "2021-01-20", symptom="hum", closed_on="2021-01-20"),
            heard("T4", "2021-01-21", symptom="hum"),
        ],
        return_days=0,
    )

    assert rows(evidence.faults, "event_id", "same_as") == [
        ("T1", None),
        ("T2", "T1"),
        ("T3", "T1"),
        ("T4", None),
    ]


def test_work_on_an_earlier_report_of_the_same_fault_is_no_work_it_returned_from():
    evidence = gathered(
        [
            heard("T1", "2021-01-01", symptom="hum", outcome="open", closed_on="2021-01-10"),
            heard("T2", "2021-01-05", symptom="hum"),
        ],
        [replaced("R1", "2021-01-05", ticket="T1", cause="unknown")],
    )

    assert rows(evidence.faults, "event_id", "class", "same_as", "return_of") == [
        ("T1", "fault", None, None),
        ("T2", "report", "T1", None),
    ]


@pytest.mark.parametrize(
    ("planned", "ticket", "counts"),
    [(None, "T1", True), (None, None, False), ("yes", "T1", False), ("no", "T1", True)],
)
def test_a_re_cap_that_answers_a_report_is_a_fault_and_one_that_answers_none_is_planned(
    planned, ticket, counts
):
    """What a blank ``planned`` means hangs on whether the work names a ticket; lives are cut short all the same."""
    evidence = gathered(
        [
            heard("T0", "2020-03-01"),
            heard("T1", "2021-01-01", closed_on="2021-01-02", outcome=None),
        ],
        [
            replaced("R0", "2020-03-01", ticket="T0"),
            {
                "repair": "R1",
                "done_on": "2021-01-02",
                "serial": "M1",
                "ticket": ticket,
                "action": "re-cap",
                "planned": planned,
            },
        ],
    )
    assert rows(evidence.faults, "event_id", "counts")[1:] == [("T1", counts)]
    assert evidence.part_spells["event"].sum() == 1 + (planned == "no")


def test_a_module_swapped_ends_no_report_and_the_next_work_that_mends_it_does():
    swap = {"action": "swap module", "part_type": None, "cause": None, "as_found": None}
    evidence = gathered(
        [
            heard("T1", "2021-01-01", outcome=None, symptom="hum"),
            heard("T2", "2021-03-20", outcome=None),  # on the bench, more than thirty days later
            heard("T3", "2021-06-01", outcome=None, symptom="dead"),
            heard("T4", "2021-06-10", outcome=None, symptom="hiss"),
            heard("T5", "2021-09-01", outcome=None, symptom="hum"),
        ],
        [
            replaced("R0", "2020-05-05"),  # what reports prove is told since
            replaced("R1", "2021-01-02", ticket="T1", **swap),
            replaced("R2", "2021-03-20", ticket="T2"),
            replaced("R3", "2021-06-02", ticket="T3", **swap),
            replaced("R4", "2021-06-11", ticket="T4"),
            replaced("R5", "2021-09-03", ticket="T5", **swap),
        ],
    )
    assert rows(evidence.faults, "event_id", "class", "same_as", "decided_on")[1:] == [
        ("T1", "fault", None, "2021-03-20"),
        ("T2", "report", "T1", "2021-03-20"),
        ("T3", "fault", None, "2021-06-11"),
        ("T4", "fault", None, "2021-06-11"),
        ("T5", "open", None, None),
    ]
