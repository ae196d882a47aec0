"""A sheet that is a grid: beside a few columns, each column is a slot, a day or a part, and each filled cell an entry of its own."""

from .row_above import CORNER, are_headings, with_those_above

# columns of its entries: the heading over a cell, and what stands in it
HEADING, CELL = "(heading)", "(cell)"
# In a grid of checks: nothing was wrong, or what was is not mended yet; neither is an entry.
NO_ENTRY = frozenset(("✓", "✔", "√", "☑", "ok", "o.k.", "i.o.", "fine", "still", "noch", "immer noch"))


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


def entries_of_grid(fields, headings, places, *, blank) -> list[list[str]]:
    """The entries of a row of a grid, the cells at ``places`` in each; one without heading and cell where none is filled.

    A tick is no entry, and neither is ``still``. With ``blank`` a blank cell below a heading is an entry too.

    Examples
    --------
    >>> entries_of_grid(["3 May", "", "hum"], ("Day", "Ch 1", "Ch 2"), [0], blank=False)
    [['3 May', 'Ch 2', 'hum']]
    >>> entries_of_grid(["3 May", "✓", "still"], ("Day", "Ch 1", "Ch 2"), [0], blank=False)
    [['3 May', '', '']]
    """
    whole = [fields[at] for at in places]
    found = [
        [*whole, headings[at], cell]
        for at, cell in enumerate(fields)
        if at not in places and (is_entry(cell) or (blank and headings[at]))
    ]
    return found or [[*whole, "", ""]]


def is_entry(cell: str) -> bool:
    """Whether a cell of a grid holds an entry."""
    return bool(cell.strip()) and cell.strip().casefold() not in NO_ENTRY


def as_entries(records, header, *, blank=False):
    """The records of a grid, ``(row number, fields, refusal)``, as its entries; those up to the headings as they are."""
    headings, above = header.in_sheet, None
    places = places_fixed(headings, header.headings)
    for number, fields, refusal in records:
        if refusal or number <= header.row or not any(map(str.strip, fields)):
            yield number, fields, refusal
        elif not are_headings(fields, headings):
            above = with_those_above(fields, above, ()) if above else fields
            for entry in entries_of_grid(above, headings, places, blank=blank):
                yield number, entry, ""
