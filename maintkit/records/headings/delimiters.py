"""What parts the cells of a text: the mark in most lines, the day at their beginning, or the strokes of its tables."""

import csv
from collections import Counter
from contextlib import suppress
from itertools import islice
from pathlib import Path

from maintkit.records.diary import DAY, HEADED, day_and_rest, day_in, month_over, without_shifts
from maintkit.records.marked import TABLE, headings_at
from maintkit.records.messages import MESSAGE, are_messages
from maintkit.records.sheets import Dialect, Sheet, filled_rows

from .day_formats import day_of
from .grids import is_known

DELIMITERS = ",;\t|"  # of which the first stands where none parts the lines
TOP_ROWS = 60  # that are looked at
MOSTLY = 0.9  # share of them that are as wide, of a table


def text_of(path: Path) -> tuple[str, str]:
    """The encoding in which a file can be read, and its text."""
    data = path.read_bytes()
    for encoding in ("utf-8-sig", "cp1252", "latin-1"):  # the last reads any byte
        with suppress(UnicodeDecodeError):
            return encoding, data.decode(encoding)


def text_of_part(part) -> tuple[str, str]:
    """The encoding in which a file can be read, and its text; of a sheet the default, and its cells where messages were pasted into it, else ''."""
    if not part.book:
        return text_of(part.path)
    rows = islice(filled_rows(Sheet(part.path, Dialect(), part.title, part.book)), TOP_ROWS)
    cells = [[cell for cell in fields if cell.strip()] for _, fields, _ in rows]
    lines = [line for some in cells for cell in some for line in cell.splitlines()]
    are_alone = sum(len(some) == 1 for some in cells) >= MOSTLY * len(cells)
    return Dialect.encoding, "\n".join(lines) if are_alone and are_messages(lines) else ""


def delimiter_of(text: str) -> str:
    """The mark that parts the largest share of rows into the same number of fields, more than one; ``DAY`` where their day alone parts them, ``MESSAGE`` where they are messages,
    ``TABLE`` where it has tables."""
    lines = [line for line in text.splitlines() if line.strip()]
    rows = {mark: [*islice(_rows(lines, mark), TOP_ROWS)] for mark in DELIMITERS}
    best = max(DELIMITERS, key=lambda mark: _evenness(rows[mark]))
    share, width = _even(rows[best])
    is_even = share >= MOSTLY
    lines = [line for line, _ in rows[best]] if is_even else lines[:TOP_ROWS]
    if headings_at(text.splitlines()):
        lines, best = [line for line in lines if not line.lstrip().startswith("|")], TABLE
    elif is_even and width > 2 and sum(map(is_known, rows[best][0][1])) > 1:
        return best  # whatever days stand in its cells
    if are_messages(lines):
        return MESSAGE
    return DAY if _is_diary(lines, best) else best


def _is_diary(lines, delimiter):
    """Whether lines begin with a day that nothing parts from what follows it."""
    month = next(filter(None, (month_over(line)[0] for line in lines)), "")
    days = without_shifts([day_and_rest(line) or (month and day_in(month, line)) or None for line in lines])
    told = [(line, found[1]) for line, found in zip(lines, days, strict=True) if found]
    in_titles = sum(bool(HEADED.match(line)) for line, _ in told)
    if in_titles > max(1, len(told) / 2):
        return True
    mark = "|" if delimiter == TABLE else delimiter
    firsts = [next(csv.reader([line], delimiter=mark))[0] for line, rest in told if rest]
    parted = [one for one in firsts if day_of(one.strip()) or ((found := day_and_rest(one)) and not found[1])]
    # each has a line or more below it
    of_their_own = sum(not rest and not line.endswith(delimiter) for line, rest in told)
    return len(told) >= 2 and len(told) + of_their_own >= 0.3 * len(lines) and len(parted) <= len(firsts) / 2


def _rows(lines, mark):
    """The rows, of which one may go over many lines: the line with which each begins, and its cells."""
    reader, begins = csv.reader(lines, delimiter=mark), 0
    with suppress(csv.Error):
        for cells in reader:
            yield lines[begins], cells
            begins = reader.line_num


def _even(rows):
    """The share of the rows that have the width most have, and this."""
    widths = Counter(len(cells) for _, cells in rows)
    parted = [(times, width) for width, times in widths.items() if width > 1]
    times, width = max(parted, default=(0, 0))
    return times / max(widths.total(), 1), width


def _evenness(rows):
    share, width = _even(rows)
    return share * (1 + min(width, 20) / 100)
