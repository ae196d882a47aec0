"""A sheet in which no table was recognised, taken for a list of faults: what its columns would be by their cells alone."""

from .evidence import later_dates
from .places import SURE, Placing
from .values import Cells

MOSTLY = 0.8  # share of the cells
AGAIN = 0.5  # different names of desks, at most, a row


def fault_list(cells: dict[str, Cells]) -> Placing | None:
    """The columns of a list of faults: the first days, the longest texts, short places with numbers, a few names that come again.

    None where a column of days or one of words is missing. It is a guess, to be asked about.
    """
    later = later_dates(cells)
    days = [heading for heading, one in cells.items() if one.dates >= MOSTLY]
    days.sort(key=lambda heading: (later.get(heading, False), -len(cells[heading].texts)))
    words = {
        heading: one
        for heading, one in cells.items()
        if heading not in days and one.texts and max(one.numbers, one.clocks, one.durations) < 0.5
    }
    plain = [heading for heading, one in words.items() if one.digits < MOSTLY and one.slots < 0.5]
    if not days or not plain:
        return None
    said = max(plain, key=lambda heading: (words[heading].mean_words, words[heading].different))
    columns = {days[0]: "raised_on", said: "symptom"}
    rest = {heading: one for heading, one in words.items() if heading != said}
    slots = [heading for heading, one in rest.items() if one.slots >= 0.5]
    slots += [heading for heading, one in rest.items() if one.digits >= MOSTLY and one.mean_words < 3]
    slots += [
        heading for heading, one in cells.items() if one.numbers >= MOSTLY and one.different < len(one.texts)
    ]
    desks = [heading for heading, one in rest.items() if 1 < one.different <= AGAIN * len(one.texts)]
    desks = [heading for heading in desks if rest[heading].mean_words < 4 and heading not in slots]
    if desks:
        columns[desks[0]] = "desk"
    if free := [heading for heading in slots if heading not in columns]:
        columns[free[0]] = "position"
    return Placing("tickets", {heading: (columns[heading], SURE) for heading in cells if heading in columns})
