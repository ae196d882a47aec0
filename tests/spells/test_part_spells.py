"""Rules of meaning 1, 2, 3, 7, 13: how a part's life begins and ends."""

from datetime import date

import pytest

from maintkit.spells import gather_evidence
from tests.spells.books import (
    END,
    ENTRY,
    LEAP_YEAR,
    RECORD_END,
    YEAR,
    book,
    caps,
    gathered,
    heard,
    replaced,
    rows,
)

ONE_FADER = {
    "part_types": [
        {"part_type": "cap", "kind": "electrolytic"},
        {"part_type": "fader", "kind": "fader"},
    ],
    "parts_list": [
        {"family": "f", "module_type": "channel", "part_type": "cap", "quantity": 40},
        {"family": "f", "module_type": "channel", "part_type": "fader", "quantity": 1},
    ],
}


def after(*repairs, **tables):
    return gathered(repairs=repairs, **tables)


def test_a_healthy_cohort_is_one_row_a_stay():
    evidence = after()

    assert rows(
        evidence.part_spells,
        "part_type",
        "kind",
        "entry",
        "exit",
        "event",
        "weight",
        "age_known",
        "still_fitted",
    ) == [
        ("cap", "electrolytic", ENTRY, END, False, 40, True, True),
        ("switch", "switch", ENTRY, END, False, 2, True, True),
    ]


def test_three_failures_among_forty_are_three_events_of_the_oldest_and_three_new_parts():
    evidence = after(replaced("R1", "2021-01-01", quantity=3))

    failed = YEAR + LEAP_YEAR
    assert caps(evidence, "entry", "exit", "event", "weight", "counted_from", "ended_on", "still_fitted") == [
        (ENTRY, failed, True, 3, "strict", "2021-01-01", False),
        (ENTRY, END, False, 37, None, None, True),
        (0, END - failed, False, 3, None, None, True),
    ]


def test_a_part_replaced_twice_is_taken_from_the_oldest_each_time():
    evidence = after(
        replaced("R1", "2021-01-01", "switch"),
        replaced("R2", "2022-01-01", "switch"),
        replaced("R3", "2022-07-01", "switch"),
    )

    switches = evidence.part_spells[evidence.part_spells["part_type"] == "switch"]
    half_year = 181 * 24
    assert rows(switches, "fitted_on", "entry", "exit", "event") == [
        ("2019-01-01", ENTRY, YEAR + LEAP_YEAR, True),
        ("2019-01-01", ENTRY, 2 * YEAR + LEAP_YEAR, True),
        ("2021-01-01", 0, YEAR + half_year, True),
        ("2022-01-01", 0, YEAR, False),
        ("2022-07-01", 0, YEAR - half_year, False),
    ]


def test_parts_with_a_designator_have_seats_of_their_own():
    evidence = after(
        replaced("R1", "2021-01-01", ref=" c7"),
        replaced("R2", "2022-01-01", ref="C7"),
        replaced("R3", "2022-01-01"),
    )

    assert caps(evidence, "ref", "weight", "entry", "exit", "event") == [
        ("C7", 1, ENTRY, YEAR + LEAP_YEAR, True),
        ("C7", 1, 0, YEAR, True),
        ("C7", 1, 0, YEAR, False),
        (None, 1, ENTRY, 2 * YEAR + LEAP_YEAR, True),
        (None, 38, ENTRY, END, False),
        (None, 1, 0, YEAR, False),
    ]


def test_as_many_as_the_module_holds_replaced_without_a_designator_are_those_with_one_too():
    evidence = after(
        replaced("R1", "2021-01-01", quantity=40, planned="yes", as_found="not measured"),
        replaced("R2", "2022-01-01", ref="C7"),
    )

    assert caps(evidence, "ref", "weight", "entry", "exit", "event") == [
        ("C7", 1, ENTRY, YEAR + LEAP_YEAR, False),
        ("C7", 1, 0, YEAR, True),
        ("C7", 1, 0, YEAR, False),
        (None, 39, ENTRY, YEAR + LEAP_YEAR, False),
        (None, 39, 0, 2 * YEAR, False),
    ]


@pytest.mark.parametrize(("rule", "events"), [("strict", 1), ("usual", 2), ("loose", 3)])
def test_each_rule_counts_what_the_stricter_one_counts_and_more(rule, events):
    evidence = after(
        replaced("R1", "2021-01-01"),
        replaced("R2", "2021-03-01", cause="suspected"),
        replaced("R3", "2021-05-01", cause="unknown"),
        cause_rule=rule,
    )

    assert evidence.part_spells["event"].sum() == events
    assert caps(evidence, "counted_from")[:3] == [("strict",), ("usual",), ("loose",)]
    assert [evidence.tally[f"failures_{name}"] for name in ("strict", "usual", "loose")] == [1, 2, 3]


def test_a_part_fitted_at_a_replacement_before_the_records_enters_at_its_age():
    evidence = after(replaced("R1", "2019-07-01", "switch", quantity=2))

    spells = evidence.part_spells
    fitted_before = 184 * 24
    assert rows(spells[spells["part_type"] == "switch"], "fitted_on", "entry", "exit", "event", "weight") == [
        ("2019-07-01", fitted_before, fitted_before + LEAP_YEAR + 2 * YEAR, False, 2)
    ]
    assert evidence.tally["failures_loose"] == 0


def test_electrolytics_of_a_board_re_capped_on_an_unknown_day_have_no_age_until_a_dated_renewal():
    evidence = after(
        {"repair": "R1", "done_on": "2021-01-01", "serial": "M1", "action": "re-cap", "planned": "yes"},
        modules=[
            {
                "serial": "M1",
                "family": "f",
                "module_type": "channel",
                "made_on": "2019-01-01",
                "rework_cycles_before": 1,
            }
        ],
    )

    assert rows(evidence.part_spells, "part_type", "fitted_on", "exposure_hours", "age_known") == [
        ("cap", None, LEAP_YEAR, False),
        ("cap", "2021-01-01", 2 * YEAR, True),
        ("switch", "2019-01-01", LEAP_YEAR, True),
        ("switch", "2019-01-01", 2 * YEAR, True),
    ]
    assert evidence.tally["parts_age_unknown"] == 40


def test_a_part_of_a_donor_module_has_no_age_until_it_is_replaced():
    evidence = after(
        replaced("R1", "2021-01-01", "switch", quantity=2),
        modules=[{"serial": "M1", "family": "f", "module_type": "channel", "origin": "donor"}],
    )

    spells = evidence.part_spells
    assert rows(spells[spells["part_type"] == "switch"], "fitted_on", "entry", "exit", "age_known") == [
        (None, ENTRY, YEAR + LEAP_YEAR, False),
        ("2021-01-01", 0, 2 * YEAR, True),
    ]


def test_work_on_the_bench_ends_the_life_where_the_module_last_sat():
    evidence = after(
        replaced("R1", "2021-03-01", "switch"),
        fitments=[
            {
                "serial": "M1",
                "desk": "Tern",
                "position": "1",
                "fitted_on": "2019-01-01",
                "removed_on": "2021-01-01",
            },
            {"serial": "M1", "desk": "Tern", "position": "2", "fitted_on": "2022-01-01"},
        ],
    )

    spells = evidence.part_spells
    assert rows(spells[spells["part_type"] == "switch"], "position", "entry", "exit", "event") == [
        ("1", ENTRY, YEAR + LEAP_YEAR, True),
        ("1", ENTRY, YEAR + LEAP_YEAR, False),
        ("2", YEAR + LEAP_YEAR, 2 * YEAR + LEAP_YEAR, False),
        ("2", 0, YEAR, False),
    ]


def test_a_failure_that_takes_no_time_is_counted_as_unplaced():
    evidence = after(
        replaced("R1", "2021-01-01", "switch", quantity=2), replaced("R2", "2021-01-01", "switch", quantity=2)
    )

    assert evidence.part_spells["event"].sum() == 1
    assert (evidence.tally["failures_strict"], evidence.tally["unplaced_failures"]) == (2, 2)


def test_more_failures_than_parts_are_counted_as_unplaced():
    evidence = after(replaced("R1", "2021-01-01", "switch", quantity=5))

    assert (evidence.tally["failures_strict"], evidence.tally["unplaced_failures"]) == (2, 3)


def test_the_row_for_the_board_era_wins_over_the_row_for_every_era():
    evidence = after(
        modules=[
            {
                "serial": "M1",
                "family": "f",
                "module_type": "channel",
                "board_era": "1989",
                "made_on": "2019-01-01",
            }
        ],
        parts_list=[
            {"family": "f", "module_type": "channel", "part_type": "cap", "quantity": 40},
            {
                "family": "f",
                "module_type": "channel",
                "board_era": "1989",
                "part_type": "cap",
                "quantity": 30,
            },
            {
                "family": "f",
                "module_type": "channel",
                "board_era": "1986",
                "part_type": "cap",
                "quantity": 20,
            },
            {
                "family": "f",
                "module_type": "channel",
                "board_era": "1986",
                "part_type": "switch",
                "quantity": 2,
            },
        ],
    )

    assert rows(evidence.part_spells, "part_type", "weight") == [("cap", 30)]


def test_a_part_out_of_a_donor_has_no_age():
    evidence = after(replaced("R1", "2021-01-01", "switch", quantity=2, donor_serial="old"))

    assert rows(evidence.part_spells, "part_type", "age_known", "event")[1:] == [
        ("switch", True, True),
        ("switch", False, False),
    ]


def test_exposure_of_the_parts_is_quantity_times_exposure_of_the_module():
    evidence = after(
        replaced("R1", "2020-05-05", quantity=7),
        replaced("R2", "2021-05-05", ref="C7"),
        replaced("R3", "2021-06-06", planned="yes", as_found="failed", quantity=4),
        {"repair": "R4", "done_on": "2022-02-02", "serial": "M1", "action": "re-cap", "planned": "yes"},
        power=[{"desk": "Tern", "from_on": "2020-12-01", "powered_hours_per_week": 61}],
    )

    spells = evidence.part_spells
    watched = (spells["exposure_hours"] * spells["weight"]).groupby(spells["part_type"]).sum()
    module_hours = evidence.stays["exposure_hours"].sum()
    assert watched.to_dict() == {"cap": 40 * module_hours, "switch": 2 * module_hours}
    assert evidence.tally["module_hours"] == module_hours


def test_records_that_start_late_leave_the_earlier_failures_out():
    evidence = after(
        replaced("R1", "2019-06-01"),
        replaced("R2", "2020-01-01"),
        replaced("R3", "2020-02-02"),
        replaced("R4", date(2023, 1, 1)),
    )

    # R1 lies before the records, R2 on their first day takes no time, R4 lies after them
    assert evidence.tally["failures_strict"] == 1
    assert evidence.tally["unplaced_failures"] == 1
    assert evidence.tally["repairs_before_records"] == 1


def test_on_the_calendar_a_failure_found_on_the_bench_stands_where_the_module_came_out():
    connection = book(
        repairs=[replaced("R1", "2021-03-01", "switch", quantity=2)],
        fitments=[
            {
                "serial": "M1",
                "desk": "Tern",
                "position": "1",
                "fitted_on": "2019-01-01",
                "removed_on": "2021-01-01",
            },
            {"serial": "M1", "desk": "Tern", "position": "2", "fitted_on": "2022-01-01"},
        ],
    )

    spells = gather_evidence(connection, record_end=RECORD_END, clock="calendar").part_spells

    # the new switches lie in the store from 2021-03-01 to 2022-01-01, 306 days, and age there
    assert rows(spells[spells["part_type"] == "switch"], "position", "entry", "exit", "event") == [
        ("1", ENTRY, YEAR + LEAP_YEAR, True),
        ("2", 306 * 24, 306 * 24 + YEAR, False),
    ]


def test_a_part_of_a_kind_not_on_record_is_no_electrolytic_so_a_re_cap_nobody_dated_leaves_it_its_age():
    module = {
        "serial": "M1",
        "family": "f",
        "module_type": "channel",
        "made_on": "2019-01-01",
        "rework_cycles_before": 1,
    }
    evidence = after(modules=[module], part_types=[])

    assert rows(evidence.part_spells, "part_type", "kind", "entry", "age_known") == [
        ("cap", None, ENTRY, True),
        ("switch", None, ENTRY, True),
    ]


@pytest.mark.parametrize(
    ("second", "failures"),
    [
        ({"ref": "C7", "ticket": "T1"}, 1),
        ({"ref": "C8", "ticket": "T1"}, 2),
        ({"ref": None, "ticket": "T1"}, 2),
        ({"ref": "C7", "ticket": "T1", "done_on": "2021-04-20"}, 2),
        ({"ref": None, "ticket": "T1", "part_type": "fader"}, 2),
    ],
    ids=["the same place", "another place", "no place told", "months later", "another part"],
)
def test_a_place_refitted_for_the_same_fault_ends_one_life(second, failures):
    evidence = after(
        replaced("R1", "2021-01-10", ref="C7", ticket="T1"),
        replaced("R2", "2021-01-11") | second,
        tickets=[heard("T1", "2021-01-09", symptom="hum")],
        **ONE_FADER,
    )

    assert evidence.tally["failures_usual"] == failures
    assert evidence.tally["unplaced_failures"] == 0


def test_the_only_one_of_its_kind_refitted_for_the_same_fault_ends_one_life():
    evidence = after(
        replaced("R1", "2021-01-10", "fader", ticket="T1"),
        replaced("R2", "2021-01-12", "fader", ticket="T1"),
        tickets=[heard("T1", "2021-01-09")],
        **ONE_FADER,
    )

    spells = evidence.part_spells[evidence.part_spells["part_type"] == "fader"]
    assert rows(spells, "fitted_on", "ended_on", "event", "counted_from") == [
        ("2019-01-01", "2021-01-09", True, "strict"),
        ("2021-01-10", "2021-01-12", False, "returned"),
        ("2021-01-12", None, False, None),
    ]
