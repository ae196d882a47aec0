"""Which file or sheet is which table, and which heading is which column; all faults are found before loading."""

from collections import Counter
from dataclasses import dataclass, replace
from itertools import chain
from pathlib import Path

from .accepted import FILE_NAME as ACCEPTED
from .columns import Table
from .errors import LayoutError, RecordsError
from .forms import headings_of_form
from .mapping import FILE_NAME, LEAVE_OUT, Mapping, TableMapping, nearest
from .planned import PlannedTable, headings_not_there, with_its_reports
from .same_headings import sections_beside
from .sheets import Header, Sheet, encoding_fault, read_header, told_apart
from .tables import TABLE, TABLES
from .toml_text import beside
from .wording import FILE_NAME as WORDING
from .workbooks import OTHER_SPREADSHEETS, Workbook, refuse_other_spreadsheets, titles_of

NOT_TABLES = frozenset(("notes", "lists", "choices", "read me", "readme", "turned away"))
NAMELESS = ", which has no heading"
NUMBERS = {"tickets": "ticket", "repairs": "repair"}  # without them rows are called by sheet and row
TEXTS = (".csv", ".tsv")
# read where mapping.toml names them, and looked at for the draft; pages with marks only where nothing else is there
BARE_TEXT, MARKED_TEXTS = ".txt", (".md", ".rst")
PLAIN_TEXTS = (BARE_TEXT, *MARKED_TEXTS)
KINDS_READ = (*TEXTS, ".xlsx")


@dataclass(frozen=True)
class Layout:
    """What will be loaded, in the order of the tables, and the names of what will not be read; ``overlooked`` of it are the files that may
    hold records and that nobody said to leave, ``asked`` those of which mapping.toml still asks what they are."""

    tables: tuple[PlannedTable, ...]
    unread: tuple[str, ...]
    spelling: tuple[tuple[str, str, str, str | None], ...] = ()
    overlooked: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()

    @property
    def record_tables(self) -> tuple[Table, ...]:
        """The record tables that are loaded, each once."""
        return tuple(dict.fromkeys(plan.table for plan in self.tables))

    def close(self):
        """Close the workbooks, if there are any."""
        for book in {plan.sheet.book for plan in self.tables if plan.sheet.book}:
            book.close()


@dataclass(frozen=True)
class Part:
    """A CSV file, or a sheet of a workbook: what can be a table."""

    path: Path
    title: str = ""
    book: Workbook | None = None
    alone: bool = False  # it is the whole source
    by_title: bool = False  # sheets go by their titles: no CSV file stands beside the workbook

    @property
    def name(self) -> str:
        """How messages call it."""
        return self.title if self.alone and self.book else self.path.name

    def is_named_by(self, section: TableMapping) -> bool:
        """Whether a section of mapping.toml names this file, sheet or both."""
        in_file = not section.files or self.path.name in section.files
        in_sheet = not section.sheets or any(map(self.is_called, section.sheets))
        return bool(section.files or section.sheets) and in_file and in_sheet

    def is_called(self, name: str) -> bool:
        """Whether a name is that of this sheet."""
        return bool(self.book) and self.book.calls(self.title, name)


def plan_layout(source: Path, mapping: Mapping, *, stored=frozenset()) -> Layout:
    """Find each table's sheets and columns in a folder of CSV files and workbooks, or in a workbook.

    ``stored`` names tables the record book already holds rows of: they need not come again.

    Raises
    ------
    LayoutError
        With every fault of the layout: a required table or column missing, an unknown file, sheet or heading, a
        heading twice, a file that cannot be read. Nothing has been loaded then.
    """
    parts, others = find_parts(source, mapping)
    found, unread, strange, asked, faults = _match(parts, mapping)
    unmatched = bool(faults)
    faults += _not_there(mapping, parts)
    planned = []
    for table in TABLES:
        for part, section in found.get(table.name, ()):
            plan, more = _planned_table(table, part, section)
            planned.append(plan)
            faults += more
        if (
            table.required
            and not {table.name, "repairs"} & {*found, *stored}  # work that answers no ticket is a fault too
            and mapping.names_nothing(table.name)
        ):
            faults.append(_missing_table(table, source, mapping))
    faults += headings_not_there(planned)
    planned = _with_what_else_they_hold(_told_apart(planned))
    overlooked = tuple(sorted({*strange, *_left_shut(source, others, mapping, found)}))
    unread = tuple(sorted({*unread, *others}))
    layout = Layout(tuple(planned), unread, mapping.spelling, overlooked, tuple(asked))
    used = {plan.sheet.book for plan in planned}
    for book in {part.book for part in parts if part.book and (faults or part.book not in used)}:
        book.close()
    if faults:
        own_headings = unmatched or any(
            not one.endswith(NAMELESS) for plan in planned for one in plan.unplaced
        )
        raise LayoutError(faults, _advice(source) if own_headings else "")
    return layout


def _told_apart(planned):
    """The plans, those of lists side by side in one sheet called by their first heading, others that read one sheet by a number."""
    times = Counter((plan.table.name, plan.sheet.label) for plan in planned)
    crowded = {label for (_, label), many in times.items() if many > 1}
    own, met = [], Counter()
    for plan in planned:
        sheet = plan.sheet
        if sheet.label in crowded:
            ignored = _folds(plan.mapping.ignore)
            kept = [one for one in plan.header.headings if one and one.casefold() not in ignored]
            sheet = replace(sheet, side=kept[0] if kept and kept[0] != plan.header.headings[0] else "")
        met[plan.table.name, sheet.label] += 1
        sheet = replace(sheet, section=met[plan.table.name, sheet.label])
        own.append(replace(plan, sheet=sheet))
    return own


def _with_what_else_they_hold(planned):
    """The plans, each knowing whether its sheet holds tickets too, the first for each sheet the words that its rows may have in any."""
    told = {}
    for plan in planned:
        if plan.table.name in ("tickets", "repairs"):
            told.setdefault(_list_of(plan), []).append(plan.mapping.rows_where)
    words = {  # where a section takes all rows, there are no others
        sheet: {
            one: frozenset().union(*(own[one] for own in some)) for one in set.intersection(*map(set, some))
        }
        for sheet, some in told.items()
    }
    reports = {plan.sheet.label: plan.mapping for plan in planned if plan.table.name == "tickets"}
    return [
        replace(
            with_its_reports(plan, reports.get(plan.sheet.label)), words_of_rows=words.pop(_list_of(plan), {})
        )
        for plan in planned
    ]


def _list_of(plan):
    return plan.sheet.path, plan.sheet.title, plan.mapping.rows


def find_parts(source: Path, mapping: Mapping | None = None) -> tuple[list[Part], list[str]]:
    """Every CSV file and every sheet of a workbook that a source holds, and the names of its other files.

    Where a mapping is given, a workbook beside CSV files that neither its name nor the mapping makes a table is left shut.

    Raises
    ------
    LayoutError
        When there is no such source, nothing in it to read, or a workbook that cannot be opened.
    """
    if not source.exists():
        raise LayoutError([f"There is no folder or workbook {str(source)!r}. Check the path."])
    if not source.is_dir():
        refuse_other_spreadsheets([source])
        if source.suffix.lower() not in (*KINDS_READ, *PLAIN_TEXTS):
            raise LayoutError(
                [
                    f"{source.name} is neither a folder nor an .xlsx workbook nor a .csv, .tsv, .txt, .md or .rst file. "
                    "Name a folder of CSV files, a workbook, or a .duckdb store."
                ]
            )
        return _parts_of(source, alone=True, by_title=True), []
    files = sorted(
        path
        for path in source.iterdir()
        if path.is_file() and not path.name.startswith((".", "~$")) and path.name != ACCEPTED
    )
    known = {name for _, one in mapping.every for name in one.files} if mapping else ()
    texts = _texts_among(files, known)
    # where the mapping reads none of them, what is in the way is said of those that it ignores
    named = [path for path in texts if mapping is None or path.name in known] or [
        path for path in texts if mapping and path.name in mapping.ignore
    ]
    read = [path for path in files if path.suffix.lower() in KINDS_READ or path in named]
    if not read:
        refuse_other_spreadsheets(files)
        names = ", ".join(path.name for path in texts[:1] or files[:3])
        there = f", but {names}" if names else ""
        of_texts = ", a text as .txt or .md and not as README" if files and not texts else ""
        raise LayoutError(
            [
                f"The folder {str(source)!r} holds no CSV file and no workbook{there}. Put one file a table there{of_texts}."
            ],
            _advice(source) if texts else "",
        )
    by_title = all(path.suffix.lower() in (".xlsx", *PLAIN_TEXTS) for path in read)
    if mapping is not None and not by_title:
        read = [path for path in read if _holds_a_table(path, mapping)]
    others = [path.name for path in files if path not in read and path.name not in (FILE_NAME, WORDING)]
    return [part for path in read for part in _parts_of(path, by_title=by_title)], others


def _texts_among(files, known):
    """The plain texts among some files: those with marks where they are ``known`` by name or no list of another kind is there."""
    beside = any(path.suffix.lower() in (*KINDS_READ, BARE_TEXT) for path in files)
    return [
        path
        for path in files
        if path.name in known
        or path.suffix.lower() == BARE_TEXT
        or (path.suffix.lower() in MARKED_TEXTS and not beside and path.stem.casefold() not in NOT_TABLES)
    ]


def _holds_a_table(path, mapping):
    """Whether a file beside CSV files may hold a table: a CSV file, or a workbook named as one or by the mapping."""
    return (
        path.suffix.lower() != ".xlsx"
        or _named(path.stem.strip().casefold()) is not None
        or any(path.name in one.files or (one.sheets and not one.files) for _, one in mapping.every)
    )


def _parts_of(path, *, alone=False, by_title=False):
    if path.suffix.lower() != ".xlsx":
        return [Part(path, alone=alone, by_title=by_title)]
    try:
        book = Workbook(path)
    except RecordsError as error:
        raise LayoutError([str(error)]) from error
    return [Part(path, title, book, alone, by_title) for title in book.titles]


def _match(parts, mapping):
    """Parts and their sections by table, as mapping.toml says or by their own name; the rest is unread or a fault.

    The names of whole workbooks among the unread that nothing makes a table are given once more, and those of which mapping.toml asks.
    """
    found, unread, strange, faults = {}, [], [], []
    for part in parts:
        named = [(table, section) for table, section in mapping.every if part.is_named_by(section)]
        bare = (part.title if part.alone and part.book else part.path.stem).strip().casefold()
        own = table_called(part)
        ignored = {name for name in mapping.ignore if part.path.name == name or part.is_called(name)}
        faults += _ignored_and_named(ignored, named)
        if own and not (named or ignored):
            named, fault = sections_beside(part, own, parts, mapping)
            if fault:
                faults.append(fault)
                continue
        if ignored or (part.book and bare in NOT_TABLES):
            unread.append(part)
        elif named or own:
            for table, section in named or [(own, mapping.of(own))]:
                found.setdefault(table, []).append((part, section))
        elif part.book and not part.alone:
            unread.append(part)
            strange.append(part.path)
        else:
            faults.append(_no_table(part, bare))
    read = {part.path for some in found.values() for part, _ in some if not part.alone}
    names = {one: f"{one.path.name}, sheet {one.title}" if one.path in read else one.name for one in unread}
    asked = [name for one, name in names.items() if any(map(one.is_named_by, mapping.asked))]
    return found, names.values(), [path.name for path in strange if path not in read], asked, faults


def _left_shut(source, others, mapping, found):
    """The files of a folder that are tables by their kind and were not read, and those beside a file that are by their name; none that is
    a whole record book beside the one read."""
    if source.is_dir():
        kinds, needed = (*KINDS_READ, *OTHER_SPREADSHEETS), {"tickets"} & {*found}
        left = (name for name in others if Path(name).suffix.lower() in kinds and name not in mapping.ignore)
        return [name for name in left if not needed or not needed <= titles_of(source / name)]
    near = [path for path in source.resolve().parent.iterdir() if path.suffix.lower() in KINDS_READ]
    return [one.name for one in near if one.name != source.name and _named(one.stem.strip().casefold())]


def _ignored_and_named(ignored, named):
    """A fault for each section that names what is not to be read."""
    for table, section in named:
        for name in sorted(ignored & {*section.files, *section.sheets}):
            yield (
                f"{FILE_NAME} lists {name!r} under ignore and reads it as [{table}]. Take it out of ignore, or take that section away."
            )


def table_called(part):
    """The table whose name the sheet bears, or with which the file's name begins; None where there is none."""
    title = part.title.strip().casefold()
    stem = part.path.stem.strip().casefold()
    if not part.book or (not part.alone and len(part.book.titles) == 1):
        return _named(stem) or (_named(title) if part.by_title else None)
    return _named(title) if part.by_title else None


def _named(name):
    fits = [table for table in TABLE if name.startswith(table) and not name[len(table) :][:1].isalpha()]
    return max(fits, key=len, default=None)


def _no_table(part, bare):
    what = "sheet" if part.book else "file"
    order = ", ".join(nearest(bare, TABLE)[:5])
    return (
        f"The {what} {part.name!r} is none of the tables; the nearest are {order}. Rename it, name it in "
        f'{FILE_NAME} under its table with {what} = "{part.name}", or list it at the top under ignore.'
    )


def _advice(source):
    """What to do at once about headings of one's own, where there is no mapping yet."""
    if (own := beside(source, FILE_NAME)).exists():
        return ""
    return (
        "If these are headings of your own, let a mapping be drafted, look it through, and try again:\n"
        f'  maintkit headings "{source}" --out "{own}"'
    )


def _not_there(mapping, parts):
    """A fault for each file or sheet that mapping.toml names and that is not there."""
    files, sheets = ([part.path.name for part in parts], [part.title for part in parts if part.book])
    for table, section in mapping.every:
        for what, wanted, there in (("file", section.files, files), ("sheet", section.sheets, sheets)):
            for name in wanted:
                if name not in there and not (what == "sheet" and any(one.is_called(name) for one in parts)):
                    yield (
                        f"{FILE_NAME} [{table}] names the {what} {name!r}, which is not there. "
                        f"There are: {', '.join(dict.fromkeys(there)) or 'none'}."
                    )


def _missing_table(table, source, mapping):
    name = f"file {table.name}.csv" if source.is_dir() else f"sheet {table.name}"
    ignored = f"{', '.join(mapping.ignore)}: if it is one of these, take the # ? from the lines of its section there, or write one, as maintkit headings drafts it, and take it out of ignore."
    return (
        f"The {name} is missing. The table {table.name} is required: one row is {table.row_is}. "
        "Or repairs, where only the work was written down."
        + (f" {_what_it_takes(source, mapping)}" if mapping.tables else "")
        + (f" {FILE_NAME} ignores {ignored}" if mapping.ignore else "")
    )


def _what_it_takes(source, mapping):
    """What brings a table that is missing, where mapping.toml has others: its questions answered, or more lists."""
    lines = beside(source, FILE_NAME).read_text("utf-8", errors="replace").splitlines()
    if any(line.startswith("# ?") for line in lines):
        return f"Answer in {FILE_NAME} what lines beginning with # ? ask."
    return f"{FILE_NAME} reads {' and '.join(mapping.tables)} alone: put the list of reports or of work beside it, and draft it anew."


def _planned_table(table, part, mapping):
    """The plan of one sheet, and its faults."""
    sheet = Sheet(part.path, mapping.dialect, part.title, part.book, mapping.rows, mapping.form)
    header, index, unplaced = Header(), {}, {}
    faults = [] if sheet.book else list(filter(None, [encoding_fault(sheet)]))
    try:
        known = {column.name for column in table.columns} | set(mapping.headings)
        named = headings_of_form(mapping.form) if mapping.form else mapping.given
        beyond = (
            ("",) if sheet.book and not mapping.form else ()
        )  # takes what stands right of the last heading
        given = Header(0, told_apart(named) + beyond, True) if named else None
        header = header if faults else given or read_header(sheet, known, mapping.grid, mapping.head)
    except RecordsError as error:
        faults.append(str(error))
    header = header.with_more(mapping)
    unnumbered = ""
    if header.headings:
        index, unplaced, faults = _columns(table, sheet, mapping, header.headings)
        number = NUMBERS.get(table.name)
        if number and faults == [_missing_column(table, sheet, table.column(number), ())]:
            unnumbered, faults = number, []  # no heading is left that might be it
            mapping = replace(mapping, number_rows=(*mapping.number_rows, number))
        if table.name == "desks" and not header.has_rows:  # none yet is an answer elsewhere
            faults.append(
                f"{sheet.label} has headings and no rows. Write down each desk first: one row is {table.row_is}."
            )
    elif not faults:
        needed = ", ".join(column.name for column in table.columns if column.required)
        faults.append(f"{sheet.label} is empty. Its first row must hold the headings, at least {needed}.")
    return PlannedTable(table, sheet, mapping, header, index, unplaced, unnumbered=unnumbered), faults


def _columns(table, sheet, mapping, headings):
    """Index of each column of the table among the headings, of each heading without a place, and the faults found."""
    known = {column.name.casefold(): column.name for column in table.columns}
    folds = _folds(headings)
    site, each = (
        {heading.casefold(): told for heading, told in some.items() if heading.casefold() in folds}
        for some in (mapping.columns, mapping.each)
    )
    ignored = _folds((*mapping.ignore, *chain(*mapping.groups[1:]))) | {*each}
    free_texts = _folds(one.heading for one in mapping.lookups.values() if one.known_as or one.rest_of)
    free_texts -= {*site}
    if len(headings) == 1 and any(mark in headings[0] for mark in ";\t|"):
        return {}, {}, [_one_heading(table, sheet, headings[0])]
    index, unplaced, faults = {}, {}, []
    for position, heading in enumerate(headings):
        fold = heading.casefold()
        if fold in ignored:
            continue
        if not heading:
            unplaced[f"column {position + 1}{NAMELESS}"] = position
            continue
        name = site.get(fold) or (known.get(fold) if known.get(fold) not in site.values() else None)
        name = None if fold in free_texts else name  # columns by its words, whatever it is called
        if name:
            index[name] = position
            continue
        unplaced[heading] = position
        first = known.get(fold.rpartition(" (")[0])  # the same known heading again
        if first in index and first not in site.values():
            faults.append(
                f"{sheet.label}: the headings {headings[index[first]]!r} and {heading!r} are both the column "
                f"{first}. Take one away, or list it in {FILE_NAME} under [{table.name}] ignore."
            )
    if mapping.title_rows not in ("", LEAVE_OUT):
        index.setdefault(mapping.title_rows, len(headings))
    given = {*index, *mapping.same, *mapping.number_rows, *mapping.lookups}
    given |= {"value", *(name for one in each.values() for name in one)} if each else set()
    faults += [
        _missing_column(table, sheet, column, unplaced)
        for column in table.columns
        if column.required and column.name not in given
    ]
    return index, unplaced, faults


def _folds(headings):
    return {heading.casefold() for heading in headings}


def _missing_column(table, sheet, column, unplaced):
    named = [one for one in unplaced if not one.endswith(NAMELESS)]
    near = f" Headings without a place are: {', '.join(named)}." if named else ""
    return (
        f"{sheet.label}: the required column {column.name} ({column.meaning}) is missing. Add it, or map the "
        f"heading that stands for it in {FILE_NAME} under [{table.name}.columns].{near}"
    )


def _one_heading(table, sheet, heading):
    mark = next(mark for mark in ";\t|" if mark in heading)
    said = "\\t" if mark == "\t" else mark
    return (
        f"{sheet.label}: all headings stand in one cell, {heading!r}. "
        f'Declare the delimiter in {FILE_NAME} under [{table.name}]: delimiter = "{said}".'
    )
