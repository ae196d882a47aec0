"""With the least a record book can hold, every question answers in a sentence, and none with a traceback."""

import pytest

from maintkit.report.answers import CHAPTERS
from maintkit.review import quarterly_review

QUESTIONS = [question for chapter in CHAPTERS for question in chapter.questions]


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.__name__)
def test_required_tables_alone_bring_a_sentence(opened, least, question):
    title = question(opened(**least)).title
    assert title.endswith(".")
    assert "nan" not in title.lower().replace("nanc", "")


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.__name__)
def test_one_desk_and_one_ticket_bring_a_sentence(opened, least, question):
    book = opened(desks=least["desks"][:1], tickets=least["tickets"][:1], repairs=least["repairs"][:1])
    assert question(book).title.endswith(".")


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question.__name__)
def test_a_ticket_without_any_repair_brings_a_sentence(opened, least, question):
    assert question(opened(desks=least["desks"], tickets=least["tickets"])).title.endswith(".")


def test_the_whole_review_says_which_tables_would_let_it_answer_more(opened, least):
    review = quarterly_review(opened(**least))
    said = " ".join(review["sound-records"].caveats)
    for table in ("modules", "fitments", "parts_list"):
        assert table in said
