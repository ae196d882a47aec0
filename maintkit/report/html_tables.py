"""A frame as an HTML table: caption, scoped headings, numbers to the right, an estimate and its limits in one cell."""

import numbers
from datetime import date

from markupsafe import Markup

from maintkit.report.columns import Column, Kind, column
from maintkit.report.resources import resource
from maintkit.report.tables import column_cell, interval_cell, is_missing
from maintkit.report.text import BLANK, html_text

LIMITS = "90 % limits"
SHORT = 14  # characters up to which a column of text stays on one line
LONG = 32  # characters from which a column of text wants room
TOLD = 72  # characters from which it is told below its row instead
UNBROKEN = 24  # characters from which a word may be broken anywhere
MANY = 9  # columns from which a table is set smaller on paper


def html_table(
    frame,
    *,
    caption: str,
    table: str = "",
    max_rows: int | None = None,
    paper_rows: int | None = None,
    pointer: str = "",
) -> str:
    """The frame as one HTML table; every cell is escaped, hidden characters are written out.

    Parameters
    ----------
    frame : DataFrame
        Columns ``low`` and ``high`` join the column before ``low``; ``x_low`` and ``x_high`` join ``x``. How each column is
        shown stands in ``columns.toml``; one that is not there is shown as what its values are. Text of more than 72
        characters is told below its row.
    caption : str
        What the table shows.
    table : str
        Its name, where a column of it means another thing than elsewhere.
    max_rows, paper_rows : int, optional
        Show only so many rows, and on paper only so many; the caption then says how many there are.
    pointer : str
        Where every row is, added to the caption where some are left out.

    Examples
    --------
    >>> import pandas
    >>> frame = pandas.DataFrame({"faults": [18], "low": [12], "high": [27]})
    >>> '18 <span class="limits">(12 to 27)</span>' in html_table(frame, caption="Heron")
    True
    """
    shown = min(len(frame), max_rows or len(frame))
    columns = table_columns(frame.head(shown), table)
    on_paper = min(shown, paper_rows or shown)
    beside, below = _placed(columns)
    kinds = [_class_of(kind, cells) for _, kind, cells in beside]
    head = "".join(
        f'<th scope="col"{_class(kind)}>{html_text(title)}</th>'
        for (title, _, _), kind in zip(beside, kinds, strict=True)
    )
    body = "\n".join(_row(beside, below, kinds, row, on_screen_only=row >= on_paper) for row in range(shown))
    if not len(frame):
        body = f'<tbody><tr><td colspan="{max(len(columns), 1)}">no rows</td></tr></tbody>'
    opening = '<table class="wide">' if len(beside) > MANY else "<table>"
    captions = _captions(caption, len(frame), (shown, on_paper), pointer)
    return f"{opening}\n<caption>{captions}</caption>\n<thead><tr>{head}</tr></thead>\n{body}\n</table>"


def notebook_html(inner: str) -> str:
    """The HTML as a notebook shows it: words to the left and figures to the right, which its own style would not do."""
    return f'<div class="maintkit"><style>\n{resource("notebook.css")}</style>\n{inner}\n</div>'


def sentences_html(sentences) -> str:
    """Sentences as a list, as a notebook shows it."""
    return notebook_html(html_list(sentences))


def html_list(sentences, kind: str = "", tag: str = "ul") -> str:
    """Sentences as a list, nothing where there is none; those that are pieces of a page stay as they are."""
    items = "".join(f"<li>{one if isinstance(one, Markup) else html_text(one)}</li>" for one in sentences)
    return f"<{tag}{_class(kind)}>{items}</{tag}>" if items else ""


def _captions(caption: str, rows: int, shown: tuple[int, int], pointer: str) -> str:
    """The caption on screen and on paper, each with what it leaves out."""
    texts = [
        caption
        if part >= rows
        else f"{caption} (the first {part:,} of {rows:,} rows{pointer and f'; {pointer}'})"
        for part in shown
    ]
    if texts[0] == texts[1]:
        return html_text(texts[0])
    return (
        f'<span class="screen">{html_text(texts[0])}</span><span class="paper">{html_text(texts[1])}</span>'
    )


def _placed(columns):
    """Columns that stand beside each other, and those whose text is too long for that."""
    beside, below = [], []
    for place, (_, kind, cells) in enumerate(columns):
        is_long = max(map(len, cells), default=0) > TOLD
        (below if place and kind.side == "left" and is_long else beside).append(columns[place])
    return beside, below


def table_columns(frame, table: str = "") -> list[tuple[str, Kind, list[str]]]:
    """What a table of the frame shows: heading, kind, and the text of each cell."""
    limits = _limits(list(frame.columns))
    taken = {name for pair in limits.values() for name in pair}
    columns = []
    for name in (name for name in frame.columns if name not in taken):
        values = frame[name].tolist()
        known = column(name, table) or _unknown(name, values)
        if name in limits:
            low, high = (frame[limit].tolist() for limit in limits[name])
            cells = [interval_cell(*cell, known.kind) for cell in zip(values, low, high, strict=True)]
            columns.append((f"{known.heading}, {LIMITS}", known.kind, cells))
        else:
            columns.append((known.heading, known.kind, [column_cell(value, known.kind) for value in values]))
    return columns


def _unknown(name, values) -> Column:
    """A column that is none of the kit's, shown as what its values are."""
    kept = [value for value in values if not is_missing(value)]
    if kept and all(isinstance(value, numbers.Real) or hasattr(value, "low") for value in kept):
        return Column(str(name), "", Kind("number", "right"))
    is_day = kept and all(isinstance(value, date) for value in kept)
    return Column(str(name), "", Kind("day" if is_day else "text", "left"))


def _limits(names: list[str]) -> dict[str, tuple[str, str]]:
    """Which columns have limits, and the names of these."""
    limits = {
        name: (f"{name}_low", f"{name}_high")
        for name in names
        if f"{name}_low" in names and f"{name}_high" in names
    }
    if {"low", "high"} <= set(names) and names.index("low") > 0:
        limits[names[names.index("low") - 1]] = ("low", "high")
    return limits


def _class_of(kind: Kind, cells: list[str]) -> str:
    """The class of a column's cells: numbers stand to the right, dates stay whole, long text gets room."""
    if kind.side == "right":
        return "number"
    if kind.name == "day":
        return "date"
    longest = max(map(len, cells), default=0)
    if longest <= SHORT:
        return "short"
    has_unbroken = any(len(word) > UNBROKEN for cell in cells for word in cell.split())
    return " ".join(["long"] * (longest > LONG) + ["unbroken"] * has_unbroken)


def _class(*kinds: str) -> str:
    kinds = " ".join(kind for kind in kinds if kind)
    return f' class="{kinds}"' if kinds else ""


def _row(beside, below, kinds: list[str], row: int, *, on_screen_only: bool) -> str:
    """One row, kept together with what is told below it; its first cell is the row's heading."""
    cells = [_cell(cells[row], kind) for (_, _, cells), kind in zip(beside, kinds, strict=True)]
    data = "".join(f"<td{_class(kind)}>{cell}</td>" for cell, kind in zip(cells[1:], kinds[1:], strict=True))
    told = [
        f'<span class="name">{html_text(title)}:</span> {html_text(_ended(cells[row]))}'
        if len(below) > 1
        else html_text(cells[row])
        for title, _, cells in below
        if cells[row] not in (BLANK, "")
    ]
    under = (
        f'<tr class="told"><td colspan="{len(beside)}"><div>{" ".join(told)}</div></td></tr>' if told else ""
    )
    return (
        f'<tbody{_class("screen" if on_screen_only else "")}><tr><th scope="row"{_class(kinds[0])}>{cells[0]}</th>{data}</tr>'
        f"{under}</tbody>"
    )


def _ended(text: str) -> str:
    """The text with a full stop, so that what follows it is another sentence."""
    return text if text.endswith((".", "!", "?", "…")) else f"{text}."


def _cell(text: str, kind: str) -> str:
    """The text of a cell; an estimate and its limits may stand on two lines, the limits on one."""
    value, opening, limits = text.partition(" (")
    if kind != "number" or not opening:
        return html_text(text)
    return f'{html_text(value)} <span class="limits">({html_text(limits)}</span>'
