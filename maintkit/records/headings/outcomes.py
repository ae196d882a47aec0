"""The lookup of the outcome where no column has it, but the words of what was found or done tell it."""

from maintkit.records.diary import DAY
from maintkit.records.remarks import DAY_OF

from .cell_words import MOST_STATES, MOST_WORDS, NOTHING_FOUND, lookup
from .likeness import SURE, likeness_nowhere, likeness_of_column
from .part_kinds import work_in_text
from .words import MENDS, SWAP, fold, meaning_of_cell, vocabulary, words_in

DECIDES = "the work decides"


def outcome_in_words(group, placing_list):
    """The lookup of the outcome where no column has it, but what was found or done says here and there that nothing was, or not yet."""
    tickets, works = placing_list[0], placing_list[1:]
    taken = {heading for heading in tickets.columns if tickets.columns[heading][0] != "closed_on"}
    taken |= {one.heading("part_type") for one in works}
    taken -= {*group.legends}  # of a list of codes some mean that nothing was found
    done = {one.heading("action") for one in works}
    none = {}
    for heading, cells in group.cells.items():
        of_states = _is_of_states(cells)
        told = of_states or (likeness_nowhere(heading) < 0.6 and cells.mean_words >= 1.3)
        if heading not in taken and told:
            may_wait = of_states or heading in done
            said = {text: _not_found_or_open(text, may_wait=may_wait) for text in cells.folded}
            none[heading] = {text: meaning for text, meaning in said.items() if meaning}
    tells = {
        heading: (
            not _is_of_complaints(heading, group.cells[heading]),
            sum(meaning in NOTHING_FOUND for meaning in words.values()),
            len(words),
        )
        for heading, words in none.items()
        if words
    }
    if tells:
        heading = max(tells, key=tells.get)
        note = "no column says the outcome, but these words do"
        otherwise = "" if works else "fault found"
        why = DECIDES if works else "what else stands there was found"
        words = dict([*none[heading].items()][:MOST_WORDS])
        yield from lookup("tickets.lookup.outcome", heading, note, words=words, otherwise=otherwise, why=why)


def outcome_in_remarks(group, placing_list):
    """The lookup of the outcome from the remarks among which the work stands, where some say that nothing was found or that it was not the desk."""
    heading = next((one.heading("action") for one in placing_list[1:] if DAY_OF in one.columns), "")
    if any(map(outcome_in_text, group.texts(heading))):
        note = "a remark may say that nothing was found or that it was not the desk"
        yield from lookup(
            "tickets.lookup.outcome", heading, note, known_words=True, otherwise="", why=DECIDES
        )


def outcome_in_one_text(group, placing_list):
    """The lookup of the outcome from the text of complaint and work, as in a diary, where some say that nothing was found or that it was not the desk."""
    said = placing_list[0].heading("symptom")
    is_of_both = said in {one.heading("action") for one in placing_list[1:]}
    if not is_of_both and group.pages[0].dialect.delimiter != DAY:
        return
    if any(map(outcome_in_text, group.texts(said))):
        note = "a text of complaint and work may say that nothing was found or that it was not the desk"
        yield from lookup("tickets.lookup.outcome", said, note, known_words=True, otherwise="", why=DECIDES)


def outcome_in_text(text: str) -> str:
    """The outcome that a text of complaint and work tells, where it says that nothing was found or that it was not the desk; else ''.

    One that names several slots tells of several things, and has none.

    Examples
    --------
    >>> [outcome_in_text(text) for text in ("ch 3 thin?? NFF", "ch 3 fader cleaned", "ch 4 fine. ch 5 dead")]
    ['no fault found', '', '']
    """
    return _not_found_or_open(text.casefold(), may_wait=False) if _names_one_slot(text) else ""


def _is_of_complaints(heading, cells):
    """Whether a column says what was wrong, and so only seems to say that nothing was found."""
    others = max(cells.deeds, cells.understood("outcome"))
    return likeness_of_column(heading, "tickets", "symptom") >= SURE or cells.complaints > others


def _is_of_states(cells):
    """Whether a column says how far reports are, by few words of which one is that they are closed or open."""
    words = {"closed", "open", "offen", "geschlossen", "erledigt"}
    return cells.different <= MOST_STATES and not words.isdisjoint(cells.folded)


def _names_one_slot(text):
    """Whether a text names no more than one slot, and so does not tell of another that nothing was found there."""
    return len({one[0] for one in vocabulary().in_cells["position"].finditer(fold(text))}) < 2


def _not_found_or_open(text, *, may_wait):
    """The outcome where a text says that nothing was found and tells of no mending, or that it still waits where that ``may_wait``; else ''."""
    meaning = meaning_of_cell("outcome", text)
    if meaning in NOTHING_FOUND:
        return "" if _is_mended(text) else meaning
    return meaning if meaning == "open" and may_wait and _still_waits(text) else ""


def _is_mended(text):
    """Whether a text tells of work that shows a fault, whatever else it says was not found."""
    return work_in_text(text) in MENDS


def _still_waits(text):
    """Whether a text says that nothing is done yet, and not that a part is open."""
    if _is_mended(text) or work_in_text(text) == SWAP:
        return False
    rest = " ".join(word for word in words_in(text) if word not in ("open", "offen"))
    return meaning_of_cell("outcome", rest) == "open" or words_in(text) in vocabulary().choices["outcome"]
