"""How far a curve of survival may go on."""

import pandas as pd

from maintkit.questions.surviving import _surviving, _watched_to

HOURS = 8766.0


def spells(rows):
    """Rows of (entry, exit, event, weight), in powered years."""
    frame = pd.DataFrame(rows, columns=["entry", "exit", "event", "weight"])
    return frame.assign(
        entry=frame["entry"] * HOURS,
        exit=frame["exit"] * HOURS,
        event=frame["event"].astype(bool),
        air_c=30.0,
    )


def test_a_curve_ends_where_fewer_than_twenty_are_watched_whoever_is_watched_later():
    """Forty parts watched to year 2, two of which fail in year 1; a hundred old ones from year 25: nothing is known between."""
    found = spells([(0, 1, True, 2), (0, 2, False, 38), (25, 26, True, 50), (25, 30, False, 50)])
    assert _watched_to(found) == 2 * HOURS
    curve = _surviving("middle", found, (1.0, 26.0))
    assert curve.years == (1.0,) and curve.share == (0.95,)
    assert curve.tenth_years is None


def test_parts_that_change_slots_are_watched_on():
    """A part's time is cut where its module is moved: who leaves and who comes on one day cancel."""
    moved = spells([(0, 5, False, 30), (5, 9, False, 30)])
    assert _watched_to(moved) == 9 * HOURS
