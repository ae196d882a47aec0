"""What a blank cell takes from other tables: a desk's first day, a module's family, the day of a count, a printed value."""

from datetime import date

from .cells import row_name
from .drafting import BEGUN, LOGGED, NO_FAMILY
from .known_words.part_kinds import microfarads
from .staging import ready_name
from .tables import TABLE
from .units import in_unit


def fill_from_other_tables(connection, ready: set[str], today: date) -> tuple[str, ...]:
    """Fill blank cells of the ready tables from what is being loaded and what the store holds, and say what was filled.

    ``ready`` names the tables being loaded; ``when_blank`` of a column says what it takes. Where the book has no entry at all
    ``today`` stands for its days.
    """
    said = []
    first = (
        f"(select day from ({BEGUN}) as begun where begun.desk = ready.desk), (select min(day) from entries)"
    )
    last = "(select max(day) from told)"
    if "desks" in ready and (count := _fill_days(connection, "desks", "records_from", first, ready, today)):
        desks = "1 desk has" if count == 1 else f"{count:,} desks have"
        said.append(
            f"{desks} no first day (records_from): records there begin with the first entry of any but re-caps, or the desk's own where that is much later."
        )
    if "stock" in ready and (count := _fill_days(connection, "stock", "counted_on", last, ready, today)):
        rows = "1 row of stock has" if count == 1 else f"{count:,} rows of stock have"
        said.append(f"{rows} no day (counted_on): taken to be of the last entry in the book.")
    if "readings" in ready and (count := _nominals(connection)):
        readings = "1 capacitance has" if count == 1 else f"{count:,} capacitances have"
        said.append(f"{readings} no printed value (nominal): taken from what the part is called.")
    if "modules" in ready and (count := _families(connection, ready)):
        modules = "1 module has" if count == 1 else f"{count:,} modules have"
        said.append(
            f"{modules} no family and nothing tells it: they are no spares for any desk. Fill in family."
        )
    return tuple(said)


def clear_reports_not_made(connection, plans, ready: set[str]) -> None:
    """Take its report off work that knows its place, where the report is the same row's and that row holds none, as planned work does.

    Work is of the one desk that all reports of its sheet are of.
    """
    desks = {
        plan.sheet.label: plan.mapping.same.get("desk") for plan in plans if plan.table.name == "tickets"
    }
    for plan in plans:
        if plan.table.name == "repairs" and "ticket" in plan.mapping.number_rows:
            connection.execute(
                f"update {_ready('repairs')} as ready set ticket = null, desk = if(serial is null, coalesce(desk, $desk), desk) "
                "where source_file = $file and starts_with(ticket, $name) "
                "and (serial is not null or (desk is not null and position is not null) or $desk is not null) "
                f"and ticket not in ({_both('tickets', ready, ('ticket',))})",
                {
                    "file": plan.sheet.label,
                    "name": row_name(plan.sheet),
                    "desk": desks.get(plan.sheet.label),
                },
            )


def _fill_days(connection, table, column, days, ready, today) -> int:
    """Fill the blank days of a column of the ready ``table``: the first of ``days``, in SQL over ``entries`` (all ``told`` but re-caps), that there is, else ``today``.

    Returns how many were blank.
    """
    return connection.execute(
        f"with told as ({_entries(ready)}), entries as ({LOGGED}) update {_ready(table)} as ready set {column} = coalesce({days}, $today) "
        f"where {column} is null",
        {"today": today},
    ).fetchall()[0][0]


def _nominals(connection) -> int:
    """Fill in the printed value of capacitances from the names of their parts; how many were."""
    readings = _ready("readings")
    asked = connection.execute(
        f"select distinct part_type, unit from {readings} where measure = 'capacitance' and nominal is null order by all"
    ).fetchall()
    told = [
        (name, unit, in_unit(f"{size:.12g} µF", unit)) for name, unit in asked if (size := microfarads(name))
    ]
    filled = 0
    for name, unit, nominal in told:
        filled += connection.execute(
            f"update {readings} set nominal = try_cast($nominal as double) where measure = 'capacitance' and nominal is null "
            "and part_type = $name and unit = $unit and try_cast($nominal as double) is not null",
            {"nominal": nominal, "name": name, "unit": unit},
        ).fetchall()[0][0]
    return filled


def _ready(table):
    return ready_name(TABLE[table])


def _both(table, ready, columns):
    """SQL for some columns of a table's rows, those being loaded and those of the store."""
    names = ", ".join(f'"{name}"' for name in columns)
    stored = f'select {names} from "{table}"'
    return f"select {names} from {_ready(table)} union all {stored}" if table in ready else stored


def _entries(ready, stays=False):
    """SQL for the desk, serial and day of every complaint and work, and whether it is a re-cap, and of every stay where it is asked for."""
    of = {"tickets": ("desk", "raised_on"), "repairs": ("desk", "serial", "action", "done_on")}
    of |= {"fitments": ("desk", "serial", "fitted_on")} if stays else {}
    told = " union all by name ".join(
        f"select * rename ({columns[-1]} as day) from ({_both(table, ready, columns)})"
        for table, columns in of.items()
    )
    return f"select *, coalesce(action = 're-cap', false) as re_cap from ({told})"


def _families(connection, ready) -> int:
    """Fill in the family of modules: of its desk today; of the desk of its last stay or work; of the desk it is listed under; of the
    one family there is of its type, or at all. Returns how many are left."""
    modules = _ready("modules")
    connection.execute(f"""
        with entries as ({_entries(ready, stays=True)}),
        last_desk as (select serial, arg_max(desk, day) as desk from entries where serial is not null group by serial),
        of_desk as (
            select desk, any_value(family) as family from (
                select desk, coalesce(family, desk) as family from ({_both("desks", ready, ("desk", "family"))})
            ) group by desk
        ),
        told as (
            -- a spare is listed under the desk that it fits
            select modules.serial, coalesce(
                       if(position is null, null, modules.desk), last_desk.desk,
                       if(modules.desk in (select desk from entries), modules.desk, null)) as desk
            from {modules} as modules left join last_desk using (serial)
            where family is null
        )
        update {modules} as ready set family = coalesce(of_desk.family, told.desk)
        from told left join of_desk on of_desk.desk = told.desk
        where ready.serial = told.serial and ready.family is null
    """)
    for same in ("known.module_type is not distinct from ready.module_type", "true"):
        connection.execute(
            f"""
            with known as ({_both("modules", ready, ("family", "module_type"))})
            update {modules} as ready set family = (
                select min(family) from known where family <> $none and {same} having count(distinct family) = 1)
            where family is null
        """,
            {"none": NO_FAMILY},
        )
    return connection.execute(
        f"update {modules} set family = $none where family is null", {"none": NO_FAMILY}
    ).fetchall()[0][0]
