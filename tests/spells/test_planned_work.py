"""Rules of meaning 2: re-caps, and what planned work finds."""

import pytest

from tests.spells.books import END, ENTRY, LEAP_YEAR, YEAR, caps, gathered, replaced, rows


def after(*repairs, **tables):
    return gathered(repairs=repairs, **tables)


def test_a_re_cap_renews_the_electrolytics_alone_and_is_no_failure():
    evidence = after(
        {"repair": "R1", "done_on": "2021-01-01", "serial": "M1", "action": "re-cap", "planned": "yes"}
    )

    assert rows(evidence.part_spells, "part_type", "rework_cycles", "entry", "exit", "event", "weight") == [
        ("cap", 0, ENTRY, YEAR + LEAP_YEAR, False, 40),
        ("cap", 1, 0, 2 * YEAR, False, 40),
        ("switch", 0, ENTRY, YEAR + LEAP_YEAR, False, 2),
        ("switch", 1, YEAR + LEAP_YEAR, END, False, 2),
    ]
    assert evidence.tally["planned_censored"] == 40


def test_a_re_cap_narrowed_to_a_part_leaves_the_other_electrolytics():
    evidence = after(
        {
            "repair": "R1",
            "done_on": "2021-01-01",
            "serial": "M1",
            "action": "re-cap",
            "planned": "yes",
            "part_type": "cap",
        },
        part_types=[
            {"part_type": "cap", "kind": "electrolytic"},
            {"part_type": "switch", "kind": "electrolytic"},
        ],
    )

    spells = evidence.part_spells
    assert rows(spells[spells["part_type"] == "switch"], "entry", "exit") == [
        (ENTRY, YEAR + LEAP_YEAR),
        (YEAR + LEAP_YEAR, END),
    ]
    assert caps(evidence, "entry", "exit") == [(ENTRY, YEAR + LEAP_YEAR), (0, 2 * YEAR)]


def test_planned_work_that_finds_a_part_out_of_limit_did_not_see_it_fail_that_day():
    evidence = after(
        replaced("R1", "2021-01-01", planned="yes", as_found="out of limit"),
        {"repair": "R2", "done_on": "2021-01-01", "serial": "M1", "action": "re-cap", "planned": "yes"},
    )

    assert caps(evidence, "entry", "exit", "exposure_hours", "event", "interval_censored", "weight") == [
        (0, YEAR + LEAP_YEAR, LEAP_YEAR, False, True, 1),
        (ENTRY, YEAR + LEAP_YEAR, LEAP_YEAR, False, False, 39),
        (0, 2 * YEAR, 2 * YEAR, False, False, 40),
    ]
    assert (
        evidence.tally["hidden_failures"],
        evidence.tally["failures_loose"],
        evidence.tally["unplaced_failures"],
    ) == (1, 0, 0)


@pytest.mark.parametrize(("value", "good"), [(80, True), (79, False)])
def test_a_hidden_failure_begins_where_the_part_was_last_measured_good(value, good):
    evidence = after(
        replaced("R1", "2022-01-01", ref="C7", planned="yes", as_found="failed"),
        readings=[
            {
                "serial": "M1",
                "part_type": "cap",
                "ref": "c7",
                "measured_on": "2021-01-01",
                "measure": "capacitance",
                "nominal": 200,
                "baseline": 100,
                "value": value,
                "unit": "uF",
            }
        ],
    )

    found = 2 * YEAR + LEAP_YEAR
    proven = [(ENTRY, YEAR + LEAP_YEAR, False), (YEAR + LEAP_YEAR, found, True), (0, YEAR, False)]
    unproven = [(0, found, True), (0, YEAR, False)]
    assert caps(evidence, "entry", "exit", "interval_censored")[: len(proven if good else unproven)] == (
        proven if good else unproven
    )


def test_work_that_found_the_part_in_limit_is_a_proof_too():
    evidence = after(
        {
            "repair": "R0",
            "done_on": "2021-01-01",
            "serial": "M1",
            "action": "test",
            "part_type": "cap",
            "ref": "C7",
            "as_found": "in limit",
        },
        replaced("R1", "2022-01-01", ref="C7", planned="yes", as_found="failed"),
    )

    assert caps(evidence, "entry", "exit", "interval_censored")[:2] == [
        (ENTRY, YEAR + LEAP_YEAR, False),
        (YEAR + LEAP_YEAR, 2 * YEAR + LEAP_YEAR, True),
    ]


@pytest.mark.parametrize("as_found", ["in limit", "not measured"])
def test_planned_work_that_finds_nothing_wrong_cuts_the_life_short(as_found):
    evidence = after(replaced("R1", "2021-01-01", planned="yes", as_found=as_found))

    assert caps(evidence, "exit", "event", "interval_censored", "counted_from", "weight")[0] == (
        YEAR + LEAP_YEAR,
        False,
        False,
        None,
        1,
    )
