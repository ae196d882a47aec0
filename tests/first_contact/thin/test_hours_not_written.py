"""What fewer powered hours would bring says how many there are taken to be now, where nobody wrote that down."""

import pytest

from maintkit import off_at_night, open_quarter
from tests.first_contact.thin import books

ASSUMED = "and if the desks are on 168 hours a week now, which nobody wrote down,"


@pytest.mark.parametrize(
    ("hours", "power", "is_assumed"), [("", "", True), ("168", "", False), ("", "168", False)]
)
def test_the_hours_taken_for_granted_are_said(tmp_path, hours, power, is_assumed):
    tables = dict(tickets=books.tickets(), positions=books.slots())
    tables |= dict(desks=books.desks(powered_hours_per_week=hours))
    if power:
        tables |= dict(power=[dict(desk="Alder", from_on=books.BEGUN, powered_hours_per_week=power)])
    said = off_at_night(open_quarter(books.write(tmp_path / "book", **tables), "2026Q3")).title
    assert " 84 powered hours a week would bring faults a year: Alder from " in said
    assert (ASSUMED in said) == is_assumed
