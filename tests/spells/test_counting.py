"""What is a fault, a return, one fault reported again: each rule and each tried case, on books of a few lines."""

import pytest

from maintkit.records.wording import load_vocabulary, sort_symptoms
from maintkit.spells import gather_evidence
from tests.spells.books import RECORD_END, book, gathered, heard, replaced, rows

TICKET, REPAIR = "T", "R"


def work(repair, done_on, action="clean", **changed):
    """Unplanned work of which nothing more is written."""
    return {"repair": repair, "done_on": done_on, "serial": "M1", "action": action} | changed


def asked(ticket, raised_on, **changed):
    """A ticket on which no outcome was written."""
    return heard(ticket, raised_on, **{"outcome": None, **changed})


def classes(tickets=(), repairs=(), **changed):
    """The class of each event, by its number."""
    return dict(rows(gathered(tickets, repairs, **changed).faults, "event_id", "class"))


# The cases the rules were tried on.


def test_a_clean_that_answers_a_ticket_already_no_fault_found_makes_no_fault():
    found = classes(
        [heard("T1", "2021-03-01", outcome="no fault found", closed_on="2021-03-05")],
        [work("R1", "2021-03-02"), work("R2", "2021-03-03", ticket="T1")],
    )

    assert found == {"T1": "no fault found"}


def test_a_finding_of_nothing_settles_a_report_unless_other_work_mended_it_or_it_is_said_to_be_open():
    nothing = {"finding": "could not reproduce"}
    found = classes(
        [asked(f"T{number}", f"2021-0{number}-01") for number in range(1, 8)]
        + [asked("T8", "2021-09-01", outcome="open")],
        [
            work("R10", "2021-09-02", "test", **nothing),
            work("R1", "2021-01-02", "test", **nothing),
            work("R2", "2021-02-02", "test", finding="patch lead"),
            work("R3", "2021-03-02", "test", **nothing),
            work("R4", "2021-03-05", "replace"),
            work("R5", "2021-04-02", "test", **nothing),
            work("R6", "2021-04-05", "test", finding="hums again"),
            work("R7", "2021-05-02", **nothing),
            work("R8", "2021-06-02", "test", finding="hum on pin 3"),
            work("R9", "2021-07-02", "swap module", **nothing),
        ],
    )

    assert found == {
        "T1": "no fault found",
        "T2": "not the desk",
        "T3": "fault",
        "T4": "open",
        "T5": "fault",
        "T6": "open",
        "T7": "no fault found",
        "T8": "open",
    }


def test_work_on_one_of_two_reports_of_a_slot_within_two_days_answers_both():
    said = [
        asked("T1", "2021-01-05", symptom="dull"),
        asked("T2", "2021-01-06", symptom="no top"),
        asked("T3", "2021-02-05", symptom="dull"),
        asked("T4", "2021-02-08", symptom="no top"),
        asked("T5", "2021-03-05", symptom="dull", outcome="open"),
        asked("T6", "2021-03-07", symptom="hums"),
        asked("T7", "2021-04-05", symptom="dull"),
        asked("T8", "2021-04-06", symptom="no top"),
        asked("T9", "2021-04-06", symptom="no top", position="2"),
    ]
    done = [work(f"R{month}", f"2021-{month:02}-08", "replace") for month in (1, 2, 3)]
    done.append(work("R0", "2020-02-01", "replace"))  # from then on what reports proved to be was kept
    found = classes(said, [*done, work("R4", "2021-04-08", "test", finding="nothing found")])

    assert found == {
        "repair R0": "fault",
        "T1": "fault",
        "T2": "report",
        "T3": "open",
        "T4": "fault",
        "T5": "open",
        "T6": "fault",
        "T7": "no fault found",
        "T8": "no fault found",
        "T9": "open",
    }


def test_two_symptoms_that_are_named_are_two_faults_that_one_piece_of_work_answers():
    opened = book(
        tickets=[
            asked("T1", "2021-01-05", symptom="crackles"),
            asked("T2", "2021-01-06", symptom="no sound"),
        ],
        repairs=[work("R0", "2020-02-01", "replace"), work("R1", "2021-01-08", "replace")],
    )
    sort_symptoms(opened, load_vocabulary())
    faults = gather_evidence(opened, record_end=RECORD_END).faults
    told = {"T1": "fault", "T2": "fault", "repair R0": "fault"}
    assert dict(rows(faults, "event_id", "class")) == told


def test_three_reports_over_a_year_with_no_outcome_closing_or_work_are_three():
    evidence = gathered([asked(f"T{month}", f"2021-{month:02}-01", symptom="EUDO") for month in (1, 6, 11)])

    assert evidence.faults["class"].tolist() == ["fault"] * 3
    assert evidence.tally["reports_counted_as_faults"] == 3


def test_crackle_again_a_week_after_the_pot_was_cleaned_on_a_ticket_nobody_closed_is_a_return():
    evidence = gathered(
        [asked("T1", "2021-03-01", symptom="crackle"), heard("T2", "2021-03-08", symptom="crackle")],
        [work("R1", "2021-03-01", ticket="T1")],
    )

    assert rows(evidence.faults, "event_id", "class", "return_of") == [
        ("T1", "fault", None),
        ("T2", "return", "R1"),
    ]


def test_another_switch_that_fails_a_week_later_is_fresh():
    evidence = gathered(
        [heard("T1", "2021-03-01"), heard("T2", "2021-03-08")],
        [
            replaced("R1", "2021-03-01", "switch", ref="S3", ticket="T1"),
            replaced("R2", "2021-03-08", "switch", ref="S14", ticket="T2"),
        ],
    )

    assert evidence.faults["class"].tolist() == ["fault", "fault"]
    assert evidence.tally["failures_strict"] == 2


def test_a_new_capacitor_that_fails_nineteen_days_after_the_re_cap_is_fresh_and_lived_nineteen_days():
    evidence = gathered(
        [heard("T1", "2021-03-20")],
        [
            {"repair": "R1", "done_on": "2021-03-01", "serial": "M1", "action": "re-cap", "planned": "yes"},
            replaced("R2", "2021-03-20", ticket="T1"),
        ],
    )

    spells = evidence.part_spells
    assert rows(spells[spells["event"]], "entry", "exit", "weight") == [(0, 19 * 24, 1)]
    assert evidence.faults["class"].tolist() == ["fault"]


def test_a_complaint_found_while_a_ticket_that_ended_as_no_fault_was_open_is_one_fault():
    found = classes(
        [
            heard("T1", "2021-03-01", symptom="hum", outcome="no fault found", closed_on="2021-03-20"),
            heard("T2", "2021-03-10", symptom="hum", closed_on="2021-03-11"),
        ],
        [replaced("R1", "2021-03-11")],
    )

    assert found == {"T1": "no fault found", "T2": "fault"}


def test_the_weekly_clean_is_care():
    found = classes(repairs=[work(f"R{day}", f"2021-03-{day:02}") for day in (1, 8, 15)])

    assert found == {}


def test_work_on_the_day_after_a_ticket_that_forgot_its_number_answers_it():
    found = classes([asked("T1", "2021-03-01")], [replaced("R1", "2021-03-02")])

    assert found == {"T1": "fault"}


@pytest.mark.parametrize(
    ("began_on", "events"), [("2021-03-04", ["T1"]), ("2021-03-06", ["T1", "repair R1"])]
)
def test_work_begun_before_its_ticket_was_closed_and_done_after_answers_it(began_on, events):
    found = classes(
        [heard("T1", "2021-03-01", closed_on="2021-03-05")], [replaced("R1", "2021-03-09", began_on=began_on)]
    )

    assert [*found] == events


@pytest.mark.parametrize(
    ("fitments", "events"),
    [
        ([], ["T1"]),
        (
            [
                {"serial": "M1", "desk": "Tern", "position": "1", "fitted_on": "2021-02-01"},
                {"serial": "M2", "desk": "Tern", "position": "2", "fitted_on": "2021-02-01"},
            ],
            ["T1", "repair R1"],
        ),
    ],
)
def test_work_on_the_module_that_came_out_of_a_slot_of_which_todays_alone_is_known_answers_it(
    fitments, events
):
    modules = [
        {"serial": serial, "family": "f", "module_type": "channel"} | (place if not fitments else {})
        for serial, place in (
            ("M1", {"desk": "Tern", "position": "1"}),
            ("M2", {"desk": "Tern", "position": "2"}),
        )
    ]
    found = classes(
        [heard("T1", "2021-03-01", closed_on="2021-03-05")],
        [replaced("R1", "2021-03-03", serial="M2", desk="Tern", position="1")],
        modules=modules,
        fitments=fitments,
    )

    assert [*found] == events


# Rule 1: an outcome written down wins; work decides where it is blank or open.


@pytest.mark.parametrize("outcome", [None, "open"])
@pytest.mark.parametrize(
    ("action", "cause", "shows"),
    [
        ("replace", "unknown", "fault"),
        ("replace", None, "fault"),
        ("clean", None, "fault"),
        ("adjust", None, "fault"),
        ("re-solder", "suspected", "fault"),
        ("scrap", None, "fault"),
        ("test", "confirmed", "open"),
        ("swap module", "confirmed", "open"),
    ],
)
def test_work_decides_where_no_outcome_is_written_whatever_its_cause(outcome, action, cause, shows):
    found = classes(
        [heard("T0", "2020-02-01"), heard("T1", "2021-03-01", outcome=outcome)],
        [work("R1", "2021-03-02", action, cause=cause, ticket="T1")],
    )

    assert found == {"T0": "fault", "T1": shows}


@pytest.mark.parametrize("outcome", ["no fault found", "not the desk"])
def test_an_outcome_written_down_wins_over_the_work(outcome):
    found = classes(
        [heard("T1", "2021-03-01", outcome=outcome, closed_on="2021-03-09")],
        [replaced("R1", "2021-03-02", ticket="T1"), replaced("R2", "2021-03-03")],
    )

    assert found == {"T1": outcome}


def test_planned_work_shows_no_fault():
    found = classes(
        [heard("T0", "2020-02-01"), heard("T1", "2021-03-01", outcome="open")],
        [replaced("R1", "2021-03-02", ticket="T1", planned="yes")],
    )

    assert found == {"T0": "fault", "T1": "open"}


@pytest.mark.parametrize(
    ("action", "found"),
    [
        ("replace", ["fault"]),
        ("re-solder", ["fault"]),
        ("bridge track", ["fault"]),
        ("adjust", ["fault"]),
        ("clean", []),
        ("test", []),
        ("swap module", []),
    ],
)
def test_work_that_answers_no_ticket_is_a_fault_but_for_care_and_looking(action, found):
    assert list(classes(repairs=[work("R1", "2021-03-02", action)]).values()) == found


def test_work_answers_a_ticket_that_may_be_a_fault_before_a_nearer_one_that_is_none():
    evidence = gathered(
        [
            heard("T1", "2021-03-01", closed_on="2021-03-20"),
            heard("T2", "2021-03-05", outcome="no fault found", closed_on="2021-03-20"),
        ],
        [replaced("R1", "2021-03-06")],
    )

    assert rows(evidence.work, "event_id") == [("T1",)]


def test_the_cause_rule_moves_lives_and_no_count_of_faults():
    tickets = [heard(f"T{month}", f"2021-{month:02}-01") for month in (1, 3, 5, 7)]
    repairs = [
        replaced(f"R{month}", f"2021-{month:02}-02", ticket=f"T{month}", cause=cause)
        for month, cause in ((1, "confirmed"), (3, "suspected"), (5, None), (7, "unknown"))
    ]
    read = [gathered(tickets, repairs, cause_rule=rule) for rule in ("strict", "usual", "loose")]

    assert [int(one.faults["counts"].sum()) for one in read] == [4, 4, 4]
    assert [int(one.part_spells["event"].sum()) for one in read] == [1, 3, 4]


def test_reports_count_as_faults_only_until_it_is_first_written_what_they_proved_to_be():
    found = classes(
        [
            asked("T1", "2020-05-01"),
            heard("T2", "2020-06-01", outcome="not the desk"),
            heard("T3", "2020-07-01", outcome="open"),
            heard("T4", "2021-01-01"),
            asked("T5", "2021-05-01"),
        ],
    )

    assert found == {"T1": "fault", "T2": "not the desk", "T3": "open", "T4": "fault", "T5": "open"}


def test_what_the_list_of_another_desk_tells_makes_no_report_of_this_desk_open():
    tern, plover = {"family": "f", "coupling": "dc", "records_from": "2020-01-01"}, {"desk": "Plover"}
    records = book(
        desks=[{"desk": "Tern"} | tern, plover | tern],
        tickets=[
            asked("T1", "2021-05-01"),
            heard("P1", "2021-01-01") | plover,
            asked("P2", "2021-06-01") | plover,
        ],
        repairs=[work("R1", "2021-02-01", serial=None, position="1", action="re-solder") | plover],
    )
    together = rows(gather_evidence(records, record_end=RECORD_END).faults, "event_id", "class")
    records.execute("update tickets set source_file = 'plover.csv' where desk = 'Plover'")
    apart = rows(gather_evidence(records, record_end=RECORD_END).faults, "event_id", "class")

    assert dict(together) == {"T1": "open", "P1": "fault", "P2": "open", "repair R1": "fault"}
    assert dict(apart) == dict(together) | {"T1": "fault"}


# Rule 4: reported again.


@pytest.mark.parametrize(
    ("ended", "work_on", "later"),
    [
        ({"closed_on": "2021-03-09"}, None, "fault"),
        ({"closed_on": "2021-03-10"}, None, "report"),
        ({"closed_on": "2021-03-20", "restored_on": "2021-03-09"}, None, "fault"),
        ({"closed_on": "2021-03-20"}, "2021-03-09", "fault"),
        ({"restored_on": "2021-03-10"}, "2021-03-12", "report"),
        ({}, "2021-03-10", "report"),
        ({}, None, "fault"),
    ],
)
def test_a_ticket_ends_at_the_first_of_its_closing_its_restoring_and_the_last_work_on_it(
    ended, work_on, later
):
    tickets = [
        heard("T1", "2021-03-01", symptom="hum left", **ended),
        heard("T2", "2021-03-10", symptom="Left, hum, HUM", closed_on="2021-03-11"),
    ]
    repairs = [work("R1", work_on, "test", ticket="T1")] if work_on else []

    assert classes(tickets, repairs)["T2"] == later


def test_an_open_report_takes_in_later_ones_and_the_first_stands_for_the_fault():
    evidence = gathered(
        [
            heard("T1", "2021-03-01", symptom="hum", outcome="open", closed_on="2021-03-20"),
            heard("T2", "2021-03-10", symptom="hum", closed_on="2021-03-25"),
        ],
        [replaced("R1", "2021-03-21", ticket="T2")],
    )

    assert rows(evidence.faults, "event_id", "class", "same_as", "part_type") == [
        ("T1", "fault", None, "cap"),
        ("T2", "report", "T1", None),
    ]


@pytest.mark.parametrize("words", [{}, {"symptom": "  "}, {"symptom": None}])
def test_reports_without_words_both_count(words):
    tickets = [heard(f"T{day}", f"2021-03-{day:02}", closed_on="2021-03-20", **words) for day in (1, 2)]

    assert list(classes(tickets).values()) == ["fault", "fault"]


def test_signs_without_a_word_stand_for_themselves():
    tickets = [
        heard(f"T{day}", f"2021-03-{day:02}", symptom=symptom, closed_on="2021-03-20")
        for day, symptom in enumerate(("?!", " ?! ", "!"), start=1)
    ]

    assert list(classes(tickets).values()) == ["fault", "report", "fault"]


def test_the_same_words_about_another_slot_are_another_fault():
    tickets = [
        heard(f"T{slot}", "2021-03-01", slot, symptom="hum", closed_on="2021-03-20") for slot in ("1", "2")
    ]

    assert list(classes(tickets).values()) == ["fault", "fault"]


# Rule 5: returns.


@pytest.mark.parametrize(
    ("first", "then", "said", "found"),
    [
        ({"ref": "C7"}, {"ref": "C7"}, ("hum", "crackle"), "return"),
        ({"ref": "C7"}, {"ref": "C8"}, ("hum", "hum"), "fault"),
        ({"ref": "C7"}, {}, ("hum", "crackle"), "return"),
        ({"ref": "C7"}, {"part_type": "switch"}, ("hum", "hum"), "fault"),
        ({}, {"part_type": None}, ("hum", "hum"), "return"),
        ({}, {"part_type": None}, ("hum", "crackle"), "fault"),
        ({}, {"part_type": None}, (None, None), "fault"),
    ],
)
def test_a_return_is_about_the_same_reference_else_part_type_else_complaint(first, then, said, found):
    tickets = [
        heard("T1", "2021-03-01", symptom=said[0], closed_on="2021-03-02"),
        heard("T2", "2021-03-20", symptom=said[1], closed_on="2021-03-21"),
    ]
    repairs = [
        replaced("R1", "2021-03-02", ticket="T1", **first),
        replaced("R2", "2021-03-21", ticket="T2", **then),
    ]

    assert classes(tickets, repairs) == {"T1": "fault", "T2": found}


@pytest.mark.parametrize(("planned", "found"), [("no", "return"), ("yes", "fault")])
def test_a_fault_after_planned_work_is_fresh(planned, found):
    repairs = [
        replaced("R1", "2021-03-02", planned=planned),
        replaced("R2", "2021-03-21", ticket="T2"),
    ]

    assert classes([heard("T2", "2021-03-20")], repairs)["T2"] == found


@pytest.mark.parametrize("action", ["test", "swap module"])
def test_looking_and_swapping_are_no_work_to_return_from(action):
    tickets = [
        heard("T1", "2021-03-01", symptom="hum", closed_on="2021-03-02"),
        heard("T2", "2021-03-20", symptom="hum"),
    ]

    assert classes(tickets, [work("R1", "2021-03-02", action, ticket="T1")]) == {"T1": "fault", "T2": "fault"}


def test_eighteen_unrelated_faults_within_thirty_days_of_each_other_are_eighteen():
    tickets = [heard(f"T{n:02}", f"2021-03-{n:02}", symptom=f"word{n}") for n in range(1, 19)]
    repairs = [replaced(f"R{n:02}", f"2021-03-{n:02}", ticket=f"T{n:02}", ref=f"C{n}") for n in range(1, 19)]
    evidence = gathered(tickets, repairs)

    assert int(evidence.faults["counts"].sum()) == 18
    assert evidence.tally["failures_strict"] == 18


def test_the_part_just_fitted_is_no_new_failure_on_a_return_and_another_part_is():
    evidence = gathered(
        [heard("T1", "2021-03-01"), heard("T2", "2021-03-20")],
        [
            replaced("R1", "2021-03-02", ref="C7", ticket="T1"),
            replaced("R2", "2021-03-21", ref="C7", ticket="T2"),
            replaced("R3", "2021-03-21", "switch", ref="S1", ticket="T2"),
        ],
    )

    spells = evidence.part_spells
    assert rows(evidence.faults, "class") == [("fault",), ("return",)]
    assert rows(spells[spells["event"]], "ref") == [("C7",), ("S1",)]
    assert rows(spells[spells["ref"] == "C7"], "fitted_on", "to_on", "counted_from") == [
        ("2019-01-01", "2021-03-01", "strict"),
        ("2021-03-02", "2021-03-20", "returned"),
        ("2021-03-21", "2023-01-01", None),
    ]


def test_no_fault_hangs_on_an_unrelated_one():
    related = [
        heard("T1", "2021-03-01", symptom="hum", closed_on="2021-03-05"),
        heard("T2", "2021-03-03", symptom="hum", closed_on="2021-03-05"),
        heard("T3", "2021-03-20", symptom="hum", closed_on="2021-03-21"),
    ]
    mended = [
        replaced("R1", "2021-03-05", ticket="T1", ref="C1"),
        replaced("R3", "2021-03-21", ticket="T3", ref="C1"),
    ]
    other = [heard("T9", "2021-03-04", symptom="crackle", closed_on="2021-03-06")]
    cured = [replaced("R9", "2021-03-06", "switch", ticket="T9", ref="S1")]
    alone, beside = classes(related, mended), classes(related + other, mended + cured)

    assert beside == {**alone, "T9": "fault"}
    assert alone == {"T1": "fault", "T2": "report", "T3": "return"}


# Lives end on the day of the report.


def test_a_life_ends_on_the_day_of_the_report_and_the_next_begins_with_the_work():
    evidence = gathered([heard("T1", "2021-03-01")], [replaced("R1", "2021-03-11", ref="C7", ticket="T1")])

    spells = evidence.part_spells
    assert rows(spells[spells["ref"] == "C7"], "from_on", "to_on", "event") == [
        ("2020-01-01", "2021-03-01", True),
        ("2021-03-11", "2023-01-01", False),
    ]


@pytest.mark.parametrize(
    ("ticket", "ended_on"),
    [
        ({"position": "2"}, "2021-03-11"),  # a ticket about another module's slot
        ({"raised_on": "2021-03-12"}, "2021-03-11"),  # work before its ticket
        ({"raised_on": "2021-02-01"}, "2021-03-11"),  # reported before the part was fitted
    ],
)
def test_a_life_ends_on_the_day_of_the_work_where_no_report_can_say_it(ticket, ended_on):
    evidence = gathered(
        [heard("T1", **{"raised_on": "2021-03-01", **ticket})],
        [
            replaced("R0", "2021-02-10", ref="C7", planned="yes"),
            replaced("R1", "2021-03-11", ref="C7", ticket="T1"),
        ],
    )

    spells = evidence.part_spells
    assert rows(spells[spells["event"]], "ref", "to_on") == [("C7", ended_on)]


# What is not known yet on the day of review.


def test_what_was_written_after_the_last_day_is_not_known_yet():
    found = classes(
        [
            heard("T0", "2020-02-01"),
            heard("T1", "2022-12-20", closed_on="2023-01-10"),
            heard("T2", "2022-12-20", outcome="no fault found", closed_on="2023-01-10"),
            heard("T3", "2022-12-21", closed_on="2022-12-31"),
        ],
        [replaced("R1", "2023-01-10", ticket="T1")],
    )

    assert found == {"T0": "fault", "T1": "open", "T2": "open", "T3": "fault"}


def test_no_fault_is_a_return_from_care():
    found = classes(
        [heard("T1", "2021-03-20")],
        [work("R1", "2021-03-15", part_type="switch"), replaced("R2", "2021-03-21", "switch", ticket="T1")],
    )

    assert found == {"T1": "fault"}
