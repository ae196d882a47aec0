"""Words of work in which the pen slipped: a letter left out, doubled, or changed places with the next."""

import re
from functools import cache

from .words import vocabulary

LONG_WORD = 6  # letters from which one that is wrong leaves the word plain


def without_slips(text: str) -> str:
    """A text with the words of work put right in which a letter is left out, doubled, or changed places with the next.

    Examples
    --------
    >>> [without_slips(text) for text in ("claened sw.", "IC3 repalced", "relay replacd", "tapes charged", "sorted")]
    ['cleaned sw.', 'IC3 replaced', 'relay replaced', 'tapes charged', 'sorted']
    """
    return re.sub(r"[^\W\d_]+", lambda word: _slips().get(word[0].casefold(), word[0]), text)


@cache
def _slips():
    """The words of work by each slip of the pen that makes no other known word."""
    choices = vocabulary().choices
    known = {word for name in ("action", "kind", "outcome") for phrase in choices[name] for word in phrase}
    right = sorted(word for phrase in choices["action"] for word in phrase if len(word) >= LONG_WORD)
    return {slip: word for word in right for slip in slips_of(word) if slip not in known}


def slips_of(word: str):
    """Yield what a word becomes with a letter left out, doubled, or changed places with the next.

    Examples
    --------
    >>> sorted(set(slips_of("tern")))
    ['etrn', 'teern', 'ten', 'tenr', 'ter', 'terrn', 'tren', 'trn', 'ttern']
    """
    for at in range(1, len(word)):
        yield word[:at] + word[at + 1 :]
        yield word[:at] + word[at - 1] + word[at:]
        yield word[: at - 1] + word[at] + word[at - 1] + word[at + 1 :]
