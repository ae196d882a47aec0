"""Messages of a group that are no reports: chatter, and answers that tell what was done about the report before them."""

import re
from functools import cache

from .outcomes import outcome_in_text
from .part_kinds import part_in_text, work_in_text
from .words import fold, says

# a number by itself and of no unit: of a slot, or how many
_NUMBER = re.compile(
    r"(?<![\w+.,:/-])\d{1,3}(?![\w:/-]|[.,]\d| ?(?:[muµpkn]?[vafw]|[mk]?hz|db|[mk]?ohms?|%|€|h|hrs?|hours?|mins?|minutes?|std|days?|weeks?|x)\b)"
)
_TOO = re.compile(r"^\+ ?1\b|\b(?:too|as well|same here|auch|ebenso)\b")
_WORDS = re.compile(r"\d+|[^\W\d_]{3,}")
_SMALL = {"the", "and", "der", "die", "das", "dem", "den", "auf", "und"}
_DONE = re.compile(r"(?:all |is |it's )?(?:done|fixed|sorted|mended|repaired|erledigt|repariert|behoben)\b")


def says_nothing(text: str) -> bool:
    """Whether a text names no slot, part or complaint, and no work or outcome: nothing that is known of a desk.

    Examples
    --------
    >>> [says_nothing(text) for text in ("who is for soup?", "thanks!", "ch 3 dead", "pots on 9", "cleaned", "hums again")]
    [True, True, False, False, False, False]
    """
    is_known = any(says(kind, text) for kind in ("position", "symptom", "finding"))
    return not (is_known or _tells_what_was_done(text))


def has_number(text: str) -> bool:
    """Whether a number stands in a text by itself, as that of a slot may."""
    return bool(_NUMBER.search(text))


def answers(text: str, report: str) -> bool:
    """Whether a text tells what was done about a ``report`` some time before it, or what that was: work, a part or an outcome, and of no
    other slot.

    Examples
    --------
    >>> [answers(text, "ch 14 crackling") for text in ("done, dry joint", "2 caps changed", "C7 in 14 changed", "pot")]
    [True, True, True, True]
    >>> [answers(text, "ch 14 crackling") for text in ("ch 9 hums", "C7 in 9 changed", "9 fader", "thanks", "14 crackles")]
    [False, False, False, False, False]
    """
    if not _tells_what_was_done(text):
        return False
    numbers = {*_NUMBER.findall(fold(text))}
    is_of_it = numbers <= {*_NUMBER.findall(fold(report))}
    if says("symptom", text):
        return bool(work_in_text(text)) and not numbers
    return is_of_it or bool(work_in_text(text)) and not says("position", text)


def tells_again(text: str, report: str) -> bool:
    """Whether a text tells the ``report`` of another before it once more: it names the same place, or says that it is so there too.

    Examples
    --------
    >>> [tells_again(text, "Tern ch 6 thin") for text in ("6 on tern sounds like a phone", "+1", "tern 6 here too")]
    [True, True, True]
    >>> [tells_again(text, "Tern ch 6 thin") for text in ("heron ch 6 thin", "tern 9 dead", "tern 9 too", "who is on tern?")]
    [False, False, False, False]
    """
    words, told = ({*_WORDS.findall(fold(one))} - _SMALL for one in (text, report))
    numbers = {*_NUMBER.findall(fold(text))}
    if _TOO.search(text.casefold()):
        return numbers <= told
    place = {one for one in told if not _is_of_a_complaint(one)}
    return bool(numbers) and numbers <= place <= words


def _is_of_a_complaint(word):
    """Whether a word tells what was wrong, or is one for a slot."""
    return any(says(kind, word) for kind in ("symptom", "finding", "again")) or says("position", f"{word} 1")


@cache
def _tells_what_was_done(text):
    return bool(
        work_in_text(text) or part_in_text(text) or outcome_in_text(text) or _DONE.match(fold(text).lstrip())
    )
