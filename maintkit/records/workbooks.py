"""Sheets of an XLSX workbook as text rows, each with its row number in the sheet."""

import warnings
from collections import defaultdict
from contextlib import ExitStack
from datetime import date, datetime, time
from pathlib import Path
from zipfile import ZipFile

from .errors import WHOLE_ROW, LayoutError, RecordsError
from .row_above import names_a_total
from .workbook_rows import Uncalculated, open_book, read_sheet

LOAD_AGAIN = "and load the workbook again; the other rows are in."
MOST_SHEET_BYTES = 4 * 2**30  # unzipped, of all sheets: about ten million rows of tickets
MOST_OTHER_BYTES = 512 * 2**20  # unzipped, of all else: the texts, which are held in memory
MOST_TIMES, FROM_BYTES = (
    100,
    2**19,
)  # unzipped against zipped, of parts that come to that size together; sheets of one value reach 15
OTHER_SPREADSHEETS = (".ods", ".fods", ".xls", ".xlsb", ".numbers")
MOST_ROWS, MOST_COLUMNS = 1_048_576, 1000


class Workbook:
    """An XLSX workbook, opened once; its sheets are read row by row.

    Raises
    ------
    RecordsError
        When the file is empty, no workbook or one without a sheet; the message says what to do.
    """

    def __init__(self, path: Path):
        self.path = path
        with ExitStack() as opened:
            self._book = _open(path, opened)
            self.titles = tuple(sheet.title for sheet in self._book.worksheets)
            if not self.titles:
                raise RecordsError(
                    f"{path.name} holds no sheet of cells. Save the workbook again, or take it from a copy."
                )
            self._open_book = opened.pop_all()

    def close(self):
        """Close the file."""
        self._open_book.close()

    def calls(self, title: str, name: str) -> bool:
        """Whether a name is that of a sheet; case and blanks make another one only where a sheet is called just so."""
        alike = " ".join(title.casefold().split()) == " ".join(name.casefold().split())
        return title == name or (name not in self.titles and alike)

    def rows(self, title: str, dialect, headings, unread=frozenset()):
        """Yield ``(row number, text fields, refusal)``; refusal is ``(column, found, rule, remedy)`` or None.

        Fields are as many as the headings; all of the row where no headings are given. Rows that the file leaves out
        are blank; one that has the number of an earlier row, or a lower one, is refused.
        """
        width, last = len(headings), 0
        for number, cells in self._numbered(title):
            yield from ((blank, [""] * width, None) for blank in range(last + 1, number))
            fields = [""] * max(width, max(cells, default=0))
            for column, values in cells.items():
                fields[column - 1] = " | ".join(cell_text(value, dialect) for value in values)
            if number <= last:
                refusal = _out_of_order(fields)
            else:
                refusal = _twice(cells, headings) or _refusal(fields, cells, headings, unread)
            beyond = list(filter(str.strip, fields[width:])) if width else ()
            if beyond and not refusal:  # the last heading is a blank one, for what stands under none
                fields[width - 1] = " | ".join(filter(None, [fields[width - 1], *beyond]))
            yield number, fields[: width or None], refusal
            last = max(last, number)

    def struck_out(self, title: str) -> frozenset[int]:
        """The numbers of the rows of which most filled cells are struck out."""
        fonts = self._book._fonts
        struck = {at for at, style in enumerate(self._book._cell_styles) if fonts[style.fontId].strike}
        if not struck:
            return frozenset()
        found = set()
        for number, cells in read_sheet(self._book, title):
            styles = [cell["style_id"] in struck for cell in cells if cell["value"] is not None]
            if sum(styles) > len(styles) / 2:
                found.add(number)
        return frozenset(found)

    def comments(self, title: str) -> dict[str, str]:
        """The comments that hang on cells, by cell, such as ``C7``; none where they are damaged."""
        from openpyxl.comments.comment_sheet import CommentSheet
        from openpyxl.packaging.relationship import get_dependents, get_rels_path
        from openpyxl.xml.constants import COMMENTS_NS
        from openpyxl.xml.functions import fromstring

        archive, path = self._book._archive, get_rels_path(self._book[title]._worksheet_path)
        if path not in archive.namelist():
            return {}
        try:
            parts = get_dependents(archive, path).find(COMMENTS_NS)
            sheets = [CommentSheet.from_tree(fromstring(archive.read(part.target))) for part in parts]
            # before what an answer in a thread says stands what older programs shall show
            return {
                cell: one.text.rpartition("Comment:\n")[2] for sheet in sheets for cell, one in sheet.comments
            }
        except Exception:  # a damaged part can break its reader in any way
            return {}

    def _numbered(self, title):
        """The number of each row that the sheet holds, and its values by column, all of those in one place."""
        number = 0
        try:
            for number, cells in read_sheet(self._book, title):
                values = defaultdict(list)
                for cell in cells:
                    if cell["value"] is not None:
                        values[cell["column"]].append(cell["value"])
                _refuse_too_far(self.path, title, number, max(values, default=0))
                yield number, values
        except RecordsError:
            raise
        except Exception as error:  # a damaged sheet can break its reader in any way
            raise RecordsError(
                f"{self.path.name}, sheet {title} cannot be read after row {number} ({type(error).__name__}). "
                "Open the workbook in the spreadsheet program and save it again."
            ) from error


def titles_of(path: Path) -> frozenset[str]:
    """The titles of the sheets of a workbook, in small letters; none of a file that is no workbook."""
    if path.suffix.lower() != ".xlsx":
        return frozenset()
    try:
        book = Workbook(path)
    except RecordsError:
        return frozenset()
    book.close()
    return frozenset(title.strip().casefold() for title in book.titles)


def _open(path, opened):
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
            book = open_book(opened.enter_context(path.open("rb")))
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
        sizes, swollen = {True: 0, False: 0}, []
        for part in archive.infolist():
            sizes[part.filename.startswith("xl/worksheets/")] += part.file_size
            if part.file_size > MOST_TIMES * part.compress_size:
                swollen.append(part)
    for in_sheets, most in ((True, MOST_SHEET_BYTES), (False, MOST_OTHER_BYTES)):
        if sizes[in_sheets] > most:
            raise RecordsError(
                f"{path.name} would unzip to {sizes[in_sheets] / 2**20:,.0f} MiB of {'sheets' if in_sheets else 'texts and styles'}; "
                f"at most {most / 2**20:,.0f} MiB are read. Save each sheet as a CSV file and load the folder."
            )
    if sum(part.file_size for part in swollen) > FROM_BYTES:
        largest = max(swollen, key=lambda part: part.file_size)
        times = largest.file_size / max(largest.compress_size, 1)
        raise RecordsError(
            f"{path.name} is not read: its part {largest.filename} would unzip to {times:,.0f} times its size, and records come to "
            f"at most {MOST_TIMES}. Save each sheet as a CSV file and load the folder."
        )


def _refuse_too_far(path, title, row, columns):
    """Refuse a sheet that claims rows or columns which no sheet of records has: reading them would take for ever."""
    if row > MOST_ROWS or columns > MOST_COLUMNS:
        where = f"row {row:,}" if row > MOST_ROWS else f"column {columns:,} in row {row:,}"
        raise RecordsError(
            f"{path.name}, sheet {title} has a cell in {where}. A sheet of records has at most {MOST_ROWS:,} rows and "
            f"{MOST_COLUMNS:,} columns. Delete what stands out there, or save the sheet as a CSV file."
        )


def _out_of_order(fields):
    """The refusal of a row whose number is taken; a blank one loses nothing."""
    found = ", ".join(filter(str.strip, fields))
    rule = "The workbook gives this row the number of an earlier row, or a lower one."
    remedy = f"Put its cells into a row of their own, save the workbook {LOAD_AGAIN}"
    return found and (WHOLE_ROW, found, rule, remedy)


def _twice(cells, headings):
    """The refusal of a row in which two cells have one place."""
    for column, values in cells.items():
        if len(values) > 1:
            rule = "The workbook has more than one cell in this place."
            remedy = f"Write one value into the cell, save the workbook {LOAD_AGAIN}"
            return _column(column - 1, headings), " | ".join(map(str, values)), rule, remedy
    return None


def _column(index, headings):
    """How a message calls the column."""
    return (headings[index] if index < len(headings) else "") or f"{index + 1}, which has no heading"


def _refusal(fields, cells, headings, unread):
    """Why a row cannot be read, or None: a formula without a value, but in a row that sums others, which is no entry."""
    if names_a_total(fields):
        return None
    for index, text in enumerate(fields[: len(headings)]):
        if index not in unread and text and isinstance(cells[index + 1][0], Uncalculated):
            rule = "The cell holds a formula and the workbook keeps no value for it."
            remedy = f"Open the workbook in the spreadsheet program, let it calculate, save it {LOAD_AGAIN}"
            return _column(index, headings), text, rule, remedy
    return None


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
    if isinstance(value, float):
        text = str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
        return text.replace(".", dialect.decimal)
    if isinstance(value, datetime) and value.time() != time(0):
        return value.isoformat(sep=" ")
    first = dialect.date_format if isinstance(dialect.date_format, str) else dialect.date_format[0]
    return value.strftime(first) if isinstance(value, date) else str(value)


def refuse_other_spreadsheets(files) -> None:
    """Say of each spreadsheet that is none of the kind that is read what to do with it.

    Raises
    ------
    LayoutError
        Where there is one among the files.
    """
    names = [path.name for path in files if path.suffix.lower() in OTHER_SPREADSHEETS]
    if names:
        raise LayoutError(
            [
                f"{name} is a spreadsheet of a kind that is not read. Open it where it was made, save a copy as .xlsx, "
                "and name that copy or put it in the folder."
                for name in names
            ]
        )
