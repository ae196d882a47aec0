"""Which file or sheet is which table, and which heading is which column; all faults are found before loading."""

from dataclasses import dataclass, field
from pathlib import Path

from .columns import Table
from .errors import LayoutError, RecordsError
from .mapping import FILE_NAME, Mapping, TableMapping, nearest
from .sheets import Header, Sheet, encoding_fault, read_header
from .tables import TABLE, TABLES
from .wording import FILE_NAME as WORDING
from .workbooks import Workbook

NOT_TABLES = frozenset(("notes", "lists", "choices", "read me", "readme", "turned away"))


@dataclass(frozen=True)
class PlannedTable:
    """A sheet about to be loaded: its table, and for each column of the table where its heading stands."""

    table: Table
    sheet: Sheet
    mapping: TableMapping
    header: Header
    index: dict[str, int]
    unplaced: dict[str, int] = field(default_factory=dict)

    @property
    def unread(self) -> frozenset[int]:
        """Indexes of the columns that are ignored."""
        return frozenset(range(len(self.header.headings))) - set(self.index.values())

    def heading(self, column: str) -> str:
        """The column's name as the sheet has it; its own name where the sheet lacks it."""
        return self.header.headings[self.index[column]] if column in self.index else column


@dataclass(frozen=True)
class Layout:
    """What will be loaded, in the order of the tables, and the names of what will not be read."""

    tables: tuple[PlannedTable, ...]
    unread: tuple[str, ...]
    spelling: tuple[tuple[str, str, str, str | None], ...] = ()

    @property
    def record_tables(self) -> tuple[Table, ...]:
        """The record tables that are loaded, each once."""
        return tuple(dict.fromkeys(plan.table for plan in self.tables))

    def close(self):
        """Close the workbook, if there is one."""
        for book in {plan.sheet.book for plan in self.tables if plan.sheet.book}:
            book.close()


def plan_layout(source: Path, mapping: Mapping, *, stored=frozenset()) -> Layout:
    """Find each table's sheet and columns in a folder of CSV files or a workbook.

    ``stored`` names tables the record book already holds rows of: they need not come again.

    Raises
    ------
    LayoutError
        With every fault of the layout: a required table or column missing, an unknown file, sheet or heading, a
        heading twice, a file that cannot be read. Nothing has been loaded then.
    """
    if not source.exists():
        raise LayoutError([f"There is no folder or workbook {str(source)!r}. Check the path."])
    if not source.is_dir() and source.suffix.lower() != ".xlsx":
        raise LayoutError(
            [
                f"{source.name} is neither a folder nor an .xlsx workbook. "
                "Name a folder of CSV files, a workbook, or a .duckdb store."
            ]
        )
    sheets, unread, faults = (_csv_sheets if source.is_dir() else _book_sheets)(source, mapping)
    planned = []
    for table in TABLES:
        if table.name in sheets:
            plan, more = _planned_table(
                table, sheets[table.name], mapping.of(table.name), is_stored=table.name in stored
            )
            planned.append(plan)
            faults += more
        elif (
            table.required
            and table.name not in stored
            and not (mapping.of(table.name).file if source.is_dir() else mapping.of(table.name).sheet)
        ):
            faults.append(_missing_table(table, source))
    layout = Layout(tuple(planned), tuple(unread))
    if faults:
        layout.close()
        raise LayoutError(faults)
    return layout


def _csv_sheets(folder, mapping):
    """CSV files by table name, names of what is not read, and the faults found on the way."""
    names = sorted(
        path.name for path in folder.iterdir() if path.is_file() and not path.name.startswith((".", "~$"))
    )
    csv_names = [name for name in names if name.lower().endswith(".csv")]
    if not csv_names:
        workbooks = [name for name in names if name.lower().endswith(".xlsx")]
        hint = (
            f"Name the workbook itself: {workbooks[0]}." if workbooks else "Put one CSV file a table there."
        )
        raise LayoutError([f"The folder {str(folder)!r} holds no CSV file. {hint}"])
    found, ignored, faults = _match(csv_names, lambda name: name[:-4], mapping, "file")
    others = [name for name in names if name not in csv_names and name not in (FILE_NAME, WORDING)]
    sheets = {table: Sheet(folder / name, mapping.of(table).dialect) for table, name in found.items()}
    return sheets, sorted(ignored + others), faults


def _book_sheets(path, mapping):
    """Sheets of a workbook by table name, names of what is not read, and the faults found on the way."""
    try:
        book = Workbook(path)
    except RecordsError as error:
        raise LayoutError([str(error)]) from error
    found, unread, faults = _match(book.titles, lambda title: title, mapping, "sheet")
    if not found:
        book.close()
    sheets = {table: Sheet(path, mapping.of(table).dialect, title, book) for table, title in found.items()}
    return sheets, unread, faults


def _match(names, stem, mapping, what):
    """Names by table, as mapping.toml says or by their own name; the rest is unread or a fault."""
    wanted = {getattr(mapping.of(table), what): table for table in TABLE if getattr(mapping.of(table), what)}
    found, unread, faults = {}, [], []
    for name in names:
        bare = stem(name).strip().casefold()
        table = wanted.get(name) or (bare if bare in TABLE else None)
        if name in mapping.ignore or (table is None and what == "sheet" and bare in NOT_TABLES):
            unread.append(name)
        elif table is None:
            order = ", ".join(nearest(bare, TABLE)[:5])
            faults.append(
                f"The {what} {name!r} is none of the tables; the nearest are {order}. Rename it, name it in "
                f'{FILE_NAME} under its table with {what} = "{name}", or list it at the top under ignore.'
            )
        elif table in found:
            faults.append(
                f"Both {found[table]!r} and {name!r} would be the table {table}. "
                f"Take one away, or list it in {FILE_NAME} at the top under ignore."
            )
        else:
            found[table] = name
    for name, table in wanted.items():
        if name not in names:
            faults.append(
                f"{FILE_NAME} [{table}] names the {what} {name!r}, which is not there. "
                f"There are: {', '.join(names)}."
            )
    return found, unread, faults


def _missing_table(table, source):
    name = f"file {table.name}.csv" if source.is_dir() else f"sheet {table.name}"
    return f"The {name} is missing. The table {table.name} is required: one row is {table.row_is}."


def _planned_table(table, sheet, mapping, *, is_stored=False):
    """The plan of one sheet, and its faults."""
    header, index = Header(), {}
    faults = [] if sheet.book else list(filter(None, [encoding_fault(sheet)]))
    try:
        header = header if faults else read_header(sheet)
    except RecordsError as error:
        faults.append(str(error))
    if header.headings:
        index, faults = _columns(table, sheet, mapping, header.headings)
        if table.name == "desks" and not is_stored and not header.has_rows:  # none yet is an answer elsewhere
            faults.append(
                f"{sheet.label} has headings and no rows. Write down each desk first: one row is {table.row_is}."
            )
    elif not faults:
        faults.append(
            f"{sheet.label} is empty. Its first row must hold the headings, at least {_needed(table)}."
        )
    return PlannedTable(table, sheet, mapping, header, index), faults


def _needed(table):
    return ", ".join(column.name for column in table.columns if column.required)


def _columns(table, sheet, mapping, headings):
    """Index of each column of the table among the headings, and the faults found."""
    known = {column.name.casefold(): column.name for column in table.columns}
    site = {heading.casefold(): name for heading, name in mapping.columns.items()}
    ignored = {heading.casefold() for heading in mapping.ignore}
    if len(headings) == 1 and any(mark in headings[0] for mark in ";\t|"):
        return {}, [_one_heading(table, sheet, headings[0])]
    index, faults = {}, []
    for position, heading in enumerate(headings):
        fold = heading.casefold()
        if not heading or fold in ignored:
            continue
        name = site.get(fold) or known.get(fold)
        if name is None:
            faults.append(_unknown_heading(table, sheet, heading))
        elif name in index:
            faults.append(
                f"{sheet.label}: the headings {headings[index[name]]!r} and {heading!r} are both the column "
                f"{name}. Take one away, or list it in {FILE_NAME} under [{table.name}] ignore."
            )
        else:
            index[name] = position
    folds = {heading.casefold() for heading in headings}
    for heading, name in mapping.columns.items():
        if heading.casefold() not in folds:
            faults.append(
                f"{FILE_NAME} [{table.name}.columns] names the heading {heading!r} for {name}, which "
                f"{sheet.label} does not have. Its headings are: {', '.join(filter(None, headings))}."
            )
    faults += [
        f"{sheet.label}: the required column {column.name} ({column.meaning}) is missing. Add it, or map the "
        f"heading that stands for it in {FILE_NAME} under [{table.name}.columns]."
        for column in table.columns
        if column.required and column.name not in index
    ]
    return index, faults


def _one_heading(table, sheet, heading):
    mark = next(mark for mark in ";\t|" if mark in heading)
    said = "\\t" if mark == "\t" else mark
    return (
        f"{sheet.label}: all headings stand in one cell, {heading!r}. "
        f'Declare the delimiter in {FILE_NAME} under [{table.name}]: delimiter = "{said}".'
    )


def _unknown_heading(table, sheet, heading):
    order = ", ".join(nearest(heading, [column.name for column in table.columns])[:3])
    return (
        f"{sheet.label}: the heading {heading!r} is not known; the nearest are {order}. Rename it, map it in "
        f'{FILE_NAME} under [{table.name}.columns], or list it there under [{table.name}] ignore = ["{heading}"].'
    )
