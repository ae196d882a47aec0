"""Lines of a diary of how a job goes on: a module is in its slot again, all has been well since, or nobody got to it; no fault by themselves."""

import re

from .meanings import CLAUSES, RE_CAP
from .part_kinds import part_in_text, work_in_text
from .words import fold, says, vocabulary, words_in

OF_A_DAY = frozenset(
    ("quiet", "ruhig", "rustig", "calme", "tranquilo")
)  # as the first clause; else it is a complaint
INTO_A_SLOT = re.compile(
    r"\s*(?:the\s+)?(?:\d|[^\W\d_]+\W*\d)"
)  # behind back in: it may be the fault that is back there


def is_back_in(text: str) -> bool:
    """Whether a text says that a module is in its slot again, and complains of nothing.

    Examples
    --------
    >>> [is_back_in(text) for text in ("Heron ch 11 back in, two capacitors", "17-24 back in.", "Quiet. 9-16 done & back")]
    [True, True, True]
    >>> [is_back_in(text) for text in ("hum back in 9", "fault back in, 9", "ch 9 back in, still dead", "back in again?", "9 is back")]
    [False, False, False, False, False]
    """
    low = fold(text)
    first, *others = CLAUSES.split(low, maxsplit=1)
    low = others[0] if others and first in OF_A_DAY else low
    found = vocabulary().in_cells["back_in"].search(low)
    return bool(found) and not (INTO_A_SLOT.match(low, found.end()) or _complains(low))


def tells_progress(text: str) -> bool:
    """Whether a text says of a job no more than that the module is in again, that all has been well since, or that nobody got to it.

    Examples
    --------
    >>> [tells_progress(text) for text in ("Heron 9-16 done & back.", "ch 14 fine since recap. touch wood.", "didn't get to Heron 23")]
    [True, True, True]
    >>> [tells_progress(text) for text in ("36 transistor, back in", "fine since recap, 9 hums", "fine since. new lamp on 6", "no time for 3, dead")]
    [False, False, False, False]
    """
    clauses = CLAUSES.split(fold(text))
    rest = [one for one in clauses if not says("well_since", one)]
    if len(rest) < len(clauses) and work_in_text(text) in ("", RE_CAP):
        return not _complains(". ".join(rest)) and not any(map(work_in_text, rest))
    is_told = vocabulary().in_cells["not_reached"].match(fold(text)) or is_back_in(text)
    return bool(is_told) and not (_complains(text) or work_in_text(text) or part_in_text(text))


def _complains(text):
    """Whether a text tells what was wrong, or asks."""
    told = any(says(kind, text) for kind in ("symptom", "finding", "not_as_planned"))
    return "?" in text or told or bool({*words_in(text)} & {*vocabulary().faults})
