"""Channels of either coupling style side by side: which slots are channels."""

import pandas as pd
import pytest

from maintkit import open_quarter
from maintkit.quarter.ages import channel_years
from maintkit.questions.coupling_kinds import facts

DESKS = [
    {"desk": "Heron", "coupling": "capacitor", "commissioned_on": "2021-01-01"},
    {"desk": "Curlew", "coupling": "dc", "commissioned_on": "2021-01-01"},
]
OTHERS = ["PSU 1", "PSU 2", "master", "meter bridge"]


@pytest.fixture
def quarter(tmp_path):
    """Ten channels, two supplies, a master section and a meter bridge a desk; a fault in each channel, four in each of the rest of Heron."""
    places = [*map(str, range(1, 11)), *OTHERS]
    rows = [
        {
            "ticket": f"{desk}-{place}-{many}",
            "desk": desk,
            "position": place,
            "raised_on": f"2022-0{1 + many}-1{at % 9}",
            "symptom": "dead",
            "outcome": "fault found",
        }
        for desk in ("Heron", "Curlew")
        for at, place in enumerate(places)
        for many in range(4 if place in OTHERS and desk == "Heron" else 1)
    ]
    slots = [{"desk": one["desk"], "position": place} for one in DESKS for place in places]
    for name, table in {"desks": DESKS, "positions": slots, "tickets": rows}.items():
        pd.DataFrame(table).to_csv(tmp_path / f"{name}.csv", index=False)
    return open_quarter(tmp_path, "2022Q4")


def test_supplies_and_other_slots_outside_the_row_of_numbers_are_no_channels(quarter):
    years = channel_years(quarter)
    assert sorted({*years.index.get_level_values("position")}, key=int) == [*map(str, range(1, 11))]
    found = facts(quarter)
    assert (found.capacitor.faults, found.dc.faults) == (10, 10)
    assert found.years_capacitor == pytest.approx(found.years_dc)
