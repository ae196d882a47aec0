"""The rules one row can break, as SQL over whole staged tables, generated from the data dictionary."""

from calendar import monthrange
from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from difflib import SequenceMatcher
from functools import lru_cache

from .columns import SQL_TYPE
from .days import NO_YEAR, month_and_year
from .errors import TurnedAway
from .folding import look_alike
from .mapping import FILE_NAME, nearest
from .row_above import month_of, period_of, year_of
from .sheets import LOAD_AGAIN

ISO = "%Y-%m-%d"
CELL_AGAIN = "and load the file again; the row is kept without this cell."
REPEATS = "has it already."  # the end of a rule
A_LITTLE_ALIKE = 0.45  # from which a known name is told as the nearest
SOME_NAMES = 5
EARLIEST = date(1900, 1, 1)
ISO_MOMENT = r"\d{4}-\d{2}-\d{2}([ T]\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:?\d{2})?)?"
ZONE = r"(Z|[+-]\d{2}:?\d{2})$"  # the time is taken as it is written
ERRORS = (
    "?", "??", "#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#NUM!", "#SPILL!", "#CALC!", "#NV", "#BEZUG!", "#WERT!",
)  # fmt: skip
MOST = 1e9  # of any number without a limit of its own: what sums and squares can still bear
NUMBER = r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?"


@dataclass
class Rule:
    """One thing that can be wrong: SQL that is true where it is, and the words for it.

    ``limit`` is the value of ``$limit`` in it, ``known`` are the words that the cell may hold; ``costs_cell`` is true where it
    costs the cell alone, for the row can do without it.
    """

    broken: str
    rule: str
    remedy: str
    limit: object = None
    known: tuple[str, ...] = ()
    column: str = ""
    costs_cell: bool = False


def checked_sql(plan, filled, told) -> tuple[str, dict]:
    """SQL making the temporary table ``checked``: each column typed, its text beside it as ``"column text"``.

    Only columns in ``filled`` have cells to be read; the others are null. ``put_meanings`` found meanings of those in ``told``.
    """
    cells, parameters = [], {}
    times = {column.time_in: column for column in plan.table.columns if column.time_in}
    for column in plan.table.columns:
        cell, more = f"null::{SQL_TYPE[column.kind]}", {}
        if column.name in filled:
            cell, more = _typed(column, plan.mapping.dialect, told)
        if column.name in times:
            moment, of_moment = _moment(times[column.name], plan.mapping.dialect, told)
            cell, more = f"coalesce({cell}, nullif({moment}::time, time '00:00:00'))", more | of_moment
        if column.shared:  # of the parts each slot has a whole number, and of a list each kind its own where the list says it
            is_listed = column.kind == "whole" and column.name not in plan.index
            over = "shares" if is_listed else "(shares * pieces)"
            cell = f"ceil({cell} / {over})::bigint" if column.kind == "whole" else f"{cell} / {over}"
        cells.append(f'{cell} as "{column.name}", "{column.name}" as "{column.name} text"')
        parameters |= more
    beside = "".join(f', "beside {at}"' for at in range(len(plan.unplaced)))
    beside += "".join(f', "{name} word"' for name in plan.made_blank)
    return (
        f"create or replace temp table checked as select {', '.join(cells)}{beside}, source_row from staged",
        parameters,
    )


def _typed(column, dialect, told):
    name = f'"{column.name}"'
    if column.kind == "choice":
        parameter = f"choices_{column.name}"
        return f"case when list_contains(${parameter}, lower({name})) then lower({name}) end", {
            parameter: list(column.choices)
        }
    if column.kind == "date":
        moment, parameters = _moment(column, dialect, told)
        return f"{moment}::date", parameters
    if column.kind in ("clock", "minutes"):
        what = "time_of_day" if column.kind == "clock" else "minutes"
        return f"{_meaning(column, what, told)}::{SQL_TYPE[column.kind]}", {}
    if column.kind in ("number", "whole"):
        return _number(column, dialect)
    return f"case when length({name}) > 8 or not list_contains($errors, upper({name})) then {name} end", {
        "errors": list(ERRORS)
    }


def _meaning(column, what, told):
    """What the words of a cell mean, as ``put_meanings`` found out."""
    if column.name not in told:
        return "null"
    return f"(select any_value({what}) from meanings where column_name = '{column.name}' and word = staged.\"{column.name}\")"


def _number(column, dialect):
    name = f'"{column.name}"'
    plain = f"replace({name}, ',', '.')" if dialect.decimal == "," else name
    shape = rf"{NUMBER}" if dialect.decimal == "." else NUMBER.replace(r"\.", ",")
    value = f"try_cast({plain} as double)"
    whole = f" and {value} = trunc({value}) and abs({value}) < 9e15" if column.kind == "whole" else ""
    return (
        f"case when regexp_full_match({name}, $number) and isfinite({value}){whole} "
        f"then {value}::{SQL_TYPE[column.kind]} end",
        {"number": shape},
    )


def _moment(column, dialect, told):
    """SQL for the date, or date and time, of a cell, as declared or as ``put_meanings`` found it out."""
    moment, parameters = declared_moment(column, dialect)
    if column.may_be_short:
        moment += f", try_strptime(\"{column.name}\", ['%Y', '%Y-%m'])"
    return f"coalesce({moment}, {_meaning(column, 'moment', told)})", parameters


def declared_moment(column, dialect) -> tuple[str, dict]:
    """SQL for the date, or date and time, of a cell: as declared, or as a spreadsheet's date and time."""
    name = f'"{column.name}"'
    declared = dialect.date_formats
    formats = [one for one in declared if one != ISO]
    formats += [f"{one} {clock}" for one in formats if "%H" not in one for clock in ("%H:%M", "%H:%M:%S")]
    iso = ISO_MOMENT if ISO in declared else ISO_MOMENT.replace("(", "", 1).removesuffix(")?")
    moment = f"case when regexp_full_match({name}, $iso) then try_cast(case when length({name}) > 15 then regexp_replace({name}, '{ZONE}', '') else {name} end as timestamp)"
    if not formats:
        return f"{moment} end", {"iso": iso}
    tried = f"try_strptime({name}, $formats)"
    return f"{moment} when year({tried}) > 99 then {tried} end", {"iso": iso, "formats": formats}


def rules(plan, desks: list[str] | None, today: date) -> list[Rule]:
    """Every rule of a table's columns in their order; ``desks`` are those known, None where none are written down."""
    found = []
    for column in plan.table.columns:
        again = LOAD_AGAIN if column.required else CELL_AGAIN
        for rule in _column_rules(column, plan, desks, today):
            rule.column, rule.costs_cell = column.name, not column.required
            rule.remedy += f" {again}"
            found.append(rule)
    return found


def row_rules(plan) -> list[Rule]:
    """The rules of whole rows, for rows whose cells are understood."""
    return [
        Rule(f"not ({one.holds})", one.rule, f"{one.remedy.rstrip('.')} {LOAD_AGAIN}", column=one.column)
        for one in plan.table.row_rules
    ]


def _column_rules(column, plan, desks, today):
    """The rules of a column, without its name and without what is to be done after the remedy."""
    name, text = f'"{column.name}"', f'"{column.name} text"'
    is_unread = f"{text} is not null and {name} is null"
    if column.required:
        yield Rule(f"{text} is null", "The cell must be filled in.", f"Fill it in ({column.meaning})")
    if column.kind == "date":
        yield from _days_of_a_month(plan, is_unread, text)
        yield Rule(
            f"{is_unread} and regexp_full_match({text}, $limit)",
            f'The day has no year, and nothing in {FILE_NAME} says which: year = 2025, year = "2024-09" for the twelve months from there, or year = "name" where the sheet\'s name says it.',
            "Say the year there or in the cell",
            NO_YEAR,
        )
    yield Rule(is_unread, *_reading_rule(column, plan), known=column.choices)
    unit = f" {column.unit}" if column.unit else ""
    correct = "Correct the cell"
    if column.low is not None:
        yield Rule(f"{name} < $limit", f"It must be at least {column.low:g}{unit}.", correct, column.low)
    if column.high is not None or column.kind in ("number", "whole", "minutes"):
        high = MOST if column.high is None else column.high
        size = name if column.low is not None else f"abs({name})"
        yield Rule(f"{size} > $limit", f"It must be at most {high:,.15g}{unit}.", correct, high)
    if column.kind == "date":
        yield Rule(f"{name} < $limit", "A date cannot lie before 1900.", "Correct the year", EARLIEST)
        if not column.may_be_ahead:
            yield Rule(
                f"{name} > $limit",
                f"The date lies after {today}, the last day these records can hold.",
                f"Correct the cell, or as_of in {FILE_NAME} or this machine's clock where that day is wrong,",
                today,
            )
    if column.refers_to == "desks.desk" and desks is not None:
        yield Rule(
            f"{name} is not null and not list_contains($limit, {name})",
            "No desk of that name is in the table desks.",
            "Correct the cell or the desk's own row, load desks with it,",
            desks,
            tuple(desks),
        )


def _days_of_a_month(plan, is_unread, text):
    """The rule of days that are bare numbers, where the name of the sheet says of which month."""
    period = period_of([], plan.sheet.title)[0] if plan.mapping.title_rows else ""
    if month := month_and_year(period):
        yield Rule(
            f"{is_unread} and regexp_full_match({text}, $limit)",
            f"The sheet {plan.sheet.title} is of {month:%B %Y}, which has {monthrange(month.year, month.month)[1]} days.",
            "Correct the cell",
            rf"\d\d? {month_of(period)} {year_of(period)}|(?:[[:alpha:]]+\.?,? )?\d\d",
        )


def _reading_rule(column, plan):
    """What a cell of a column must be like to be read, and what to do."""
    dialect, correct = plan.mapping.dialect, "Correct the cell"
    if column.kind == "date" and dialect.date_formats == (ISO,):
        short = ", YYYY-MM or YYYY" if column.may_be_short else ""
        return f"A date must exist and read YYYY-MM-DD{short}.", correct
    if column.kind == "date":
        example = " or ".join(date(2026, 3, 31).strftime(one) for one in dialect.date_formats)
        return f"A date must exist and read as declared in {FILE_NAME}: 31 March 2026 is {example}.", correct
    if column.kind == "choice":
        place = f"[{plan.table.name}.values.{column.name}]"
        remedy = f"{correct}, or map the word in {FILE_NAME} under {place},"
        return f"It must be one of: {', '.join(column.choices)}.", remedy
    if column.kind == "clock":
        return "A time of day must exist and read HH:MM, such as 14:35.", correct
    if column.kind == "minutes":
        return "A duration reads 90, 45 min, 1:30, 1h30 or 1,5 h.", correct
    if column.kind == "text":
        return "The cell holds a question mark or a spreadsheet error.", "Write what is meant"
    number = "A whole number" if column.kind == "whole" else "A number"
    point = "comma" if dialect.decimal == "," else "point"
    return (
        f"{number} has digits and at most one decimal {point}, no unit and no thousands mark.",
        correct,
    )


def take_out_broken(connection, plan, checks: list[Rule]) -> tuple[list[TurnedAway], list[TurnedAway]]:
    """Take every row out of ``checked`` that breaks a rule which costs the row, and make each other cell that breaks one blank.

    Gives the rows, each with the first such rule, and the cells, each with the first rule it breaks.
    """
    away, cells_lost, gone, blank = [], [], [], defaultdict(list)
    for place, row, broken, cells in _breaking(connection, plan, checks) if checks else ():
        first_of = {}
        for rule in broken:
            first_of.setdefault(rule.column, rule)
        costly = next((rule for rule in broken if not rule.costs_cell), None)
        if costly:
            gone.append(place)
            others = [plan.heading(name) for name in first_of if name != costly.column]
            more = f" The row has more to correct: {', '.join(others)}." if others else ""
            away.append(_turned_away(plan, costly, row, cells, more))
            continue
        for name in first_of:
            blank[name].append(place)
            cells_lost.append(_turned_away(plan, first_of[name], row, cells))
    these = "where rowid in (select unnest($rows))"
    if gone:
        connection.execute(f"delete from checked {these}", {"rows": gone})
    for name, places in blank.items():
        connection.execute(f'update checked set "{name}" = null {these}', {"rows": places})
    return away, cells_lost


def _breaking(connection, plan, checks):
    """Rows that break a rule: where, row number, all the rules it breaks, its texts."""
    told = [rule.broken.replace("$limit", f"$limit_{number}") for number, rule in enumerate(checks)]
    each = ", ".join(f"case when {broken} then {number} end" for number, broken in enumerate(told))
    names = [column.name for column in plan.table.columns]
    texts = ", ".join(f'"{name} text"' for name in names)
    rows = connection.execute(
        f"select rowid, source_row, list_filter([{each}], lambda number: number is not null) as numbers, {texts} "
        f"from checked where {' or '.join(f'({broken})' for broken in told)} order by rowid",
        {f"limit_{number}": rule.limit for number, rule in enumerate(checks) if rule.limit is not None},
    ).fetchall()
    for place, row, numbers, *cells in rows:
        yield place, row, [checks[number] for number in numbers], dict(zip(names, cells, strict=True))


def _turned_away(plan, rule, row, cells, more=""):
    found, remedy = cells[rule.column] or "", rule.remedy
    if rule.known and found:
        remedy = f"{_hint(found, rule.known, rule.rule)} {remedy}".lstrip()
    key = " + ".join(cells[name] or "" for name in plan.table.key)
    heading = plan.heading(rule.column, cells)
    return TurnedAway(plan.sheet.label, row, heading, found, rule.rule, remedy + more, key)


@lru_cache(10_000)
def _hint(found, known, rule):
    """What is known that is like what was found; where nothing is, the first names that are known, unless the rule lists them."""
    likest = nearest(found, known)[0]
    if SequenceMatcher(None, found.casefold(), likest.casefold()).ratio() >= A_LITTLE_ALIKE:
        return look_alike(found, likest) or f"The nearest is {likest!r}."
    if all(name in rule for name in known):
        return ""
    more = f" and {len(known) - SOME_NAMES} more" if len(known) > SOME_NAMES else ""
    return f"Known: {', '.join(map(repr, known[:SOME_NAMES]))}{more}."


def repeated_rows(connection, table, ready: str, heading) -> list[TurnedAway]:
    """Rows of a ready table whose key stands in an earlier row of this load; they are taken out of it.

    ``heading(file, column)`` is the column's name as that file has it.
    """
    key = ", ".join(f'"{name}"' for name in table.key)
    twice = f"from {ready} group by {key} having count(*) > 1"
    if not connection.execute(f"select 1 {twice} limit 1").fetchall():
        return []
    same_key = " and ".join(f'later."{name}" is not distinct from firsts."{name}"' for name in table.key)
    alike = " and ".join(
        f'later."{column.name}" is not distinct from first."{column.name}"' for column in table.columns
    )
    texts = ", ".join(f'later."{name}"::varchar' for name in table.key)
    rows = connection.execute(
        f"with firsts as (select {key}, min(rowid) as first_row {twice}) "
        f"select later.rowid, later.source_file, later.source_row, first.source_file, first.source_row, {alike}, {texts} "
        f"from firsts join {ready} as first on first.rowid = firsts.first_row join {ready} as later on {same_key} "
        "where later.rowid > firsts.first_row order by later.rowid"
    ).fetchall()
    connection.execute(
        f"delete from {ready} where rowid in (select unnest($rows))", {"rows": [row[0] for row in rows]}
    )
    return [_repeated(table, heading, *row[1:]) for row in rows]


def _repeated(table, heading, file, row, first_file, first_row, alike, *key):
    column = " + ".join(heading(file, name) for name in table.key)
    found = " + ".join(cell or "" for cell in key)
    other = first_file != file
    anew = f", or say in {FILE_NAME} that the numbers restart in each" if other else ""
    remedy = (
        "The two rows are alike in every cell; delete one of them."
        if alike
        else f"The two rows differ: keep the right one, or give one its own {heading(file, table.key[0])}{anew}, "
        f"{LOAD_AGAIN}"
    )
    rule = f"{first_file}, row {first_row}" if other else f"Row {first_row} of this file"
    return TurnedAway(file, row, column, found, f"{rule} {REPEATS}", remedy, found)
