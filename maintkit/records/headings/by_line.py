"""Cells that hold an entry a line, each of a slot of its own, as a drafter sees them."""

import re
from dataclasses import replace

from maintkit.records.cells import AT_THE_BEGINNING, BEGINS_WITH_A_SLOT
from maintkit.records.several import a_row_a_line

from .values import Cells
from .words import vocabulary

FEWEST = 2  # cells of which several lines name a slot, from which a line is an entry


def a_line_each(group, placing):
    """A group of sheets with a row for each entry where its complaints hold one a line; else the group as it is.

    ``placing`` is that of its first table. Its ``by_line`` are the headings whose cells hold lines, complaints first, and the
    words by which an entry begins. Where a column has the slots, or too few cells name two, there are none.
    """
    said = placing.heading("symptom")
    if placing.table != "tickets" or placing.heading("position") or said not in group.cells:
        return group
    named = [[*map(_slot_in, text.splitlines())] for text in group.cells[said].texts if "\n" in text]
    if sum(len({*filter(None, lines)}) > 1 for lines in named) < FEWEST:
        return group
    found = [one for lines in named for one in lines if one]
    words = dict.fromkeys(
        AT_THE_BEGINNING if one[0].isdigit() else re.sub(r"\W*\d+\w?$", " #", one) for one in found
    )
    beside = [one for one, cells in group.cells.items() if any("\n" in text for text in cells.texts)]
    parted = {said: tuple(words)} | {heading: () for heading in beside if heading != said}
    return with_a_row_each(group, group.cells, parted, _slot_in)


def with_a_row_each(group, cells, parted, begins, prose=()):
    """A group of sheets with a row for each entry of its ``cells``, under the headings ``parted``; ``prose`` are the desks named there."""
    rows = zip(*(one.column for one in cells.values()), strict=True)
    spread, _, _ = a_row_a_line(rows, [*map([*cells].index, parted)], begins)
    columns = zip(cells.items(), zip(*spread, strict=True), strict=True)
    cells = {heading: Cells(column, one.distinct) for (heading, one), column in columns}
    return replace(group, cells=cells, by_line=parted, prose=prose, sheet=group.cells)


def _slot_in(text: str) -> str:
    """The words by which a text names a slot, or the number with which it begins, in small letters; '' where it names none."""
    found = vocabulary().in_cells["position"].search(text.casefold())
    begins = BEGINS_WITH_A_SLOT.search(text.casefold())
    return found[0] if found and not found[0].startswith("in") else begins[1] if begins else ""
