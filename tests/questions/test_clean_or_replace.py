"""Clean or replace, by what followed on the same module."""

import pytest

from maintkit import clean_or_replace, hot_bays, what_happened
from maintkit.quarter.siblings import known_good, siblings
from maintkit.questions.clean_or_replace import After, _paid_back, facts
from maintkit.records.prices import Prices
from tests.questions.test_decisions_with_little import tables

SWITCH = {"part_type": "switch", "kind": "switch"}


def book():
    """A switch of C1 cleaned every other year and failed two months later each time; one of C2 changed every other year.

    The weekly round cleans C2's switches each spring.
    """
    work = []
    for year in range(2015, 2024, 2):
        work += [
            ("C1", "clean", f"{year}-02-01", "no"),
            ("C1", "replace", f"{year}-04-01", "no"),
            ("C2", "replace", f"{year}-02-01", "no"),
            ("C2", "clean", f"{year}-05-01", "yes"),
        ]
    repairs = [
        {
            "repair": f"S{number}",
            "done_on": day,
            "serial": serial,
            "action": action,
            "part_type": "switch",
            "planned": planned,
            "cause": "confirmed",
        }
        for number, (serial, action, day, planned) in enumerate(work)
    ]
    return tables() | {"part_types": [*tables()["part_types"], SWITCH], "repairs": repairs}


def test_a_cleaning_that_never_lasts_is_no_match_for_a_new_switch(opened):
    switch = facts(opened(**book())).kinds[0]
    assert (switch.name, switch.replaced.works, switch.replaced.again) == ("switch", 10, 0)
    assert (switch.cleaned.works, switch.cleaned.again) == (5, 5)
    assert switch.cleaned.years == pytest.approx(5 * 59 / 365.25, abs=0.01)
    assert switch.verdict == "replace"
    assert clean_or_replace(opened(**book())).title.startswith("Switches: after a cleaning 6.2 faults")


def test_fewer_than_five_that_came_again_are_no_verdict(opened):
    """Of five cleanings one came again, of six new ones none: one event tells nothing, however often either was done."""
    few = book()
    later = [row for row in few["repairs"] if row["serial"] == "C1" and row["action"] == "replace"][1:]
    few["repairs"] = [row for row in few["repairs"] if row not in later]
    switch = facts(opened(**few)).kinds[0]
    assert (switch.cleaned.works, switch.cleaned.again) == (5, 1)
    assert (switch.replaced.works, switch.replaced.again) == (6, 0)
    assert switch.cleaned.value > 0
    assert (switch.verdict, switch.paid_back) == ("too few again", None)
    said = clean_or_replace(opened(**few)).title
    assert said.startswith("Switches: cleaned 5 times and replaced 6, and within a year 1 and 0 came again")
    assert "(it takes 5 together)" in said


def test_a_fault_that_was_cleaned_away_came_again_of_the_part_that_was_cleaned(opened):
    """A switch cleaned on every other first of the month, its pot once between, and once an electrolytic changed after its cleaning."""
    pot = {"part_type": "pot", "kind": "pot"}
    work = [(f"2023-{month:02}-01", "clean", "switch") for month in (1, 3, 5, 7, 9, 11)]
    work += [("2023-02-01", "clean", "pot"), ("2023-11-02", "replace", "cap")]
    tickets = [
        {"ticket": f"T{day}", "raised_on": day, "desk": "Curlew", "position": "1"} for day, *_ in work[:-1]
    ]
    repairs = [
        {"repair": f"R{day}", "done_on": day, "serial": "C1", "ticket": f"T{min(day, '2023-11-01')}"}
        | {"action": action, "part_type": part, "planned": "no"}
        for day, action, part in work
    ]
    parts = [*tables()["part_types"], SWITCH, pot, {"part_type": "cap", "kind": "electrolytic"}]
    book = tables() | {"part_types": parts, "tickets": tickets, "repairs": repairs}
    switch, pot, _, either = (kind.cleaned for kind in facts(opened(**book)).kinds)
    assert (switch.works, switch.again) == (6, 4)  # after the fifth it was the electrolytic
    assert (pot.works, pot.again) == (1, 0)
    assert (either.works, either.again) == (7, 5)


def after(value, low, high, minutes, price=None):
    return After(9, 9, 9.0, value, low, high, minutes, price)


def test_what_a_new_part_costs_more_is_earned_by_the_faults_it_spares():
    """By hand: it costs 30 minutes at 1 a minute and 20 for the part more; a year of cleaning brings 2 faults of 30 + 5 x 2, a year of
    the new one 0.5 of 60 + 20 + 5 x 2: 50 / (80 - 45). At the limits 50 / (3 x 40 - 0.2 x 90) and 50 / (1 x 40 - 0.4 x 90)."""
    cleaned, new = after(2.0, 1.0, 3.0, 30.0), after(0.5, 0.2, 0.4, 60.0, 20.0)
    found = _paid_back(cleaned, new, 5.0, Prices("€", 60.0, 120.0))
    assert (found.value, found.low, found.high) == pytest.approx((50 / 35, 50 / 102, 50 / 4))
    alone = _paid_back(
        cleaned, new, 5.0, Prices("€", 60.0)
    )  # no price of a session: 30 minutes more, 60 - 30 a year less
    assert alone.value == pytest.approx(30 / 30)
    assert _paid_back(new, cleaned, 5.0, Prices("€", 60.0, 120.0)) is None  # spares nothing: never
    assert _paid_back(cleaned, after(0.5, 0.2, 0.9, None), 5.0, Prices()) is None  # never timed


def test_with_nothing_on_record_it_says_so(opened):
    assert (
        clean_or_replace(opened(**tables())).title
        == "No cleaning and no new switch, pot or fader is on record."
    )


def test_hot_bays_are_named_and_how_much_hotter(opened):
    places = [
        {"desk": "Curlew", "position": str(n), "bay": "A" if n < 3 else "B", "air_c": 30.0 if n < 3 else 42.0}
        for n in range(1, 5)
    ]
    said = hot_bays(opened(**tables(positions=places)))
    assert said.title.startswith("Curlew runs hot in bay B: up to 12 °C above its coolest bay.")
    assert hot_bays(opened(**tables())).title.startswith("No air temperature of any bay is on record")


def test_a_round_that_nobody_called_planned_is_no_cleaning_of_each_module(opened):
    """Eight modules cleaned on one day each spring, and one of them once more, after a report."""
    serials = [f"C{number}" for number in range(1, 9)]
    cleaned = [(serial, f"2023-{month:02}-10") for month in (3, 6, 9) for serial in serials]
    repairs = [
        {"repair": f"K{number}", "done_on": day, "serial": serial, "action": "clean", "planned": "no"}
        for number, (serial, day) in enumerate([*cleaned, ("C1", "2023-10-02")])
    ]
    repairs[-1]["ticket"] = "T1"
    ticket = {"ticket": "T1", "raised_on": "2023-10-01", "desk": "Curlew", "position": "1"}
    own = {"tickets": [ticket], "repairs": repairs}
    for name in ("modules", "positions", "fitments"):
        row = tables()[name][0]
        named = [{"serial": serial, "position": serial[1:]} for serial in serials]
        own[name] = [row | {key: one[key] for key in one if key in row} for one in named]
    found = facts(opened(**tables() | own))
    assert (found.kinds[-1].cleaned.works, found.often) == (1, ())


def test_a_module_cleaned_unasked_was_not_longest_without_a_fault_and_the_cleaning_is_told(opened):
    repairs = [{"repair": "K1", "done_on": "2024-09-14", "serial": "C2", "action": "clean", "planned": "no"}]
    house = opened(**tables() | {"repairs": repairs})
    quiet = siblings(house).set_index("serial")["quiet_years"]
    assert quiet["C2"] == 0 and quiet["C3"] == 10
    assert known_good(house, "C1") == "C3"
    happened = what_happened(house).facts
    assert (happened.faults, happened.cleanings, happened.cleanings_ever) == (0, 1, 1)
