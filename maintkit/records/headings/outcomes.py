"""The lookup of the outcome where no column has it, but the words of what was found or done tell it."""

import re

from maintkit.records.diary import DAY
from maintkit.records.known_words.meanings import MENDS, NOT_THE_DESK, RE_CAP, meaning_of_cell
from maintkit.records.known_words.no_report import says_all_well, says_no_report
from maintkit.records.known_words.outcomes import (
    NOTHING_FOUND,
    names_gear_alone,
    not_found_or_open,
    nothing_found_in,
    outcome_in_text,
    outcome_without_work,
    says_no_work,
    says_outcome_behind,
    still_waits,
    tells_mending,
)
from maintkit.records.known_words.part_kinds import cause_behind, part_in_text, work_in_column, work_in_text
from maintkit.records.known_words.words import says, vocabulary, words_in
from maintkit.records.messages import MESSAGE
from maintkit.records.remarks import DAY_OF
from maintkit.records.several import work_told

from .cell_words import MOST_STATES, MOST_WORDS, lookup, quote, with_open_numbers
from .date_order import days_in_order
from .day_formats import day_of
from .evidence import yes_or_no
from .likeness import SURE, likeness_nowhere, likeness_of_column
from .out_of_slot import is_of_cards
from .places import DESK_AND_SLOT

DECIDES = "the work decides"
MENDED = "a card tells what was done, so what else stands there was found and mended"
TICKS = frozenset("✓✔√☑")
SOON = 60  # days in which work follows a note of what was wrong, as that at the bench does (own choice)
MOSTLY = 0.5  # share of cells that tell outcomes, from which a column is of them


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
    told = {one: words for one, words in told.items() if one != states}
    if works and not own and not states and (done := _done_by(group, placing_list)):
        yield from _outcome_of_what_is_done(done, told, group, placing_list)
        return
    if not own and (coded := _told_by_codes(told, group)):
        yield from _outcome_in_codes(coded, told, works)
        return
    sure = {one: words for one, words in told.items() if _tells_outcomes(one, group.cells[one])}
    undone = {} if own or (told and not sure) else _told_where_nothing_is_done(group, placing_list)
    said = placing_list[0].heading("symptom")
    of_work = works[-1].heading("action") if works else ""
    heading = _best(sure or told, group) or ((of_work or said) if undone else "")
    if heading and heading != said and not (works or own):
        undone = _told_where_nothing_is_done(group, placing_list, heading)
    if not heading or (own and is_of_states(own, group.cells[own]) and not states):
        return
    if states:
        yield from _states_in_words(states, group.cells[states])
    own = states or own
    note = (
        f"where {own} says none, these words do" if own else "no column says the outcome, but these words do"
    )
    is_told = own and not states
    works = works or heading == said  # those told elsewhere
    otherwise = "" if works or is_told else "fault found"
    why = DECIDES if works else "" if is_told else "what else stands there was found"
    words = dict([*(told.get(heading, {}) | undone).items()][:MOST_WORDS])
    of_none = filter(says_no_work, group.cells[heading].folded if otherwise and heading != said else ())
    words |= {text: "" for text in of_none if text not in words}  # a mark such as - says too little
    also = [said] if undone and heading != said else None
    lines = lookup(
        "tickets.lookup.outcome", heading, note, also=also, words=words, otherwise=otherwise, why=why
    )
    if sure or undone:
        yield from lines
        return
    yield from (
        "",
        f"# Few cells under {heading} say what a report proved to be. Where it tells that all the same, take the # ? from these lines:",
    )
    yield from (f"# ? {line}" for line in lines if line)


def _done_by(group, placing_list) -> str:
    """The column that ticks off what is mended, or that of the days when it was; '' where no heading says so."""
    taken = {heading for one in placing_list for heading in (*one.columns, *one.split)}
    ends = [one for one in group.cells if says("ends_a_job", one) and not {*words_in(one)} & _unsure()]
    ticked = (one for one in ends if one not in taken and group.cells[one].share(is_tick) >= MOSTLY)
    closed = placing_list[0].heading("closed_on")
    done = next(ticked, closed if closed in ends and closed in group.cells else "")
    return done if done and _says_more_than_work(done, group, placing_list) else ""


def _says_more_than_work(done, group, placing_list):
    """Whether in some row work has no end there, or what ended no work beside it; or all work stands in the complaint."""
    told = (one.heading(name) for one in placing_list[1:] for name in ("action", "part_type", "ref"))
    works = [*dict.fromkeys(one for one in told if one in group.cells)]
    if placing_list[0].heading("symptom") in works:
        return True
    ends, *beside = (group.cells[one].column for one in (done, *works))
    rows = zip(ends, *beside, strict=True)
    return any(not any(work) if end else work_in_column(" ".join(work)) in MENDS for end, *work in rows)


def _unsure():
    return vocabulary().wanted_before | vocabulary().negations


def is_tick(text) -> bool:
    """Whether a cell ticks something off."""
    return text in TICKS or yes_or_no(text) == "yes"


def _outcome_of_what_is_done(done, told, group, placing_list):
    """The lookup of the outcome from what is ticked off as mended, or has its day, each a fault found but where the words beside it say that
    nothing was found or that it was not the desk; ``told`` are those of columns without a place."""
    said = placing_list[0].heading("symptom")
    works = dict.fromkeys(one.heading("action") for one in placing_list[1:])
    works, undone = (
        [one for one in works if one in group.cells],
        _told_where_nothing_is_done(group, placing_list),
    )
    beside = [*works, *([said] if undone and said not in works else [])]
    is_day = done == placing_list[0].heading("closed_on")
    is_end = day_of if is_day else is_tick
    others = [text for text in group.cells[done].folded if not is_end(text) and not text.isdecimal()]
    words = undone | {text: "open" if still_waits(text) else "" for text in others}
    taken = {heading for one in placing_list for heading in (*one.columns, *one.split)}
    for heading in [one for one in group.cells if one not in (taken | {*beside, done, *group.legends})]:
        some = {text: one for text, one in told.get(heading, {}).items() if one in NOTHING_FOUND}
        is_told = some or any(nothing_found_in((text,)) for text in group.cells[heading].folded)
        beside += [heading] if is_told else []
        words |= dict([*some.items()][:MOST_WORDS])
    for heading in works:
        words |= dict.fromkeys(_mended_without_a_day(group, done, heading), "fault found")
    note = "what is done was a fault found, but where the words beside it say otherwise"
    rule = {"also": beside or None, "words": words or None, "known_words": True}
    yield from lookup("tickets.lookup.outcome", done, note, **rule, otherwise="fault found")


def _mended_without_a_day(group, done, heading):
    """The words of work that mends beside which nothing stands where it would be said to be done."""
    rows = zip(group.cells[heading].column, group.cells[done].column, strict=True)
    told = dict.fromkeys(text.casefold() for text, end in rows if text and not end)
    return [text for text in told if work_in_column(text) in MENDS][:MOST_WORDS]


def _told_by_codes(told, group):
    """The headings of codes of which a list says that some mean that nothing was found, and none that it is still open."""
    return [
        one for one, words in told.items() if one in group.legends and {*words.values()} <= {*NOTHING_FOUND}
    ]


def _outcome_in_codes(coded, told, works):
    """The lookup of the outcome from codes, and from what was done beside them."""
    done = [one.heading("action") for one in works if one.heading("action") in told]
    heading, *also = dict.fromkeys([*coded, *done])
    words = {text: meaning for one in (heading, *also) for text, meaning in told[one].items()}
    note, why = "no column says the outcome, but a list of the codes does", DECIDES if works else ""
    given = {"also": also or None, "words": dict([*words.items()][:MOST_WORDS]), "otherwise": ""}
    yield from lookup("tickets.lookup.outcome", heading, note, why=why, **given)


def _tells_outcomes(heading, cells):
    """Whether a column is of outcomes: its heading says so or it says how far reports are, or most of its cells tell an outcome, work, what
    was found or a part."""

    def tells(text):
        return (
            meaning_of_cell("outcome", text)
            or work_in_column(text)
            or says("finding", text)
            or part_in_text(text)
        )

    is_named = likeness_of_column(heading, "tickets", "outcome") >= SURE
    return is_named or is_of_states(heading, cells) or cells.share(tells) >= MOSTLY


def _told_where_nothing_is_done(group, placing_list, done=""):
    """The complaints that say themselves, beside no work, behind what was wrong that nothing was found or that it was not the desk, each
    with that outcome; beside a cell that says that nothing was done those too that tell of a check; where work is told elsewhere those that
    it was not the desk alone. Those that tell behind what was wrong that it was mended are faults found. ``done`` is the column of work where no table has it."""
    said = placing_list[0].heading("symptom")
    is_diary = group.pages[0].dialect.delimiter in (DAY, MESSAGE)
    if not (done or placing_list[1:] or is_diary or group.pages[0].dated == said) and said in group.cells:
        told = {text: outcome_in_text(text) for text in group.cells[said].folded if says_outcome_behind(text)}
        return {text: one for text, one in told.items() if one == NOT_THE_DESK}
    done = done or next((one.heading("action") for one in placing_list[1:] if one.table == "repairs"), said)
    if done == said or not {said, done} <= {*group.cells}:
        return {}
    beside = {}
    for text, work in zip(group.cells[said].column, group.cells[done].column, strict=True):
        beside.setdefault(text.casefold(), set()).add("none" if work and says_no_work(work) else bool(work))
    undone = [text for text in group.cells[said].folded if True not in beside[text]]
    told = {text: outcome_without_work(text) for text in undone if "none" in beside[text]}
    undone = [text for text in undone if text not in told and not says_all_well(text, has_slot=False)]
    told |= {text: outcome_in_text(text) for text in undone if says_outcome_behind(text)}
    told = {text: outcome for text, outcome in told.items() if outcome in NOTHING_FOUND}
    return told | {text: "fault found" for text in undone if text not in told and tells_mending(text)}


def _thread(group, placing_list) -> str:
    """The heading of remarks with their days of which some say that nothing was found or that it was not the desk; '' where none do."""
    works = [
        one for one in placing_list[1:] if DAY_OF in one.columns and DAY_OF not in placing_list[0].columns
    ]
    heading = next((one.heading("action") for one in works), "")
    return heading if any(outcome_in_text(text) in NOTHING_FOUND for text in group.texts(heading)) else ""


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
    yield from (f"{quote(text)} = {quote(not_found_or_open(text, may_wait=True))}" for text in states)


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
        tells = of_states or heading in done or likeness_nowhere(heading) < 0.6
        tells = tells and (of_states or cells.mean_words >= 1.3)
        if heading not in taken and tells:
            of_work = heading in done and not of_states  # there new is a part that was fitted, and no report
            waiting = {
                one for one in cells.folded if of_states or (of_work and work_in_text(one) not in MENDS)
            }
            apart = {text: [*work_told(text).values()] for text in cells.folded}  # as they may be parted
            said = {
                one: not_found_or_open(one, may_wait=text in waiting)
                for text, own in apart.items()
                for one in (own if len(own) > 1 else [text])
            }
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
    if said and group.pages[0].dated == said and not _tells_work_apart(group, placing_list[0]):
        yield from _outcome_in_notes(said, group.cells[said])
        return
    is_of_both = said in {one.heading("action") for one in placing_list[1:]}
    if not is_of_both and group.pages[0].dialect.delimiter not in (DAY, MESSAGE):
        return
    is_of_work = is_of_cards(group) and likeness_of_column(said, "repairs", "action") >= SURE
    told = {*map(outcome_in_text, group.texts(said))}
    if "fault found" in told and not (is_of_both or is_of_work or group.work_beside):
        # else the first cause told leaves all others open
        yield from _outcome_in_notes(said, group.cells[said])
    elif is_of_work or told - {""}:
        note = "a text of complaint and work may say that nothing was found or that it was not the desk"
        otherwise, why = ("fault found", MENDED) if is_of_work else ("", DECIDES)
        yield from lookup(
            "tickets.lookup.outcome", said, note, known_words=True, otherwise=otherwise, why=why
        )


def _outcome_in_notes(heading, cells):
    """The lookup of the outcome from notes that say what was wrong and seldom what was done, each of a fault but where it says otherwise."""
    waiting = [text for text in cells.folded if still_waits(text)]
    note = "a note may say that nothing was found, that it was not the desk, or that it waits"
    rule = {"words": dict.fromkeys(waiting[:MOST_WORDS], "open") or None, "known_words": True}
    why = "what else stands there was found, as notes seldom say what was done"
    yield from lookup("tickets.lookup.outcome", heading, note, **rule, otherwise="fault found", why=why)


def _tells_work_apart(group, tickets):
    """Whether the work behind some note that tells none stands in the next one of its slot, a few weeks later at most: where it does not,
    nobody has done it."""
    places = [one for name in DESK_AND_SLOT if (one := tickets.heading(name)) in group.cells]
    days = days_in_order(group.cells[DAY_OF].column)
    texts = group.cells[tickets.heading("symptom")].column
    slots, before = [*zip(*(group.cells[one].column for one in places), strict=True)] or [()] * len(texts), {}
    for slot, day, text in zip(slots, days, texts, strict=True):
        told, work = before.get(slot), work_in_text(text)
        if told and work in MENDS - {RE_CAP} and day and 0 <= (day - told).days <= SOON:
            return True
        before[slot] = None if work or cause_behind(text) else day
    return False


def _is_of_complaints(heading, cells):
    """Whether a column says what was wrong, and so only seems to say that nothing was found."""
    others = max(cells.deeds, cells.understood("outcome"))
    return likeness_of_column(heading, "tickets", "symptom") >= SURE or cells.complaints > others


def is_of_states(heading, cells) -> bool:
    """Whether a column says how far reports are, by few words, numbers of other reports apart: one is, or begins with a word of its own, that
    they are closed or open, or its heading says so and some are that."""
    words = {"closed", "open", "offen", "geschlossen", "erledigt"}
    is_named = likeness_of_column(heading, "tickets", "outcome") >= SURE
    begun = {re.split(r" - |[:/,(]", text)[0].strip() for text in cells.folded}
    told = not words.isdisjoint(begun) or (is_named and any(map(still_waits, cells.folded)))
    return len({*map(with_open_numbers, cells.folded)}) <= MOST_STATES and told
