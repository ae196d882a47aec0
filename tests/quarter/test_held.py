"""What holds back the modules worth an overhaul, and what one spare inspected would change."""

from maintkit import pull_next
from maintkit.quarter.quarter import Quarter
from maintkit.records.prices import Prices
from maintkit.records.store import Records
from maintkit.report.deciding import decisions
from tests.conftest import small_facility
from tests.questions.test_every_decision_with_little import BOOKS

FOUR_DAYS = [
    {"desk": "Curlew", "free_from": f"{month}-10", "free_to": f"{month}-13"}
    for month in ("2024-10", "2024-11", "2024-12", "2025-01", "2025-02", "2025-03")
]
BOOK = BOOKS["minutes known"] | {"bookings": FOUR_DAYS}  # four modules, an hour of re-capping each
FEW_HOURS = 8.0  # a quarter: 0.6 h a week
A_SPARE = {"serial": "S1", "family": "saltmarsh", "module_type": "channel", "made_on": "2001-03-01"}


def planned(*, hours=FEW_HOURS, **tables):
    book = small_facility(**(BOOK | tables))
    return pull_next(Quarter(Records(book, "small"), "2024Q3"), bench_hours=hours)


def asked(finding):
    """The texts of what is to be decided, by the first words of its title."""
    made = decisions(None, {"pull_next": finding.facts}, {}, Prices())
    return {one.title.split(" on ")[0]: one.text.striptags() for one in made}


def test_what_is_too_long_for_every_gap_is_said_and_how_long_a_gap_would_have_to_be():
    found = planned()
    assert found.title == (
        "Pull no module for overhaul in 2024Q4. No overhaul fits: 4 modules of channel (saltmarsh) need 1 h at the bench each, "
        "and the longest gap of their desks, 4 days, leaves 0.6 h; no whole spare is there to put in meanwhile."
    )
    assert found.facts.gaps.least_days == 12  # an hour, of 8 in 91 days or so
    assert "4 modules are worth an overhaul" in asked(found)["Ask bookings for gaps"]
    assert "A gap of 12 days has the bench hours for any of them." in asked(found)["Ask bookings for gaps"]
    longer = [{**gap, "free_to": f"{gap['free_to'][:8]}21"} for gap in FOUR_DAYS]
    assert len(planned(bookings=longer).table) == 4


def test_what_one_spare_inspected_would_let_is_said():
    found = planned(modules=[*BOOK["modules"], A_SPARE])
    assert (found.facts.inspected.number, found.facts.inspected.pulls) == (1, 4)
    assert (
        "1 spare of channel (saltmarsh) was never inspected: with one found whole, made ready and put in "
        "meanwhile, 4 modules more could be pulled" in " ".join(found.caveats)
    )
    seen = [{"serial": "S1", "inspected_on": "2024-09-01", "condition": "working"}]
    inspected = planned(modules=[*BOOK["modules"], A_SPARE], inspections=seen)
    assert (len(inspected.table), inspected.facts.inspected) == (4, None)


def test_bookings_are_blamed_for_what_they_alone_hold_back():
    stock = [{"part_type": "cap", "on_hand": 45, "counted_on": "2024-09-01"}]
    cap = {**BOOK["part_types"][0], "obtainable": "no"}
    short = planned(hours=80.0, stock=stock, part_types=[cap, BOOK["part_types"][1]])
    assert (len(short.table), [one.why for one in short.facts.held]) == (
        2,
        [],
    )  # two have the parts of the other two
    none = planned(hours=80.0, stock=[{**stock[0], "on_hand": 15}], part_types=[cap, BOOK["part_types"][1]])
    assert ([one.why for one in none.facts.held], none.facts.gaps, asked(none)) == (["stock"], None, {})
    assert none.title.endswith(
        "parts in stock do not suffice for 4 modules of channel (saltmarsh), and no more can be there by the last "
        "gap of their desks."
    )
    free = planned(hours=80.0)
    assert len(free.table) == 4
    assert "it would save no more." in " ".join(free.caveats)


def test_the_hours_of_a_quarter_are_those_asked_for_or_of_the_prices_beside_the_records(tmp_path):
    def free(**asked):
        book = small_facility(**BOOK)
        return pull_next(Quarter(Records(book, str(tmp_path)), "2024Q3"), **asked).facts.hours_free

    assert free() == 4 * 80
    (tmp_path / "prices.toml").write_text("bench_hours_a_quarter = 60\n", encoding="utf-8")
    assert (free(), free(bench_hours=0)) == (4 * 60, 0)
