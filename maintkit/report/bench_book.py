"""The bench card's blanks as a workbook whose sheets load straight back as repairs and readings."""

from pathlib import Path

from maintkit.report.cautions import first_lines
from maintkit.report.sheets import fill_lines, on_a4, put_cell
from maintkit.report.tables import is_missing

MOST_ROWS = 40  # rows that get pick-lists, so that more can be added below
ADVICE = (
    "Fill in the rows you used and delete those you did not; add rows as you need them. Save, then load the workbook into the "
    "record store. This sheet is not read."
)


def write_bench_book(path, blanks: dict, *, kinds=()) -> Path:
    """Write a sheet per record table with what is known filled in, pick-lists for closed columns, dates as dates.

    Parameters
    ----------
    blanks : dict of str to Blanks
        By record table.
    kinds : iterable of str
        Kinds of work whose cautions stand on the first sheet.
    """
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    fill_lines(book.create_sheet("read me"), [ADVICE, *first_lines(kinds)])
    for name, sheet in blanks.items():
        _fill(book.create_sheet(name), sheet)
    book.save(path)
    return Path(path)


def _fill(sheet, blanks) -> None:
    from openpyxl.styles import Font, PatternFill
    from openpyxl.utils import get_column_letter

    bold, to_fill = Font(bold=True), PatternFill("solid", fgColor="FFF6DD")
    for number, column in enumerate(blanks.rows.columns, start=1):
        letter = get_column_letter(number)
        heading = sheet.cell(1, number, column)
        heading.font = bold
        values = blanks.rows[column].tolist()
        whole = sheet.column_dimensions[letter]
        if column in blanks.dates:
            whole.number_format = "yyyy-mm-dd"
        for row, value in enumerate(values, start=2):
            if not is_missing(value):
                put_cell(sheet.cell(row, number), value)
            elif column in blanks.on_paper:
                cell = sheet.cell(row, number)
                cell.fill, cell.number_format = to_fill, whole.number_format
        if column in blanks.choices:
            _pick_list(sheet, f"{letter}2:{letter}{MOST_ROWS + 1}", blanks.choices[column])
        whole.width = min(
            max(len(column), *(len(str(value)) for value in values if not is_missing(value)), 8) + 2, 40
        )
    sheet.freeze_panes = "A2"
    on_a4(sheet)


def _pick_list(sheet, cells: str, words) -> None:
    from openpyxl.worksheet.datavalidation import DataValidation

    rule = DataValidation(
        type="list",
        formula1=f'"{",".join(words)}"',
        allow_blank=True,
        showErrorMessage=True,
        errorTitle="Not one of the words",
        error="Choose one of the words in the list.",
    )
    sheet.add_data_validation(rule)
    rule.add(cells)
