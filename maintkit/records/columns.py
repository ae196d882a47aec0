"""What a column, a rule and a table of the record book are, and their types in DuckDB."""

import re
from dataclasses import dataclass
from functools import cached_property

SQL_TYPE = {
    "text": "varchar",
    "choice": "varchar",
    "date": "date",
    "clock": "time",
    "number": "double",
    "minutes": "double",
    "whole": "bigint",
}
# Where each row came from. ``as_written`` holds, by name, the cells of a row that its columns do not: those that have no place
# in the table, those that could not be understood, and keys spelled otherwise than they are shown; null where there are none.
SOURCE_COLUMNS = {
    "source_file": "varchar",
    "source_row": "bigint",
    "load": "bigint",
    "as_written": "map(varchar, varchar)",
}


@dataclass(frozen=True)
class Column:
    """One column of a record table.

    ``kind`` is ``text``, ``choice``, ``date``, ``clock`` (time of day), ``number``, ``minutes`` (a duration) or
    ``whole``; ``low`` and ``high`` bound numbers inclusively; ``refers_to`` names ``table.column`` holding the known
    values; a date with ``may_be_ahead`` may lie after the day of loading, one with ``may_be_short`` be a year or a month alone,
    which stands for its first day; ``time_in`` names the column that takes the
    time of day where a cell holds a date and a time. A blank cell takes ``default``, or the value of ``default_from``, or
    what the other tables tell, as ``when_blank`` says (``filling.py``). ``shared``: a row that names several slots tells it
    of all of them together, and each has an equal share.
    """

    name: str
    kind: str
    meaning: str
    required: bool = False
    default: str | int | float | None = None
    default_from: str = ""
    choices: tuple[str, ...] = ()
    unit: str = ""
    low: float | None = None
    high: float | None = None
    refers_to: str = ""
    may_be_ahead: bool = False
    may_be_short: bool = False
    time_in: str = ""
    when_blank: str = ""
    shared: bool = False


def columns(text: str) -> tuple[Column, ...]:
    """Columns as a table of cells between bars: name, kind and meaning of :class:`Column`, and by name what else there is to say.

    A star behind the name says that it is required. A line that begins with a bar goes on from the one above.

    Examples
    --------
    >>> state, quantity = columns('''
    ...     state*   | choice | how it looks | choices=new / worn
    ...     quantity | whole  | how many, of all of them together
    ...         | low=1 | shared
    ... ''')
    >>> state.required, state.choices, quantity.meaning, quantity.low, quantity.shared
    (True, ('new', 'worn'), 'how many, of all of them together', 1, True)
    """
    lines = re.sub(r"\n\s*\|", "|", text).strip().splitlines()
    return tuple(_column(*map(str.strip, line.split("|"))) for line in lines)


def _column(name, kind, meaning, *told):
    more = {}
    for one in told:
        key, says, value = one.partition("=")
        if key == "choices":
            more[key] = tuple(value.split(" / "))
        elif key in ("low", "high") or (key == "default" and kind in ("number", "minutes", "whole")):
            more[key] = float(value) if "." in value else int(value)
        else:
            more[key] = value if says else True
    return Column(name.rstrip("*"), kind, meaning, required=name.endswith("*"), **more)


@dataclass(frozen=True)
class RowRule:
    """A rule one row can break by itself: true where ``holds`` (SQL over the typed columns) is true."""

    holds: str
    column: str
    rule: str
    remedy: str


@dataclass(frozen=True)
class Table:
    """One record table: what a row is, its columns, its key, and what keeping it makes answerable."""

    name: str
    row_is: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    required: bool = False
    unlocks: str = ""
    row_rules: tuple[RowRule, ...] = ()

    def column(self, name: str) -> Column:
        """The column of that name; KeyError if the table has none."""
        return self._by_name[name]

    @cached_property
    def _by_name(self):
        return {column.name: column for column in self.columns}
