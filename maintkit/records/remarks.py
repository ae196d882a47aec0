"""Cells that hold lines or remarks, each with its day: ``[08.10.2023 01:30 R.T.] C14 replaced``, as request lists and histories keep them."""

import re
from itertools import product

from .days import month_and_year
from .diary import BULLET, day_and_rest, is_day
from .known_words.part_kinds import work_in_text
from .row_above import STRUCK_OUT

DAY_OF = "(day)"  # what mapping.toml calls the day of a line or remark
OPENS, CLOSES = "[(", "])"
PARTS = re.compile(r"(?<=[.;|!?])\s+(?=[\[(]?\d)")  # of a line, where the next may begin with a day
MOST_OF_A_NAME = 40  # letters between a day and the bracket that closes behind it
A_YEAR = re.compile(r"(?:19|20)\d\d")
_SHORT_MONTH = re.compile(r"(?P<month>0[1-9]|1[0-2])/(?P<year>\d\d)")  # 06/22
_YEAR_FIRST = re.compile(r"(?P<year>20\d\d)[./-](?P<month>0[1-9]|1[0-2])")
_ENDS = " \t:,;-–—"
_AROUND = f"{_ENDS}.!?()[]"
_BEFORE = re.compile(r"\s+(?:in|on|at|since|im|am|seit|en|le|op)$", re.IGNORECASE)
MOST_WORDS = 3  # of a month and its year, or of a day within a line


def remarks_in(text: str) -> list[tuple[str, str]]:
    """The day and the text of each remark of a cell; the day is blank of what has none.

    A remark begins with a day in full, in a new line or behind the end of a sentence, and goes on up to the next. A line that begins with
    a month and its year, or a year alone, is one too, and so is one that tells of work and names its own time behind it; below a month or year
    nothing goes on. Who wrote it is left out where it stands in brackets with the day.

    Examples
    --------
    >>> remarks_in("[08.10.2023 01:30 R.T.] listened\\n20.10.23 Wim - C14 replaced,\\nC15 too")
    [('08.10.2023 01:30', 'listened'), ('20.10.23', 'Wim - C14 replaced C15 too')]
    >>> remarks_in("3/2/25: looked at it. 5/2/25: 2 lamps replaced")
    [('3/2/25', 'looked at it.'), ('5/2/25', '2 lamps replaced')]
    >>> remarks_in("- [08.10.2023 R.T.] listened\\n- [9.10.2023 R.T.] C14 replaced")
    [('08.10.2023', 'listened'), ('9.10.2023', 'C14 replaced')]
    >>> remarks_in("9/2/21 hum\\nmay 24 hum again\\nRe-capped in 06/22 (Jo)\\n2019: re-capped\\nhisses")
    [('9/2/21', 'hum'), ('may 24', 'hum again'), ('06/2022', 'Re-capped (Jo)'), ('2019', 're-capped'), ('', 'hisses')]
    >>> remarks_in("switch cleaned"), remarks_in(" ")
    ([('', 'switch cleaned')], [])
    """
    found = []
    for line in (BULLET.sub("", line, count=1).strip() for line in text.splitlines()):
        for at, part in enumerate(filter(None, PARTS.split(line))):
            day, said = _day_and_said(part) or (at == 0 and _period_and_said(part)) or ("", part)
            begun, told = found[-1] if found else ("", "")
            if found and not day and (not (begun and told) or is_day(begun, None)):
                found[-1] = (begun, f"{told} {said}".strip())
            else:
                found.append((day, said))
    return found


def _day_and_said(part):
    """The day in full with which a remark begins, and what it says behind it; None where it begins with none."""
    found = day_and_rest(part.lstrip(OPENS), None)
    return found and (found[0].strip(OPENS + CLOSES), _said(found[1]) if part[0] in OPENS else found[1])


def _said(rest):
    """What stands behind the bracket that closes after a day."""
    ends = [at for mark in CLOSES if 0 <= (at := rest.find(mark)) <= MOST_OF_A_NAME]
    return rest[min(ends) + 1 :].strip() if ends else rest


def _period_and_said(line):
    """The month or year with which a line begins, or the time that it names behind work, and the rest; None where there is neither."""
    words = line.split()
    for at, many in product(range(len(words)), range(MOST_WORDS, 0, -1)):
        named, before = " ".join(words[at : at + many]).strip(_AROUND), " ".join(words[:at])
        time = _time(named, is_first=at == 0) if named[-1:].isdigit() else ""
        if time and (not at or work_in_text(before)):
            return time, " ".join([_BEFORE.sub("", before), *words[at + many :]]).strip(_ENDS)
    return None


def _time(text, *, is_first):
    """A text that is a year, a month with its year, or behind other words a day in full; '' where it is none."""
    for pattern in (_SHORT_MONTH, _YEAR_FIRST):
        month = pattern.fullmatch(text)
        if month and int(month["year"]) != int(month["month"]) + 1:  # else two slots side by side
            return f"{month['month']}/20{month['year'][-2:]}"
    in_full = not (is_first or text.isdecimal()) and is_day(text, None)
    return text if A_YEAR.fullmatch(text) or month_and_year(text) or in_full else ""


def with_dated_lines(records, place: int, first_row: int):
    """The records of a sheet, ``(row number, fields, refusal)``, each below ``first_row`` once for every line of its cell at ``place`` that
    has a day, and for what has none: with that in the cell, and its day behind the last cell."""
    return _spread(records, place, first_row, bool)


def with_remarks(records, place: int, first_row: int):
    """The same once for every remark that tells of work; those that tell of none are left out, and counted so."""
    return _spread(records, place, first_row, work_in_text)


def _spread(records, place, first_row, counts):
    for number, fields, refusal in records:
        if refusal or number <= first_row or not any(map(str.strip, fields)):
            yield number, fields, refusal
            continue
        for day, said in remarks_in(fields[place]) or [("", "")]:
            why = "" if counts(said) or not said else STRUCK_OUT
            yield number, [*fields[:place], said, *fields[place + 1 :], day], why
