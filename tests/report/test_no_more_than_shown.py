"""Words that say no more than the facts do."""

from datetime import date
from types import SimpleNamespace

import pytest

from maintkit.questions.recapped_or_not import RecappedOrNot, Watched
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


@pytest.mark.parametrize(
    ("reports", "said"),
    [
        (1, "1 report since records began tells no outcome and no work, and no report before it does"),
        (20, "20 reports since records began tell no outcome and no work, and no report before them does"),
    ],
)
def test_one_report_says_and_twenty_say(reports, said):
    happened = SimpleNamespace(faults=3, as_reports=reports)
    classes = ("tickets", "no_fault_found", "not_the_desk", "slot_or_supply", "returns", "repeated", "open")
    page = SimpleNamespace(tickets=dict.fromkeys(classes, 0), silent=False)
    assert said in plain_text(page_of("report_tickets.j2", happened=happened, page=page))
