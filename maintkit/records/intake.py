"""Records in: a folder of CSV files or a workbook, every row kept or turned away, in one transaction."""

from collections import Counter
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

from .accepted import take_accepted
from .cells import row_name
from .checks import rules
from .drafting import DRAFTED, draft_missing, take_out_drafted, tell_of_desks
from .errors import StoreError
from .filling import clear_reports_not_made, fill_from_other_tables
from .keeping import changes_of, create_tables, keep_rows, note_file, note_load, tables_of, transaction
from .layout import plan_layout
from .mapping import FILE_NAME, load_mapping
from .moved_rows import follow_moved_rows
from .named_by_row import follow_named_rows
from .report import FileCount, LoadReport
from .spelling import match_spellings, show_commonest
from .staging import clear_staging, finish, prepare, ready_name
from .tables import TABLES
from .told_again import leave_out_told_again
from .told_on import tell_reports_on


def load_records(
    connection, source: Path, *, progress: bool = False, today: date | None = None, named: str | None = None
) -> LoadReport:
    """Load a folder of CSV files or an XLSX workbook into a record book, and say where every row went.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        A writable record book; tables that are not there yet are created.
    source : path
        The folder or workbook. A mapping.toml in the folder, or beside the workbook, is obeyed.
    progress : bool
        Show a progress bar on standard error.
    today : datetime.date, optional
        Dates after it are turned away; the ``as_of`` of mapping.toml, or the day of loading, when left out.
    named : str, optional
        How the load is listed; by its source when left out.

    Returns
    -------
    LoadReport
        Counts for each file, rows turned away, cells changed.

    Raises
    ------
    RecordsError
        When the layout or mapping.toml is at fault; the message lists every fault, and nothing is loaded. On this or
        any other exception the record book is as it was before.

    Notes
    -----
    A row with the key of a stored row replaces it, and each cell that differs is a change; the same file again changes
    nothing. Rows loaded earlier that a file no longer holds are kept and counted; of rows without numbers of their own see
    ``follow_moved_rows``.
    """
    source = Path(source)
    mapping = load_mapping(source)
    if today is None and mapping.as_of is None:
        _refuse_a_clock_set_back(connection, date.today())
    layout = plan_layout(source, mapping, stored=_stored_tables(connection))
    clear_staging(connection)
    today = today or mapping.as_of or date.today()
    try:
        prepared = _prepare(connection, layout, today, progress)
        report = _keep(connection, source, layout, prepared, named or str(source), today, mapping.desks)
        return replace(report, as_of=mapping.as_of)
    finally:
        layout.close()
        clear_staging(connection)


def _prepare(connection, layout, today, progress):
    """Every sheet read and checked into temporary tables; the record book is only read."""
    desks = _stored_desks(connection)
    prepared = []
    with progress_bar(progress, unit=" rows", desc="reading records") as watch:
        for plan in layout.tables:
            spelled = {
                written
                for column, _, written, shown in layout.spelling
                if desks and column == "desk" and shown in desks
            }
            known = sorted(desks | spelled) if desks or plan.table.name == "desks" else None
            prepared.append(prepare(connection, plan, rules(plan, known, today), watch=watch))
            if plan.table.name == "desks":
                desks |= _desks_of(connection, ready_name(plan.table))
    return prepared


def _refuse_a_clock_set_back(connection, today):
    """Refuse to load on a day before the last load: every later date would be turned away as lying ahead."""
    rows = (
        "loads" in tables_of(connection)
        and connection.execute(
            "select load, loaded_at::date from loads order by loaded_at desc limit 1"
        ).fetchall()
    )
    if rows and today < rows[0][1] - timedelta(days=1):  # a day's grace for the time zone
        load, day = rows[0]
        raise StoreError(
            f"The clock of this machine reads {today}, but load {load} was made on {day}. Nothing was loaded. Set the clock, or "
            f"write the last day these records can hold at the top of {FILE_NAME}, as_of = {day}, then load again."
        )


def _stored_tables(connection):
    """Names of the required tables the record book already holds rows of."""
    there = tables_of(connection)
    return frozenset(
        table.name
        for table in TABLES
        if table.required
        and table.name in there
        and connection.execute(f'select 1 from "{table.name}" limit 1').fetchall()
    )


def _stored_desks(connection):
    """Names of the desks that were written down, not drafted."""
    written = f"desks where source_file <> '{DRAFTED}'"
    return _desks_of(connection, written) if "desks" in tables_of(connection) else set()


def _desks_of(connection, table):
    return {row[0] for row in connection.execute(f"select desk from {table} order by desk").fetchall()}


def _keep(connection, source, layout, prepared, named, today, desks):
    """The checked rows into the record book, in one transaction."""
    with transaction(connection):
        create_tables(connection)
        load = connection.execute("select coalesce(max(load), 0) + 1 from loads").fetchall()[0][0]
        note_load(connection, load, named, datetime.now())
        told = take_out_drafted(connection)
        own = {table.name for table in layout.record_tables}
        held = {table.name for table in TABLES} if load > 1 else set()
        match_spellings(connection, layout, held)
        prepared, told_on = tell_reports_on(connection, layout.tables, prepared, own)
        clear_reports_not_made(connection, layout.tables, own)
        prepared = follow_named_rows(connection, layout.tables, prepared, own)
        filled = fill_from_other_tables(connection, own, today)
        prepared, again = leave_out_told_again(connection, layout.tables, prepared, own)
        read = _finish(connection, layout, prepared)
        moved = follow_moved_rows(connection, layout.tables, load)
        fates = {table.name: keep_rows(connection, table, load) for table in layout.record_tables}
        counts = [_count(connection, load, plan, sheet, fates[plan.table.name]) for plan, sheet in read]
        counts = _with_only_earlier(connection, counts)
        show_commonest(connection, load, held | own)
        drafted = (
            *draft_missing(connection, load, told),
            *filled,
            *told_on,
            *again,
            *moved,
            *_unnumbered(layout),
        )
        tell_of_desks(connection, desks)
        take_accepted(connection, source)
        changes = changes_of(connection, load)
    return LoadReport(
        load,
        str(source),
        tuple(counts),
        tuple(one for _, sheet in read for one in sheet.turned_away),
        changes,
        layout.unread,
        tuple(one for _, sheet in read for one in sheet.not_understood),
        drafted,
        layout.overlooked,
        fed_nothing=_fed_nothing(layout, counts),
        asked=layout.asked,
    )


def _fed_nothing(layout, counts):
    """The lists of which no row is kept or turned away in any sheet of a section that picks its rows, each with the setting that does."""
    read, lists = Counter(), {}
    for plan, count in zip(layout.tables, counts, strict=True):
        for setting in ("rows_where", "moves"):
            if picked := getattr(plan.mapping, setting):
                which = (plan.table.name, setting, str(picked))
                read[which] += count.kept + count.turned_away
                lists.setdefault(which, f"{count.file} ({plan.table.name}, {setting})")
    return tuple(name for which, name in lists.items() if not read[which])


def _unnumbered(layout):
    """What to know of lists without numbers."""
    for plan in layout.tables:
        if plan.unnumbered:
            yield (
                f"{plan.sheet.label} has no column {plan.unnumbered}, so its rows are called by their place, such as {row_name(plan.sheet)}2. "
                "Give them numbers before rows are sorted or put between, for then they change places."
            )


def _finish(connection, layout, prepared):
    """Each plan with what reading it gave, once repeated rows are out of the ready tables."""
    read = dict(zip((plan.sheet.label + plan.table.name for plan in layout.tables), prepared, strict=True))
    for table in layout.record_tables:
        plans = [plan for plan in layout.tables if plan.table is table]
        repeated, cells = finish(connection, table, plans)
        for plan in plans:
            name = plan.sheet.label + table.name
            own = [one for one in repeated if one.file == plan.sheet.label]
            gone = {one.row for one in own}
            read[name] = replace(
                read[name],
                turned_away=tuple(sorted([*read[name].turned_away, *own], key=lambda one: one.row)),
                not_understood=tuple(one for one in read[name].not_understood if one.row not in gone),
                cells=tuple(one for one in cells if one.file == plan.sheet.label),
            )
    return list(zip(layout.tables, read.values(), strict=True))


def _count(connection, load, plan, prepared, fates):
    own = fates.get(plan.sheet.label, {})
    kept, refused = sum(own.values()), len(prepared.turned_away)
    if prepared.rows_in != kept + refused + prepared.left_out:
        raise AssertionError(
            f"{plan.sheet.label}: {prepared.rows_in} rows in, {kept} kept, {refused} turned away, "
            f"{prepared.left_out} left out"
        )
    count = FileCount(
        plan.sheet.label,
        plan.table.name,
        prepared.rows_in,
        prepared.blank_rows,
        kept,
        refused,
        *(own.get(fate, 0) for fate in ("new", "changed", "unchanged")),
        0,
        len(prepared.not_understood),
        prepared.left_out,
    )
    note_file(connection, load, count, prepared.turned_away, prepared.not_understood, prepared.cells)
    return count


def _with_only_earlier(connection, counts):
    """The counts, the last of each table with how many of its rows stand in none of its files."""
    kept, last = Counter(), {}
    for at, count in enumerate(counts):
        kept[count.table] += count.kept
        last[count.table] = at
    for table, at in last.items():
        stored = connection.execute(f'select count(*) from "{table}"').fetchall()[0][0]
        counts[at] = replace(counts[at], only_earlier=stored - kept[table])
    return counts


@contextmanager
def progress_bar(shown: bool, **told):
    """A bar on standard error, or nothing; it gives the function to call with what was done, ``told`` is for tqdm."""
    if not shown:
        yield None
        return
    from tqdm import tqdm

    with tqdm(leave=False, **told) as bar:
        yield bar.update
