"""How surely a heading says a phrase of ``words.toml``: word by word, whole, inflected, shortened, misspelt, or in a compound.

A word that many columns share says little, a word that none knows is no evidence either way, and a known word that the
phrase lacks speaks against it.
"""

import re
from collections import defaultdict
from difflib import SequenceMatcher
from functools import cache
from math import log
from operator import mul

from maintkit.records.known_words.meanings import RE_CAP, meaning_of_cell
from maintkit.records.known_words.words import (
    HOURS,
    QUESTIONS,
    UNITS,
    Heading,
    heading_of,
    vocabulary,
    words_in,
)

ENDINGS = {"", *words_in("e n en er es em s ens ed d ing ly t et te ung ungen y ies")}
LENIENCE = 0.45  # what is left of a phrase where the heading says much else
IN_PART = 0.9  # of a phrase of which a word is missing
HALF = 0.5  # of a phrase of which a word is missing must be said, by the weight of its words
ROUNDED = 1e-9  # by which two sums of the same weights may differ
UNKNOWN = QUESTION = 0.3  # weight of an unknown word; what is left of that of which, how, many among others
OTHER_TABLE = 0.95  # a phrase that another table has for a column of the same name
ALIKE = 0.9  # of a word that says nearly the same
TYPO = 0.84  # likeness of two words from which one may be the other misspelt
SURE = 0.79  # words and cells together from which a heading has a place
LEAST_WORDS = 0.5  # words alone below which only telling cells give a place
GENERAL = {"date", "datum", "tag", "day", "when", "wann", "timestamp", "time", "stamp", "zeitstempel", "dat", "dt", "dag", "jour", "fecha"}  # fmt: skip
NOWHERE = ("", "")
# lists in which a mere name is that of the thing
LENDS_NOT = {"desk": "desks", "part_type": "part_types", "serial": "modules"}
SHORTEST_PART = 4  # letters of a word within a compound


@cache
def _spread() -> dict[str, int]:
    """In how many different columns a word is met."""
    met = defaultdict(set)
    for (_, name), phrases in _phrases_by_place().items():
        for phrase in phrases:
            for word in parts_of(phrase):
                met[word].add(name)
    spread = {word: len(names) for word, names in met.items()}
    asked = [some for by_name in vocabulary().asked.values() for some in by_name.values()]
    others = [phrase for some in (*vocabulary().sheets.values(), *asked) for phrase in some]
    return {word: 1 for phrase in others for word in parts_of(phrase)} | spread


@cache
def _by_first_letter() -> dict[str, list[str]]:
    """The known words of each first letter: one that begins otherwise says another thing."""
    found = defaultdict(list)
    for word in _spread():
        found[word[0]].append(word)
    return found


@cache
def _whole_words() -> frozenset[str]:
    every = (phrase for phrases in _phrases_by_place().values() for phrase in phrases)
    return frozenset(word for phrase in every for word in phrase.words)


@cache
def compound(word: str) -> tuple[str, ...]:
    """The known words of which one is made, itself where it is not.

    Examples
    --------
    >>> compound("ausfallzeit"), compound("storungsnummer"), compound("kanal"), compound("jobnum")
    (('ausfall', 'zeit'), ('storungs', 'no'), ('kanal',), ('job', 'no'))
    """
    if word.endswith("num") and word[:-3] in _whole_words():
        return (word[:-3], "no")
    if len(word) < 2 * SHORTEST_PART - 1:
        return (word,)
    for first, rest in _beginnings(word, 2):
        rest = "no" if rest in ("nr", "num", "nummer", "number") else rest
        is_word = len(rest) >= SHORTEST_PART or rest in ("no", "min", "std")
        if (is_word and rest in _whole_words()) or (
            len(rest) >= 2 * SHORTEST_PART and len(compound(rest)) > 1
        ):
            return (*compound(first), *compound(rest))
    return (word,)


def _beginnings(word, behind):
    """The known words, an s behind them or none, with which one begins, the longest first, and the rest: so many letters or more."""
    for cut in range(len(word) - behind, SHORTEST_PART - 1, -1):
        for first in (word[:cut], word[:cut].rstrip("s")):
            if len(first) >= SHORTEST_PART and first in _whole_words():
                yield first, word[cut:]


@cache
def parts_of(heading: Heading) -> tuple[str, ...]:
    """The words of a heading, compounds taken apart."""
    return tuple(part for word in heading.words for part in compound(word))


@cache
def readings(word: str, stop: bool) -> dict[str, float]:
    """The known words that one word of a heading may stand for, with how surely; ``stop`` where a full stop shortens it."""
    known = _spread()
    found = {word: 1.0} if word in known or word in vocabulary().alike else {}
    whole = bool(found) and not stop
    for other in _by_first_letter().get(word[0], ()):
        sure = _inflected(word, other) if whole else _same_word(word, other, stop)
        if sure:
            found[other] = max(sure, found.get(other, 0.0))
    return _with_alike(found)


def _with_alike(found):
    """The readings with the words that say nearly the same."""
    alike = vocabulary().alike
    more = {}
    for word, sure in found.items():
        for other in alike.get(word, ()):
            more[other] = max(ALIKE * sure, more.get(other, 0.0))
    return more | {word: max(sure, more.get(word, 0.0)) for word, sure in found.items()}


def _inflected(word, other):
    if word[:4] != other[:4]:
        return 0.0
    shared = next((at for at, (a, b) in enumerate(zip(word, other)) if a != b), min(len(word), len(other)))
    return 0.95 if shared >= 4 and word[shared:] in ENDINGS and other[shared:] in ENDINGS else 0.0


def _same_word(word, other, stop):
    if word[0] != other[0] or (len(word) < 2 and not stop):
        return 0.0
    if _inflected(word, other):
        return 0.95
    if other.startswith(word) and (stop or len(word) >= 3):
        return 0.93 if stop and len(word) > 1 else 0.8 if stop else 0.85 if len(word) >= 4 else 0.75
    if min(len(word), len(other)) >= 6:
        alike = SequenceMatcher(None, word, other, autojunk=False)
        if alike.quick_ratio() >= TYPO and alike.ratio() >= TYPO:
            return 0.85
    if 2 <= len(word) <= 5 and len(other) > len(word) + 1:  # dt, posn, cct
        letters = iter(other)
        drawn = word[-1] == other[-1] and len(word) > 2 or not re.search("[aeiou]", word)
        return 0.8 if drawn and all(letter in letters for letter in word) else 0.0
    return 0.0


def _weight(word):
    return 1 / (1 + 0.3 * log(_spread().get(word, 1)))


@cache
def _tokens(heading: Heading):
    """Each word of a heading: its readings, and its weight."""
    tokens = []
    light = len(heading.words) > 2
    for word in heading.words:
        stop = word in heading.stems
        whole = readings(word, stop)
        some = compound(word)
        if stop and not whole and len(some) == 1:
            some = _begun_compound(word)
        if len(some) == 1 and not whole:
            tokens += _half_known(word)
        elif len(some) > 1:
            tokens += [
                (readings(part, stop and part != "no"), _weight(part) if part in _spread() else UNKNOWN)
                for part in some
            ]
        else:
            best = max((one for one in whole if one in _spread()), key=whole.get, default=None)
            weight = _weight(best) if best else UNKNOWN
            tokens.append((whole, weight * (QUESTION if light and word in QUESTIONS else 1)))
    return tuple(tokens)


def _half_known(word):
    """A compound of which one end is a known word: that, and the rest as a word that none knows; the word where there is none."""
    for first, _ in _beginnings(word, 3):
        if len(first) > SHORTEST_PART:
            return [(readings(first, False), _weight(first)), ({}, 1.0)]
    ends = (word[cut:] for cut in range(3, len(word) - SHORTEST_PART))
    if end := next((one for one in ends if one in _whole_words()), ""):
        return [({}, UNKNOWN), (readings(end, False), _weight(end))]
    return [({}, UNKNOWN)]


def _begun_compound(word):
    """A compound whose last part is begun, such as modulbez."""
    return next((some for some in _beginnings(word, 2) if readings(some[1], True)), (word,))


@cache
def _sides(text):
    """The parts of a heading between strokes, units left out."""
    sides = [heading_of(side) for side in text.split("/") if re.search(r"\w\w", side)]
    return [side for side in sides if not {*side.words} <= UNITS]


def likeness(heading: Heading, phrase: Heading, lenience: float = LENIENCE) -> float:
    """How surely a heading is a phrase, from 0 to 1; where it says a thing twice, as ``Datum / Date``, the surer counts.

    ``lenience`` is what is left where the heading says much else.
    """
    if "/" in heading.text and "/" not in phrase.text:
        sides = _sides(heading.text)
        both = (0.97 * _likeness(side, phrase, lenience) for side in sides if len(sides) > 1)
        return max([_likeness(heading, phrase, lenience), *both])
    return _likeness(heading, phrase, lenience)


def _likeness(heading, phrase, lenience):
    if heading.words == phrase.words:
        return 1.0
    (wanted, weights), tokens = _weighed(phrase), _tokens(heading)
    if not wanted or not tokens:
        return 0.0
    known = _known_in(heading)
    said = [known.get(word, 0.0) for word in wanted]
    if heading.says_hours:  # in brackets behind the words
        said = [max(sure, ALIKE) if word in HOURS else sure for word, sure in zip(wanted, said)]
    of_phrase = sum(map(mul, weights, said)) / sum(weights)
    if not all(said):
        if of_phrase < HALF:
            return 0.0
        of_phrase *= IN_PART
    given = sum(
        weight * max((found.get(word, 0.0) for word in wanted), default=0) for found, weight in tokens
    )
    of_heading = given / sum(weight for _, weight in tokens)
    return (
        of_phrase * (lenience + (1 - lenience) * of_heading) * (1.0 if len(tokens) == len(wanted) else 0.99)
    )


@cache
def _weighed(phrase):
    """The words of a phrase, compounds taken apart, and their weights."""
    wanted = parts_of(phrase)
    return wanted, [_weight(word) for word in wanted]


@cache
def _known_in(heading):
    """The known words that those of a heading may stand for, with how surely."""
    known = {}
    for found, _ in _tokens(heading):
        known |= {word: max(sure, known.get(word, 0.0)) for word, sure in found.items()}
    return known


def best_likeness(heading: Heading, phrases) -> float:
    """The best likeness to any of the phrases; those that stand first weigh a hair more."""
    return max(
        (likeness(heading, phrase) - min(at, 80) / 8000 for at, phrase in enumerate(phrases)), default=0.0
    )


@cache
def _all(text: str) -> dict[tuple[str, str], float]:
    """The best likeness of a heading to each column of each table, and to nowhere."""
    heading = heading_of(text)
    near = dict.fromkeys(_phrases_by_place(), 0.0)
    for phrase in set().union(*map(_half_said, (heading, *_sides(text)))):
        for lenient, places in _places_of()[phrase].items():
            sure = likeness(heading, phrase, lenient)
            for place, at in places if sure else ():
                near[place] = max(near[place], sure - at / 8000)
    return near


def _half_said(heading):
    """The phrases of which a heading says half or more, by the weight of their words; no other is like it."""
    known = _known_in(heading)
    if heading.says_hours:
        known = known | {word: max(ALIKE, known.get(word, 0.0)) for word in HOURS}
    said = defaultdict(float)
    for word, sure in known.items():
        for phrase, share in _phrases_by_word().get(word, ()):
            said[phrase] += share * sure
    half = [phrase for phrase, share in said.items() if share >= HALF - ROUNDED]
    return half + _phrases_of_words().get(heading.words, [])


@cache
def _phrases_by_place():
    columns = vocabulary().columns
    places = {(table, name): by_name[name] for table, by_name in columns.items() for name in by_name}
    return places | {NOWHERE: vocabulary().nowhere}


@cache
def _places_of():
    """Where each phrase stands, and as the how many of that place, by how lenient the place is."""
    places = defaultdict(lambda: defaultdict(list))
    for place, phrases in _phrases_by_place().items():
        for at, phrase in enumerate(phrases):
            places[phrase][0.1 if place == NOWHERE else LENIENCE].append((place, min(at, 80)))
    return places


@cache
def _phrases_by_word():
    """The phrases in which a word stands, with its share of their weight."""
    phrases = defaultdict(list)
    for phrase in _places_of():
        wanted, weights = _weighed(phrase)
        for word in {*wanted}:
            own = sum(weight for one, weight in zip(wanted, weights) if one == word)
            phrases[word].append((phrase, own / sum(weights)))
    return phrases


@cache
def _phrases_of_words():
    """The phrases that consist of the same words."""
    phrases = defaultdict(list)
    for phrase in _places_of():
        phrases[phrase.words].append(phrase)
    return phrases


@cache
def _tables_with(column):
    return [table for table, by_name in vocabulary().columns.items() if column in by_name]


@cache
def likeness_of_column(heading: str, table: str, column: str) -> float:
    """How surely a heading is a column of a table, by its words; other tables' words for the same column weigh a little less."""
    near = _all(heading)
    lend = (one for one in _tables_with(column) if one not in (table, LENDS_NOT.get(column)))
    others = max((near[one, column] for one in lend), default=0.0)
    return max(near.get((table, column), 0.0), OTHER_TABLE * others)


def likeness_nowhere(heading: str) -> float:
    """How surely a heading is one that has no place."""
    return _all(heading)[NOWHERE]


def best_known(heading: str) -> float:
    """How surely a text is any heading known."""
    return max(_all(heading).values())


def is_general(heading: str) -> bool:
    """Whether a heading says no more than that there are dates."""
    return {*heading_of(heading).words} <= GENERAL


def says_another(heading, column):
    """Whether a heading says money, or a column of any table other than this."""
    return heading_of(heading).says_money or any(
        name != column and likeness_of_column(heading, table, name) >= SURE
        for table, by_name in vocabulary().columns.items()
        for name in by_name
    )


def says_time(heading) -> bool:
    """Whether a heading says hours or minutes, so that the numbers below it name nothing."""
    told = (("repairs", "bench_minutes"), ("tickets", "minutes_lost"))
    return any(likeness_of_column(heading, table, name) >= SURE for table, name in told)


def says_lost(heading: str) -> bool:
    """Whether a heading itself says that its minutes were lost, wherever it stands; words for the bench are general."""
    lost = likeness_of_column(heading, "tickets", "minutes_lost")
    bench = likeness_of_column(heading, "repairs", "bench_minutes")
    return lost > 0.95 and lost - bench > 0.2


def is_no_move(heading):
    """Whether a heading says in particular that its days are those of a check, a count, a measurement or a re-cap."""
    looks = {
        "inspections": "inspected_on",
        "shelf": "last_tested_on",
        "stock": "counted_on",
        "readings": "measured_on",
    }
    is_looked_at = any(likeness_of_column(heading, *one) >= SURE for one in looks.items())
    return (is_looked_at and not is_general(heading)) or meaning_of_cell("action", heading) == RE_CAP


def says_small(heading, table, words):
    """Whether a heading says a slot or a quantity better than it says what ``words`` is the likeness to."""
    names = {"position", "quantity"} & {*vocabulary().columns[table]}
    return max((likeness_of_column(heading, table, name) for name in names), default=0.0) > max(
        words, LEAST_WORDS
    )


def says_other_minutes(heading: str, table: str, name: str) -> bool:
    """Whether a heading of minutes says those of the other kind, session or bench, better.

    Examples
    --------
    >>> [says_other_minutes(one, "tickets", "minutes_lost") for one in ("hrs", "Time taken", "mins", "Hours lost", "downtime")]
    [True, True, False, False, False]
    """
    others = {"minutes_lost": ("repairs", "bench_minutes"), "bench_minutes": ("tickets", "minutes_lost")}
    own = likeness_of_column(heading, table, name) + 0.1
    return name in others and likeness_of_column(heading, *others[name]) > own
