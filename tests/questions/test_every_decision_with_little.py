"""Every decision asked of every small and degenerate record book: each says a sentence that is true of it."""

import re
from functools import cache

import pytest

from maintkit import (
    comes_back,
    cooler_air,
    held_against_siblings,
    held_by_recaps,
    keep_or_strip,
    last_of_them,
    off_at_night,
    one_more_spare,
    order_parts,
    parts_from_donors,
    plan_buys,
    pull_next,
    pulled_capacitors,
    recap_cost,
    recap_money,
    recaps_left,
    when_to_recap,
)
from maintkit.decide.plan_worth import Overhaul
from maintkit.quarter.quarter import Quarter
from maintkit.records.store import Records
from tests.conftest import small_facility
from tests.questions.test_decisions_with_little import SERIALS, tables, worn

QUESTIONS = (
    pull_next,
    plan_buys,
    when_to_recap,
    recap_cost,
    recaps_left,
    keep_or_strip,
    one_more_spare,
    parts_from_donors,
    order_parts,
    last_of_them,
    cooler_air,
    off_at_night,
    held_against_siblings,
    held_by_recaps,
    comes_back,
    recap_money,
    pulled_capacitors,
)
BOOK = tables(worn())
CAP, CHIP = BOOK["part_types"]
EMPTY = [{"part_type": name, "on_hand": 0, "counted_on": "2024-09-01"} for name in ("cap", "chip")]
SCRAPPED = [
    {"repair": f"S{number}", "done_on": "2024-09-01", "serial": serial, "action": "scrap", "planned": "yes"}
    for number, serial in enumerate(SERIALS[:4])
]
TICKETS = [
    {
        "ticket": f"T{number}",
        "raised_on": row["done_on"],
        "desk": "Curlew",
        "position": row["serial"][1:],
        "symptom": "hum",
        "outcome": "fault found",
        "minutes_lost": 60,
    }
    for number, row in enumerate(BOOK["repairs"])
]
ANSWERED = [{**row, "ticket": ticket["ticket"]} for row, ticket in zip(BOOK["repairs"], TICKETS, strict=True)]
LEAST = {
    "desks": BOOK["desks"],
    "tickets": [
        {
            "ticket": "T1",
            "raised_on": "2024-05-02",
            "desk": "Curlew",
            "position": "1",
            "symptom": "crackle",
            "outcome": "fault found",
        }
    ],
    "repairs": [
        {
            "repair": "R1",
            "done_on": "2024-05-03",
            "desk": "Curlew",
            "position": "1",
            "ticket": "T1",
            "action": "clean",
            "cause": "confirmed",
            "planned": "no",
        }
    ],
}
BOOKS = {
    "nothing failed": tables(),
    "one module": tables([("C1", "cap", f"20{year}-05-01") for year in range(16, 23)], modules=1),
    "no minutes": BOOK,
    "minutes known": BOOK | {"tickets": TICKETS, "repairs": ANSWERED},
    "no cost, no stock, long to wait": BOOK
    | {
        "part_types": [
            {"part_type": "cap", "kind": "electrolytic", "obtainable": "yes", "lead_time_days": 300},
            CHIP,
        ],
        "stock": EMPTY[:1],
    },
    "nothing to wait for": BOOK | {"part_types": [{**CAP, "lead_time_days": 0}, CHIP], "stock": EMPTY},
    "no electrolytics": BOOK | {"part_types": [{**CAP, "kind": "film"}, CHIP]},
    "no modules": {name: BOOK[name] for name in ("desks", "part_types", "parts_list")},
    "all scrapped": BOOK | {"repairs": BOOK["repairs"] + SCRAPPED},
    "desk retired": BOOK | {"desks": [{**BOOK["desks"][0], "retired_on": "2024-06-30"}]},
    "least": LEAST,
}
NO_CAPS = "No electrolytic of known number is in any desk; parts_list, modules and fitments would let the re-cap be reckoned."
TOO_FEW = "Planned re-capping is not shown to pay by these records: in saltmarsh too few failures to say (0 failures)."
ALONE = "Planned re-capping is not shown to pay by these records: in saltmarsh it is not shown to pay within 60 powered years (7 failures)."
NEVER_BACK = "Nothing on record came back 3 times for one symptom within two years, was cleaned as often, or came back worse"
NO_FITMENT = "No module's stay in a slot is on record, so no work can be set against untouched siblings; fitments would let it."
NO_SIBLINGS = (
    "No piece of work can be set against untouched siblings: it takes a year of records before it, some days after it "
    "and a module of the same type and as many faults that nobody worked on."
)
NO_PULL = (
    "No module of a kind now in service was pulled on record, so the worth of a spare cannot be told; tickets with serials "
    "or fitments would let it."
)
NO_SLOT = "No slot of a desk in service is on record, so nothing can be said of heat or hours; desks and fitments would let it."
IN_NO_DESK = (
    "Pull no module for overhaul in 2024Q4. No module is on record as sitting in a desk in service; fitments would say "
    "where they are."
)
WITHOUT_CAPS = {
    "when_to_recap": NO_CAPS,
    "recap_cost": f"No cost curve is drawn. {NO_CAPS}",
    "recaps_left": NO_CAPS,
}
# What is said where a book gives no reason to say another thing: that of four modules whose twelve faults are on record.
USUAL = {
    "pull_next": "Pull no module for overhaul in 2024Q4. No session minute is on record as lost to a fault, so none can be saved; "
    "the column minutes_lost would say.",
    "when_to_recap": "Re-capping pays for 1 of 1 kind of board, soonest saltmarsh channel: anywhere from 14 to 18 powered years costs within 5 % of the least. 4 modules of 4 are past the interval of least cost.",
    "recap_cost": "saltmarsh channel costs within 5 % of the least re-capped anywhere from every 14 to every 18 powered years: 0.075 hours a year.",
    "recaps_left": "4 boards with electrolytics in service, never re-capped on record; 4 are past the interval.",
    "keep_or_strip": "No donor modules on record: every module on the roster sits in a desk in service.",
    "one_more_spare": "Enough for 95 % of pulls to find a spare at once: 2 channel (8 faults, each taken for a pull).",
    "parts_from_donors": "No part is on record as taken from a donor; the column donor_serial of repairs would say.",
    "order_parts": "2 kinds of part are on record but none was ever counted: a stock table would let the order be reckoned.",
    "last_of_them": "1 kind of part no longer made, none of which was used on record: no end can be told.",
    "cooler_air": "The makers' law counts air below 40 °C as 40, so by it air 5 °C cooler would change nothing on Curlew; these "
    "records cannot tell.",
    "off_at_night": "If switching on and off costs nothing, which these records cannot know, and if the desks are on 168 hours a week "
    "now, which nobody wrote down, 84 powered hours a week would bring faults a year: Curlew from 3.1 to 1.7 (0.7 to 3.1).",
    "held_against_siblings": "0 faults within 30 days of 5 pieces of work: it takes 5 to say whether work holds.",
    "held_by_recaps": "In no group of boards did 5 faults follow work within 30 days: too few to say whether re-capped boards hold "
    "worse.",
    "comes_back": f"{NEVER_BACK} (12 faults, 12 pieces of work).",
    "recap_money": "No re-cap is on record, so nothing can be said of what re-capping brings.",
    "pulled_capacitors": "No capacitance was measured on record. Measure those pulled in the next re-cap, with place and first "
    "value, before the bay after is decided.",
}
SAID = {
    "nothing failed": {
        "pull_next": "0 faults of known modules on record: it takes 5 to say which overhaul saves most. Keep logging.",
        "when_to_recap": TOO_FEW,
        "recap_cost": f"No cost curve is drawn. {TOO_FEW}",
        "recaps_left": "4 boards with electrolytics in service, never re-capped on record; of none is an interval known.",
        "one_more_spare": NO_PULL,
        "cooler_air": "0 faults on record at slots of known air temperature: it takes 5 to say what cooler air would bring.",
        "off_at_night": "0 faults on record: it takes 5 to say what fewer powered hours would bring.",
        "held_against_siblings": NO_SIBLINGS,
        "comes_back": f"{NEVER_BACK} (0 faults, 0 pieces of work).",
    },
    "one module": {
        # One module tells nothing of how modules differ, so its parts may be better or worse than those of any other.
        "when_to_recap": ALONE,
        "recap_cost": f"No cost curve is drawn. {ALONE}",
        "recaps_left": "1 board with electrolytics in service, never re-capped on record; of none is an interval known.",
        "one_more_spare": "Enough for 95 % of pulls to find a spare at once: 1 channel (7 faults, each taken for a pull).",
        "off_at_night": "If switching on and off costs nothing, which these records cannot know, and if the desks are on 168 hours a "
        "week now, which nobody wrote down, 84 powered hours a week would bring faults a year: Curlew from 0.7 to 0.4 (0.2 to 0.8).",
        "held_against_siblings": NO_SIBLINGS,
        "comes_back": f"{NEVER_BACK} (7 faults, 7 pieces of work).",
    },
    "no cost, no stock, long to wait": {
        "order_parts": "Order 7 cap: cost not known, for part_types names no unit_cost. Most likely to run out before an order "
        "comes: cap, 87 % (0 in stock, 2.7 used a year, 300 days to get).",
    },
    "nothing to wait for": {
        "order_parts": "Order 2 cap: cost 1. None is likely to run out before an order comes."
    },
    "no electrolytics": {
        "pull_next": "Pull no module for overhaul in 2024Q4. No electrolytic of known number is in any of them; modules and "
        "parts_list would let the overhaul be reckoned.",
        **WITHOUT_CAPS,
        "cooler_air": "No electrolytic is in a desk in service at a slot of known air temperature, so cooler air would change "
        "nothing that can be told.",
    },
    "no modules": {
        "pull_next": "0 faults of known modules on record: it takes 5 to say which overhaul saves most. Keep logging.",
        **WITHOUT_CAPS,
        "one_more_spare": NO_PULL,
        "cooler_air": NO_SLOT,
        "off_at_night": NO_SLOT,
        "keep_or_strip": "No donor modules on record, for no module is; modules and fitments would say what there is and where.",
        "held_against_siblings": NO_FITMENT,
        "held_by_recaps": NO_FITMENT,
        "comes_back": f"{NEVER_BACK} (0 faults, 0 pieces of work).",
    },
    "all scrapped": {
        "pull_next": IN_NO_DESK,
        **WITHOUT_CAPS,
        "one_more_spare": NO_PULL,
        "keep_or_strip": "No donor modules on record: every module on the roster sits in a desk in service or was scrapped (4).",
        "cooler_air": "No electrolytic is in a desk in service at a slot of known air temperature, so cooler air would change "
        "nothing that can be told.",
        "off_at_night": "No module is on record as sitting in a desk in service, so nothing can be said of fewer powered hours.",
        "comes_back": f"{NEVER_BACK} (12 faults, 16 pieces of work).",
    },
    "desk retired": {
        "pull_next": IN_NO_DESK,
        **WITHOUT_CAPS,
        "one_more_spare": NO_PULL,
        "cooler_air": NO_SLOT,
        "off_at_night": NO_SLOT,
        "keep_or_strip": "4 modules in no desk, but no pull and no use of a scarce part is on record, so none shows a worth yet.",
    },
    "least": {
        "pull_next": "1 fault of known modules on record: it takes 5 to say which overhaul saves most. Keep logging.",
        **WITHOUT_CAPS,
        "one_more_spare": NO_PULL,
        "order_parts": "No part type is on record, so nothing can be ordered by these records; a part_types table and a stock "
        "count would let it.",
        "last_of_them": "No part is marked as no longer made; the column obtainable of part_types would say.",
        "cooler_air": "No air temperature of any slot is on record, so nothing can be said of heat; the column air_c of positions "
        "would let it.",
        "off_at_night": "1 fault on record: it takes 5 to say what fewer powered hours would bring.",
        "held_against_siblings": f"{NO_SIBLINGS} No fault was found in 0 of 1 ticket.",
        "comes_back": f"{NEVER_BACK} (1 fault, 1 piece of work).",
    },
}


@cache
def quarter(book: str) -> Quarter:
    return Quarter(Records(small_facility(**BOOKS[book]), "small"), "2024Q3")


def expected_title(book: str, question: str) -> str:
    """What is said of the plan's worth goes with what is said of the plan."""
    said = {**USUAL, **SAID.get(book, {})}
    return (
        said["pull_next"].replace(
            "Pull no module for overhaul in 2024Q4.", "There is no plan to set against other ways."
        )
        if question == "plan_buys"
        else said[question]
    )


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.__name__)
@pytest.mark.parametrize("book", [book for book in BOOKS if book != "minutes known"])
def test_the_sentence_is_true_of_the_book(book, question):
    finding = question(quarter(book))
    assert finding.title == expected_title(book, question.__name__)
    assert all(caveat.endswith((".", '."')) and "nan" not in caveat.split() for caveat in finding.caveats)


@pytest.mark.parametrize(
    ("asked", "title"),
    [
        (
            {},
            "Pull 4 modules for overhaul in 2024Q4 and 4 by the end of 2025Q3, FOUR first. That takes 4 of 320 bench hours",
        ),
        (
            {"bench_hours": 0},
            "Pull no module for overhaul in 2024Q4. No overhaul fits: the bench hours, spares or stock do not suffice "
            "for one module.",
        ),
        (
            {"bench_hours": 1},
            "Pull 1 module for overhaul in 2024Q4 and 1 by the end of 2025Q3, ONE first. That takes 1 of 4 bench hours",
        ),
        (
            {"least_minutes": 1e6},
            "Pull no module for overhaul in 2024Q4. None would save as much as is asked for: the best, C",
        ),
        ({"spares": {}}, "Pull 4 modules for overhaul in 2024Q4"),
        (
            {"overhaul": Overhaul(years=0.01)},
            "Pull no module for overhaul in 2024Q4. No overhaul saves anything: new capacitors would "
            "fail no less than those that are in.",
        ),
    ],
)
def test_hours_spares_and_what_is_asked_for_bind_the_plan(asked, title):
    """The four modules are alike, 3 faults of 60 minutes each, so chance alone puts them in an order."""
    one = "C[1-4]"
    expected = re.escape(title).replace("FOUR", f"{one}, {one}, {one} and {one}").replace("ONE", one)
    assert re.match(expected, pull_next(quarter("minutes known"), **asked).title)


def test_stock_that_does_not_suffice_holds_the_plan_back_until_more_can_be_there():
    def planned(on_hand, lead_days, free_from, obtainable="yes"):
        gap = [{"desk": "Curlew", "free_from": free_from, "free_to": "2024-12-20"}]
        book = BOOKS["minutes known"] | {
            "part_types": [{**CAP, "lead_time_days": lead_days, "obtainable": obtainable}, CHIP],
            "bookings": gap,
            "stock": [{"part_type": "cap", "on_hand": on_hand, "counted_on": "2024-09-01"}],
        }
        return pull_next(Quarter(Records(small_facility(**book), "small"), "2024Q3"))

    held = planned(45, 60, "2024-10-10")  # 20 capacitors a module
    assert len(held.table) == 2
    assert any(
        caveat.startswith("With half as many parts in stock again it would save about ")
        for caveat in held.caveats
    )
    assert len(planned(45, 5, "2024-10-10").table) == 4  # more are there before the gap begins
    assert len(planned(45, 60, "2024-12-10").table) == 4
    assert len(planned(45, 60, "2024-12-10", obtainable="no").table) == 2
    assert [len(planned(45, None, day).table) for day in ("2024-10-20", "2024-11-05")] == [
        2,
        4,
    ]  # 30 days where none is named


def test_parts_in_lists_that_are_of_no_known_kind_are_named_where_no_electrolytic_is_known():
    book = BOOKS["nothing failed"] | {"part_types": [CHIP]}
    said = when_to_recap(Quarter(Records(small_facility(**book), "small"), "2024Q3")).title
    assert said == (
        "No electrolytic of known number is in any desk; of what kind these are that parts_list has, no row of part_types says: cap."
    )
