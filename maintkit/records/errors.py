"""What stops the work with records (the tree stands in ``maintkit/errors.py``), and what turns one row away."""

from dataclasses import dataclass

from maintkit.errors import MaintkitError

WHOLE_ROW = "(whole row)"


class RecordsError(MaintkitError):
    """Records cannot be read, stored or opened; the message says why and what to do."""


class MappingError(RecordsError):
    """mapping.toml holds a mistake; the message says where and what it should be."""


class StoreError(RecordsError):
    """A store file cannot be opened, read or written."""


class LayoutError(RecordsError):
    """Files, sheets or headings do not fit the record book, so nothing was loaded.

    Attributes
    ----------
    faults : tuple of str
        Every fault found, one sentence or two each.
    """

    def __init__(self, faults, advice=""):
        self.faults = tuple(faults)
        things = "1 thing is" if len(self.faults) == 1 else f"{len(self.faults)} things are"
        lines = [f"  {number}. {fault}" for number, fault in enumerate(self.faults, start=1)]
        super().__init__(
            "\n".join([f"Nothing was loaded, because {things} in the way:", *lines, *filter(None, [advice])])
        )


@dataclass(frozen=True)
class TurnedAway:
    """One source row that is in no table: where it stands, what was found, the rule it broke, what to do.

    ``key`` is the row's key as written there. ``row`` is the row as seen in the sheet, the heading counted; ``column`` is the heading as seen there.

    Examples
    --------
    >>> print(TurnedAway("repairs.csv", 214, "done_on", "31.02.2024", "A date must exist.", "Correct the cell."))
    repairs.csv, row 214, column done_on: found '31.02.2024'. A date must exist. Correct the cell.
    """

    file: str
    row: int
    column: str
    found: str
    rule: str
    remedy: str
    key: str = ""

    def __str__(self):
        place = f"{self.file}, row {self.row}"
        if self.column != WHOLE_ROW:
            place += f", column {self.column}"
        found = repr(self.found) if self.found else "nothing"
        return f"{place}: found {found}. {self.rule} {self.remedy}"
