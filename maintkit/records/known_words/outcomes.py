"""What a text says of how it ended: nothing found, not the desk, still open, in vain, thrown away."""

import re
from functools import cache

from .meanings import LONGEST, MENDS, NOT_THE_DESK, RE_CAP, SWAP, meaning_of_cell, spans_in, work_of_text
from .part_kinds import cause_behind, work_in_text
from .words import fold, is_wholly, says, vocabulary, words_in

NOTHING_FOUND = ("no fault found", NOT_THE_DESK)
# letters of a word for a store that may have a label of its own, as a bank of slots has one too
LONG_ENOUGH = 5
LOOKED_FOR = re.compile(r"\b(?:looked|looking|listened|searched|checked|tested) for\b|\bgesucht\b")
NONE = re.compile(r"none|nothing|nil|not there|no sign|nichts|keine?s?")
SEE_A_DAY = re.compile(  # see 18.12., see the 3rd, siehe 4. Mai
    r"(?:see|siehe|s\.) (?:the |vom |on )?\d{1,2}(?:[./-]\d{1,2}(?:[./-]\d{2,4})?|st|nd|rd|th|(?:st|nd|rd|th|\.)? ?[^\W\d]{3,})"
)
DASHES = re.compile(r"[-–—/\s]+")
LONGEST_SIGN = 3  # letters of who wrote a line
CLAUSES = re.compile(r"[.,;:!?/&+]|\s[-–—]+\s|\b(?:and|but|then|und|aber|dann)\b")


def outcome_in_text(text: str) -> str:
    """The outcome that a text of complaint and work tells, where it says that nothing was found or that it was not the desk, or names behind
    the complaint the part that was the cause, or says at its end that it is mended; else ''.

    One that names several slots tells of several things, and has none.

    Examples
    --------
    >>> [outcome_in_text(text) for text in ("ch 3 thin?? NFF", "ch 3 fader cleaned", "ch 4 fine. ch 5 dead")]
    ['no fault found', '', '']
    >>> [outcome_in_text(f"ch 3 distorting all through the session, left it on. {end}") for end in ("later: it was the mic, no fault. DK", "dead")]
    ['no fault found', '']
    >>> [outcome_in_text(text) for text in ("ch 3 mic gain", "ch 3 mic", "ch 3 dead, mic cable", "hum everywhere, was the lights")]
    ['', '', 'not the desk', 'not the desk']
    >>> [outcome_in_text(text) for text in ("ch 3 dull, coupling cap", "dull. Sorted now.", "ch 3 hum, cap?", "ch 3 hum, waiting for cap", "ch 3 hum, cap not found")]
    ['fault found', 'fault found', '', '', 'no fault found']
    """
    if not _names_one_slot(text) or names_gear_alone(text):
        return ""
    told = not_found_or_open(text.casefold(), may_wait=False)
    if (
        not told
        and LOOKED_FOR.search(text.casefold())
        and NONE.fullmatch(CLAUSES.split(fold(text).rstrip(" ."))[-1].strip())
    ):
        return "no fault found"
    if not told and len(words_in(text)) > LONGEST:
        told = _at_the_end(text)
    is_found = not told and (cause_behind(text) or _ends_mended(text)) and not still_waits(text)
    return "fault found" if is_found else told


@cache
def outcome_without_work(text: str) -> str:
    """The outcome of a complaint of which another cell says that nothing was done: what it says itself, or that nothing was found where it
    tells of a check and complains of nothing; else ''.

    Examples
    --------
    >>> [outcome_without_work(text) for text in ("Nothing wrong, user had low cut in", "checked, fan filter clean", "fine since Jan. Checked.")]
    ['no fault found', 'no fault found', 'no fault found']
    >>> [outcome_without_work(text) for text in ("left dead, right fine", "checked, dry joint", "hum, checked", "hum", "check 7?")]
    ['', '', '', '', '']
    """
    complains = says("symptom", text) or says("finding", text) or "?" in text
    clauses, told = CLAUSES.split(fold(text)), outcome_in_text(text)
    first = words_in(clauses[0])
    is_first = len(first) > 1 and vocabulary().choices["outcome"].get(first) in NOTHING_FOUND
    if told in NOTHING_FOUND and (is_first or says_outcome_behind(text) or not complains):
        return told
    is_check = not complains and any(work_of_text(one) == "test" for one in clauses)
    return "no fault found" if is_check else ""


def tells_mending(text: str) -> bool:
    """Whether a complaint says behind a mark, where nothing waits, what was done about it.

    Examples
    --------
    >>> [tells_mending(text) for text in ("no signal; relay dirty; cleaned", "dull; C14 dried out; new cap in", "no signal; fuse; replaced; watch it")]
    [True, True, True]
    >>> [tells_mending(text) for text in ("no signal", "hum, replace C5?", "dull; needs a new cap", "crackles, cleaned but still there", "re-capped, dull")]
    [False, False, False, False, False]
    """
    first, *others = CLAUSES.split(fold(text))
    is_over = "?" not in text and not (still_waits(text) or "still" in words_in(text))
    complains = says("symptom", first) or says("again", first)
    return bool(complains and is_over) and any(work_in_text(one) in MENDS - {RE_CAP} for one in others)


def says_no_work(text: str) -> bool:
    """Whether a cell where work should be says that there was none, or no more than on which day to look.

    Examples
    --------
    >>> [says_no_work(text) for text in ("none needed", "-", "n/a", "see 18.12.", "no action", "no parts, cleaned", "no signal", "see C14")]
    [True, True, True, True, True, False, False, False]
    """
    bare = fold(text).strip(" .!()")
    return bool(DASHES.fullmatch(bare) or is_wholly("none_done", bare) or SEE_A_DAY.fullmatch(bare))


def nothing_found_in(texts) -> str:
    """The outcome that one of the texts beside each other tells, where it says that nothing was found or that it was not the desk and none
    tells of mending; else ''.

    Examples
    --------
    >>> [nothing_found_in(texts) for texts in (("hums", "was muted"), ("hums", "was muted, relay replaced"), ("left fine, right dead", ""))]
    ['not the desk', '', '']
    """
    told = (outcome_in_text(one) for one in texts if _may_be_believed(one))
    return "" if any(map(_is_mended, texts)) else next((one for one in told if one in NOTHING_FOUND), "")


def _may_be_believed(text):
    """Whether a text may say, apart from its complaint, that nothing was found: not by fine alone, nor by bare gear such as the mic capsule
    of the talkback."""
    words = words_in(text)
    is_long = any(length > 1 and one in NOTHING_FOUND for length, _, one in spans_in(words, "outcome"))
    is_apart = is_long or says_outcome_behind(text) or not says("symptom", text)
    return is_apart and (len(words) > 2 or not _names_gear(text))


def _at_the_end(text):
    """The outcome that the last clause of a longer text is, but for who signed it, where it tells of no mending; else ''."""
    clauses = [words for clause in CLAUSES.split(fold(text)) if (words := words_in(clause))]
    told = [vocabulary().choices["outcome"].get(words) for words in clauses[1:]][-2:]
    is_last = told[-1:] != [None] or (len(clauses[-1]) == 1 and len(clauses[-1][0]) <= LONGEST_SIGN)
    found = next((one for one in reversed(told) if one), "") if told and is_last else ""
    return found if found in NOTHING_FOUND and not _is_mended(text) else ""


def names_gear_alone(text: str) -> bool:
    """Whether a text names other gear and no more, but for the slot: a complaint of it, as the work says what it was.

    Examples
    --------
    >>> [names_gear_alone(text) for text in ("mic", "ch 3 mic cable", "no sound, mic cable", "faulty mic cable", "user error")]
    [True, True, False, False, False]
    """
    rest = vocabulary().in_cells["position"].sub(" ", fold(text))
    is_of_use = vocabulary().choices["outcome"].get(words_in(rest)) == NOT_THE_DESK
    return is_of_use and _names_gear(rest)


def _names_gear(text):
    return bool(vocabulary().other_gear & {*words_in(text)})


def not_found_or_open(text, *, may_wait):
    """The outcome where a text says that nothing was found and tells of no mending, or that it still waits where that ``may_wait``; else ''."""
    meaning = meaning_of_cell("outcome", text)
    if meaning in NOTHING_FOUND:
        return "" if _is_mended(text) else meaning
    return meaning if meaning == "open" and may_wait and still_waits(text) else ""


@cache
def outcome_of_finding(text: str) -> str:
    """What a finding of work that mended nothing, or what stands behind its last semicolon, says of the outcome: that nothing was found, or
    that it was not the desk; else ''.

    Examples
    --------
    >>> [outcome_of_finding(text) for text in ("patch lead", "sounds clean; NFF", "part on order")]
    ['not the desk', 'no fault found', '']
    """
    told = (not_found_or_open(one, may_wait=False) for one in (text, text.rpartition(";")[2]))
    return next(filter(None, told), "")


def still_waits(text):
    """Whether a text says that nothing is done yet, and not that a part is open."""
    if vocabulary().choices["outcome"].get(words_in(text)) == "open":
        return True
    if _is_mended(text) or work_in_text(text) == SWAP:
        return False
    rest = " ".join(word for word in words_in(text) if word not in ("open", "offen"))
    return meaning_of_cell("outcome", rest) == "open"


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


def told_on(text: str) -> str:
    """The outcome that a text gives to what was reported of its slot before, where it tells no complaint of its own: open where it says that it
    is there still; '' where it may be a report itself.

    Examples
    --------
    >>> [told_on(text) for text in ("still thin, using 13", "update: part ordered", "C3. fixed", "relay cleaned", "false alarm")]
    ['open', 'open', 'fault found', 'fault found', 'no fault found']
    >>> [told_on(text) for text in ("thin, C3 fixed", "hum back", "re-opened", "hums again", "fader jumps", "out for re-cap")]
    ['', '', '', '', '', '']
    """
    work = work_in_text(text)
    if vocabulary().in_cells["goes_on"].match(fold(text)):
        return "fault found" if work in MENDS - {RE_CAP} else "open"
    if work == RE_CAP or says("symptom", text):
        return ""
    is_mended = work in MENDS or meaning_of_cell("outcome", text) == "fault found"
    return outcome_in_text(text) or ("fault found" if is_mended else "")


def says_outcome_behind(text: str) -> bool:
    """Whether a text says, in a clause of its own behind another, that nothing was found or that it was not the desk.

    Examples
    --------
    >>> [says_outcome_behind(text) for text in ("hums? couldn't hear it", "left dead, right fine", "fine tone missing", "hum - not us")]
    [True, False, False, True]
    """
    known = vocabulary().choices["outcome"]
    clauses = [clause.strip() for clause in CLAUSES.split(fold(text))[1:]]
    return any(known.get(words_in(one)) in NOTHING_FOUND or is_wholly("not_in_use", one) for one in clauses)


def says_gone(text: str) -> bool:
    """Whether a place or remark says of a module that it was thrown away: a clause is such a place, or tells of scrapping it.

    Examples
    --------
    >>> [says_gone(text) for text in ("bin", "track burnt, scrapped 3.11.", "board in the bin")]
    [True, True, False]
    >>> [says_gone(text) for text in ("bin 12", "to be scrapped", "from a scrapped desk", "not scrapped")]
    [False, False, False, False]
    """
    clauses = [clause.strip() for clause in re.split(r"[,;!?/&+]|\.(?!\d)|\s[-–—]+\s", text)]
    return any(
        is_wholly("gone", clause) or (work_of_text(clause) == "scrap" and not says("out_of", clause))
        for clause in clauses
    )


def says_store(text: str) -> bool:
    """Whether a place is a store or a bench, it may be with a number or letter of its own.

    Examples
    --------
    >>> [says_store(text) for text in ("Cupboard B", "shelf 3", "in the workshop", "cupboard A?", "spares", "ch 4", "bank 2", "bench")]
    [True, True, True, True, True, False, False, True]
    """
    low = re.sub(r"^(?:in|on|at|im|auf)\b\W*(?:(?:the|dem|der)\b\W*)?", "", fold(text)).strip()
    store, _, label = low.rpartition(" ")
    has_label = len(label.strip("?.")) < 3 and len(store) >= LONG_ENOUGH and is_wholly("store", store)
    return is_wholly("store", low) or has_label


def says_lent(text: str) -> bool:
    """Whether a place or remark says of a module that somebody else has it.

    Examples
    --------
    >>> [says_lent(text) for text in ("lent to the annexe", "On loan", "lent out, back since May", "silent")]
    [True, True, False, False]
    """
    return bool(vocabulary().in_cells["lent"].match(fold(text))) and not says("again", text)


def _names_one_slot(text):
    """Whether a text names no more than one slot, and so does not tell of another that nothing was found there."""
    return len({one[0] for one in vocabulary().in_cells["position"].finditer(fold(text))}) < 2


def _ends_mended(text):
    """Whether the last of several clauses of a text says that it is mended, and no more."""
    *before, last = CLAUSES.split(fold(text).strip(" .;!"))
    return bool(before) and is_wholly("mended", last.strip())


def _is_mended(text):
    """Whether a text tells of work that shows a fault, whatever else it says was not found."""
    return work_in_text(text) in MENDS
