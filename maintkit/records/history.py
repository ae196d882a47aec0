"""The loads of a store: what each did, and the last one taken back."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import duckdb

from .errors import StoreError
from .keeping import create_tables, transaction, undo_name
from .opening import open_store
from .store import why_not_written
from .tables import TABLES


@dataclass(frozen=True)
class LoadEntry:
    """One load: when, from where, its rows, and when it was undone (None while it stands)."""

    load: int
    loaded_at: datetime
    source: str
    rows_in: int
    kept: int
    turned_away: int
    new: int
    changed: int
    undone_at: datetime | None

    def __str__(self):
        undone = "" if self.undone_at is None else f"; undone {self.undone_at:%Y-%m-%d %H:%M}"
        return (
            f"load {self.load}, {self.loaded_at:%Y-%m-%d %H:%M}, {self.source}: {self.rows_in:,} in = {self.kept:,} kept + "
            f"{self.turned_away:,} turned away; {self.new:,} new, {self.changed:,} changed{undone}"
        )


@dataclass(frozen=True)
class LoadHistory:
    """Every load of a store, the first first; ``str()`` gives a line each."""

    store: str
    entries: tuple[LoadEntry, ...]

    def __str__(self):
        if not self.entries:
            return f"Nothing has been loaded into {self.store}."
        standing = sum(entry.undone_at is None for entry in self.entries)
        return "\n".join(
            [
                f"Loads of {self.store}, of which {standing} of {len(self.entries)} stand:",
                *(f"  {entry}" for entry in self.entries),
                "Add --undo to take back the last that stands.",
            ]
        )


@dataclass(frozen=True)
class Undone:
    """A load taken back: rows taken out that it brought, rows as they were before it, and how many loads still stand."""

    load: int
    source: str
    taken_out: int
    put_back: int
    standing: int

    def __str__(self):
        return (
            f"Load {self.load} of {self.source} is undone: {self.taken_out:,} rows it brought are out, {self.put_back:,} are as "
            f"they were before. {self.standing} {'load stands' if self.standing == 1 else 'loads stand'}. Load the source again to have it back."
        )


def list_loads(store_path) -> LoadHistory:
    """Every load of a store.

    Raises
    ------
    StoreError
        When the store cannot be opened.
    """
    with open_store(Path(store_path), read_only=True) as connection:
        return LoadHistory(Path(store_path).name, _entries(connection))


def _entries(connection):
    rows = connection.execute("""
        with counted as (
            select load, sum(rows_in) as rows_in, sum(kept) as kept, sum(turned_away) as turned_away, sum(new) as new,
                   sum(changed) as changed
            from load_files group by load
        )
        select loads.load, loaded_at, source, coalesce(counted.rows_in, undone.rows_in, 0)::bigint,
               coalesce(counted.kept, undone.kept, 0)::bigint, coalesce(counted.turned_away, undone.turned_away, 0)::bigint,
               coalesce(counted.new, undone.new, 0)::bigint, coalesce(counted.changed, undone.changed, 0)::bigint, undone_at
        from loads
        left join counted on counted.load = loads.load
        left join undone on undone.load = loads.load
        order by loads.load
        """).fetchall()
    return tuple(LoadEntry(*row) for row in rows)


def undo_last_load(store_path) -> Undone:
    """Take back the last load that stands: every record table is then as it was before that load.

    The load stays in the list, marked as undone. Called again, it takes back the load before.

    Raises
    ------
    StoreError
        When the store cannot be opened, no load stands, or the load was made by a program that kept no undo copy; the
        store is then as it was.
    """
    path = Path(store_path)
    connection = open_store(path, read_only=False)
    try:
        with transaction(connection):
            done = _undo(connection, path)
        connection.close()
        return done
    except duckdb.Error as error:
        raise StoreError(
            why_not_written(path, str(error), "What was recorded is all there, and the load still stands")
        ) from error
    finally:
        connection.close()


def _undo(connection, path):
    # They bring NumPy, which a list of loads does without.
    from .drafting import draft_missing, take_out_drafted
    from .spelling import show_commonest

    create_tables(connection)
    standing = [entry for entry in _entries(connection) if entry.undone_at is None]
    if not standing:
        raise StoreError(f"No load of {path.name} stands, so there is nothing to undo.")
    last = standing[-1]
    _refuse_without_copies(connection, last, path)
    told = take_out_drafted(connection)
    moves = [_put_back(connection, table, last.load) for table in TABLES]
    connection.execute(
        "insert into undone values (?, ?, ?, ?, ?, ?, ?)",
        [last.load, datetime.now(), last.rows_in, last.kept, last.turned_away, last.new, last.changed],
    )
    for name in ("load_files", "load_columns", "turned_away", "not_understood", "changes"):
        connection.execute(f"delete from {name} where load = $load", {"load": last.load})
    show_commonest(connection, last.load)
    draft_missing(connection, last.load, told)
    return Undone(
        last.load,
        last.source,
        sum(out for out, _ in moves),
        sum(back for _, back in moves),
        len(standing) - 1,
    )


def _refuse_without_copies(connection, entry, path):
    copies = sum(_rows_of(connection, undo_name(table), "undo_load", entry.load) for table in TABLES)
    if copies < entry.changed:
        raise StoreError(
            f"Load {entry.load} of {path.name} changed {entry.changed:,} rows and was made by a version of this program that kept "
            "no copy of them, so it cannot be undone. Take the file from a backup made before that load."
        )


def _put_back(connection, table, load):
    """Take the rows of a load out of a table and put back the rows it had changed; how many of each."""
    same_key = " and ".join(f'copy."{name}" is not distinct from stored."{name}"' for name in table.key)
    back = _rows_of(connection, undo_name(table), "undo_load", load)
    out = _rows_of(connection, f'"{table.name}"', "load", load)
    connection.execute(
        f'delete from "{table.name}" as stored where load = $load or exists '
        f"(from {undo_name(table)} as copy where undo_load = $load and {same_key})",
        {"load": load},
    )
    connection.execute(
        f'insert into "{table.name}" select * exclude (undo_load) from {undo_name(table)} where undo_load = $load',
        {"load": load},
    )
    connection.execute(f"delete from {undo_name(table)} where undo_load = $load", {"load": load})
    return out, back


def _rows_of(connection, table, column, load):
    query = f"select count(*) from {table} where {column} = $load"
    return connection.execute(query, {"load": load}).fetchall()[0][0]
