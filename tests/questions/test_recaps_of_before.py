"""Re-caps done before anybody wrote down faults, zones nobody recorded, and a part of which none is left."""

import pytest

from maintkit import recap_money, recaps_left
from maintkit.report.answers import BY_NAME
from tests.questions.test_decisions_with_little import tables, worn

RECAP = {"action": "re-cap", "planned": "yes"}


def test_re_caps_from_before_the_faults_are_on_record_though_nothing_can_be_said_of_them(opened):
    book = tables(worn())
    old = [{**RECAP, "repair": "B1", "serial": "C1", "done_on": "2010-05-01"}]
    later = [{**RECAP, "repair": "B2", "serial": "C2", "done_on": "2024-12-01"}]
    before = opened(**(book | {"repairs": [*book["repairs"], *old, *later]}))
    assert recaps_left(before).facts.of.wear.most_recaps == 1
    assert recap_money(before).title == (
        "The 1 re-cap on record is from before the faults of its module were written down, so nothing can be said of what "
        "re-capping brings."
    )
    assert recap_money(opened(**book)).title.startswith("No re-cap is on record, so nothing")


def test_a_zone_nobody_recorded_is_not_called_one(opened):
    finding = BY_NAME["recap_zones"](opened(**tables(worn())))
    assert finding.facts.zones
    assert "zone" not in finding.title


@pytest.mark.parametrize(
    ("on_hand", "said"), [(0, "No chip is left in stock: "), (1, "chip runs out first: 1 in stock ")]
)
def test_a_part_of_which_none_is_left_does_not_last_nought_years(opened, on_hand, said):
    book = tables([(serial, "chip", day) for serial, _, day in worn()])
    stock = [{"part_type": "chip", "on_hand": on_hand, "counted_on": "2024-09-01"}]
    house = opened(**(book | {"stock": stock}))
    title, last = (BY_NAME[name](house).title for name in ("scarce_parts", "last_of_them"))
    assert title.startswith(said)
    assert "about 0.0 years" not in title + last
