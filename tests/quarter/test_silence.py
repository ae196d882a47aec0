"""Quarters of which nobody wrote anything down: no quarter without faults, and none to compare with."""

from datetime import date, timedelta

import pytest

from maintkit import forecast_and_fact, open_quarter, what_happened
from maintkit.quarter.silence import silent_quarters
from maintkit.records.store import Records

DESK = {"desk": "Tern", "family": "f", "coupling": "dc", "records_from": "2020-01-01"}
SLOTS = [{"desk": "Tern", "position": str(slot)} for slot in range(10)]


def tickets(without):
    """One every nine days from 2020 to September 2024, none between the two days left out."""
    days = (date(2020, 1, 2) + timedelta(days=9 * n) for n in range(193))
    kept = [day for day in days if not without[0] <= f"{day}" <= without[1]]
    return [
        {
            "ticket": f"T{n}",
            "raised_on": f"{day}",
            "desk": "Tern",
            "position": str(n % 10),
            "outcome": "fault found",
        }
        for n, day in enumerate(kept)
    ]


@pytest.fixture
def gap(opened):
    return opened(desks=[DESK], positions=SLOTS, tickets=tickets(("2024-01-01", "2024-06-30")))


def test_a_half_year_without_an_entry_is_silent_and_one_with_few_around_it_is_not(gap, opened):
    assert silent_quarters(gap) == {"2024Q1", "2024Q2"}
    few = [row for n, row in enumerate(tickets(("2024-01-01", "2024-06-30"))) if n % 2]
    assert silent_quarters(opened(desks=[DESK], positions=SLOTS, tickets=few)) == frozenset()
    assert (
        silent_quarters(opened("2024Q2", desks=[DESK], tickets=tickets(("2024-01-01", "2030"))))
        == frozenset()
    )


def test_nothing_stands_beside_the_first_quarter_after_it(gap):
    found = what_happened(gap)
    assert "nothing was written down in the quarter before" in found.title
    assert (found.facts.faults_before, found.facts.changed, found.facts.changed_in_all) == (None, (), "")


def test_the_forecast_is_that_of_the_quarters_that_were_written_down(gap, opened):
    steady = opened(desks=[DESK], positions=SLOTS, tickets=tickets(("2030", "2030")))
    expected, alike = (
        one.forecast.count_limits.iloc[-1][["expected_faults", "faults_low", "faults_high"]]
        for one in (gap, steady)
    )
    assert expected["expected_faults"] == pytest.approx(alike["expected_faults"], rel=0.15)
    assert expected["faults_high"] - expected["faults_low"] <= 1.3 * (
        alike["faults_high"] - alike["faults_low"]
    )


def test_quarters_that_nobody_wrote_down_and_the_one_after_are_not_called_forecast_wrongly(gap):
    assert set(forecast_and_fact(gap).table["quarter"]) == {"2023Q2", "2023Q3", "2023Q4"}


def after_a_silence(facility, later: int, label="2024Q2"):
    """Ten tickets a quarter to the end of 2023, none in half a year, and so many days with a ticket after it."""
    rows = tickets(("2024-01-01", "2024-06-30"))
    kept = [row for row in rows if row["raised_on"] < "2024"]
    kept += [row for row in rows if row["raised_on"] > "2024"][:later]
    return open_quarter(Records(facility(desks=[DESK], positions=SLOTS, tickets=kept), "small"), label)


def test_one_entry_after_a_long_silence_does_not_show_that_the_log_was_kept_between(facility):
    one = after_a_silence(facility, 1)
    assert (one.is_kept, one.last_entry) == (False, date(2023, 12, 30))
    assert what_happened(one).title == (
        "2024Q2: nothing was written down; the last entry before it is of 2023-12-30, and the few since do not show "
        "that the log was kept."
    )


@pytest.mark.parametrize(("later", "label"), [(5, "2024Q2"), (1, "2023Q4"), (1, "2024Q3")])
def test_five_entries_after_it_show_that_it_was_and_so_does_an_entry_in_the_quarter(facility, later, label):
    assert after_a_silence(facility, later, label).is_kept
