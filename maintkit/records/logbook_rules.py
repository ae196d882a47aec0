"""The rules of the loader as a workbook holds them: pick-lists, limits, dates and a word of help in every cell."""

from .columns import Column, Table
from .tables import TABLE

MOST_CHARACTERS = 255  # of a help text or a pick-list written out
FIRST_DAY = "DATE(1900,1,1)"
NOT_BEFORE = {("fitments", "removed_on"): "fitted_on", ("bookings", "free_to"): "free_from"}


def column_rule(table: Table, column: Column, last_row: int):
    """What the workbook asks of the cells of a column, from row 2 to ``last_row``, as a DataValidation.

    A cell the loader would turn away is refused; a word that is only unknown elsewhere in the book is asked about.
    """
    from openpyxl.worksheet.datavalidation import DataValidation

    letter = column_letter(table, column.name)
    rule = DataValidation(
        allow_blank=True,
        showErrorMessage=True,
        showInputMessage=True,
        sqref=f"{letter}2:{letter}{last_row}",
        **_asked(table, column, letter),
    )
    need = "Required. " if column.required else ""
    default = f" Blank means {column.default}." if column.default is not None else ""
    rule.promptTitle, rule.prompt = (
        column.name,
        f"{need}{column.meaning.capitalize()}.{default}"[:MOST_CHARACTERS],
    )
    rule.errorTitle = column.name
    return rule


def _asked(table, column, letter):
    if column.choices:
        return {
            "type": "list",
            "formula1": f'"{",".join(column.choices)}"',
            "error": f"It must be one of: {', '.join(column.choices)}."[:MOST_CHARACTERS],
        }
    if column.refers_to:
        return _from_list(table, column)
    if column.kind == "date":
        return _date(table, column)
    if column.kind in ("number", "minutes", "whole"):
        return _number(column)
    if column.kind == "clock":
        return _limits("time", "0", "0.99999", "A time of day, such as 14:35.")
    if table.key == (column.name,):
        return {
            "type": "custom",
            "formula1": f"COUNTIF(${letter}:${letter},{letter}2)=1",
            "errorStyle": "warning",
            "error": "It stands in another row already, or in other capitals.",
        }
    return {"type": None}


def _from_list(table, column):
    """A pick-list out of another sheet; only a desk that is not known is refused, as the loader does."""
    target, name = column.refers_to.split(".")
    place = column_letter(TABLE[target], name)
    if target == "positions":
        desk = f"${column_letter(table, 'desk')}2"
        formula = f"OFFSET(positions!${place}$1,MATCH({desk},positions!$A:$A,0)-1,0,MAX(COUNTIF(positions!$A:$A,{desk}),1),1)"
    else:
        formula = f"OFFSET({target}!${place}$2,0,0,MAX(COUNTA({target}!${place}:${place})-1,1),1)"
    known = target == "desks"
    return {
        "type": "list",
        "formula1": formula,
        "errorStyle": "stop" if known else "warning",
        "error": f"It is not in the sheet {target}. {'Add it there first.' if known else 'Add it there, or keep it as it is.'}",
    }


def _date(table, column):
    earlier = NOT_BEFORE.get((table.name, column.name))
    low = f"{column_letter(table, earlier)}2" if earlier else FIRST_DAY
    rule = f"A date, not before {earlier}" if earlier else "A date, not before 1900"
    if column.may_be_ahead:
        return _limits("date", low, None, f"{rule}.")
    return _limits("date", low, "TODAY()", f"{rule} and not after today.")


def _number(column):
    kind, said = (
        ("whole", "A whole number") if column.kind == "whole" else ("decimal", "A number without its unit")
    )
    if column.low is None:
        return _limits(kind, "-1E+15", "1E+15", f"{said}.")
    low = f"{column.low:g}"
    if column.high is None:
        return _limits(kind, low, None, f"{said}, {low} or more.")
    return _limits(kind, low, f"{column.high:g}", f"{said}, {low} to {column.high:g}.")


def _limits(kind, low, high, error):
    """From a value on, or between two."""
    operator = "greaterThanOrEqual" if high is None else "between"
    return {"type": kind, "operator": operator, "formula1": low, "formula2": high, "error": error}


def column_letter(table: Table, name: str) -> str:
    """The letter of a column in the sheet of its table.

    Examples
    --------
    >>> column_letter(TABLE["tickets"], "desk")
    'C'
    """
    from openpyxl.utils import get_column_letter

    return get_column_letter([column.name for column in table.columns].index(name) + 1)
