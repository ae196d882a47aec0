"""What nobody wrote down, drafted and said so: desks from the entries, each from its first; kinds of parts from their names."""

from collections import defaultdict

from maintkit.hours import HOURS_PER_WEEK

from .desks_told import DeskTold
from .errors import MappingError
from .known_words.part_kinds import kind_of_part
from .known_words.words import is_wholly
from .spelling import KEY

DRAFTED = "(drafted)"  # stands where the file of a row stands
NO_FAMILY = "not recorded"  # of a module of which no desk tells its family
WHOLE_DESK = "(whole desk)"  # stands where a slot stands, for what is of a desk and names none
BY_CHANCE = (
    0.05  # chance of its silence from which a desk is taken to have been there: common practice, no source
)
# Of ``told`` (desk, day, re_cap) what shows that faults were being logged: re-caps may be listed from years before, and do so only
# where there is nothing else.
LOGGED = "select desk, day from told where not re_cap or (select bool_and(re_cap) from told)"
# From these ``entries`` the day on which the records of each desk begin: that of the first entry of any, or its own where so long a
# silence before it would be beyond chance. The days with entries after its first lie anywhere between that of the book and the last
# with the chance (last - own) / (last - first) each, were it there all along (a Poisson process given its number).
BEGUN = f"""
    select desk, if(pow(date_diff('day', min(day)::date, last) / greatest(date_diff('day', first, last), 1),
                        count(distinct day::date) - 1) < {BY_CHANCE}, min(day)::date, first) as day
    from entries, (select min(day)::date as first, max(day)::date as last from entries)
    where desk is not null group by desk, first, last
"""
MOSTLY = 0.5  # share of the slots named of a desk that a list of modules has, from which it lists its slots: own choice
MOST_NAMED = 5  # names of a kind that are said; records.txt has them all
MOST_DESKS_NAMED = 12
# Slots that entries or modules name, but for those of desks of which a list of modules has most slots named, and some without an entry: that
# is a list of the slots of its desk.
UNLISTED = f"""
    from (
        select *
        from (
            select coalesce(desk, (select min(desk) from desks having count(*) = 1)) as desk, position,
                   bool_or(is_listed) as is_listed, bool_or(has_entry) as has_entry
            from (select desk, position, false as is_listed, true as has_entry from tickets
                  union select coalesce(repairs.desk, tickets.desk), repairs.position, false, true
                  from repairs left join tickets using (ticket) where "where" is distinct from 'rail'
                  union select desk, position, source_file is distinct from '{DRAFTED}', false from modules)
            where position is not null
            group by 1, 2
        )
        qualify avg(is_listed::integer) over (partition by desk) < {MOSTLY} or bool_and(has_entry) over (partition by desk)
    )
"""
KINDS = "each of the kind that its name tells: "


def is_whole_desk(position: str) -> bool:
    """Whether a slot is none, but what stands for a whole desk.

    Examples
    --------
    >>> [is_whole_desk(slot) for slot in (WHOLE_DESK, "all", "Whole desk", "12", "group 1", "PSU")]
    [True, True, True, False, False, False]
    """
    return position == WHOLE_DESK or is_wholly("whole_slot", position)


def take_out_drafted(connection) -> dict[str, DeskTold]:
    """Take out what earlier loads drafted, so that what is written down finds its place free; returns what was told of its desks."""
    rows = connection.execute(
        "select desk, coupling, powered_hours_per_week from desks where source_file = $drafted "
        "and (coupling is not null or powered_hours_per_week <> $hours)",
        {"drafted": DRAFTED, "hours": HOURS_PER_WEEK},
    ).fetchall()
    for table in ("desks", "modules", "part_types"):
        connection.execute(f"delete from {table} where source_file = '{DRAFTED}'")
    return {desk: DeskTold(coupling, hours) for desk, coupling, hours in rows}


def draft_missing(connection, load: int, before: dict[str, DeskTold]) -> tuple[str, ...]:
    """Draft desks, slots, modules and kinds of parts that are not written down, and say which; ``take_out_drafted`` goes before, and told
    what was known of desks ``before``.

    The sentences are kept with the load, in the table ``drafted``.
    """
    said = _draft_desks(connection, load)
    _write_told(connection, before.items())
    return (*said, *_draft_modules(connection, load), *_draft_kinds(connection, load))


def _draft_desks(connection, load):
    """Write a desk for each name in the entries where no desk is written down, and say what was drafted.

    A drafted desk's records begin with the first complaint or work of any desk, or with its own where that is much later (``BEGUN``): a
    module may have sat there long before anything was written down. Re-caps, which may be listed from before, show no log of faults, but
    where there is nothing else. It gives way as soon as desks are loaded; slots need not be
    drafted, for every slot with an entry is one.
    """
    connection.execute("delete from drafted where load = $load", {"load": load})
    if not connection.execute("select 1 from desks limit 1").fetchall():
        connection.execute(
            "insert into desks (desk, family, powered_hours_per_week, records_from, source_file, load) "
            "with told as (select desk, raised_on as day, false as re_cap from tickets "
            "union all select desk, done_on, coalesce(action = 're-cap', false) from repairs), "
            f"entries as ({LOGGED}), "
            f"begun as ({BEGUN}), known as (select desk, min(day)::date as day from "
            "(select desk, fitted_on as day from fitments union all select desk, day from told where re_cap) group by desk) "
            "select desk, desk, $hours, coalesce(begun.day, greatest(known.day, (select min(day)::date from entries))), "
            f"'{DRAFTED}', $load from begun full join known using (desk) where desk is not null order by desk",
            {"load": load, "hours": HOURS_PER_WEEK},
        )
    facts = (
        (
            "desks",
            f"from desks where source_file = '{DRAFTED}'",
            "each from the first entry of any, or its own where that is much later",
        ),
        (
            "positions",
            f"{UNLISTED} "
            "where position is not null and desk is not null and not exists (from positions) and (select count(removed_on) from fitments) = 0 "
            "and (desk, position) not in (select desk, position from fitments)",
            "each that an entry names",
        ),
    )
    said = []
    for table, rows, how in facts:
        count = connection.execute(f"select count(*) {rows}").fetchall()[0][0]
        if count:
            _note(connection, load, table, count, how)
            named = _names_of_desks(connection) if table == "desks" else ""
            said.append(_said_of(table, count, how + named))
    return tuple(said)


def tell_of_desks(connection, told: dict[str, DeskTold]) -> None:
    """Write what mapping.toml says of desks into those that were drafted; a table of desks has the last word.

    Raises
    ------
    MappingError
        Where no desk is called so.
    """
    names = [name for (name,) in connection.execute("select desk from desks order by desk").fetchall()]
    folded = {name.casefold(): name for name in names}
    if strange := ", ".join(name for name in told if name.casefold() not in folded):
        raise MappingError(
            f"mapping.toml tells the coupling style or hours of {strange}, and no desk is called so. There are "
            f"{', '.join(names[:MOST_DESKS_NAMED])}{' and others' if len(names) > MOST_DESKS_NAMED else ''}."
        )
    _write_told(connection, ((folded[name.casefold()], one) for name, one in told.items()))


def _write_told(connection, told):
    for desk, one in told:
        connection.execute(
            "update desks set coupling = coalesce($coupling, coupling), "
            "powered_hours_per_week = coalesce($hours, powered_hours_per_week) where desk = $desk and source_file = $drafted",
            {"desk": desk, "coupling": one.coupling, "hours": one.hours, "drafted": DRAFTED},
        )


def _draft_modules(connection, load):
    """Write a module for each serial that work, a reading or the shelf names, where neither modules nor their stays are written down and some
    work names serial and slot.

    It sits in the slot that its last work names, but where that took it out or a later one names another module there.
    """
    if connection.execute("select serial from modules union select serial from fitments limit 1").fetchall():
        return ()
    count = connection.execute(
        "insert into modules (serial, family, module_type, desk, position, source_file) "
        "with named as (select serial, desk, position, action, done_on as day, source_row from repairs where serial is not null "
        "union all by name select serial, measured_on as day from readings "
        "union all by name select serial, shelf_in as day from shelf where serial is not null), "
        "told as (select serial, arg_max(desk, (day, source_row)) as desk from named group by serial), "
        "last_work as (from named where action is not null qualify row_number() over (partition by serial order by day desc, source_row desc) = 1), "
        "sits as (from last_work where desk is not null and position <> $whole_desk and action not in ('swap module', 'scrap') "
        "qualify row_number() over (partition by desk, position order by day desc, source_row desc) = 1) "
        "select serial, coalesce(desks.family, (select min(family) from desks having count(distinct family) = 1), $none), 'module', "
        f"sits.desk, sits.position, '{DRAFTED}' from told left join desks using (desk) left join sits using (serial) "
        "where exists (from sits) order by serial",
        {"whole_desk": WHOLE_DESK, "none": NO_FAMILY},
    ).fetchall()[0][0]
    if not count:
        return ()
    how = "each serial that work, a reading or the shelf names, in the slot that its last work names"
    _note(connection, load, "modules", count, how)
    return (_said_of("modules", count, how),)


def _said_of(table, count, how):
    return f"No {table} are written down, so {count:,} {'is' if count == 1 else 'are'} drafted from the entries: {how}."


def _names_of_desks(connection):
    """The drafted desks by name, where one desk spelled two ways would be seen; '' where they are too many to read."""
    names = connection.execute("select desk from desks order by all").fetchall()
    return f" ({', '.join(name for (name,) in names)})" if len(names) <= MOST_DESKS_NAMED else ""


def _draft_kinds(connection, load):
    """Write a part type for each part whose kind its name tells and no row of part_types, and say which and what changes it."""
    places = KEY["part_type"].places
    named = " union ".join(f'select "{column}" as part_type from "{table}"' for table, column in places)
    names = connection.execute(
        f"select part_type from ({named}) anti join part_types using (part_type) where part_type is not null order by all"
    ).fetchall()
    by_kind = defaultdict(list)
    for (name,) in names:
        if kind := kind_of_part(name):
            by_kind[kind].append(name)
    if not by_kind:
        return ()
    rows = [(name, kind) for kind, of_kind in sorted(by_kind.items()) for name in of_kind]
    connection.execute(
        "insert into part_types (part_type, kind, source_file) "
        f"select unnest($names), unnest($kinds), '{DRAFTED}'",
        {"names": [name for name, _ in rows], "kinds": [kind for _, kind in rows]},
    )
    _note(connection, load, "part_types", len(rows), KINDS + _listed(by_kind, len(rows)))
    many = f"the kinds of {len(rows):,} parts, so their names do"
    parts = "the kind of 1 part, so its name does" if len(rows) == 1 else many
    return (
        f"No row of part_types tells {parts}: {_listed(by_kind, MOST_NAMED)}. Where one is wrong, or that of another part "
        f'is missing, add a row to part_types, in the columns part_type and kind, such as: "{rows[0][0]}", {rows[0][1]}.',
    )


def _listed(by_kind, most):
    more = {kind: f"; {len(names) - most:,} more" for kind, names in by_kind.items() if len(names) > most}
    return ", ".join(
        f"{kind} ({'; '.join(names[:most])}{more.get(kind, '')})" for kind, names in sorted(by_kind.items())
    )


def _note(connection, load, table, count, how):
    connection.execute(
        "insert into drafted values ($load, $table, $count, $how)",
        {"load": load, "table": table, "count": count, "how": how},
    )
