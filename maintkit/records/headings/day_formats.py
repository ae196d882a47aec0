"""How days are written in cells: the day of one, the formats of many, and whether day or month stands first."""

import re
from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache, lru_cache, partial
from itertools import pairwise

from maintkit.records.days import (
    MONTH_AND_TWO_DIGITS,
    MONTH_AND_YEAR,
    ORDERS_OF_SIX,
    SIX_FIGURES,
    moment_of,
    month_and_year,
    tidied,
)

NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?")
TIME = re.compile(r"[ t,/–-]+\d{1,2}:\d{2}(:\d{2})?( ?[ap]\.?m\.?)?$")
DAY_FIRST = ("%d.%m.%Y", "%d/%m/%Y", "%d-%m-%Y")  # formats of days in numbers
MONTH_FIRST = ("%m/%d/%Y", "%m-%d-%Y")
SOME_YEAR = 2000  # a leap year, for days that name none
MOMENT = r"[34]\d{4}[.,]\d+|1[2-9]\d{8}(?:\.0|\d{3})?"  # with the time of day, and seconds or thousandths since 1970
SERIAL_DAY = re.compile(
    rf"[34]\d{{4}}|{MOMENT}|(?:(?:19[5-9]|20[0-4])\d|[0-28-9]\d)(?:0[1-9]|1[0-2])(?:[0-2]\d|3[01])"
)  # of the years 1982 to 2036, 20250407, or 250407
NUMERIC_DATE = re.compile(r"(\d{1,4})([./-])\s?(\d{1,2})\2\s?(\d{2,4})\.?")
NAMED_DATE = (
    (re.compile(r"\d{1,2}([ -]|\. ?)[A-Za-z]{3,9}\1\d{2,4}"), "d"),
    (re.compile(r"[A-Za-z]{3,9} \d{1,2}, ?\d{2,4}"), "b"),
)
YEAR_OR_MONTH = {
    "%Y": re.compile(r"(19[3-9]|20[0-4])\d"),
    "%m/%Y": re.compile(r"(0?[1-9]|1[0-2])/(19|20)\d\d"),
}
BY_CHANCE = 0.001
SHORT_MONTHS = 3  # entries a year, from which the two digits behind a month may be one
STEPS = 6  # from one day to another, from which their order tells day and month apart


@lru_cache(maxsize=2**16)
def day_of(text: str, *, month_first: bool = False) -> date | None:
    """The day of a cell, the day before the month where both could be unless it is said; None where it is no date."""
    if NUMBER.fullmatch(text) and not SERIAL_DAY.fullmatch(text):
        return None
    shapes = date_shapes(text)
    by_month = [shape for shape in shapes if month_first and shape.startswith("%m")]
    formats = (*shapes[:1], *DAY_FIRST, MONTH_AND_YEAR)
    moment = None if by_month else moment_of(text, formats, SOME_YEAR)
    if shapes and not moment:
        moment = datetime.strptime(_bare_day(text), (by_month or shapes)[0])
    return moment and moment.date()


def year_or_month(text: str) -> str:
    """The format of a cell that is a year alone or a month with its year; '' where it is neither.

    Examples
    --------
    >>> year_or_month("1989"), year_or_month("03/1991"), year_or_month("12.3.91"), year_or_month("2021?")
    ('%Y', '%m/%Y', '', '%Y')
    """
    text = text.rstrip(" ?")
    return next((shape for shape, pattern in YEAR_OR_MONTH.items() if pattern.fullmatch(text)), "")


def has_no_year(text: str) -> bool:
    """Whether a cell is a day that names no year."""

    def is_day(year):
        return any(moment_of(text, order, year) for order in (DAY_FIRST, MONTH_FIRST))

    return is_day(SOME_YEAR) and not is_day(None)


def month_formats(texts) -> tuple[str, ...]:
    """The formats of months alone among days: with four digits of the year, or with two where they stand for no day.

    Months with two digits are such where four or more stand in order if the digits are a year, and few of these are different, or where
    all are years of the other days, and too many for chance; or where they are few among days that all name such a year.

    Examples
    --------
    >>> month_formats(["Jan 2016", "12/3/16"]), month_formats(["Mar 09", "Mar 09", "Jun 09", "Sept 09", "Nov 09", "Jan 10"])
    (('%b %Y',), ('%b %y',))
    >>> month_formats(["Mar 09", "Mar 12", "Apr 03", "Apr 20"]), month_formats(["May 12", "May 12"])
    ((), ())
    >>> month_formats(["12/3/2009", *(f"{month} {year}" for month in ("Mar", "Jul") for year in (11, 10, 13, 12)), "4/4/2014"])
    ('%b %y',)
    >>> month_formats(["6.11.2025", "Nov 25?", "20.11.25", "4.12.25"]), month_formats(["6.11.2025", "Nov 25", "Nov 27", "4.12."])
    (('%b %y',), ())
    >>> month_formats(["May 24", "2019", "03/2022", "Sep 25"])
    ('%b %Y', '%b %y')
    """
    months = [(text, month) for text in texts if (month := month_and_year(text))]
    short = [month for text, month in months if not text.strip()[-4:].isdigit()]
    in_order = sum(one <= other for one, other in pairwise(short)) >= 0.9 * (len(short) - 1)
    few = len({month.year for month in short}) <= len(short) / SHORT_MONTHS
    whole = (MONTH_AND_YEAR,) if len(short) < len(months) else ()
    are_many = len(short) >= SHORT_MONTHS and (
        (in_order and few and len({*short}) > 2) or _are_years_of_others(short, texts)
    )
    if are_many or (short and _stand_among_whole_days(short, texts)):
        return (*whole, MONTH_AND_TWO_DIGITS)
    return whole


def _are_years_of_others(short, texts):
    """Whether the two digits behind months are all years of the span of the other days, where days of a month would hardly all be."""
    others = {day.year for text in texts if not has_no_year(text) and (day := day_of(text))}
    if len(others) < 2:
        return False
    span = range(min(others), max(others) + 1)
    return all(month.year in span for month in short) and (len(span) / 31) ** len({*short}) < BY_CHANCE


def _stand_among_whole_days(short, texts):
    """Whether the two digits behind a few months are years of the other days, which all name theirs; or all others are no days, but years or
    months with theirs."""
    others = [one for one in texts if one.strip() and (not month_and_year(one) or one.strip()[-4:].isdigit())]
    years = {day.year for text in others if (day := day_of(text))}
    are_few = len(others) > 2 * len(short)
    among_days = are_few and not any(map(has_no_year, others)) and all(one.year in years for one in short)
    return among_days or bool(others and all(map(year_or_month, others)))


def _bare_day(text):
    day = TIME.sub("", tidied(text))
    short = re.fullmatch(r"(\d{1,2})([./-])\s?(\d{1,2})\2?", day)
    day = f"{short[1]}{short[2]}{short[3]}{short[2]}{SOME_YEAR}" if short else day
    return day.replace(". ", ".") if NUMERIC_DATE.fullmatch(day) else day


@cache
def date_shapes(text: str) -> tuple[str, ...]:
    """The formats in which a cell can be a date, the day before the month first.

    Examples
    --------
    >>> date_shapes("250331")
    ('%y%m%d',)
    >>> date_shapes("3/4/25"), date_shapes("31.12.2025 14:05"), date_shapes("2025-12-31"), date_shapes("31.13.2025")
    (('%d/%m/%y', '%m/%d/%y'), ('%d.%m.%Y',), ('%Y-%m-%d',), ())
    """
    day = _bare_day(text)
    if SERIAL_DAY.fullmatch(day) and SIX_FIGURES.fullmatch(day):
        return tuple(one for one in ORDERS_OF_SIX[:1] if _reads(day, one))
    if number := NUMERIC_DATE.fullmatch(day):
        first, mark, _, last = number.groups()
        if len(first) == 4:
            tried = [f"%Y{mark}%m{mark}%d"]
        elif len(first) > 2 or len(last) == 3:
            return ()
        else:
            year = "%Y" if len(last) == 4 else "%y"
            orders = ("%d{0}%m{0}", "%m{0}%d{0}") if mark != "." else ("%d.%m.",)
            tried = [order.format(mark) + year for order in orders]
    else:
        tried = [_named(day, kind) for pattern, kind in NAMED_DATE if pattern.fullmatch(day)]
    return tuple(shape for shape in tried if _reads(day.replace(". ", ".") if number else day, shape))


def _named(day, kind):
    month = max(re.findall("[A-Za-z]+", day), key=len, default="")
    name = "%b" if len(month) == 3 else "%B"
    year = "%Y" if re.search(r"\d{4}$", day) else "%y"
    if kind == "b":
        return f"{name} %d,{' ' if ', ' in day else ''}{year}"
    mark = re.search(r"\d([ .-]+)[A-Za-z]", day)[1]
    return f"%d{mark}{name}{mark}{year}"


def _reads(text, shape):
    try:
        datetime.strptime(text, shape)
    except ValueError:
        return False
    return True


@dataclass(frozen=True)
class DateFormats:
    """How dates are written: the formats met, and whether day or month comes first is settled by a date."""

    formats: tuple[str, ...]
    settled: bool = True


def date_formats(texts) -> DateFormats:
    """The formats of dates met, ISO left out; a date that can be read one way only settles the order of its kind.

    Examples
    --------
    >>> date_formats(["1/2/25", "13/2/25"]), date_formats(["1/2/25", "3/4/25"])
    (DateFormats(formats=('%d/%m/%y',), settled=True), DateFormats(formats=('%d/%m/%y', '%m/%d/%y'), settled=False))
    >>> date_formats(["110905", "130905", "021005"]).formats, date_formats(["050911", "050913", "051002"]).formats
    (('%d%m%y',), ('%y%m%d',))
    >>> date_formats(["1/2/25", "3.2.2025"])  # who writes one with full stops has the day first in the others too
    DateFormats(formats=('%d/%m/%y', '%d.%m.%Y'), settled=True)
    """
    either, only = Counter(), Counter()
    six = [text for text in texts if SIX_FIGURES.fullmatch(text)]
    if any(map(SERIAL_DAY.fullmatch, six)):
        only[min(ORDERS_OF_SIX, key=partial(_steps_back, six))] = len(six)
    for text in (text for text in texts if text not in six):
        shapes = date_shapes(text)
        if len(shapes) == 2:
            either[shapes] += 1
        elif shapes and shapes[0] != "%Y-%m-%d":
            only[shapes[0]] += 1
    day_first = sum(count for shape, count in only.items() if shape.startswith(("%d/", "%d-%m", "%d.%m")))
    month_first = sum(count for shape, count in only.items() if shape.startswith("%m"))
    settled = not either or (day_first == 0) != (month_first == 0)
    chosen = Counter(only)
    for (by_day, by_month), count in either.items():
        if settled:
            chosen[by_day if day_first else by_month] += count
        else:
            chosen.update({by_day: count, by_month: count})
    in_order = sorted(chosen, key=lambda shape: (shape.endswith("%Y"), -chosen[shape], shape))
    return DateFormats(tuple(in_order), settled)


def _steps_back(texts, order):
    """How many texts are no day as an order of six figures reads them, or one before the day above."""
    days = [moment_of(text, (order,)) for text in texts]
    return days.count(None) + sum(one > other for one, other in pairwise(filter(None, days)))


def told_by_order(texts) -> str:
    """``%d`` or ``%m``, whichever comes first in days that stand in order only if it does; '' where their order does not tell.

    Examples
    --------
    >>> days = ["2021-04-12", "20/04/2021", "03/05/2021", "19/05/2021", "08/06/2021", "22/06/2021", "14/07/2021", "02/08/2021"]
    >>> told_by_order(days), told_by_order(days[:4])
    ('%d', '')
    """
    back = {}
    for first in ("%d", "%m"):
        days = [day for text in texts if (day := day_of(text, month_first=first == "%m"))]
        steps = [later < day for day, later in zip(days, days[1:]) if later != day]
        back[first] = min(sum(steps), len(steps) - sum(steps)) if len(steps) >= STEPS else 0
    in_order = [first for first, steps in back.items() if not steps]
    return in_order[0] if len(in_order) == 1 else ""
