"""Numbers, intervals, dates and whole tables as a technician reads them: three digits, units in the heading."""

import math
import numbers
from datetime import date, datetime

from maintkit.report.columns import column
from maintkit.report.text import BLANK, words

NOT_REACHED = "not reached"
LEAST_CHANCE = 0.001


def is_missing(value) -> bool:
    """Whether a cell holds nothing: None, not-a-number or not-a-time."""
    return value is None or type(value).__name__ in ("NaTType", "NAType") or value != value


def number_text(value, digits: int = 3) -> str:
    """The number for reading: whole numbers in full, others with so many significant digits, never a power of ten.

    Examples
    --------
    >>> number_text(12345), number_text(1.80), number_text(1234.4), number_text(0.00000012), number_text(-0.5)
    ('12,345', '1.8', '1,234', 'under 0.001', '−0.5')
    """
    if is_missing(value):
        return BLANK
    if math.isinf(value):
        return "∞" if value > 0 else "−∞"
    if isinstance(value, numbers.Integral) or (float(value).is_integer() and abs(value) < 1e15):
        return f"{int(value):,d}".replace("-", "−")
    if abs(value) < 0.001:
        return "under 0.001" if value > 0 else "over −0.001"
    places = max(digits - 1 - math.floor(math.log10(abs(value))), 0)
    text = f"{value:,.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text.replace("-", "−")


def interval_text(value, low, high, digits: int = 2) -> str:
    """An estimate and its limits in one cell.

    A missing limit means there is none on that side; a missing value with a limit was not reached.

    Examples
    --------
    >>> interval_text(1.8, 1.2, 2.7), interval_text(0.0, None, 2.3), interval_text(None, 5.1, None)
    ('1.8 (1.2 to 2.7)', '0 (at most 2.3)', 'not reached (at least 5.1)')
    """
    if is_missing(value) and is_missing(low) and is_missing(high):
        return BLANK
    main = NOT_REACHED if is_missing(value) else number_text(value, digits)
    if is_missing(low) and is_missing(high):
        return main
    if is_missing(low):
        return f"{main} (at most {number_text(high, digits)})"
    if is_missing(high):
        return f"{main} (at least {number_text(low, digits)})"
    return f"{main} ({number_text(low, digits)} to {number_text(high, digits)})"


def chance_text(p, digits: int = 3) -> str:
    """A p value or another chance for reading; below a thousandth the digits say nothing more.

    Examples
    --------
    >>> chance_text(0.04567), chance_text(2.2e-11), chance_text(None)
    ('0.0457', '< 0.001', '–')
    """
    return "< 0.001" if not is_missing(p) and p < LEAST_CHANCE else number_text(p, digits)


def date_text(day) -> str:
    """The day as 2026-09-30, with the time only where there is one other than midnight."""
    if isinstance(day, datetime) and (day.hour, day.minute, day.second) != (0, 0, 0):
        return day.strftime("%Y-%m-%d %H:%M")
    return day.strftime("%Y-%m-%d")


def cell_text(value) -> str:
    """Any cell of a table as plain text, not yet escaped."""
    if hasattr(value, "low") and hasattr(value, "high"):
        told = interval_text(getattr(value, "value", None), value.low, value.high)
        return NOT_REACHED if told == BLANK else told
    if isinstance(value, (list, tuple, set, frozenset)):
        return ", ".join(cell_text(one) for one in value) or BLANK
    if is_missing(value):
        return BLANK
    if type(value).__name__ in ("bool", "bool_"):
        return "yes" if value else "no"
    if isinstance(value, date):
        return date_text(value)
    return number_text(value) if isinstance(value, numbers.Real) else str(value)


def column_cell(value, kind) -> str:
    """A cell of a column of that kind (see ``columns.py``) as plain text, not yet escaped."""
    if (
        is_missing(value)
        or isinstance(value, str)
        or not isinstance(value, numbers.Real)
        or kind.side == "left"
    ):
        return cell_text(value)
    if kind.name == "label":
        return f"{value:.0f}"
    if kind.name == "chance":
        return chance_text(value, kind.digits)
    return number_text(value * kind.times, kind.digits)


def interval_cell(value, low, high, kind) -> str:
    """An estimate and its limits in one cell of a column of that kind."""
    if isinstance(value, str):
        return value
    told = [None if is_missing(one) else one * kind.times for one in (value, low, high)]
    return interval_text(*told, digits=kind.digits)


def heading_text(name: str) -> str:
    """A column's name as a heading, the unit of its kind in brackets.

    Examples
    --------
    >>> heading_text("bench_minutes"), heading_text("air_c"), heading_text("minutes_lost")
    ('bench (min)', 'air (°C)', 'minutes lost')
    """
    found = column(name)
    return found.heading if found else words(name)
