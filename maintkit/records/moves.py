"""Cells that tell where a module went, one move behind the other: ``A7 -> ch 5, 20/2/25; A3 -> store``, as cards of modules keep them."""

import re

from .diary import is_day
from .known_words.meanings import LETTERS
from .known_words.outcomes import says_store
from .known_words.words import says_slot
from .remarks import DAY_OF
from .row_above import STRUCK_OUT
from .several import COUNTED_OR_MEASURED

CAME_OUT = "(came out)"  # what mapping.toml calls the module that made room
ADDED = (DAY_OF, CAME_OUT)
GOES = re.compile(r"(?<![<\w])[-=–]*>|→|\b(?:to|into|nach|vers|naar)\b", re.IGNORECASE)
_CLAUSES = re.compile(r"\s*[;\n]\s*")
_SLOT = re.compile(
    rf"\W*(?:in\s+)?(?P<slot>(?:(?P<word>[^\W\d]+)[ .#]*)?\d{{1,3}}[a-dlr]?)(?![^\W_]|\W+{COUNTED_OR_MEASURED})",
    re.IGNORECASE,
)
PARTS = {one.casefold() for one in LETTERS}  # before the number of a part
_ENDS = " ,.;:()[]"


def moves_in(text: str, serial: str) -> list[tuple[str, str, str]]:
    """The slot, the day and the module that made room, '' where none is named, of each move of a module into a slot that a cell tells the day of.

    Moves end at a semicolon or a line; one of another module is none of this one, but tells that it made room. A day names its year.

    Examples
    --------
    >>> moves_in("A-7 -> ch 5, 20/2/25; A-3 -> store", "A-7"), moves_in("-> store 20/2/25; -> ch 8 (for A-9) 6/4/25", "A-3")
    ([('ch 5', '20/2/25', 'A-3')], [('ch 8', '6/4/25', 'A-9')])
    >>> moves_in("lent 2/1/25; home again 9/3/25 -> 2", "A-1"), moves_in("A-1 <-> A-2, 1/5/25", "A-1"), moves_in("-> ch 6, 8/5", "A-1")
    ([('2', '9/3/25', '')], [], [])
    >>> moves_in("sent to 35V caps 3/5/24; hum -> C12 new 4/5/24; to the bench 5/5/24", "A-1")
    []
    """
    many = f"{{{len(serial)}}}" if serial.isdigit() else "+"  # else slots are serials, too
    shape = re.sub(r"\d+", lambda _: rf"\d{many}", re.escape(serial))
    alike = re.compile(rf"(?<!\w){shape}(?!\w)", re.IGNORECASE)
    found = []
    for clause in _CLAUSES.split(text):
        day = _day_in(clause)
        before, *behind = GOES.split(clause.replace(day, " ") if day else clause)
        others = [one for one in alike.findall(clause) if one.casefold() != serial.casefold()]
        slot = _slot_in(alike.sub(" ", behind[-1])) if behind else ""
        is_own = not (named := alike.findall(before)) or named[-1].casefold() == serial.casefold()
        if slot and day and is_own:
            found.append((slot, day, others[0] if others else ""))
        elif found and others and not (slot or is_own or found[-1][2]):
            found[-1] = (*found[-1][:2], others[0])
    return found


def _slot_in(place):
    """The slot with which a text begins; '' where it names a store, a part or how much of something."""
    found = _SLOT.match(place.lstrip(_ENDS))
    word = ((found and found["word"]) or "").casefold()
    is_word = not word or says_slot(word) or (len(word) == 1 and word not in PARTS)
    return found["slot"] if found and is_word and not says_store(found["slot"]) else ""


def _day_in(clause):
    """The day that a clause names in full, in a word or in three."""
    words = clause.split()
    spans = (" ".join(words[at : at + many]).strip(_ENDS) for many in (1, 3) for at in range(len(words)))
    return next((one for one in spans if is_day(one, None)), "")


def with_moves(records, place: int, own: int, first_row: int):
    """The records of a sheet, ``(row number, fields, refusal)``, each below ``first_row`` once for every move into a slot that its cell at ``place``
    tells of the module at ``own``: with the slot in that cell, and the day and the module that made room behind the last; one that tells of
    none is left out, and counted so."""
    for number, fields, refusal in records:
        if refusal or number <= first_row or not any(map(str.strip, fields)):
            yield number, fields, refusal
            continue
        moves = moves_in(fields[place], fields[own].strip()) if fields[own].strip() else []
        for slot, day, out in moves:
            yield number, [*fields[:place], slot, *fields[place + 1 :], day, out], ""
        if not moves:
            yield number, [*fields, "", ""], STRUCK_OUT
