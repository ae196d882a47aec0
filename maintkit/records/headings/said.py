"""What the headings of a sheet say as which other ones are read: those it is given, and ``From`` and ``To`` over places."""

from maintkit.records.grid import CELL, HEADING
from maintkit.records.remarks import DAY_OF
from maintkit.records.row_above import CORNER
from maintkit.records.work_behind import WORK

from .grids import KNOWN, OVER


def said_by_what_they_are(cells, grid, kind, parted, dated) -> dict[str, str]:
    """What the headings say that a grid, a blank corner, lines with their days and work behind a mark are given, and places between which
    something moved."""
    says = dict(zip((HEADING, CELL), OVER[kind], strict=True)) if grid else {}
    if kind == "year":
        says |= dict.fromkeys(grid[1:], "note")  # counts of what stands in the row
    if parted:
        says |= {parted: "fault", WORK: "work done"}
    if dated:
        says |= {dated: "fault", DAY_OF: "date"}
    if CORNER in cells:
        says[CORNER] = "date" if cells[CORNER].dates >= KNOWN else "slot"
    return says | _from_and_to(cells)


def _from_and_to(cells):
    """What ``From`` and ``To`` say over places between which something moved."""
    said = {heading.casefold(): heading for heading in cells}
    pairs = (("from", "to"), ("von", "nach"), ("out of", "into"))
    told = next(((said[one], said[other]) for one, other in pairs if {one, other} <= {*said}), ())
    if not told or max(cells[heading].dates for heading in told) > 0.5:
        return {}
    return dict(zip(told, ("taken from", "to slot"), strict=True))
