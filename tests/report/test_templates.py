"""Facts become words: singular and plural, limits, first five, and no number without a name."""

from dataclasses import dataclass, field
from datetime import date

import pytest
from markupsafe import Markup

from maintkit.report import templates
from maintkit.report.templates import (
    Named,
    day,
    environment,
    estimate,
    first_five,
    limits,
    percent,
    plain_text,
    several,
    shown,
    times,
)


@dataclass(frozen=True)
class Ratio:
    value: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Sample:
    faults: int = 17
    ratio: Ratio = Ratio(2.63, 2.0, 3.44)
    desks: tuple = ("Heron", "Curlew")
    bench_hours: float = field(default=52.25, metadata={"quantity": "plan.bench_hours"})


def rendered(text, facts=None):
    return environment().from_string(text).render(f=Named(facts or Sample(), "sample"))


@pytest.mark.parametrize(
    ("count", "said"), [(0, "0 faults"), (1, "1 fault"), (2, "2 faults"), (1204, "1,204 faults")]
)
def test_the_noun_follows_the_number(count, said):
    assert several(count, "fault") == said


def test_nought_may_have_its_own_words():
    assert several(0, "fault", none="no fault") == "no fault"
    assert several(2, "piece of work", "pieces of work") == "2 pieces of work"


@pytest.mark.parametrize(
    ("names", "said"),
    [([], ""), (["A"], "A"), (["A", "B"], "A and B"), (list("ABCDEFGH"), "A, B, C, D, E and 3 more desks")],
)
def test_five_are_named_and_the_rest_counted(names, said):
    assert first_five(names, "desk") == said


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(2.0, 3.44, "2 to 3.4"), (2.0, None, "at least 2"), (None, 3.44, "at most 3.4"), (None, None, "–")],
)
def test_limits_say_which_of_them_there_is(low, high, said):
    assert limits((low, high)) == said


def test_a_ratio_without_a_value_is_told_by_its_limit():
    assert plain_text(times(Ratio(2.6, 2.0, 3.4))) == "2.6 times as often (2 to 3.4)"
    assert plain_text(times(Ratio(None, 0.7, None))) == "at least 0.7 times as often"
    assert plain_text(times(Ratio(None, None, None))) == "no telling how many times as often"
    assert plain_text(estimate(Ratio(None, 5.1, None), "years")) == "at least 5.1 years"


def test_two_digits_and_never_a_power_of_ten():
    assert [shown(one) for one in (0.0000123, 0.0468, 17.34, 88454.0, float("inf"), float("nan"))] == [
        "under 0.001",
        "0.047",
        "17",
        "88,454",
        "without limit",
        "–",
    ]
    assert percent(0.937) == "94\N{NO-BREAK SPACE}%"


def test_a_printed_number_bears_its_value_and_the_path_of_its_fact():
    assert rendered("{{ f.faults }}") == '<data value="17" data-of="sample.faults">17</data>'
    assert rendered("{{ f.ratio.low }}") == '<data value="2.0" data-of="sample.ratio.low">2</data>'


def test_a_field_may_name_the_quantity_it_is_one_of():
    assert 'data-of="plan.bench_hours"' in rendered("{{ f.bench_hours }}")


def test_a_number_that_is_no_fact_cannot_be_printed():
    with pytest.raises(ValueError, match="which is no fact"):
        rendered("{{ f.faults + 1 }}")


def test_text_of_the_records_is_shown_and_never_followed():
    assert "<script>" not in rendered("{{ f.desks | first_five }}", Sample(desks=("<script>", "A")))
    assert "[U+202E]" in rendered("{{ f.desks[0] }}", Sample(desks=("LM\u202e17",)))


def test_days_and_blanks():
    assert day(date(2026, 10, 3)) == "3 October 2026"
    assert day(None) == templates.BLANK
    assert plain_text(Markup("a &amp; <b>b</b>")) == "a & b"
