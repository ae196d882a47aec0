"""The rows of a workbook's sheet as its file has them: none dropped, none moved, and what a formula has not calculated."""


class Uncalculated(str):
    """A formula for which the workbook keeps no value."""


def read_sheet(book, title):
    """Yield ``(row number, cells)`` of every row in the file, in its order; a cell is a dict with ``column`` and ``value``.

    The reader of openpyxl drops rows whose number is not above the one before, and cells right of the last one.
    """
    sheet = book[title]
    with sheet._get_source() as source:
        reader = _reader()(
            source,
            sheet._shared_strings,
            data_only=True,
            epoch=book.epoch,
            date_formats=book._date_formats,
            timedelta_formats=book._timedelta_formats,
        )
        yield from reader.parse()


def _reader():
    """The class that reads a sheet's XML, made where it is needed for openpyxl is slow to import."""
    from openpyxl.worksheet._reader import FORMULA_TAG, VALUE_TAG, WorkSheetParser

    class Reader(WorkSheetParser):
        def parse_cell(self, element):
            cell = super().parse_cell(element)
            if cell["value"] is None and (formula := element.find(FORMULA_TAG)) is not None:
                is_empty_text = element.get("t") == "str" and element.find(VALUE_TAG) is not None
                cell["value"] = "" if is_empty_text else Uncalculated(f"={formula.text or ''}")
            return cell

        def parse_row(self, row):
            self.row_dimensions.clear()  # heights and styles of rows, which nobody here reads
            return super().parse_row(row)

    return Reader


def open_book(file):
    """The workbook of an open file, to be read only. Its sheets are not read through for their size where they do not tell it, as
    openpyxl does."""
    from openpyxl.reader.excel import ExcelReader
    from openpyxl.worksheet._read_only import ReadOnlyWorksheet

    class Sheet(ReadOnlyWorksheet):
        def _get_size(self):
            """Nobody here asks for it."""

    class Reader(ExcelReader):
        def read_worksheets(self):
            for sheet, part in self.parser.find_sheets():
                if part.target in self.valid_files and "chartsheet" not in part.Type:
                    self.wb._sheets.append(Sheet(self.wb, sheet.name, part.target, self.shared_strings))

    reader = Reader(file, read_only=True)
    reader.read()
    return reader.wb
