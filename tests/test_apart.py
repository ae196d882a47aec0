"""A second process answers as this one would, from the same records, and is done without where it cannot."""

import json

import pytest

from maintkit import apart, open_quarter, review
from maintkit.apart import Apart, is_small
from maintkit.chapters import Chapter
from maintkit.quarter.quarter import Quarter
from maintkit.questions.happened import what_happened
from maintkit.records.store import Records, load_into
from tests.demo import truth


def lost(quarter):
    """A question that cannot be answered, for no part of the quarter is what it asks for."""
    return quarter.nowhere


@pytest.fixture(scope="module")
def quarter():
    return open_quarter(truth.DATA_DEMO, "2026Q3")


def test_it_answers_as_this_process_does(quarter):
    here, there = what_happened(quarter), Apart(quarter, (what_happened,)).answers()[what_happened]
    assert there.as_json() == here.as_json()
    assert json.loads(there.figure.to_json()) == json.loads(here.figure.to_json())


def test_it_sees_the_records_as_they_were_opened_and_not_as_the_files_are_now(facility):
    desk = {"desk": "Heron", "family": "longshore", "coupling": "dc", "records_from": "2024-01-01"}
    book = facility(
        desks=[desk],
        tickets=[{"ticket": "T1", "raised_on": "2024-05-02", "desk": "Heron", "minutes_lost": 10}],
    )
    book.execute("delete from tickets")
    book.execute("insert into desks select * replace ('Curlew' as desk) from desks")
    answers = Apart(Quarter(Records(book, "a folder that is not there"), "2024Q2"), (held,)).answers()
    assert answers == {held: (["Curlew", "Heron"], 0)}


def held(quarter):
    """What stands in the records: desks, and how many tickets."""
    return sorted(quarter.table("desks")["desk"]), len(quarter.table("tickets"))


def test_a_store_is_read_where_it_lies(tmp_path):
    store = tmp_path / "it's kept.duckdb"
    load_into(store, truth.DATA_DEMO)
    opened = open_quarter(store, "2026Q3")
    assert Apart(opened, (held,)).answers()[held] == held(opened)


def test_where_it_fails_there_is_no_answer(quarter):
    assert Apart(quarter, (held, lost)).answers() == {}


def test_a_review_is_whole_without_it(quarter, monkeypatch):
    monkeypatch.setattr(apart, "ANSWER", "raise SystemExit(1)")
    monkeypatch.setattr(
        review, "CHAPTERS", (Chapter("One", "Of one question.", (review.forecast_and_fact,)),)
    )
    assert "forecast-and-fact" in review.quarterly_review(quarter).findings


def test_a_large_book_is_not_held_twice(quarter, monkeypatch):
    assert is_small(quarter)
    monkeypatch.setattr(apart, "LARGEST", 1000)
    assert not is_small(quarter)
