"""Past forecasts beside what came."""

from datetime import date

import pandas as pd
import pytest

import maintkit
from maintkit.quarter.quarter import Quarter, open_quarter
from maintkit.questions.past_forecasts import COLUMNS, TOLD, facts, past_forecasts
from maintkit.report.templates import told
from tests.demo import truth


@pytest.fixture(scope="module")
def quarter(demo_quarter):
    return demo_quarter


@pytest.fixture(scope="module")
def found(quarter):
    return facts(quarter, 2)


def test_each_past_quarter_is_forecast_from_the_records_up_to_its_first_day(quarter, found):
    then = Quarter(quarter.records, "2026Q1")
    by_desk = then.forecast.slots.groupby("desk")["expected_faults"].sum()
    rows = found.table[found.table["quarter"] == "2026Q2"].set_index("desk")["expected_faults"]
    assert then.evidence.faults["happened_on"].max() <= pd.Timestamp("2026-03-31")
    assert list(found.table["quarter"].unique()) == ["2026Q2", "2026Q3"]
    pd.testing.assert_series_equal(rows, by_desk, check_names=False)


def test_what_is_written_after_the_day_of_the_forecast_changes_nothing_in_it(quarter, found, tmp_path):
    import shutil

    book = tmp_path / "book"
    shutil.copytree(truth.DATA_DEMO, book, ignore=shutil.ignore_patterns("*.xlsx", "*.md"))
    for name, day in (("tickets", "raised_on"), ("repairs", "done_on")):
        rows = pd.read_csv(book / f"{name}.csv", dtype=str, keep_default_na=False)
        rows[rows[day].str.slice(0, 10) < "2026-04-01"].to_csv(book / f"{name}.csv", index=False)
    cut = open_quarter(book, "2026Q1").forecast.count_limits
    rows = found.rows[found.rows["quarter"] == "2026Q2"].reset_index(drop=True)
    for name in ("expected_faults", "faults_low", "faults_high"):
        assert rows[name].tolist() == pytest.approx(cut[name].tolist())


def test_what_came_is_what_the_records_now_count(quarter, found):
    faults = quarter.evidence.faults
    came = faults[faults["counts"] & faults["happened_on"].between("2026-07-01", "2026-09-30")]
    rows = found.table[found.table["quarter"] == "2026Q3"].set_index("desk")["faults"]
    by_desk = came.groupby("desk").size()
    assert rows.to_dict() == {desk: by_desk.get(desk, 0) for desk in rows.index}
    assert found.totals["faults"].tolist()[-1] == rows.sum()


def test_the_limits_hold_the_chance_of_the_count_as_well(found):
    heron = found.table[found.table["desk"] == "Heron"]
    width = heron["faults_high"] - heron["faults_low"]
    assert (width > 2 * 1.645 * heron["expected_faults"] ** 0.5 * 0.9).all()
    within = (found.table["faults_low"] <= found.table["faults"]) & (
        found.table["faults"] <= found.table["faults_high"]
    )
    assert found.table["within"].tolist() == within.tolist()
    assert found.within == within.sum()


def test_the_total_has_limits_of_its_own(found):
    desks = found.table.groupby("quarter")[["expected_faults", "faults_high"]].sum()
    totals = found.totals.set_index("quarter")
    assert totals["expected_faults"].tolist() == pytest.approx(desks["expected_faults"].tolist())
    assert (
        totals["faults_high"] < desks["faults_high"]
    ).all()  # what is too much on one desk is too little on another
    assert found.low < found.expected < found.high


def test_the_first_slots_are_those_the_list_put_first_then(found):
    assert found.table.groupby("quarter")["first_slots"].sum().tolist() == [15, 15]
    assert (found.table["faults_in_first_slots"] <= found.table["faults"]).all()


def test_the_file_has_desks_and_house_of_each_quarter_in_its_columns(found):
    assert list(found.rows.columns) == COLUMNS
    assert found.rows["scope"].tolist() == ["desk"] * 3 + ["house"] + ["desk"] * 3 + ["house"]
    assert found.rows["desk"].isna().tolist() == (found.rows["scope"] == "house").tolist()


def test_the_sentence_says_what_was_forecast_and_what_came(quarter):
    said = maintkit.forecast_and_fact(quarter, quarters=1)
    assert said.title.startswith("We forecast ")
    faults = quarter.evidence.faults
    came = int((faults["counts"] & faults["happened_on"].between("2026-07-01", "2026-09-30")).sum())
    # the reports of the quarter that are still open are expected to prove one fault more, as the forecast holds them too
    assert round(said.facts.with_open) == came + 1
    said_came = f"{came} came, about {came + 1} with what reports still open may prove"
    assert f" faults for 1 past quarter and {said_came}: as forecast, within the limits." in said.title
    assert maintkit.what_happened(quarter).facts.faults == came
    assert "1 of 1 total and 3 of 3 desk counts lay within" in said.title
    assert len(said.figure.data) > 4


def test_without_a_quarter_of_records_before_it_nothing_can_be_checked(opened, least):
    said = maintkit.forecast_and_fact(opened("2024Q1", **least))
    assert said.title.startswith("No past forecast can be checked: it takes a whole quarter of records")
    assert (said.figure, len(said.table), len(said.facts.rows)) == (None, 0, 0)


@pytest.mark.parametrize(("of", "most"), [("MANY_DESKS", 2), ("MANY_ENTRIES", 100)])
def test_of_many_desks_or_entries_two_quarters_tell_as_much(quarter, monkeypatch, of, most):
    monkeypatch.setattr(f"maintkit.questions.past_forecasts.{of}", most)
    many = past_forecasts(Quarter(quarter.records, quarter.label))
    assert list(many["quarter"].unique()) == ["2026Q2", "2026Q3"]
    pd.testing.assert_frame_equal(
        many, past_forecasts(quarter, 2)
    )  # forecast in a thread of their own or here


def test_of_a_quarter_not_over_the_same_days_of_every_quarter_are_forecast_and_counted(quarter, found):
    part = Quarter(quarter.records, "2026Q3", date(2026, 8, 10))
    short = facts(part, 2)
    faults = part.evidence.faults
    faults = faults[faults["counts"]]
    for label, first, last in (
        ("2026Q2", "2026-04-01", "2026-05-11"),
        ("2026Q3", "2026-07-01", "2026-08-10"),
    ):
        whole, own = (rows.set_index("quarter").loc[label] for rows in (found.totals, short.totals))
        assert own["faults"] == faults["happened_on"].between(first, last).sum()
        # hardly more ages in six weeks: two fifths of the quarter's days, two fifths of its faults
        assert own["expected_faults"] == pytest.approx(
            whole["expected_faults"] * 41 / (91, 92)[label > "2026Q2"], rel=0.05
        )
        assert own["faults_high"] < whole["faults_high"]
    assert (short.days, found.days) == (41, None)
    assert "for the first 41 days of 2 past quarters" in told("forecast_and_fact", short)["title"].striptags()


@pytest.mark.parametrize(
    ("a_quarter", "said"),
    [
        (10, "60 came: as forecast, within the limits."),
        (13, "78 came: as forecast, within the limits."),
        (
            14,
            "84 came: more than chance alone brings (39 to 81), though within the limits where a level too low in one quarter is so "
            "in all (9 to 111).",
        ),
        (
            6,
            "36 came: fewer than chance alone brings (39 to 81), though within the limits where a level too high in one quarter is so "
            "in all (9 to 111).",
        ),
        (19, "114 came: more than the limits allow (9 to 111)."),
    ],
)
def test_more_than_chance_brings_is_not_called_as_forecast(a_quarter, said, opened, least, monkeypatch):
    row = {"desk": "Tern", "expected_faults": 10.0, "faults_low": 2, "faults_high": 18, "faults": a_quarter}
    row |= {"within": 2 <= a_quarter <= 18, "first_slots": 1, "slots": 4, "open_expected_faults": 0.0}
    row |= {"faults_expected_in_first_slots": 1.0, "faults_in_first_slots": 1}
    rows = [
        row | {"quarter": f"202{year}Q{number}", "scope": scope}
        for year, number in ((2, 3), (2, 4), (3, 1), (3, 2), (3, 3), (3, 4))
        for scope in ("desk", "house")
    ]
    monkeypatch.setattr(
        "maintkit.questions.past_forecasts.past_forecasts", lambda *_: pd.DataFrame(rows, columns=TOLD)
    )
    title = maintkit.forecast_and_fact(opened("2023Q4", **least)).title
    assert title.startswith("We forecast 60 faults for 6 past quarters and " + said)
    assert ("Tern: " in title) == (a_quarter == 19)
