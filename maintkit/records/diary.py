"""A plain text in which each entry begins with its day, as a diary is kept: each entry a row of its day and what it says."""

import re

from .days import moment_of, with_year
from .row_above import A_LEAP_YEAR, AROUND_TITLES, in_period, period_of

DAY = "day"  # what stands for a delimiter in mapping.toml: the day at the beginning parts a line in two
HEADINGS = ("Date", "Entry")
BULLET = re.compile(r"\s*[-–—*•+]\s+")
_WORDS = re.compile(r"\S+")
_GOES_ON = re.compile(r"(?:(?:19|20)\d\d|'\d\d)[.,]?|\d{1,2}[:.h]\d\d(?::\d\d)?h?|uhr|am|pm|h", re.IGNORECASE)
_BARE_DAY = re.compile(
    r"((?:[^\W\d]{2,9}\.?,?\s+)?\d{1,2}(?:st|nd|rd|th)|(?:[^\W\d]{2,6}day|[^\W\d]{3,10}tag|mon|tue|wed|thu|fri|sat|sun|mo|di|mi|do|fr|sa|so)\.?,?\s+\d{1,2})"
    r"[\s:.,;–—-]+(\S.*)",
    re.IGNORECASE,
)
_ENDS = " \t:,;-–—|[]"
_ORDERS = tuple(f"{order[0]}{mark}{order[1]}" for mark in "./-" for order in (("%d", "%m"), ("%m", "%d")))
MOST_WORDS = 5  # of a day: Monday the 3 March 2025


def day_and_rest(line: str, year: int | None = A_LEAP_YEAR) -> tuple[str, str] | None:
    """The day at the beginning of a line, with its time if it has one, and what follows; None where it begins with none.

    Without a ``year`` a day that names none is no day.

    Examples
    --------
    >>> [day_and_rest(one) for one in ("15.1.24: ch 14 crackles", "Mon 3 March 2025 9:30 - hum", "3/4 14 dead", "ch 3 dead")]
    [('15.1.24', 'ch 14 crackles'), ('Mon 3 March 2025 9:30', 'hum'), ('3/4', '14 dead'), None]
    """
    ends = [word.end() for _, word in zip(range(MOST_WORDS + 2), _WORDS.finditer(line))]
    first = next((at for at, end in enumerate(ends[:MOST_WORDS]) if _is_day(line[:end], year)), None)
    if first is None:
        return None
    end = ends[first]
    for later in ends[first + 1 :]:
        if not (_GOES_ON.fullmatch(line[end:later].strip(_ENDS)) and _is_day(line[:later], year)):
            break
        end = later
    return line[:end].strip(_ENDS), line[end:].strip(_ENDS)


def day_in(month: str, line: str) -> tuple[str, str] | None:
    """The day of a month that stands over it, by its weekday or as 6th, and what follows; None where a line begins with none.

    Examples
    --------
    >>> day_in("March 2024", "Friday 6th: all quiet"), day_in("March 2024", "ch 6 dead")
    (('6 March 2024', 'all quiet'), None)
    """
    found = _BARE_DAY.match(line)
    return (in_period(found[1].strip(_ENDS), month), found[2].strip(_ENDS)) if found else None


def _is_day(text, year):
    bare = text.strip(_ENDS)
    return any(map(str.isdigit, bare)) and any(moment_of(bare, (order,), year) for order in _ORDERS)


def diary_entries(lines):
    """The ``(line number, [day, text])`` of each entry of a diary.

    A line without a day goes on from the one above; after a day by itself every line is an entry, and so is one that begins with a
    dash or a dot of a list. What stands before the first day has none. Where most days name their year, one that names none is
    no day, for ``1/2`` may be a half. A line of a month and its year is a title: days below it that name neither are of it.
    """
    lines = [line.rstrip() for line in lines]
    told = [day_and_rest(line) for line in lines]
    in_full = [one and day_and_rest(line, None) for one, line in zip(told, lines, strict=True)]
    told = in_full if sum(map(bool, in_full)) > sum(map(bool, told)) / 2 else told
    entries, day, each, month, year = [], "", True, "", ""
    for number, (line, begins) in enumerate(zip(lines, told, strict=True), start=1):
        title = period_of([line.strip(AROUND_TITLES)])
        if title[0]:
            (month, year), each = title, False
            continue
        if month:
            begins = begins and (with_year(begins[0], year), begins[1]) or day_in(month, line)
        if begins:
            day, text = begins
            each = not text
        else:
            text = BULLET.sub("", line, count=1).strip()
        if not text:
            continue
        if entries and not (begins or each or BULLET.match(line)):
            entries[-1][1][1] += f" {text}"
        else:
            entries.append((number, [day, text]))
    return entries
