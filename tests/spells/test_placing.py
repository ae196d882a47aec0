"""Rules of meaning 5, 8, 9: whose ticket and whose work it was, and the labels of the day."""

import pytest

from tests.spells.books import YEAR, gathered, heard, replaced, rows

TWO_MODULES = {
    "modules": [
        {"serial": "M1", "family": "f", "module_type": "channel"},
        {"serial": "P1", "family": "f", "module_type": "monitor"},
    ],
    "fitments": [
        {"serial": serial, "desk": "Tern", "position": "1", "fitted_on": "2019-01-01"}
        for serial in ("M1", "P1")
    ],
    "parts_list": [
        {"family": "f", "module_type": "channel", "part_type": "cap", "quantity": 40},
        {"family": "f", "module_type": "monitor", "part_type": "switch", "quantity": 2},
    ],
}
SWAPPED = {
    "modules": [{"serial": serial, "family": "f", "module_type": "channel"} for serial in ("M1", "M2", "M3")],
    "fitments": [
        {
            "serial": "M1",
            "desk": "Tern",
            "position": "1",
            "fitted_on": "2019-01-01",
            "removed_on": "2021-01-01",
        },
        {"serial": "M2", "desk": "Tern", "position": "1", "fitted_on": "2021-01-01"},
        {
            "serial": "M1",
            "desk": "Tern",
            "position": "2",
            "fitted_on": "2021-06-01",
            "removed_on": "2022-01-01",
        },
        {"serial": "M1", "desk": "Tern", "position": "3", "fitted_on": "2022-01-01"},
    ],
}


def test_a_ticket_belongs_to_the_module_that_sat_in_the_slot_that_morning():
    evidence = gathered(
        [
            heard("T1", "2020-12-31"),
            heard("T2", "2021-01-01"),
            heard("T3", "2021-01-02"),
            heard("T4", "2021-03-01", "2"),
        ],
        **SWAPPED,
    )

    assert rows(evidence.faults, "event_id", "serial", "position") == [
        ("T1", "M1", "1"),
        ("T2", "M1", "1"),
        ("T3", "M2", "1"),
        ("T4", None, "2"),
    ]


def test_the_module_type_picks_where_two_modules_share_a_slot_and_else_the_ticket_stays_with_the_slot():
    evidence = gathered(
        [
            heard("T1", "2021-01-01", module_type="monitor"),
            heard("T2", "2021-02-01"),
            heard("T3", "2021-03-01"),
        ],
        [replaced("R1", "2021-03-02", ticket="T3")],
        **TWO_MODULES,
    )

    assert rows(evidence.faults, "event_id", "serial", "module_type", "desk", "position") == [
        ("T1", "P1", "monitor", "Tern", "1"),
        ("T2", None, None, "Tern", "1"),
        ("T3", "M1", "channel", "Tern", "1"),
    ]
    assert evidence.tally["events_without_module"] == 1


def test_work_without_a_serial_is_its_tickets_modules_or_that_of_the_slot_or_of_the_parts_list():
    evidence = gathered(
        [heard("T1", "2021-01-01", module_type="monitor")],
        [
            replaced("R1", "2021-01-02", "switch", serial=None, desk="Tern", position="1", ticket="T1"),
            replaced("R2", "2021-02-01", "switch", serial=None, desk="Tern", position="1"),
            replaced("R3", "2021-03-01", None, serial=None, desk="Tern", position="1"),
            replaced("R4", "2021-04-01", "switch", serial=None, desk="Tern", position="2"),
        ],
        **TWO_MODULES,
    )

    assert rows(evidence.work, "repair", "serial") == [("R1", "P1"), ("R2", "P1")]
    assert evidence.tally["work_without_serial"] == 2
    assert rows(evidence.faults, "event_id", "serial", "position") == [
        ("T1", "P1", "1"),
        ("repair R2", "P1", "1"),
        ("repair R3", None, "1"),
        ("repair R4", None, "2"),
    ]


@pytest.mark.parametrize(
    ("done_on", "closed_on", "event"),
    [
        ("2021-01-10", "2021-01-10", "T1"),
        ("2021-01-11", "2021-01-10", "repair R1"),
        ("2021-01-31", None, "T1"),
        ("2021-02-01", None, "repair R1"),
        ("2020-12-31", "2021-01-10", "repair R1"),
    ],
)
def test_work_without_a_ticket_number_is_matched_by_module_and_date(done_on, closed_on, event):
    evidence = gathered([heard("T1", "2021-01-01", closed_on=closed_on)], [replaced("R1", done_on)])

    assert rows(evidence.work, "event_id") == [(event,)]
    assert evidence.tally["linked_by_date"] == (event == "T1")


def test_a_ticket_number_wins_over_a_nearer_date_and_the_nearest_earlier_ticket_over_others():
    evidence = gathered(
        [
            heard("T1", "2021-01-01"),
            heard("T2", "2021-01-05"),
            heard("T3", "2021-01-06", outcome="no fault found"),
        ],
        [replaced("R1", "2021-01-10", ticket="T1"), replaced("R2", "2021-01-10")],
    )

    assert rows(evidence.work, "repair", "event_id") == [("R1", "T1"), ("R2", "T2")]
    assert (evidence.tally["linked_by_ticket"], evidence.tally["linked_by_date"]) == (1, 1)


def test_labels_and_clock_of_a_fault_are_those_of_the_day():
    evidence = gathered(
        [heard("T1", "2020-06-01"), heard("T2", "2021-06-15", "2")],
        [{"repair": "R1", "done_on": "2021-03-01", "serial": "M1", "action": "re-cap", "planned": "yes"}],
        positions=[
            {"desk": "Tern", "position": "1", "zone": "edge"},
            {"desk": "Tern", "position": "2", "zone": "middle"},
        ],
        **SWAPPED,
    )

    in_service = (366 + 365) * 24
    assert rows(evidence.faults, "serial", "zone", "rework_cycles", "time") == [
        ("M1", "edge", 0, YEAR + 152 * 24),
        ("M1", "middle", 1, in_service + 14 * 24),
    ]


def test_a_fault_on_the_first_day_stands_at_the_end_of_that_day():
    evidence = gathered([heard("T1", "2020-01-01")])

    assert evidence.faults["time"].tolist() == [YEAR + 24]
    assert evidence.stays["entry"].tolist() == [YEAR]


def test_bench_minutes_of_a_fault_are_those_of_all_its_work():
    evidence = gathered(
        [heard("T1", "2021-01-01", minutes_lost=12, impact="nuisance")],
        [
            {
                "repair": "R1",
                "done_on": "2021-01-01",
                "serial": "M1",
                "action": "test",
                "ticket": "T1",
                "bench_minutes": 15,
            },
            replaced("R2", "2021-01-02", ticket="T1", bench_minutes=30),
        ],
    )

    assert rows(evidence.faults, "bench_minutes", "action", "minutes_lost", "impact") == [
        (45, "replace", 12, "nuisance")
    ]


def test_bridged_tracks_stay_with_the_board_wherever_it_moves():
    evidence = gathered(
        [],
        [
            {"repair": repair, "done_on": done_on, "serial": "M1", "action": "bridge track"}
            for repair, done_on in (("R1", "2019-05-01"), ("R2", "2021-07-01"))
        ],
        **SWAPPED,
    )

    assert rows(evidence.roster, "serial", "position", "bridged_tracks") == [
        ("M1", "3", 2),
        ("M2", "1", 0),
        ("M3", None, 0),
    ]


def test_the_rework_before_a_piece_of_work_is_on_its_row():
    re_caps = [
        {"repair": repair, "done_on": done_on, "serial": "M1", "action": "re-cap", "planned": "yes"}
        for repair, done_on in (("R1", "2020-05-01"), ("R2", "2021-05-01"))
    ]

    assert rows(gathered([], re_caps).work, "repair", "rework_cycles", "planned", "position") == [
        ("R1", 0, True, "1"),
        ("R2", 1, True, "1"),
    ]


def test_work_on_the_day_of_a_move_belongs_to_the_slot_of_that_morning():
    moved = [
        {
            "serial": "M1",
            "desk": "Tern",
            "position": "1",
            "fitted_on": "2019-01-01",
            "removed_on": "2021-06-01",
        },
        {"serial": "M1", "desk": "Tern", "position": "2", "fitted_on": "2021-06-01"},
    ]

    evidence = gathered([], [replaced("R1", "2021-06-01"), replaced("R2", "2021-06-02")], fitments=moved)

    assert rows(evidence.work, "repair", "position") == [("R1", "1"), ("R2", "2")]


def test_work_on_the_day_a_module_was_first_fitted_belongs_to_its_first_slot():
    evidence = gathered(
        repairs=[replaced(f"R{day}", f"2020-06-{day}", serial="M9") for day in ("14", "15", "16")],
        modules=[{"serial": "M9", "family": "f", "module_type": "channel"}],
        fitments=[{"serial": "M9", "desk": "Tern", "position": "2", "fitted_on": "2020-06-15"}],
    )

    assert rows(evidence.work, "repair", "position") == [("R14", None), ("R15", "2"), ("R16", "2")]


def test_a_fault_on_the_day_of_a_re_cap_has_the_cycles_of_that_morning():
    evidence = gathered(
        [heard("T1", "2021-06-14"), heard("T2", "2021-06-15"), heard("T3", "2021-06-16")],
        [{"repair": "R1", "done_on": "2021-06-15", "serial": "M1", "action": "re-cap"}],
    )

    assert rows(evidence.faults, "event_id", "rework_cycles") == [("T1", 0), ("T2", 0), ("T3", 1)]


def test_of_two_tickets_of_one_day_the_lower_number_claims_the_work():
    evidence = gathered(
        [heard("T2", "2021-01-01"), heard("T1", "2021-01-01")], [replaced("R1", "2021-01-02")]
    )

    assert rows(evidence.work, "event_id") == [("T1",)]


def test_work_that_names_module_and_slot_is_of_that_slot_though_the_last_known_stay_is_elsewhere():
    work = [
        replaced("R1", "2022-06-01", serial="M1", desk="Tern", position="5"),
        replaced("R2", "2022-09-01", serial="M1"),
    ]
    evidence = gathered(repairs=work, **SWAPPED)
    assert rows(evidence.faults, "serial", "position") == [("M1", "5"), ("M1", "3")]


def test_a_ticket_without_a_slot_is_of_the_one_that_all_its_work_names():
    tickets = [heard(f"T{at}", "2022-06-01", None, symptom=str(at)) for at in range(1, 6)]
    evidence = gathered(
        tickets,
        [
            replaced("R1", "2022-06-03", ticket="T1", serial=None, desk="Tern", position="5"),
            replaced("R2", "2022-06-03", ticket="T2", serial="M1"),
            replaced("R3", "2022-06-03", ticket="T3", serial="M1"),
            replaced("R4", "2022-06-04", ticket="T3", serial=None, desk="Tern", position="5"),
            replaced("R5", "2022-06-03", ticket="T4", serial="M9"),
            replaced("R6", "2022-06-03", ticket="T5", serial=None, desk="Tern", position="6"),
            replaced("R7", "2022-06-04", ticket="T5", serial=None, desk="Tern"),
        ],
        modules=[*SWAPPED["modules"], {"serial": "M9", "family": "f", "module_type": "channel"}],
        fitments=SWAPPED["fitments"],
    )

    assert rows(evidence.faults, "event_id", "serial", "position") == [
        ("T1", None, "5"),
        ("T2", "M1", "3"),
        ("T3", None, None),
        ("T4", None, None),
        ("T5", None, "6"),
    ]
