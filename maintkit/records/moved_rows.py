"""Rows without numbers of their own in a file that is loaded again: those that stand elsewhere now are found by what they say."""

from collections import defaultdict, deque
from dataclasses import dataclass
from operator import attrgetter

from .cells import row_name
from .keeping import keep_copies
from .layout import NUMBERS
from .staging import ready_name
from .tables import TABLE


@dataclass(frozen=True)
class Row:
    """A row of a file: where it lies in its table, what it is called, where it stands, and what all its cells and what day and place say."""

    rowid: int
    name: str
    place: int
    whole: int
    head: str


def follow_moved_rows(connection, plans, load: int) -> list[str]:
    """Call the stored rows that have no number of their own as the file calls them now, and take out those that it has no more.

    A row is the same where all its cells are, else where day and place are, else where it stands between the same rows. Where fewer than
    half of the rows of a file are found so, it is another list under the same name, and each row takes the place of the one that stood there.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        With the rows of the file in the ready tables.
    plans : list of PlannedTable
    load : int
        Under which the rows are kept as they were, for ``undo_last_load``.

    Returns
    -------
    list of str
        What was found, a sentence each.
    """
    said = []
    for plan in (one for one in plans if one.table.name in NUMBERS):
        before, after = _as_told(plan, f'"{plan.table.name}"'), _as_told(plan, ready_name(plan.table))
        before += f" and starts_with({NUMBERS[plan.table.name]}, $begins)"
        of = {"file": plan.sheet.label, "begins": row_name(plan.sheet)}
        if not connection.execute(
            f"from ({before}) anti join ({after}) using (name, whole) limit 1", of
        ).fetchall():
            continue
        stored, ready = _rows(connection, before, of), _rows(connection, after, {"file": plan.sheet.label})
        if now := _paired(stored, ready):
            named = [(one, ready[now[at]] if at in now else None) for at, one in enumerate(stored)]
            moved = [(one, new) for one, new in named if new is None or new.name != one.name]
            _rename(connection, plan.table, moved, load)
            said += _told(plan.sheet.label, moved)
    return said


def _as_told(plan, source):
    """SQL for the rows of a file in a table, as a ``Row`` has them."""
    name = NUMBERS[plan.table.name]
    cells = [one.name for one in plan.table.columns if one.name not in NUMBERS.values()]
    head = [one for one in ("raised_on", "done_on", "desk", "position", "serial") if one in cells]
    whole, head = (", ".join(f'"{one}"::varchar' for one in some) for some in (cells, head))
    return (
        f"select rowid as stored_row, {name} as name, source_row, hash({whole}, as_written::varchar) as whole, concat_ws(' ', {head}) as head "
        f"from {source} where source_file = $file"
    )


def _rows(connection, told, of):
    rows = connection.execute(f"{told} order by source_row, stored_row", of).fetchall()
    return [Row(*row) for row in rows]


def _paired(stored, ready) -> dict[int, int] | None:
    """Which ready row each stored one is now, by their places in the lists; None where it is another list."""
    now = {}
    for what in (attrgetter("whole"), attrgetter("head")):
        _pair(now, map(what, stored), map(what, ready))
    if 2 * len(now) < len(stored):
        return None
    own = {there: there for there in now.values()}
    _pair(now, _neighbours(len(stored), now), _neighbours(len(ready), own))
    return now


def _pair(now, left, right):
    """Pair what is not paired yet and the same, in its order."""
    free, taken = defaultdict(deque), {*now.values()}
    for there, what in enumerate(right):
        if there not in taken:
            free[what].append(there)
    for at, what in enumerate(left):
        if at not in now and free[what]:
            now[at] = free[what].popleft()


def _neighbours(count, now):
    """For each place what the paired row next above it is now, and how far above that stands."""
    above, found = (-1, 0), []
    for at in range(count):
        above = (now[at], 0) if at in now else (above[0], above[1] + 1)
        found.append(above)
    return found


def _rename(connection, table, moved, load):
    """Give the stored rows their new names and places, also where work names them, and take those out that have none."""
    name = NUMBERS[table.name]
    rows = [(one.rowid, one.name, new and new.name, new and new.place) for one, new in moved]
    connection.execute(
        "create or replace temp table moved (stored_row bigint, old varchar, new varchar, place bigint)"
    )
    if rows:
        columns = [list(column) for column in zip(*rows, strict=True)]
        connection.execute("insert into moved select unnest(?), unnest(?), unnest(?), unnest(?)", columns)
    if table.name == "tickets":
        _follow(connection, load)
    keep_copies(connection, table, "rowid in (select stored_row from moved)", load)
    connection.execute(
        f'update "{table.name}" as stored set {name} = new, source_row = place, load = $load from moved where stored.rowid = stored_row',
        {"load": load},
    )
    connection.execute(
        f'delete from "{table.name}" where rowid in (select stored_row from moved where new is null)'
    )


def _follow(connection, load):
    """Let stored work name the reports as they are called now; what answered one that is gone is of its slot."""
    keep_copies(connection, TABLE["repairs"], "ticket in (select old from moved)", load)
    connection.execute(
        """
        with named as (select old, new, desk, position from moved join tickets on tickets.rowid = stored_row)
        update repairs set ticket = new, load = $load,
            position = if(new is null and serial is null and repairs.desk is null, named.position, repairs.position),
            desk = if(new is null and serial is null, coalesce(repairs.desk, named.desk), repairs.desk)
        from named where repairs.ticket = old
        """,
        {"load": load},
    )


def _told(label, moved):
    """What became of rows that do not stand where they stood, in sentences."""
    gone = [one for one, new in moved if new is None]
    if count := len(moved) - len(gone):
        rows, go_on = ("1 row stands", "counts") if count == 1 else (f"{count:,} rows stand", "count")
        yield f"{label}: {rows} in another place than when it was loaded before, and {go_on} as before."
    if gone:
        rows = "1 row is" if len(gone) == 1 else f"{len(gone):,} rows are"
        yield f"{label}: {rows} no longer in it and taken out, {'' if len(gone) == 1 else 'such as '}{gone[0].name} ({gone[0].head})."
