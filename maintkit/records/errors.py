"""What stops the work with records (the tree stands in ``maintkit/errors.py``), and what turns one row away."""

import re
from dataclasses import dataclass, replace

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
        return self.of_rows([self.row])

    def of_rows(self, rows) -> str:
        """What is said of this row and of others that are the same but for their number.

        Examples
        --------
        >>> no_day = TurnedAway("tickets.csv", 3, "raised_on", "", "The cell must be filled in.", "Fill it in.")
        >>> no_day.of_rows([3, 4, 5, 9])
        'tickets.csv, rows 3 to 5 and 9, column raised_on: found nothing. The cell must be filled in. Fill it in.'
        """
        place = f"{self.file}, {_rows_said(rows)}"
        if self.column != WHOLE_ROW:
            place += f", column {self.column}"
        found = repr(self.found) if self.found else "nothing"
        return f"{place}: found {found}. {self.rule} {self.remedy}"


def each_once(items) -> list[str]:
    """The sentences of some ``TurnedAway`` in their order, those that are the same but for the row as one, with all its rows."""
    rows = {}
    for one in items:
        entry = (one.row, re.sub(r" entry \d+", "", one.key))  # of one row that holds several
        rows.setdefault(replace(one, row=0, key=""), {})[entry] = one.row
    return [one.of_rows(some.values()) for one, some in rows.items()]


def _rows_said(rows):
    """Rows in order, those that follow each other as from the first to the last."""
    runs = []
    for row in sorted(rows):  # of two loads one may come twice
        if runs and row == runs[-1][-1] + 1:
            runs[-1].append(row)
        else:
            runs.append([row])
    said = [f"{run[0]} to {run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs]
    whole = " and ".join(filter(None, (", ".join(said[:-1]), said[-1])))
    return f"row {whole}" if whole.isdecimal() else f"rows {whole}"
