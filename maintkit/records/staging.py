"""Sheets into temporary tables of checked rows, batch by batch: whole columns at a time, little memory."""

from dataclasses import dataclass

import numpy as np

from maintkit.actions import put_actions

from .checks import broken_rows, checked_sql, repeated_rows
from .errors import TurnedAway
from .sheets import batches

BLANKS = " \t\r\n\u00a0\u2007\u202f\ufeff"


@dataclass(frozen=True)
class Prepared:
    """What reading a sheet gave: rows that are not blank (also those turned away), blank rows, rows turned away."""

    rows_in: int
    blank_rows: int
    turned_away: tuple[TurnedAway, ...]


def ready_name(table) -> str:
    """The quoted name of the temporary table that holds a table's checked rows."""
    return f'"ready {table.name}"'


def prepare(connection, plan, rules, *, watch=None) -> Prepared:
    """Read and check a planned sheet into its temporary ready table: typed columns, defaults filled, ``source_row``.

    Cells are trimmed at both ends and an empty one becomes null. ``watch(rows)`` is called after each batch.
    """
    rows_in = blank_rows = 0
    turned_away = []
    _create_ready(connection, plan)
    for batch in batches(plan.sheet, plan.header, plan.unread):
        rows_in += len(batch.rows) + len(batch.turned_away)
        blank_rows += batch.blank_rows
        turned_away += batch.turned_away
        if batch.rows:
            turned_away += _take_in(connection, plan, rules, batch)
        if watch:
            watch(len(batch.rows))
    turned_away += repeated_rows(connection, plan, ready_name(plan.table))
    turned_away.sort(key=lambda one: one.row)
    return Prepared(rows_in, blank_rows, tuple(turned_away))


def _create_ready(connection, plan):
    no_rows = [f'null::varchar as "{column.name}"' for column in plan.table.columns]
    connection.execute(
        f"create or replace temp table staged as select {', '.join(no_rows)}, 0::bigint as source_row "
        "where false"
    )
    connection.execute(*checked_sql(plan))
    connection.execute(
        f"create or replace temp table {ready_name(plan.table)} as "
        f"select {_names(plan.table)}, source_row from checked"
    )


def _take_in(connection, plan, rules, batch):
    """Append the good rows of a batch to the ready table and return the others."""
    fields = list(zip(*batch.rows, strict=True))
    arrays = {name: np.array(fields[place], dtype=object) for name, place in plan.index.items()}
    arrays["source_row"] = np.array(batch.numbers, dtype=np.int64)
    cells = [
        f'{_trimmed(column.name)} as "{column.name}"'
        if column.name in plan.index
        else f'null::varchar as "{column.name}"'
        for column in plan.table.columns
    ]
    select_arrays(
        connection,
        f"create or replace temp table staged as select {', '.join(cells)}, source_row from incoming",
        arrays,
        blanks=BLANKS,
    )
    _put_site_words(connection, plan)
    connection.execute(*checked_sql(plan))
    turned_away = broken_rows(connection, plan, rules)
    _fill_defaults(connection, plan.table)
    connection.execute(
        f"insert into {ready_name(plan.table)} select {_names(plan.table)}, source_row from checked"
    )
    return turned_away


def _trimmed(name):
    """SQL that trims a cell at both ends and makes an empty one null; it looks first, for trimming is slow."""
    at_an_end = f'contains($blanks, left("{name}", 1)) or contains($blanks, right("{name}", 1))'
    return f"""nullif(if({at_an_end}, trim("{name}", $blanks), "{name}"), '')"""


def _names(table):
    return ", ".join(f'"{column.name}"' for column in table.columns)


def select_arrays(connection, query, arrays, **parameters):
    """Run a statement that selects from ``incoming``, a table of the given arrays."""
    connection.register("incoming", arrays)
    try:
        connection.execute(query, parameters)
    finally:
        connection.unregister("incoming")


def _put_site_words(connection, plan):
    """Replace the site's own words by those of the record book, where mapping.toml maps them."""
    for name, words in plan.mapping.values.items():
        connection.execute(
            f'update staged set "{name}" = $meanings[list_position($words, lower("{name}"))] '
            f'where list_contains($words, lower("{name}"))',
            {"words": list(words), "meanings": list(words.values())},
        )


def _fill_defaults(connection, table):
    """Give blank cells of ``checked`` their documented default; a blank planned follows the action."""
    for column in table.columns:
        if column.default is not None:
            connection.execute(
                f'update checked set "{column.name}" = $default where "{column.name}" is null',
                {"default": column.default},
            )
    for column in table.columns:
        if column.default_from:
            connection.execute(
                f'update checked set "{column.name}" = "{column.default_from}" where "{column.name}" is null'
            )
    if table.name == "repairs":
        put_actions(connection)
        connection.execute(
            "update checked set planned = if(actions.planned, 'yes', 'no') from actions "
            "where checked.planned is null and actions.action = checked.action"
        )


def clear_staging(connection, plans):
    """Drop every temporary table of staging."""
    for name in ("staged", "checked", "fated", *(ready_name(plan.table) for plan in plans)):
        connection.execute(f"drop table if exists temp.{name}")
