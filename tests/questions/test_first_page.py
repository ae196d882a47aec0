"""The first page, from findings written out here."""

import pandas as pd
import pytest

from maintkit.questions.first_page import front_page, listed
from maintkit.report.finding import Finding

HAPPENED = pd.DataFrame(
    {
        "desk": ["Curlew", "Heron"],
        "faults": [1, 14],
        "faults_before": [0, 18],
        "minutes_lost": [103.0, 289.0],
        "minutes_lost_before": [0.0, 404.0],
        "stopped_sessions": [1, 3],
        "no_fault_found": [1, 2],
        "not_the_desk": [0, 1],
        "returns": [1, 2],
        "repeat_reports": [0, 2],
        "open": [2, 4],
        "real_change": ["no", "no"],
    }
)
FORECAST = pd.DataFrame(
    {
        "quarter": ["2024Q2", "2024Q3", "2024Q3"],
        "desk": ["Heron", "Curlew", "Heron"],
        "expected_faults": [9.0, 2.0, 16.0],
        "faults": [9, 1, 14],
        "within": [True, True, False],
    }
)


def findings(**changes):
    given = {
        "what-happened": Finding("what-happened", "t", HAPPENED),
        "work-next": Finding(
            "work-next",
            "Work on Heron 25 first.",
            pd.DataFrame(
                {
                    "desk": ["Heron", "Heron"],
                    "position": ["25", "36"],
                    "expected_faults": [1.2, 0.9],
                    "rank_low": [1, 2],
                    "rank_high": [2, 31],
                }
            ),
            counts={"faults": 847},
        ),
        "forecast-and-fact": Finding("forecast-and-fact", "t", FORECAST),
        "module-or-slot": Finding(
            "module-or-slot",
            "t",
            pd.DataFrame(
                {
                    "verdict": ["more than chance", "more than chance", "may be chance"],
                    "desk": ["Heron"] * 3,
                    "position": ["23", "1", "2"],
                    "pattern": ["stays with the slot", "follows the module", "follows the module"],
                    "serials": ["a, b", "LMO-019", "LMO-1"],
                }
            ),
        ),
        "scarce-parts": Finding(
            "scarce-parts",
            "t",
            pd.DataFrame(
                {
                    "part_type": ["gain-control ic"],
                    "years_in_stock": [0.8],
                    "in_stock": [3.0],
                    "in_donors": [24],
                    "used_per_year": [3.75],
                    "used_per_year_low": [2.88],
                    "used_per_year_high": [4.81],
                }
            ),
        ),
        "sound-records": Finding("sound-records", "t", counts={"turned_away": 12, "contradictions": 1}),
    }
    return {**given, **changes}


@pytest.fixture
def panels(opened, least):
    def made(**changes):
        given = {key: finding for key, finding in findings(**changes).items() if finding is not None}
        return {panel.heading: panel.sentences for panel in front_page(opened(**least), given)}

    return made


def test_what_happened_and_what_it_cost(panels):
    found = panels()
    assert found["What happened"] == (
        "15 faults in 2024Q3: Heron 14 and Curlew 1.",
        "Tickets beside them: 3 without a fault found, 1 not the desk's, 3 returned after work, 2 reported again, 6 still open.",
    )
    assert (
        found["What it cost"][0] == "392 session minutes lost: Heron 289 and Curlew 103; 4 sessions stopped."
    )


def test_a_change_is_news_only_where_the_finding_says_so(panels):
    assert (
        panels()["What changed"][0]
        == "15 faults beside 18 in 2024Q2: no desk changed by more than chance would bring."
    )
    loud = panels(
        **{"what-happened": Finding("what-happened", "t", HAPPENED.assign(real_change=["no", "yes"]))}
    )
    assert loud["What changed"][0] == "15 faults beside 18 in 2024Q2: more than chance on Heron."


def test_the_first_quarter_on_record_has_nothing_to_be_set_beside(panels):
    alone = panels(**{"what-happened": Finding("what-happened", "t", HAPPENED.assign(faults_before=None))})
    assert alone["What changed"][0] == "No quarter before 2024Q3 is on record."


def test_the_last_forecast_stands_beside_what_came(panels):
    assert panels()["What changed"][2] == (
        "18 faults had been forecast for 2024Q3, 15 came: outside the 90 % limits on Heron."
    )
    assert "2 of the last 3 desk counts lay within its 90 % limits." in panels()["What is uncertain"][-1]
    assert (
        panels(**{"forecast-and-fact": None})["What is uncertain"][-1] == "No past forecast could be checked."
    )


def test_what_to_do_names_modules_slots_parts_and_records(panels):
    assert panels()["Five things to do"][:4] == (
        "Work on Heron 25 first.",
        "Look at the connector, wiring and rail of Heron 23, where a fault stays whatever module sits there; take LMO-019 to the bench for "
        "the fault that follows it about.",
        "Find more gain-control ic or free the 24 in donors: 3 in stock, 3.8 used a year (2.9 to 4.8).",
        "In the records, mend 12 problems in rows turned away and 1 contradiction, listed in the last chapter.",
    )


def test_with_too_few_faults_no_list_of_slots_is_put_first_and_the_missing_tables_are_named(panels):
    found = panels(
        **{
            "work-next": Finding(
                "work-next", "Work on Heron 25 first.", findings()["work-next"].table, counts={"faults": 4}
            )
        }
    )
    deeds = found["Five things to do"]
    assert found["What is uncertain"][0] == "The order of the list: too few faults are on record for one."
    assert "Work on Heron 25 first." not in deeds
    assert any("table" in deed for deed in deeds[3:])


def test_a_work_plan_takes_the_place_of_the_list_of_slots_and_five_things_are_enough(panels):
    found = panels(
        **{
            "pull-next": Finding("work-plan", "Pull LMO-045.", HAPPENED),
        }
    )
    assert found["Five things to do"][0] == "Pull LMO-045."
    assert len(found["Five things to do"]) == 5


def test_an_order_that_is_not_sure_is_called_so(panels):
    assert panels()["What is uncertain"][0] == (
        "The order of the list: Heron 25 ranks 1 to 2, and 1 of the 2 slots shown could stand beyond place 20."
    )


def test_questions_that_could_not_be_answered_leave_their_panels_out(panels):
    bare = panels(**{key: Finding(key, "could not be answered") for key in findings()})
    assert list(bare) == ["What is uncertain"]


@pytest.mark.parametrize(
    ("names", "said"),
    [
        ([], ""),
        (["a"], "a"),
        (["a", "b"], "a and b"),
        (["a", "b", "c"], "a, b and c"),
        (list("abcdef"), "a, b, c, d and 2 more"),
    ],
)
def test_names_are_cut_where_there_are_many(names, said):
    assert listed(names) == said
