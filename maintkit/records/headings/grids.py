"""A sheet that is a grid, as a drafter sees it: a column a slot, a day, a month, a quarter, a part or a year, with words, marks or days in the cells."""

import re

from maintkit.records.days import month_and_year, quarter_and_year
from maintkit.records.grid import (
    KEY,
    YEAR,
    as_entries,
    by_day,
    first_day,
    headings_of_grid,
    is_entry,
    is_key,
    keys_beside,
)
from maintkit.records.known_words.part_kinds import part_in_text
from maintkit.records.row_above import (
    CORNER,
    TOTAL,
    are_headings,
    is_period,
    month_of,
    names_a_total,
    title_of,
)
from maintkit.records.sheets import TOP_ROWS, Header, told_apart

from .day_formats import NUMBER, day_of
from .legends import key_beside
from .likeness import best_known, likeness_nowhere, likeness_of_column
from .values import SLOT

LEAST = 4  # columns of slots, days or parts from which a sheet is a grid
MOST_OF_THEM = 0.7  # share of the columns of a grid that must be one thing
SURELY = 0.9  # likeness to a heading without a place
KNOWN = 0.7  # likeness from which a cell may be a heading, and a heading says something of its own
LONGEST = 80  # letters of a heading
MOST_BESIDE = 4  # columns before those of a grid
LETTERS, MARK = 3, 1  # of a cell that says something, and of a mark
OF_DAYS = ("day", "month", "quarter")
WHOLE_BESIDE = (*OF_DAYS, "year")  # kinds beside which every other column holds for the whole row
OVER = {  # as which headings what stands over a cell and what stands in it are read
    "day": ("date", "fault"),
    "month": ("date", "fault"),
    "quarter": ("date", "fault"),
    "slot": ("slot", "fault"),
    "part": ("part", "replaced on"),
    "year": ("date", "fault"),
}


def grid_of(headings, rows) -> tuple[tuple[str, ...], str]:
    """The headings of a grid that hold for a whole row, ``CORNER`` for a first one that is blank, and what each other column is:
    ``day``, ``month``, ``quarter``, ``slot``, ``part`` or ``year``; nothing where a sheet is no grid.

    ``rows`` are those below them. Below days, months and quarters of which each row is a slot, marks such as ``R`` and ``2x`` will do.
    """
    rows = [fields for fields in rows if not is_key(fields)]
    firsts = [fields[0].strip() for fields in rows]
    is_down = bool(firsts) and sum(map(bool, map(YEAR.fullmatch, firsts))) >= MOST_OF_THEM * len(firsts)
    headings = ["" if KEY.fullmatch(one) else one for one in headings]
    others = [at for at, one in enumerate(headings) if one and at]
    kind, places = ("slot", others) if is_down else _columns_of_one_kind(headings)
    if not places:
        return (), ""
    fixed = [
        at
        for at, one in enumerate(headings)
        if at < places[0] or (one and at not in places and (kind in WHOLE_BESIDE or best_known(one) >= KNOWN))
    ]
    by_year = is_down or kind == "year"
    rows = [fields for fields in rows if not is_signed(fields[0])]
    cells = [cell.strip() for fields in rows for at, cell in enumerate(fields) if at not in fixed]
    filled = [cell for cell in cells if is_entry(cell)]
    named = [headings[at] or (CORNER if at == 0 else "") for at in fixed]
    days = sum(by_day(["2000", cell])[0][0] != "2000" if by_year else bool(day_of(cell)) for cell in filled)
    least = MARK if kind in OF_DAYS and _are_slots(headings[0], rows) else LETTERS
    words = sum(_says(cell, least) and not day_of(cell) for cell in filled)
    told = days if kind == "part" or by_year else max(days, words)
    if not filled or not all(named) or told < MOST_OF_THEM * len(filled):
        return (), ""
    return tuple(named), kind


def grid_among(headings, rows, may_be) -> tuple[tuple[str, ...], str, tuple[str, ...], list[list[str]]]:
    """What ``grid_of`` tells, and the headings and the rows below them: those of a grid are blank where a key to its marks stands beside it. Nothing where it
    may not be one."""
    keys = keys_beside(rows, max(map(len, rows), default=0))
    first, *below = (
        ["" if at in keys else cell for at, cell in enumerate(fields)] for fields in (headings, *rows)
    )
    grid, kind = grid_of(first, below) if may_be else ((), "")
    return (grid, kind, tuple(first), below) if grid else ((), "", headings, rows)


def entries_read(rows, headings, grid) -> list[list[str]]:
    """The rows of a grid as its entries; what stands right of the last heading has none.

    ``grid`` are the headings that hold for a whole row.
    """
    width = max(map(len, (headings, *rows)))
    wide = ([*fields, *[""] * (width - len(fields))] for fields in rows)
    records = ((at, fields, "") for at, fields in enumerate(wide, start=1))
    headings = (*headings, *[""] * (width - len(headings)))
    header = Header(0, headings_of_grid(headings, grid), of_grid=headings)
    return [entry for _, entry, _ in as_entries(records, header)]


def told_of_grid(name, rows, at, headings, grid, kind):
    """What the page called ``name`` tells of a grid, by the names of its fields: one that is read, or one of which the cells say too little."""
    if not grid:
        return {"is_unread_grid": stands_over_a_grid([fields for _, fields in rows], at)}
    legends = key_beside(name, rows)
    across = tuple(first_day(one) for one in headings if one and one not in grid)
    return {"grid": grid, "kind": kind, "across": across, "legends": legends}


def _are_slots(heading, rows):
    """Whether the first column is of slots, by its heading or its numbers."""
    cells = [fields[0].strip() for fields in rows if fields[0].strip()]
    numbered = sum(bool(re.fullmatch(SLOT, cell, re.IGNORECASE)) for cell in cells)
    says = likeness_of_column(heading, "tickets", "position") >= KNOWN
    return says or numbered >= MOST_OF_THEM * len(cells) > 0


def _says(cell, least):
    """Whether a cell has so many letters; a question mark is one where a mark will do."""
    return len(re.findall(r"[^\W\d]" if least > MARK else r"[^\W\d]|\?", cell)) >= least


def is_known(cell: str) -> bool:
    """Whether a cell may be a heading that is known."""
    return len(cell) <= LONGEST and best_known(cell) >= KNOWN


def is_signed(cell: str) -> bool:
    """Whether a cell in the place of a slot says that initials or the like stand there: ``Done by``."""
    return likeness_nowhere(cell) >= SURELY


def _columns_of_one_kind(headings):
    """What most headings after the first few name, and where these stand; nothing where they name many things."""
    kinds = {"year": YEAR.fullmatch, "quarter": quarter_and_year, "month": is_month, "day": day_of}
    kinds |= {"slot": _is_slot, "part": part_in_text}
    for kind, is_one in kinds.items():
        places = [at for at, one in enumerate(headings) if one and is_one(one)]
        if len(places) < LEAST or not 0 < places[0] <= MOST_BESIDE:
            continue
        inside = [one for one in headings[places[0] :] if one and (is_one(one) or best_known(one) < KNOWN)]
        if len(places) >= MOST_OF_THEM * len(inside):
            return kind, places
    return "", []


def is_month(heading: str) -> bool:
    """Whether a heading is a month, with its year or without, or a quarter with its year."""
    return bool(month_and_year(heading)) or first_day(heading) != heading


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
    first = next((place for place, cell in enumerate(fields) if is_value(cell) or is_month(cell)), 0)
    over = [cell for cell in fields[first:] if cell]
    if not 0 < first <= MOST_BESIDE or any(cell and best_known(cell) < KNOWN for cell in fields[:first]):
        return False
    counts = [int(cell) for cell in over if cell.isdecimal() and len(cell) <= LETTERS]
    counts_on = len(counts) >= MOST_OF_THEM * len(over) and counts == sorted({*counts})
    days = [cell for cell in over if day_of(cell) or is_month(cell) or YEAR.fullmatch(cell)]
    wide = len(over) >= max(sum(map(bool, map(str.strip, fields))) for fields in rows) - MOST_BESIDE
    return wide and len({*over}) >= LEAST and (counts_on or len(days) >= MOST_OF_THEM * len(over))


def titles_of_grids(rows, at) -> list[int]:
    """Indexes of the titles of further grids below one with its headings at ``at``: a title over the same headings once more."""
    if not stands_over_a_grid(rows[:TOP_ROWS], at):
        return []
    headings = told_apart(rows[at])
    bare = [["" if KEY.fullmatch(cell.strip()) else cell for cell in fields] for fields in rows]
    return [
        below - 1
        for below in range(at + 2, len(rows))
        if title_of(bare[below - 1]) and are_headings(bare[below], headings)
    ]


def is_value(cell: str) -> bool:
    """Whether a cell is a number or a day, as no heading of a list is."""
    return bool(NUMBER.fullmatch(cell) or day_of(cell))


def sums_a_month(fields):
    """Whether a row is the total of a month."""
    return any(TOTAL.fullmatch(cell.strip()) and month_of(cell) for cell in fields) and names_a_total(fields)
