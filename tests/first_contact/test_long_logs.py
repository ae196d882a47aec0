"""A draft of a long log takes as long as its rows, not as their square."""

from time import perf_counter
from types import SimpleNamespace

from maintkit.records.headings.rooms import is_one_a_desk

ROWS = 20_000  # with a pass over all rows for each of them it takes half a minute


def column_of(*cells):
    return SimpleNamespace(column=[cells[at % len(cells)] for at in range(ROWS)])


def test_rooms_of_a_long_log_are_told_from_slots_in_one_pass():
    desks, rooms = column_of("Curlew", "Heron"), column_of("Room A", "Room B")
    slots = column_of(*(str(slot) for slot in range(47)))
    began = perf_counter()
    assert is_one_a_desk(desks, rooms)
    assert not is_one_a_desk(desks, slots)
    assert perf_counter() - began < 5
