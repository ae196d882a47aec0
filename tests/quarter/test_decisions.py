"""What was proposed is written down, and answered for in the next review."""

import shutil
from collections import Counter
from datetime import timedelta

import pandas as pd
import pytest

from maintkit import open_quarter, pull_next, what_came_of_it
from maintkit.quarter.decisions import outcome, proposed
from maintkit.quarter.programme import planned_serials, planned_spares
from maintkit.quarter.quarter import quarter_days
from maintkit.quarter.recaps import prices_of
from maintkit.quarter.resources import spare_modules
from maintkit.questions.outcome import BY_CHANCE
from maintkit.report.answers import BY_NAME
from maintkit.survival.rates import poisson_tail
from tests.demo import truth
from tests.questions.test_decisions_with_little import tables, worn


@pytest.fixture(scope="module")
def demo(demo_quarter):
    return demo_quarter


def test_every_pull_and_every_spare_made_ready_is_a_row_to_mark(demo):
    table = proposed(demo)
    assert sorted(table.loc[table["what"] == "re-cap", "serial"]) == sorted(planned_serials(demo))
    assert sorted(table.loc[table["what"] == "make ready", "serial"]) == sorted(planned_spares(demo))
    assert (
        table["decision"].is_unique and table["agreed"].isna().all() and (table["review"] == "2026Q3").all()
    )


def test_old_stock_to_re_form_is_a_row_to_mark_and_the_costs_are_those_of_the_plan(demo):
    """The hours of the plan and its parts at the demo's price of a bench hour, row by row."""
    table, plan = proposed(demo), BY_NAME["pull_next"].facts(demo)
    stock = table[table["what"].str.startswith("re-form")].set_index("part_type")
    assert {(part, row["what"], row["due_on"]) for part, row in stock.iterrows()} == {
        (one.part_type, f"re-form {one.number}", one.by) for one in plan.re_formed
    }
    [one] = plan.re_formed
    pulls = plan.table[plan.table["kit"].str.contains(one.part_type)]
    assert one.by == pulls["pull_from"].min() - timedelta(days=1)
    hour = prices_of(demo).bench_hour
    assert table["cost"].sum() == pytest.approx(hour * plan.hours + plan.whole.parts_cost, abs=0.2)


def test_a_module_proposed_in_two_reviews_and_done_once_counts_once(opened):
    proposed_again = [
        {"review": review, "decision": review, "what": "re-cap", "serial": "C1", "done_on": "2024-01-10"}
        for review in ("2023Q3", "2023Q4")
    ]
    spare = {
        "review": "2023Q4",
        "decision": "s",
        "what": "make ready",
        "serial": "C2",
        "done_on": "2024-01-10",
    }
    failures = [*worn(), ("C1", "chip", "2024-02-01"), ("C4", "cap", "2024-03-01")]
    found = what_came_of_it(opened(**tables(failures, decisions=[*proposed_again, spare]))).facts
    assert (found.proposed, found.done, found.modules, found.faults) == (2, 2, 1, 1)
    once = found.table.drop_duplicates("serial")
    assert found.faults_like == once.loc[once["serial"] == "C1", "faults_like"].item()


@pytest.mark.parametrize(
    ("seen", "due", "by_chance"), [(1, 3.0, True), (1, 4.8, False), (0, 2.9, True), (9, 4.0, False)]
)
def test_few_faults_since_are_called_chance_where_they_can_be(seen, due, by_chance):
    """Poisson by hand: 1 or none of 3.0 is 4 exp(-3) = 0.20, of 4.8 it is 5.8 exp(-4.8) = 0.048; none of 2.9 is 0.055."""
    assert (poisson_tail(seen, due) >= BY_CHANCE) is by_chance


def test_re_formed_stock_marked_as_done_is_answered_for(opened):
    marked = {"what": "re-form 84", "part_type": "cap", "agreed": "agreed", "done_on": "2024-01-08"}
    book = opened(**tables(worn(), decisions=[{"review": "2023Q4", "decision": "r", **marked}]))
    assert outcome(book)["is_done"].tolist() == [True]
    assert what_came_of_it(book).title.startswith("1 of 1 proposal was done")


def test_what_was_done_stands_beside_like_modules_left_alone(opened):
    made = [
        {
            "review": "2023Q4",
            "decision": "1",
            "what": "re-cap",
            "serial": "C1",
            "agreed": "agreed",
            "done_on": "2024-01-10",
            "faults_expected": 4,
        },
        {"review": "2023Q4", "decision": "2", "what": "re-cap", "serial": "C2", "agreed": "refused"},
        {"review": "2024Q3", "decision": "3", "what": "re-cap", "serial": "C3"},
    ]
    failures = [
        *worn(),
        ("C1", "chip", "2024-02-01"),
        ("C3", "chip", "2024-02-01"),
        ("C4", "cap", "2024-03-01"),
        ("C4", "chip", "2024-05-01"),
    ]
    book = opened(**tables(failures, decisions=made))
    table = outcome(book).set_index("decision")
    assert list(table.index) == ["1", "2"]  # that of this very quarter is not answered for yet
    assert table["is_done"].tolist() == [True, False]
    since = [row for row in failures if row[2] > "2024-01-10"]
    assert table.loc["1", "faults"] == sum(row[0] == "C1" for row in since)
    like = sum(row[0] in ("C3", "C4") for row in since) / table.loc["1", "modules_like"]
    assert table.loc["1", "faults_like"] == pytest.approx(like) and table.loc["1", "modules_like"] >= 1
    assert table.loc["1", "faults_due"] == pytest.approx(
        4 * 264 / 365.25 / 2
    )  # to 2024-09-30, of those in two years
    assert pd.isna(table.loc["2", "faults_due"])
    said = what_came_of_it(book).title
    assert said.startswith("1 of 2 proposals was done, 1 refused.")
    assert "where 1.4 were expected had they been left alone" in said


def test_without_earlier_decisions_it_says_how_to_have_them(opened):
    assert what_came_of_it(opened(**tables(worn()))).title.startswith(
        "No earlier decisions are on record: mark those of this review"
    )


def test_where_nothing_is_to_be_marked_it_says_why_the_file_is_empty(opened, least):
    book = opened(**least)
    assert not len(proposed(book))
    assert "none of these the file has a heading alone" in what_came_of_it(book).title


def test_the_demos_decisions_are_answered_for(demo):
    """Done is what is marked so, or a module re-capped on record after the quarter reviewed."""
    rows = truth.read_table("decisions")
    recaps = [row for row in truth.read_table("repairs") if row["action"] == "re-cap"]
    done = [
        row
        for row in rows
        if row["done_on"]
        or any(
            work["serial"].strip() == row["serial"] and work["done_on"] > str(quarter_days(row["review"])[1])
            for work in recaps
        )
    ]
    asked: dict = {}  # the same work on the same thing, until it was done, is asked for once
    for row in sorted(rows, key=lambda row: row["review"]):
        same = asked.setdefault((row["what"].rstrip(" 0123456789"), row["serial"] or row["part_type"]), [[]])
        if (
            same[-1]
            and same[-1][-1]["done_on"]
            and same[-1][-1]["done_on"] <= str(quarter_days(row["review"])[1])
        ):
            same.append([])
        same[-1].append(row)
    asked = [one for same in asked.values() for one in same]
    left = [one for one in asked if not any(row in done for row in one)]
    marks = Counter(next((row["agreed"] for row in one[::-1] if row["agreed"]), "") for one in left)
    assert what_came_of_it(demo).title.startswith(
        f"{len(asked) - len(left)} of {len(asked)} proposals were done, {marks['refused']} refused, {marks['put off']} put off, "
        f"{marks['agreed']} agreed but not yet done, {marks['']} not marked."
    )


def marked(review, what, serial, agreed, done_on=None):
    one = {"review": review, "decision": f"{review} {what} {serial}", "what": what, "serial": serial}
    return one | {"agreed": agreed, "done_on": done_on}


def test_what_was_put_off_and_done_a_quarter_later_is_done_and_counts_once(opened):
    made = [
        marked("2023Q2", "re-cap", "C1", "put off"),
        marked("2023Q4", "re-cap", "C1", "agreed", "2024-01-10"),
        marked("2023Q2", "re-cap", "C2", "put off"),
        marked("2023Q3", "re-cap", "C2", "refused"),
        marked("2023Q4", "re-cap", "C2", None),
        {**marked("2023Q2", "order 4", None, "put off"), "part_type": "cap"},
        {**marked("2023Q3", "order 9", None, "agreed", "2023-11-01"), "part_type": "cap"},
        {**marked("2023Q4", "order 5", None, "put off"), "part_type": "cap"},
    ]
    title = what_came_of_it(opened(**tables(worn(), decisions=made))).title
    said = "2 of 4 proposals were done, 1 refused, 1 put off."
    assert title.startswith(said)


@pytest.mark.parametrize(
    ("review", "later", "again"),
    [
        ("2024Q2", [], False),
        ("2023Q3", [], True),  # a year is over
        ("2024Q2", [("C1", "chip", "2024-08-01")], False),  # no reason for a re-cap
        ("2024Q2", [("C1", "cap", "2024-08-01")], True),
    ],
)
def test_a_re_cap_refused_is_not_proposed_again_for_a_year_unless_capacitors_failed_since(
    opened, review, later, again
):
    failures = [*[row for row in worn() if row[2] < "2023-09"], *later]
    book = tables(failures, decisions=[marked(review, "re-cap", "C1", "refused")])
    book["repairs"] = [row | {"ticket": row["repair"]} for row in book["repairs"]]
    heard = {"desk": "Curlew", "outcome": "fault found", "minutes_lost": 90}
    book["tickets"] = [
        {"ticket": row["repair"], "raised_on": row["done_on"], "position": row["serial"][1], **heard}
        for row in book["repairs"]
    ]
    book = opened(**book)
    assert book.label == "2024Q3"
    assert ("C1" in set(proposed(book)["serial"])) is again
    assert ("not proposed again: C1." in what_came_of_it(book).title) is not again


@pytest.mark.parametrize(
    ("done_on", "ready"),
    [("2024-02-01", True), ("2022-02-01", False), ("2024-09-15", True), (None, False)],
)
def test_a_spare_made_ready_as_proposed_is_ready_while_its_test_is_fresh(opened, done_on, ready):
    """One of the store: never in a slot on record, working when inspected, and two years after a test no longer ready."""
    book = tables(worn(), modules=5)
    book["fitments"] = book["fitments"][:4]
    book["inspections"] = [{"serial": "C5", "inspected_on": "2021-05-01", "condition": "working"}]
    found = spare_modules(opened(**book, decisions=[marked("2021Q4", "make ready", "C5", "agreed", done_on)]))
    assert found.set_index("serial")["ready"].to_dict() == {"C5": ready}


def test_a_spare_made_ready_and_fitted_since_is_not_ready_by_that(opened):
    book = tables(worn(), modules=5)
    book["fitments"][4] |= {"fitted_on": "2020-06-01", "removed_on": "2021-01-01"}
    book["inspections"] = [{"serial": "C5", "inspected_on": "2021-05-01", "condition": "working"}]
    made = [marked("2019Q4", "make ready", "C5", "agreed", "2020-05-01")]
    assert spare_modules(opened(**book, decisions=made))["tested_years"].isna().tolist() == [True]


@pytest.mark.parametrize(("bench_hour", "pulls"), [(1, True), (20_000, False)])
def test_an_overhaul_that_never_earns_its_cost_is_not_proposed(
    tmp_path, slot_of_the_demo, monkeypatch, bench_hour, pulls
):
    monkeypatch.setattr("maintkit.quarter.programme.DOES_NOT", None)  # two modules are too few to show wear
    shutil.copytree(slot_of_the_demo, tmp_path / "book")
    prices = f"bench_hour = {bench_hour}\nsession_hour = 2000\n"
    (tmp_path / "book" / "prices.toml").write_text(prices, encoding="utf-8")
    found = pull_next(open_quarter(tmp_path / "book", "2026Q3"), least_minutes=1)
    assert (found.facts.verdict == "pull") is pulls
    assert pulls or "and earn its cost within 10 years" in found.title
