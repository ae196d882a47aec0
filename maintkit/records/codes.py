"""Codes in place of words, such as N for noise, whose meaning stands in a list beside the log."""

import re

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
