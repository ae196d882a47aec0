"""Codes in place of words, such as N for noise, whose meaning stands in a list beside the log; shorthand within texts."""

import re
from functools import cache

BETWEEN = re.compile(r"\s*[/+,;&]\s*")  # codes of one cell


def decoded(text: str, meanings: dict[str, str]) -> str:
    """A cell of one code, or of several, in words; any other cell as it is.

    Parameters
    ----------
    text : str
        The cell.
    meanings : dict of str to str
        What each code means; the codes in small letters.

    Examples
    --------
    >>> codes = {"n": "noise", "r": "replaced", "c": "cleaned"}
    >>> [decoded(text, codes) for text in ("N", "c/r", "N?", "replaced by DK", "")]
    ['noise', 'cleaned; replaced', 'N?', 'replaced by DK', '']
    """
    whole = meanings.get(text.strip().casefold())
    if whole is not None:
        return whole
    codes = [meanings.get(one.casefold()) for one in BETWEEN.split(text.strip())]
    return "; ".join(codes) if len(codes) > 1 and all(codes) else text


def spelled_out(text: str, meanings: dict[str, str]) -> str:
    """A text with the words for its shorthand; ``#`` in a code stands for a number, and in its meaning for the same.

    Examples
    --------
    >>> spelled_out("Crk again, 3c rpl", {"crk": "crackles", "rpl": "replaced", "#c": "# capacitors"})
    'crackles again, 3 capacitors replaced'
    """

    def meaning(found):
        code = found[0].casefold()
        number = re.search(r"\d+", code)
        if code in meanings or not number:
            return meanings[code]
        return meanings[code.replace(number[0], "#", 1)].replace("#", number[0])

    return _any_standing(tuple(meanings)).sub(meaning, text) if meanings else text


@cache
def _any_standing(codes):
    """A pattern for any of some codes that is no part of a longer word."""
    longest_first = sorted(codes, key=len, reverse=True)
    parts = "|".join(re.escape(code).replace(r"\#", r"\d+") for code in longest_first)
    return re.compile(rf"(?<![\w/])(?:{parts})(?![\w/])", re.IGNORECASE)
