"""A sheet that is a grid: beside a few columns, each column is a slot, a day, a month, a quarter, a part or a year, and each filled cell an entry of its own."""

import re
from collections import Counter

from .days import MONTHS, month_and_year, quarter_and_year, with_year
from .diary import day_and_rest
from .row_above import CORNER, are_headings, with_those_above

# columns of its entries: the heading over a cell, and what stands in it
HEADING, CELL = "(heading)", "(cell)"
YEAR = re.compile(r"(?:19|20)\d\d|'\d\d")  # over or before cells whose entries begin with their day
_MONTH = re.compile(r"([^\W\d]{3,10})\.?\s+(\S.*)")
_YEAR_AND_MONTH = re.compile(r"((?:19|20)\d\d)-(0[1-9]|1[0-2])")
KEY = re.compile(r"(\S{1,5}) ?= ?(\S.*)")  # of a key to the marks beside or below a grid
LINE_OF_KEY, LINES = re.compile(r"[^=]{1,20}=[^=]+"), 3  # whatever it explains; so many make a column of them
# In a grid of checks: nothing was wrong, or what was is not mended yet; neither is an entry.
NO_ENTRY = frozenset(
    ("-", "–", "—", "✓", "✔", "√", "☑", "ok", "o.k.", "i.o.", "fine", "still", "noch", "immer noch")
)


def headings_of_grid(headings, fixed) -> tuple[str, ...]:
    """The headings of a grid's entries: the ``fixed`` ones, which hold for the whole row, and those of each heading and cell.

    Examples
    --------
    >>> headings_of_grid(("", "Ch 1", "Ch 2", "By"), ("(first column)", "By"))
    ('(first column)', 'By', '(heading)', '(cell)')
    """
    return (*(headings[at] or CORNER for at in places_fixed(headings, fixed)), HEADING, CELL)


def places_fixed(headings, fixed) -> list[int]:
    """Where the headings stand that hold for a whole row."""
    folds = {one.casefold() for one in fixed}
    return [at for at, one in enumerate(headings) if (one or (CORNER if at == 0 else "")).casefold() in folds]


def keys_beside(rows, last: int) -> frozenset[int]:
    """Where columns stand of which most cells are lines of a key to the marks, those from the ``last`` on as one.

    Examples
    --------
    >>> keys_beside([["3", "", "KEY"], ["4", "cl", "sw = new switch"], ["5", "sw", "cl=cleaned"], ["", "", "cap x3 = 3 caps"]], 9)
    frozenset({2})
    """
    filled, lines = Counter(), Counter()
    rows = (fields for fields in rows if not is_key(fields))
    for at, cell in (
        (min(at, last), cell) for fields in rows for at, cell in enumerate(fields) if cell.strip()
    ):
        filled[at] += 1
        lines[at] += bool(LINE_OF_KEY.fullmatch(cell))
    return frozenset(at for at, many in lines.items() if many >= max(LINES, filled[at] / 2))


def entries_of_grid(fields, headings, places, *, blank, keys=frozenset()) -> list[list[str]]:
    """The entries of a row of a grid, the cells at ``places`` in each; one without heading and cell where none is filled.

    A tick or a dash is no entry, and neither is ``still`` nor a line of a key to the marks, nor what stands where the ``keys`` are.
    With ``blank`` a blank cell below a heading is an entry too.

    Examples
    --------
    >>> entries_of_grid(["3 May", "", "hum"], ("Day", "Ch 1", "Ch 2"), [0], blank=False)
    [['3 May', 'Ch 2', 'hum']]
    >>> entries_of_grid(["3 May", "✓", "still"], ("Day", "Ch 1", "Ch 2"), [0], blank=False)
    [['3 May', '', '']]
    """
    whole = [fields[at] for at in places]
    found = [
        [*whole, first_day(headings[at]), cell]
        for at, cell in enumerate(fields)
        if at not in places
        and at not in keys
        and not KEY.fullmatch(headings[at] or cell.strip())
        and (is_entry(cell) or (blank and headings[at]))
    ]
    return found or [[*whole, "", ""]]


def first_day(heading: str) -> str:
    """The first day of a quarter over cells, and of a month that stands in numbers or without its year; any other heading as it is.

    Examples
    --------
    >>> [first_day(one) for one in ("Sept", "März", "2026-01", "01/2026", "Jan 2026", "Master")]
    ['1 Sept', '1 März', '2026-01-01', '2026-01-01', 'Jan 2026', 'Master']
    >>> first_day("Q3 25"), first_day("2. Quartal 2024")
    ('2025-07-01', '2024-04-01')
    """
    if quarter := quarter_and_year(heading):
        return quarter.date().isoformat()
    if heading.rstrip(".").casefold() in MONTHS:
        return f"1 {heading.rstrip('.')}"
    month = month_and_year(_YEAR_AND_MONTH.sub(r"\2/\1", heading)) if heading[:1].isdigit() else None
    return month.date().isoformat() if month else heading


def by_day(entry) -> list[list[str]]:
    """The entries of a cell that stands under a year, or behind one, each with its day in place of the year; the entry as it is where
    none begins with a day.

    Examples
    --------
    >>> by_day(["7", "2016", "3/5 hum / relay; 4/6/16 dead"]), by_day(["'16", "Ch 2", "Jul re-cap, 19 parts"])
    ([['7', '3/5/2016', 'hum / relay'], ['7', '4/6/16', 'dead']], [['Jul 2016', 'Ch 2', 're-cap, 19 parts']])
    """
    *beside, cell = entry
    at = next((at for at, one in enumerate(beside) if YEAR.fullmatch(one.strip())), None)
    if at is None:
        return [entry]
    year, found = beside[at].strip(), []
    for line in re.split(r"\n|; ", cell):
        day, text = _dated(line.strip(), year.replace("'", "20"))
        if found and not day:
            found[-1][1] += f"; {text}"
        else:
            found.append([day, text])
    if not any(day for day, _ in found):
        return [entry]
    return [[*beside[:at], day or year, *beside[at + 1 :], text] for day, text in found]


def _dated(line, year):
    """The day or month with which a line begins, with its year, and what follows; '' and the line where it begins with none."""
    if begins := day_and_rest(line):
        return with_year(begins[0], year), begins[1]
    named = _MONTH.match(line)
    return (f"{named[1]} {year}", named[2]) if named and named[1].casefold() in MONTHS else ("", line)


def is_entry(cell: str) -> bool:
    """Whether a cell of a grid holds an entry."""
    return bool(cell.strip()) and cell.strip().casefold() not in NO_ENTRY


def is_key(fields) -> bool:
    """Whether a row is no more than lines of a key to the marks, such as ``R = replaced``."""
    return all(KEY.fullmatch(cell.strip()) for cell in fields if cell.strip())


def as_entries(records, header, *, blank=False):
    """The records of a grid, ``(row number, fields, refusal)``, as its entries; those up to the headings as they are."""
    headings, above = header.in_sheet, None
    places = places_fixed(headings, header.headings)
    for number, fields, refusal in records:
        if refusal or number <= header.row or not any(map(str.strip, fields)):
            yield number, fields, refusal
        elif not (are_headings(fields, headings) or is_key(fields)):
            above = with_those_above(fields, above, ()) if above else fields
            for entry in entries_of_grid(above, headings, places, blank=blank, keys=header.keys):
                yield from ((number, one, "") for one in by_day(entry))
