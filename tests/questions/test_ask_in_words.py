"""A slot asked for in words: found where desk and slot stand among them, and else one sentence says what can be asked."""

import pytest

from maintkit.ask import ask
from maintkit.errors import MaintkitError

ROWS = (
    "T1,2025-01-06,Knot,7,crackle",
    "T2,2025-02-03,Main Desk,Grp 2,hum",
    "T3,2025-03-04,Main Desk,12,no sound at all",
)


@pytest.fixture
def place(tmp_path):
    (tmp_path / "tickets.csv").write_text(
        "\n".join(("ticket,raised_on,desk,position,symptom", *ROWS)) + "\n", encoding="utf-8"
    )
    return tmp_path


@pytest.mark.parametrize(
    ("words", "heading"),
    [
        (["Knot 7"], "Knot 7"),
        (["knot, ch 7?"], "Knot 7"),
        (["Knot 7 crackles again"], 'Knot 7, "crackles again"'),
        (["crackle on Knot 7"], 'Knot 7, "crackle on"'),
        (["main desk grp 2", "hum"], 'Main Desk Grp 2, "hum"'),
        (["Main Desk 12: dull"], 'Main Desk 12, "dull"'),
        (["Main Desk", "12", "dull"], 'Main Desk 12, "dull"'),
    ],
)
def test_desk_and_slot_are_found_among_words(place, words, heading):
    assert ask(*words, records=place).splitlines()[0] == heading


@pytest.mark.parametrize("words", ["which channel is worst", "is it hum", "what about Knot 9?"])
def test_a_question_without_a_slot_on_record_is_told_what_can_be_asked(place, words):
    with pytest.raises(MaintkitError) as caught:
        ask(words, records=place)
    assert str(caught.value) == (
        'Ask answers no question in words, but a desk, a slot and what it does there: maintkit ask "Main Desk" 12 "no sound at all"; '
        "maintkit ask alone says what is open, and maintkit review what to work on first and which parts to order."
    )


@pytest.mark.parametrize(
    ("name", "said"), [("Knot", "Knot is a desk: give the slot too."), ("Knut-7", "Serial: found 'Knut-7'.")]
)
def test_a_name_alone_is_still_taken_as_one(place, name, said):
    with pytest.raises(MaintkitError) as caught:
        ask(name, records=place)
    assert str(caught.value).startswith(said)
