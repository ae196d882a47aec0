"""Orders: nothing that was never put in, nothing refused without a new reason, and the page says what decisions.csv proposes."""

import re

import pytest

from maintkit.quarter.decisions import proposed
from maintkit.report.answers import BY_NAME
from maintkit.report.compose import gather
from maintkit.report.report_page import write_page
from maintkit.review import quarterly_review
from tests.questions.test_decisions_with_little import tables

USED = [(f"C{at % 4 + 1}", "relay", f"202{at % 4}-0{at % 9 + 1}-15") for at in range(12)]
STOCK = [
    {"part_type": name, "on_hand": 0, "counted_on": "2024-09-01"} for name in ("relay", "spare strip", "lamp")
]


def book(opened, used=USED, decisions=()):
    own = tables(used, decisions=list(decisions), stock=STOCK)
    own["part_types"] = [
        *own.get("part_types", []),
        *({"part_type": one["part_type"], "kind": "other"} for one in STOCK),
    ]
    return opened(**own)


def ordered(quarter):
    return {
        row.part_type
        for row in proposed(quarter, BY_NAME["order_parts"](quarter).table).itertuples()
        if row.what.startswith("order")
    }


def refused(review, part="relay"):
    return {
        "review": review,
        "decision": f"{review}-{part}",
        "what": "order 3",
        "part_type": part,
        "agreed": "refused",
    }


def test_a_part_that_was_never_put_in_is_not_ordered(opened):
    assert ordered(book(opened)) == {"relay"}


@pytest.mark.parametrize(
    ("review", "later", "again"),
    [
        ("2024Q2", [], False),
        ("2023Q2", [], True),  # more than a year ago
        ("2024Q2", [("C1", "relay", "2024-08-01")], True),  # one was put in since
        ("2024Q2", [("C1", "lamp", "2024-08-01")], False),
    ],
)
def test_a_refused_order_is_not_proposed_again_for_a_year_unless_the_part_was_put_in_since(
    opened, review, later, again
):
    quarter = book(opened, [*USED, *later], [refused(review)])
    assert quarter.label == "2024Q3"
    assert ("relay" in ordered(quarter)) is again
    assert (
        "Refused less than a year ago and not put in since, so not ordered: relay."
        in BY_NAME["order_parts"](quarter).caveats
    ) is not again


@pytest.mark.parametrize(("decisions", "asked"), [((), True), ((refused("2024Q2"),), False)])
def test_the_page_asks_for_the_orders_that_decisions_csv_proposes(opened, decisions, asked):
    review = quarterly_review(book(opened, decisions=decisions))
    rows = proposed(review.quarter, review["order-parts"].table)
    assert rows["what"].str.startswith("order").tolist() == [True] * asked
    page, answers = gather(review.quarter, review.findings)
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", write_page(page, **answers)))
    assert ("Nothing but parts to order is asked of you" in text) is asked
    assert ("These records ask for no decision this quarter." in text) is not asked
    assert all(f"{what.capitalize()} relay" in text for what in rows["what"])
