"""Small and odd records from the book to the sentence: a sensible one each, limits that widen, never a nan."""

from functools import cache

import numpy as np
import pandas as pd
import pytest

import maintkit
from maintkit.quarter.quarter import Quarter
from maintkit.records.store import Records
from tests.conftest import small_facility

LABEL = "2024Q4"
ASKED = ("where_next", "work_next", "forecast_and_fact", "model_fits", "if_nothing", "what_happened")


def book(days, *, begun="2018-01-01", slots=20, desks=("Tern",), young=None):
    """Faults on these days, in slots taken in turn, one desk after another; ``young`` is a desk whose records begin later."""
    begins = {desk: begun for desk in desks} | ({young[0]: young[1]} if young else {})
    tickets = [
        {"ticket": f"T{n}", "raised_on": str(day)[:10], "desk": desks[n % len(desks)], "minutes_lost": 10}
        | {
            "position": str(n % slots + 1),
            "outcome": "fault found",
            "closed_on": str(day)[:10],
            "symptom": "hum",
        }
        for n, day in enumerate(days)
    ]
    return Quarter(
        Records(
            small_facility(
                desks=[
                    {"desk": desk, "family": "f", "coupling": "dc", "records_from": day}
                    for desk, day in begins.items()
                ],
                positions=[{"desk": desk, "position": str(n + 1)} for desk in begins for n in range(slots)],
                tickets=tickets,
            ),
            "a book",
        ),
        LABEL,
    )


def spread(first, last, number):
    return pd.date_range(first, last, periods=number)


CASES = {
    "no past quarter": lambda: book(spread("2024-10-05", "2024-12-20", 3), begun="2024-10-01"),
    "one desk": lambda: book(spread("2018-01-05", "2024-12-20", 80)),
    "a desk a quarter old": lambda: book(
        spread("2018-01-05", "2024-12-20", 80), young=("Dunlin", "2024-10-01")
    ),
    "zero faults for years": lambda: book(spread("2018-01-05", "2020-12-20", 30)),
    "no fault ever": lambda: book([]),
    "a year's gap": lambda: book(
        [*spread("2018-01-05", "2021-12-20", 50), *spread("2023-01-05", "2024-12-20", 25)]
    ),
    "a hundred times the faults": lambda: book(
        [*spread("2018-01-05", "2024-09-20", 80), *spread("2024-10-02", "2024-12-28", 300)], slots=400
    ),
}


@cache
def case_of(name):
    """The quarter of a case, to be asked only."""
    return CASES[name]()


@pytest.fixture(scope="module")
def forecasts():
    return {name: case_of(name).forecast.count_limits for name in CASES}


@pytest.mark.parametrize("case", CASES)
def test_every_answer_is_a_sentence_without_nan(case):
    quarter = case_of(case)
    for name in ASKED:
        found = getattr(maintkit, name)(quarter)
        said = " ".join([found.title, *found.caveats])
        assert said.strip()
        assert "nan" not in said.lower().replace("finance", "").split()


@pytest.mark.parametrize("case", CASES)
def test_limits_are_numbers_in_order(case, forecasts):
    limits = forecasts[case]
    assert np.isfinite(limits.drop(columns=["scope", "desk"]).to_numpy(float)).all()
    assert (limits["expected_faults_low"] <= limits["expected_faults"]).all()
    assert (limits["expected_faults"] <= limits["expected_faults_high"]).all()
    assert (limits["faults_low"] <= limits["faults_high"]).all()


def test_limits_widen_where_less_is_known(forecasts):
    def width(name, row=-1):
        of = forecasts[name].iloc[row]
        return of["expected_faults_high"] / of["expected_faults_low"]

    assert width("no past quarter") > 1.5 * width("one desk")
    assert width("a hundred times the faults") > 1.5 * width("one desk")
    young = forecasts["a desk a quarter old"].set_index("desk")
    ratio = young["expected_faults_high"] / young["expected_faults_low"]
    assert ratio["Dunlin"] > ratio["Tern"]


def test_years_without_a_fault_bring_the_forecast_down_but_not_to_none(forecasts):
    silent, steady = (
        forecasts[name].iloc[-1]["expected_faults"] for name in ("zero faults for years", "one desk")
    )
    assert 0 < silent < 0.6 * steady
    assert 0 < forecasts["no fault ever"].iloc[-1]["expected_faults"] < 1


def test_slots_that_differ_by_chance_alone_are_not_put_first():
    # 80 faults in 20 slots taken in turn: four in each, so that any five have a quarter of all.
    asked = maintkit.work_next(case_of("one desk"))
    assert asked.title.startswith("No slot stands out yet: Tern ")
    assert "head the list with 25 % of the session minutes" in asked.title
    assert "5 of 20 slots alike would have 25 %" in asked.title
    assert maintkit.where_next(case_of("one desk")).facts.first_share is None


def test_slots_with_most_of_the_faults_are():
    days = spread("2018-01-05", "2024-12-20", 80)
    quarter = book(days, slots=3)  # all in the first three of three
    told = [*range(1, 21)]
    quarter.records.connection.execute(
        "insert into positions (desk, position) select 'Tern', unnest(?)", [[str(n) for n in told[3:]]]
    )
    title = maintkit.work_next(quarter).title
    assert title.startswith("Work on Tern ")
    assert set(title[8 : title.index(" first")].replace("Tern ", "").split(", ")) >= {"1", "2", "3"}
