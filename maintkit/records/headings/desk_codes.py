"""Desk and slot in one code, such as ``ST2-C014``: which part of it is the desk, and how else the same desk is written."""

import re

from maintkit.records.folding import fold_desk
from maintkit.records.known_words.words import fold, vocabulary
from maintkit.records.lookups import BEGIN

CODE = re.compile(  # its desk ends in a number; a slot that is a number alone stands behind a mark
    r"(?P<desk>(?:[^\W_]+[-_. ]?){0,3}?(?<!\d)\d{1,3})(?:(?=[^\W\d_])|[-_./:| ]+)(?P<slot>[^\W\d_]{0,4}[-_. ]?\d{1,4}[^\W\d_]?)"
)
LETTERS, LETTER = re.compile(r"[^\W\d_]*"), re.compile(r"[^\W\d_]")
ONE_WORD = re.compile(r"\S*\d\S*")
FEWEST, FEWEST_SLOTS = 5, 4  # codes, and different slots in them
SLOTS_A_DESK, CODES_A_DESK = 1.5, 4  # on average at least
# share of what begins as they do that are such codes, and that are these or a desk alone
HALF, MOST = 0.5, 0.8
OF_ALL = 0.2  # share of all cells, for other gear may have codes of its own


def desks_in_codes(texts) -> tuple[str, ...]:
    """The desks of codes, in every spelling that is met, the longest first; none where cells are no such codes.

    A desk is the part before the slot. There are few of them, and many slots; other gear may have codes that begin otherwise.

    Examples
    --------
    >>> desks_in_codes(["ST-02-C014", "ST-02-C003", "st2-c3", "ST-01-C014", "ST-01", "ST-01-G02", "AMP-004", "ST-02-C9"])
    ('ST-01', 'ST-02', 'st2')
    >>> desks_in_codes(["1/C4", "1/C9", "2/C4", "2/C12", "2/C9", "1/C30"])
    ('1', '2')
    >>> desks_in_codes(["EQ-0104", "EQ-0231", "MP-0077", "MP-0078", "EQ-0009"]), desks_in_codes(["ch1-C4", "ch2-C4", "ch2-C9", "ch1-C7", "ch1-R1"])
    ((), ())
    """
    found = [one for one in map(CODE.fullmatch, texts) if one and LETTER.search(one[0])]
    desks = {fold_desk(one["desk"]) for one in found}
    slots = {(fold_desk(one["desk"]), fold_desk(one["slot"])) for one in found}
    is_few = 1 < len(desks) <= max(2, len(found) / CODES_A_DESK)
    is_many = len({slot for _, slot in slots}) >= FEWEST_SLOTS and len(slots) >= SLOTS_A_DESK * len(desks)
    is_slot = vocabulary().in_cells["position"].match
    if len(found) < FEWEST or not (is_few and is_many) or any(is_slot(fold(one["desk"])) for one in found):
        return ()
    alone = [text for text in texts if fold_desk(text) in desks]
    begins = {_first_letters(desk) for desk in desks}
    alike = sum(_first_letters(text) in begins for text in texts)
    if len(found) < max(HALF * alike, OF_ALL * len(texts)) or len(found) + len(alone) < MOST * alike:
        return ()
    spelled = {*(one["desk"] for one in found), *alone}
    return tuple(sorted(spelled, key=lambda name: (-len(name), name)))


def words_for_desks(desks) -> dict[str, str]:
    """The words of a lookup for some desks, the longest first, each with the first of the same name; a mere number must begin the cell.

    Examples
    --------
    >>> words_for_desks(("ST-01", "ST-02", "st2")), words_for_desks(("7",))
    ({'st-01': 'ST-01', 'st-02': 'ST-02', 'st2': 'ST-02'}, {'^7': '7'})
    """
    first = {fold_desk(name): name for name in reversed(desks)}
    return {f"{BEGIN * name.isdecimal()}{name.casefold()}": first[fold_desk(name)] for name in desks}


def begins_otherwise(text, desks) -> bool:
    """Whether a text is a code of letters and figures that begins with other letters than some desks, as that of an amplifier would.

    Examples
    --------
    >>> [begins_otherwise(text, ("ST-01", "ST-02")) for text in ("AMP-004", "ST-07", "Desk 2", "927", "ST")]
    [True, False, False, False, False]
    """
    is_code = ONE_WORD.fullmatch(text) and LETTER.search(text)
    return bool(is_code) and _first_letters(text) not in {*map(_first_letters, desks)}


def _first_letters(text):
    return LETTERS.match(text.casefold())[0]
