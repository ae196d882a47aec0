"""The desks slot by slot."""

import pytest

from maintkit import desk_plans
from maintkit.hours import HOURS_PER_YEAR


@pytest.fixture(scope="module")
def quarter(demo_quarter):
    return demo_quarter


def test_every_slot_has_its_minutes_its_age_and_its_re_caps(quarter):
    table = desk_plans.facts(quarter).table.set_index(["desk", "position"])
    roster = quarter.evidence.roster
    there = roster[(roster["desk"] == "Heron") & (roster["position"] == "25")]
    assert len(table) == 144
    assert table.loc[("Heron", "25"), "rework_cycles"] == there["rework_cycles"].max()
    spells = quarter.evidence.part_spells
    caps = spells[
        spells["serial"].isin(there["serial"])
        & spells["still_fitted"]
        & spells["age_known"]
        & (spells["kind"] == "electrolytic")
    ]
    assert table.loc[("Heron", "25"), "years_since_re_cap"] == pytest.approx(
        caps["exit"].max() / HOURS_PER_YEAR
    )
    forecast = quarter.forecast.slots.set_index(["desk", "position"])["expected_minutes_lost"]
    assert table["expected_minutes_lost"].sort_index().tolist() == forecast.sort_index().tolist()


def test_one_plan_for_each_measure_alike_in_their_squares(quarter):
    found = desk_plans(quarter)
    assert [figure.layout.meta["title"].split(":")[0] for figure in found.figures] == [
        "Session minutes expected in 2026Q4",
        "Powered years since the last re-cap",
        "Re-caps of the board on record",
    ]
    assert len({figure.layout.yaxis.ticktext for figure in found.figures}) == 1
    assert found.title.startswith("Expected in 2026Q4: Heron ")


def test_without_parts_the_plan_of_ages_says_that_it_knows_none(opened, least):
    found = desk_plans(opened(**least))
    assert found.figures[1].layout.meta["title"] == "Powered years since the last re-cap: not known"
    assert found.figures[2].layout.meta["title"] == "Re-caps of the board on record: none"


def test_with_few_faults_nothing_is_forecast_of_a_slot(opened, least):
    found = desk_plans(opened(**least))
    assert found.title.endswith(
        "of known modules on record: it takes 5 to say what is to be expected of a slot."
    )
    assert found.table["expected_faults"].isna().all() and "are expected" not in found.title


def test_a_slot_with_a_capacitor_of_unknown_age_has_no_age_of_the_oldest(opened, least):
    """Two slots of three capacitors: all renewed in one, one of them in the other, where the rest are older than the book."""
    work = {
        "repair": "N1",
        "done_on": "2024-05-01",
        "desk": "Heron",
        "position": "1",
        "action": "re-cap",
        "planned": "yes",
    }
    one = {**work, "repair": "N2", "position": "2", "action": "replace", "part_type": "cap", "planned": None}
    listed = [{"family": "longshore", "module_type": "channel", "part_type": "cap", "quantity": 3}]
    tickets = [
        {"ticket": f"T{slot}", "raised_on": "2024-04-20", "desk": "Heron", "position": str(slot)}
        for slot in (1, 2)
    ]
    book = {**least, "tickets": tickets, "repairs": [work, one], "parts_list": listed}
    types = [{"part_type": "cap", "kind": "electrolytic"}]
    table = desk_plans.facts(opened(**book, part_types=types)).table.set_index("position")
    assert table["years_since_re_cap"].notna().to_dict() == {"1": True, "2": False}
