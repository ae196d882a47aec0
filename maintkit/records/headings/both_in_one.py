"""Whether the cells of a column name desk and slot at once, such as ``Heron 12``, by what stands above them."""

import re

from maintkit.records.known_words.words import fold, heading_of, says, says_slot, vocabulary, words_in

from .desk_codes import CODE
from .likeness import LEAST_WORDS, SURE, is_general, likeness_nowhere, likeness_of_column
from .values import ENOUGH

ANY_PLACE = {*words_in("where wo ort location place standort einbauort position sits now jetzt")}


def desks_within(heading, cells, known):
    """The desks that cells name beside slots, or the kinds of things before their places under a heading that says things."""
    if cells.desks and _may_name_both(heading, cells, known):
        return cells.desks
    return cells.kinds if likeness_of_column(heading, "tickets", "desk") >= SURE else ()


def may_give_way(heading, codes, other, cells, ways) -> bool:
    """Whether cells that another heading gives a place are numbers of modules, and codes of desk and slot stand under this one; or this
    one says by the first of two ``ways`` where modules came from or went, and the other says it by the second, or is their number."""
    if codes.desks == codes.desk_codes and cells.serials >= ENOUGH:
        return True
    says_place, says_other = ways
    is_number = likeness_of_column(other, "repairs", "serial") >= SURE
    return says_place(heading) and (is_number or says_other(other))


def _may_name_both(heading, cells, known):
    """Whether a heading of cells such as ``Heron 12`` does not say that they are slots, or persons, alone."""
    listed = {*known.get("desk", ()), *known.get("used desk", ())}
    if cells.coded or any(name.casefold() in listed for name in cells.desks) or _stand_before_slots(cells):
        return True
    slot, desk = (likeness_of_column(heading, "tickets", name) for name in ("position", "desk"))
    other = max(slot, *(likeness_of_column(heading, "repairs", name) for name in ("serial", "ref")))
    general = bool(ANY_PLACE & {*heading_of(heading).words})
    if cells.desks == cells.desk_codes:
        return _are_codes_of_places(heading, cells, is_place=general or max(slot, desk) >= LEAST_WORDS)
    if min(map(len, cells.desks), default=0) < 2 and max(slot, desk) < LEAST_WORDS and not general:
        return False  # B-07 is a drawer as well
    return likeness_nowhere(heading) < 0.6 and (general or other < 0.9 or desk >= LEAST_WORDS)


def _are_codes_of_places(heading, cells, *, is_place):
    """Whether codes are of places and no numbers of modules, of reports or of parts of a board: where their heading says no place, some come again."""
    slots = [one["slot"] for one in map(CODE.fullmatch, cells.texts) if one]
    serial, *others = (likeness_of_column(heading, "repairs", name) for name in ("serial", "ref", "ticket"))
    if is_place:
        return serial < 0.9 or not any(map(str.isdecimal, slots))
    is_free = is_general(heading) or max(serial, *others, likeness_nowhere(heading)) < 0.6
    return is_free and cells.different < len(cells.texts)


def _stand_before_slots(cells):
    """Whether two or more of the names before numbers, none of them a section's, stand before a slot's word as well: ``Heron ch 7``."""
    slot = vocabulary().in_cells["position"]
    names = [name for name in cells.desks if not (says_slot(name) or says("module_type", name))]
    texts = [fold(text) for text in cells.unlike]
    told = [
        any(re.match(rf"{re.escape(fold(name))}\W+{slot.pattern}", one) for one in texts) for name in names
    ]
    return sum(told) >= 2
