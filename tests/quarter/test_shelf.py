"""Stock that stood on the shelf too long, against rows read by hand; two years: common practice, no single source."""

from datetime import date

import pytest

from maintkit import open_quarter
from maintkit.quarter.gaps import bookings_until
from maintkit.quarter.resources import resources_ahead
from maintkit.quarter.shelf import donor_table, old_stock, on_roster

CAP, CHIP = "electrolytic 10u", "op-amp"


@pytest.fixture
def stored(opened, least):
    """What is old in a store of these batches; every part was counted in July 2024, the last day is 30 September."""

    def old(*batches, on_hand=40):
        types = [{"part_type": CAP, "kind": "electrolytic"}, {"part_type": CHIP, "kind": "ic"}]
        counted = [
            {"part_type": one["part_type"], "on_hand": on_hand, "counted_on": "2024-07-01"} for one in types
        ]
        shelf = [{"part_type": CAP, "shelf_in": "2024-01-01", **batch} for batch in batches]
        return [
            (one.part_type, one.in_stock, one.since)
            for one in old_stock(opened(**least, part_types=types, stock=counted, shelf=shelf))
        ]

    return old


def test_the_newest_batch_says_how_old_stock_is(stored):
    old = (CAP, 40, date(2020, 5, 1))
    assert stored({"shelf_in": "2020-05-01"}) == [old]
    assert stored({"shelf_in": "2020-05-01"}, {"shelf_in": "2023-05-01"}) == []
    assert stored({"shelf_in": "2020-05-01"}, {"shelf_in": "2024-12-01"}) == [old]  # not there yet
    assert stored({"shelf_in": "2020-05-01"}, on_hand=0) == []


def test_a_date_code_tells_more_than_the_day_it_came(stored):
    """2110 is the tenth week of 2021, whose Monday is 8 March."""
    assert stored({"date_code": "2110"}) == [(CAP, 40, date(2021, 3, 8))]
    assert stored({"date_code": "lot 7"}) == []


def test_a_test_makes_it_good_again(stored):
    assert stored({"shelf_in": "2018-05-01", "last_tested_on": "2023-05-01"}) == []
    assert stored({"shelf_in": "2018-05-01", "last_tested_on": "2021-05-01"}) == [(CAP, 40, date(2021, 5, 1))]


def test_only_electrolytics_age_on_the_shelf_and_only_known_batches_tell(stored):
    assert stored({"part_type": CHIP, "shelf_in": "2010-05-01"}) == []
    assert stored() == []


def test_the_plan_has_the_old_stock_of_the_shelf(demo_quarter):
    """In the demo's shelf the newest 22u was made in week 40 of 2022, the newest 100u in week 8 of 2019; 10u and 47u are fresh."""
    found = {one.part_type: one.since for one in old_stock(demo_quarter)}
    assert found == {
        "electrolytic 22u coupling channel": date(2022, 10, 3),
        "electrolytic 100u rail": date(2019, 2, 18),
    }
    assert set(resources_ahead(demo_quarter).old_stock) == set(found)


def test_bookings_that_end_before_the_plan_are_told(opened, least):
    """The plan of 2024Q3 looks to 30 September 2025."""
    desk = least["desks"][0]["desk"]
    gap = {"desk": desk, "free_from": "2024-10-05"}
    assert bookings_until(opened(**least)) is None
    assert bookings_until(opened(**least, bookings=[{**gap, "free_to": "2024-10-09"}])) == date(2024, 10, 9)
    assert bookings_until(opened(**least, bookings=[{**gap, "free_to": "2025-09-30"}])) is None


MODULES = """serial,family,module_type,Room,Remark
M1,f,strip,Heron,
S1,f,strip,shelf,
S2,f,strip,bin,
S3,f,strip,shelf,"track burnt, scrapped 3.11.25"
S4,f,strip,shelf,"DONOR, do not use"
S5,f,strip,shelf,from a scrapped desk
S6,f,strip,shelf,to be scrapped?
S7,f,strip,bin 12,
"""


def test_what_was_thrown_away_is_no_spare_and_what_is_not_to_be_used_is_for_parts_only(tmp_path):
    files = {
        "desks.csv": "desk,family,coupling,records_from\nHeron,f,dc,2020-01-01\n",
        "positions.csv": "desk,position\nHeron,1\n",
        "tickets.csv": "ticket,raised_on,desk,position,outcome\nT1,2024-01-01,Heron,1,fault found\n",
        "repairs.csv": "repair,done_on,serial,action\nR1,2024-01-02,M1,clean\n",
        "fitments.csv": "serial,desk,position,fitted_on\nM1,Heron,1,2019-01-01\n",
        "modules.csv": MODULES,
        "shelf.csv": "serial,shelf_in,place\nS5,2023-01-01,skip\nS6,2023-01-01,rack 2\n",
        "mapping.toml": '[modules.columns]\n"Room" = "desk"\n[modules.values.desk]\n"shelf" = ""\n"bin" = ""\n"bin 12" = ""\n',
    }
    for name, text in files.items():
        (tmp_path / name).write_text(text)
    quarter = open_quarter(tmp_path, "2024Q1")
    state = donor_table(quarter).set_index("serial")["condition"].to_dict()
    assert state == {"S4": "strip only", **dict.fromkeys(("S1", "S6", "S7"), "not inspected")}
    assert (on_roster(quarter).modules, on_roster(quarter).scrapped) == (8, 3)
