"""Words that say no more than the facts do."""

from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest

from maintkit import open_quarter, quarterly_review, write_review
from maintkit.questions.recap_money import RecapMoney
from maintkit.questions.recapped_or_not import NotYet, RecappedOrNot, Watched
from maintkit.report.templates import page as page_of
from maintkit.report.templates import plain_text, told
from tests.first_contact.thin import books


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
    assert "7 slots with faults have had no re-cap since then; most faults at Otter 1 (3)" in text
    assert "Otter 5 (3)." in text and "Otter 6" not in text
    text = plain_text(told("recapped_or_not", replace(facts, done=replace(sides[0], high=1.0)))["text"])
    assert "no re-cap since" not in text


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


@pytest.mark.parametrize(
    ("high", "decisions", "is_told"), [(0.4, (), True), (1.0, (), False), (0.4, ("re-cap",), False)]
)
def test_page_1_tells_slots_without_a_re_cap_where_these_help_and_nothing_else_is_asked(
    high, decisions, is_told
):
    sides = Watched(9, 14.0, 0.3, 0.2, high), Watched(120, 126.0, 0.95, 0.81, 1.1)
    facts = RecappedOrNot(
        ("Otter",), date(2024, 4, 1), *sides, waiting=(NotYet("Otter", "4", 3), NotYet("Otter", "9", 2))
    )
    happened = SimpleNamespace(
        desks=1, changed=(), changed_in_all="", faults_before=None, faults=3, as_reports=0
    )
    asked = SimpleNamespace(cost=None, hours=None, number=len(decisions))
    page = SimpleNamespace(
        leading=SimpleNamespace(desk="Otter", faults=3), recapped=facts, decisions=decisions, asked=asked
    )
    page.forecast_now = page.proposed = page.orders = page.tells_open = None
    said = plain_text(page_of("report_in_short.j2", happened=happened, page=page, where=None))
    told_so = "Re-capped modules fail less often: 0.3 against 0.95 faults a year, some of which may be choice; 2 slots with faults have had no re-cap since 2024."
    assert (told_so in " ".join(said.split())) == is_told


@pytest.mark.parametrize(("high", "p"), [(0.9, 0.06), (1.2, 0.2)])
def test_where_limits_leave_out_one_and_no_difference_is_shown_it_says_why(high, p):
    row = {
        "desk": "Otter",
        "re_caps": 20,
        "faults": 6,
        "expected": 14.0,
        "ratio": 0.43,
        "low": 0.2,
        "high": high,
        "p": p,
    }
    whole = row | {"could_show": 0.3, "verdict": "no difference shown", "spent": 1.0, "brought_back": 0.0}
    facts = RecapMoney(20, 0, whole, None, None, None, None)
    told_why = "Chance alone makes a difference as large 6.0 % of the time; a verdict takes less than 5 %."
    assert (told_why in plain_text(told("recap_money", facts)["title"])) == (high < 1)


@pytest.mark.parametrize(("waiting", "is_told"), [(9, True), (1, False)])
def test_where_many_reports_are_still_open_the_page_says_of_which_desk(tmp_path, waiting, is_told):
    """Eight reports of the quarter are faults of one desk, and so many of another have no outcome."""
    row = {"symptom": "dead", "outcome": "fault found", "position": "3"}
    before = [
        row | {"ticket": f"A{n}", "desk": desk, "raised_on": f"2026-0{1 + n % 5}-10"}
        for n, desk in enumerate(["Otter", "Rail"] * 5)
    ]
    found = [
        row | {"ticket": f"B{n}", "desk": "Otter", "position": str(n), "raised_on": f"2026-08-0{n + 1}"}
        for n in range(8)
    ]
    left = [
        row
        | {"ticket": f"C{n}", "desk": "Rail", "position": str(n), "raised_on": "2026-09-20", "outcome": ""}
        for n in range(waiting)
    ]
    books.write(tmp_path, tickets=[*before, *found, *left])
    made = quarterly_review(open_quarter(tmp_path, "2026Q3"))
    write_review(made, tmp_path / "out")
    said = " ".join(plain_text((tmp_path / "out" / "report.html").read_text(encoding="utf-8")).split())
    told_so = f"{waiting} more reports are still open, all of them of Rail"
    assert (told_so in said) == is_told
