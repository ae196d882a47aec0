"""Channels re-capped and not yet, of a book that keeps no list of types: a supply is none of them."""

import pandas as pd
import pytest

from maintkit import open_quarter
from maintkit.questions import recapped_or_not

DONE, LEFT = range(1, 13), range(13, 25)


@pytest.fixture
def quarter(tmp_path):
    """Twelve channels re-capped in January 2023 and without a fault since but for one; twelve with three faults each, and a supply with nine."""
    tickets = [
        {
            "ticket": f"T{number}",
            "raised_on": f"2023-{3 + number % 8:02d}-1{number % 9}",
            "desk": "Heron",
            "position": place,
            "symptom": "dead",
            "outcome": "fault found",
        }
        for number, place in enumerate(["ch 3", *(f"ch {slot}" for slot in [*LEFT] * 3), *["PSU 1"] * 9])
    ]
    begun = {"ticket": "T99", "raised_on": "2022-01-04", "desk": "Heron", "position": "ch 24"}
    repairs = [
        {
            "repair": f"R{slot}",
            "done_on": "2023-01-10",
            "desk": "Heron",
            "position": f"ch {slot}",
            "action": "re-cap",
            "planned": "yes",
        }
        for slot in DONE
    ]
    rows = [*tickets, begun | {"symptom": "hum", "outcome": "no fault found"}]
    pd.DataFrame(rows).to_csv(tmp_path / "tickets.csv", index=False)
    pd.DataFrame(repairs).to_csv(tmp_path / "repairs.csv", index=False)
    return open_quarter(tmp_path, "2023Q4")


def test_few_faults_after_re_caps_beside_many_without_are_enough_to_compare(quarter):
    found = recapped_or_not.facts(quarter)
    assert (found.done.faults, found.not_yet.faults) == (1, 36) and found.helps
    assert {one.position for one in found.waiting} == {f"ch {slot}" for slot in LEFT}


def test_a_supply_is_no_channel_not_yet_re_capped(quarter):
    found = recapped_or_not.facts(quarter)
    whole, before = 652 / 365.25, 371 / 365.25  # years from the first entry to the last, and to the re-caps
    assert found.not_yet.years == pytest.approx(12 * (whole + before), rel=0.01)
