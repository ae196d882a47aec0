"""Which reports stay without an outcome: a complaint with its cause behind it is a fault found, and what waits is not."""

import pytest

from maintkit.records.known_words.outcomes import outcome_in_text
from maintkit.records.store import open_records
from tests.first_contact.as_drafted import drafted, loaded
from tests.first_contact.test_shapes_of_books import workbook

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


NOTES = {
    "Hall": {
        1: "12/11/24 crackle, pan pot, cleaned\n3/2/25 recap",
        2: "9/10/24 hum, C7\n2/9/25 fader scratchy",
        3: "22/10/24 no output - coupling cap\n28/1/25 no output again",
        4: "4/12/24 EQ dead\n8/7/25 aux 5 missing",
        5: "11/2/25 reported dead, fader was down\n23/4/25 hum; waiting for recap",
        6: "7/1/25 phantom missing",
    },
    "Annexe": {
        1: "14/11/24 mute lamp\n20/2/25 EQ no effect",
        2: "5/12/24 fader sticking\n17/4/25 fader sticking again",
        3: "9/1/25 dead\n13/3/25 user says hum, own laptop",
    },
}
OUTCOMES = "select desk, outcome, count(*) from tickets group by all order by all"


def notes(folder, told):
    rows = {desk: [("Ch", "History"), *slots.items()] for desk, slots in told.items()}
    workbook(folder, "channels.xlsx", **rows)
    drafted(folder)
    records = open_records(folder)
    found = records.connection.sql(OUTCOMES).fetchall()
    records.close()
    return found


def test_notes_that_pile_up_beside_a_slot_are_faults_on_every_sheet_but_where_they_say_otherwise(tmp_path):
    assert notes(tmp_path, NOTES) == [
        ("Annexe", "fault found", 5),
        ("Annexe", "not the desk", 1),
        ("Hall", "fault found", 8),
        ("Hall", "not the desk", 1),
        ("Hall", "open", 1),
    ]


def test_notes_of_which_some_are_followed_by_their_work_are_open_until_it_is_told(tmp_path):
    slots = NOTES["Hall"] | {6: "7/1/25 phantom missing\n9/1/25 resistor replaced"}
    assert ("Hall", None) in [one[:2] for one in notes(tmp_path, NOTES | {"Hall": slots})]
