"""Durations and times of day as people write them: ``90``, ``1h30``, ``1:30``, ``1,5 h``, ``1½ h``, ``45 min``, ``2 Std``."""

import re
from datetime import time

from .known_words.words import NUMBERS

_NUMBER = r"\d+(?:[.,]\d+)?"
_HOURS = r"(?:h|hrs?|hours?|std|stdn|stunden?|heures?|horas?|ore|uren|uur)\.?"
_MINUTES = r"(?:m|m(?:i(?![lo])|n|u)[a-z]{0,8}|'|′)\.?"  # mins, mintues and muin too
_BARE = re.compile(_NUMBER)
_NO_NOUGHT = re.compile(r"^(?=[.,]\d)")  # before .5 and ,5
_FRACTION = re.compile(r"(?:(\d+) ?(?=[½¼¾])|(\d+) )?(?:([½¼¾])|(?<![\d.,])([13])[/⁄]([24])(?!\d))")
_SIGNS = {"½": 0.5, "¼": 0.25, "¾": 0.75}
_CLOCK = re.compile(r"(\d{1,9})(?::(?=\d\d)| (?=\d\d?$))([0-5]?\d)(?::[0-5]\d)?(?:\s*" + _HOURS + ")?")
_WORDS = re.compile(rf"(?:({_NUMBER})\s*{_HOURS})?\s*(?:({_NUMBER})\s*(?:{_MINUTES})?)?")
_ONLY_MINUTES = re.compile(rf"({_NUMBER})\s*{_MINUTES}")
_POINT = re.compile(rf"(\d+)[.,](\d\d?)(?:\s*{_HOURS})?")
ABOUT = r"~|≈|ca?\.|ca|circa|about|approx\.?|etwa"  # before a number or a day
MAYBE = r" ?\(?\?\)?$"  # behind it
_DOUBT = re.compile(rf"^(?:{ABOUT}|environ|env\.?) ?(?=\d|(?:an?|half|eine|halbe) )|{MAYBE}")
_FROM_TO = re.compile(r"(\d[^-–]*?) ?(?:-|–|\bto\b|\bbis\b|à) ?(\d.*)")
_IN_FIGURES = {"half": "0.5", "halbe": "0.5", "a": "1", "an": "1", "eine": "1"} | {
    word: number for word, number in NUMBERS.items() if len(word) > 2
}
_IN_WORDS = re.compile(rf"({'|'.join(_IN_FIGURES)}) (?:an? )?(?={_HOURS}|{_MINUTES})(\S+)( and a half)?")
_TIME_OF_DAY = re.compile(r"(\d{1,2})(?:[:.h](\d\d))?(?::(\d\d)(?:\.\d+)?)?\s*(uhr|h|am|pm)?")


def minutes_of(text: str, *, in_hours: bool = False, with_point: bool = False) -> float | None:
    """Minutes of a duration; a bare number is minutes, or hours where the heading says so. None: not understood.

    Parameters
    ----------
    text : str
        The cell, with a decimal point or comma.
    in_hours : bool
        Whether a bare number is hours.
    with_point : bool
        Whether a point or comma stands between hours and minutes, so that 1.30 is an hour and a half.

    Examples
    --------
    >>> [minutes_of(text) for text in ("90", "1h30", "1:30", "1,5 h", "45 min", "2 Std", "1 h 5 min", "berta")]
    [90.0, 90.0, 90.0, 90.0, 45.0, 120.0, 65.0, None]
    >>> [minutes_of(text) for text in ("½ h", "1½ Std", "1/2 hr", "1 3/4 h", "½", "3/4")], minutes_of("1 ½", in_hours=True)
    ([30.0, 90.0, 30.0, 105.0, None, None], 90.0)
    >>> [minutes_of(text) for text in ("about an hour", "half an hour", "an hour and a half", "two hrs", "half a day")]
    [60.0, 30.0, 90.0, 120.0, None]
    >>> minutes_of(".5 h"), minutes_of(",75", in_hours=True), minutes_of("1 h .5")
    (30.0, 45.0, None)
    >>> minutes_of("1 23"), minutes_of("0 7")
    (83.0, 7.0)
    >>> minutes_of("1,5", in_hours=True), minutes_of("1.30 h"), minutes_of("1.30 h", with_point=True)
    (90.0, 78.0, 90.0)
    >>> [minutes_of(text) for text in ("15MINTUES", "20-25 MINS", "1-2 h", "10 min to 1 h", "ca. 20 min", "8-1")]
    [15.0, 22.5, 90.0, 35.0, 20.0, None]
    """
    text = _NO_NOUGHT.sub("0", _DOUBT.sub("", " ".join(text.casefold().split())))
    if told := _IN_WORDS.fullmatch(text):
        text = f"{float(_IN_FIGURES[told[1]]) + 0.5 * bool(told[3])} {told[2]}"
    if ends := _FROM_TO.fullmatch(text):
        return _middle(*ends.groups(), in_hours=in_hours, with_point=with_point)
    whole = _FRACTION.sub(_decimal, text)
    if whole != text and _BARE.fullmatch(whole) and not in_hours:
        return None  # of an hour, most likely, but it may be a day
    text = whole
    parted = _POINT.fullmatch(text) if with_point else None
    if parted and int(parted[2].ljust(2, "0")) < 60:
        return 60.0 * int(parted[1]) + int(parted[2].ljust(2, "0"))
    if _BARE.fullmatch(text):
        return _number(text) * (60 if in_hours else 1)
    clock = _CLOCK.fullmatch(text)
    if clock:
        return 60.0 * int(clock[1]) + int(clock[2])
    only = _ONLY_MINUTES.fullmatch(text)
    if only:
        return _number(only[1])
    words = _WORDS.fullmatch(text)
    if not words or not words[1]:
        return None
    return 60 * _number(words[1]) + _number(words[2] or "0")


def is_from_to(text: str) -> bool:
    """Whether a duration is told from one number to another, of which the middle is taken."""
    return bool(_FROM_TO.fullmatch(_DOUBT.sub("", text.casefold().strip()))) and minutes_of(text) is not None


def _middle(first, last, **how):
    """The middle of two durations, of which the first may leave its unit to the last; None where it is not the shorter."""
    unit = re.sub(r"^[\d.,:]+", "", last) if _BARE.fullmatch(first) else ""
    ends = [minutes_of(text, **how) for text in (first + unit, last)]
    return sum(ends) / 2 if all(ends) and ends[0] < ends[1] else None


def read_two_ways(texts, *, in_hours: bool, says_minutes: bool) -> frozenset[str]:
    """Of the durations of a column those that may be meant otherwise than they are read.

    Hours such as 1.30 may be an hour and a half, or 1.3 hours, unless others such as 0.75 or 1.33 show that the column is of
    decimals. A bare 1.5 is read as minutes, and may be hours, unless the heading says minutes.

    Examples
    --------
    >>> sorted(read_two_ways(["1.30 h", "0.45 h", "2 h"], in_hours=False, says_minutes=False))
    ['0.45 h', '1.30 h']
    >>> sorted(read_two_ways(["1.30", "0.75"], in_hours=True, says_minutes=False)), sorted(read_two_ways(
    ...     ["1,5", "20"], in_hours=False, says_minutes=False))
    ([], ['1,5'])
    """
    parted = {text: _POINT.fullmatch(" ".join(text.casefold().split())) for text in texts}
    parted = {text: found[2] for text, found in parted.items() if found}
    hours = {text: after for text, after in parted.items() if in_hours or not _BARE.fullmatch(text)}
    if any(
        len(after) == 2 and (after in ("25", "75") or after > "59" or after[1] not in "05")
        for after in hours.values()
    ):
        hours = {}
    minutes = set() if in_hours or says_minutes else {text for text in parted if _BARE.fullmatch(text)}
    return frozenset(
        {text for text, after in hours.items() if len(after) == 2 and after not in ("00", "50")} | minutes
    )


def time_of(text: str) -> time | None:
    """The time of day; None where it is not understood.

    Examples
    --------
    >>> [str(time_of(text)) for text in ("14:35", "9.05 Uhr", "14h35", "2 pm", "14:35:20", "25:00")]
    ['14:35:00', '09:05:00', '14:35:00', '14:00:00', '14:35:20', 'None']
    """
    found = _TIME_OF_DAY.fullmatch(" ".join(text.casefold().split()))
    if not found or not (found[2] or found[4]):
        return None
    hour, minute, second = (int(part or 0) for part in found.groups()[:3])
    if found[4] in ("am", "pm"):
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if found[4] == "pm" else 0)
    return time(hour, minute, second) if hour < 24 and minute < 60 and second < 60 else None


def _decimal(fraction):
    """A fraction, and the whole number before it, as a decimal number."""
    part = _SIGNS[fraction[3]] if fraction[3] else int(fraction[4]) / int(fraction[5])
    return f"{int(fraction[1] or fraction[2] or 0) + part:.2f}"


def _number(text):
    return float(text.replace(",", "."))
