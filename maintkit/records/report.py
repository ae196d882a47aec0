"""What a load did, file by file, as a table that a technician reads."""

from dataclasses import dataclass
from datetime import date

from .errors import TurnedAway

SHOWN = 20
LEFT_OUT = "by mapping.toml, or totals of other rows"


@dataclass(frozen=True)
class Change:
    """One cell that a later load corrected."""

    table: str
    key: str
    column: str
    before: str | None
    after: str | None

    def __str__(self):
        return f"{self.table} {self.key}, {self.column}: {_said(self.before)} is now {_said(self.after)}"


def _said(value):
    return "blank" if value is None else repr(value)


@dataclass(frozen=True)
class FileCount:
    """Rows of one file: all that are not blank, and where each went.

    ``only_earlier`` are rows of the table that none of its files holds, kept from earlier loads; ``left_out`` are those
    that mapping.toml leaves out, and rows of totals.
    """

    file: str
    table: str
    rows_in: int
    blank_rows: int
    kept: int
    turned_away: int
    new: int
    changed: int
    unchanged: int
    only_earlier: int
    not_understood: int = 0
    left_out: int = 0


@dataclass(frozen=True)
class LoadReport:
    """What one load did: counts a file, rows turned away, cells changed, and names that were not read; those ``overlooked`` may hold records, of those ``asked`` mapping.toml
    still asks what they are. Of ``fed_nothing`` a
    setting by which rows are picked, named in brackets, lets none in.

    ``as_of`` is the last day that the records can hold, where mapping.toml says so. ``str()`` gives the table a technician reads.
    """

    load: int
    source: str
    files: tuple[FileCount, ...]
    turned_away: tuple[TurnedAway, ...]
    changes: tuple[Change, ...]
    unread: tuple[str, ...] = ()
    not_understood: tuple[TurnedAway, ...] = ()
    drafted: tuple[str, ...] = ()
    overlooked: tuple[str, ...] = ()
    as_of: date | None = None
    fed_nothing: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()

    @property
    def rows_in(self) -> int:
        """Rows that are not blank, over all files."""
        return sum(count.rows_in for count in self.files)

    @property
    def kept(self) -> int:
        """Rows that are in their table."""
        return sum(count.kept for count in self.files)

    def __str__(self):
        rows = f"{self.rows_in:,} = {self.kept:,} + {len(self.turned_away):,}"
        out = sum(count.left_out for count in self.files)
        lines = [
            f"Load {self.load} of {self.source}",
            *file_table(self.files),
            f"in = kept + turned away + left out ({LEFT_OUT}): {rows} + {out:,}"
            if out
            else f"in = kept + turned away: {rows}",
        ]
        if self.unread:
            lines.append(f"Not read: {', '.join(self.unread)}.")
        lines += [f"By this setting no row is read: {one}." for one in self.fed_nothing]
        lines += self.drafted
        lines += _listed("Turned away", self.turned_away)
        lines += _listed("Kept without a cell that was not understood", self.not_understood)
        lines += _listed("Corrected", self.changes)
        return "\n".join(lines)


COLUMNS = {
    "in": "rows_in",
    "kept": "kept",
    "turned away": "turned_away",
    "new": "new",
    "changed": "changed",
    "unchanged": "unchanged",
    "blank": "blank_rows",
    "cells not understood": "not_understood",
    "kept, not in this file": "only_earlier",
}


def file_table(files):
    """The counts of files as lines of a table, its headings first."""
    counts = ([one.file, *(f"{getattr(one, name):,}" for name in COLUMNS.values())] for one in files)
    rows = [["file", *COLUMNS], *counts]
    first, *others = (max(map(len, cells)) for cells in zip(*rows))
    for name, *cells in rows:
        yield "  ".join(["", name.ljust(first), *map(str.rjust, cells, others)])


def _listed(title, items):
    if not items:
        return []
    items = list(dict.fromkeys(map(str, items)))  # a row of two tables is named once
    lines = [f"{title}:", *(f"  {item}" for item in items[:SHOWN])]
    if len(items) > SHOWN:
        lines.append(f"  … and {len(items) - SHOWN:,} more.")
    return lines
