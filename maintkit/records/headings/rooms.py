"""Whether a column names the rooms in which desks stand, or may name them or slots by what its heading says."""

from collections import Counter
from functools import partial

from maintkit.records.known_words.words import heading_of, says, vocabulary

from .evidence import are_desks_and_gear, may_be_names
from .likeness import likeness_nowhere, likeness_of_column
from .machines import each_has_one, says_machine
from .no_desks import other_trades
from .places import SURE
from .values import ENOUGH, Cells

# rows and different slots a desk, at least and at most, from which a slot is the desk's room
ROWS_A_DESK, SAME_SLOT = 3, 1.3
OFTEN, MOSTLY = 5, 0.7  # times that a desk comes, and share of the rows of such
# share of the cells that are different, of those that may be slots, and of texts that name one
AGAIN, FEW_SLOTS, HALF = 0.34, 0.1, 0.5
# different places, at most, a row; share of rows with one; its words, on average
COME_AGAIN, FULL, MOST_WORDS = 0.5, 0.9, 5
AT_HOME = 0.9  # share of these rows that have the commonest place of their desk


def place_room(placing, cells):
    """Where slots stand in another column and nothing names the desk, a heading that says a place has its room, or names of rooms are it."""
    rooms = [
        heading
        for heading, own in cells.items()
        if heading not in placing.columns
        and not (own.serials >= ENOUGH and likeness_of_column(heading, "repairs", "serial") >= SURE)
        and (are_desks_and_gear(own) or _may_be_rooms(heading, own, placing.table))
    ]
    slot = placing.heading("position")
    if len(rooms) == 1 and slot and (not says_machine(slot) or each_has_one(cells[slot], cells[rooms[0]])):
        placing.columns[rooms[0]] = ("desk", SURE)


def names_rooms(heading, cells) -> bool:
    """Whether cells are names that come again, none of them a slot, beside texts of which most name one, but for other gear: ``Hall`` beside ``ch 7 crackles``."""
    own = cells[heading]
    if own.different > AGAIN * len(own.texts) or max(own.slots, own.numbers) >= FEW_SLOTS:
        return False
    is_of_a_desk = [bool(name) and not says("other_gear", name) for name in own.column]
    texts = [one.column for other, one in cells.items() if other != heading and one.mean_words >= 2]
    told = (Cells(tuple(text for text, one in zip(some, is_of_a_desk, strict=True) if one)) for some in texts)
    return any(one.share(partial(says, "position")) >= HALF for one in told)


def _may_be_rooms(heading, cells, table):
    return may_be_names(cells) and (
        _says_place(heading, table) or cells.share(partial(says, "room")) >= ENOUGH
    )


def _says_place(heading, table):
    places = ((table, "position"), ("tickets", "desk"))
    return any(likeness_of_column(heading, *one) >= SURE for one in places)


def may_be_places(cells) -> list[str]:
    """The headings, of columns without a place, that may name desks or slots: by their cells, or for they end in a word for a name, a
    group or a number of something; what another tells by its name is left out, and what tells desks from other trades."""
    words = {heading: heading_of(heading).words for heading in cells}
    told = {*words.values()}
    found = []
    for heading, (*first, last) in words.items():
        others = {(*first, name) for name in vocabulary().names if last not in vocabulary().names} | {
            (*first,)
        }
        known = max(likeness_nowhere(heading), likeness_of_column(heading, "tickets", "symptom"))
        is_one = may_be_names(cells[heading]) or (first and _may_be_called_so(last, cells[heading]))
        if is_one and known < SURE and not others & told and not other_trades(cells[heading]):
            found.append(heading)
    return found


def _may_be_called_so(last, cells):
    """Whether a heading ends in a word for a name, a group or a number, and its few cells come again."""
    few = (
        cells.different <= COME_AGAIN * len(cells.texts) and cells.mean_words < MOST_WORDS and not cells.dates
    )
    return few and len(cells.texts) >= FULL * cells.rows and last in vocabulary().names | vocabulary().numbers


def is_numbered(heading, cells) -> bool:
    """Whether a heading ends in a word for a number, and its cells have one."""
    return heading_of(heading).words[-1] in vocabulary().numbers and cells.digits >= ENOUGH


def is_one_a_desk(desks, slots):
    """Whether slots would be one and the same for nearly every desk, as its room is."""
    both = (pair for pair in zip(desks.column, slots.column) if all(pair))
    pairs = [(desk.casefold(), slot.casefold()) for desk, slot in both]
    times = Counter(desk for desk, _ in pairs)
    often = [(desk, slot) for desk, slot in pairs if times[desk] >= OFTEN]  # other gear moves about
    pairs = often if len(often) >= MOSTLY * len(pairs) else pairs
    placed, at_home = Counter(pairs), {}  # times of the commonest slot of each desk
    for (desk, _), many in placed.items():
        at_home[desk] = max(many, at_home.get(desk, 0))
    if len(at_home) < 2 or len(pairs) < ROWS_A_DESK * len(at_home):
        return False
    mostly = sum(at_home.values()) >= AT_HOME * len(pairs)
    return len(placed) <= SAME_SLOT * len(at_home) or (pairs is often and mostly)
