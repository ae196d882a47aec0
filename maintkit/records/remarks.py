"""Cells that hold a thread of remarks, each begun with its day: ``[08.10.2023 01:30 R.T.] C14 replaced``, as request lists keep them."""

import re

from .diary import BULLET, day_and_rest
from .known_words.part_kinds import work_in_text

DAY_OF = "(day)"  # what mapping.toml calls the day of a remark
OPENS, CLOSES = "[(", "])"
PARTS = re.compile(r"(?<=[.;|!?])\s+(?=[\[(]?\d)")  # of a line, where the next may begin with a day
MOST_OF_A_NAME = 40  # letters between a day and the bracket that closes behind it


def remarks_in(text: str) -> list[tuple[str, str]]:
    """The day and the text of each remark of a cell; the day is blank of what stands before the first.

    A remark begins with a day in full, in a new line or behind the end of a sentence, and goes on up to the next. Who wrote it is left out where it stands in brackets with the day.

    Examples
    --------
    >>> remarks_in("[08.10.2023 01:30 R.T.] listened\\n20.10.23 Wim - C14 replaced,\\nC15 too")
    [('08.10.2023 01:30', 'listened'), ('20.10.23', 'Wim - C14 replaced C15 too')]
    >>> remarks_in("3/2/25: looked at it. 5/2/25: 2 lamps replaced")
    [('3/2/25', 'looked at it.'), ('5/2/25', '2 lamps replaced')]
    >>> remarks_in("- [08.10.2023 R.T.] listened\\n- [9.10.2023 R.T.] C14 replaced")
    [('08.10.2023', 'listened'), ('9.10.2023', 'C14 replaced')]
    >>> remarks_in("switch cleaned"), remarks_in(" ")
    ([('', 'switch cleaned')], [])
    """
    found = []
    lines = (BULLET.sub("", line, count=1).strip() for line in text.splitlines())
    for part in filter(None, (part for line in lines for part in PARTS.split(line))):
        day, said = day_and_rest(part.lstrip(OPENS), None) or ("", part)
        said = _said(said) if day and part[0] in OPENS else said
        if found and not day:
            found[-1] = (found[-1][0], f"{found[-1][1]} {said}")
        else:
            found.append((day.strip(OPENS + CLOSES), said))
    return found


def _said(rest):
    """What stands behind the bracket that closes after a day."""
    ends = [at for mark in CLOSES if 0 <= (at := rest.find(mark)) <= MOST_OF_A_NAME]
    return rest[min(ends) + 1 :].strip() if ends else rest


def with_remarks(records, place: int, first_row: int):
    """The records of a sheet, ``(row number, fields, refusal)``, each below ``first_row`` once for every remark of its cell at ``place``
    that tells of work: with that in the cell, and its day behind the last cell. One without such has a blank there."""
    for number, fields, refusal in records:
        if refusal or number <= first_row or not any(map(str.strip, fields)):
            yield number, fields, refusal
            continue
        work = [(day, said) for day, said in remarks_in(fields[place]) if work_in_text(said)]
        for day, said in work or [("", "")]:
            yield number, [*fields[:place], said, *fields[place + 1 :], day], ""
