"""What texts and states of reports say of what a report proved to be, and what only seems to say it."""

import pytest

from maintkit.records.headings.outcomes import outcome_in_text
from maintkit.records.headings.part_kinds import work_in_text
from maintkit.records.headings.words import meaning_of_cell
from tests.first_contact.as_drafted import loaded

COMPLAINTS = (
    "EQ button does nothing",
    "nothing happens when I press mute",
    "nothing comes out",
    "no sound, nothing on the meter",
    "dead, nothing",
    "aux send doesn't do anything",
    "no signal, same problem as last week",
    "Taste tut nichts",
    "beim Drücken passiert nichts",
    "da kommt nix raus",
    "kein Ton, nichts am Instrument",
)
OUTCOMES = (
    "nothing",
    "checked, nothing",
    "listened for an hour, found nothing",
    "nothing found",
    "nothing wrong with it",
    "could not find any fault",
    "did not happen on the bench",
    "could not hear anything",
    "nichts",
    "geprüft, nichts",
    "habe nichts gefunden",
    "kein Fehler feststellbar",
)


@pytest.mark.parametrize("text", COMPLAINTS)
def test_nothing_that_a_control_does_is_a_complaint_and_no_outcome(text):
    assert meaning_of_cell("outcome", text) == outcome_in_text(f"ch 4 {text}") == ""


@pytest.mark.parametrize(
    "text", ("EQ button does nothing", "nothing happens", "da kommt nix raus", "does not do anything")
)
def test_nothing_that_a_control_does_is_no_work(text):
    assert work_in_text(f"ch 4 {text}") == "" and work_in_text(f"ch 4 {text}, relay replaced") == "replace"


@pytest.mark.parametrize("text", OUTCOMES)
def test_nothing_found_is_an_outcome(text):
    assert meaning_of_cell("outcome", text) == "no fault found"


TITLES = """Number,Created,Title,Description,State,Desk
1,2026-01-05,low cut of 7,the low cut of ch 7 has no effect,closed,Heron
2,2026-01-12,gone on its own,ch 9 hummed this morning,closed,Heron
3,2026-01-19,mic 12 crackles,crackle on ch 12,closed,Heron
4,2026-02-02,no level on 3,ch 3 lost its level,waiting for parts,Heron
5,2026-02-09,dull 4,ch 4 dull,closed,Heron
6,2026-02-16,works fine since noon,ch 5 was dead until noon,open,Heron
7,2026-02-17,all ok but hum on 6,ch 6 hums,closed,Heron
"""


def test_a_column_of_complaints_makes_no_outcome_where_another_says_how_far_reports_are(tmp_path):
    records, draft = loaded(tmp_path, "requests.csv", TITLES)
    assert 'from = "State"' in draft and 'from = "Title"' not in draft
    told = "select ticket, outcome from tickets where outcome <> 'fault found' order by ticket"
    assert records.connection.sql(told).fetchall() == [("4", "open"), ("6", "open")]
    records.close()
