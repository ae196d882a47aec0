import numpy as np
import pytest

from maintkit import better_or_worse
from maintkit.survival.trend import laplace_trend


def book_of(opened, days):
    """One desk watched from 2024-01-01, a fault in a slot of its own on each of the days of that year."""
    import datetime

    start = datetime.date(2024, 1, 1)
    tickets = [
        {
            "ticket": f"T{number}",
            "raised_on": (start + datetime.timedelta(days=day)).isoformat(),
            "desk": "Heron",
            "position": str(number),
            "symptom": f"fault {number}",
            "outcome": "fault found",
            "minutes_lost": 1,
            "closed_on": (start + datetime.timedelta(days=day)).isoformat(),
        }
        for number, day in enumerate(days)
    ]
    repairs = [
        {
            "repair": f"R{number}",
            "done_on": ticket["raised_on"],
            "desk": "Heron",
            "position": ticket["position"],
            "ticket": ticket["ticket"],
            "action": "clean",
            "cause": "confirmed",
            "planned": "no",
        }
        for number, ticket in enumerate(tickets)
    ]
    desks = [{"desk": "Heron", "family": "longshore", "coupling": "capacitor", "records_from": "2024-01-01"}]
    return opened("2024Q4", desks=desks, tickets=tickets, repairs=repairs)


def test_faults_that_come_faster_are_a_desk_getting_worse(opened):
    days = [60, 150, 200, 240, 270, 290, 300, 310, 320, 330, 338, 345, 350, 355, 360]
    found = better_or_worse(book_of(opened, days))
    row = found.table.iloc[0]
    assert row["laplace"] == pytest.approx(laplace_trend([day + 0.5 for day in days], 366.0).statistic)
    assert row["verdict"] == "getting worse"
    assert found.title.startswith("Heron is getting worse: growth ")
    assert "15 faults in 1 year)" in found.title


def test_evenly_spread_faults_show_no_trend(opened):
    found = better_or_worse(book_of(opened, range(10, 360, 20)))
    assert found.title == "No trend shown on Heron."
    assert found.table["growth_low"].iloc[0] < 1 < found.table["growth_high"].iloc[0]
    # 18 faults: the log of the growth is known to about 1 / sqrt(18); 2.80 such errors make 1.9.
    assert found.facts.could_show == pytest.approx(np.exp(2.80 / np.sqrt(18)), rel=0.15)


def test_four_faults_are_too_few(opened):
    assert (
        better_or_worse(book_of(opened, [10, 100, 200, 300])).title
        == "Too few faults on Heron to say; it takes 5."
    )
