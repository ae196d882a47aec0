"""What the report says of capacitance left where readings do not tell when a fifth of it was gone."""

from maintkit.questions.drying_out import Crossing, DryingOut, Place
from maintkit.report.templates import plain_text, told


def place(name, share, *crossings):
    return Place(name, 40.0, 12, 6, (12.0,) * 12, (share,) * 12, (), (), crossings)


def said(template, block, *places, fastest=None):
    """The words of twelve readings a place, all of parts twelve powered years old."""
    facts = DryingOut("elko", "Heron", "bay", 24, 12, 0, places, fastest, None)
    return plain_text(told(template, facts)[block])


def test_a_loss_whose_day_is_not_known_is_not_said_to_be_none():
    """All at one age: a third is gone, and no line in time can be drawn through them."""
    text = said("part_drying", "text", place("A", 0.95), place("C", 0.63))
    title = said("drying_out", "title", place("A", 0.95), place("C", 0.63))
    assert "When a fifth is gone cannot be told from these readings" in text and "No place shows" not in text
    assert "do not tell when a fifth of the capacitance is gone" in title and "no steady loss" not in title


def test_one_place_of_which_it_is_known_is_told_alone():
    known = place("C", 0.7, Crossing(0.2, 9.0, 8.0, 10.0, False))
    text = said("part_drying", "text", place("A", 0.95), known, fastest=known)
    assert "In bay C a fifth of the capacitance is gone after 9 powered years" in text
    assert "of no other place is it known" in text
