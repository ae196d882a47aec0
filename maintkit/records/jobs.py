"""Cells that tell several jobs of one visit, parted by a semicolon or a line each: ``ch 7 dead, new relay; 22 crackles, pot cleaned``."""

import re

from .diary import BULLET
from .known_words.meanings import PLACE
from .known_words.part_kinds import part_in_text, work_in_text
from .known_words.words import fold, is_wholly, says, vocabulary
from .several import BEGINS_WITH_A_SLOT

_PARTED = re.compile(r"\s*(?:\n|;(?![^()]*\)))\s*")
_CLAUSE = re.compile(r"[,.:]\s+|\s+[-–—]+\s+")
_NAMES = re.compile(r"[^\W\d_][\w .]{0,30}(?:[+/&,]\s*[^\W\d_][\w .]{0,30})+")
_BETWEEN_NAMES = re.compile(r"\s*[+/&,]\s*")
_LED = re.compile(r"([^\W\d_][\w .]{0,30}?)\s*(?::|\s[-–—])\s+(?=\S)")


def pieces_in(text: str) -> list[str]:
    """What stands between the semicolons and the ends of lines of a text, those within brackets apart, without marks of a list."""
    pieces = (BULLET.sub("", one, count=1).strip() for one in _PARTED.split(text.strip()))
    return [one for one in pieces if any(map(str.isalnum, one))]


def jobs_in(text: str) -> list[str]:
    """The jobs that a text tells: each of its pieces that names a slot, a complaint or work of its own.

    A piece that names no slot goes on from the one before where that tells of something wrong and not what it was.

    Examples
    --------
    >>> jobs_in("ch 7 no output - relay replaced; 22 crackly, cleaned (pot; switch); dusted the filters")
    ['ch 7 no output - relay replaced', '22 crackly, cleaned (pot; switch)', 'dusted the filters']
    >>> jobs_in("17 aux 2 not working; bad pot, replaced; all ok\\nre-capped 1-4")
    ['17 aux 2 not working; bad pot, replaced; all ok', 're-capped 1-4']
    """
    return [job for _, job in _jobs_of(text, frozenset())]


def _jobs_of(text, names):
    """The jobs of a text, and of each which of some ``names`` it is led by, as ``A: 7 dead`` is, or the one before it."""
    jobs, name = [], ""
    for piece in pieces_in(text):
        led = _LED.match(piece)
        is_led = bool(led) and led[1].casefold() in names
        name, piece = (led[1].casefold(), piece[led.end() :]) if is_led else (name, piece)
        is_own = is_led or is_of_a_slot(piece)
        if jobs and not is_own and _goes_on(piece, jobs[-1][1]):
            jobs[-1] = (jobs[-1][0], f"{jobs[-1][1]}; {piece}")
        else:
            jobs.append((name, piece))
    return jobs


def with_jobs(records, place: int, of_all, first_row: int):
    """The records of a sheet, ``(row number, fields, refusal)``, each below ``first_row`` once for every job that its cell at ``place`` tells.

    Where they are several, the cells at the places ``of_all`` are of all of them and left blank, but one that has as many pieces: then
    each job has its own. Of a cell that lists names, as ``A + B`` does, two or more of which lead jobs, each has the one that leads it.

    Examples
    --------
    >>> rows = [(5, ["3 May", "A + B", "6 h", "A: 7 dead, relay; 9 dull, cap; B: 3 hums"], None)]
    >>> [fields for _, fields, _ in with_jobs(rows, 3, {2}, 0)]
    [['3 May', 'A', '', '7 dead, relay'], ['3 May', 'A', '', '9 dull, cap'], ['3 May', 'B', '', '3 hums']]
    """
    for number, fields, refusal in records:
        if refusal or number <= first_row:
            yield number, fields, refusal
            continue
        at_names, names, jobs = _with_names(fields, place)
        pieces = {at: pieces_in(cell) for at, cell in enumerate(fields) if at != place and len(jobs) > 1}
        for nth, (name, job) in enumerate(jobs or [("", "")]):
            row = ["" if at in of_all and len(jobs) > 1 else cell for at, cell in enumerate(fields)]
            for at, own in pieces.items():
                row[at] = own[nth] if len(own) == len(jobs) else row[at]
            row[place] = job if len(jobs) > 1 else fields[place]
            if name and at_names is not None:
                row[at_names] = names[name]
            yield number, row, refusal


def _with_names(fields, place):
    """The place of a cell that lists names two of which lead jobs of the cell at ``place``, these names, and the jobs; None where there is none."""
    for at, cell in enumerate(fields):
        names = {one.casefold(): one for one in _BETWEEN_NAMES.split(cell.strip())}
        if at == place or not _NAMES.fullmatch(cell.strip()):
            continue
        jobs = _jobs_of(fields[place], names.keys())
        if len({name for name, _ in jobs} - {""}) > 1:
            return at, names, jobs
    return None, {}, _jobs_of(fields[place], frozenset())


def is_of_a_slot(text: str) -> bool:
    """Whether a text names a slot by a word and a number, or begins with a number that is one."""
    low = fold(text)
    return bool(vocabulary().in_cells["position"].search(low) or BEGINS_WITH_A_SLOT.search(low))


def _goes_on(piece, before):
    """Whether a piece that names no slot tells the cause or the work of the one ``before`` it, which tells neither, or nothing of its own."""
    if says("symptom", piece):
        return False
    is_cause, is_work = bool(says("finding", piece)), bool(work_in_text(piece))
    if not (is_cause or is_work) or any(
        is_wholly(kind, piece.strip(" .!")) for kind in ("all_well", "cured")
    ):
        return True
    _, *behind = _CLAUSE.split(before)
    is_told = work_in_text(before) or any(part_in_text(one) or PLACE.search(one) for one in behind)
    is_open = not is_told and bool(is_of_a_slot(before) or says("symptom", before))
    return is_open and (is_cause or not behind)
