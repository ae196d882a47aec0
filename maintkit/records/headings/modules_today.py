"""Where the modules of a list sit today, as a drafter sees it: the slot of today beside the one each had first, and places that are no slot."""

import re

from maintkit.records.known_words.outcomes import says_gone, says_lent, says_store
from maintkit.records.known_words.words import heading_of, says_slot, words_in
from maintkit.records.moves import GOES

from .cell_words import quote
from .left_out import in_no_desk
from .likeness import LEAST_WORDS, likeness_of_column
from .out_of_slot import out_of_slot
from .places import SURE
from .slots_together import in_no_slot
from .values import ENOUGH

# in headings of the slot that a module had first
AT_FIRST = {*words_in("home original originally first before stamm ursprünglich früher erster")}
MOSTLY = 0.5
_SITS = re.compile(
    r"(?:(?:is|now|sits|jetzt|sitzt)\s+)*(?:(?:in|im)\s+)?(?P<slot>(?:(?P<word>[^\W\d]+)[ .#]*)?\d{1,3}[a-z]?)",
    re.IGNORECASE,
)


def slot_of_today(text: str) -> str:
    """The slot in which a cell says that a module sits, in the words before the first mark; '' where it says none.

    Examples
    --------
    >>> [slot_of_today(text) for text in ("in ch 12", "in 7, crackles", "B4", "shelf 3", "box 2", "stripped")]
    ['ch 12', '7', 'B4', '', '', '']
    """
    place = _place(text)
    found = _SITS.fullmatch(place)
    word = found["word"] if found else None
    is_slot = found and not says_store(place) and (not word or len(word) == 1 or says_slot(word))
    return found["slot"] if is_slot else ""


def says_no_slot(text: str) -> bool:
    """Whether a place is a store or bench, or says that the module was lent or thrown away, whatever stands behind a mark.

    Examples
    --------
    >>> [says_no_slot(text) for text in ("spare", "shelf, tested", "bench", "ch 4", "4, spare fader")]
    [True, True, True, False, False]
    """
    place = _place(text)
    return says_store(place) or says_lent(place) or says_gone(place)


def _place(text):
    return re.split(r"[,;(]|\s[-–]\s", text)[0].strip()


def put_where_they_sit(modules, cells):
    """Make the column of a list of modules that says where they are today, in slots and out of them, that of the slot, whichever other it has."""
    slot = modules.heading("position")
    if modules.table != "modules" or not modules.heading("serial") or (slot and slot not in modules.columns):
        return
    free = {heading: _says_today(heading) for heading in cells if heading not in modules.columns}
    told = [one for one, said in free.items() if said > _says_today(slot) and _are_places(cells[one])]
    best = max(told, key=free.get, default="")
    if best and cells[best].share(says_no_slot):
        modules.columns.pop(slot, None)
        modules.columns[best] = ("position", SURE)


def without_homes(fed):
    """Of each list of modules take away the slot in which they sat before moves that are told beside it."""
    for group, tables in fed:
        for one in tables.likely if not tables.rival else ():
            slot = one.heading("position") if one.table == "modules" else ""
            is_home = slot in one.columns and not _says_today(slot)
            if is_home and home_and_moves(one, group.cells, slot):
                del one.columns[slot]


def _says_today(heading):
    """How well a heading says the slot of today."""
    at_first = not heading or AT_FIRST & {*heading_of(heading).every}
    return 0.0 if at_first else likeness_of_column(heading, "modules", "position")


def _are_places(cells):
    """Whether cells are slots or stores, some of each."""
    slots = cells.share(slot_of_today)
    return slots > 0 and slots + cells.share(says_no_slot) >= ENOUGH


def home_and_moves(modules, cells, home=""):
    """The headings of slots and of the moves away from them in a list of modules without the slot of today, ``home`` or one without a place;
    None where there are none."""
    free = [one for one in cells if one not in modules.columns or one == home]
    moves = next((one for one in free if cells[one].share(GOES.search) >= MOSTLY), "")
    homes = (one for one in free if one != moves and _are_places(cells[one]))
    slot = home or next(homes, "")
    return (slot, moves) if slot and moves else None


def slot_asked(placing, group):
    """The question whether modules of which moves are told sit where they sat first."""
    is_without = placing.table == "modules" and "position" not in placing.names
    if is_without and (found := home_and_moves(placing, group.cells)):
        slot, moves = map(quote, found)
        yield f"# {slot} may be where each sat first, for {moves} tells where it went. If each sits there today:"
        yield f'# ? {slot} = "position"'


def _no_slots(table, heading, cells):
    """The values of the places of modules, or of what befell them, that are no slot; and of those of modules told in more words than the slot.

    Where cells say more than slots do (``in ch 12``), what names none is none.
    """
    by_words = table != "modules" or likeness_of_column(heading, table, "position") >= LEAST_WORDS
    of_state = not by_words and any(slot_of_today(text) not in ("", text) for text in cells.unlike)
    told = {
        text: "" if not of_state or says_no_slot(text) else slot_of_today(text)
        for text in cells.unlike
        if says_no_slot(text) or (of_state and slot_of_today(text) != text)
    }
    if told:
        yield from ("", f"[{table}.values.position]   # what is on a shelf or the bench sits in no slot")
        yield from (f"{quote(text.casefold())} = {quote(slot)}" for text, slot in told.items())


def in_none(placing, name, heading, group):
    """The values of the places in a column of desks or slots that are none."""
    if (placing.table, name) == ("modules", "desk"):
        yield from in_no_desk(group.cells[heading])
    elif (placing.table, name) == ("repairs", "position") and (lines := [*in_no_slot(heading, group)]):
        yield from lines
    elif (
        name == "position"
        and (
            placing.table in ("tickets", "modules")
            or (placing.table == "repairs" and placing.heading("serial"))
        )
        and not out_of_slot(group, heading)
    ):
        yield from _no_slots(placing.table, heading, group.cells[heading])
