"""Small record books as they happen in life: each question says what can be said of them, and what would let it say more."""

import pytest

from maintkit.questions.bench import bench_card
from maintkit.questions.campaign import pulled_capacitors
from maintkit.questions.causes import first_causes
from maintkit.questions.donors import scarce_parts
from maintkit.questions.held import comes_back, held_against_siblings, held_by_recaps
from maintkit.questions.module import one_module
from tests.questions.test_decisions_with_little import tables

NEVER_SAT = {"fitments": [], "modules": [], "positions": []}      # every desk in service, and no module ever in it


def capacitance(serial, number, zone_value=40.0):
    return {"serial": serial, "part_type": "cap", "ref": f"C{number}", "measured_on": "2024-05-02", "measure": "capacitance",
            "nominal": 50, "value": zone_value, "unit": "uF"}


def test_where_no_module_was_ever_watched_no_family_is_named(opened):
    assert first_causes(opened(**tables() | NEVER_SAT)).title == (
        "No module was watched in a slot, so none can be said to have failed first of anything; fitments would let it.")


def test_where_no_module_was_ever_watched_no_use_a_year_is_told(opened):
    found = scarce_parts(opened(**tables() | NEVER_SAT))
    assert found.title == "1 kind of part is scarce, but none has both a stock count and recorded use, so no end can be told."
    assert found.table["used_per_year"].isna().all()


def test_an_inspection_that_counted_no_tracks_names_none(opened):
    seen = [{"serial": "C1", "inspected_on": "2024-05-02", "condition": "working"}]
    board = next(part for part in bench_card(opened(**tables(inspections=seen)), "C1").parts if part.heading == "The board")
    assert "Inspected 2024-05-02: working." in board.intro


def test_a_module_of_which_only_a_stay_is_on_record_is_of_no_recorded_type(opened):
    title = one_module(opened(**tables() | {"modules": []}), "C1").title
    assert title.startswith("C1 (type not recorded, saltmarsh), in Curlew 1: ")


def test_capacitors_measured_in_one_module_alone_give_no_mean_with_limits(opened):
    book = tables(readings=[capacitance("C1", number) for number in range(6)])
    assert pulled_capacitors(opened(**book)).title == (
        "6 capacitors measured, but those of each kind and place in fewer than 2 modules: a mean with limits takes 5 in 2 modules or more.")


def test_a_place_measured_in_one_module_alone_is_not_said_to_be_known(opened):
    book = tables(readings=[capacitance(serial, number) for serial in ("C1", "C2") for number in range(3)]
                  + [capacitance("C3", number) | {"part_type": "chip"} for number in range(6)])
    assert pulled_capacitors(opened(**book)).title == (
        "Least is left of cap (not recorded): 80 % (80 to 80; 6 parts); all means of two modules or more are known to 5 points.")


def test_a_control_cleaned_without_designator_part_type_or_symptom_is_none_that_came_back(opened):
    cleaned = [{"repair": "R1", "done_on": "2024-02-02", "serial": "C1", "action": "clean", "planned": "yes"}]
    assert comes_back(opened(**tables() | {"repairs": cleaned})).title.startswith("Nothing on record came back 3 times")


def test_work_followed_by_faults_where_no_sibling_had_any_is_no_ratio(opened):
    raised = [("C1", f"{year}-05-1{day}") for year in (2016, 2018, 2020) for day in (3, 6)]
    tickets = [{"ticket": f"T{number}", "raised_on": on, "desk": "Curlew", "position": serial[1:], "symptom": f"hum {number}", "outcome": "fault found"}
               for number, (serial, on) in enumerate(raised)]
    work = [{"repair": f"R{year}", "done_on": f"{year}-05-12", "serial": "C1", "action": "clean", "planned": "yes"} for year in (2016, 2018, 2020)]
    book = opened(**tables(tickets=tickets) | {"repairs": work})
    assert held_against_siblings(book).title.startswith(
        "6 faults within 30 days of 3 pieces of work, and none of an untouched sibling over the same days to set them against.")
    assert held_by_recaps(book).title == (
        "Faults within 30 days of work against untouched siblings: 0 re-caps before 6 where theirs were none.")
