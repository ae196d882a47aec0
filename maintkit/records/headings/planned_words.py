"""Texts that tell of planned work and of no complaint, such as ``annual clean of faders`` or ``re-cap, last lot``."""

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


def _complains(text):
    """Whether a text tells what was wrong, asks, or speaks of what was so since some work."""
    # meters and the like are what is cared for
    rest = " ".join(word for word in fold(text).split() if not is_wholly("module_type", word.strip(".,:;()")))
    told = any(says(kind, rest) for kind in ("symptom", "finding", "not_as_planned"))
    return "?" in text or told or bool({*words_in(text)} & {*vocabulary().negations, *vocabulary().faults})
