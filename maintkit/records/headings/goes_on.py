"""Lines of a diary that go on with an earlier one: what was done about it, or that it is there still."""

import re
from collections import Counter
from itertools import product

from maintkit.records.folding import BESIDE_CHANNELS, CHANNEL, SAME_WORD
from maintkit.records.known_words.meanings import MENDS, SWAP
from maintkit.records.known_words.outcomes import outcome_in_text, says_in_vain
from maintkit.records.known_words.part_kinds import part_in_text, work_in_text
from maintkit.records.known_words.progress import is_back_in
from maintkit.records.known_words.words import fold, says
from maintkit.records.lookups import BEGINS_WITH_A_SLOT

from .date_order import days_in_order
from .desks_in_text import desks_before_numbers
from .slots_named import SENDS, numbered, slot_named

SLOT_WITHIN, NEXT_WITHIN = 30, 3  # days, own choice
NUMBER = re.compile(r"\d+")
BEHIND_A_NAME = re.compile(r"^\W*[^\W\d]+\W*?(\d{1,3})(?!\w*\d)")
BEHIND_A_ROOM = re.compile(r"^\W*[^\W\d]{1,4}\d{1,2}\W{1,2}(\d{1,3})(?![^\W_]|[.,:/%-]\d)")  # R1 29
FIRST_WORD = re.compile(r"^\W*([^\W\d]+)")


def lines_that_go_on(days, texts) -> list[str]:
    """The texts of a diary, a line each, that tell of an entry before them: work, a part or that it is there again, of a slot that had
    one within a month of which no work was told; or of no slot, and no complaint, a day or two after the line before.

    ``days`` and ``texts`` are columns of cells; a blank day is that of the line above.

    Examples
    --------
    >>> days = ["2/10/23", "", "3/10/23", "", "9/10/23", "1/12/23"]
    >>> told = ["Grp 3 dead", "14 crackles, pot cleaned", "grp 3 was the output cap, 2 changed", "swapped the relay too", "14 crackles again, new pot", "grp 3 cap changed"]
    >>> lines_that_go_on(days, told)
    ['grp 3 was the output cap, 2 changed', 'swapped the relay too']
    """
    texts = [*texts]
    desks = "|".join(re.escape(fold(name)) for name in desks_before_numbers(texts))
    open_since, told_on, before, found = {}, {}, None, []
    for day, text in zip(days_in_order(days), texts, strict=True):
        if not text:
            continue
        slot, work, complains = _slot_of(text, desks), work_in_text(text), bool(says("symptom", text))
        more_known = work in MENDS | {SWAP} or (not complains and (work or part_in_text(text)))
        tells_more = more_known or says("again", text) or says_in_vain(text)
        if slot:
            (begun, names), own = open_since.get(slot, (None, frozenset())), _names_in(text, desks)
            if is_back_in(text):  # whatever was told of work on it
                begun = told_on.get(slot)
            same = day and begun and (day - begun).days <= SLOT_WITHIN and _may_be_one(names, own)
            goes_on = same and tells_more
            open_since[slot] = (None if _ends(text, work) else day, own or names)
            told_on[slot] = day
        else:
            soon = day and before and (day - before).days <= NEXT_WITHIN
            goes_on = soon and tells_more and not complains
        found += [text] if goes_on else []
        before = day
    times = Counter(texts)
    return [text for text in found if times[text] == 1]


def _ends(text, work):
    """Whether the work told at once with an entry ends it; a test that found nothing out does not, such as one of the fire alarm."""
    return bool(work) and (work != "test" or bool(outcome_in_text(text)))


def _slot_of(text, desks):
    """The slot that a text names first, or with the number of which it begins, behind a name or none, or that stands behind one of the ``desks``:
    what it is and its number; in Heron 12 aux 2 that is 12."""
    low = fold(text)
    begun = re.search(rf"(?<!\w)(?:{desks})\W{{1,2}}(\d{{1,3}})(?!\w*\d)", low) if desks else None
    begun = begun or BEGINS_WITH_A_SLOT.search(low) or BEHIND_A_ROOM.match(low) or BEHIND_A_NAME.match(low)
    named = slot_named(low, of_gear=False)
    if named and not (begun and numbered(named[0]) in SENDS and begun.start(1) < named.start()):
        word = numbered(named[0]).removesuffix(" #")
        return CHANNEL if SAME_WORD.get(word) == CHANNEL else word, NUMBER.search(named[0])[0]
    return begun and (CHANNEL, NUMBER.search(begun[1])[0])


def _names_in(text, desks):
    """The ``desks`` that a text names; where none are known the word with which it begins, but one for a slot."""
    if desks:
        return frozenset(re.findall(rf"(?<!\w)(?:{desks})(?!\w)", fold(text)))
    first = FIRST_WORD.match(fold(text))
    return frozenset(first.groups() if first else ()) - {*SAME_WORD} - BESIDE_CHANNELS


def _may_be_one(names, others):
    """Whether two names, each perhaps one of some words, are of one desk, or one of them is none."""
    pairs = product(names, others)
    return not names or not others or any(one.startswith(two) or two.startswith(one) for one, two in pairs)
