"""Tables that stand side by side on one sheet."""

from .groups import Group
from .pages import Page, sides_of
from .tables import placings

SECOND = " (2)"  # of a heading that stands twice


def parted(page: Page) -> list[Page]:
    """The tables side by side on a sheet where each is one by itself; else the sheet as it is."""
    sides = sides_of(page)
    columns = [[page.cells[heading].column for heading in side.cells] for side in sides]
    filled = [[*map(any, zip(*some, strict=True))] for some in columns]
    alike = {tuple(side.says.get(heading, heading).casefold() for heading in side.cells) for side in sides}
    if len(alike) > 1 and all(one == filled[0] for one in filled):
        return [page]  # an empty column within one table, for the rows go on beyond it
    told = [placings(Group((side,), side.cells)) for side in sides]
    again = any(heading.endswith(SECOND) for heading in page.cells)  # two lists of one kind
    is_one = any if again or _name_places_each(told) else all
    return sides if sides and is_one(one.likely and not one.rival for one in told) else [page]


def _name_places_each(told):
    """Whether each side is a table, be it in doubt which, and has slots of its own, as one table with an empty column in it has not."""
    return all(any(one.heading("position") for one in side.likely) for side in told)
