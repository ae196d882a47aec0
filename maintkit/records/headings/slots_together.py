"""A slot that stands in two columns, as a drafter sees it: a few sections in one, and beside it what names the slot of each."""

import re
from collections import Counter, defaultdict
from dataclasses import replace
from itertools import pairwise

from maintkit.records.cells import joined
from maintkit.records.folding import fold_slot
from maintkit.records.known_words.words import heading_of, says

from .cell_words import listed, quote
from .from_and_to import went_back
from .likeness import SURE, likeness_nowhere
from .places import PERSONS
from .values import Cells

MOST_SECTIONS = 8  # that come again and again
OFTEN = 5  # times that a section comes, at least
FEWEST_AGAIN = 3  # slots that come in two sections or more
MOST_WORDS = 1.5  # on average, of a section that may be a desk
SHORT = 2  # words of what names a slot
# Shares of the rows with a section that tell its slot, and of these that are of such sections.
MOSTLY, NEARLY = 0.5, 0.9
WHOLE = re.compile("all|alle|desk|pult", re.IGNORECASE)  # the desk as a whole
FEWEST_BLANK = 2  # sections left blank beside a number, which are then those above


def with_slots_together(group, tables):
    """A group of sheets whose slot is put together of two columns: the one placed as it, of a few sections, and beside it one
    without a place, which tells the slots of each; else as it is."""
    placings = [*tables.likely, *tables.rival]
    slot = next(filter(None, (one.heading("position") for one in placings)), "")
    taken = {heading for one in placings for heading in (*one.columns, *one.doubtful, *one.split)}
    found = (one for one in _beside(slot, group) if one not in taken and tell_slots(group, slot, one))
    number = next(found, "")
    return _put_together(group, slot, number) if number else group


def perhaps_sections(slot, group):
    """The columns beside that of the slot of which it may be told by a section, such as row A and row B."""
    others = (one for one in _beside(slot, group) if not PERSONS & {*heading_of(one).every})
    return [
        one for one in others if group.cells[one].mean_words <= MOST_WORDS and tell_slots(group, one, slot)
    ]


def _beside(slot, group):
    return [one for pair in pairwise(group.cells) if slot in pair for one in pair if one != slot]


def tell_slots(group, section, number) -> bool:
    """Whether beside what names slots a few words come again and again, and the same slots under several of them."""
    if max(map(likeness_nowhere, (section, number))) >= SURE:
        return False
    sections, numbers = group.cells[section], group.cells[number]
    pairs = [one for one in zip(sections.column, numbers.column, strict=True) if all(one)]
    often = [one for one, many in Counter(section for section, _ in pairs).items() if many >= OFTEN]
    within = defaultdict(set)
    for section, number in pairs:
        within[number].add(section)
    again = sum(len(some.intersection(often)) > 1 for some in within.values())
    are_few = 1 < len(often) <= MOST_SECTIONS and sum(one in often for one, _ in pairs) >= NEARLY * len(pairs)
    are_most = len(pairs) >= MOSTLY * len(sections.texts)
    are_plain = max(sections.numbers, numbers.durations - numbers.numbers, numbers.dates) < MOSTLY
    return are_few and are_most and are_plain and again >= FEWEST_AGAIN and numbers.mean_words <= SHORT


def _put_together(group, section, number):
    sections, numbers = (group.cells[one].column for one in (section, number))
    blank = [one for over, one in zip(sections, numbers, strict=True) if one and not over]
    leans = len(blank) >= FEWEST_BLANK and all(one[0].isdigit() for one in blank)
    whole, last = [], ""
    for over, one in zip(sections, numbers, strict=True):
        last = over or last
        whole.append(joined([last if leans and one else over, one]))
    cells = {one: own for one, own in group.cells.items() if one != number} | {section: Cells(tuple(whole))}
    told = {over for over, one in zip(sections, numbers, strict=True) if one}
    alone = tuple(one for one in group.cells[section].unlike if one not in told and not WHOLE.fullmatch(one))
    return replace(group, cells=cells, together=(section, number), alone=alone, leans=leans)


def came_from(slot, group) -> str:
    """The heading of the slot that a module came from, where ``slot`` is that of the one it went back to; '' where there is none."""
    headings = [*group.cells]
    to, first = went_back(headings) or (None, None)
    if to is None or headings[to] != slot:
        return ""
    pairs = _both(headings[first], slot, group)
    alike = sum(_number(one) == _number(other) for one, other in pairs)
    return headings[first] if alike > MOSTLY * len(pairs) else ""


def back_to_its_slot(slot, group):
    """The line of marks for the same under the slot that a module went back to, where another is that of the one it came from, and
    what is to know of those that went elsewhere."""
    first = came_from(slot, group)
    if not first:
        return
    yield f"same_row = {{ {quote(slot)} = {quote(first)} }}   # a mark for the same there is the slot that it came from"
    moved = sum(_number(one) != _number(other) for one, other in _both(first, slot, group))
    moved += sum(
        bool(one) > bool(other)
        for one, other in zip(*(group.cells[which].column for which in (first, slot)), strict=True)
    )
    if moved:
        rows = f"{moved} modules" if moved > 1 else "1 module"
        yield f"# By these {rows} went to another slot than it came from, to a shelf, or nowhere. A module is taken to sit where it went last,"
        yield "# and all that happened in that slot counts for it. To follow them from slot to slot, list their stays in a table of fitments."


def _both(first, slot, group):
    """The slots of the rows that have both."""
    rows = zip(group.cells[first].column, group.cells[slot].column, strict=True)
    return [row for row in rows if all(row)]


def in_no_slot(slot, group):
    """The values of the places under the slot that a module went to that are none, such as a shelf."""
    stores = (
        [text for text in group.cells[slot].unlike if says("store", text)] if came_from(slot, group) else []
    )
    if stores:
        yield from ("", "[repairs.values.position]   # what is there sits in no slot")
        yield from (f'{quote(text.casefold())} = ""' for text in stores)


def _number(text):
    """The number of a slot, as far as it has one; else how it is compared."""
    found = re.search(r"\d+\w?", text)
    return found[0].casefold() if found else fold_slot(text)


def slots_in_two(slot, group):
    """The line of a slot that stands in two columns."""
    if group.together[:1] == (slot,):
        example = Counter(text for text in group.texts(slot) if " " in text).most_common(1)[0][0]
        yield f"together = {listed(group.together)}   # the slot is both, such as {example}"
