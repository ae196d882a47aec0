"""Where every ticket went, and how many of the open ones to expect as faults, on a book of eleven lines."""

import pytest

from maintkit import what_happened
from maintkit.quarter.counts import SUM, SUM_COLUMNS, counts_table, faults_per_slot

DESK = {"desk": "Tern", "family": "f", "coupling": "dc", "records_from": "2024-01-01"}


def ticket(number, raised_on, outcome="fault found", **more):
    return {
        "ticket": f"T{number}",
        "raised_on": raised_on,
        "desk": "Tern",
        "position": str(number),
        "outcome": outcome,
        **more,
    }


TICKETS = [
    ticket(1, "2024-02-01", closed_on="2024-02-11"),
    ticket(2, "2024-02-01", closed_on="2024-02-11"),
    ticket(3, "2024-02-02", "no fault found", closed_on="2024-02-12"),
    ticket(4, "2024-07-01", symptom="hum", closed_on="2024-07-09"),
    ticket(5, "2024-07-05", symptom="hum", position="4", closed_on="2024-07-09"),
    ticket(6, "2024-07-20", symptom="hum", position="4", closed_on="2024-07-21"),
    ticket(7, "2024-07-10", "not the desk", minutes_lost=99),
    ticket(8, "2024-09-25", "open"),
    ticket(9, "2024-09-28", None),
]
WORK = [
    {"repair": "R1", "done_on": "2024-07-08", "ticket": "T4", "action": "re-solder"},
    {"repair": "R2", "done_on": "2024-08-01", "desk": "Tern", "position": "11", "action": "adjust"},
]


@pytest.fixture
def book(opened):
    return opened("2024Q3", desks=[DESK], tickets=TICKETS, repairs=WORK)


def test_every_ticket_ends_in_one_column_and_the_sums_hold(book):
    table = counts_table(book)

    assert list(table) == SUM_COLUMNS
    assert table["quarter"].tolist() == ["2024Q1", "2024Q2", "2024Q3"]
    assert table.iloc[0, 2:11].tolist() == [3, 2, 0, 0, 1, 0, 0, 0, 0]
    assert table.iloc[1, 2:].tolist() == [0] * 12
    # T4 a fault, T5 the same again, T6 back after R1, T7 other gear, T8 and T9 open; R2 nobody reported
    assert table.iloc[2, 2:13].tolist() == [6, 1, 1, 1, 0, 1, 0, 2, 1, 0, 2]
    own = [name for name, (source, _) in SUM.items() if source == "ticket"]
    assert (table[own].sum(axis=1) == table["tickets"]).all()


def test_open_reports_count_by_the_share_of_earlier_ones_that_proved_faults(book):
    # Seven tickets are decided (T5 repeats one): five, with T7 of no known day, say when; T1, T2, T4 proved fresh faults of six.
    # Open 5 days (T8): T1, T2, T3, T4 were still open then and three of them proved faults. Open 2 days (T9): the same four, and
    # T8, open for 5 days so far, which tells nothing. So the house's share is 3/4 with 4 reports behind it, for each.
    overall = 3.5 / 7
    chances = []
    for behind in (4, 4):
        house = (0.75 * behind + overall * 4) / (behind + 4)
        chances.append((0.75 * behind + house * 4) / (behind + 4))
    found = what_happened(book).facts

    assert counts_table(book)["open_expected_faults"].tolist() == pytest.approx([0, 0, sum(chances)])
    assert (found.open_reports.reports, found.tickets, found.unticketed_faults) == (2, 6, 1)
    assert found.open_reports.expected == pytest.approx(sum(chances))
    assert (found.open_reports.low, found.open_reports.high) == (0, 2)


def test_minutes_of_other_gear_are_not_the_desks(book):
    assert what_happened(book).facts.minutes_lost == 0


def test_faults_per_slot_grow_by_one_over_the_slots_watched(book):
    curve = faults_per_slot(book)

    # Eight slots are named and 5, 6 and 10 lie between them; T1 and T2 come on 1 February, the 32nd day, T4 on the 183rd, R2 on the 214th.
    assert curve["at_risk"].tolist() == [11] * 3
    assert curve["days"].tolist() == [32, 183, 214]
    assert curve["mean"].tolist() == pytest.approx([2 / 11, 3 / 11, 4 / 11])
