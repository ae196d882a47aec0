"""Small record books as they happen in life: each question says what can be said of them, and what would let it say more."""

from maintkit import (
    capacitor_or_dc,
    comes_back,
    differences,
    first_causes,
    held_against_siblings,
    held_by_recaps,
    life_curves,
    one_module,
    part_lives,
    pulled_capacitors,
    scarce_parts,
    what_happened,
    work_next,
)
from maintkit.questions.lives import FamilyLife, LifeCurves, Limited
from maintkit.report.bench_card import bench_card
from maintkit.report.templates import plain_text, told
from tests.questions.test_decisions_with_little import tables, worn

NEVER_SAT = {
    "fitments": [],
    "modules": [],
    "positions": [],
}  # every desk in service, and no module ever in it


def capacitance(serial, number, zone_value=40.0):
    return {
        "serial": serial,
        "part_type": "cap",
        "ref": f"C{number}",
        "measured_on": "2024-05-02",
        "measure": "capacitance",
        "nominal": 50,
        "value": zone_value,
        "unit": "uF",
    }


def test_where_no_module_was_ever_watched_no_family_is_named(opened):
    assert first_causes(opened(**tables() | NEVER_SAT)).title == (
        "No module was watched in a slot, so it cannot be said what they fail of first; fitments would tell."
    )


def test_where_no_module_was_ever_watched_no_use_a_year_is_told(opened):
    found = scarce_parts(opened(**tables() | NEVER_SAT))
    assert (
        found.title
        == "1 kind of part is scarce, but none has both a stock count and recorded use, so no end can be told."
    )
    assert found.table["used_per_year"].isna().all()


def test_an_inspection_that_counted_no_tracks_names_none(opened):
    seen = [{"serial": "C1", "inspected_on": "2024-05-02", "condition": "working"}]
    board = next(
        part
        for part in bench_card(opened(**tables(inspections=seen)), "C1").parts
        if part.heading == "The board"
    )
    assert "Inspected 2024-05-02: working." in board.intro


def test_a_module_of_which_only_a_stay_is_on_record_is_of_no_recorded_type(opened):
    title = one_module(opened(**tables() | {"modules": []}), "C1").title
    assert title.startswith("C1 (type not recorded, saltmarsh), in Curlew 1: ")


def test_capacitors_measured_in_one_module_alone_give_no_mean_with_limits(opened):
    book = tables(readings=[capacitance("C1", number) for number in range(6)])
    assert pulled_capacitors(opened(**book)).title == (
        "6 capacitors measured, but those of each kind and place in fewer than 2 modules: a mean with limits takes 5 in 2 modules or more."
    )


def test_capacitances_measured_of_capacitors_without_a_print_are_said_to_be_there(opened):
    bare = [capacitance(serial, 1) | {"nominal": None} for serial in ("C1", "C2")]
    assert pulled_capacitors(opened(**tables(readings=bare))).title == (
        "2 capacitances were measured, but nothing says what is printed on the capacitors, so what is left cannot be told. Fill in "
        "nominal in the table readings, or call the part by its value, such as 100u 25V."
    )


def test_a_place_measured_in_one_module_alone_is_not_said_to_be_known(opened):
    book = tables(
        readings=[capacitance(serial, number) for serial in ("C1", "C2") for number in range(3)]
        + [capacitance("C3", number) | {"part_type": "chip"} for number in range(6)]
    )
    assert pulled_capacitors(opened(**book)).title == (
        "Least is left of cap (not recorded): 80 % (80 to 80; 6 parts); all means of two modules or more are known to 5 points."
    )


def test_a_control_cleaned_without_designator_part_type_or_symptom_is_none_that_came_back(opened):
    cleaned = [{"repair": "R1", "done_on": "2024-02-02", "serial": "C1", "action": "clean", "planned": "yes"}]
    assert comes_back(opened(**tables() | {"repairs": cleaned})).title.startswith(
        "Nothing on record came back 3 times"
    )


def test_work_followed_by_faults_where_no_sibling_had_any_is_no_ratio(opened):
    raised = [("C1", f"{year}-05-1{day}") for year in (2016, 2018, 2020) for day in (3, 6)]
    tickets = [
        {
            "ticket": f"T{number}",
            "raised_on": on,
            "desk": "Curlew",
            "position": serial[1:],
            "symptom": f"hum {number}",
            "outcome": "fault found",
        }
        for number, (serial, on) in enumerate(raised)
    ]
    work = [
        {
            "repair": f"R{year}",
            "done_on": f"{year}-05-12",
            "serial": "C1",
            "action": "re-solder",
            "planned": "yes",
        }
        for year in (2016, 2018, 2020)
    ]
    book = opened(**tables(tickets=tickets) | {"repairs": work})
    assert held_against_siblings(book).title.startswith(
        "6 faults within 30 days of 3 pieces of work, and none of an untouched sibling over the same days to set them against."
    )
    assert held_by_recaps(book).title == (
        "Faults within 30 days of work against untouched siblings: boards never re-capped 6 where theirs were none."
    )


def test_work_too_near_the_end_for_90_days_is_told_by_30_alone(opened):
    def ticket(serial, on):
        return {
            "ticket": f"{serial} {on}",
            "raised_on": on,
            "desk": "Curlew",
            "position": serial[1:],
            "symptom": f"hum of {on}",
            "outcome": "fault found",
        }

    tickets = [ticket("C1", f"2024-08-{day:02d}") for day in (4, 7, 10, 13, 16)] + [
        ticket("C2", "2024-08-10")
    ]
    work = [
        {"repair": "R1", "done_on": "2024-08-02", "serial": "C1", "action": "re-solder", "planned": "yes"}
    ]
    title = held_against_siblings(opened(**tables(tickets=tickets) | {"repairs": work})).title
    assert (
        "5 faults after 1 piece of work where untouched siblings lead one to expect 0.33, 15 times as many ("
        in title
    )
    assert "90 days" not in title


def two_desks(heron=168, curlew=168, **more):
    """A capacitor-coupled desk and a DC-coupled one, a module in the one slot of either, powered so many hours a week."""
    return {
        "desks": [
            {
                "desk": name,
                "family": "longshore",
                "coupling": style,
                "records_from": "2020-01-01",
                "powered_hours_per_week": hours,
            }
            for name, style, hours in (("Heron", "capacitor", heron), ("Curlew", "dc", curlew))
        ],
        "positions": [
            {"desk": desk, "position": "1", "zone": zone}
            for desk, zone in (("Heron", "edge"), ("Curlew", None))
        ],
        **more,
    }


def heard(desk, number, **more):
    return {
        "ticket": f"{desk}{number}",
        "raised_on": f"202{number % 4}-0{number % 8 + 1}-02",
        "desk": desk,
        "position": "1",
        "symptom": f"hum {number}",
        "outcome": "fault found",
        **more,
    }


def mended(tickets):
    """Work that answers each ticket, its cause confirmed."""
    return [
        {
            "repair": row["ticket"],
            "done_on": row["raised_on"],
            "desk": row["desk"],
            "position": row["position"],
            "ticket": row["ticket"],
            "action": "clean",
            "cause": "confirmed",
            "planned": "no",
        }
        for row in tickets
    ]


def test_where_no_desk_was_powered_nothing_is_counted_and_that_is_said(opened):
    found = what_happened(opened(**two_desks(0, 0), tickets=[heard("Heron", 1)]))
    assert found.title == (
        "2024Q3: no module was under power in any desk, so no fault can be counted; desks, their hours and fitments say "
        "which were."
    )
    assert found.figure is None


def test_before_any_module_was_watched_no_coupling_is_compared(opened):
    found = capacitor_or_dc(opened("2019Q3", **two_desks(), tickets=[heard("Heron", 1)]))
    assert found.title.startswith("These records cannot say whether capacitor-coupled desks fail more")
    assert found.figure is None


def test_a_desk_without_power_has_no_rate_to_compare_whatever_faults_it_had(opened):
    tickets = [heard("Curlew", number) for number in range(6)]
    found = capacitor_or_dc(opened(**two_desks(curlew=0), tickets=tickets, repairs=mended(tickets)))
    assert found.title.startswith("These records cannot say whether capacitor-coupled desks fail more")


def test_where_the_other_style_never_failed_the_ratio_has_a_lower_limit_alone(opened):
    tickets = [heard("Heron", number) for number in range(1, 9)]
    found = capacitor_or_dc(opened(**two_desks(), tickets=tickets, repairs=mended(tickets)))
    assert found.title == (
        "Capacitor-coupled slots fail at least 2.2 times as often as the records stand; whether at equal age too cannot be told, "
        "for no module's age is on record (made_on would tell); 8 faults in 5 powered slot-years against 0 in 5."
    )


def test_labels_of_some_modules_may_be_missing(opened):
    book = two_desks()
    slots = [{"desk": "Heron", "position": "1", "zone": "edge"}, {"desk": "Heron", "position": "2"}]
    unlisted = {
        "repair": "R1",
        "done_on": "2023-05-02",
        "desk": "Curlew",
        "position": "1",
        "action": "replace",
        "cause": "confirmed",
    }
    assert differences(opened(**book | {"positions": slots}, repairs=[unlisted])).title.endswith(".")


def test_parts_found_bad_whose_good_days_nobody_knows_have_a_life_and_no_curve(opened):
    found_bad = [
        {
            "repair": "R1",
            "done_on": "2016-05-01",
            "serial": "C1",
            "action": "replace",
            "part_type": "chip",
            "planned": "yes",
            "as_found": "failed",
        }
    ]
    book = tables(modules=1)
    gone = [{**row, "removed_on": "2016-05-01"} for row in book["fitments"]]
    book = opened(**book | {"repairs": found_bad, "fitments": gone})
    assert part_lives(book).title.endswith(".")
    assert life_curves(book, "chip").title.endswith(".")


def test_a_life_with_no_limit_on_one_side_says_the_other_alone():
    life = FamilyLife("longshore", 5, 10.0, Limited(1.2, None, 3.0), Limited(1.0, None, 2.0))
    said = told("life_curves", LifeCurves("cap", (life,), (), None, {}, {}, None, {}, fewest=5))["title"]
    assert plain_text(said) == (
        "A tenth of cap in longshore has failed by 1.0 powered years (at most 2.0; shape 1.2, at most 3; 5 failures in 10 powered part-years)."
    )


def test_faults_timed_at_slots_nobody_recorded_price_the_others(opened):
    tickets = [heard("Curlew", number, position="9", minutes_lost=30) for number in range(6)]
    book = tables(worn(), tickets=tickets)
    table = work_next(opened(**book | {"repairs": book["repairs"] + mended(tickets)})).table
    assert (table["expected_minutes_lost"] > 0).all()


def test_one_lot_of_parts_replaced_in_a_day_sends_no_forecast_off(opened):
    book = tables(
        [
            (serial, "chip", f"20{year}-05-01")
            for year, serial in zip(range(16, 22), ("C1", "C1", "C2", "C3", "C1", "C1"), strict=True)
        ]
    )
    book["parts_list"] = [{**row, "quantity": 10_000} for row in book["parts_list"]]
    book["repairs"] = [
        {**row, "quantity": 1 if number else 10_000} for number, row in enumerate(book["repairs"])
    ]
    book["positions"] = [
        {**row, "zone": zone} for row, zone in zip(book["positions"], ("edge", "middle") * 2, strict=True)
    ]
    assert work_next(opened(**book)).title.startswith("Work on Curlew ")
