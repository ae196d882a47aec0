"""Whether a cell is one of the words by which mapping.toml takes rows in, leaves them out, or lets them tell an earlier row on."""

import re
from functools import cache

from .known_words.outcomes import told_on

TOLD_ON = "(told on)"
A_NUMBER_OPEN = re.compile(r"#(?!\d)")  # of a word: any number


@cache
def word_among(words: tuple[str, ...]):
    """What tells of a cell whether it is one of some words, in small letters; # in a word stands for a number, and ``TOLD_ON`` for all texts
    that tell on what was reported before, with no complaint of their own.

    Examples
    --------
    >>> list(map(word_among(("cancelled", "same as #")), ("Cancelled ", "same as 4711", "Same as #12", "same as above")))
    [True, True, True, False]
    >>> list(map(word_among((TOLD_ON,)), ("still there", "C3 replaced, fixed", "hums again")))
    [True, True, False]
    """
    numbered = (re.escape(word) for word in words if A_NUMBER_OPEN.search(word))
    pattern = re.compile(
        "|".join(A_NUMBER_OPEN.sub(r"#?\\d+", one.replace(r"\#", "#")) for one in numbered) or "(?!)"
    )
    by_text = TOLD_ON in words
    return lambda cell: (
        (word := cell.strip().casefold()) in words
        or bool(pattern.fullmatch(word))
        or (by_text and bool(told_on(word)))
    )
