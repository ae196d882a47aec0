"""Names so alike that they may be one thing, though folding does not unite them: listed, never united in silence."""

import json
import re
from collections import defaultdict
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import combinations
from unicodedata import normalize

from .folding import BESIDE_CHANNELS, SAME_WORD, fold_name, fold_part, fold_slot
from .spelling import KEY, spellings_in_use

MOST_IN_A_GROUP = 60  # names compared with one another; more that look so alike are a numbering, not twins
# likeness from which words beside equal numbers, and names without any, are twins
ALIKE_WORDS, ALIKE_TEXT = 0.4, 0.8
SHORTEST = 3  # letters of a word that may stand for a longer one without a number beside it
_VALUE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(p|n|u|µ|μ|m|k|r|v)?f?(?![a-z])")
# I, V and X are letters as well
ROMAN = {"ii": "2", "iii": "3", "iv": "4", "vi": "6", "vii": "7", "viii": "8"}
_MISREAD = str.maketrans("oil", "011")


@dataclass(frozen=True)
class Twins:
    """Two names that may be one: of what kind, on which desk ('' for any), how many rows have each.

    ``line`` is what joins them in mapping.toml, under ``section``; the rarer is shown as the commoner.
    """

    column: str
    scope: str
    name: str
    rows: int
    other: str
    other_rows: int

    @property
    def section(self) -> str:
        """The section of mapping.toml that joins such names, of slots that of their desk."""
        return f"[spelling.{self.column}{f'.{json.dumps(self.scope, ensure_ascii=False)}' if self.scope else ''}]"

    @property
    def line(self) -> str:
        """The line that shows the rarer name as the commoner."""
        return f"{json.dumps(self.other, ensure_ascii=False)} = {json.dumps(self.name, ensure_ascii=False)}"


def near_twins(connection) -> list[Twins]:
    """Desks, slots, serials and part types that may be one, by kind, desk and name; of several that a name may be the commonest."""
    found = []
    for column, (group_of, alike) in ALIKE.items():
        by_scope = defaultdict(dict)
        for scope, name, rows in spellings_in_use(connection, KEY[column]):
            by_scope[scope][name] = rows
        for scope, rows in sorted(by_scope.items()):
            pairs = [
                sorted(pair, key=lambda one: (-rows[one], one)) for pair in _pairs(rows, group_of, alike)
            ]
            first = {}  # a name is written once in its section
            for name, other in sorted(pairs, key=lambda pair: (-rows[pair[0]], pair)):
                first.setdefault(other, name)
            for name, other in pairs:
                if first[other] == name:
                    found.append(Twins(column, scope, name, rows[name], other, rows[other]))
    return found


def _pairs(names, group_of, alike):
    groups = defaultdict(list)
    for name in sorted(names):
        groups[group_of(name)].append(name)
    small = (group for group in groups.values() if len(group) <= MOST_IN_A_GROUP)
    return [pair for group in small for pair in combinations(group, 2) if alike(*pair)]


def _values(part):
    """The numbers of a part type with their multipliers, as in 100u 25V, and the words beside them."""
    text = fold_part(part).casefold().replace("µ", "u").replace("μ", "u")
    values = tuple((number.replace(",", "."), multiplier) for number, multiplier in _VALUE.findall(text))
    return values, re.sub(r"[^a-z]+", " ", _VALUE.sub(" ", text)).strip()


def _parts_alike(one, other):
    (values, words), (_, other_words) = _values(one), _values(other)
    least = ALIKE_WORDS if values else ALIKE_TEXT
    return not (words and other_words) or _likeness(words, other_words) >= least


def _desks_alike(one, other):
    """Names alike but for a letter or two, shortened, or with a word more; told apart by a number, or by a letter of its own, they are two."""
    words, others = (_desk_words(name) for name in (one, other))
    is_plain = any(map(str.isdecimal, words)) or min(map(len, (*words, *others)), default=0) >= SHORTEST
    if len(words) == len(others) and is_plain and all(map(_shortens, words, others)):
        return True
    told = {*words} ^ {*others}
    if any(word.isdecimal() or len(word) == 1 for word in told):
        return False
    few, many = sorted((words, others), key=len)
    return few == many[: len(few)] or _likeness(fold_name(one), fold_name(other)) >= ALIKE_TEXT


def _desk_words(name):
    """The words and numbers of a desk's name, Roman numerals as numbers, without the word for a number."""
    words = (
        ROMAN.get(word, word) for word in re.findall(r"\d+|[^\W\d_]+", normalize("NFKC", name).casefold())
    )
    return [word for word in words if word not in ("no", "nr", "number")]


def _shortens(one, other):
    """Whether a word is another, or begins it; numbers are as they are."""
    few, many = sorted((one, other), key=len)
    return few == many or (few.isalpha() and many.startswith(few))


def _slot_words(slot):
    return "".join(re.findall(r"[^\W\d_]+", fold_slot(slot)))


def _slots_alike(one, other):
    """The same numbers, marked off otherwise, or after a word that shortens the other's, or after none."""
    letters, others = (
        {*re.findall(r"(?<![^\W_])[^\W\d_](?![^\W_])", name.casefold())} for name in (one, other)
    )
    if letters and others and letters != others:
        return False  # group E is not group G
    words, others = sorted((_slot_words(one), _slot_words(other)), key=len)
    if not words and SAME_WORD.get(others, others) in BESIDE_CHANNELS:
        return False  # group 5 is not channel 5
    return others.startswith(words) or _likeness(words, others) >= ALIKE_TEXT


def _likeness(one, other):
    return SequenceMatcher(None, one, other, autojunk=False).ratio()


def _misread(serial):
    """A serial as it is when O is read as 0, I and l as 1, and marks and leading zeros are left out."""
    text = re.sub(r"[\W_]+", "", fold_name(serial)).translate(_MISREAD)
    return re.sub(r"(?<!\d)0+(?=\d)", "", text)


# How each kind of name is grouped, so that few need be compared, and when two of a group are twins.
ALIKE = {
    "desk": (lambda name: fold_name(name)[:1], _desks_alike),
    "position": (
        lambda slot: tuple(re.findall(r"\d+", fold_slot(slot))) or _slot_words(slot)[:1],
        _slots_alike,
    ),
    "serial": (_misread, lambda one, other: True),
    "part_type": (lambda part: _values(part)[0] or _values(part)[1][:1], _parts_alike),
}
