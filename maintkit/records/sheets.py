"""CSV files and workbook sheets as text rows that know their row in the sheet; the dialect is set, never sniffed."""

import codecs
import csv
import re
from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import chain, islice
from pathlib import Path

from .diary import DAY, diary_entries
from .errors import WHOLE_ROW, RecordsError, TurnedAway
from .forms import form_entries, places_of
from .grid import as_entries, headings_of_grid, keys_beside
from .head import head_of, with_head
from .jobs import with_jobs
from .marked import TABLE, table_rows
from .messages import MESSAGE, message_entries, messages_pasted
from .moves import ADDED, with_moves
from .remarks import DAY_OF, with_dated_lines, with_remarks
from .row_above import ABOVE, CORNER, STRUCK_OUT
from .work_behind import WORK, with_work
from .workbooks import Workbook

BATCH_ROWS = 50_000
TOP_ROWS = 40  # filled rows among which the headings are looked for
NAMED = "name"
MOST_LINES_A_RECORD = 200
LOAD_AGAIN = "and load the file again; the other rows are in."


@dataclass(frozen=True)
class Dialect:
    """How a file is written: declared in mapping.toml or these defaults, never guessed."""

    delimiter: str = ","
    decimal: str = "."
    encoding: str = "utf-8-sig"
    date_format: str | tuple[str, ...] = "%Y-%m-%d"
    # of days that name none, or whence twelve months; NAMED takes it from the name of the sheet or file, ABOVE from the days above
    year: int | date | str | None = None

    @property
    def date_formats(self) -> tuple[str, ...]:
        """The declared formats of dates."""
        return (self.date_format,) if isinstance(self.date_format, str) else self.date_format


@dataclass(frozen=True)
class Sheet:
    """One CSV file, or one sheet of a workbook (then ``title`` is its name there)."""

    path: Path
    dialect: Dialect = Dialect()
    title: str = ""
    book: Workbook | None = None
    rows: tuple[int, int] | None = None  # the first and last of a list that stands above or below another
    form: tuple[str, ...] = ()  # the labels, where it holds forms
    side: str = ""  # the first heading of a list that stands beside another
    section: int = 1  # which of the sections of mapping.toml that read it as one table

    @property
    def label(self) -> str:
        """How messages and tables call it."""
        whole = f"{self.path.name}, sheet {self.title}" if self.title else self.path.name
        whole += f", from row {self.rows[0]}" if self.rows else ""
        whole += f", from column {self.side}" if self.side else ""
        return whole + (f", section {self.section}" if self.section > 1 else "")

    def holds(self, number: int) -> bool:
        """Whether a row of the file or sheet is one of its rows."""
        return self.rows is None or self.rows[0] <= number <= self.rows[1]

    @property
    def year(self) -> int | date | None:
        """The year of days that name none, as declared, or the day from which the twelve months they are of begin; None where nothing was."""
        if self.dialect.year != NAMED:
            return None if self.dialect.year == ABOVE else self.dialect.year
        named = [re.findall(r"(?<!\d)(?:19|20)\d\d(?!\d)", name) for name in (self.title, self.path.stem)]
        return next((int(found[0]) for found in named if len(found) == 1), None)


@dataclass
class Batch:
    """Some rows of a sheet: text fields as wide as the heading, the row number of each, and what was left out."""

    rows: list = field(default_factory=list)
    numbers: list = field(default_factory=list)
    blank_rows: int = 0
    left_out: int = 0
    turned_away: list = field(default_factory=list)


def encoding_fault(sheet: Sheet) -> str:
    """The sentence saying why a CSV file is no text in its declared encoding, or '' when it is."""
    decoder = codecs.getincrementaldecoder(sheet.dialect.encoding)()
    try:
        with sheet.path.open("rb") as handle:
            while chunk := handle.read(1 << 22):
                if "\0" in decoder.decode(chunk):
                    return (
                        f"{sheet.label} holds zero bytes, so it is no plain text. "
                        "Save it again as CSV in UTF-8, or declare its encoding in mapping.toml."
                    )
            decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return _undecodable_fault(sheet)
    except UnicodeError as error:  # a coding of more than bytes, such as a byte order mark that is not there
        return f"{sheet.label} is not {sheet.dialect.encoding} text: {error}. Declare its encoding in mapping.toml."
    except OSError as error:
        return (
            f"{sheet.label} cannot be read: {error.strerror}. "
            "Close other programs that hold it, or check its rights."
        )
    return ""


def _undecodable_fault(sheet):
    data = sheet.path.read_bytes()
    try:
        data.decode(sheet.dialect.encoding)
    except UnicodeDecodeError as error:
        at = error.start + (
            3 if sheet.dialect.encoding == "utf-8-sig" and data.startswith(codecs.BOM_UTF8) else 0
        )
        line = data.count(b"\n", 0, at) + 1
        name = "UTF-8" if sheet.dialect.encoding == "utf-8-sig" else sheet.dialect.encoding
        return (
            f"{sheet.label}, line {line}: byte {at + 1} of the file is 0x{data[at]:02x}, which is not {name} text. "
            'Save the file as UTF-8, or declare its encoding in mapping.toml, such as encoding = "latin-1".'
        )
    return ""


class _PhysicalLines:
    """Lines of a file that remember those of the record being read, and can be given back."""

    def __init__(self, handle):
        self.handle, self.given_back, self.taken = handle, [], []

    def __iter__(self):
        return self

    def __next__(self):
        if len(self.taken) >= MOST_LINES_A_RECORD:
            raise csv.Error(f"the record goes on for more than {MOST_LINES_A_RECORD} lines")
        line = self.given_back.pop() if self.given_back else next(self.handle)
        self.taken.append(line)
        return line

    def give_back_all_but_first(self):
        """Put back every line of this record except the first, which is returned."""
        first, *others = self.taken
        self.given_back.extend(reversed(others))
        self.taken.clear()
        return first


def _csv_reader(lines, dialect):
    return csv.reader(lines, delimiter=dialect.delimiter, quotechar='"', doublequote=True, strict=True)


def is_blank(fields) -> bool:
    """True where every field is empty or blanks."""
    return not fields or (not fields[0].strip() and not any(map(str.strip, fields)))


def csv_records(sheet: Sheet, width_of):
    """Yield ``(row number, fields, "")`` for each record of a CSV file, ``(row number, [text], why)`` for a broken one.

    ``width_of(fields, ended)`` says why a record has the wrong number of fields, or ''; ``ended`` is whether its line ends: the last of
    a file that was cut off does not. A record that breaks over several
    physical lines gives up its first line only; reading goes on from the next, so one stray quote costs one row.
    """
    with sheet.path.open(encoding=sheet.dialect.encoding, newline="") as handle:
        if sheet.dialect.delimiter == DAY:
            yield from ((number, fields, "") for number, fields in diary_entries(handle))
            return
        if sheet.dialect.delimiter == MESSAGE:
            yield from ((number, fields, "") for number, fields in message_entries(handle))
            return
        if sheet.dialect.delimiter == TABLE:
            yield from ((number, fields, width_of(fields, True)) for number, fields in table_rows(handle))
            return
        lines = _PhysicalLines(handle)
        reader = _csv_reader(lines, sheet.dialect)
        number = 0
        taken = lines.taken
        while True:
            taken.clear()
            try:
                fields = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                fields, why = None, _broken_sentence(str(error))
            else:
                why = width_of(fields, bool(taken) and taken[-1][-1:] in "\r\n")
            number += 1
            marked = with_lone_marks(taken[0], sheet.dialect.delimiter) if why else None
            if marked and not width_of(marked, True):
                lines.give_back_all_but_first()
                reader = _csv_reader(lines, sheet.dialect)
                fields, why = marked, ""
            if why and (fields is None or len(taken) > 1):
                fields = [lines.give_back_all_but_first().rstrip("\r\n")]
                reader = _csv_reader(lines, sheet.dialect)
            yield number, fields, why


def with_lone_marks(line: str, delimiter: str) -> list[str] | None:
    """The cells of a line in which a quote alone in its cell is a mark for the same, typed as it is; None where there is none.

    Examples
    --------
    >>> with_lone_marks('"\\t"\\tch 9\\t"dead, or nearly"\\t"\\n', "\\t")
    ['"', '"', 'ch 9', 'dead, or nearly', '"']
    >>> with_lone_marks('3 May,"dead, left"', ",")
    """
    cells = line.rstrip("\r\n").split(delimiter)
    if '"' not in (cell.strip() for cell in cells):
        return None
    typed = delimiter.join('""""' if cell.strip() == '"' else cell for cell in cells)
    return next(csv.reader([typed], delimiter=delimiter))


def _broken_sentence(error):
    if "field larger" in error:
        return "A cell may hold at most 131,072 characters."
    if "record goes on" in error:
        return f"A quote opens here and {MOST_LINES_A_RECORD} lines later it is still open."
    return "A quote opens here and is not closed where the cell ends."


@dataclass(frozen=True)
class Header:
    """The heading row: its number (0 when there is none), its headings, and whether rows follow.

    A heading that stands there more than once is told apart as ``Date``, ``Date (2)``. Of a grid they are those of its entries,
    and ``of_grid`` those in the sheet, ``keys`` where columns of a key to its marks stand. ``parted`` is the heading whose cells tell the work behind the complaint; then the last is ``WORK``.
    ``thread`` is one whose cells hold remarks, each with its day, and ``dated`` one whose cells hold lines, each an entry; then the last is ``DAY_OF``.
    ``jobs`` is one whose cells tell several jobs, ``of_all_jobs`` where cells stand that are of all of them.
    ``moved`` is one whose cells tell moves of the module under ``own``; then the last are those that ``with_moves`` adds.
    ``head`` are labels over the list, which stand behind the headings in the sheet.
    """

    row: int = 0
    headings: tuple[str, ...] = ()
    has_rows: bool = False
    of_grid: tuple[str, ...] = ()
    keys: frozenset[int] = frozenset()
    parted: str = ""
    thread: str = ""
    dated: str = ""
    jobs: str = ""
    of_all_jobs: frozenset[int] = frozenset()
    moved: str = ""
    own: str = ""
    head: tuple[str, ...] = ()

    @property
    def in_sheet(self) -> tuple[str, ...]:
        """The headings as the sheet has them."""
        added = sum(map(bool, (self.parted, self.thread, self.dated))) + bool(self.moved) * len(ADDED)
        return self.of_grid or self.headings[: len(self.headings) - len(self.head) - added]

    def with_more(self, mapping) -> "Header":
        """The header with one more for the day of lines or remarks, and for the work behind a mark, where what a mapping says of them is there."""
        said = (mapping.dated_lines, mapping.work_behind, mapping.remarks)
        dated, parted, thread = map(self._first_of, said)
        named = ((dated, DAY_OF), (parted, WORK), (thread, DAY_OF))
        moved, own = map(self._first_of, (mapping.moves, mapping.moves.values()))
        moved = moved if own else ""
        of_all = {*chain(*mapping.jobs.values())}
        of_all = frozenset(at for at, one in enumerate(self.headings) if one.casefold() in of_all)
        headings = (*self.headings, *(name for told, name in named if told), *(ADDED if moved else ()))
        found = replace(self, headings=headings, parted=parted, thread=thread, dated=dated)
        return replace(found, moved=moved, own=own, jobs=self._first_of(mapping.jobs), of_all_jobs=of_all)

    def _first_of(self, headings):
        folds = {one.casefold(): one for one in self.headings}
        return next((folds[one.casefold()] for one in headings if one.casefold() in folds), "")


def read_header(sheet: Sheet, known=frozenset(), grid=(), head=()) -> Header:
    """The headings of a sheet: the row with the most ``known`` headings, two or more; else the first that is filled.
    A first one that is blank is called ``CORNER`` where that is known.

    Of a grid it is the fullest row, the first of several; ``grid`` are its headings that hold for a whole row. ``head`` are labels
    over the list.

    Raises
    ------
    RecordsError
        When the heading row cannot be read.
    """
    filled = list(islice(filled_rows(sheet), TOP_ROWS))
    folds, places = {name.casefold() for name in known}, places_of(head)

    def headings_at(at):
        """Those of a row, with those merged with the row above."""
        above = filled[at - 1][1] if at and filled[at - 1][0] == filled[at][0] - 1 else []
        return told_apart(with_above(filled[at][1], above))

    def headings_in(at):
        if grid:
            return sum(map(bool, map(str.strip, filled[at][1])))
        if head_of(filled[at][1], places):
            return 0
        there = {name.casefold() for name in headings_at(at)}
        return len(folds & ({*there, CORNER} if not filled[at][1][0].strip() else there))

    counts = [0 if why else headings_in(at) for at, (_, _, why) in enumerate(filled)]
    at = counts.index(max(counts)) if max(counts, default=0) > 1 else 0
    number, _, why = filled[at] if filled else (0, [], "")
    if why:
        raise RecordsError(
            f"{sheet.label}, row {number}: the headings cannot be read. {why} Correct the row."
        )
    beyond = ("",) if sheet.book else ()  # takes what stands right of the last heading
    headings = (headings_at(at) if filled else ()) + beyond
    if CORNER in known and not grid and headings[:1] == ("",):
        headings = (CORNER, *headings[1:])
    header = Header(number, (*headings, *head), len(filled) > at + 1, head=tuple(head))
    if not grid:
        return header
    keys = keys_beside((fields for _, fields, _ in filled_rows(sheet)), len(headings) - 1)
    return replace(header, headings=headings_of_grid(headings, grid), of_grid=headings, keys=keys)


def filled_rows(sheet: Sheet):
    """Yield ``(row number, fields, why)`` of the rows that are not blank; ``why`` says why one cannot be read, or ''."""
    for number, fields, refusal in _bare_rows(sheet):
        why = "" if sheet.book else refusal
        if (why or not is_blank(fields)) and sheet.holds(number):
            yield number, fields, why


def with_above(fields, above) -> list[str]:
    """Headings where those that are blank stand in the line above, as cells merged over two lines do; a title alone is none.

    Examples
    --------
    >>> with_above(["", "Day", "Desk"], ["No.", "Report", ""]), with_above(["", "Day"], ["Fault book", ""])
    (['No.', 'Day', 'Desk'], ['', 'Day'])
    """
    if sum(map(bool, map(str.strip, above))) < 2:
        return list(fields)
    wide = [*above, *[""] * len(fields)]
    return [own if own.strip() else over for own, over in zip(fields, wide)]


def told_apart(fields) -> tuple[str, ...]:
    """Headings in one line each, the second of a name as ``name (2)``.

    Examples
    --------
    >>> told_apart(["Date", "Lost\\n(min)", "Date "])
    ('Date', 'Lost (min)', 'Date (2)')
    """
    seen, names = Counter(), []
    for field_text in fields:
        name = re.sub(r"[ \r\n\u00a0]+", " ", field_text).strip()
        seen[name.casefold()] += 1
        count = seen[name.casefold()]
        names.append(f"{name} ({count})" if name and count > 1 else name)
    return tuple(names)


def batches(sheet: Sheet, header: Header, unread=frozenset(), as_meant=iter, *, blank=False):
    """Yield the rows below the headings in batches of at most 50,000; ``unread`` are indexes of ignored columns.

    ``as_meant`` is given the records and gives them back with the cells they mean; with ``blank`` the blank cells of a grid
    are entries too.
    """
    if sheet.form:
        records = form_entries(_bare_rows(sheet), sheet.form)
    elif sheet.book:
        unread = frozenset() if header.of_grid else unread
        records = _book_rows(sheet, header.in_sheet, unread)
    else:
        records = _csv_rows(sheet, header.in_sheet)
    if sheet.rows:
        records = (one for one in records if sheet.holds(one[0]))
    if header.head:
        records = with_head(records, header.head, header.in_sheet, header.row)
    if header.of_grid:
        records = as_entries(records, header, blank=blank)
    if header.jobs:
        records = with_jobs(records, header.headings.index(header.jobs), header.of_all_jobs, header.row)
    if header.dated:
        records = with_dated_lines(records, header.headings.index(header.dated), header.row)
    if header.parted:
        records = with_work(records, header.headings.index(header.parted), header.row)
    if header.thread:
        records = with_remarks(records, header.headings.index(header.thread), header.row)
    if header.moved:
        records = with_moves(records, *map(header.headings.index, (header.moved, header.own)), header.row)
    records, batch = as_meant(records), Batch()
    if header.row:
        for number, _, _ in records:  # up to the headings; by place, for a later row may claim a lower number
            if number >= header.row:
                break
    for number, fields, refusal in records:
        if refusal == STRUCK_OUT:
            batch.left_out += 1
        elif refusal:
            column, found, rule, remedy = refusal
            batch.turned_away.append(TurnedAway(sheet.label, number, column, found[:200], rule, remedy))
        elif is_blank(fields):
            batch.blank_rows += 1
        else:
            batch.rows.append(fields)
            batch.numbers.append(number)
        if len(batch.rows) >= BATCH_ROWS:
            yield batch
            batch = Batch()
    yield batch


def _bare_rows(sheet):
    """The rows of a sheet or file as they stand, however wide."""
    if sheet.book:
        return _book_rows(sheet, ())
    return csv_records(sheet, lambda fields, ended: "")


def _book_rows(sheet, headings, unread=frozenset()):
    """The rows of a sheet of a workbook, as wide as the headings; of messages pasted into it those."""
    if sheet.dialect.delimiter != MESSAGE:
        return sheet.book.rows(sheet.title, sheet.dialect, headings, unread)
    messages = messages_pasted(sheet.book.rows(sheet.title, sheet.dialect, ()))
    return ((number, [*entry, *[""] * (len(headings) - len(entry))], None) for number, entry in messages)


def _csv_rows(sheet, headings):
    """The rows of a CSV file, each as wide as the headings; one that leaves out empty cells at its end, as typed by hand, is filled up."""
    width, marks = len(headings), (sheet.dialect.delimiter, '"')

    def lacks_its_end(fields):
        is_short = 1 < len(fields) < width and not any(mark in field for field in fields for mark in marks)
        return is_short and not _some_begin_with_a_blank(fields)

    def why_not(fields, ended):
        if len(fields) == width or is_blank(fields) or (ended and lacks_its_end(fields)):
            return ""
        if len(rejoined(fields, width, sheet.dialect.delimiter)) == width:
            return ""
        return f"The row has {_fields(len(fields))} and the headings are {width}."

    for number, fields, why in csv_records(sheet, why_not):
        refusal = None
        if why:
            mark = " | " if sheet.dialect.delimiter == TABLE else sheet.dialect.delimiter
            found = fields[0] if len(fields) == 1 else mark.join(fields)
            remedy = (
                f"Put a cell that holds the delimiter or a quote in quotes, count the cells, {LOAD_AGAIN}"
            )
            refusal = (WHOLE_ROW, found, why, remedy)
        elif 0 < len(fields) < width:
            fields = [*fields, *[""] * (width - len(fields))]
        yield number, rejoined(fields, width, sheet.dialect.delimiter), refusal


def rejoined(fields, width, delimiter) -> list[str]:
    """The cells of a row that is too long, where a delimiter within a text was typed without quotes and a blank behind it tells.

    The same cells where that does not bring them to the width.

    Examples
    --------
    >>> rejoined(["3.1.", "12", "crackles", " left bus", "cleaned"], 4, ",")
    ['3.1.', '12', 'crackles, left bus', 'cleaned']
    >>> rejoined(["3.1.", "12", "crackles", "left bus", "cleaned"], 4, ",")
    ['3.1.', '12', 'crackles', 'left bus', 'cleaned']
    """
    if len(fields) <= width:
        return fields
    joined = []
    for cell in fields:
        if joined and cell[:1] == " " and cell.strip():
            joined[-1] += f"{delimiter}{cell}"
        else:
            joined.append(cell)
    return joined if len(joined) == width else fields


def _some_begin_with_a_blank(fields):
    """Whether some cells behind the first begin with a blank, and others do not: those may go on from the one before them."""
    return len({cell[:1] == " " for cell in fields[1:] if cell.strip()}) == 2


def _fields(count):
    return "1 field" if count == 1 else f"{count} fields"
