"""What asks for the bench whatever is decided."""

from datetime import date

from maintkit.quarter.runs import Alive, Tried
from maintkit.questions.patterns import Patterns
from maintkit.report.compose import _anyway
from maintkit.report.templates import plain_text

NONE = dict.fromkeys(("pull_next", "sound_records", "bad_batches", "parts_from_donors"))


def run(**other):
    facts = dict(
        name="SCH-012", follows=True, symptom="drops out", faults=7, since=date(2023, 4, 9), slot_today="Curlew 20",
        days_quiet=276, tried=(Tried("trace", 3), Tried("replace fader", 1)), last_work="replace", last_work_on=date(2026, 1, 13),
        last_found="fader wiper bent.",
    )  # fmt: skip
    return Alive(**{**facts, **other})


def told(*runs):
    facts = Patterns((), runs, 0, (), 0, (), None, {})
    return [plain_text(one) for one in _anyway({**NONE, "module_or_slot": facts})]


def test_a_run_that_goes_on_is_told_with_its_slot_today_what_was_tried_and_what_the_last_work_found():
    assert told(run()) == [
        "SCH-012, now in Curlew 20: drops out, 7 faults since April 2023, quiet 276 days. Bench it: its fault moves with it. "
        "Tried: trace (3 times), replace fader. Last work, 13 January 2026: replace, found: fader wiper bent."
    ]


def test_a_run_that_stays_with_a_slot_or_on_which_nobody_worked_is_told_too():
    one, other = told(
        run(
            name="Heron 23",
            follows=False,
            slot_today="Heron 23",
            tried=(),
            last_work=None,
            last_work_on=None,
            last_found=None,
        ),
        run(slot_today="on no desk", last_found=None),
    )
    assert one == (
        "Heron 23: drops out, 7 faults since April 2023, quiet 276 days. The fault stays with the slot: look at its connector, "
        "wiring and rail."
    )
    assert other.startswith("SCH-012, now on no desk: ") and other.endswith("13 January 2026: replace.")


def test_no_more_runs_are_told_than_a_page_bears():
    first, second, more = told(*[run()] * 6)
    assert first == second and more == "4 more runs of one fault go on: see tables/module-or-slot.csv."


def test_of_much_that_was_tried_the_commonest_three_are_named():
    many = tuple(
        Tried(name, times)
        for name, times in (("clean", 1), ("trace", 2), ("adjust", 1), ("test", 5), ("soak", 1))
    )
    assert "Tried: test (5 times), trace (2 times), clean and 2 other jobs. Last" in told(run(tried=many))[0]


def test_what_went_on_at_the_slot_in_other_words_is_told_too():
    (one,) = told(run(name="Heron 23", follows=False, more_since=3))
    assert "7 faults since April 2023 and 3 more there, however worded, quiet 276 days" in one
