"""Lists in which a report's life goes on in rows of its own, ``new``, ``still``, ``fixed``: which words of how far it came tell an earlier row on."""

from collections import Counter

from maintkit.records.folding import fold_slot
from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.words import is_wholly
from maintkit.records.several import slots_in

from .cell_words import MOST_STATES, listed, quote
from .date_order import days_in_order

FEWEST, MOSTLY, SOMETIMES = 3, 0.8, 0.5  # rows that end a report; shares of rows whose slot has one open


def words_told_on(group, tickets) -> tuple[str, list[str]]:
    """The heading of how far reports came, and its words that stand in rows which tell the open report of the same desk and slot on; '' and
    none where each row is a report.

    Nearly every word that ends a report must find one begun by a row before it and not ended yet.
    """
    state, slot, day = (tickets.heading(name) for name in ("outcome", "position", "raised_on"))
    cells = group.cells.get(state)
    if (
        tickets.table != "tickets"
        or not {state, slot, day} <= {*group.cells}
        or cells.different > MOST_STATES
    ):
        return "", []
    met, missed, ends = Counter(), Counter(), {one for one in cells.folded if _ends(one)}
    opened = Counter(one for one in map(str.casefold, cells.column) if one not in ends)
    is_open = set()
    for places, word in _rows(group, tickets):
        (met if places <= is_open else missed)[word] += 1
        if word in ends:
            is_open -= places
        elif not word or meaning_of_cell("outcome", word) == "open":
            is_open |= places
    found, lost = (sum(one[word] for word in ends) for one in (met, missed))
    if found < FEWEST or found < MOSTLY * (found + lost):
        return "", []
    (first, _), *_ = opened.most_common(1)
    told = [
        one
        for one in cells.folded
        if one in ends or (one != first and met[one] >= SOMETIMES * (met[one] + missed[one]))
    ]
    return state, told


def _ends(word):
    """Whether a word says that a report came to an end."""
    return is_wholly("no_outcome", word) or meaning_of_cell("outcome", word) not in ("", "open")


def _rows(group, tickets):
    """The slots that each row names, with its desk, and its word of how far it came, in the order of their days."""
    state, slot, day = (
        group.cells[tickets.heading(name)].column for name in ("outcome", "position", "raised_on")
    )
    desk = group.cells.get(tickets.heading("desk"))
    desks = desk.column if desk else ("",) * len(day)
    days = days_in_order(day)
    order = sorted((one for one, day in enumerate(days) if day), key=lambda at: days[at])
    for at in order:
        places = {(desks[at].casefold(), fold_slot(one)) for one in slots_in(slot[at])}
        yield places, state[at].casefold()


def that_go_on(group, tickets, name) -> dict[str, str]:
    """Of the column of how far reports came, the words of rows that tell one on and do not end it, with what they mean: it is open."""
    words = words_told_on(group, tickets)[1] if name == "outcome" else ()
    return {word: "open" for word in words if not _ends(word)}


def told_at_the_end(group, tickets, heading) -> tuple[str, ...]:
    """What stands under a heading in the rows that end a report begun in a row before; nothing where each row is a report."""
    state, words = words_told_on(group, tickets)
    rows = zip(group.cells[state].column, group.cells[heading].column, strict=True) if words else ()
    return tuple(text for word, text in rows if word.casefold() in words and _ends(word.casefold()))


def told_on_line(group, tickets):
    """The line of the words by which rows tell an earlier report on."""
    heading, words = words_told_on(group, tickets)
    if words:
        yield f"goes_on.{quote(heading)} = {listed(words)}   # the open report of the same slot told on: no report of its own, its outcome and day are that report's"
