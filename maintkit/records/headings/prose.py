"""Cells that hold several entries, as a drafter sees them: one a line, each of a slot of its own, or prose that names the desks."""

import re
from collections import Counter
from dataclasses import replace

from maintkit.records.known_words.no_report import tells_work_alone
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.words import fold, vocabulary
from maintkit.records.lookups import AT_THE_BEGINNING, BEGINS_WITH_A_SLOT, meaning_of
from maintkit.records.mapping import Lookup
from maintkit.records.several import a_row_a_line, in_lines, sentences_in
from maintkit.records.work_behind import WORK, complaint_and_work

from .slots_named import numbered
from .values import Cells

FEWEST_LINES = 2  # cells of which several lines name a slot, from which a line is an entry
FEWEST = 3  # times that a desk is named
# cells that tell work behind a complaint, and their share of all; of them that tell the other thing there
FEWEST_PAIRS, MOST_PAIRS, FEW = 2, 0.6, 0.3
# cells that name slots in two sentences; times that a sentence begins with other gear
FEWEST_TOLD, FEWEST_GEAR = 2, 2
NAMED = 0.8  # share of the sentences with a slot that must name its desk
# other things are called so
OTHERS_TOO = frozenset(("board", "control", "table", "surface", "mixing", "the", "das"))


def desks_in_prose(texts) -> tuple[str, ...]:
    """The desks that texts name by a word before the one for a desk, such as ``big desk``, again and again; none where it is one alone.

    Examples
    --------
    >>> desks_in_prose(["Ch 3 on the big desk dead.", "12, little desk, hums. Like a desk again.", "Big desk: ch 4."] * 3)
    ('big desk', 'little desk')
    """
    words = "|".join(sorted(vocabulary().desks - OTHERS_TOO, key=len, reverse=True))
    called = re.compile(rf"(?i)([^\W\d_][\w'’-]*(?: \d{{1,2}})?) ({words})\b")
    pointing = vocabulary().pointing
    found = [one[0] for text in texts for one in called.finditer(text) if one[1].casefold() not in pointing]
    times, spelled = Counter(map(str.casefold, found)), Counter(found)
    written = {one.casefold(): one for one, _ in reversed(spelled.most_common())}
    names = tuple(written[name] for name, many in times.most_common() if many >= FEWEST)
    return names if len(names) > 1 else ()


def with_entries(group, likely):
    """A group of sheets with a row for each entry where the cells of its complaints hold several; else the group as it is.

    ``likely`` are the placings of its tables. Its ``by_line`` are the headings whose cells hold entries, complaints first, and the
    words by which an entry begins. Where a column has the slots there are none.
    """
    said = likely[0].heading("symptom") if likely and likely[0].table == "tickets" else ""
    if said not in group.cells or likely[0].heading("position"):
        return group
    group = _a_line_each(group, said)
    return group if likely[0].heading("desk") else _a_sentence_each(group, said)


def _a_line_each(group, said):
    """A group with a row for each line of its complaints, where enough cells name two slots."""
    named = [[*map(_slot_in, text.splitlines())] for text in group.texts(said) if "\n" in text]
    if sum(len({*filter(None, lines)}) > 1 for lines in named) < FEWEST_LINES:
        return group
    found = [one for lines in named for one in lines if one]
    words = dict.fromkeys(AT_THE_BEGINNING if one[0].isdigit() else numbered(one) for one in found)
    beside = [one for one, cells in group.cells.items() if any("\n" in text for text in cells.texts)]
    parted = {said: tuple(words)} | {heading: () for heading in beside if heading != said}
    return _with_a_row_each(group, group.cells, parted, _slot_in)


def _a_sentence_each(group, said):
    """A group with a row for each entry where its complaints are prose that tells of several, by sentences that name the desk.

    An entry begins with a sentence that names a desk, a slot, or again and again other gear; the sentences behind it go on from
    it. The group as it is where too many sentences name a slot and not its desk.
    """
    told = group.cells[said]
    desks = desks_in_prose(told.texts)
    words = _begin_entries([sentences_in(text) for text in told.texts], desks) if desks else ()
    if not words:
        return group
    known = Lookup(said, dict.fromkeys(words, said), within=True, otherwise="")

    def begins(line):
        return bool(meaning_of(line.casefold(), known))

    lines = replace(told, column=tuple(in_lines(text, begins) for text in told.column))
    return _with_a_row_each(group, group.cells | {said: lines}, {said: words}, begins, desks)


def _with_a_row_each(group, cells, parted, begins, prose=()):
    """A group with a row for each entry of its ``cells``, under the headings ``parted``; ``prose`` are the desks named there."""
    rows = zip(*(one.column for one in cells.values()), strict=True)
    spread, _, _ = a_row_a_line(rows, [*map([*cells].index, parted)], begins)
    columns = zip(cells.items(), zip(*spread, strict=True), strict=True)
    cells = {heading: Cells(column, one.distinct) for (heading, one), column in columns}
    return replace(group, cells=cells, by_line=parted, prose=prose, sheet=group.cells)


def _slot_in(text: str) -> str:
    """The words by which a text names a slot, or the number with which it begins, in small letters; '' where it names none."""
    found = vocabulary().in_cells["position"].search(text.casefold())
    begins = BEGINS_WITH_A_SLOT.search(text.casefold())
    return found[0] if found and numbered(found[0]) != "in #" else begins[1] if begins else ""


def _begin_entries(texts, desks):
    """The words by which a sentence of some texts begins an entry: the desks, words for slots, other gear; none where they tell too little."""
    texts = [[sentence.casefold() for sentence in text] for text in texts]
    every = [sentence for text in texts for sentence in text]
    names = re.compile("|".join(re.escape(desk.casefold()) for desk in desks))
    slots = [(one, found[0]) for one in every if (found := vocabulary().in_cells["position"].search(one))]
    several = sum(sum(bool(names.search(one)) for one in text) > 1 for text in texts)
    if several < FEWEST_TOLD or sum(bool(names.search(one)) for one, _ in slots) < NAMED * len(slots):
        return ()
    words = dict.fromkeys(numbered(slot) for _, slot in slots)
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


def with_work_told(cells: dict[str, Cells], least: float = MOST_PAIRS) -> tuple[dict[str, Cells], str]:
    """The cells of a sheet with the work under ``WORK`` where the ``least`` share or more under one heading tell it behind the complaint
    and a mark, and that heading; as they are, and '', where none do."""
    for heading, told in cells.items():
        if not told.texts or told.mean_words < 2 or told.dates > FEW:
            continue
        marked = (complaint_and_work(text, bool) for text in told.column)
        both = [pair for pair in marked if all(pair)]
        if len(both) < max(FEWEST_PAIRS, least * len(told.texts)):
            continue
        before, behind = (Cells(side) for side in zip(*both, strict=True))
        is_work = behind.share(work_in_text) >= 0.5 and before.share(work_in_text) < FEW
        if is_work and before.complaints >= FEW > behind.complaints:
            pairs = (complaint_and_work(text, tells_work_alone) for text in told.column)
            complaints, work = (Cells(side) for side in zip(*pairs, strict=True))
            return cells | {heading: complaints, WORK: work}, heading
    return cells, ""
