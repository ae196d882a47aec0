"""Quarters of which nobody wrote anything down: no quarter without faults, and none to compare with."""

from datetime import date, timedelta

import pytest

from maintkit import forecast_and_fact, what_happened
from maintkit.quarter.silence import silent_quarters

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
