"""Days as people write them where the declared format alone does not read them: weekdays, month names, no year, serial numbers."""

import re
from datetime import date, datetime, time, timedelta

from .durations import ABOUT, MAYBE, time_of

_WEEKDAYS = r"(?:mo|di|mi|do|fr|sa|so|mon|tue|tues|wed|thu|thur|thurs|fri|sat|sun|\w{3,6}day|\w{2,10}tag|mittwoch|\w{3,6}di|dimanche|lun|mer|jeu|ven|sam|dim)\.?"
WEEKDAY = re.compile(_WEEKDAYS + r",?\s+(?=\S*\d|[^\W\d]{3,9}\.? \d)")
_WEEKDAY_BEHIND = re.compile(r"(?<=\d)\.?,? \(?" + _WEEKDAYS + r"\)?$")
_ZONE = re.compile(
    r"(?<=:\d\d)(?:[.,]\d{1,9})?(?: ?(?:z|utc|gmt)| ?(?:utc|gmt)?[+-]\d\d:?\d\d(?: \(.*\))?)?$"
)
_PART_OF_DAY = re.compile(
    r"(?<=\d)\.?,? (?:in the |am )?(?:am|pm|morning|noon|midday|afternoon|evening|night|late|early|vorm\.?|nachm\.?|früh|vormittags?|mittags?|nachmittags?|abends?|nachts?)$"
)
_DOUBT = re.compile(rf"^(?:{ABOUT}|um) ?(?=\d)|{MAYBE}| (?:--|\?\?):(?:--|\?\?)$")
_TWO_DAYS = re.compile(
    r"^(\d{1,2}\.?)(?: ?[-–+&] ?| (?:and|to|und|bis) |(?<=\.) ?/ ?|/(?=\d{1,2}\.))\d{1,2}(?=[./] ?\d{1,2}[./]|\.? ?[^\W\d]{3})\.?"
    r"|^(\d{1,2}([./])\d{1,2}\3?) ?[-–] ?\d{1,2}\3\d{1,2}(?=\3 ?\d)"
)
_TIME = re.compile(
    r"(?:,\s*|\s+|t(?=\d)|\s?[-/–]\s?(?=\d+:))(?:um\s+|at\s+|[-/–]\s+)?(\d{1,2}[:.h]\d\d(?::\d\d)?(?:\s*(?:uhr|h|am|pm))?|\d{1,2}\s*(?:uhr|am|pm))$"
)
_CLOCK_OF_FOUR = re.compile(
    r"(\d{1,2}[ -]?[^\W\d]{3,9}[ -]\d\d|\d{1,2}([./-])\d{1,2}\2(?:\d\d|\d{4})|\d{4}([./-])\d\d\3\d\d),? ([01]\d|2[0-3])([0-5]\d)(?: ?(?:h|hrs|uhr|z|utc|gmt))?"
)
_YEAR_FIRST = re.compile(r"((?:19|20)\d\d)([./-]?)(\d\d?)\2(\d\d?)")
_NUMBERS = re.compile(r"(\d{1,2})([./-])\s?(\d{1,2})(?:\2\s?(\d{4}|\d{2})?|\2?)")
_DAY_FIRST = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th|er|\.)?[\s./-]*(?:de )?([^\W\d]{3,10})\.?,?[\s./-]*(?:del? )?(\d{4}|'?\d{2})?"
)
_MONTH_FIRST = re.compile(r"([^\W\d]{3,10})\.?\s*(\d{1,2})(?:st|nd|rd|th)?,?\s*(\d{4})?")
_PART_OF_MONTH = r"(?:(?:early|mid|late|start of|end of|anfang|mitte|ende|d[ée]but|mi|fin)(?: de)?[ -]+)?"
_MONTH_YEAR = re.compile(
    _PART_OF_MONTH + r"([^\W\d]{3,10})\.?(?:\s?[-–/&]\s?[^\W\d]{3,10}\.?)?,?\s*('?\d\d|\d{4})"
)
_NUMBERED_MONTH = re.compile(r"(0?[1-9]|1[0-2])[./]((?:19|20)\d\d)")
_QUARTER = r"(?:q(?:uarter|uartal|tr\.?)?[ .]?([1-4])|([1-4]|i{1,3}|iv)(?:st|nd|rd|th|\.)? ?(?:q|quarter|quartal|qtr\.?))"
_QUARTER_YEAR = re.compile(rf"{_QUARTER}[ ./-]{{0,2}}'?(\d\d|(?:19|20)\d\d)")
_YEAR_QUARTER = re.compile(rf"'?(\d\d|(?:19|20)\d\d)[ ./-]{{0,2}}{_QUARTER}")
_ROMAN = {"i": "1", "ii": "2", "iii": "3", "iv": "4"}
MONTH_AND_YEAR, MONTH_AND_TWO_DIGITS = "%b %Y", "%b %y"  # a month alone stands for its first day
_YEAR = re.compile(r"(?:19|20)\d\d")
SIX_FIGURES = re.compile(r"\d{6}")
ORDERS_OF_SIX = ("%y%m%d", "%d%m%y", "%m%d%y")  # which of them is to be declared
_SERIAL = re.compile(r"[2-7]\d{4}(?:[.,]\d+)?")  # of the years 1954 to 2119
# since 1970, of the years 2001 to 2033, or thousandths of them
_SECONDS = re.compile(r"(1\d{9})(?:\.0|\d{3})?")
_FIRST_DAY = datetime(1899, 12, 30)  # day 0 of a spreadsheet's serial numbers
MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "january januar jan jän jänner janvier janv januari enero ene gennaio gen",
            "february februar feb février fevrier févr fevr fév februari febrero febbraio",
            "march märz maerz mar mär mrz mars maart mrt marzo",
            "april apr avril avr abril abr aprile",
            "may mai mei mayo maggio mag maj",
            "june juni jun juin junio giugno giu",
            "july juli jul juillet juil julio luglio lug",
            "august aug août aout augustus agosto ago",
            "september sep sept septembre septiembre settembre set",
            "october oktober oct okt octobre octubre ottobre ott",
            "november nov novembre noviembre",
            "december dezember dec dez décembre decembre déc diciembre dic dicembre",
        ),
        start=1,
    )
    for name in names.split()
}
NO_YEAR = r"\d{1,2}[./-]\s?\d{1,2}[./-]?|\d{1,2}\.?\s*[[:alpha:]]{3,10}\.?|[[:alpha:]]{3,10}\.?\s*\d{1,2}"  # for SQL


def moment_of(text: str, formats=(), year: int | date | None = None) -> datetime | None:
    """The day, and the time where one stands behind it, of a cell; None where it is not understood.

    Parameters
    ----------
    text : str
        The cell.
    formats : sequence of str
        The declared formats, which say whether the day or the month comes first in numbers.
    year : int or date, optional
        The year of days that name none; a date, such as 1 September 2024, begins the twelve months they are of.

    Examples
    --------
    >>> [str(moment_of(one, ["%d.%m.%Y"])) for one in ("Mo, 6.1.25", "14. März 2025 9.30 Uhr", "45678", "3.4.")]
    ['2025-01-06 00:00:00', '2025-03-14 09:30:00', '2025-01-21 00:00:00', 'None']
    >>> str(moment_of("06 JAN 25 1430")), str(moment_of("Jan 14 2025"))
    ('2025-01-06 14:30:00', '2025-01-14 00:00:00')
    >>> str(moment_of("mardi 1er février 2022")), str(moment_of("3 de septiembre de 2025"))
    ('2022-02-01 00:00:00', '2025-09-03 00:00:00')
    >>> str(moment_of("3/4", ["%m/%d/%Y"], 2025)), str(moment_of("Okt 3", year=2025)), moment_of("3/4/25", ["%d.%m.%Y"])
    ('2025-03-04 00:00:00', '2025-10-03 00:00:00', None)
    >>> str(moment_of("2009?", ["%Y"]))
    '2009-01-01 00:00:00'
    >>> str(moment_of("45678,5")), str(moment_of("1543237500"))
    ('2025-01-21 12:00:00', '2018-11-26 13:05:00')
    >>> str(moment_of("060731", ["%d/%m/%Y", "%y%m%d"])), moment_of("060731", ["%d/%m/%Y"])
    ('2006-07-31 00:00:00', None)
    >>> [str(moment_of(one, year=date(2024, 9, 1))) for one in ("31 Dec", "2 Jan")]
    ['2024-12-31 00:00:00', '2025-01-02 00:00:00']
    >>> [str(moment_of(one, ["%b %y"])) for one in ("Sept 09", "May-June 2013", "3 May 09")]
    ['2009-09-01 00:00:00', '2013-05-01 00:00:00', '2009-05-03 00:00:00']
    """
    text = tidied(text)
    if MONTH_AND_YEAR in formats or MONTH_AND_TWO_DIGITS in formats:
        first = month_and_year(text)
        if first and (MONTH_AND_TWO_DIGITS in formats or text[-4:].isdigit()):
            return first
    if "%Y" in formats and _YEAR.fullmatch(text):
        return datetime(int(text), 1, 1)
    if _SERIAL.fullmatch(text):
        return _whole_minutes(_FIRST_DAY + timedelta(days=float(text.replace(",", "."))))
    if seconds := _SECONDS.fullmatch(text):
        return datetime(1970, 1, 1) + timedelta(seconds=int(seconds[1]))
    if SIX_FIGURES.fullmatch(text):
        return next(filter(None, (_of_six(text, one) for one in formats if one in ORDERS_OF_SIX)), None)
    clock = _TIME.search(text)
    at = time_of(clock[1]) if clock else time(0)
    bare = text[: clock.start()].rstrip(" ,") if clock else text
    day = _day(bare, formats, year) if at else None
    if day is None and clock:  # 12 May 10.30 may be a day alone: try the whole
        return _day(text, formats, year)
    return day and datetime.combine(day, at)


def tidied(text: str) -> str:
    """A day in small letters without weekday, time zone, parts of a second and marks of doubt; of two days the first.

    The time stays as it is written, whatever its zone.

    Examples
    --------
    >>> [tidied(one) for one in ("Mo,  6.1.25", "2025-04-02T22:23:00.000Z", "~7.4.25 ?", "7./8.4.25", "28.2.-3.3.25", "3/4/25 1430")]
    ['6.1.25', '2025-04-02t22:23:00', '7.4.25', '7.4.25', '28.2.25', '3/4/25 14:30']
    """
    text = _ZONE.sub("", " ".join(text.casefold().split()))
    text = _PART_OF_DAY.sub("", text) if not _TIME.search(text) else text
    text = _DOUBT.sub("", _WEEKDAY_BEHIND.sub("", WEEKDAY.sub("", text, count=1)))
    both = _TWO_DAYS.match(text)
    if both:
        first = both[1] and (
            both[1] if text[both.end() :].startswith((".", "/")) else f"{both[1].rstrip('.')}."
        )
        text = f"{first or both[2].rstrip('./')}{text[both.end() :]}"
    return _CLOCK_OF_FOUR.sub(r"\1 \4:\5", text)


def month_and_year(text: str) -> datetime | None:
    """The first day of a month that is written with its year, of two months the first; None for any other cell.

    Examples
    --------
    >>> [str(month_and_year(one)) for one in ("Jan 2016", "May-June 2013", "Sept '09", "3 May 09", "room 12")]
    ['2016-01-01 00:00:00', '2013-05-01 00:00:00', '2009-09-01 00:00:00', 'None', 'None']
    >>> [str(month_and_year(one)) for one in ("mid-June 2016", "Ende März 2013", "09/2013")]
    ['2016-06-01 00:00:00', '2013-03-01 00:00:00', '2013-09-01 00:00:00']
    """
    text = tidied(text)
    if numbered := _NUMBERED_MONTH.fullmatch(text):
        return datetime(int(numbered[2]), int(numbered[1]), 1)
    found = _MONTH_YEAR.fullmatch(text)
    return _dated(found[2], MONTHS[found[1]], 1, None) if found and found[1] in MONTHS else None


def quarter_and_year(text: str) -> datetime | None:
    """The first day of a quarter that is written with its year; None for any other cell.

    Examples
    --------
    >>> [f"{quarter_and_year(one):%Y-%m}" for one in ("Q1 24", "2024Q2", "Q3/25", "4Q'24", "1. Quartal 2024", "IV. Quartal 24")]
    ['2024-01', '2024-04', '2025-07', '2024-10', '2024-01', '2024-10']
    >>> [quarter_and_year(one) for one in ("Q1", "Q5 24", "4 / 24", "Q12", "IQ 24 dead")]
    [None, None, None, None, None]
    """
    text = " ".join(text.casefold().split())
    if found := _QUARTER_YEAR.fullmatch(text):
        first, other, year = found.groups()
    elif found := _YEAR_QUARTER.fullmatch(text):
        year, first, other = found.groups()
    else:
        return None
    number = first or _ROMAN.get(other, other)
    return _dated(year, 3 * int(number) - 2, 1, None)


def with_year(text: str, year: str) -> str:
    """A day that names no year, such as under a title that does, with that year; any other cell as it is.

    Examples
    --------
    >>> [with_year(one, "2024") for one in ("12.11.", "3/4", "Di 12 Nov", "12 Nov 14:30", "12.11.23", "hum")]
    ['12.11.2024', '3/4/2024', '12 nov 2024', '12 nov 2024 14:30', '12.11.23', 'hum']
    """
    day = tidied(text)
    clock = _TIME.search(day)
    bare = day[: clock.start()].rstrip(" ,") if clock else day
    numbers = _NUMBERS.fullmatch(bare)
    if numbers and not numbers[4]:
        bare = f"{numbers[1]}{numbers[2]}{numbers[3]}{numbers[2]}{year}"
    elif (named := _with_month_in_words(bare)) and not named[2]:
        bare = f"{bare.rstrip(' .')} {year}"
    else:
        return text
    return f"{bare} {clock[1]}" if clock else bare


def _of_six(text, order):
    try:
        return datetime.strptime(text, order)
    except ValueError:
        return None


def _whole_minutes(moment):
    return (moment + timedelta(seconds=30)).replace(second=0, microsecond=0)


def _day(text, formats, year):
    named = _with_month_in_words(text)
    if named:
        day, month, said = named
        return _dated(said, month, day, year)
    found = _YEAR_FIRST.fullmatch(text)
    if found and (found[2] or len(text) == 8):
        return _dated(found[1], found[3], found[4], year)
    found = _NUMBERS.fullmatch(text)
    order = found and _order(found[2], formats)
    if not order:
        return None
    day, month = (found[1], found[3]) if order == "day" else (found[3], found[1])
    return _dated(found[4], month, day, year)


def _with_month_in_words(text):
    """Day, month and what is said of the year, of a day with its month in words; None for others."""
    for pattern, day, month in ((_DAY_FIRST, 1, 2), (_MONTH_FIRST, 2, 1)):
        found = pattern.fullmatch(text)
        if found and found[month] in MONTHS:
            return found[day], MONTHS[found[month]], found[3]
    return None


def _order(mark, formats):
    """Whether the day or the month comes first in numbers with this mark between, as declared; '' where nothing says so."""
    for one in formats:
        if re.match(rf"%[de]{re.escape(mark)}\s?%m", one):
            return "day"
        if re.match(rf"%m{re.escape(mark)}\s?%[de]", one):
            return "month"
    return ""


def _dated(said, month, day, year):
    said = (said or "").lstrip("'")
    if len(said) == 2:
        said = f"{'19' if int(said) >= 69 else '20'}{said}"  # as POSIX strptime has it
    if not said and isinstance(year, date):
        year = year.year + (int(month) < year.month)
    whole = int(said) if said else year
    try:
        return whole and datetime(whole, int(month), int(day))
    except ValueError:
        return None
