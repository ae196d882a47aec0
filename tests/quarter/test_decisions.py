"""What was proposed is written down, and answered for in the next review."""

from collections import Counter
from datetime import timedelta

import pytest

from maintkit import what_came_of_it
from maintkit.quarter.decisions import outcome, proposed
from maintkit.quarter.programme import planned_serials, planned_spares
from maintkit.quarter.quarter import quarter_days
from maintkit.quarter.recaps import prices_of
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
    assert (found.proposed, found.done, found.modules, found.faults) == (3, 3, 1, 1)
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
    assert what_came_of_it(book).title.startswith("1 of 2 proposals was done, 1 refused.")


def test_without_earlier_decisions_it_says_how_to_have_them(opened):
    assert what_came_of_it(opened(**tables(worn()))).title.startswith(
        "No earlier decisions are on record: mark those of this review"
    )


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
    left = Counter(row["agreed"] for row in rows if row not in done)
    assert what_came_of_it(demo).title.startswith(
        f"{len(done)} of {len(rows)} proposals were done, {left['refused']} refused, {left['put off']} put off, "
        f"{left['agreed']} agreed but not yet done, {left['']} not marked."
    )
