"""A frame as an HTML table: caption, scoped headings, numbers to the right, an estimate and its limits in one cell."""

import numbers
import re

from maintkit.show.tables import cell_text, exposure_text, heading_text, interval_text, is_missing, years_text
from maintkit.show.text import BLANK, html_text

EXPOSURES = {"exposure_hours": "exposure", "powered_hours": "powered time", "calendar_hours": "calendar time"}
DATE = re.compile(rf"{BLANK}|\d{{4}}-\d\d-\d\d.*")
LONG = 32                # characters from which a column of text wants room
MANY = 9                 # columns from which a table is set smaller on paper
CLOCKS = {"exposure_hours": "powered", "powered_hours": "powered", "calendar_hours": "calendar"}


def html_table(frame, *, caption: str, max_rows: int | None = None, years=tuple(EXPOSURES)) -> str:
    """The frame as one HTML table; every cell is escaped, hidden characters are written out.

    Parameters
    ----------
    frame : DataFrame
        Columns ``low`` and ``high`` join the column before ``low``; ``x_low`` and ``x_high`` join ``x``. A ``level``
        column that is the same all the way down goes into the heading.
    caption : str
        What the table shows.
    max_rows : int, optional
        Show only so many rows; the caption then says how many there are.
    years : collection of str
        Columns of hours to show as years of 8,766 h. ``frame.attrs["clock"]`` names the clock of
        ``exposure_hours``; powered time when it says nothing.

    Examples
    --------
    >>> import pandas
    >>> frame = pandas.DataFrame({"ratio": [1.8], "low": [1.2], "high": [2.7], "level": [0.90]})
    >>> "1.8 (1.2 to 2.7)" in html_table(frame, caption="Heron against Curlew")
    True
    """
    columns = table_columns(frame, years)
    shown = len(frame) if max_rows is None else min(max_rows, len(frame))
    if shown < len(frame):
        caption = f"{caption} (the first {shown:,} of {len(frame):,} rows)"
    kinds = [_kind(number, cells) for _, number, cells in columns]
    head = "".join(f'<th scope="col"{kind}>{html_text(title)}</th>'
                   for (title, _, _), kind in zip(columns, kinds, strict=True))
    body = "\n".join(_row([cells[row] for _, _, cells in columns], kinds) for row in range(shown))
    if not len(frame):
        body = f'<tr><td colspan="{max(len(columns), 1)}">no rows</td></tr>'
    opening = '<table class="wide">' if len(columns) > MANY else "<table>"
    return (f"{opening}\n<caption>{html_text(caption)}</caption>\n<thead><tr>{head}</tr></thead>\n"
            f"<tbody>\n{body}\n</tbody>\n</table>")


def table_columns(frame, years=tuple(EXPOSURES)) -> list[tuple[str, bool, list[str]]]:
    """What a table of the frame shows: heading, whether it is numbers, and the text of each cell."""
    limits = _limits(list(frame.columns))
    level = _level(frame)
    taken = {name for pair in limits.values() for name in pair} | ({"level"} if level else set())
    columns = []
    for name in (name for name in frame.columns if name not in taken):
        values = frame[name].tolist()
        if name in limits:
            low, high = (frame[limit].tolist() for limit in limits[name])
            cells = [interval_text(*cell) for cell in zip(values, low, high, strict=True)]
            columns.append((f"{heading_text(name)}, {level or 'low to high'}", True, cells))
        elif name in years:
            columns.append((_years_heading(frame, name), True, [years_text(value) for value in values]))
        elif str(name).endswith("_years"):
            columns.append((heading_text(name), True, [exposure_text(value) for value in values]))
        else:
            columns.append((heading_text(name), _is_number(values), [cell_text(value) for value in values]))
    return columns


def _limits(names: list[str]) -> dict[str, tuple[str, str]]:
    """Which columns have limits, and the names of these."""
    limits = {name: (f"{name}_low", f"{name}_high") for name in names
              if f"{name}_low" in names and f"{name}_high" in names}
    if {"low", "high"} <= set(names) and names.index("low") > 0:
        limits[names[names.index("low") - 1]] = ("low", "high")
    return limits


def _level(frame) -> str:
    if "level" not in frame.columns:
        return ""
    levels = {value for value in frame["level"].tolist() if not is_missing(value)}
    level = levels.pop() if len(levels) == 1 else None
    return f"{100 * level:g} % interval" if isinstance(level, numbers.Real) and 0 < level < 1 else ""


def _years_heading(frame, name: str) -> str:
    clock = frame.attrs.get("clock", "powered") if name == "exposure_hours" else CLOCKS.get(name, "")
    stem = EXPOSURES.get(name, heading_text(name).removesuffix(" (h)"))
    return f"{stem} ({clock} years)" if clock else f"{stem} (years)"


def _is_number(values) -> bool:
    kept = [value for value in values if not is_missing(value)]
    return bool(kept) and all(
        isinstance(value, numbers.Real) or hasattr(value, "low") for value in kept)


def _kind(number: bool, cells: list[str]) -> str:
    """The class of a column's cells: numbers stand to the right, dates stay whole, long text gets room."""
    if number:
        return ' class="number"'
    if all(DATE.fullmatch(cell) for cell in cells):
        return ' class="date"'
    return ' class="long"' if max(map(len, cells), default=0) > LONG else ""


def _row(cells: list[str], kinds: list[str]) -> str:
    """One row; its first cell is the row's heading."""
    data = "".join(f"<td{kind}>{html_text(cell)}</td>" for cell, kind in zip(cells[1:], kinds[1:], strict=True))
    return f'<tr><th scope="row"{kinds[0]}>{html_text(cells[0])}</th>{data}</tr>'
