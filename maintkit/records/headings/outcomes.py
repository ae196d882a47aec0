"""The lookup of the outcome where no column has it, but the words of what was found or done tell it."""

import re

from maintkit.records.diary import DAY
from maintkit.records.remarks import DAY_OF

from .cell_words import MOST_STATES, MOST_WORDS, NOTHING_FOUND, lookup, quote
from .likeness import SURE, likeness_nowhere, likeness_of_column
from .no_report import says_no_report
from .part_kinds import work_in_text
from .words import MENDS, NOT_THE_DESK, SWAP, fold, is_wholly, meaning_of_cell, vocabulary, words_in

DECIDES = "the work decides"
CLAUSES = re.compile(r"[.,;:!?/&+]|\s[-–—]+\s|\b(?:and|but|then|und|aber|dann)\b")


def states_beside(group, placing_list) -> str:
    """The column that says how far reports came, where another tells what was found; '' where none does."""
    own, told = placing_list[0].heading("outcome"), _told_beside(group, placing_list)
    states = [own] if own else [heading for heading in told if heading not in group.legends]
    states = [one for one in states if one in group.cells and is_of_states(one, group.cells[one])]
    best = _thread(group, placing_list) or _best(told, group)
    return states[0] if states and best not in ("", *states) else ""


def outcome_told(group, placing_list):
    """The lookup of the outcome from words beside it, or, where no column has it, from the complaint itself."""
    if _thread(group, placing_list):
        return [*_outcome_in_remarks(group, placing_list)]
    lines = [*_outcome_in_words(group, placing_list)]
    return lines or (
        [] if placing_list[0].heading("outcome") else [*_outcome_in_one_text(group, placing_list)]
    )


def _outcome_in_words(group, placing_list):
    """The lookup of the outcome from what was found or done and says here and there that nothing was, or not yet: where no column has it,
    or how far reports came alone; from how far they came where another column leaves it blank."""
    own, works = placing_list[0].heading("outcome"), placing_list[1:]
    states, told = states_beside(group, placing_list), _told_beside(group, placing_list)
    if own and not states:
        told = {one: words for one, words in told.items() if is_of_states(one, group.cells[one])}
    heading = _best({one: words for one, words in told.items() if one != states}, group)
    if not heading or (own and is_of_states(own, group.cells[own]) and not states):
        return
    if states:
        yield from _states_in_words(states, group.cells[states])
    own = states or own
    note = (
        f"where {own} says none, these words do" if own else "no column says the outcome, but these words do"
    )
    is_told = own and not states
    otherwise = "" if works or is_told else "fault found"
    why = DECIDES if works else "" if is_told else "what else stands there was found"
    words = dict([*told[heading].items()][:MOST_WORDS])
    yield from lookup("tickets.lookup.outcome", heading, note, words=words, otherwise=otherwise, why=why)


def _thread(group, placing_list) -> str:
    """The heading of remarks with their days of which some say that nothing was found or that it was not the desk; '' where none do."""
    heading = next((one.heading("action") for one in placing_list[1:] if DAY_OF in one.columns), "")
    return heading if any(map(outcome_in_text, group.texts(heading))) else ""


def _outcome_in_remarks(group, placing_list):
    """The lookup of the outcome from the remarks among which the work stands, and from how far reports came where a column says it."""
    if states := states_beside(group, placing_list):
        yield from _states_in_words(states, group.cells[states])
    note = "a remark may say that nothing was found or that it was not the desk"
    yield from lookup(
        "tickets.lookup.outcome",
        _thread(group, placing_list),
        note,
        known_words=True,
        otherwise="",
        why=DECIDES,
    )


def _states_in_words(heading, cells):
    """The section of states of reports beside a text that tells what was found: that they are closed says nothing of it."""
    yield from (
        "",
        f"[tickets.codes.{quote(heading)}]   # how far it came; of what is closed the words below tell the outcome",
    )
    states = [text for text in cells.folded if not says_no_report(text)]
    yield from (f"{quote(text)} = {quote(_not_found_or_open(text, may_wait=True))}" for text in states)


def _told_beside(group, placing_list):
    """The columns without a place that say here and there that nothing was found, or not yet, each with the outcomes of its cells."""
    tickets, works = placing_list[0], placing_list[1:]
    taken = {heading for heading in tickets.columns if tickets.columns[heading][0] != "closed_on"}
    taken |= {one.heading("part_type") for one in works}
    taken -= {*group.legends}  # of a list of codes some mean that nothing was found
    done = {one.heading("action") for one in works}
    told = {}
    for heading, cells in group.cells.items():
        of_states = is_of_states(heading, cells)
        tells = of_states or (likeness_nowhere(heading) < 0.6 and cells.mean_words >= 1.3)
        if heading not in taken and tells:
            may_wait = of_states or heading in done
            said = {text: _not_found_or_open(text, may_wait=may_wait) for text in cells.folded}
            if heading not in done:  # else a cable may be the one that was replaced
                said |= dict.fromkeys(filter(names_gear_alone, said), NOT_THE_DESK)
            told[heading] = {text: meaning for text, meaning in said.items() if meaning}
    return {heading: words for heading, words in told.items() if words}


def _best(told, group):
    """The column whose outcomes tell most, one of complaints only where no other has any; '' where none has."""

    def tells(heading):
        unfound = sum(meaning in NOTHING_FOUND for meaning in told[heading].values())
        return not _is_of_complaints(heading, group.cells[heading]), unfound, len(told[heading])

    return max(told, key=tells, default="")


def _outcome_in_one_text(group, placing_list):
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
    >>> [outcome_in_text(text) for text in ("ch 3 mic gain", "ch 3 mic", "ch 3 dead, mic cable", "hum everywhere, was the lights")]
    ['', '', 'not the desk', 'not the desk']
    """
    if not _names_one_slot(text) or names_gear_alone(text):
        return ""
    return _not_found_or_open(text.casefold(), may_wait=False)


def says_in_vain(text: str) -> bool:
    """Whether a text says, in a clause of its own behind all work, that this cured nothing.

    Examples
    --------
    >>> [says_in_vain(text) for text in ("reseated, no good", "opamp no good, replaced", "cleaned - no better. new pot", "gereinigt, half nichts")]
    [True, False, False, True]
    """
    clauses = CLAUSES.split(fold(text))
    vain = [at for at, clause in enumerate(clauses) if is_wholly("in_vain", clause.strip())]
    return bool(vain) and not any(map(work_in_text, clauses[vain[-1] + 1 :]))


def names_gear_alone(text: str) -> bool:
    """Whether a text names other gear and no more, but for the slot: a complaint of it, as the work says what it was.

    Examples
    --------
    >>> [names_gear_alone(text) for text in ("mic", "ch 3 mic cable", "no sound, mic cable", "faulty mic cable", "user error")]
    [True, True, False, False, False]
    """
    rest = vocabulary().in_cells["position"].sub(" ", fold(text))
    is_of_use = vocabulary().choices["outcome"].get(words_in(rest)) == NOT_THE_DESK
    return is_of_use and bool(vocabulary().other_gear & {*words_in(rest)})


def _is_of_complaints(heading, cells):
    """Whether a column says what was wrong, and so only seems to say that nothing was found."""
    others = max(cells.deeds, cells.understood("outcome"))
    return likeness_of_column(heading, "tickets", "symptom") >= SURE or cells.complaints > others


def is_of_states(heading, cells) -> bool:
    """Whether a column says how far reports are, by few words: one is that they are closed or open, or its heading says so and some are that."""
    words = {"closed", "open", "offen", "geschlossen", "erledigt"}
    is_named = likeness_of_column(heading, "tickets", "outcome") >= SURE
    told = not words.isdisjoint(cells.folded) or (is_named and any(map(_still_waits, cells.folded)))
    return cells.different <= MOST_STATES and told


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
    if vocabulary().choices["outcome"].get(words_in(text)) == "open":
        return True
    if _is_mended(text) or work_in_text(text) == SWAP:
        return False
    rest = " ".join(word for word in words_in(text) if word not in ("open", "offen"))
    return meaning_of_cell("outcome", rest) == "open"
