"""Windows in which modules were watched, and the events that fall in them."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.blocks import distinct
from maintkit.survival.results import SpellError


@dataclass(frozen=True)
class Windows:
    """Windows sorted by module and entry; ``row`` is the number of the module in ``names``."""

    names: np.ndarray
    row: np.ndarray
    entry: np.ndarray
    exit: np.ndarray


def watched_windows(unit, entry, exit) -> Windows:
    """Windows (entry, exit] sorted by module and entry; SpellError where one takes no time or two overlap."""
    unit, entry, exit = np.asarray(unit), np.asarray(entry, float), np.asarray(exit, float)
    if not len(unit) == len(entry) == len(exit):
        raise SpellError(
            f"A window needs all three: {len(unit)} units, {len(entry)} entries, {len(exit)} exits."
        )
    if len(unit) == 0:
        raise SpellError("No module was watched: there is no window. Check the filter.")
    bad = np.flatnonzero(~(exit > entry))
    if len(bad):
        raise SpellError(
            f"{len(bad)} of {len(exit)} windows take no time; the first is row {bad[0] + 1}: "
            f"entry {entry[bad[0]]:g}, exit {exit[bad[0]]:g}."
        )
    names, row = np.unique(unit, return_inverse=True)
    order = np.lexsort((entry, row))
    row, entry, exit = row[order], entry[order], exit[order]
    overlap = np.flatnonzero((row[1:] == row[:-1]) & (entry[1:] < exit[:-1]))
    if len(overlap):
        raise SpellError(
            f"Two windows of {names[row[overlap[0]]]} overlap: one ends at {exit[overlap[0]]:g}, the next "
            f"starts at {entry[overlap[0] + 1]:g}. A module can be watched once at a time."
        )
    return Windows(names, row, entry, exit)


def event_places(windows, event_unit, event_time):
    """Number of the module of each event, after making sure that it was watched then."""
    if len(event_unit) != len(event_time):
        raise SpellError(f"An event needs both: {len(event_unit)} units but {len(event_time)} times.")
    if len(event_unit) == 0:
        return np.zeros(0, int)
    place = np.minimum(np.searchsorted(windows.names, event_unit), len(windows.names) - 1)
    moments = distinct(np.r_[windows.entry, event_time])
    key = windows.row * len(moments) + np.searchsorted(moments, windows.entry)  # whole numbers: no rounding
    last = np.searchsorted(key, place * len(moments) + np.searchsorted(moments, event_time), side="left") - 1
    seen = (last >= 0) & (windows.row[last] == place) & (event_time <= windows.exit[last])
    bad = np.flatnonzero(~(seen & (windows.names[place] == event_unit)))
    if len(bad):
        raise SpellError(
            f"{len(bad)} of {len(event_time)} events fall outside the windows of their module; the first "
            f"is row {bad[0] + 1}: {event_unit[bad[0]]} at {event_time[bad[0]]:g}. "
            "Give the window it was seen in, or leave the event out."
        )
    return place


def units_watched(windows, time):
    """Modules watched at each time: entered before it and not left before it."""
    entered = np.searchsorted(np.sort(windows.entry), time, side="left")
    left = np.searchsorted(np.sort(windows.exit), time, side="left")
    return entered - left


def first_unwatched(windows):
    """First stretch (from, to) inside the whole in which nobody was watched, or None."""
    moment, slot = np.unique(np.r_[windows.entry, windows.exit], return_inverse=True)
    change = np.bincount(slot, np.r_[np.ones(len(windows.entry)), -np.ones(len(windows.exit))])
    empty = np.flatnonzero(np.cumsum(change)[:-1] == 0)
    return (moment[empty[0]], moment[empty[0] + 1]) if len(empty) else None


def last_exit(windows):
    """End of the last window of each module, in the order of ``names``."""
    last = np.full(len(windows.names), -np.inf)
    np.maximum.at(last, windows.row, windows.exit)
    return last
