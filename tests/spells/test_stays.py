"""Rules of meaning 3, 4, 8, 9: clocks, late entry, splits."""

from datetime import date

import pytest

from maintkit.spells import gather_evidence
from tests.spells.books import RECORD_END, YEAR, book, replaced, rows

WEEK = 168


def stays_of(connection, record_end=RECORD_END, **chosen):
    return gather_evidence(connection, record_end=record_end, **chosen).stays


def test_a_module_enters_at_its_age_on_the_day_the_records_begin_and_stays_to_the_end_of_the_last_day():
    stays = stays_of(book(), record_end=date(2020, 1, 10))

    assert rows(
        stays,
        "serial",
        "desk",
        "position",
        "from_on",
        "to_on",
        "entry",
        "exit",
        "exposure_hours",
        "age_known",
    ) == [("M1", "Tern", "1", "2020-01-01", "2020-01-11", YEAR, YEAR + 240, 240, True)]


def test_a_module_moved_between_desks_with_other_hours_ages_by_the_hours_of_each_and_not_in_the_store():
    connection = book(
        desks=[
            {
                "desk": "Tern",
                "family": "f",
                "coupling": "dc",
                "records_from": "2020-01-01",
                "powered_hours_per_week": 84,
            },
            {"desk": "Gull", "family": "f", "coupling": "capacitor", "records_from": "2020-01-01"},
        ],
        positions=[
            {"desk": "Tern", "position": "1", "zone": "edge"},
            {"desk": "Gull", "position": "7", "zone": "middle", "air_c": 50},
        ],
        modules=[{"serial": "M1", "family": "f", "module_type": "channel"}],
        fitments=[
            {
                "serial": "M1",
                "desk": "Tern",
                "position": "1",
                "fitted_on": "2020-01-01",
                "removed_on": "2020-01-15",
            },
            {
                "serial": "M1",
                "desk": "Gull",
                "position": "7",
                "fitted_on": "2020-02-01",
                "removed_on": "2020-02-08",
            },
        ],
    )

    stays = stays_of(connection)

    assert rows(stays, "desk", "position", "zone", "coupling", "from_on", "entry", "exit") == [
        ("Tern", "1", "edge", "dc", "2020-01-01", 0, 2 * 84),
        ("Gull", "7", "middle", "capacitor", "2020-02-01", 2 * 84, 2 * 84 + WEEK),
    ]
    assert stays["air_c"].tolist()[1] == 50


def test_a_stay_splits_where_the_hours_a_week_change_but_not_where_only_the_air_does():
    connection = book(
        power=[
            {"desk": "Tern", "from_on": "2020-01-08", "powered_hours_per_week": 84},
            {"desk": "Tern", "from_on": "2020-01-15", "inlet_c": 30},
        ]
    )

    assert rows(stays_of(connection, record_end=date(2020, 1, 21)), "from_on", "entry", "exit") == [
        ("2020-01-01", YEAR, YEAR + WEEK),
        ("2020-01-08", YEAR + WEEK, YEAR + WEEK + 2 * 84),
    ]


def test_a_stay_splits_at_a_re_cap_and_counts_the_cycles_before_that_day():
    connection = book(
        modules=[
            {
                "serial": "M1",
                "family": "f",
                "module_type": "channel",
                "made_on": "2019-01-01",
                "rework_cycles_before": 2,
            }
        ],
        repairs=[
            {"repair": "R1", "done_on": "2021-01-01", "serial": "M1", "action": "re-cap", "planned": "yes"},
            {"repair": "R0", "done_on": "2019-06-01", "serial": "M1", "action": "re-cap", "planned": "yes"},
        ],
    )

    assert rows(stays_of(connection), "from_on", "rework_cycles") == [("2020-01-01", 2), ("2021-01-01", 3)]


def test_hours_that_are_no_whole_number_a_day_are_rounded_once_a_stretch():
    connection = book(
        desks=[
            {
                "desk": "Tern",
                "family": "f",
                "coupling": "dc",
                "records_from": "2020-01-01",
                "powered_hours_per_week": 50,
            }
        ],
        modules=[{"serial": "M1", "family": "f", "module_type": "channel"}],
        fitments=[{"serial": "M1", "desk": "Tern", "position": "1", "fitted_on": "2020-01-01"}],
    )

    # 10 days at 50 h a week are 71.43 h
    assert rows(stays_of(connection, record_end=date(2020, 1, 10)), "entry", "exit") == [(0, 71)]


@pytest.mark.parametrize(
    ("clock", "entry", "exit"), [("powered", 84, 168), ("use", 252, 504), ("calendar", 504, 672)]
)
def test_the_clock_is_chosen_by_name(clock, entry, exit):
    connection = book(
        desks=[
            {
                "desk": "Tern",
                "family": "f",
                "coupling": "dc",
                "records_from": "2020-01-22",
                "powered_hours_per_week": 84,
            }
        ],
        positions=[{"desk": "Tern", "position": "1", "use_weight": 3}],
        modules=[{"serial": "M1", "family": "f", "module_type": "channel"}],
        fitments=[
            {
                "serial": "M1",
                "desk": "Tern",
                "position": "1",
                "fitted_on": "2020-01-01",
                "removed_on": "2020-01-08",
            },
            {
                "serial": "M1",
                "desk": "Tern",
                "position": "1",
                "fitted_on": "2020-01-22",
                "removed_on": "2020-01-29",
            },
        ],
    )

    assert rows(stays_of(connection, clock=clock), "entry", "exit") == [(entry, exit)]


@pytest.mark.parametrize(
    ("origin", "made_on", "entry", "known"),
    [
        (None, "2016-01-01", (1096 + 365) * 24, True),  # an original ran in its desk since it was made
        ("original", "2018-06-01", YEAR, True),  # made within a year of its fitting: new when it was fitted
        ("bought", "2010-01-01", YEAR, True),  # it lay on a shelf before
        ("donor", "2010-01-01", YEAR, False),  # it ran elsewhere, nobody knows how long
        ("donor", None, YEAR, False),
        (None, None, YEAR, True),
    ],
)
def test_where_a_modules_clock_begins(origin, made_on, entry, known):
    connection = book(
        modules=[
            {"serial": "M1", "family": "f", "module_type": "channel", "origin": origin, "made_on": made_on}
        ]
    )

    assert rows(stays_of(connection), "entry", "age_known") == [(entry, known)]


def test_a_desk_that_is_retired_ends_the_stay_and_the_roster_says_where_the_module_was_left():
    connection = book(
        desks=[
            {
                "desk": "Tern",
                "family": "f",
                "coupling": "dc",
                "records_from": "2020-01-01",
                "retired_on": "2020-01-06",
            }
        ]
    )

    evidence = gather_evidence(connection, record_end=RECORD_END)

    assert rows(evidence.stays, "to_on", "exposure_hours") == [("2020-01-06", 120)]
    assert rows(evidence.roster, "desk", "position", "retired_desk") == [("Tern", "1", True)]


def test_a_scrapped_module_leaves_the_records_that_day():
    connection = book(repairs=[{"repair": "R1", "done_on": "2020-01-06", "serial": "M1", "action": "scrap"}])

    evidence = gather_evidence(connection, record_end=RECORD_END)

    assert rows(evidence.stays, "to_on", "exposure_hours") == [("2020-01-06", 120)]
    assert rows(evidence.part_spells, "part_type", "ended_on", "exposure_hours", "event", "still_fitted") == [
        ("cap", "2020-01-06", 120, False, False),
        ("switch", "2020-01-06", 120, False, False),
    ]
    assert rows(evidence.roster, "desk", "scrapped_on") == [(None, "2020-01-06")]


def test_a_later_fitting_ends_an_earlier_one_nobody_closed():
    connection = book(
        fitments=[
            {"serial": "M1", "desk": "Tern", "position": "1", "fitted_on": "2019-01-01"},
            {"serial": "M1", "desk": "Tern", "position": "2", "fitted_on": "2020-01-06"},
        ]
    )

    evidence = gather_evidence(connection, record_end=date(2020, 1, 10))

    assert rows(evidence.stays, "position", "exposure_hours") == [("1", 120), ("2", 120)]
    assert evidence.tally["sittings_overlapped"] == 1


def test_what_lies_after_the_last_day_is_left_out():
    connection = book(
        fitments=[
            {
                "serial": "M1",
                "desk": "Tern",
                "position": "1",
                "fitted_on": "2019-01-01",
                "removed_on": "2020-06-01",
            },
            {"serial": "M1", "desk": "Tern", "position": "2", "fitted_on": "2020-06-01"},
        ]
    )

    evidence = gather_evidence(connection, record_end=date(2020, 1, 10))

    assert rows(evidence.stays, "position", "to_on") == [("1", "2020-01-11")]
    assert rows(evidence.roster, "position") == [("1",)]


def test_a_module_never_fitted_is_on_the_roster_and_at_no_risk():
    connection = book(
        modules=[{"serial": serial, "family": "f", "module_type": "channel"} for serial in ("M1", "S1")]
    )

    evidence = gather_evidence(connection, record_end=RECORD_END)

    assert rows(evidence.roster, "serial", "desk") == [("M1", "Tern"), ("S1", None)]
    assert set(evidence.stays["serial"]) == {"M1"}


@pytest.mark.parametrize(
    ("fitments", "repairs"),
    [
        # M2 came out of slot 2 on the day the records begin, and went back a week later
        (
            [
                {"serial": "M1", "fitted_on": "2020-01-01", "old_serial": "M2"},
                {"serial": "M2", "fitted_on": "2020-01-08", "old_serial": "M1"},
            ],
            [],
        ),
        # it failed before it was first put in
        ([{"serial": "M2", "fitted_on": "2020-06-01"}], [replaced("R1", "2020-05-30", serial="M2")]),
    ],
)
def test_a_module_seen_before_its_first_fitting_is_not_new_that_day(fitments, repairs):
    place = {"desk": "Tern", "position": "2"}
    modules = [{"serial": one, "family": "f", "module_type": "channel"} for one in ("M1", "M2")]
    given = {"modules": modules, "fitments": [row | place for row in fitments]}
    stays = stays_of(book(repairs=repairs, **given))
    assert not stays.loc[stays["serial"] == "M2", "age_known"].any()
    stays = stays_of(book(modules=modules, fitments=[{"serial": "M2", "fitted_on": "2020-06-01"} | place]))
    assert stays.loc[stays["serial"] == "M2", "age_known"].all()
