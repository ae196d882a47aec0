"""Faults in which a part was replaced of which nobody wrote down the type: not of no part."""

import pytest

from maintkit.quarter.kits import as_shown, likely_parts
from maintkit.questions.causes import first_causes
from maintkit.report.templates import plain_text, told


@pytest.fixture
def book(least):
    """Six slots with a fault each, mended by turns with a part that nobody named and by cleaning; ``action`` mends the first of each two."""

    def with_work(action):
        days = [f"2024-0{at}-10" for at in range(1, 7)]
        tickets = [
            {"ticket": f"T{at}", "raised_on": day, "desk": "Heron", "position": str(at), "symptom": "hum"}
            for at, day in enumerate(days)
        ]
        repairs = [
            {"repair": f"R{at}", "done_on": day, "ticket": f"T{at}", "action": action if at < 4 else "clean"}
            for at, day in enumerate(days)
        ]
        return {**least, "tickets": tickets, "repairs": repairs}

    return with_work


@pytest.mark.parametrize(
    ("action", "said", "last"),
    [
        ("replace", "of a part of which nobody wrote down the type", "no part, or one not named"),
        ("re-solder", "with no part replaced", "no part replaced"),
    ],
)
def test_a_part_that_nobody_named_was_replaced_all_the_same(opened, book, action, said, last):
    quarter = opened(**book(action))
    found = first_causes(quarter, "longshore")
    assert f"have failed first {said} (" in plain_text(told("first_causes", found)["title"])
    assert found.first.modules == (4 if action == "replace" else 6)
    serial = quarter.evidence.roster["serial"].iloc[0]
    assert as_shown(quarter, likely_parts(quarter, serial))["part_type"].iloc[-1] == last
