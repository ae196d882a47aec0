"""Which modules are proposed for a re-cap: those whose new capacitors alone are worth it."""

from maintkit import pull_next, when_to_recap
from maintkit.decide.replacement_boards import DOES_NOT
from maintkit.quarter.programme import usual_programme
from maintkit.quarter.quarter import Quarter
from maintkit.records.store import Records
from tests.conftest import small_facility
from tests.questions.test_decisions_with_little import SERIALS, tables, worn


def house(jobs):
    """Four modules with so many answered complaints an hour of session each: (serial, work, part, day)."""
    book = tables()
    repairs = [
        {
            "repair": f"R{n}", "ticket": f"T{n}", "done_on": day, "serial": serial, "action": work, "part_type": part,
            "cause": "confirmed", "planned": "no",
        }
        for n, (serial, work, part, day) in enumerate(jobs)
    ]  # fmt: skip
    tickets = [
        {
            "ticket": row["repair"].replace("R", "T"), "raised_on": row["done_on"], "desk": "Curlew",
            "position": row["serial"][1:], "symptom": "hum", "outcome": "fault found", "minutes_lost": 60,
        }
        for row in repairs
    ]  # fmt: skip
    return Quarter(
        Records(small_facility(**(book | {"repairs": repairs, "tickets": tickets})), "small"), "2024Q3"
    )


def spread(number, work, part=None, bend=1.0):
    """So many jobs over ten years, a module after the other, fewer and fewer where bent."""
    return [
        (
            SERIALS[n % 4],
            work,
            part,
            f"{2014 + int(10 * (n / number) ** bend)}-{1 + n * 7 % 8:02d}-{1 + n % 28:02d}",
        )
        for n in range(number)
    ]


def test_faults_that_cleaning_answers_are_no_reason_to_re_cap():
    cleaned = house(spread(60, "clean") + spread(3, "replace", "cap"))
    assert usual_programme(cleaned).modules["minutes_saved"].max() > 50
    assert pull_next(cleaned).facts.verdict != "pull"
    old = [(serial, "replace", part, day) for serial, part, day in worn()]
    assert pull_next(house(spread(60, "clean") + old)).facts.verdict == "pull"


def test_no_re_cap_is_proposed_that_the_same_review_says_does_not_pay():
    even = house(spread(16, "replace", "cap", bend=2.0))
    assert when_to_recap(even).table["verdict"].tolist() == [DOES_NOT]
    assert pull_next(even, least_minutes=0.5).facts.verdict != "pull"
