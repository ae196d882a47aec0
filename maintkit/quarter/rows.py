"""Rows of tables as records of facts: a blank is None, a time its day, a number Python's own."""

from dataclasses import fields
from datetime import datetime

from maintkit.survival.results import Limited, limited


def plain(value):
    """A cell as a fact: None for a blank, the day of a time, Python's own number for NumPy's.

    Examples
    --------
    >>> plain(float("nan")), plain(datetime(2026, 9, 30, 12)), plain("Heron")
    (None, datetime.date(2026, 9, 30), 'Heron')
    """
    if value is None or value != value:
        return None
    return value.date() if isinstance(value, datetime) else getattr(value, "item", lambda: value)()


def text_of(value) -> str | None:
    """A cell as text; None for a blank."""
    return None if value is None or value != value else str(value)


def record(kind, row, /, **said):
    """A record of facts of a row, one of ``itertuples`` or a mapping by column.

    Parameters
    ----------
    kind : type
        The dataclass.
    row : namedtuple or mapping
        Each field that is not ``said`` is its cell of that name, where it has one, as :func:`plain` has it; one that is
        ``Limited`` takes the limits beside it too.

    Returns
    -------
    An instance of ``kind``.
    """
    cells = row._asdict() if isinstance(row, tuple) else row
    named = (field for field in fields(kind) if field.name not in said and field.name in cells)
    found = {
        field.name: limited(cells, field.name) if field.type is Limited else plain(cells[field.name])
        for field in named
    }
    return kind(**found, **said)


def records(kind, table) -> tuple:
    """A record of facts for each row of a table, in order: see :func:`record`."""
    return tuple(record(kind, row) for row in table.itertuples())


def first_record(kind, table):
    """A record of facts of the first row of a table; None where it has none: see :func:`record`."""
    return next(iter(records(kind, table.head(1))), None)


def with_limits(name: str, value, low, high) -> dict:
    """A number and its limits by column, as :func:`maintkit.survival.results.limited` reads them.

    Examples
    --------
    >>> with_limits("ratio", 2.0, 1.5, None)
    {'ratio': 2.0, 'ratio_low': 1.5, 'ratio_high': None}
    """
    return {name: value, f"{name}_low": low, f"{name}_high": high}


def counted(*names: str, **renamed: str) -> property:
    """The counts behind an answer, as a property of its record: those fields by their own name, those ``renamed`` by another.

    Examples
    --------
    >>> Asked = type("Asked", (), {"counts": counted("faults", desks="number"), "faults": 3, "number": 2})
    >>> Asked().counts
    {'faults': 3, 'desks': 2}
    """
    of = {name: name for name in names} | renamed
    return property(lambda facts: {name: getattr(facts, field) for name, field in of.items()})
