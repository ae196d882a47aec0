"""A workbook to keep records in: a sheet per table with the loader's own rules, blank or holding an existing record book."""

import io
import re
from dataclasses import astuple, dataclass
from pathlib import Path

from maintkit.in_place import write_new_file

from .columns import Table
from .errors import RecordsError
from .logbook_rules import column_rule
from .store import open_records
from .tables import TABLES
from .unmended import open_turned_away

BLANK_ROWS = 5000  # rows below the records that have the rules too
FORMATTED_ROWS = 200  # of these, the first that have formats of their own
MOST_ROWS = 1_048_576  # of a sheet
LONGEST_CELL = 32_767  # characters a cell holds
UNHOLDABLE = re.compile(r"[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]")
FORMATS = {
    "date": "yyyy-mm-dd",
    "text": "@",
    "choice": "@",
    "number": "General",
    "minutes": "General",
    "whole": "0",
    "clock": "hh:mm",
}
GUIDANCE = (
    "How to keep records in this workbook",
    "One sheet a table; headings stay as they are. Columns whose heading is underlined must be filled in; the rest help as far as they are kept.",
    "Only tickets are needed, and desks are drafted from them where there are none. Every further sheet answers more; leave empty what you do not keep.",
    "Click on a cell to see what it wants. Lists drop down: closed words, and the desks, slots, modules, tickets and part types of your own sheets.",
    "Start with desks, then positions, modules and fitments; keep the rows of positions together by desk, so that the list of slots drops down.",
    "Write what was heard in tickets, word for word, and what was found in repairs. Never write over a symptom.",
    "A blank cell says that you do not know. Do not guess a date: leave it blank where it is not required.",
    "Text stays text: a slot 017 and a serial 1E5 are kept as typed.",
    "Save as XLSX and load: maintkit load this-workbook.xlsx --into records.duckdb. A row that cannot be read is named and the rest is in.",
    "A corrected row takes the place of the earlier one by its key; a row taken out of this workbook stays in the DuckDB file.",
)


@dataclass(frozen=True)
class LogbookWritten:
    """A workbook written: where, rows in it, rows of the source turned away, and cells a workbook cannot hold as they are."""

    path: Path
    source: str
    rows: int
    turned_away: int
    altered: tuple[str, ...]

    def __str__(self):
        if not self.source:
            return f"A blank log book is in {self.path}. Its first sheet says how to keep it."
        lines = [f"The log book is in {self.path}, with {self.rows:,} rows of {self.source}."]
        if self.turned_away:
            lines.append(
                f"{self.turned_away:,} rows of the source could not be read and are in the sheet 'turned away' alone: put them right and "
                "move them to their sheets."
            )
        if self.altered:
            cells = "1 cell holds" if len(self.altered) == 1 else f"{len(self.altered):,} cells hold"
            lines.append(
                f"{cells} what a workbook cannot (control characters, or more than {LONGEST_CELL:,} characters); written with their code "
                f"points, or cut: {'; '.join(self.altered[:5])}{' …' if len(self.altered) > 5 else ''}."
            )
        return "\n".join(lines)


def write_logbook(path, source=None) -> LogbookWritten:
    """Write a workbook to keep records in, blank or with an existing record book in it.

    Parameters
    ----------
    path : path
        The .xlsx file to write; it must not be there yet.
    source : path, optional
        A folder of CSV files, a workbook or a DuckDB store; nothing in it is changed.

    Returns
    -------
    LogbookWritten
        What was written; loading the workbook gives the same records again.

    Raises
    ------
    RecordsError
        When the file is there already, is no .xlsx, or the source cannot be opened or has more rows than a sheet.
    OSError
        When the file cannot be written.
    """
    path = Path(path)
    if path.suffix.lower() != ".xlsx":
        raise RecordsError(f"{path.name}: a log book is an .xlsx workbook. Give its name that ending.")
    if path.exists():
        raise RecordsError(
            f"{path} is there already and is left as it is. Choose another name, or move it away."
        )
    records = open_records(source) if source is not None else None
    try:
        rows = {table.name: _rows(records, table) if records else [] for table in TABLES}
        turned_away = open_turned_away(records.connection) if records else []
    finally:
        if records:
            records.close()
    book, altered = _book(rows, turned_away)
    buffer = io.BytesIO()
    book.save(buffer)
    write_new_file(path, buffer.getvalue())
    return LogbookWritten(
        path,
        Path(source).name if source else "",
        sum(map(len, rows.values())),
        len(turned_away),
        tuple(altered),
    )


def _rows(records, table):
    names = ", ".join(f'"{column.name}"' for column in table.columns)
    order = "load, source_file, source_row"
    if table.name == "positions":
        order = f"desk, {order}"  # the list of slots drops down only where those of a desk stand together
    rows = records.connection.execute(f'select {names} from "{table.name}" order by {order}').fetchall()
    if len(rows) >= MOST_ROWS:
        raise RecordsError(
            f"The table {table.name} has {len(rows):,} rows, and a sheet holds {MOST_ROWS - 1:,}. Keep it in a folder of CSV files."
        )
    return rows


def _book(rows, turned_away):
    from openpyxl import Workbook

    book, altered = Workbook(), []
    _guidance(book.active)
    for table in TABLES:
        altered += _fill(book.create_sheet(table.name), table, rows[table.name])
    if turned_away:
        sheet = book.create_sheet("turned away")
        sheet.append(["file", "row", "column", "found", "rule", "what to do"])
        for one in turned_away:
            for place, value in enumerate(astuple(one)[:6], start=1):
                _put(sheet.cell(sheet.max_row + (place == 1), place), value, "text")
    return book, altered


def _guidance(sheet):
    from openpyxl.styles import Alignment, Font

    sheet.title = "read me"
    sheet.column_dimensions["A"].width, sheet.column_dimensions["B"].width = 24, 100
    lines = [("", sentence) for sentence in GUIDANCE]
    for table in TABLES:
        need = "Needed. " if table.required else f"Without it you miss {table.unlocks}. "
        key = " + ".join(table.key)
        lines.append((table.name, f"One row is {table.row_is}. {need}No two rows may have the same {key}."))
        lines += [("", f"{rule.rule} {rule.remedy}") for rule in table.row_rules]
    for row, (name, sentence) in enumerate(lines, start=1):
        sheet.cell(row, 1, name).font = Font(bold=True)
        sheet.cell(row, 2, sentence).alignment = Alignment(wrap_text=True, vertical="top")
    sheet.cell(1, 2).font = Font(bold=True, size=14)


def _fill(sheet, table: Table, rows) -> list[str]:
    """Headings, records, formats and rules of one sheet; the cells that could not be written as they are."""
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    altered, last_row = [], min(len(rows) + 1 + BLANK_ROWS, MOST_ROWS)
    for place, column in enumerate(table.columns, start=1):
        heading = sheet.cell(1, place, column.name)
        heading.font = Font(bold=True, underline="single" if column.required else None)
        width = sheet.column_dimensions[get_column_letter(place)]
        width.width, width.number_format = max(len(column.name) + 3, 12), FORMATS[column.kind]
        sheet.add_data_validation(column_rule(table, column, last_row))
    for number, row in enumerate(rows, start=2):
        for place, (column, value) in enumerate(zip(table.columns, row, strict=True), start=1):
            if value is not None and _put(sheet.cell(number, place), value, column.kind):
                altered.append(f"{table.name}, row {number}, {column.name}")
    sheet.freeze_panes = "A2"
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(table.columns))}{max(len(rows) + 1, 2)}"
    # Rows still to be filled have formats too: a text cell keeps 017 as typed, a date cell shows ISO.
    for row in range(len(rows) + 2, len(rows) + 2 + FORMATTED_ROWS):
        for place, column in enumerate(table.columns, start=1):
            sheet.cell(row, place).number_format = FORMATS[column.kind]
    return altered


def _put(cell, value, kind) -> bool:
    """Set a cell to a record's value, text never as a formula; True where a workbook cannot hold the text as it is."""
    cell.number_format = FORMATS[kind]
    if not isinstance(value, str):
        cell.value = (
            int(value) if isinstance(value, float) and value.is_integer() and abs(value) < 1e15 else value
        )
        return False
    text = UNHOLDABLE.sub(lambda found: f"[U+{ord(found.group()):04X}]", value.replace("\r\n", "\n"))[
        :LONGEST_CELL
    ]
    cell.value, cell.data_type = text, "s"
    cell.quotePrefix = text.startswith(("=", "+", "-", "@", "\t", "'"))
    return text != value
