"""A sheet that is a grid, as a drafter sees it: a column a slot, a day, a part or a year, with words or days in the cells."""

import re

from maintkit.records.grid import YEAR, by_day, is_entry
from maintkit.records.row_above import CORNER, is_period

from .leaning import hold_planned_days
from .likeness import best_known, likeness_nowhere, likeness_of_column
from .part_kinds import part_in_text
from .values import NUMBER, SLOT, day_of

LEAST = 4  # columns of slots, days or parts from which a sheet is a grid
MOST_OF_THEM = 0.7  # share of the columns of a grid that must be one thing
SURELY = 0.9  # likeness to a heading without a place
KNOWN = 0.7  # likeness from which a cell may be a heading, and a heading says something of its own
MOST_BESIDE = 4  # columns before those of a grid
LETTERS = 3  # of a cell that says something
OVER = {  # as which headings what stands over a cell and what stands in it are read
    "day": ("date", "fault"),
    "slot": ("slot", "fault"),
    "part": ("part", "replaced on"),
    "year": ("date", "fault"),
}


def grid_of(headings, rows) -> tuple[tuple[str, ...], str]:
    """The headings of a grid that hold for a whole row, ``CORNER`` for a first one that is blank, and what each other column is:
    ``day``, ``slot``, ``part`` or ``year``; nothing where a sheet is no grid.

    ``rows`` are those below them.
    """
    if hold_planned_days(headings, rows):
        return (), ""
    firsts = [fields[0].strip() for fields in rows]
    is_down = bool(firsts) and sum(map(bool, map(YEAR.fullmatch, firsts))) >= MOST_OF_THEM * len(firsts)
    others = [at for at, one in enumerate(headings) if one and at]
    kind, places = ("slot", others) if is_down else _columns_of_one_kind(headings)
    if not places:
        return (), ""
    fixed = [
        at
        for at, one in enumerate(headings)
        if at < places[0] or (one and at not in places and (kind == "year" or best_known(one) >= KNOWN))
    ]
    by_year = is_down or kind == "year"
    rows = [fields for fields in rows if not is_signed(fields[0])]
    cells = [cell.strip() for fields in rows for at, cell in enumerate(fields) if at not in fixed]
    filled = [cell for cell in cells if is_entry(cell)]
    named = [headings[at] or (CORNER if at == 0 else "") for at in fixed]
    days = sum(by_day(["2000", cell])[0][0] != "2000" if by_year else bool(day_of(cell)) for cell in filled)
    words = sum(len(re.findall(r"[^\W\d]", cell)) >= LETTERS and not day_of(cell) for cell in filled)
    told = days if kind == "part" or by_year else max(days, words)
    if not filled or not all(named) or told < MOST_OF_THEM * len(filled):
        return (), ""
    return tuple(named), kind


def is_signed(cell: str) -> bool:
    """Whether a cell in the place of a slot says that initials or the like stand there: ``Done by``."""
    return likeness_nowhere(cell) >= SURELY


def _columns_of_one_kind(headings):
    """What most headings after the first few name, and where these stand; nothing where they name many things."""
    kinds = {"year": YEAR.fullmatch, "day": day_of, "slot": _is_slot, "part": part_in_text}
    for kind, is_one in kinds.items():
        places = [at for at, one in enumerate(headings) if one and is_one(one)]
        if len(places) < LEAST or not 0 < places[0] <= MOST_BESIDE:
            continue
        inside = [one for one in headings[places[0] :] if one and (is_one(one) or best_known(one) < KNOWN)]
        if len(places) >= MOST_OF_THEM * len(inside):
            return kind, places
    return "", []


def _is_slot(heading):
    """Whether a heading is a number, or one behind a word that says no other column."""
    word = re.sub(r"[\W\d_]+.?$", "", heading)
    named = re.fullmatch(SLOT, heading, re.IGNORECASE) and not is_period(heading)
    return named and (best_known(word) < KNOWN or likeness_of_column(word, "tickets", "position") >= KNOWN)


def stands_over_a_grid(rows, at) -> bool:
    """Whether a row, with a known heading or none at its beginning, has days, years or numbers that count on over the cells of a grid,
    or stands over years at the beginning of the rows below."""
    fields = [cell.strip() for cell in rows[at]]
    below = [some[0].strip() for some in rows[at + 1 : at + 1 + LEAST]]
    if len(below) == LEAST and all(map(YEAR.fullmatch, below)) and not YEAR.fullmatch(fields[0]):
        return sum(map(bool, fields)) > LEAST
    first = next((place for place, cell in enumerate(fields) if is_value(cell)), 0)
    over = [cell for cell in fields[first:] if cell]
    if not 0 < first <= MOST_BESIDE or any(cell and best_known(cell) < KNOWN for cell in fields[:first]):
        return False
    counts = [int(cell) for cell in over if cell.isdecimal() and len(cell) <= LETTERS]
    counts_on = len(counts) >= MOST_OF_THEM * len(over) and counts == sorted({*counts})
    days = [cell for cell in over if day_of(cell) or YEAR.fullmatch(cell)]
    wide = len(over) >= max(sum(map(bool, map(str.strip, fields))) for fields in rows) - MOST_BESIDE
    return wide and len({*over}) >= LEAST and (counts_on or len(days) >= MOST_OF_THEM * len(over))


def is_value(cell: str) -> bool:
    """Whether a cell is a number or a day, as no heading of a list is."""
    return bool(NUMBER.fullmatch(cell) or day_of(cell))
