"""Spreadsheets and CSV files to take away: a cell's text stays text, whatever it begins with."""

import re
from collections import Counter
from copy import copy
from datetime import date, datetime
from functools import lru_cache
from itertools import count
from pathlib import Path
from typing import NamedTuple

from maintkit.report.columns import column
from maintkit.report.finding import plain
from maintkit.report.tables import heading_text, is_missing
from maintkit.report.text import visible

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
MARKED = (*FORMULA_STARTS, "'")
QUOTED = re.compile('[,"\r\n]|^ | $')
WIDEST = 48
PAGE_WIDE = 104  # characters across A4 on its side, in a type as wide as any spreadsheet takes
LINE_POINTS = 15.0
READ_FIRST = "read first"
LONGEST_CELL = 32_767  # characters a workbook cell holds


def write_csv(path, frame) -> Path:
    """Write the frame as UTF-8 CSV with ``\\n`` line ends, numbers unrounded; returns the path.

    Text that a spreadsheet would take for a formula (beginning with ``= + - @``, a tab or a line end, blanks before it
    or not) gets one single quote in front, and so does text that begins with a single quote: taking one leading
    quote off every cell gives the text back exactly. Dates are ISO, blanks are empty, yes/no are words.
    """
    path = Path(path)
    columns = [[_csv_cell(str(name)), *_csv_column(frame[name].tolist())] for name in frame.columns]
    with path.open("w", encoding="utf-8", newline="") as file:
        file.writelines(",".join(row) + "\n" for row in zip(*columns, strict=True))
    return path


def _flat(value):
    """The cell in plain types, an estimate as its value (limits want columns of their own), a list as text."""
    value = plain(value)
    if isinstance(value, dict):
        return value["value"]
    return ", ".join(str(one) for one in value) if isinstance(value, list) else value


def _csv_column(values: list) -> list[str]:
    kinds = set(map(type, values))
    if kinds <= {float, int}:
        return [repr(value) if value - value == 0 else _csv_cell(value) for value in values]
    if kinds <= {str, type(None)}:
        written = {value: _csv_cell(value) for value in set(values)}
        return [written[value] for value in values]
    return [_csv_cell(value) for value in values]


def _csv_cell(value) -> str:
    value = _flat(value)
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return repr(value)
    text = str(value)
    if text.lstrip(" ").startswith(MARKED):
        text = f"'{text}"
    return '"' + text.replace('"', '""') + '"' if QUOTED.search(text) else text


def write_workbook(
    path, sheets: dict, *, notes: dict[str, str] | None = None, first: list[str] | None = None
) -> Path:
    """Write each frame to a sheet of its name; returns the path.

    Headings are bold, frozen and filtered; dates are dates; text is stored as text with the quote prefix, so that
    nothing in it is reckoned; control characters, which a workbook cannot hold, are written out as code points.

    Parameters
    ----------
    sheets : dict of str to DataFrame
        In the order of the tabs. Names are cut to the 31 characters a tab holds.
    notes : dict of str to str, optional
        A sentence put above the table of the sheet of that name.
    first : list of str, optional
        Lines of a sheet before all others, what to read before the first job.

    Raises
    ------
    ValueError
        If two sheets would get one name, or there is no sheet.
    """
    from openpyxl import Workbook

    names = {name: _tab_name(name) for name in sheets}
    if not sheets or len({name.lower() for name in names.values()}) < len(sheets):
        raise ValueError(
            f"A workbook needs sheets with different names; found {', '.join(names.values()) or 'none'}."
        )
    book = Workbook()
    book.remove(book.active)
    if first:
        fill_lines(book.create_sheet(READ_FIRST), first)
    for name, frame in sheets.items():
        _fill_sheet(book.create_sheet(names[name]), frame, (notes or {}).get(name, ""))
    book.save(path)
    return Path(path)


def file_name(text: str) -> str:
    """The text as the name of a file on any system: letters, digits, dots and hyphens stay, the rest becomes a hyphen.

    Examples
    --------
    >>> file_name("LMO/045"), file_name("../x")
    ('LMO-045', 'x')
    """
    kept = "".join(one if one.isalnum() or one in "-._" else "-" for one in visible(text))
    return kept.strip("-._")[:80] or "unnamed"


def file_names(texts) -> list[str]:
    """A name for each text, no two alike on a system that takes large and small letters for one.

    Examples
    --------
    >>> file_names(["LMO/045", "LMO-045", "lmo 045"])
    ['LMO-045', 'LMO-045-2', 'lmo-045-3']
    """
    names = []
    for text in texts:
        name = file_name(text)
        tries = (name if number == 1 else f"{name}-{number}" for number in count(1))
        taken = {other.casefold() for other in names}
        names.append(next(one for one in tries if one.casefold() not in taken))
    return names


def _tab_name(name: str) -> str:
    """The name without the characters a tab refuses."""
    return "".join(" " if one in r"[]:*?/\\" else one for one in visible(name)).strip("' ")[:31] or "sheet"


def _fill_sheet(sheet, frame, note: str) -> None:
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    head, high, styles = 1, Counter(), {}
    if note:
        _across(sheet, note, width=min(max(len(frame.columns), 1), 8))
        head = 3
    for place, name in enumerate(frame.columns, start=1):
        cell, heading = sheet.cell(head, place), heading_text(name)
        put_cell(cell, heading)
        cell.font, cell.alignment = Font(bold=True), Alignment(wrap_text=True, vertical="top")
        times = _times(name)
        values = [_shown(_in_unit(value, times)) for value in frame[name].tolist()]
        width = _width(heading, [shown.value for shown in values])
        sheet.column_dimensions[get_column_letter(place)].width = width
        high[head] = max(high[head], lines_of(cell.value, width))
        for row, shown in enumerate(values, start=head + 1):
            _put_styled(sheet.cell(row, place), shown, styles)
            if shown.wraps:
                high[row] = max(high[row], lines_of(shown.value, width))
    for row, lines in high.items():
        if lines > 1:  # for programs that do not set heights on opening
            sheet.row_dimensions[row].height = LINE_POINTS * lines
    sheet.freeze_panes = sheet.cell(head + 1, 1)
    last = f"{get_column_letter(max(len(frame.columns), 1))}{head + len(frame)}"
    sheet.auto_filter.ref = f"A{head}:{last}"
    sheet.print_title_rows = f"{head}:{head}"
    on_a4(sheet)


def on_a4(sheet) -> None:
    """Print landscape on A4, as wide as one page, narrow margins, the pages counted at the foot."""
    sheet.page_setup.orientation, sheet.page_setup.paperSize = "landscape", "9"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    margins = sheet.page_margins
    margins.left = margins.right = margins.top = 0.4  # inches
    margins.bottom, margins.footer = 0.75, 0.3
    sheet.oddFooter.left.text, sheet.oddFooter.right.text = "&A", "&P of &N"


def fill_lines(sheet, lines) -> None:
    """Lines of text, one a row, wrapped on a page's width and as high as that takes."""
    from openpyxl.styles import Alignment, Font

    sheet.column_dimensions["A"].width = PAGE_WIDE
    wrapped = Alignment(wrap_text=True, vertical="top")
    for row, line in enumerate(lines, start=1):
        cell = sheet.cell(row, 1)
        put_cell(cell, line)
        cell.alignment = wrapped
        sheet.row_dimensions[row].height = LINE_POINTS * lines_of(line, PAGE_WIDE)
    sheet.cell(1, 1).font = Font(bold=True)
    on_a4(sheet)


@lru_cache
def lines_of(text, width: float) -> int:
    """Lines a text takes in a column so many characters wide; a spreadsheet opened elsewhere does not reckon this again.

    Examples
    --------
    >>> lines_of("two words", 20), lines_of("two words", 6), lines_of("", 6)
    (1, 2, 1)
    """
    from textwrap import wrap

    return max(sum(max(len(wrap(line, max(int(width) - 1, 1))), 1) for line in str(text).splitlines()), 1)


def _across(sheet, note: str, *, width: int) -> None:
    """A sentence over the first columns, wrapped."""
    from openpyxl.styles import Alignment

    put_cell(sheet.cell(1, 1), note)
    sheet.merge_cells(start_row=1, start_column=1, end_row=1, end_column=width)
    sheet.cell(1, 1).alignment = Alignment(wrap_text=True, vertical="top")
    sheet.row_dimensions[1].height = LINE_POINTS * lines_of(note, 12 * width)


def _times(name: str) -> float:
    """What values of that column are multiplied by to be in the unit its heading names."""
    known = column(str(name))
    return known.kind.times if known else 1.0


def _in_unit(value, times: float):
    return value if times == 1.0 or is_missing(value) or isinstance(value, str) else value * times


class _Shown(NamedTuple):
    """What a cell holds and how it looks; text is never reckoned."""

    value: object
    number_format: str = ""
    is_text: bool = False
    wraps: bool = False


def _shown(value) -> _Shown:
    if is_missing(value):
        return _Shown(None)
    if isinstance(value, date):
        whole_day = not isinstance(value, datetime) or (value.hour, value.minute, value.second) == (0, 0, 0)
        day = value.to_pydatetime() if hasattr(value, "to_pydatetime") else value
        return _Shown(day, "yyyy-mm-dd" if whole_day else "yyyy-mm-dd hh:mm")
    value = _flat(value)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return _Shown(value, _number_format(value))
    text = ("yes" if value else "no") if isinstance(value, bool) else visible(value or "")[:LONGEST_CELL]
    return _Shown(text, is_text=True, wraps=len(text) > WIDEST)


def put_cell(cell, value) -> None:
    """Set one cell: numbers and dates as such, all else as text that is never reckoned."""
    from openpyxl.styles import Alignment

    shown = _shown(value)
    _put(cell, shown)
    if shown.wraps:
        cell.alignment = Alignment(wrap_text=True, vertical="top")


def _put(cell, shown: _Shown) -> None:
    if shown.value is None:
        return
    cell.value = shown.value
    if shown.is_text:
        cell.data_type = "s"
        cell.quotePrefix = shown.value.startswith(FORMULA_STARTS)
    else:
        cell.number_format = shown.number_format


def _put_styled(cell, shown: _Shown, styles: dict) -> None:
    """Set one cell at the top of its row; ``styles`` holds those met before, for a style is slow to make."""
    from openpyxl.styles import Alignment

    key = shown.number_format, shown.is_text and shown.value.startswith(FORMULA_STARTS), shown.wraps
    if key not in styles:
        _put(cell, shown)
        cell.alignment = Alignment(wrap_text=shown.wraps or None, vertical="top")
        styles[key] = copy(cell._style)
        return
    cell.value = shown.value
    if shown.is_text:
        cell.data_type = "s"
    cell._style = copy(styles[key])


def _number_format(value) -> str:
    """How a number looks: decimals where it has some, fewer of a larger one; a space before text that follows.

    Examples
    --------
    >>> _number_format(14.0), _number_format(71.696), _number_format(0.684)
    ('#,##0_ ', '#,##0.0#_ ', '#,##0.0##_ ')
    """
    return "#,##0_ " if value == int(value) else "#,##0.0#_ " if abs(value) >= 10 else "#,##0.0##_ "


def _width(heading: str, values) -> float:
    longest = max((len(str(_flat(value))) for value in values if not is_missing(value)), default=0)
    return min(max(longest, len(heading) * 0.7, 8) + 2, WIDEST)
