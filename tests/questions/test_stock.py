"""When the last of a part is gone: only where it was counted."""

import pytest

from maintkit import last_of_them
from tests.questions.test_decisions_with_little import tables

USED = [("C1", "chip", "2016-05-01"), ("C2", "chip", "2019-05-01")]


def test_what_was_never_counted_has_no_end(opened):
    found = last_of_them(opened(**tables(USED)))
    assert found.title == (
        "1 kind of part no longer made, none of which was ever counted: a stock table would let it be told "
        "when the last one is gone (2 uses on record, 0 in donors)."
    )
    assert found.table[["years", "years_with_donors"]].isna().all(axis=None)
    assert found.figure is None


def test_what_was_counted_as_none_is_gone(opened):
    book = opened(**tables(USED), stock=[{"part_type": "chip", "counted_on": "2024-01-02", "on_hand": 0}])
    assert last_of_them(book).table["years"].tolist() == [pytest.approx(0)]


def test_what_was_counted_is_said_to_last(opened):
    book = opened(**tables(USED), stock=[{"part_type": "chip", "counted_on": "2024-01-02", "on_hand": 3}])
    assert last_of_them(book).title.startswith("The last chip is gone in about ")


def test_where_the_records_began_on_the_last_day_no_end_is_told(opened):
    book = tables(
        [("C1", "chip", "2024-09-30")],
        stock=[{"part_type": "chip", "counted_on": "2024-09-30", "on_hand": 3}],
    )
    found = last_of_them(opened(**book | {"desks": [{**book["desks"][0], "records_from": "2024-09-30"}]}))
    assert found.title == (
        "1 kind of part no longer made, but the records are of a day: it takes some time to tell what is used a year, "
        "and so when the last one is gone (1 use on record, 0 in donors)."
    )
    assert found.table[["used_per_year", "years", "years_with_donors"]].isna().all(axis=None)
    assert found.figure is None
