"""Checked rows into their record table, by key: new, changed or unchanged; and the tables that remember each load."""

import numpy as np

from .columns import table_ddl
from .report import Change, FileCount
from .staging import ready_name, select_arrays
from .tables import TABLES

BROKEN = (
    'load bigint, file varchar, "row" bigint, column_name varchar, found varchar, rule varchar, remedy varchar, '
    'table_name varchar, "key" varchar'
)
LOAD_TABLES = {
    "loads": "load bigint, loaded_at timestamp, source varchar",
    "load_files": "load bigint, file varchar, table_name varchar, rows_in bigint, blank_rows bigint, kept bigint, "
    "turned_away bigint, new bigint, changed bigint, unchanged bigint",
    "load_columns": "load bigint, file varchar, table_name varchar, column_name varchar, cells bigint, blank bigint, "
    "not_understood bigint",
    "turned_away": BROKEN,
    "not_understood": BROKEN,
    "drafted": 'load bigint, table_name varchar, "rows" bigint, reason varchar',
    "accepted": 'file varchar, "row" bigint, column_name varchar, found varchar, reason varchar, accepted_at timestamp',
    "changes": 'load bigint, table_name varchar, "key" varchar, column_name varchar, "from" varchar, "to" varchar',
    "undone": "load bigint, undone_at timestamp, rows_in bigint, kept bigint, turned_away bigint, new bigint, changed bigint",
}


def undo_name(table) -> str:
    """The quoted name of the table that holds a table's rows as they were before a load changed them."""
    return f'"undo_{table.name}"'


def create_tables(connection):
    """Create every record table, the table of its rows before each change, and every load table, if not there yet."""
    for table in TABLES:
        connection.execute(table_ddl(table).replace("create table", "create table if not exists", 1))
        connection.execute(
            f"create table if not exists {undo_name(table)} as "
            f'select *, null::bigint as undo_load from "{table.name}" where false'
        )
    for name, columns in LOAD_TABLES.items():
        connection.execute(f"create table if not exists {name} ({columns})")


def keep_rows(connection, table, load: int, file: str) -> dict[str, int]:
    """Move a table's ready rows into its record table and return how many were new, changed and unchanged."""
    ready = ready_name(table)
    same = " and ".join(f'ready."{name}" is not distinct from stored."{name}"' for name in table.key)
    rest = [column.name for column in table.columns if column.name not in table.key]
    differs = " or ".join(f'ready."{name}" is distinct from stored."{name}"' for name in rest) or "false"
    connection.execute(
        "create or replace temp table fated as select ready.source_row, stored.rowid as stored_row, "
        f"case when stored.load is null then 'new' when {differs} then 'changed' else 'unchanged' end as fate "
        f'from {ready} as ready left join "{table.name}" as stored on {same}'
    )
    fates = dict(
        connection.execute("select fate, count(*) from fated group by fate order by fate").fetchall()
    )
    if set(fates) - {"new"}:
        connection.execute(
            f'insert into {undo_name(table)} select stored.*, $load from "{table.name}" as stored '
            "join fated on fated.stored_row = stored.rowid where fated.fate = 'changed' "
            "or stored.source_file <> $file or stored.source_row <> fated.source_row",
            {"file": file, "load": load},
        )
    if "changed" in fates:
        _note_changes(connection, table, load, rest)
        connection.execute(
            f'delete from "{table.name}" where rowid in '
            "(select stored_row from fated where fate = 'changed')"
        )
    if "unchanged" in fates:
        connection.execute(
            f'update "{table.name}" as stored set source_file = $file, source_row = fated.source_row from fated '
            "where fated.stored_row = stored.rowid and fated.fate = 'unchanged' "
            "and (stored.source_file <> $file or stored.source_row <> fated.source_row)",
            {"file": file},
        )
    names = ", ".join(f'"{column.name}"' for column in table.columns)
    connection.execute(
        f'insert into "{table.name}" ({names}, source_file, source_row, load) select {names}, $file, source_row, $load '
        f"from {ready} as ready semi join (select source_row from fated where fate <> 'unchanged') using (source_row)",
        {"file": file, "load": load},
    )
    return fates


def _note_changes(connection, table, load, rest):
    key = "concat_ws(' + ', " + ", ".join(f'ready."{name}"::varchar' for name in table.key) + ")"
    for name in rest:
        connection.execute(
            f'insert into changes select $load, $table, {key}, $column, stored."{name}"::varchar, '
            f'ready."{name}"::varchar from fated join "{table.name}" as stored on stored.rowid = fated.stored_row '
            f"join {ready_name(table)} as ready on ready.source_row = fated.source_row "
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


def note_file(connection, load: int, count: FileCount, turned_away):
    """Remember the counts of one file and the rows it had turned away."""
    connection.execute(
        "insert into load_files values ($load, $file, $table, $rows_in, $blank_rows, $kept, $turned_away, $new, "
        "$changed, $unchanged)",
        {
            "load": load,
            "file": count.file,
            "table": count.table,
            "rows_in": count.rows_in,
            "blank_rows": count.blank_rows,
            "kept": count.kept,
            "turned_away": count.turned_away,
            "new": count.new,
            "changed": count.changed,
            "unchanged": count.unchanged,
        },
    )
    if turned_away:
        names = ("file", "column", "found", "rule", "remedy")
        arrays = {name: np.array([getattr(one, name) for one in turned_away], dtype=object) for name in names}
        arrays["source_row"] = np.array([one.row for one in turned_away], dtype=np.int64)
        select_arrays(
            connection,
            'insert into turned_away select $load, file, source_row, "column", found, rule, '
            "remedy, $table, null from incoming",
            arrays,
            load=load,
            table=count.table,
        )
