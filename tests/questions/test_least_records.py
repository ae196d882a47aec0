"""With the least a record book can hold, every question answers in a sentence, and none with a traceback."""

from functools import cache

import pytest

from maintkit.quarter.quarter import Quarter
from maintkit.records.store import Records
from maintkit.report.answers import CHAPTERS
from maintkit.review import quarterly_review
from tests.conftest import DESKS, REPAIRS, TICKETS, small_facility

QUESTIONS = [question for chapter in CHAPTERS for question in chapter.questions]


BOOKS = {
    "required tables": {"desks": DESKS, "tickets": TICKETS, "repairs": REPAIRS},
    "one desk, one ticket": {"desks": DESKS[:1], "tickets": TICKETS[:1], "repairs": REPAIRS[:1]},
    "no repair": {"desks": DESKS, "tickets": TICKETS},
}


@cache
def gathered(book):
    """The records of a book and the evidence in them."""
    records = Records(small_facility(**BOOKS[book]), "small")
    return records, Quarter(records, "2024Q3").evidence


@pytest.mark.parametrize("book", BOOKS)
@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.__name__)
def test_the_least_brings_a_sentence_whatever_is_asked_first(book, question):
    records, evidence = gathered(book)
    quarter = Quarter(records, "2024Q3")
    quarter.evidence = evidence
    title = question(quarter).title
    assert title.endswith(".")
    assert "nan" not in title.lower().replace("nanc", "")


def test_the_whole_review_says_which_tables_would_let_it_answer_more(opened, least):
    review = quarterly_review(opened(**least))
    said = " ".join(review["sound-records"].caveats)
    for table in ("modules", "fitments", "parts_list"):
        assert table in said
