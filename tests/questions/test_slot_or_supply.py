"""Faults of slots, rails and cables in what is asked: told apart, learned from, and flagged where the supply is suspect."""

import csv
import io
from datetime import date

import pytest

from maintkit import module_or_slot, what_happened
from maintkit.note import note
from maintkit.quarter.counts import counts_table
from maintkit.questions.bench import facts as card
from maintkit.questions.what_is_it import facts
from maintkit.records.headings import draft_mapping
from maintkit.records.store import open_records
from maintkit.report.bench_card import bench_card

BOOK = {
    "desks": [{"desk": "Tern", "family": "f", "records_from": "2024-01-01"}],
    "positions": [{"desk": "Tern", "position": slot, "bay": "A"} for slot in "123"]
    + [{"desk": "Tern", "position": "9", "bay": "B"}],
    "modules": [{"serial": f"M{slot}", "family": "f", "module_type": "channel"} for slot in "1239"],
    "fitments": [
        {"serial": f"M{slot}", "desk": "Tern", "position": slot, "fitted_on": "2024-01-01"} for slot in "1239"
    ],
    "tickets": [
        {"ticket": "T1", "raised_on": "2024-09-10", "desk": "Tern", "position": "1", "symptom": "dead"},
        {"ticket": "T2", "raised_on": "2024-09-12", "desk": "Tern", "position": "2", "symptom": "dead"},
        {"ticket": "T3", "raised_on": "2024-09-29", "desk": "Tern", "position": "9", "symptom": "hum"},
    ],
    "repairs": [
        {
            "repair": "R1",
            "done_on": "2024-09-10",
            "ticket": "T1",
            "action": "re-solder",
            "where": "slot",
            "finding": "edge contact cracked",
        },
        {"repair": "R2", "done_on": "2024-09-29", "ticket": "T3", "action": "replace", "where": "rail"},
        {"repair": "R3", "done_on": "2024-08-20", "desk": "Tern", "action": "replace", "where": "cable"},
    ],
}


@pytest.fixture
def book(opened):
    return opened(**BOOK)


def test_they_stand_in_columns_of_their_own_and_the_sums_hold(book):
    row = counts_table(book).iloc[-1]

    assert (row["tickets"], row["ticket_faults"], row["slot_or_supply"], row["open"]) == (3, 0, 2, 1)
    assert (row["unticketed_slot_or_supply"], row["unticketed_faults"], row["faults"]) == (1, 0, 0)
    assert what_happened(book).facts.table["slot_or_supply"].tolist() == [3]


def test_a_bay_of_two_reports_is_told_in_the_review_on_the_card_and_when_asked(book):
    assert "Look at the supply of Tern, bay A: slots 1 and 2" in module_or_slot(book).title
    assert "bay B" not in module_or_slot(book).title
    assert card(book, "M2").supply.slots == ("1", "2") and card(book, "M9").supply is None
    assert any("Look at the supply of Tern, bay A" in one for one in bench_card(book, "M1").sentences)
    asked = facts(book, "Tern", "2", "dead")
    assert (asked.supply.slots, asked.supply.days) == (("1", "2"), 20)
    assert facts(book, "Tern", "3", "dead").supply is None


def test_a_complaint_within_three_days_of_a_rail_of_the_bay_is_flagged_at_once(opened):
    near = {**BOOK, "positions": [{**one, "bay": "A"} for one in BOOK["positions"]]}
    book = opened(**near)

    assert facts(book, "Tern", "3", "dead").supply.slots == ("3", "9")
    assert facts(book, "Tern", "9", "hum").supply is None


def test_what_was_found_in_the_slot_stands_before_and_is_a_cause_that_is_learned(book):
    asked = facts(book, "Tern", "1", "dead")

    assert (asked.before[0].outcome, asked.before[0].found, asked.before[0].done) == (
        "slot or supply",
        "edge contact cracked",
        "slot: re-solder",
    )
    assert [(one.name, one.serial, one.count) for one in asked.likely] == [("slot", None, 1)]


def test_a_sheet_whose_heading_is_where_is_understood_in_german_too(tmp_path):
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,desk,position,symptom\nT1,2024-05-01,Tern,1,hum\nT2,2024-05-02,Tern,2,dead\n",
        encoding="utf-8",
    )
    (tmp_path / "repairs.csv").write_text(
        "repair,done_on,ticket,action,where\nR1,2024-05-01,T1,test,Platz\nR2,2024-05-02,T2,replace,Kabel\n",
        encoding="utf-8",
    )
    (tmp_path / "mapping.toml").write_text(draft_mapping(tmp_path).text, encoding="utf-8")
    book = open_records(tmp_path)
    found = book.connection.execute('select "where" from repairs order by repair').fetchall()
    book.close()
    assert found == [("slot",), ("cable",)]


def test_a_fault_of_a_rail_is_noted_without_a_serial_or_a_slot(tmp_path):
    (tmp_path / "tickets.csv").write_text(
        "ticket,raised_on,desk,position\nT1,2024-05-01,Tern,1\n", encoding="utf-8"
    )
    asked = []
    answers = {"finding: ": "ripple"}

    def answer(prompt):
        asked.append(prompt)
        return answers.get(prompt, "y" if "Keep it" in prompt else "")

    given = ["where=rail", "desk=Tern", "action=replace", "done_on=2024-05-02"]
    note("work", given, tmp_path, ask=answer)
    assert [one for one in asked if "Keep it" not in one] == ["position: ", "finding: "]
    (row,) = csv.DictReader(io.StringIO((tmp_path / "repairs-notes.csv").read_text(encoding="utf-8")))
    assert (row["where"], row["desk"], row["finding"]) == ("rail", "Tern", "ripple")


def with_a_run(opened, *work, said=("dead",) * 6):
    """A book in which slot 1 of 30 has the same complaint six times in a year, through two modules, with this work besides the adjusting."""
    days = ["2024-03-01", "2024-04-01", "2024-05-01", "2024-06-01", "2024-07-01", "2024-09-28"]
    slots = [str(number) for number in range(1, 31)]
    return opened(
        desks=BOOK["desks"],
        modules=[{"serial": f"M{slot}", "family": "f", "module_type": "channel"} for slot in [*slots, "31"]],
        fitments=[
            {"serial": f"M{slot}", "desk": "Tern", "position": slot, "fitted_on": "2024-01-01"}
            for slot in slots[1:]
        ]
        + [
            {
                "serial": "M1",
                "desk": "Tern",
                "position": "1",
                "fitted_on": "2024-01-01",
                "removed_on": "2024-04-15",
            },
            {"serial": "M31", "desk": "Tern", "position": "1", "fitted_on": "2024-04-15"},
        ],
        tickets=[
            {"ticket": f"T{at}", "raised_on": day, "desk": "Tern", "position": "1", "symptom": said[at]}
            for at, day in enumerate(days)
        ],
        repairs=[
            {"repair": f"R{at}", "done_on": day, "ticket": f"T{at}", "action": "adjust"}
            for at, day in enumerate(days[:-1])
        ]
        + list(work),
    )


def test_a_run_at_a_slot_goes_on_with_the_faults_and_the_work_of_the_slot_itself(opened):
    work = {"repair": "R9", "done_on": "2024-09-29", "ticket": "T5", "action": "re-solder", "where": "slot"}
    quarter = with_a_run(opened, work)
    (run,) = module_or_slot(quarter).facts.alive
    assert (run.name, run.last_work, str(run.last_work_on)) == ("Tern 1", "re-solder", "2024-09-29")
    assert run.days_quiet == (quarter.last_day - date(2024, 9, 28)).days
    assert [(one.name, one.times) for one in run.tried] == [("adjust", 5), ("re-solder", 1)]


def test_faults_of_a_slot_that_nobody_words_twice_alike_are_told_with_their_chance(opened):
    """Five complaints of five sorts and one still open through two modules, none at the other 29 slots: a thirtieth of five is usual."""
    sorts = ("dead", "hum", "crackle", "too loud", "distorted", "whistles")
    found = module_or_slot(with_a_run(opened, said=sorts))
    (one,) = found.facts.longest
    assert (one.name, one.follows, one.faults, one.through, one.is_sure) == ("Tern 1", False, 5, 2, True)
    assert one.usual == pytest.approx(5 / 30, rel=0.01)
    assert "However worded, Tern 1 had 5 faults through 2 modules" in found.title
    assert module_or_slot(with_a_run(opened)).facts.longest == ()  # of one sort it is told as such


PLANNED = {
    "repair": "R9",
    "done_on": "2024-09-30",
    "action": "other work",
    "planned": "yes",
    "where": "cable",
}


@pytest.mark.parametrize(
    ("work", "is_over"),
    [
        ({"serial": "M31", "cause": "confirmed"}, True),
        ({"desk": "Tern", "position": "1", "cause": "confirmed"}, True),
        ({"serial": "M31"}, True),
        ({"serial": "M31", "where": "slot"}, True),
        ({"serial": "M31", "planned": "no", "cause": "confirmed"}, True),
        ({"serial": "M31", "cause": "unknown"}, False),
        ({"serial": "M31", "action": "test"}, False),
        ({"serial": "M31", "done_on": "2024-06-15", "cause": "confirmed"}, False),
        ({"serial": "M2", "cause": "confirmed"}, False),
        ({"desk": "Tern", "where": "rail", "position": "1", "cause": "confirmed"}, False),
    ],
)
def test_the_slot_or_its_cable_mended_ends_the_run_planned_or_not_with_a_serial_or_none(
    opened, work, is_over
):
    found = module_or_slot(with_a_run(opened, PLANNED | work)).facts
    assert [run.name for run in found.alive] == ([] if is_over else ["Tern 1"])
