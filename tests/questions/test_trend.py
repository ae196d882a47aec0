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


RISES = [*range(5, 180, 30), *range(185, 365, 6)]  # five times as often from the middle of the year


def reports_of(opened, **found):
    """A book of desks, a report in a slot of its own on each of the days of 2024; those of ``nothing`` found none, in turns."""
    names = [name for name in found if name != "nothing"]
    heard = [(day, desk, "fault found") for desk in names for day in found[desk]]
    heard += [(day, names[turn % len(names)], "no fault found") for turn, day in enumerate(found["nothing"])]
    days = np.datetime64("2024-01-01") + np.array([day for day, *_ in heard])
    tickets = [
        {
            "ticket": f"T{number}",
            "raised_on": str(on),
            "desk": desk,
            "position": str(number),
            "symptom": f"fault {number}",
            "outcome": outcome,
            "closed_on": str(on),
        }
        for number, (on, (_, desk, outcome)) in enumerate(zip(days, heard, strict=True))
    ]
    desks = [{"desk": name, "family": "f", "coupling": "dc", "records_from": "2024-01-01"} for name in names]
    return better_or_worse(opened("2024Q4", desks=desks, tickets=tickets))


def test_desks_that_rise_with_the_reports_of_no_fault_found_are_written_down_more(opened):
    found = reports_of(opened, Curlew=RISES, Heron=RISES, nothing=RISES)
    assert len(found.facts.changing) == 2
    assert (
        "But Curlew and Heron and the reports of no fault found (36) have all come more often since about July 2024: this looks like a "
        "change in how much is written down rather than in the desks." in found.title
    )


def test_desks_that_fall_with_them_are_written_down_less(opened):
    falls = [365 - day for day in RISES]
    found = reports_of(opened, Curlew=falls, Heron=falls, nothing=falls)
    assert "have all come less often since about July 2024" in found.title


@pytest.mark.parametrize(
    "days",
    [
        {"Curlew": RISES, "Heron": RISES, "nothing": range(5, 365, 10)},
        {"Curlew": RISES, "Heron": range(5, 365, 10), "nothing": RISES},
        {"Curlew": [*range(5, 300, 30), *range(302, 365)], "Heron": range(65, 365, 3), "nothing": RISES},
        {"Curlew": RISES, "nothing": RISES},
        {"Curlew": RISES, "Heron": RISES, "nothing": [300, 320, 330, 340]},
    ],
    ids=["no fault found is steady", "a desk is steady", "at other times", "one desk", "too few"],
)
def test_else_the_desks_themselves_are_worse(opened, days):
    found = reports_of(opened, **days)
    assert found.facts.changing and found.facts.together is None
    assert "written down" not in found.title
