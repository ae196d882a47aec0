"""Where every row and cell of a record book went, over all loads that stand: what records.txt holds, nothing cut."""

from .errors import each_once
from .report import LEFT_OUT, FileCount, file_table
from .unmended import open_cells, open_turned_away


def account(connection, source: str, unread: tuple[str, ...] = ()) -> str:
    """Each load that stands with its files, then all that is still wrong, and what was accepted, with the reasons.

    ``unread`` names files or sheets of the source that were not read.
    """
    lines = [f"The records of {source}"]
    loads = connection.execute(
        "select load, loaded_at::date, source from loads anti join undone using (load) order by load"
    ).fetchall()
    for load, day, file in loads:
        counts = _counts(connection, load)
        rows, kept, away, out = (
            sum(getattr(one, name) for one in counts)
            for name in ("rows_in", "kept", "turned_away", "left_out")
        )
        lines += [f"Load {load} on {day}, of {file}", *file_table(counts)]
        lines += [
            f"rows read = kept + turned away{f' + left out ({LEFT_OUT})' if out else ''}: "
            f"{rows:,} = {kept:,} + {away:,}{f' + {out:,}' if out else ''}",
            *_cells(connection, load),
        ]
        lines += _drafted(connection, load)
    if unread:
        lines.append(f"Not read: {', '.join(unread)}.")
    lines += _listed("Turned away, and not corrected since", each_once(open_turned_away(connection)))
    lines += _listed("Kept without a cell that was not understood", each_once(open_cells(connection)))
    lines += _listed("Accepted as they are", _accepted(connection))
    return "\n".join(lines) + "\n"


def _counts(connection, load):
    rows = connection.execute(
        "select file, table_name, rows_in, blank_rows, kept, turned_away, new, changed, unchanged, 0, coalesce((select count(*) "
        "from not_understood where not_understood.load = load_files.load and not_understood.file = load_files.file "
        "and not_understood.table_name = load_files.table_name), 0), left_out from load_files where load = $load order by rowid",
        {"load": load},
    ).fetchall()
    return [FileCount(*row) for row in rows]


def _cells(connection, load):
    cells, blank, lost = connection.execute(
        "select coalesce(sum(cells), 0), coalesce(sum(blank), 0), coalesce(sum(not_understood), 0) from load_columns "
        "where load = $load",
        {"load": load},
    ).fetchall()[0]
    yield (
        f"cells read = kept + left blank + not understood: {cells:,} = {cells - blank - lost:,} + {blank:,} + {lost:,}"
    )


def _drafted(connection, load):
    rows = connection.execute(
        'select table_name, "rows", reason from drafted where load = $load order by table_name',
        {"load": load},
    ).fetchall()
    return [
        f"Drafted from the entries: {count:,} {table.removesuffix('s') if count == 1 else table}, {reason}."
        for table, count, reason in rows
    ]


def _accepted(connection):
    rows = connection.execute(
        'select file, "row", column_name, found, reason, accepted_at::date from accepted order by all'
    ).fetchall()
    return [
        f"{file}, row {row}, {column}: {found or 'nothing'}. Accepted on {day}: {reason}"
        for file, row, column, found, reason, day in rows
    ]


def _listed(title, items):
    return [f"{title}:", *(f"  {item}" for item in items)] if items else []
