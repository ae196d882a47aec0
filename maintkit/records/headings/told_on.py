"""Lists in which a report's life goes on in rows of its own, ``new``, ``still``, ``fixed``: which of them tell an earlier row on."""

from collections import Counter, defaultdict

from maintkit.records.folding import fold_slot
from maintkit.records.known_words.meanings import MENDS, meaning_of_cell
from maintkit.records.known_words.outcomes import told_on
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.words import is_wholly
from maintkit.records.several import slots_in
from maintkit.records.words_told import TOLD_ON

from .cell_words import MOST_STATES, listed, quote
from .date_order import days_in_order

FEWEST, MOSTLY, SOMETIMES = 3, 0.8, 0.5  # rows that end a report; shares of rows whose slot has one open
OPEN, ENDED, WHOLE = "open", "ended", "begun and ended"


def words_told_on(group, tickets) -> tuple[str, list[str]]:
    """The heading of how far reports came, and its words that stand in rows which tell the open report of the same desk and slot on; the
    heading of the complaints and ``TOLD_ON`` where these alone tell how far they came; '' and none where each row is a report.

    Nearly every row that ends a report must find one begun by a row before it and not ended yet.
    """
    slot, day, state, said = map(tickets.heading, ("position", "raised_on", "outcome", "symptom"))
    heading = state or said
    if tickets.table != "tickets" or not {slot, day, heading} <= {*group.cells}:
        return "", []
    stages, words = _stages(group, tickets), group.cells[heading].folded
    met, missed = _met_and_missed(group, tickets, heading, stages)
    found, lost = (sum(many for word, many in one.items() if stages[word] == ENDED) for one in (met, missed))
    if found < max(FEWEST, MOSTLY * (found + lost)) or (state and len(words) > MOST_STATES):
        return "", []
    if not state:
        return said, [TOLD_ON]
    begun = (word for word in map(str.casefold, group.cells[state].column) if stages[word] != ENDED)
    (first, _), *_ = Counter(begun).most_common(1)
    told = {one for one in words if one != first and met[one] >= SOMETIMES * (met[one] + missed[one])}
    return state, [one for one in words if one in told or stages[one] == ENDED]


def _stages(group, tickets):
    """What each word of how far reports came, or each complaint, says of the report of its slot: that it is open, ended, or both; '' where it is not known."""
    state, said = tickets.heading("outcome"), tickets.heading("symptom")
    if not state:
        told = {one: told_on(one) or _begun(one) for one in group.cells[said].folded}
    else:
        told = {
            one: ENDED if is_wholly("no_outcome", one) else meaning_of_cell("outcome", one)
            for one in group.cells[state].folded
        }
    stages = {one: stage if stage in ("", OPEN, WHOLE) else ENDED for one, stage in told.items()}
    return defaultdict(str, {"": OPEN} | stages)


def _begun(text):
    """What a complaint says of a report of its own: that it is open, or the whole of it where it tells the work too."""
    return WHOLE if work_in_text(text) in MENDS else OPEN


def _met_and_missed(group, tickets, heading, stages):
    """How often each word under a heading stands in a row of which the slot has an open report, and how often in another."""
    met, missed, is_open = Counter(), Counter(), set()
    for places, word in _rows(group, tickets, heading):
        (met if places <= is_open else missed)[word] += 1
        if stages[word] in (ENDED, WHOLE):
            is_open -= places
        elif stages[word] == OPEN:
            is_open |= places
    return met, missed


def _rows(group, tickets, heading):
    """The slots that each row names, with its desk, and its cell under a heading, in small letters, in the order of their days."""
    names = (tickets.heading("raised_on"), tickets.heading("position"), heading)
    day, slot, word = (group.cells[one].column for one in names)
    desk = group.cells.get(tickets.heading("desk"))
    desks, days = desk.column if desk else ("",) * len(day), days_in_order(day)
    for at in sorted((one for one, own in enumerate(days) if own), key=lambda at: days[at]):
        yield {(desks[at].casefold(), fold_slot(one)) for one in slots_in(slot[at])}, word[at].casefold()


def that_go_on(group, tickets, name) -> dict[str, str]:
    """Of the column of how far reports came, the words of rows that tell one on and do not end it, with what they mean: it is open."""
    words = words_told_on(group, tickets)[1] if name == "outcome" else ()
    stages = _stages(group, tickets) if words else {}
    return {word: OPEN for word in words if stages[word] != ENDED}


def told_at_the_end(group, tickets, heading) -> tuple[str, ...]:
    """What stands under a heading in the rows that end a report begun in a row before; nothing where each row is a report."""
    state, words = words_told_on(group, tickets)
    stages = _stages(group, tickets) if words else {}
    rows = zip(group.cells[state].column, group.cells[heading].column, strict=True) if words else ()
    return tuple(text for word, text in rows if stages.get(word.casefold()) == ENDED)


def told_on_line(group, tickets):
    """The line of the words by which rows tell an earlier report on."""
    heading, words = words_told_on(group, tickets)
    if words:
        yield f"goes_on.{quote(heading)} = {listed(words)}   # the open report of the same slot told on: no report of its own, its outcome and day are that report's"
