"""Sheets of an XLSX workbook as text rows, each with its row number in the sheet."""

import warnings
from contextlib import ExitStack
from datetime import date, datetime, time
from itertools import repeat
from pathlib import Path
from zipfile import ZipFile

from .errors import RecordsError

ERROR_CELLS = frozenset(
    ("#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#NUM!", "#SPILL!", "#CALC!")
)
LOAD_AGAIN = "and load the workbook again; the other rows are in."
MOST_SHEET_BYTES = 4 * 2**30  # unzipped, of all sheets: about ten million rows of tickets
MOST_OTHER_BYTES = 512 * 2**20  # unzipped, of all else: the texts, which are held in memory
MOST_ROWS, MOST_COLUMNS = 1_048_576, 1000


class Workbook:
    """An XLSX workbook opened once for its values, and once more for its formulas only if it has any.

    Raises
    ------
    RecordsError
        When the file is empty or no workbook; the message says what to do.
    """

    def __init__(self, path: Path):
        self.path = path
        self._open_books = ExitStack()
        with ExitStack() as opened:
            self._values = _open(path, opened, data_only=True)
            self._formulas = _open(path, opened, data_only=False) if _has_formulas(path) else None
            self._open_books = opened.pop_all()
        self.titles = tuple(sheet.title for sheet in self._values.worksheets)

    def close(self):
        """Close the file."""
        self._open_books.close()

    def rows(self, title: str, dialect, headings, unread=frozenset()):
        """Yield ``(row number, text fields, refusal)``; refusal is ``(column, found, rule, remedy)`` or None.

        Fields are as many as the headings; all of the row where no headings are given.
        """
        width = len(headings)
        formulas = _rows(self._formulas, self.path, title) if self._formulas else repeat(())
        calculated = _rows(self._values, self.path, title)
        for number, (values, entered) in enumerate(zip(calculated, formulas, strict=False), start=1):
            fields = [cell_text(value, dialect) for value in values]
            fields += [""] * (width - len(fields))
            yield number, fields[: width or None], _refusal(fields, entered, headings, unread)


def _open(path, opened, *, data_only):
    from openpyxl import load_workbook

    if path.stat().st_size == 0:
        raise RecordsError(
            f"{path.name} is empty (0 bytes). Save the workbook again, or take it from a copy."
        )
    try:
        _refuse_too_large(path)
        with warnings.catch_warnings():
            warnings.simplefilter(
                "ignore", UserWarning
            )  # styles and pick-lists it cannot keep; cells are read
            book = load_workbook(opened.enter_context(path.open("rb")), read_only=True, data_only=data_only)
        opened.callback(book.close)
        return book
    except RecordsError:
        raise
    except Exception as error:  # a damaged workbook can break its reader in any way
        raise RecordsError(
            f"{path.name} is no XLSX workbook that can be read ({type(error).__name__}). "
            "Open it in the spreadsheet program and save it as XLSX without a password."
        ) from error


def _refuse_too_large(path):
    """Refuse a workbook that would unzip to more than the limits, before any of it is unzipped."""
    with ZipFile(path) as archive:
        sizes = {True: 0, False: 0}
        for part in archive.infolist():
            sizes[part.filename.startswith("xl/worksheets/")] += part.file_size
    for in_sheets, most in ((True, MOST_SHEET_BYTES), (False, MOST_OTHER_BYTES)):
        if sizes[in_sheets] > most:
            raise RecordsError(
                f"{path.name} would unzip to {sizes[in_sheets] / 2**20:,.0f} MiB of {'sheets' if in_sheets else 'texts and styles'}; "
                f"at most {most / 2**20:,.0f} MiB are read. Save each sheet as a CSV file and load the folder."
            )


def _rows(book, path, title):
    """The cells of each row as Python values, trailing empties cut."""
    number = 0
    try:
        sheet = book[title]
        sheet.reset_dimensions()
        for number, values in enumerate(sheet.iter_rows(values_only=True), start=1):
            _refuse_too_far(path, title, number, len(values))
            last = len(values)
            while last and values[last - 1] is None:
                last -= 1
            yield values[:last]
    except RecordsError:
        raise
    except Exception as error:  # a damaged sheet can break its reader in any way
        raise RecordsError(
            f"{path.name}, sheet {title} cannot be read after row {number} ({type(error).__name__}). "
            "Open the workbook in the spreadsheet program and save it again."
        ) from error


def _refuse_too_far(path, title, row, columns):
    """Refuse a sheet that claims rows or columns which no sheet of records has: reading them would take for ever."""
    if row > MOST_ROWS or columns > MOST_COLUMNS:
        where = f"row {row:,}" if row > MOST_ROWS else f"column {columns:,} in row {row:,}"
        raise RecordsError(
            f"{path.name}, sheet {title} has a cell in {where}. A sheet of records has at most {MOST_ROWS:,} rows and "
            f"{MOST_COLUMNS:,} columns. Delete what stands out there, or save the sheet as a CSV file."
        )


def _has_formulas(path):
    try:
        with ZipFile(path) as archive:
            return any(
                _part_has_formulas(archive, name)
                for name in archive.namelist()
                if name.startswith("xl/worksheets/") and name.endswith(".xml")
            )
    except Exception as error:  # as in opening it
        raise RecordsError(
            f"{path.name} is damaged ({type(error).__name__}). Open it in the spreadsheet program and save it again."
        ) from error


def _part_has_formulas(archive, name):
    with archive.open(name) as source:
        tail = b""
        while chunk := source.read(1 << 20):
            if b"<f>" in tail + chunk or b"<f " in tail + chunk:
                return True
            tail = chunk[-4:]
    return False


def _refusal(fields, entered, headings, unread):
    """Why a row cannot be read, or None: an error cell, a formula without a value, a cell with no heading."""
    for index, text in enumerate(fields):
        if index in unread:
            continue
        name = headings[index] if index < len(headings) else ""
        column = name or f"{index + 1}, which has no heading"
        if text in ERROR_CELLS:
            return column, text, "The cell holds a spreadsheet error.", f"Correct its formula {LOAD_AGAIN}"
        if text and not name and text.strip():
            return (
                column,
                text,
                "Every column in use needs a heading.",
                f"Name the column or clear the cell {LOAD_AGAIN}",
            )
        if not text and index < len(entered) and _is_formula(entered[index]):
            return (
                column,
                str(entered[index]),
                "The cell holds a formula and the workbook keeps no value for it.",
                f"Open the workbook in the spreadsheet program, let it calculate, save it {LOAD_AGAIN}",
            )
    return None


def _is_formula(value):
    return value is not None and (not isinstance(value, str) or value.startswith("="))


def cell_text(value, dialect) -> str:
    """A cell's value as text: dates in the declared format, whole numbers without a point, others shortest.

    Examples
    --------
    >>> from maintkit.records.sheets import Dialect
    >>> [cell_text(value, Dialect()) for value in (3.0, 2.5, True, None, datetime(2026, 3, 31))]
    ['3', '2.5', 'yes', '', '2026-03-31']
    """
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        text = str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
        return text.replace(".", dialect.decimal)
    if isinstance(value, datetime):
        return value.strftime(dialect.date_format) if value.time() == time(0) else value.isoformat(sep=" ")
    return value.strftime(dialect.date_format) if isinstance(value, date) else str(value)
