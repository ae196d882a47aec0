"""Desks where none are written down: drafted from the entries, each from its first, and said so."""

from maintkit.hours import HOURS_PER_WEEK

DRAFTED = "(drafted)"  # stands where the file of a row stands


def draft_desks(connection, load: int) -> tuple[str, ...]:
    """Write a desk for each name in the entries where no desk is written down, and say what was drafted.

    A drafted desk's records begin with its first entry of complaint or work: a module may have sat there long before anything
    was written down. Where a desk has none, they begin with the first of any desk. It gives way as soon as desks are loaded; slots need not be
    drafted, for every slot with an entry is one. The sentences are kept with the load, in the table ``drafted``.
    """
    connection.execute(f"delete from desks where source_file = '{DRAFTED}'")
    connection.execute("delete from drafted where load = $load", {"load": load})
    if not connection.execute("select 1 from desks limit 1").fetchall():
        connection.execute(
            "insert into desks (desk, family, powered_hours_per_week, records_from, source_file, load) "
            "with entries as (select desk, raised_on as day, true as logged from tickets "
            "union all select desk, done_on, true from repairs union all select desk, fitted_on, false from fitments) "
            "select desk, desk, $hours, coalesce(min(day) filter (logged), "
            "greatest(min(day), (select min(day) from entries where logged))), "
            f"'{DRAFTED}', $load from entries where desk is not null group by desk order by desk",
            {"load": load, "hours": HOURS_PER_WEEK},
        )
    facts = (
        ("desks", f"from desks where source_file = '{DRAFTED}'", "each from its first entry"),
        (
            "positions",
            "from (select desk, position from tickets union select desk, position from repairs "
            "union select desk, position from modules) "
            "where position is not null and not exists (from positions) and not exists (from fitments)",
            "each that an entry names",
        ),
    )
    said = []
    for table, rows, how in facts:
        count = connection.execute(f"select count(*) {rows}").fetchall()[0][0]
        if count:
            connection.execute(
                "insert into drafted values ($load, $table, $count, $how)",
                {"load": load, "table": table, "count": count, "how": how},
            )
            said.append(
                f"No {table} are written down, so {count:,} {'is' if count == 1 else 'are'} drafted from the entries: {how}."
            )
    return tuple(said)
