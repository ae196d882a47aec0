from datetime import date
from operator import attrgetter

import pytest

from maintkit import what_happened
from maintkit.quarter.of_module import rows_of
from maintkit.quarter.quarter import last_complete_quarter, open_quarter, quarter_days, quarter_of
from maintkit.quarter.slots import natural, slots_in_service
from maintkit.records.errors import RecordsError
from maintkit.records.store import Records


@pytest.mark.parametrize(
    "label, first, last",
    [
        ("2026Q1", date(2026, 1, 1), date(2026, 3, 31)),
        ("2024Q1", date(2024, 1, 1), date(2024, 3, 31)),
        ("2026Q2", date(2026, 4, 1), date(2026, 6, 30)),
        ("2026Q4", date(2026, 10, 1), date(2026, 12, 31)),
    ],
)
def test_a_quarter_has_its_days(label, first, last):
    assert quarter_days(label) == (first, last)
    assert quarter_of(first) == quarter_of(last) == label


@pytest.mark.parametrize("label", ["2026-3", "2026Q5", "26Q3", "", "2026q3", None])
def test_a_label_that_is_none_is_refused_in_a_sentence(label):
    with pytest.raises(RecordsError) as error:
        quarter_days(label)
    assert (
        str(error.value)
        == f"Quarter: found {str(label)!r}. A quarter is a year, Q and 1 to 4. Write it like 2026Q3."
    )


@pytest.mark.parametrize(
    "last, label",
    [
        (date(2026, 9, 30), "2026Q3"),
        (date(2026, 9, 20), "2026Q3"),
        (date(2026, 9, 10), "2026Q2"),
        (date(2026, 12, 31), "2026Q4"),
        (date(2026, 10, 2), "2026Q3"),
    ],
)
def test_the_last_complete_quarter_allows_a_fortnight_without_an_entry(last, label):
    assert last_complete_quarter(last) == label


def test_a_quarter_after_the_last_entry_opens_and_knows_that_nothing_was_written_down(facility, least):
    book = open_quarter(Records(facility(**least), "small"), "2025Q1")
    assert (book.is_kept, book.last_entry, book.last_day) == (False, date(2024, 8, 5), date(2025, 3, 31))
    assert book.evidence.record_end == date(2024, 8, 5)
    assert what_happened(book).title == "2025Q1: nothing was written down; the last entry is of 2024-08-05."


def test_a_quarter_without_an_entry_had_no_fault_where_later_ones_were_written_down(facility, least):
    desks = [{**desk, "records_from": "2023-01-01"} for desk in least["desks"]]
    slots = [
        {"desk": desk["desk"], "position": "1"} for desk in desks
    ]  # else tickets alone would tell of slots
    book = open_quarter(Records(facility(**{**least, "desks": desks, "positions": slots}), "small"), "2023Q3")
    assert (book.is_kept, book.last_entry, book.days, book.whole_days) == (True, None, 92, 92)
    # No fault, so no minutes to name; the quarter before is watched and without a fault too.
    assert what_happened(book).title == "2023Q3: 0 faults; 0 in the quarter before: no real change."


def test_a_quarter_not_over_is_counted_to_the_day_beside_the_same_days_before(facility, least):
    # To 5 August: 36 of 92 days. Of the tickets of 2 May and 30 June only the first lies in the first 36 days of 2024Q2.
    late = {**least["tickets"][0], "ticket": "T3", "raised_on": "2024-06-30", "closed_on": "2024-06-30"}
    book = open_quarter(
        Records(facility(**{**least, "tickets": [*least["tickets"], late]}), "small"), "2024Q3"
    )
    assert (book.last_day, book.days, book.whole_days) == (date(2024, 8, 5), 36, 92)
    assert (book.next_label, book.days_ahead) == ("2024Q4", 92)
    found = what_happened(book)
    assert found.title == (
        "2024Q3 to 2024-08-05, 36 of 92 days: 1 fault and 30 session minutes lost; "
        "1 in the same days of the quarter before: no real change."
    )
    assert found.table["powered_years"].tolist() == pytest.approx([36 * 24 / 8766] * 2)


def test_a_quarter_before_the_records_is_refused(facility, least):
    records = Records(facility(**least), "small")
    with pytest.raises(RecordsError) as error:
        open_quarter(records, "2023Q4")
    assert str(error.value) == (
        "Quarter 2023Q4 ends on 2023-12-31, but the records of the first desk begin on 2024-01-01. "
        "Choose 2024Q1 or later."
    )
    assert open_quarter(records, "2024Q1").label == "2024Q1"


def test_records_of_less_than_a_quarter_open_as_far_as_they_go(facility, least):
    begun = [{**desk, "records_from": "2024-07-15"} for desk in least["desks"]]
    book = open_quarter(Records(facility(**{**least, "desks": begun}), "small"))
    assert (book.label, book.last_day) == ("2024Q3", date(2024, 8, 5))


def test_the_next_quarter_and_its_days(opened, least):
    book = opened("2023Q4", **least)
    assert (book.previous, book.next_label, book.days_ahead) == ("2023Q3", "2024Q1", 91)


def test_slots_of_a_retired_desk_are_not_in_service_and_hours_follow_the_last_regime(opened, least):
    desks = [dict(least["desks"][0], retired_on="2024-06-30"), least["desks"][1]]
    power = [
        {"desk": "Curlew", "from_on": "2024-02-01", "powered_hours_per_week": 84},
        {"desk": "Curlew", "from_on": "2024-12-01", "powered_hours_per_week": 10},
    ]
    positions = [
        {"desk": desk, "position": str(number)} for desk in ("Heron", "Curlew") for number in (10, 9, 2)
    ]
    slots = slots_in_service(opened(**{**least, "desks": desks}, power=power, positions=positions))
    assert slots["desk"].tolist() == ["Curlew"] * 3
    assert slots["position"].tolist() == ["2", "9", "10"]
    assert slots["hours_ahead"].tolist() == pytest.approx([84 * 92 / 7] * 3)


def test_slots_sort_as_people_count():
    assert sorted(["B1", "10", "9", "A10", "A9"], key=natural) == ["9", "10", "A9", "A10", "B1"]


def test_some_columns_of_a_table_have_its_rows_in_its_order(demo_quarter):
    for name, columns in (("repairs", ["action", "serial"]), ("tickets", ["symptom"])):
        assert demo_quarter.table(name, *columns).equals(demo_quarter.table(name)[columns])


@pytest.mark.parametrize(
    "name", ["fitments", "slots", "evidence.faults", "evidence.work", "forecast.modules"]
)
def test_the_rows_of_a_module_are_those_that_bear_its_serial_in_their_order(demo_quarter, name):
    whole = attrgetter(name)(demo_quarter) if name != "fitments" else demo_quarter.table(name)
    for serial in [*whole["serial"].dropna().unique()[:3], "no such module"]:
        assert rows_of(demo_quarter, name, serial).equals(whole[whole["serial"] == serial])


@pytest.mark.parametrize(
    ("days", "kept_to"),
    [
        (["2024-05-01", "2024-07-01", "2024-09-01"], None),  # months alone: to the end of the last
        (["2024-01-01", "2024-04-01", "2024-07-01", "2024-10-01"], None),  # quarters alone
        (["2024-05-01", "2024-06-01", "2024-07-01"], date(2024, 7, 31)),
        (["2024-05-01", "2024-07-02", "2024-08-01"], date(2024, 8, 1)),
        (["2024-07-01", "2024-08-01"], date(2024, 8, 1)),
    ],
)
def test_a_book_of_months_alone_was_kept_to_the_end_of_the_last(facility, least, days, kept_to):
    tickets = [{**least["tickets"][0], "ticket": f"M{at}", "raised_on": day} for at, day in enumerate(days)]
    book = least | {"tickets": tickets, "repairs": []}
    label = quarter_of(date.fromisoformat(days[-1]))
    opened = open_quarter(Records(facility(**book), "months"), label)
    assert opened.last_entry == kept_to
    assert opened.last_day == kept_to or quarter_days(label)[1]
