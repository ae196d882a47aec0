"""Texts that are no report of a fault: planned work and no complaint, as ``annual clean of faders``; cancelled, told twice, a test, an errand."""

import re

from .meanings import RE_CAP, outermost, spans_in, without_last_idle
from .part_kinds import ALL_OR_AND, WITHOUT_WORK, work_in_column, work_in_text
from .words import fold, is_wholly, says, vocabulary, words_in

THAT_GO_ON = frozenset(
    words_in(
        "but still now yet also please can could would will aber noch jetzt auch bitte mais encore aussi"
    )
)  # of thanks, to something else

A_REQUEST = re.compile(r"[,;.!]\s*(?:please|bitte)\s[^,;.!]*[.!]*$", re.IGNORECASE)  # behind what it is about
AMOUNT = re.compile(r" [\d.,]+ ?(?:x|h|hrs?|hours?|std|min|km|miles?)?$")
NOW = frozenset(words_in("today tonight done finished began begun started heute fertig erledigt begonnen"))

TROUBLE = frozenset(
    words_in("error errors mistake mistakes failure failures problem problems trouble fehler")
)
FEW_WORDS = 4  # of a greeting, a closing or a name


def says_planned(text: str) -> bool:
    """Whether a text names work that comes round, or a re-cap, and no complaint.

    Examples
    --------
    >>> [says_planned(text) for text in ("annual clean of faders", "Winter service, ch 9-16", "re-cap, last lot", "Jahreswartung, Fader")]
    [True, True, True, True]
    >>> [says_planned(text) for text in ("no output after the annual clean", "low since re-cap", "needs a re-cap", "fader clean")]
    [False, False, False, False]
    >>> [says_planned(text) for text in ("pulling 1-8 for re-cap, please book round it", "re-cap, please", "dull, please re-cap it")]
    [True, False, False]
    >>> [says_planned(text) for text in ("maintenance error (human)", "routine failure of a relay")]
    [False, False]
    """
    if is_wholly("planned", text):
        return True
    request = A_REQUEST.search(text)
    if request and not (work_in_text(request[0]) or says("symptom", request[0])):
        text = text[: request.start()]
    words = {*words_in(text)}
    is_trouble = words & TROUBLE and not words & vocabulary().negations
    return bool(_comes_round(text) or work_in_text(text) == RE_CAP) and not (is_trouble or _complains(text))


def says_recap(text: str) -> bool:
    """Whether a text says that a job is a re-cap, and tells of no complaint, nor of what all the capacitors were like.

    Examples
    --------
    >>> says_recap("winter works: pulling 1-8 for re-cap from 16/12, please book round it")
    True
    >>> [says_recap(text) for text in ("Re-cap", "planned recap", "alle Elkos alt", "needs a re-cap", "dead since the re-cap", "planned")]
    [True, True, False, False, False, False]
    """
    without_all = re.sub(r"[^\W\d_]+", lambda one: "" if one[0].casefold() in ALL_OR_AND else one[0], text)
    return work_in_text(without_all) == RE_CAP and says_planned(text)


def done_as_planned(text: str) -> str:
    """The work that a text calls planned, where it was done; '' where it says none.

    Examples
    --------
    >>> [done_as_planned(text) for text in ("recap planned (aux cards)", "Reinigung geplant", "annual clean", "planned")]
    ['re-cap', 'clean', 'clean', '']
    """
    told = work_in_column(text)
    if told != WITHOUT_WORK["open"]:
        return told
    words = (word for word in words_in(text) if work_in_text(word) or not is_wholly("planned", word))
    return work_in_text(" ".join(words))


def tells_work_alone(text: str) -> bool:
    """Whether a text tells work and no complaint, and not such as comes round, of which it says what it was, nor that all was well.

    Examples
    --------
    >>> [tells_work_alone(text) for text in ("fader cleaned", "re-cap", "re-cap campaign, second lot", "start-up: all fine")]
    [True, True, False, False]
    """
    is_none = says_all_well(text, has_slot=False) or says_round(text)
    return bool(work_in_text(text)) and not (is_none or (_comes_round(text) and says_planned(text)))


def says_no_report(text: str) -> bool:
    """Whether a text says, it may be behind ``closed`` and a mark, that a report is cancelled, or the same again, or to be ignored.

    Examples
    --------
    >>> [says_no_report(text) for text in ("Duplicate of 101", "closed - cancelled", "test, please ignore", "test test please ignore")]
    [True, True, True, True]
    """
    once = re.sub(r"\b(\w+)(?: \1\b)+", r"\1", fold(text))
    parts = re.split(r" - |[:/,(]", once.rstrip(")"))
    return any(is_wholly("no_report", part.strip()) for part in parts)


def says_errand(text: str) -> bool:
    """Whether a text is a job that follows from another, such as to order or to put back, and tells of no complaint.

    Examples
    --------
    >>> [says_errand(text) for text in ("order 2 relays", "Refit card after repair", "put the spare back", "Relais bestellen")]
    [True, True, True, True]
    >>> [says_errand(text) for text in ("order of the busses is wrong", "return 2 dead", "fader cap to order", "collects dust, noisy")]
    [False, False, False, False]
    """
    low, known = fold(text).strip(" .!"), vocabulary().in_cells
    told = known["errand"].match(low) or any(
        one.end() == len(low) for one in known["errand_behind"].finditer(low)
    )
    return bool(told) and not _complains(re.split(r"\b(?:after|nach)\b", low)[0])


def says_charge(text: str) -> bool:
    """Whether a text is an item of an invoice that is no work on a desk, such as travel, a meeting or consumables, and tells of nothing else.

    Examples
    --------
    >>> [says_charge(text) for text in ("Travel", "travel, 2 h", "Freezer spray, consumables", "Meeting about the rooms", "Anfahrt 40 km")]
    [True, True, True, True, True]
    >>> [says_charge(text) for text in ("fader travel", "travel, ch 3 dead", "new fader, carriage", "Meeting room desk", "materials tested")]
    [False, False, False, False, False]
    """
    parts = [AMOUNT.sub("", part) for part in _parts(text)]
    told = {*words_in(text)[:1]} & vocabulary().talks or any(is_wholly("charge", part) for part in parts)
    of_a_desk = ("symptom", "finding", "position", "desk")
    return bool(told) and not (work_in_text(text) or any(says(kind, text) for kind in of_a_desk))


def says_put_off(text: str) -> bool:
    """Whether a text says that a re-cap was put off, is due or yet to come, and nothing else.

    Examples
    --------
    >>> [says_put_off(text) for text in ("re-cap postponed", "recap put off to spring", "due for a recap", "Elkokur verschoben")]
    [True, True, True, True]
    >>> [says_put_off(text) for text in ("Recap planned for 25-32 in the new year.", "recap planned", "recap planned for May, done")]
    [True, False, False]
    >>> [says_put_off(text) for text in ("thumps, re-cap postponed", "thump due for recap", "recap", "recap put off, now done", "needs a recap")]
    [False, False, False, False, False]
    """
    words = words_in(text)
    works = outermost(spans_in(words, "action"))
    if len(_parts(text)) == 1 and works and works[0][2] == RE_CAP and says("to_come", text):
        return not (_complains(text) or {*words} & NOW)
    if {work for *_, work in works} != {RE_CAP} or work_in_text(text) != WITHOUT_WORK["open"]:
        return False
    before = " ".join(without_last_idle(words[: works[0][1]]))
    is_told = is_wholly("to_put_off", before) if before else says("put_off", text)
    return bool(is_told) and len(_parts(text)) == 1 and not _complains(text)


def says_thanks(text: str) -> bool:
    """Whether a text thanks for what was done, and tells nothing that is still or newly wrong and asks for nothing.

    Examples
    --------
    >>> [says_thanks(text) for text in ("Thanks for the new lamp on 6", "Vielen Dank, Regler 3 läuft", "cheers, much better")]
    [True, True, True]
    >>> [says_thanks(text) for text in ("thanks for 6, now 9 does it", "ch 3 dead, thanks", "thanks but 6 is back", "thanks, 3 dead")]
    [False, False, False, False]
    """
    goes_on = {*words_in(text)} & THAT_GO_ON or says("again", text) or len(re.findall(r"\d+", text)) > 1
    return bool(vocabulary().in_cells["thanks"].match(fold(text).strip())) and not (
        goes_on or _complains(text)
    )


def says_greeting_alone(text: str) -> bool:
    """Whether a text greets, thanks, signs or points to a title, it may be with names, and says nothing else.

    Examples
    --------
    >>> [says_greeting_alone(text) for text in ("Hi all,\\nsee subject\\nthanks, Kim", "Regards, Kim", "MfG", "Hi, gain jumps", "Kim")]
    [True, True, True, False, False]
    """
    low, known = fold(text), vocabulary().in_cells
    parts = [*filter(None, map(str.strip, re.split(r"[\n,.!;:]|\s[-–—]+\s", low)))]
    closed = [
        at for at, part in enumerate(parts) if known["closing"].match(part) or known["thanks"].match(part)
    ]
    before = parts[: closed[0]] if closed else parts
    told = any(says(kind, text) for kind in ("symptom", "finding", "position")) or work_in_text(text)
    short = all(len(part.split()) <= FEW_WORDS for part in parts)
    return bool(parts) and short and not told and all(map(known["greeting"].match, before))


def says_all_well(text: str, *, has_slot: bool = True) -> bool:
    """Whether a text of a diary says that nothing was wrong or nobody worked, and names no slot, complaint or work.

    One beside a slot, or of which it is not known, must say that all is well, for ``off`` is there a complaint.

    Examples
    --------
    >>> [says_all_well(text) for text in ("leap day. nothing broke", "back. Happy New Year!", "visitors, no work", "start-up: all quiet")]
    [True, True, True, True]
    >>> [says_all_well(text) for text in ("ch 3 dead, all ok now", "ch 9, all fine", "no work on it yet", "fader cleaned, all ok")]
    [False, False, False, False]
    >>> [says_all_well(text, has_slot=False) for text in ("closed until 3 Sep", "Sitzung, nichts", "easter, psu hums")], says_all_well("off")
    ([True, True, False], False)
    """
    kinds = ("all_well",) if has_slot else ("all_well", "quiet")
    parts = [re.sub(r"^\d+ ", "", part) for part in _parts(text)]
    rest = [part for part in parts if not any(is_wholly(kind, part) for kind in kinds)]
    tells = any(says(kind, part) for part in rest for kind in ("symptom", "finding", "position")) or any(
        map(work_in_text, rest)
    )
    return len(rest) < len(parts) and not tells


def says_round(text: str) -> bool:
    """Whether a text names a round of cleaning or of checks, and tells besides of no complaint.

    Examples
    --------
    >>> [says_round(text) for text in ("clean", "checked all lamps, 3 out", "Quarterly check: faders wiped", "alle Lampen geprüft, 4 neu")]
    [True, True, True, True]
    >>> [says_round(text) for text in ("clean and check meter", "check; 7 still dead", "lamp check on 9")]
    [False, False, False]
    """
    first, *others = _parts(text) or [""]
    return is_wholly("a_round", first) and not any(map(_complains, others))


def _parts(text):
    """The clauses of a text, without the marks at their ends."""
    parts = (part.strip(" .!)") for part in re.split(r"[.,;:!](?:\s|$)|\(|\s[-–—]+\s", fold(text)))
    return [*filter(None, parts)]


def _comes_round(text):
    return says("comes_round", text) or (says("season", text) and says("care", text))


def _complains(text):
    """Whether a text tells what was wrong, asks, or speaks of what was so since some work."""
    # meters and the like are what is cared for
    rest = " ".join(word for word in fold(text).split() if not is_wholly("module_type", word.strip(".,:;()")))
    told = any(says(kind, rest) for kind in ("symptom", "finding", "not_as_planned"))
    return "?" in text or told or bool({*words_in(text)} & {*vocabulary().negations, *vocabulary().faults})
