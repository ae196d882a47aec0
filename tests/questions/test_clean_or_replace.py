"""Clean or replace, by what followed on the same module."""

import pytest

from maintkit import clean_or_replace, hot_bays
from maintkit.questions.clean_or_replace import facts
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
