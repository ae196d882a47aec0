"""Modules that entries name and no list, swap or shelf has in any place: they may sit in another slot, so they are no spares."""

import pytest

from maintkit import keep_or_strip, open_quarter
from maintkit.quarter.shelf import donor_table
from maintkit.questions.what_is_it import facts
from tests.first_contact.thin import books

SAT = {"A1": "2025-10-01", "A2": "2026-03-01"}  # in slot 3 of Alder, one after the other


def opened(folder, **tables):
    """Thirty reports, and the serial of what was worked on in slot 3."""
    tickets = books.tickets()
    work = [
        {**row, "serial": "A2" if row["done_on"] >= SAT["A2"] else "A1"}
        for row in books.repairs(tickets)
        if (row["desk"], row["position"]) == ("Alder", "3")
    ]
    return open_quarter(
        books.write(folder, desks=books.desks(), tickets=tickets, repairs=work, **tables), "2026Q3"
    )


def test_a_module_that_another_followed_in_its_slot_is_no_spare(tmp_path):
    quarter = opened(tmp_path)
    roster = quarter.evidence.roster.set_index("serial")
    assert "A1" in roster.index and not isinstance(roster.loc["A1", "desk"], str)
    assert len(donor_table(quarter)) == 0
    assert facts(quarter, "Alder", "3", "crackle").spares == ()
    assert "but for 1 of which nothing says where it is" in keep_or_strip(quarter).title


@pytest.mark.parametrize(
    "told",
    [
        {"shelf": [dict(shelf="S1", serial="A1", place="rack", shelf_in="2026-03-01")]},
        {"inspections": [dict(serial="A1", inspected_on="2026-04-01", condition="working")]},
    ],
)
def test_one_that_stands_on_the_shelf_or_was_inspected_is_one(tmp_path, told):
    assert donor_table(opened(tmp_path, **told))["serial"].tolist() == ["A1"]
