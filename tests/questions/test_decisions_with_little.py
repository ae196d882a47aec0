"""Record books made small enough to reckon a decision by hand."""

from types import SimpleNamespace

import pytest

from maintkit import (
    comes_back,
    keep_or_strip,
    last_of_them,
    off_at_night,
    one_more_spare,
    order_parts,
    parts_from_donors,
    pull_next,
    when_to_recap,
)
from maintkit.decide.spares_donors import Keeping
from maintkit.quarter.at_hand import spares_for
from maintkit.quarter.resources import resources_ahead
from maintkit.quarter.shelf import donor_parts

SERIALS = [f"C{number}" for number in range(1, 7)]


def tables(failures=(), modules=4, **more):
    """One desk whose modules hold 20 capacitors and a chip each; failures as (serial, part type, day)."""
    repairs = [
        {
            "repair": f"R{number}",
            "done_on": on,
            "serial": serial,
            "action": "replace",
            "part_type": part,
            "cause": "confirmed",
            "planned": "no",
        }
        for number, (serial, part, on) in enumerate(failures, 1)
    ]
    return {
        "desks": [
            {
                "desk": "Curlew",
                "family": "saltmarsh",
                "coupling": "dc",
                "records_from": "2014-01-01",
                "powered_hours_per_week": 168,
            }
        ],
        "modules": [
            {"serial": serial, "family": "saltmarsh", "module_type": "channel", "made_on": "2001-03-01"}
            for serial in SERIALS[:modules]
        ],
        "positions": [
            {"desk": "Curlew", "position": str(number), "air_c": 35.0} for number in range(1, modules + 1)
        ],
        "fitments": [
            {"serial": serial, "desk": "Curlew", "position": str(number), "fitted_on": "2001-04-01"}
            for number, serial in enumerate(SERIALS[:modules], 1)
        ],
        "part_types": [
            {
                "part_type": "cap",
                "kind": "electrolytic",
                "unit_cost": 0.5,
                "lead_time_days": 14,
                "obtainable": "yes",
            },
            {"part_type": "chip", "kind": "ic", "obtainable": "no"},
        ],
        "parts_list": [
            {"family": "saltmarsh", "module_type": "channel", "part_type": part, "quantity": number}
            for part, number in (("cap", 20), ("chip", 1))
        ],
        "repairs": repairs,
        **more,
    }


def worn(count=12):
    """Capacitors of one module after another that failed, the more the later."""
    return [
        (SERIALS[number % 4], "cap", f"{2024 - int((count - number) ** 0.5)}-0{number % 9 + 1}-15")
        for number in range(count)
    ]


def test_four_failures_give_no_re_cap_verdict(opened):
    table = when_to_recap(opened(**tables(worn(4)))).table
    assert table["verdict"].tolist() == ["too few failures to say"]
    assert table["interval_years"].isna().all()


def test_no_hours_no_bookings_no_spares(opened):
    book = opened(**tables(worn()))
    means = resources_ahead(book)
    assert (means.always_free, means.spares, len(means.openings)) == (("Curlew",), {}, 0)
    caveats = " ".join(pull_next(book, bench_hours=0).caveats)
    assert (
        "No bookings are on record for Curlew: taken to be free at any time; a bookings table would say."
        in caveats
    )
    assert (
        "No spare on the shelf is known to work, so a module must be back in its slot before its gap ends."
        in caveats
    )
    assert pull_next(book, bench_hours=0).title.startswith("Pull no module for overhaul in 2024Q4.")


def test_only_gaps_still_to_come_are_worked_in(opened):
    bookings = [
        {"desk": "Curlew", "free_from": "2024-09-20", "free_to": "2024-10-02"},
        {"desk": "Curlew", "free_from": "2024-08-01", "free_to": "2024-08-09"},
        {"desk": "Curlew", "free_from": "2025-03-01", "free_to": "2025-03-09"},
    ]
    book = opened(**tables(worn(), bookings=bookings))
    assert resources_ahead(book, quarters=1).openings[["free_from", "free_to"]].values.tolist() == [[0, 1]]
    assert len(resources_ahead(book, quarters=4).openings) == 2


def test_an_unknown_cost_is_said_and_not_made_up(opened):
    parts = [{"part_type": "cap", "kind": "electrolytic", "obtainable": "yes", "lead_time_days": 300}]
    book = opened(
        **tables(
            worn(),
            stock=[{"part_type": "cap", "on_hand": 0, "counted_on": "2024-09-01"}],
            part_types=[*parts, {"part_type": "chip", "kind": "ic", "obtainable": "no"}],
        )
    )
    assert "cost not known, for part_types names no unit_cost" in order_parts(book).title
    assert when_to_recap(book).title.endswith(".")


@pytest.mark.parametrize("days, said", [(1, "1 day to get"), (21, "21 days to get")])
def test_the_days_to_get_a_part_are_one_or_many(opened, days, said):
    parts = [{"part_type": "cap", "kind": "electrolytic", "obtainable": "yes", "lead_time_days": days}]
    stock = [{"part_type": "cap", "on_hand": 0, "counted_on": "2024-09-01"}]
    assert said in order_parts(opened(**tables(worn(), stock=stock, part_types=parts))).title


def test_a_donor_nobody_needs_is_let_go(opened):
    modules = tables()["modules"] + [{"serial": "D1", "family": "saltmarsh", "module_type": "channel"}]
    book = opened(**tables(modules=4) | {"modules": modules})
    assert keep_or_strip(book).title == (
        "1 module in no desk, but no pull and no use of a scarce part is on record, "
        "so none shows a worth yet."
    )
    used = opened(
        **tables([("C1", "chip", f"20{year}-05-01") for year in range(16, 24)]) | {"modules": modules}
    )
    assert keep_or_strip(used).table["decision"].tolist() == ["inspect first"]
    assert keep_or_strip(used, keeping=Keeping(least_days=1e6)).table["decision"].tolist() == [
        "inspect first"
    ]


def test_a_number_for_the_modules_own_era_stands_before_that_for_every_era(opened):
    import pandas as pd

    lists = [
        {
            "family": "saltmarsh",
            "module_type": "channel",
            "part_type": "chip",
            "quantity": number,
            "board_era": era,
        }
        for number, era in ((2, None), (5, "B"))
    ]
    donors = pd.DataFrame(
        {"serial": ["D1", "D2"], "family": "saltmarsh", "module_type": "channel", "board_era": ["A", "B"]}
    )
    assert donor_parts(opened(**tables() | {"parts_list": lists}), donors) == {
        "D1": {"chip": 2},
        "D2": {"chip": 5},
    }


def test_few_pulls_give_no_number_of_spares(opened):
    tickets = [
        {
            "ticket": f"T{number}",
            "raised_on": f"2024-0{number}-02",
            "desk": "Curlew",
            "position": "1",
            "symptom": "hum",
            "outcome": "no fault found",
            "closed_on": f"2024-0{number}-05",
        }
        for number in (3, 5)
    ]
    assert one_more_spare(opened(**tables(tickets=tickets))).title == (
        "Only 2 faults, each taken for a pull: it takes 5 to say what a spare is worth."
    )


@pytest.mark.parametrize("hours", [100, 168])
def test_a_desk_not_powered_longer_has_nothing_to_switch_off(opened, hours):
    desks = [
        {
            "desk": "Curlew",
            "family": "saltmarsh",
            "coupling": "dc",
            "records_from": "2014-01-01",
            "powered_hours_per_week": 60,
        }
    ]
    assert off_at_night(opened(**tables() | {"desks": desks}), hours_a_week=hours).title == (
        f"No desk is powered more than {hours} hours a week, so there is nothing to switch off."
    )


def test_returns_count_among_the_times_a_symptom_came_back(opened):
    days = ("2023-02-01", "2024-05-01", "2024-05-20")
    tickets = [
        {
            "ticket": f"T{number}",
            "raised_on": on,
            "desk": "Curlew",
            "position": "1",
            "symptom": "hum",
            "outcome": "fault found",
            "impact": impact,
        }
        for number, (on, impact) in enumerate(
            zip(days, ("nuisance", "nuisance", "stopped session"), strict=True)
        )
    ]
    repairs = [
        {
            "repair": f"R{number}",
            "done_on": on,
            "serial": "C1",
            "ticket": f"T{number}",
            "action": "re-solder",
            "cause": "confirmed",
            "planned": "no",
        }
        for number, on in enumerate(days)
    ]
    finding = comes_back(opened(**tables(tickets=tickets) | {"repairs": repairs}))
    assert finding.table[["serial", "pattern", "times"]].values.tolist() == [
        ["C1", "same symptom again", 3],
        ["C1", "came back worse", 1],
    ]
    assert finding.title.startswith(
        "1 module came back 3 times or more for one symptom within two years, 0 controls "
        "were cleaned as often, and 1 return "
    )


def with_donor(**more):
    """The book of four modules and one more, D1, that ran in slot 5 from 2001 to 2019."""
    book = tables([("C1", "chip", f"20{year}-05-01") for year in range(16, 24)], **more)
    donor = {"serial": "D1", "family": "saltmarsh", "module_type": "channel", "made_on": "2001-03-01"}
    stay = {
        "serial": "D1",
        "desk": "Curlew",
        "position": "5",
        "fitted_on": "2001-04-01",
        "removed_on": "2019-04-01",
    }
    return book | {"modules": book["modules"] + [donor], "fitments": book["fitments"] + [stay]}


def test_an_electrolytic_no_longer_made_is_no_reason_to_keep_a_donor(opened):
    book = with_donor()
    cap, chip = book["part_types"]
    used = book["repairs"] + [{**book["repairs"][0], "repair": f"X{n}", "part_type": "cap"} for n in range(5)]
    wreck, works = (
        [{"serial": "D1", "inspected_on": "2024-01-01", "condition": condition}]
        for condition in ("strip only", "working")
    )
    both = opened(
        **book | {"inspections": wreck, "repairs": used, "part_types": [{**cap, "obtainable": "no"}, chip]}
    )
    row = keep_or_strip(both).table.iloc[0]
    assert (row["decision"], row["for_parts"]) == ("strip", "1 chip")
    alone = opened(
        **book
        | {
            "inspections": works,
            "repairs": used[8:],
            "part_types": [{**cap, "obtainable": "no"}, {**chip, "obtainable": "yes"}],
        }
    )
    row = keep_or_strip(alone).table.iloc[0]
    assert (row["decision"], row["for_parts"]) == ("keep whole", "")
    assert keep_or_strip(alone).title.endswith("as a whole spare.")
    in_donors = last_of_them(alone).table.set_index("part_type")["in_donors"]
    assert in_donors["cap"] == 0


def test_the_page_says_where_a_module_that_works_is_worth_more_in_parts(opened):
    book = with_donor()
    works = [{"serial": "D1", "inspected_on": "2024-01-01", "condition": "working"}]
    parts = {"part_types": [{**one, "obtainable": "no"} for one in book["part_types"]]}
    found = keep_or_strip(opened(**book | {"inspections": works} | parts))
    assert found.table["decision"].tolist() == ["strip"]
    assert found.title.endswith(
        "D1 works and is stripped all the same: the parts spare the desks more than it would whole."
    )


def test_a_part_taken_from_a_donor_is_logged_with_its_age(opened):
    book = with_donor()
    taken = {**book["repairs"][-1], "repair": "R99", "done_on": "2024-03-01", "donor_serial": "D1"}
    earlier = {
        "repair": "R98",
        "done_on": "2011-04-01",
        "serial": "D1",
        "action": "replace",
        "part_type": "chip",
        "cause": "confirmed",
        "planned": "no",
    }
    row = parts_from_donors(opened(**book | {"repairs": [*book["repairs"], earlier, taken]})).table.iloc[0]
    assert (row["donor_serial"], row["receiver_serial"], row["part_type"]) == ("D1", "C1", "chip")
    assert row["donor_years"] == pytest.approx(23.0, abs=0.01)
    # its chip had been changed in 2011 and ran, day and night, until the module came out in 2019
    assert row["powered_years"] == pytest.approx(8.0, abs=0.01)


def test_a_module_of_unknown_time_on_the_shelf_is_taken_to_be_there_since_the_records_began(opened):
    book = with_donor()
    book["fitments"] = book["fitments"][:-1]
    finding = keep_or_strip(opened(**book))
    assert finding.table["works"].iloc[0] == pytest.approx(
        0.5 * 0.97 ** (3925 / 365.25), rel=1e-3
    )  # 2014-01-01 to 2024-09-30
    assert any(
        "1 module of unknown time on the shelf: taken to be there since the records began." in caveat
        for caveat in finding.caveats
    )


def test_a_module_that_came_on_the_shelf_long_ago_stands_at_least_since_then(opened):
    book = with_donor(shelf=[{"serial": "D1", "shelf_in": "2016-03-01"}])
    book["fitments"] = book["fitments"][:-1]
    finding = keep_or_strip(opened(**book))
    assert finding.table["unpowered_years"].item() == pytest.approx(3135 / 365.25)  # to 2024-09-30
    assert finding.facts.unknown_rest == 0


def test_a_module_new_on_the_shelf_is_not_taken_to_have_run(opened):
    book = with_donor(shelf=[{"serial": "D1", "shelf_in": "2024-03-01"}])
    book["fitments"] = book["fitments"][:-1]
    assert keep_or_strip(opened(**book)).facts.unknown_rest == 1


@pytest.mark.parametrize(
    ("tested_on", "is_ready"),
    [("2019-04-01", False), ("2024-09-20", True), ("2018-01-01", False), (None, False)],
)
def test_a_module_tested_since_it_came_out_may_be_swapped_in_though_nobody_inspected_it(
    opened, tested_on, is_ready
):
    book = with_donor(shelf=[{"serial": "D1", "shelf_in": "2019-04-01", "last_tested_on": tested_on}])
    quarter = opened(**book)
    [spare] = spares_for(quarter, [SimpleNamespace(family="saltmarsh", module_type="channel")])
    assert not spares_for(quarter, [SimpleNamespace(family="longshore", module_type="channel")])
    assert (spare.serial, spare.is_ready) == ("D1", is_ready)
    assert spare.condition == ("working" if is_ready else "not inspected")
    assert not resources_ahead(
        quarter
    ).spares  # nobody wrote down what the test found, so no plan counts on it


def test_the_turnaround_may_be_set_by_hand(opened):
    modules = tables()["modules"] + [{"serial": "D1", "family": "saltmarsh", "module_type": "channel"}]
    book = opened(
        **tables([(f"C{number % 4 + 1}", "cap", f"20{16 + number // 2}-05-01") for number in range(12)])
        | {
            "modules": modules,
            "inspections": [{"serial": "D1", "inspected_on": "2024-01-01", "condition": "working"}],
        }
    )
    short, long = (keep_or_strip(book, keeping=Keeping(days_away=days)).table.iloc[0] for days in (1.0, 60.0))
    assert short["days_spared"] < 0.1 * long["days_spared"]
    assert long["decision"] == "keep whole"


HERE = [SimpleNamespace(family="saltmarsh", module_type="channel", serial="C1")]


def with_two_donors(failed=""):
    """The book with one more module, D2, that ran in slot 6; the module that ``failed`` did so every year since 2016."""
    book = with_donor()
    donor, stay = (
        {**book["modules"][-1], "serial": "D2"},
        {**book["fitments"][-1], "serial": "D2", "position": "6"},
    )
    repairs = [{**one, "serial": failed or one["serial"]} for one in book["repairs"]]
    return book | {
        "modules": [*book["modules"], donor],
        "fitments": [*book["fitments"], stay],
        "repairs": repairs,
    }


@pytest.mark.parametrize(
    ("failed", "slot", "serial"), [("", "1", "D1"), ("", "5", "D2"), ("", "6", "D1"), ("D1", "1", "D2")]
)
def test_a_spare_that_came_out_of_the_slot_or_failed_often_comes_last(opened, failed, slot, serial):
    [spare] = spares_for(opened(**with_two_donors(failed)), HERE, ("Curlew", slot))
    assert (spare.serial, spare.was_here, spare.faults) == (serial, False, 0)


@pytest.mark.parametrize(("slot", "failed", "told"), [("5", "", (True, 0)), ("1", "D1", (False, 8))])
def test_the_only_spare_is_named_with_what_speaks_against_it(opened, slot, failed, told):
    book = with_donor()
    book["repairs"] = [{**one, "serial": failed or one["serial"]} for one in book["repairs"]]
    [spare] = spares_for(opened(**book), HERE, ("Curlew", slot))
    assert (spare.serial, spare.was_here, spare.faults) == ("D1", *told)
