"""Texts that are no report of a fault: planned work and no complaint, as ``annual clean of faders``; cancelled, told twice, a test."""

import re

from .part_kinds import work_in_text
from .words import RE_CAP, fold, is_wholly, says, vocabulary, words_in


def says_planned(text: str) -> bool:
    """Whether a text names work that comes round, or a re-cap, and no complaint.

    Examples
    --------
    >>> [says_planned(text) for text in ("annual clean of faders", "Winter service, ch 9-16", "re-cap, last lot", "Jahreswartung, Fader")]
    [True, True, True, True]
    >>> [says_planned(text) for text in ("no output after the annual clean", "low since re-cap", "needs a re-cap", "fader clean")]
    [False, False, False, False]
    """
    if is_wholly("planned", text):
        return True
    comes_round = says("comes_round", text) or (says("season", text) and says("care", text))
    return bool(comes_round or work_in_text(text) == RE_CAP) and not _complains(text)


def says_no_report(text: str) -> bool:
    """Whether a text says, it may be behind ``closed`` and a mark, that a report is cancelled, or the same again, or to be ignored.

    Examples
    --------
    >>> [says_no_report(text) for text in ("Duplicate of 101", "closed - cancelled", "test, please ignore", "no sound")]
    [True, True, True, False]
    """
    parts = re.split(r" - |[:/,(]", fold(text).rstrip(")"))
    return any(is_wholly("no_report", part.strip()) for part in parts)


def _complains(text):
    """Whether a text tells what was wrong, asks, or speaks of what was so since some work."""
    # meters and the like are what is cared for
    rest = " ".join(word for word in fold(text).split() if not is_wholly("module_type", word.strip(".,:;()")))
    told = any(says(kind, rest) for kind in ("symptom", "finding", "not_as_planned"))
    return "?" in text or told or bool({*words_in(text)} & {*vocabulary().negations, *vocabulary().faults})
