"""Which reports stay without an outcome: a complaint with its cause behind it is a fault found, and what waits is not."""

import pytest

from maintkit.records.known_words.outcomes import outcome_in_text
from tests.first_contact.as_drafted import loaded

DIARY = """07.01.2025 Heron ch 14 no signal, relay replaced
07.01.2025 Heron ch 29 low output, coupling caps
14.01.2025 Tern ch 3 fader scratchy, cleaned
14.01.2025 Tern ch 6 hum, check caps
06.02.2025 Heron ch 31 EQ dead, IC5
06.02.2025 Heron ch 8 distorted when hot, waiting for a new cap
03.03.2025 Tern ch 9 crackles on send, pan, fader
03.03.2025 Heron ch 2 dull. Output cap shorted, took out R6 as well
03.03.2025 Heron ch 11 meter stuck at the end stop, freed it
"""


def test_a_complaint_with_the_part_that_was_the_cause_behind_it_is_a_fault_found(tmp_path):
    records, _ = loaded(tmp_path, "diary.txt", DIARY)
    told = records.connection.sql(
        "select position, outcome from tickets order by raised_on, position"
    ).fetchall()
    work = records.connection.sql("select action, ref from repairs where ref is not null").fetchall()
    records.close()
    assert told == [
        ("ch 14", None), ("ch 29", "fault found"), ("ch 3", None), ("ch 6", None), ("ch 31", "fault found"), ("ch 8", None),
        ("ch 11", "fault found"), ("ch 2", "fault found"), ("ch 9", None),
    ]  # fmt: skip
    assert work == [("replace", "IC5")]


@pytest.mark.parametrize(
    "text",
    ("hum, cap?", "hum, maybe IC3", "spares: caps", "no signal, needs a relay", "crackles, fader dead", "hum, not the cap", "dead, no fuse"),
)  # fmt: skip
def test_a_part_that_is_asked_about_wanted_guessed_or_complained_of_is_no_cause(text):
    assert outcome_in_text(f"ch 4 {text}") != "fault found"
