"""Past forecasts beside what came."""

import pandas as pd
import pytest

from maintkit.quarter.quarter import Quarter, open_quarter
from maintkit.questions.past_forecasts import forecast_and_fact, past_forecasts
from tests.demo import truth


@pytest.fixture(scope="module")
def quarter():
    return open_quarter(truth.DATA_DEMO, "2026Q3")


@pytest.fixture(scope="module")
def table(quarter):
    return past_forecasts(quarter, 2)


def test_each_past_quarter_is_forecast_from_the_records_up_to_its_first_day(quarter, table):
    then = Quarter(quarter.records, "2026Q1")
    by_desk = then.forecast.slots.groupby("desk")["expected_faults"].sum()
    rows = table[table["quarter"] == "2026Q2"].set_index("desk")["expected_faults"]
    assert then.evidence.faults["happened_on"].max() <= pd.Timestamp("2026-03-31")
    assert list(table["quarter"].unique()) == ["2026Q2", "2026Q3"]
    pd.testing.assert_series_equal(rows, by_desk, check_names=False)


def test_what_came_is_what_the_records_now_count(quarter, table):
    faults = quarter.evidence.faults
    came = (
        faults[faults["counts"] & faults["happened_on"].between("2026-07-01", "2026-09-30")]
        .groupby("desk")
        .size()
    )
    rows = table[table["quarter"] == "2026Q3"].set_index("desk")["faults"]
    assert rows.to_dict() == {desk: came.get(desk, 0) for desk in rows.index}
    assert rows.sum() == 17


def test_the_limits_hold_the_chance_of_the_count_as_well(table):
    heron = table[table["desk"] == "Heron"]
    assert (
        heron["expected_faults_high"] - heron["expected_faults_low"]
        > 2 * 1.645 * heron["expected_faults"] ** 0.5 * 0.9
    ).all()
    assert (
        table["within"].tolist()
        == (
            (table["expected_faults_low"] <= table["faults"])
            & (table["faults"] <= table["expected_faults_high"])
        ).tolist()
    )


def test_the_first_slots_are_those_the_list_put_first_then(table):
    assert table.groupby("quarter")["first_slots"].sum().tolist() == [15, 15]
    assert (table["faults_in_first_slots"] <= table["faults"]).all()


def test_the_sentence_counts_quarters_faults_and_desk_counts(quarter):
    found = forecast_and_fact(quarter, 1)
    assert (
        found.title.startswith("In 1 past quarter ")
        and " and 17 came; " in found.title
        and "of 3 desk counts" in found.title
    )
    assert len(found.figure.data) == 5


def test_without_a_quarter_of_records_before_it_nothing_can_be_checked(opened, least):
    found = forecast_and_fact(opened("2024Q1", **least))
    assert found.title.startswith("No past forecast can be checked: it takes a whole quarter of records")
    assert (found.figure, len(found.table)) == (None, 0)
