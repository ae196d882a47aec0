"""Sheets into temporary tables of checked rows, batch by batch: whole columns at a time, little memory."""

from dataclasses import dataclass, replace
from functools import partial

from maintkit.actions import put_actions

from .cells import MARKS, cells_of
from .checks import checked_sql, declared_moment, repeated_rows, row_rules, take_out_broken
from .columns import SOURCE_COLUMNS, SQL_TYPE
from .days import moment_of
from .durations import minutes_of, read_two_ways, time_of
from .errors import TurnedAway
from .folding import fold_desk
from .lookups import meaning_of
from .mapping import FILE_NAME
from .row_above import as_meant
from .sheets import batches

MOST_STRANGE = 100_000  # days of a column in a batch that are read one by one
BLANKS = " \t\r\n\u00a0\u2007\u202f\ufeff"


@dataclass(frozen=True)
class Prepared:
    """What reading a sheet gave.

    Rows that are not blank (also those turned away), blank rows, rows turned away, cells not understood in rows that are
    kept, counts of the cells, which ``finish`` gives, rows that mapping.toml leaves out, and the numbers of those that tell an earlier report on.
    """

    rows_in: int
    blank_rows: int
    turned_away: tuple[TurnedAway, ...]
    not_understood: tuple[TurnedAway, ...] = ()
    cells: "tuple[CellCount, ...]" = ()
    left_out: int = 0
    going_on: tuple[int, ...] = ()


@dataclass(frozen=True)
class CellCount:
    """What became of the cells of one column of one file: all of them in the rows kept, blank, not understood."""

    file: str
    table: str
    column: str
    cells: int
    blank: int
    not_understood: int


def ready_name(table) -> str:
    """The quoted name of the temporary table that holds a table's checked rows."""
    return f'"ready {table.name}"'


def prepare(connection, plan, rules, *, watch=None) -> Prepared:
    """Read and check a planned sheet into its table's temporary ready table: typed columns, and where each row stands.

    Cells are trimmed at both ends and an empty one becomes null. ``watch(rows)`` is called after each batch.
    """
    rows_in = blank_rows = left_out = 0
    turned_away, not_understood, going_on = [], [], []
    columns = [f'"{column.name}" {SQL_TYPE[column.kind]}' for column in plan.table.columns]
    columns += [f"{name} {kind}" for name, kind in SOURCE_COLUMNS.items() if name != "load"]
    connection.execute(f"create temp table if not exists {ready_name(plan.table)} ({', '.join(columns)})")
    for batch in batches(
        plan.sheet, plan.header, plan.unread, partial(as_meant, plan=plan), blank=plan.mapping.once is True
    ):
        rows_in += len(batch.rows) + len(batch.turned_away) + batch.left_out
        left_out += batch.left_out
        blank_rows += batch.blank_rows
        turned_away += batch.turned_away
        if batch.rows:
            read = cells_of(plan, batch)
            rows_in += read.more - read.of_other_tables
            left_out += read.left_out
            away, cells = _take_in(connection, plan, rules, read)
            turned_away += [*read.turned_away, *away]
            going_on += read.going_on
            not_understood += cells
        if watch:
            watch(len(batch.rows))
    turned_away.sort(key=lambda one: one.row)
    return Prepared(
        rows_in, blank_rows, tuple(turned_away), tuple(not_understood), (), left_out, tuple(going_on)
    )


def finish(connection, table, plans) -> tuple[list[TurnedAway], list[CellCount]]:
    """Take repeated rows out of a ready table, count its cells, and give blank ones their documented default."""
    headings = {plan.sheet.label: plan.heading for plan in plans}
    repeated = repeated_rows(
        connection, table, ready_name(table), lambda file, column: headings[file](column)
    )
    counts = _cell_counts(connection, table, plans)
    _fill_defaults(connection, table)
    return repeated, counts


def _take_in(connection, plan, rules, read):
    """Append the good rows of a batch to the ready table; the rows turned away, and the cells not understood."""
    _stage(connection, plan, read)
    _put_site_words(connection, plan)
    _clear_marks(connection, plan)
    told, doubtful = _put_meanings(connection, plan)
    _accept_spellings(connection, rules)
    connection.execute(*checked_sql(plan, read.columns, told))
    needed = {column.name for column in plan.table.columns if column.required}
    # A column without cells breaks no rule but that it must be filled.
    rules = [rule for rule in rules if rule.column in needed.union(read.columns)]
    turned_away, cells = take_out_broken(connection, plan, rules)
    by_row = {}
    for one in cells:
        by_row.setdefault(one.row, one)
    homeless, _ = take_out_broken(connection, plan, row_rules(plan))
    turned_away += [by_row.get(one.row, one) for one in homeless]  # what was not understood is why
    gone = {one.row for one in homeless}
    cells = [one for one in cells if one.row not in gone] + _told_by_no_word(connection, plan)
    names = ", ".join(f'"{column.name}"' for column in plan.table.columns)
    connection.execute(
        f"insert into {ready_name(plan.table)} select {names}, $file, source_row, "
        f"{_as_written(plan, cells, read.beside, doubtful)} from checked",
        {"file": plan.sheet.label} | {f"{name}_doubtful": list(texts) for name, texts in doubtful.items()},
    )
    return turned_away, cells


def _stage(connection, plan, read):
    arrays = read.columns | {f"beside {at}": cells for at, cells in enumerate(read.beside)}
    arrays |= {"source_row": read.numbers, "shares": read.shares, "pieces": read.pieces}
    names = [column.name for column in plan.table.columns]
    names += [f"beside {at}" for at in range(len(plan.unplaced))]
    cells = [
        f'{_trimmed(name)} as "{name}"' if name in arrays else f'null::varchar as "{name}"' for name in names
    ]
    cells += [f'{_trimmed(name)} as "{name} word"' for name in plan.made_blank]
    select_arrays(
        connection,
        f"create or replace temp table staged as select {', '.join(cells)}, source_row, shares, pieces from incoming",
        arrays,
        blanks=BLANKS,
    )


def _trimmed(name):
    """SQL that trims a cell at both ends and makes an empty one null; it looks first, for trimming is slow."""
    at_an_end = f'contains($blanks, left("{name}", 1)) or contains($blanks, right("{name}", 1))'
    return f"""nullif(if({at_an_end}, trim("{name}", $blanks), "{name}"), '')"""


def _as_written(plan, cells, beside, doubtful):
    """SQL for the cells of a row that are in none of its columns or doubtful in one, by column or heading; null for none."""
    broken = {one.column for one in cells}
    written = [
        (name, f'if("{name}" is null, "{name} text", null)')
        for name in plan.index
        if plan.heading(name) in broken
    ]
    written += [
        (name, f'if(list_contains(${name}_doubtful, "{name} text"), "{name} text", null)')
        for name in doubtful
    ]
    written += [
        (f"{plan.heading(name)} as written".replace("'", "''"), f'if("{name}" is null, "{name} word", null)')
        for name in plan.made_blank
    ]
    written += [
        (heading.replace("'", "''"), f'"beside {at}"')
        for at, heading in enumerate(plan.unplaced)
        if any(beside[at])
    ]
    kept = [f"{{'name': '{name}', 'cell': {cell}}}" for name, cell in written]
    if not kept:
        return "null"
    filled = f"list_filter([{', '.join(kept)}], lambda one: one.cell is not null)"
    return f"if(len({filled}) > 0, map_from_entries({filled}), null)"


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
            f'update staged set "{name}" = nullif($meanings[list_position($words, lower("{name}"))], \'\') '
            f'where list_contains($words, lower("{name}"))',
            {"words": list(words), "meanings": list(words.values())},
        )


def _put_meanings(connection, plan):
    """Make the temporary table ``meanings``: each duration and time of day as it is written in the batch, and its value.

    Returns the columns it says anything of, and the durations that can be read two ways, by column.
    """
    doubtful, given = {}, {*plan.index, *plan.mapping.lookups}
    rows = _days(connection, plan)
    for column in plan.table.columns:
        if column.kind not in ("minutes", "clock") or column.name not in given:
            continue
        words = connection.execute(
            f'select distinct "{column.name}" from staged where "{column.name}" is not null order by 1'
        ).fetchall()
        words = [word for (word,) in words]
        if column.kind == "clock":
            rows += [(column.name, word, None, time_of(word), None) for word in words]
            continue
        heading, told = plan.heading(column.name), plan.mapping
        in_hours, with_point = heading in told.hours, heading in told.hours_and_minutes
        said = [minutes_of(word, in_hours=in_hours, with_point=with_point) for word in words]
        rows += [(column.name, word, minutes, None, None) for word, minutes in zip(words, said, strict=True)]
        says_minutes = "min" in heading.casefold()
        two_ways = read_two_ways(words, in_hours=in_hours, says_minutes=says_minutes)
        if two_ways and not with_point:
            doubtful[column.name] = two_ways
    if rows:
        connection.execute(
            "create or replace temp table meanings "
            "(column_name varchar, word varchar, minutes double, time_of_day time, moment timestamp)"
        )
        # One list a column: an insert a row is slow.
        connection.execute(
            f"insert into meanings select {', '.join(['unnest(?)'] * len(rows[0]))}",
            [list(column) for column in zip(*rows, strict=True)],
        )
    return {name for name, *_ in rows}, doubtful


def _days(connection, plan):
    """A row of ``meanings`` for each day that the declared formats do not read and that is understood all the same."""
    dialect, rows = plan.sheet.dialect, []
    for column in plan.table.columns:
        if column.kind == "date" and column.name in plan.index:
            moment, parameters = declared_moment(column, dialect)
            words = connection.execute(
                f'select distinct "{column.name}" from staged where "{column.name}" is not null and {moment} is null '
                f"order by 1 limit {MOST_STRANGE}",
                parameters,
            ).fetchall()
            moments = ((word, moment_of(word, dialect.date_formats, plan.sheet.year)) for (word,) in words)
            rows += [(column.name, word, None, None, day) for word, day in moments if day]
    return rows


def _clear_marks(connection, plan):
    """Make cells blank that hold a mark for nothing."""
    is_mark = {
        name: f'length("{name}") < 5 and list_contains($marks, lower("{name}"))' for name in plan.index
    }
    there = connection.execute(
        f"select {', '.join(f'bool_or({one})' for one in is_mark.values())} from staged", {"marks": MARKS}
    ).fetchall()[0]
    for name in (name for name, found in zip(is_mark, there, strict=True) if found):
        connection.execute(f'update staged set "{name}" = null where {is_mark[name]}', {"marks": MARKS})


def _accept_spellings(connection, rules):
    """Let a desk be known in any spelling that is one with a known one."""
    for rule in rules:
        if rule.known and rule.column == "desk":
            folds = {fold_desk(name) for name in rule.known}
            words = connection.execute("select distinct desk from staged where desk is not null").fetchall()
            rule.limit += [word for (word,) in words if word not in rule.limit and fold_desk(word) in folds]


def _told_by_no_word(connection, plan):
    """The cells of free text of which a lookup by known words made what it makes of all others."""
    found = []
    for name, lookup, heading, beside in _free_texts(plan):
        place = f"[{plan.table.name}.lookup.{name}.words]"
        what = "kind of work" if name == "action" else name
        rule = f"These words name no {what} that is known, so the row counts as {lookup.otherwise!r}."
        known = ", ".join(plan.table.column(name).choices[:5])
        words = f"If one of {known} or the like fits better" if known else "If another word fits better"
        remedy = f"{words}, write it in {FILE_NAME} under {place} and load the file again; else leave it."
        rows = connection.execute(
            f"select source_row, {beside} from checked where {_is_untold(name, beside)} order by source_row",
            {"otherwise": lookup.otherwise, "words": _told_so(connection, "checked", name, beside, lookup)},
        ).fetchall()
        found += [TurnedAway(plan.sheet.label, row, heading, text, rule, remedy) for row, text in rows]
    return found


def _free_texts(plan):
    """Each column that a lookup tells by known words: its name, the lookup, its heading there, and SQL for its cell beside the row."""
    for name, lookup in plan.mapping.lookups.items():
        for at, heading in enumerate(plan.unplaced):
            if lookup.known_as and lookup.otherwise and heading.casefold() == lookup.heading.casefold():
                yield name, lookup, heading, f'"beside {at}"'


def _told_so(connection, rows, name, text, lookup, **given):
    """The cells, folded, of which a lookup's own words or known ones tell what it makes of all others too."""
    texts = connection.execute(
        f'select distinct {_folded(text)} from {rows} where "{name}" = $otherwise and {text} is not null',
        {"otherwise": lookup.otherwise, **given},
    ).fetchall()
    by_words = replace(lookup, otherwise="")
    return [*lookup.words, *(one for (one,) in texts if meaning_of(one, by_words))]


def _folded(text):
    return f"replace(lower({text}), 'ß', 'ss')"


def _is_untold(name, text):
    return f'"{name}" = $otherwise and {text} is not null and not list_contains($words, {_folded(text)})'


def _cell_counts(connection, table, plans):
    """What became of the cells of every column that a file has, in the rows kept."""
    counts = []
    for plan in plans:
        names = list(plan.index)
        asked = ", ".join(
            f'count(*) filter ("{name}" is null), '
            f"count(*) filter (\"{name}\" is null and as_written['{name}'] is not null)"
            for name in names
        )
        cells, *pairs = connection.execute(
            f"select count(*), {asked} from {ready_name(table)} where source_file = $file",
            {"file": plan.sheet.label},
        ).fetchall()[0]
        counts += [
            CellCount(plan.sheet.label, table.name, name, cells, empty - lost, lost)
            for name, empty, lost in zip(names, pairs[::2], pairs[1::2], strict=True)
        ]
        for name, lookup, heading, _ in _free_texts(plan):
            text = "as_written[$heading]"
            of_file = f"(from {ready_name(table)} where source_file = $file)"
            given = {"heading": heading, "file": plan.sheet.label}
            told = {
                "otherwise": lookup.otherwise,
                "words": _told_so(connection, of_file, name, text, lookup, **given),
            }
            empty, lost = connection.execute(
                f"select count(*) filter ({text} is null), count(*) filter ({_is_untold(name, text)}) from {of_file}",
                told | given,
            ).fetchall()[0]
            counts.append(CellCount(plan.sheet.label, table.name, name, cells, empty, lost))
    return counts


def _fill_defaults(connection, table):
    """Give blank cells of the ready table their documented default; a blank planned follows the action.

    It stays blank where work that is planned as a rule names a ticket: its parts were renewed by plan, and it answers a fault.
    """
    ready = ready_name(table)
    for column in table.columns:
        if column.default is not None or column.default_from:
            given = f'"{column.default_from}"' if column.default_from else "$default"
            connection.execute(
                f'update {ready} set "{column.name}" = {given} where "{column.name}" is null',
                {} if column.default_from else {"default": column.default},
            )
    if table.name == "repairs":
        put_actions(connection)
        connection.execute(
            f"update {ready} as ready set planned = if(actions.planned, 'yes', 'no') from actions "
            "where ready.planned is null and actions.action = ready.action "
            "and not (actions.planned and ready.ticket is not null)"
        )


def clear_staging(connection):
    """Drop every temporary table of staging."""
    names = connection.execute(
        "select table_name from duckdb_tables() where temporary and (table_name like 'ready %' "
        "or table_name in ('staged', 'checked', 'fated', 'meanings', 'begun', 'spelled', 'moved', 'actions')) order by table_name"
    ).fetchall()
    for (name,) in names:
        connection.execute(f'drop table temp."{name}"')
