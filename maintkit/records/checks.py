"""The rules one row can break, as SQL over whole staged tables, generated from the data dictionary."""

import re
from dataclasses import dataclass, field
from datetime import date

from .columns import SQL_TYPE
from .errors import TurnedAway
from .mapping import FILE_NAME, nearest
from .sheets import LOAD_AGAIN

ISO = "%Y-%m-%d"
EARLIEST = date(1900, 1, 1)
NUMBER = r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?"


@dataclass
class Rule:
    """One thing that can be wrong: SQL that is true where it is, and the words for it."""

    broken: str
    column: str
    rule: str
    remedy: str
    parameters: dict = field(default_factory=dict)
    known: tuple[str, ...] = ()


def checked_sql(plan) -> tuple[str, dict]:
    """SQL making the temporary table ``checked``: each column typed, its text beside it as ``"column text"``."""
    cells, parameters = [], {}
    for column in plan.table.columns:
        cell, more = _typed(column, plan.mapping.dialect)
        cells.append(f'{cell} as "{column.name}", "{column.name}" as "{column.name} text"')
        parameters |= more
    return (
        f"create or replace temp table checked as select {', '.join(cells)}, source_row from staged",
        parameters,
    )


def _typed(column, dialect):
    name = f'"{column.name}"'
    if column.kind == "choice":
        parameter = f"choices_{column.name}"
        return f"case when list_contains(${parameter}, lower({name})) then lower({name}) end", {
            parameter: list(column.choices)
        }
    if column.kind == "date":
        parsed = f"try_strptime({name}, $date_format)::date"
        if dialect.date_format != ISO:
            return parsed, {"date_format": dialect.date_format}
        return (
            f"case when regexp_full_match({name}, $iso) then {parsed} end",
            {"date_format": ISO, "iso": r"\d{4}-\d{2}-\d{2}"},
        )
    if column.kind in ("number", "minutes", "whole"):
        plain = f"replace({name}, ',', '.')" if dialect.decimal == "," else name
        shape = rf"{NUMBER}" if dialect.decimal == "." else NUMBER.replace(r"\.", ",")
        value = f"try_cast({plain} as double)"
        whole = f" and {value} = trunc({value}) and abs({value}) < 9e15" if column.kind == "whole" else ""
        return (
            f"case when regexp_full_match({name}, $number) and isfinite({value}){whole} "
            f"then {value}::{SQL_TYPE[column.kind]} end",
            {"number": shape},
        )
    if column.kind == "clock":
        return f"try_cast({name} as time)", {}
    return name, {}


def rules(plan, desks: list[str], today: date) -> list[Rule]:
    """Every rule of a table, in the order of its columns, then the rules of whole rows."""
    found = []
    for column in plan.table.columns:
        for rule in _column_rules(column, plan, desks, today):
            rule.parameters = {f"{name}_{len(found)}": value for name, value in rule.parameters.items()}
            rule.broken = rule.broken.replace("$limit", f"$limit_{len(found)}")
            found.append(rule)
    found += [
        Rule(f"not ({rule.holds})", rule.column, rule.rule, _again(rule.remedy))
        for rule in plan.table.row_rules
    ]
    return found


def _again(remedy):
    return f"{remedy.rstrip('.')} {LOAD_AGAIN}"


def _column_rules(column, plan, desks, today):
    name, text = f'"{column.name}"', f'"{column.name} text"'
    if column.required:
        yield Rule(
            f"{text} is null",
            column.name,
            "The cell must be filled in.",
            _again(f"Fill it in ({column.meaning})"),
        )
    if column.kind != "text":
        yield Rule(
            f"{text} is not null and {name} is null",
            column.name,
            *_reading_rule(column, plan),
            known=column.choices,
        )
    unit = f" {column.unit}" if column.unit else ""
    if column.low is not None:
        yield Rule(
            f"{name} < $limit",
            column.name,
            f"It must be at least {column.low:g}{unit}.",
            _again("Correct the cell"),
            {"limit": column.low},
        )
    if column.high is not None:
        yield Rule(
            f"{name} > $limit",
            column.name,
            f"It must be at most {column.high:g}{unit}.",
            _again("Correct the cell"),
            {"limit": column.high},
        )
    if column.kind == "date":
        yield Rule(
            f"{name} < $limit",
            column.name,
            "A date cannot lie before 1900.",
            _again("Correct the year"),
            {"limit": EARLIEST},
        )
        if not column.may_be_ahead:
            yield Rule(
                f"{name} > $limit",
                column.name,
                f"The date lies after {today}, the last day these records can hold.",
                _again(
                    f"Correct the cell, or as_of in {FILE_NAME} or this machine's clock where that day is wrong,"
                ),
                {"limit": today},
            )
    if column.refers_to == "desks.desk":
        yield Rule(
            f"{name} is not null and not list_contains($limit, {name})",
            column.name,
            "No desk of that name is in the table desks.",
            _again("Correct the cell or the desk's own row, load desks with it,"),
            {"limit": desks},
            tuple(desks),
        )


def _reading_rule(column, plan):
    if column.kind == "date":
        declared = plan.mapping.dialect.date_format
        if declared == ISO:
            return "A date must exist and read YYYY-MM-DD.", _again("Correct the cell")
        example = date(2026, 3, 31).strftime(declared)
        return (
            f"A date must exist and read as declared in {FILE_NAME}: 31 March 2026 is {example}.",
            _again("Correct the cell"),
        )
    if column.kind == "choice":
        return (
            f"It must be one of: {', '.join(column.choices)}.",
            _again(
                f"Correct the cell, or map the word in {FILE_NAME} under "
                f"[{plan.table.name}.values.{column.name}],"
            ),
        )
    if column.kind == "clock":
        return "A time of day must exist and read HH:MM, such as 14:35.", _again("Correct the cell")
    number = "A whole number" if column.kind == "whole" else "A number"
    point = "comma" if plan.mapping.dialect.decimal == "," else "point"
    return (
        f"{number} has digits and at most one decimal {point}, no unit and no thousands mark.",
        _again("Correct the cell"),
    )


def broken_rows(connection, plan, checks: list[Rule]) -> list[TurnedAway]:
    """Every row of ``checked`` that breaks a rule, with the first it breaks; the rows are taken out of ``checked``."""
    parameters = {name: value for rule in checks for name, value in rule.parameters.items()}
    each = ", ".join(f"case when {rule.broken} then {number} end" for number, rule in enumerate(checks))
    texts = ", ".join(f'"{column.name} text"' for column in plan.table.columns)
    rows = connection.execute(
        f"select source_row, list_filter([{each}], lambda number: number is not null) as numbers, {texts} "
        f"from checked where {' or '.join(f'({rule.broken})' for rule in checks)} order by source_row",
        parameters,
    ).fetchall()
    if rows:
        connection.execute(
            "delete from checked where source_row in (select unnest($rows))",
            {"rows": [row[0] for row in rows]},
        )
    names = [column.name for column in plan.table.columns]
    remember = {}
    return [
        _turned_away(plan, checks, row, numbers, dict(zip(names, cells, strict=True)), remember)
        for row, numbers, *cells in rows
    ]


def _turned_away(plan, checks, row, numbers, cells, remember):
    rule = checks[numbers[0]]
    found = cells[rule.column] or ""
    remedy = rule.remedy
    if rule.known and found:
        key = (numbers[0], found)
        remember.setdefault(key, nearest(found, rule.known)[0])
        remedy = f"The nearest is {remember[key]!r}. {remedy}"
    if plan.table.column(rule.column).kind == "date" and re.fullmatch(r"[1-9]\d{4}(\.\d+)?", found):
        remedy += " It looks like a spreadsheet's day number: give the column a date format there, and save."
    others = list(
        dict.fromkeys(checks[number].column for number in numbers if checks[number].column != rule.column)
    )
    if others:
        names = ", ".join(plan.heading(name) for name in others)
        remedy += f" The row has more to correct: {names}."
    return TurnedAway(plan.sheet.label, row, plan.heading(rule.column), found, rule.rule, remedy)


def repeated_rows(connection, plan, ready: str) -> list[TurnedAway]:
    """Rows of the ready table whose key stands in an earlier row of the same file; they are taken out of it."""
    key = ", ".join(f'"{name}"' for name in plan.table.key)
    same_key = " and ".join(f'later."{name}" is not distinct from firsts."{name}"' for name in plan.table.key)
    alike = " and ".join(
        f'later."{column.name}" is not distinct from first."{column.name}"' for column in plan.table.columns
    )
    texts = ", ".join(f'later."{name}"::varchar' for name in plan.table.key)
    rows = connection.execute(
        f"with firsts as (select {key}, min(source_row) as first_row from {ready} group by {key} having count(*) > 1) "
        f"select later.source_row, firsts.first_row, {alike}, {texts} from firsts "
        f"join {ready} as first on first.source_row = firsts.first_row join {ready} as later on {same_key} "
        "where later.source_row > firsts.first_row order by later.source_row"
    ).fetchall()
    if rows:
        connection.execute(
            f"delete from {ready} where source_row in (select unnest($rows))",
            {"rows": [row[0] for row in rows]},
        )
    return [_repeated(plan, *row) for row in rows]


def _repeated(plan, row, first_row, alike, *key):
    column = " + ".join(plan.heading(name) for name in plan.table.key)
    found = " + ".join(cell or "" for cell in key)
    remedy = (
        "The two rows are alike in every cell; delete one of them."
        if alike
        else f"The two rows differ: keep the right one, or give one its own {plan.heading(plan.table.key[0])}, "
        f"{LOAD_AGAIN}"
    )
    return TurnedAway(
        plan.sheet.label, row, column, found, f"Row {first_row} of this file has it already.", remedy
    )
