"""Cells that tell the complaint and, behind a mark, the work: ``dead -> joint re-soldered``, ``fader rough / cleaned``."""

import re

from .known_words.no_report import tells_work_alone
from .known_words.words import says

WORK = "(work)"  # what mapping.toml calls what stands behind the mark
_CLAUSE = re.compile(r"[.,;:]\s+")
_MARK = re.compile(r"\s*(?:->|=>|→)\s*|\s+[/–—-]\s+")


def complaint_and_work(text: str, tells_work) -> tuple[str, str]:
    """What stands before the first mark of a text and behind it, where nothing else does before or behind the last bare stroke.

    A text without a mark is work where ``tells_work(text)``, from the clause on before which it tells what was wrong, else a complaint.

    Examples
    --------
    >>> told = "re-cap".__eq__
    >>> [complaint_and_work(one, told) for one in ("dead -> joint", "dead / ?", "on/off switch - ok", "on/off switch/cleaned", "no o/p", "re-cap")]
    [('dead', 'joint'), ('dead', ''), ('on/off switch', 'ok'), ('on/off switch', 'cleaned'), ('no o/p', ''), ('', 're-cap')]
    >>> [complaint_and_work(one, lambda text: "new" in text) for one in ("19 dead. new fuse", "new fuse, 19 dead", "19 dead, all of it")]
    [('19 dead', 'new fuse'), ('', 'new fuse, 19 dead'), ('19 dead, all of it', '')]
    """
    before, *behind = _MARK.split(text.strip(), maxsplit=1)
    if not behind:
        before, stroke, rest = text.strip().rpartition("/")
        behind = [rest] if stroke and (len(rest) > 1 or rest == "?") and len(before) > 1 else []
    if behind:  # of which a question mark alone tells none
        return before.strip(), behind[0].strip().removeprefix("?")
    if not tells_work(text):
        return text, ""
    parts = ((text[: one.start()], text[one.end() :]) for one in _CLAUSE.finditer(text))
    told = (two for two in parts if says("symptom", two[0]) and not tells_work(two[0]) and tells_work(two[1]))
    return next(told, ("", text))


def with_work(records, place: int, first_row: int):
    """The records of a sheet, ``(row number, fields, refusal)``, each below ``first_row`` with the work of the cell at ``place`` behind its
    last cell, and in that cell the complaint alone."""
    for number, fields, refusal in records:
        if refusal or number <= first_row or not any(map(str.strip, fields)):
            yield number, fields, refusal
        else:
            complaint, work = complaint_and_work(fields[place], tells_work_alone)
            yield number, [*fields[:place], complaint, *fields[place + 1 :], work], ""
