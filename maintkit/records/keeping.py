"""Checked rows into their record table, by key: new, changed or unchanged; and the tables that remember each load."""

from contextlib import contextmanager, suppress
from dataclasses import astuple
from functools import cache

import duckdb

from .columns import SOURCE_COLUMNS, SQL_TYPE
from .report import Change, FileCount
from .tables import TABLES

BROKEN = (
    'load bigint, file varchar, "row" bigint, column_name varchar, found varchar, rule varchar, remedy varchar, '
    'table_name varchar, "key" varchar'
)
LOAD_TABLES = {
    "loads": "load bigint, loaded_at timestamp, source varchar",
    "load_files": "load bigint, file varchar, table_name varchar, rows_in bigint, blank_rows bigint, kept bigint, "
    "turned_away bigint, new bigint, changed bigint, unchanged bigint, left_out bigint",
    "load_columns": "load bigint, file varchar, table_name varchar, column_name varchar, cells bigint, blank bigint, "
    "not_understood bigint",
    "turned_away": BROKEN,
    "not_understood": BROKEN,
    "drafted": 'load bigint, table_name varchar, "rows" bigint, reason varchar',
    "accepted": 'file varchar, "row" bigint, column_name varchar, found varchar, reason varchar, accepted_at timestamp',
    "changes": 'load bigint, table_name varchar, "key" varchar, column_name varchar, "from" varchar, "to" varchar',
    "spelling": "column_name varchar, scope varchar, written varchar, shown varchar",
    "undone": "load bigint, undone_at timestamp, rows_in bigint, kept bigint, turned_away bigint, new bigint, changed bigint",
}


@contextmanager
def transaction(connection):
    """All that is written within it, or nothing of it."""
    connection.execute("begin transaction")
    try:
        yield
        connection.execute("commit")
    except BaseException:
        with suppress(duckdb.Error):  # a full disk may have ended the transaction already
            connection.execute("rollback")
        raise


def undo_name(table) -> str:
    """The quoted name of the table that holds a table's rows as they were before a load changed them."""
    return f'"undo_{table.name}"'


def create_tables(connection):
    """Create every record table, the table of its rows before each change, and every load table, if not there yet."""
    for name, columns in columns_made().items():
        told = ", ".join(f'"{column}" {kind}' for column, kind in columns.items())
        connection.execute(f'create table if not exists "{name}" ({told})')


def tables_of(connection) -> set[str]:
    """The names of the tables that a record book has, temporary ones apart."""
    rows = connection.execute(
        "select table_name from duckdb_tables() where database_name = current_database() order by table_name"
    ).fetchall()
    return {name for (name,) in rows}


@cache
def columns_made() -> dict[str, dict[str, str]]:
    """The type of each column of each table that ``create_tables`` creates, by table, as DuckDB writes it."""
    made = {}
    for table in TABLES:
        own = {column.name: SQL_TYPE[column.kind] for column in table.columns} | SOURCE_COLUMNS
        made[table.name], made[f"undo_{table.name}"] = own, own | {"undo_load": "bigint"}
    for name, columns in LOAD_TABLES.items():
        made[name] = dict(column.replace('"', "").split() for column in columns.split(", "))
    return {table: {name: kind.upper() for name, kind in own.items()} for table, own in made.items()}


def keep_rows(connection, table, load: int) -> dict[str, dict[str, int]]:
    """Move a table's ready rows into its record table; how many of each file were new, changed and unchanged."""
    from .staging import ready_name

    ready = ready_name(table)
    same = " and ".join(f'ready."{name}" is not distinct from stored."{name}"' for name in table.key)
    rest = [column.name for column in table.columns if column.name not in table.key] + ["as_written"]
    differs = " or ".join(f'ready."{name}" is distinct from stored."{name}"' for name in rest)
    connection.execute(
        "create or replace temp table fated as select ready.rowid as ready_row, ready.source_file, ready.source_row, "
        f"stored.rowid as stored_row, case when stored.load is null then 'new' when {differs} then 'changed' "
        f"else 'unchanged' end as fate from {ready} as ready left join \"{table.name}\" as stored on {same}"
    )
    fates = {}
    for file, fate, count in connection.execute(
        "select source_file, fate, count(*) from fated group by all order by all"
    ).fetchall():
        fates.setdefault(file, {})[fate] = count
    moved = "(stored.source_file is distinct from fated.source_file or stored.source_row is distinct from fated.source_row)"
    if any(set(one) - {"new"} for one in fates.values()):
        connection.execute(
            f'insert into {undo_name(table)} select stored.*, $load from "{table.name}" as stored '
            f"join fated on fated.stored_row = stored.rowid where stored.load <> $load and (fated.fate = 'changed' or {moved})",
            {"load": load},
        )
        _note_changes(connection, table, load, rest)
        connection.execute(
            f"delete from \"{table.name}\" where rowid in (select stored_row from fated where fate = 'changed')"
        )
        connection.execute(
            f'update "{table.name}" as stored set source_file = fated.source_file, source_row = fated.source_row '
            f"from fated where fated.stored_row = stored.rowid and fated.fate = 'unchanged' and {moved}"
        )
    connection.execute(
        f'insert into "{table.name}" by name select ready.*, $load::bigint as load from {ready} as ready '
        "semi join (select ready_row from fated where fate <> 'unchanged') as fated on fated.ready_row = ready.rowid",
        {"load": load},
    )
    return fates


def keep_copies(connection, table, rows: str, load: int) -> None:
    """Keep stored rows, those for which the SQL ``rows`` is true, as they were before this load, for ``undo_last_load``; each once."""
    connection.execute(
        f'insert into {undo_name(table)} select *, $load from "{table.name}" where load <> $load and {rows}',
        {"load": load},
    )


def _note_changes(connection, table, load, rest):
    from .staging import ready_name

    key = "concat_ws(' + ', " + ", ".join(f'ready."{name}"::varchar' for name in table.key) + ")"
    for name in rest:
        connection.execute(
            f'insert into changes select $load, $table, {key}, $column, stored."{name}"::varchar, '
            f'ready."{name}"::varchar from fated join "{table.name}" as stored on stored.rowid = fated.stored_row '
            f"join {ready_name(table)} as ready on ready.rowid = fated.ready_row "
            f'where fated.fate = \'changed\' and ready."{name}" is distinct from stored."{name}"',
            {"load": load, "table": table.name, "column": name},
        )


def changes_of(connection, load: int) -> tuple[Change, ...]:
    """The cells that a load corrected, by table, key and column."""
    rows = connection.execute(
        'select table_name, "key", column_name, "from", "to" from changes where load = $load '
        'order by table_name, "key", column_name',
        {"load": load},
    ).fetchall()
    return tuple(Change(*row) for row in rows)


def note_load(connection, load: int, source: str, loaded_at):
    """Remember that a load took place."""
    connection.execute(
        "insert into loads values ($load, $loaded_at, $source)",
        {"load": load, "loaded_at": loaded_at, "source": source},
    )


def note_file(connection, load: int, count: FileCount, turned_away, not_understood, cells):
    """Remember the counts of one file and of its columns, the rows it had turned away and the cells not understood."""
    import numpy as np

    from .staging import select_arrays

    counts = vars(count).copy()
    del counts["only_earlier"], counts["not_understood"]
    connection.execute(
        "insert into load_files values ($load, $file, $table, $rows_in, $blank_rows, $kept, $turned_away, $new, "
        "$changed, $unchanged, $left_out)",
        counts | {"load": load},
    )
    if cells:
        connection.execute(
            f"insert into load_columns values {', '.join(['(?, ?, ?, ?, ?, ?, ?)'] * len(cells))}",
            [value for one in cells for value in (load, *astuple(one))],
        )
    for name, broken in (("turned_away", turned_away), ("not_understood", not_understood)):
        if broken:
            fields = ("file", "column", "found", "rule", "remedy", "key")
            arrays = {one: np.array([getattr(row, one) for row in broken], dtype=object) for one in fields}
            arrays["source_row"] = np.array([one.row for one in broken], dtype=np.int64)
            select_arrays(
                connection,
                f'insert into {name} select $load, file, source_row, "column", found, rule, remedy, $table, '
                "nullif(key, '') from incoming",
                arrays,
                load=load,
                table=count.table,
            )
