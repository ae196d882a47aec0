"""Numbers, intervals, dates and whole tables as a technician reads them: three digits, units in the heading."""

import math
import numbers
from datetime import date, datetime

from maintkit.hours import HOURS_PER_YEAR
from maintkit.report.text import BLANK, words
from maintkit.survival.results import three_digits

NOT_REACHED = "not reached"
LEAST_CHANCE = 0.001
RATE_ONLY = "fewer than 5 failures: rate only"
UNITS = {"minutes": "min", "hours": "h", "days": "d", "c": "°C", "hz": "Hz"}
_SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def is_missing(value) -> bool:
    """Whether a cell holds nothing: None, not-a-number or not-a-time."""
    return value is None or type(value).__name__ in ("NaTType", "NAType") or value != value


def number_text(value) -> str:
    """The number for reading: whole numbers in full, others with three significant digits.

    Examples
    --------
    >>> number_text(12345), number_text(1.80), number_text(1234.5), number_text(0.00000012), number_text(-0.5)
    ('12,345', '1.8', '1,230', '1.2×10⁻⁷', '−0.5')
    """
    if is_missing(value):
        return BLANK
    if isinstance(value, numbers.Integral) or (float(value).is_integer() and abs(value) < 1e15):
        text = f"{int(value):,d}"
    elif math.isinf(value):
        text = "∞" if value > 0 else "-∞"
    elif abs(value) < 1e-4:
        digits, power = f"{value:.2e}".split("e")
        text = f"{float(digits):g}×10{str(int(power)).translate(_SUPERSCRIPT)}"
    else:
        text = three_digits(float(value))
    return text.replace("-", "−")


def interval_text(value, low, high) -> str:
    """An estimate and its limits in one cell.

    A missing limit means there is none on that side; a missing value with a limit was not reached.

    Examples
    --------
    >>> interval_text(1.8, 1.2, 2.7), interval_text(0.0, None, 2.3), interval_text(None, 5.1, None)
    ('1.8 (1.2 to 2.7)', '0 (at most 2.3)', 'not reached (at least 5.1)')
    """
    if is_missing(value) and is_missing(low) and is_missing(high):
        return BLANK
    main = NOT_REACHED if is_missing(value) else number_text(value)
    if is_missing(low) and is_missing(high):
        return main
    if is_missing(low):
        return f"{main} (at most {number_text(high)})"
    if is_missing(high):
        return f"{main} (at least {number_text(low)})"
    return f"{main} ({number_text(low)} to {number_text(high)})"


def estimate_text(estimate, *, divisor: float = 1.0) -> str:
    """An Estimate in one cell; ``divisor`` changes its unit, 8766 from hours to years. None: too few failures.

    Examples
    --------
    >>> from maintkit.survival.results import Estimate
    >>> estimate_text(Estimate(17532.0, 8766.0, None, 0.90, 6, 1e6), divisor=8766), estimate_text(None)
    ('2 (at least 1)', 'fewer than 5 failures: rate only')
    """
    if estimate is None:
        return RATE_ONLY
    parts = [
        None if part is None else part / divisor for part in (estimate.value, estimate.low, estimate.high)
    ]
    return NOT_REACHED if parts == [None, None, None] else interval_text(*parts)


def chance_text(p) -> str:
    """A p value or another chance for reading; below a thousandth the digits say nothing more.

    Examples
    --------
    >>> chance_text(0.04567), chance_text(2.2e-11), chance_text(None)
    ('0.0457', '< 0.001', '–')
    """
    return "< 0.001" if not is_missing(p) and p < LEAST_CHANCE else number_text(p)


def exposure_text(amount) -> str:
    """An amount of time watched, which counts as a count: whole from a hundred on, else three significant digits."""
    return f"{amount:,.0f}" if not is_missing(amount) and amount >= 100 else number_text(amount)


def years_text(hours) -> str:
    """Hours as years of 8,766 h, rounded as an exposure.

    Examples
    --------
    >>> years_text(10_554_264), years_text(20_000)
    ('1,204', '2.28')
    """
    return BLANK if is_missing(hours) else exposure_text(hours / HOURS_PER_YEAR)


def date_text(day) -> str:
    """The day as 2026-09-30, with the time only where there is one other than midnight."""
    if isinstance(day, datetime) and (day.hour, day.minute, day.second) != (0, 0, 0):
        return day.strftime("%Y-%m-%d %H:%M")
    return day.strftime("%Y-%m-%d")


def cell_text(value) -> str:
    """Any cell of a table as plain text, not yet escaped."""
    if hasattr(value, "low") and hasattr(value, "high"):
        return estimate_text(value)
    if isinstance(value, (list, tuple, set, frozenset)):
        return ", ".join(cell_text(one) for one in value) or BLANK
    if is_missing(value):
        return BLANK
    if type(value).__name__ in ("bool", "bool_"):
        return "yes" if value else "no"
    if isinstance(value, date):
        return date_text(value)
    return number_text(value) if isinstance(value, numbers.Real) else str(value)


def heading_text(column: str) -> str:
    """A column name as a heading, its unit in brackets.

    Examples
    --------
    >>> heading_text("bench_minutes"), heading_text("inlet_c"), heading_text("failures_per_powered_year")
    ('bench (min)', 'inlet (°C)', 'failures per powered year')
    """
    stem, _, last = str(column).rpartition("_")
    if stem and last in UNITS and "_per_" not in f"{stem}_":
        return f"{words(stem)} ({UNITS[last]})"
    return words(column)
