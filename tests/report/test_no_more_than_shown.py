"""Words that say no more than the facts do."""

from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest

from maintkit.questions.recapped_or_not import NotYet, RecappedOrNot, Watched
from maintkit.report.templates import page as page_of
from maintkit.report.templates import plain_text, told


@pytest.mark.parametrize(
    ("done", "said"),
    [
        ((0.63, 0.31, 1.1), "Re-capped modules and those not yet: no difference shown"),
        ((0.3, 0.2, 0.4), "Re-capped modules fail less often"),
        ((1.9, 1.6, 2.2), "Re-capped modules fail more often"),
    ],
)
def test_re_capped_modules_fail_as_often_only_where_that_is_shown(done, said):
    sides = (Watched(9, 14.0, *done), Watched(120, 126.0, 0.95, 0.81, 1.1))
    facts = RecappedOrNot(("Otter",), date(2024, 4, 1), *sides)
    assert plain_text(told("recapped_or_not", facts)["heading"]) == said


def test_slots_without_a_re_cap_are_named_only_where_re_caps_help():
    waiting = tuple(NotYet("Otter", str(slot), 3) for slot in range(1, 8))
    sides = Watched(9, 14.0, 0.3, 0.2, 0.4), Watched(120, 126.0, 0.95, 0.81, 1.1)
    facts = RecappedOrNot(("Otter",), date(2024, 4, 1), *sides, waiting=waiting)
    text = plain_text(told("recapped_or_not", facts)["text"])
    assert "7 slots with faults have no re-cap on record; most faults at Otter 1 (3)" in text
    assert "Otter 5 (3)." in text and "Otter 6" not in text
    text = plain_text(told("recapped_or_not", replace(facts, done=replace(sides[0], high=1.0)))["text"])
    assert "no re-cap on record" not in text


@pytest.mark.parametrize(
    ("reports", "said"),
    [
        (1, "1 report since records began tells no outcome and no work, and no report before it does"),
        (20, "20 reports since records began tell no outcome and no work, and no report before them does"),
    ],
)
def test_one_report_says_and_twenty_say(reports, said):
    happened = SimpleNamespace(faults=3, as_reports=reports, cleanings=0)
    classes = ("tickets", "no_fault_found", "not_the_desk", "slot_or_supply", "returns", "repeated", "open")
    page = SimpleNamespace(tickets=dict.fromkeys(classes, 0), silent=False)
    assert said in plain_text(page_of("report_tickets.j2", happened=happened, page=page))
