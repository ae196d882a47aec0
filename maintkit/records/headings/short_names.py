"""Names of desks written in short, by their initials or by words broken off at a full stop."""

import re
from collections import defaultdict


def in_short(names):
    """The names that are short for another of them, each with that other, which is looked up by its initials.

    Examples
    --------
    >>> in_short(["Studio 1", "S1", "Reg. 2", "Regie 2", "Studio 12"])
    {'S1': 'Studio 1', 'Reg. 2': 'Regie 2'}
    """
    of_initials = defaultdict(list)
    for name in names:
        of_initials[_initials(name)].append(name)
    short = {}
    for one in names:
        keys = (_letters(one), _initials(one)) if "." in one else (_letters(one),)
        for name in (name for key in keys for name in of_initials.get(key, ())):
            if one != name and _is_short_for(one, name):
                short[one] = name
    return short


def _is_short_for(short, name):
    """Whether a name is another's initials and numbers, two or more, such as S1 for Studio 1.

    Examples
    --------
    >>> _is_short_for("S1", "Studio 1"), _is_short_for("nb", "News booth"), _is_short_for("S", "Studio"), _is_short_for("S2", "Studio 12")
    (True, True, False, False)
    >>> _is_short_for("Reg. 1", "Regie 1"), _is_short_for("Hörsp.", "Hörspiel"), _is_short_for("Studio 1", "Studio 12")
    (True, True, False)
    """
    words = _words_and_numbers(name)
    if len(words) > 1 and _letters(short) == _initials(name) != name.casefold():
        return True
    begun = re.findall(r"\d+|[^\W\d_]+\.?", short.casefold())
    parts = list(zip(begun, words)) if len(begun) == len(words) else []
    return any(one.endswith(".") for one, _ in parts) and all(
        word.startswith(one[:-1]) if one.endswith(".") else word == one for one, word in parts
    )


def _initials(name):
    return "".join(word if word.isdigit() else word[0] for word in _words_and_numbers(name))


def _words_and_numbers(name):
    return re.findall(r"\d+|[^\W\d_]+", name.casefold())


def _letters(name):
    return re.sub(r"[\W_]", "", name.casefold())
