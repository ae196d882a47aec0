import re

import pytest

from maintkit.actions import ACTIONS
from maintkit.report.cautions import CAUTIONS, GENERAL_REMINDER, KINDS_OF_WORK, cautions_for


def test_every_action_of_the_record_book_has_its_cautions():
    assert {action.name for action in ACTIONS} <= set(KINDS_OF_WORK)


def test_cautions_come_in_order_and_once():
    keys = [caution.key for caution in cautions_for(["donor", "re-cap", "re-cap"])]
    assert keys == ["power", "re-cap", "solder", "lift", "old"]


def test_mains_is_spoken_of_whatever_the_work():
    assert [caution.key for caution in cautions_for([])] == ["power"]


def test_every_kind_of_work_leads_to_cautions_that_exist():
    known = {caution.key for caution in CAUTIONS}
    assert {key for keys in KINDS_OF_WORK.values() for key in keys} <= known


def test_the_reminder_defers_to_local_rules_and_licenses_nothing():
    for words in (
        "not a procedure",
        "Local rules",
        "makers' instructions prevail",
        "only if competent and authorised",
        "Nothing in this review is a permit",
    ):
        assert words in GENERAL_REMINDER


@pytest.mark.parametrize(
    ("key", "word"),
    [
        ("power", "prove dead"),
        ("power", "regain voltage"),
        ("power", "rings"),
        ("power", "protective earth"),
        ("re-cap", "polarity"),
        ("re-cap", "for house rules and its maker"),
        ("solder", "asthma"),
        ("solder", "static"),
        ("solder", "wick and pump"),
        ("solder", "board wash"),
        ("lift", "Monitors down before"),
        ("solder", "burn"),
        ("clean", "ventilate"),
        ("lift", "heavy"),
        ("old", "leaking cells"),
    ],
)
def test_each_known_danger_is_named(key, word):
    caution = next(caution for caution in CAUTIONS if caution.key == key)
    assert word in " ".join(caution.reminders)


def test_no_reminder_is_a_procedure_for_power():
    assert not any(
        "current limit" in one or "raise the supply" in one for group in CAUTIONS for one in group.reminders
    )


def test_an_unknown_kind_of_work_is_refused_with_those_known():
    said = "No cautions are kept for 'paint'; known are " + ", ".join(KINDS_OF_WORK) + "."
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        cautions_for(["paint"])
