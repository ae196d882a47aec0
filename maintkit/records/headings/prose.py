"""Prose in which a cell tells of faults of several desks, by what it calls them, and of other matters, as a drafter sees it."""

import re
from collections import Counter
from dataclasses import replace

from maintkit.records.cells import meaning_of
from maintkit.records.mapping import Lookup
from maintkit.records.several import in_lines, sentences_in

from .by_line import with_a_row_each
from .part_kinds import work_in_text
from .words import fold, vocabulary

FEWEST = 3  # times that a desk is named
# cells that name slots in two sentences; times that a sentence begins with other gear
FEWEST_TOLD, FEWEST_GEAR = 2, 2
NAMED = 0.8  # share of the sentences with a slot that must name its desk
# other things are called so
OTHERS_TOO = frozenset(("board", "control", "table", "surface", "mixing", "the", "das"))
POINTING = frozenset(
    ("the", "a", "an", "this", "that", "our", "my", "his", "her", "their", "your", "each", "every", "both", "other", "another", "whole",
     "same", "any", "no", "on", "of", "in", "at", "to", "and", "or", "das", "dem", "des", "ein", "am", "im", "vom", "zum", "und", "mixing")
)  # fmt: skip


def desks_in_prose(texts) -> tuple[str, ...]:
    """The desks that texts name by a word before the one for a desk, such as ``big desk``, again and again; none where it is one alone.

    Examples
    --------
    >>> desks_in_prose(["Ch 3 on the big desk dead.", "12, little desk, hums. Like a desk again.", "Big desk: ch 4."] * 3)
    ('big desk', 'little desk')
    """
    words = "|".join(sorted(vocabulary().desks - OTHERS_TOO, key=len, reverse=True))
    called = re.compile(rf"(?i)([^\W\d_][\w'’-]*(?: \d{{1,2}})?) ({words})\b")
    found = [one[0] for text in texts for one in called.finditer(text) if one[1].casefold() not in POINTING]
    times, spelled = Counter(map(str.casefold, found)), Counter(found)
    written = {one.casefold(): one for one, _ in reversed(spelled.most_common())}
    names = tuple(written[name] for name, many in times.most_common() if many >= FEWEST)
    return names if len(names) > 1 else ()


def a_sentence_each(group, placing):
    """A group of sheets with a row for each entry where its complaints are prose that tells of several, by sentences that name the desk.

    An entry begins with a sentence that names a desk, a slot, or again and again other gear; the sentences behind it go on from
    it. The group as it is where a column has desks or slots, or too many sentences name a slot and not its desk.
    """
    said = placing.heading("symptom")
    if placing.table != "tickets" or said not in group.cells or {"desk", "position"} & placing.names:
        return group
    desks = desks_in_prose(group.cells[said].texts)
    words = _begin_entries([sentences_in(text) for text in group.cells[said].texts], desks) if desks else ()
    if not words:
        return group
    known = Lookup(said, dict.fromkeys(words, said), within=True, otherwise="")

    def begins(line):
        return bool(meaning_of(line.casefold(), known))

    told = group.cells[said]
    lines = replace(told, column=tuple(in_lines(text, begins) for text in told.column))
    return with_a_row_each(group, group.cells | {said: lines}, {said: words}, begins, desks)


def _begin_entries(texts, desks):
    """The words by which a sentence of some texts begins an entry: the desks, words for slots, other gear; none where they tell too little."""
    texts = [[sentence.casefold() for sentence in text] for text in texts]
    every = [sentence for text in texts for sentence in text]
    names = re.compile("|".join(re.escape(desk.casefold()) for desk in desks))
    slots = [(one, found[0]) for one in every if (found := vocabulary().in_cells["position"].search(one))]
    several = sum(sum(bool(names.search(one)) for one in text) > 1 for text in texts)
    if several < FEWEST_TOLD or sum(bool(names.search(one)) for one, _ in slots) < NAMED * len(slots):
        return ()
    words = dict.fromkeys(re.sub(r"\W*\d+\w?$", " #", slot) for _, slot in slots)
    return (*map(str.casefold, desks), *words, *_gear(every, names))


def _gear(sentences, names):
    """The first two words of sentences that name no desk and begin with other gear, again and again."""
    gear = vocabulary().in_cells["other_gear"]
    firsts = Counter(
        " ".join(re.findall(r"[^\W_]+", one)[:2])
        for one in sentences
        if not names.search(one) and gear.match(fold(one))
    )
    return [first for first, many in firsts.items() if many >= FEWEST_GEAR and not work_in_text(first)]
