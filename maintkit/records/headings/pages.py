"""The sheets and CSV files of a source as they stand: how they are written, where the headings are, the cells below."""

import csv
import io
from collections import Counter
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from maintkit.records.layout import Part, find_parts
from maintkit.records.sheets import TOP_ROWS, is_blank, told_apart

from .values import NUMBER, Cells, date_shapes
from .words import likeness_nowhere, likeness_of_column, vocabulary

MOST_ROWS = 20_000  # of one sheet are looked at
DELIMITERS = ",;\t|"
SURE = 0.79


@dataclass(frozen=True)
class Page:
    """A sheet or file: how it is written, the row its headings stand in (0: none was found), its headings and cells."""

    part: Part
    delimiter: str
    encoding: str
    row: int
    headings: tuple[str, ...]
    cells: dict[str, Cells]

    @property
    def name(self) -> str:
        """The sheet's title, or the file's name."""
        return self.part.title or self.part.path.name


def read_pages(source: Path) -> list[Page]:
    """Every sheet and CSV file of a source.

    Raises
    ------
    LayoutError
        When there is nothing to read.
    """
    parts, _ = find_parts(source)
    pages = [_page(part) for part in parts]
    for book in {part.book for part in parts if part.book}:
        book.close()
    return pages


def _page(part):
    if part.book:
        delimiter, encoding = ",", "utf-8"
        every = ((number, fields) for number, fields, _ in part.book.rows(part.title, _Iso, []))
    else:
        encoding, text = _text_of(part.path)
        delimiter = _delimiter(text)
        every = enumerate(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter), start=1)
    rows = [(number, fields) for number, fields in islice(every, MOST_ROWS) if not is_blank(fields)]
    at = _heading_at(rows[:TOP_ROWS])
    if at is None:
        return Page(part, delimiter, encoding, 0, (), {})
    headings = told_apart(rows[at][1])
    below = [fields for _, fields in rows[at + 1 :]]
    cells = {
        heading: Cells(tuple(_column(below, place)), len(below))
        for place, heading in enumerate(headings)
        if heading
    }
    return Page(part, delimiter, encoding, rows[at][0], headings, cells)


class _Iso:
    date_format, decimal = "%Y-%m-%d", "."


def _column(rows, place):
    cells = (fields[place].strip() for fields in rows if place < len(fields))
    return (cell for cell in cells if cell)


def _text_of(path):
    data = path.read_bytes()
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return ("utf-8" if encoding == "utf-8-sig" else encoding), data.decode(encoding)
        except UnicodeDecodeError:
            pass
    return "latin-1", data.decode("latin-1")


def _delimiter(text):
    """The mark that parts most lines into the same number of fields, more than one."""
    lines = [line for line in text.splitlines()[:60] if line.strip()]
    best = max(DELIMITERS, key=lambda mark: _evenness(lines, mark))
    return best if _evenness(lines, best) else ","


def _evenness(lines, mark):
    counts = Counter(len(fields) for fields in csv.reader(lines, delimiter=mark) if len(fields) > 1)
    width, times = counts.most_common(1)[0] if counts else (0, 0)
    return times * (1 + min(width, 20) / 100)


def _heading_at(rows):
    """Index of the first row of which most cells are words of headings, else the one with most such cells; None if none."""
    shares = [_known_share(fields) for _, fields in rows]
    first = next((at for at, (known, filled) in enumerate(shares) if known >= 2 and known > filled / 2), None)
    if first is not None:  # a line of headings over headings has fewer of them than the line below
        return first + (first + 1 < len(rows) and shares[first + 1][0] > shares[first][0])
    most = max(range(len(rows)), key=lambda at: shares[at][0], default=None)
    return most if most is not None and shares[most][0] >= 2 else None


def _known_share(fields):
    filled = [cell.strip() for cell in fields if cell.strip()]
    if (
        any(NUMBER.fullmatch(cell) or date_shapes(cell) for cell in filled)
        or len({*filled}) < len(filled) - 2
    ):
        return 0, len(filled)
    return sum(_is_known(cell) for cell in filled), len(filled)


def _is_known(cell):
    if len(cell) > 80:
        return False
    columns = vocabulary().columns
    return likeness_nowhere(cell) >= SURE or any(
        likeness_of_column(cell, table, name) >= SURE for table in columns for name in columns[table]
    )
