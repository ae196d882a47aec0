"""What headings, sheet names and cells mean by the words of ``words.toml``, whatever their case, accents, stops or order."""

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cache
from importlib.resources import files

NUMBER_WORDS = {"nr": "no", "nummer": "no", "number": "no", "num": "no", "#": "no", "№": "no"}
IDLE = frozenset(
    [
        "the",
        "a",
        "an",
        "of",
        "did",
        "was",
        "is",
        "were",
        "it",
        "der",
        "die",
        "das",
        "des",
        "dem",
        "den",
        "ein",
        "eine",
        "zum",
        "zur",
        "bitte",
        "please",
        "enter",
    ]
)
HOURS = frozenset(("h", "hr", "hrs", "hour", "hours", "std", "stunde", "stunden"))
MINUTES = frozenset(("min", "mins", "minute", "minutes", "minuten"))
UNITS = HOURS | MINUTES | {"stk", "stuck", "each", "pc", "tage", "days", "hz", "v"}
TYPO = 0.88  # likeness of two words from which one may be the other misspelt


@dataclass(frozen=True)
class Heading:
    """A heading as its words: ``words`` without idle ones, ``stems`` those with a full stop, ``units`` those in brackets."""

    text: str
    every: tuple[str, ...]
    words: tuple[str, ...]
    stems: frozenset[str]
    units: frozenset[str]

    @property
    def says_hours(self) -> bool:
        """Whether it says that its numbers are hours."""
        return bool(HOURS & {*self.units, *self.words}) and not MINUTES & {*self.units, *self.words}


def fold(text: str) -> str:
    """Small letters without accents; ä and ae alike.

    Examples
    --------
    >>> fold("Störung"), fold("STOERUNG"), fold("Maßnahme")
    ('storung', 'storung', 'massnahme')
    """
    small = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(letter for letter in small if not unicodedata.combining(letter))
    return re.sub("ae|oe|ue", lambda two: two[0][0], plain)


@cache
def heading_of(text: str) -> Heading:
    """The words of a heading.

    Examples
    --------
    >>> heading_of("Lost time (min.)").words, heading_of("RefDes").words, heading_of("Lfd. Nr.").words
    (('lost', 'time'), ('ref', 'des'), ('lfd', 'no'))
    """
    parted = re.sub(r"(?<=[a-zäöüß])(?=[A-ZÄÖÜ])", " ", text)
    parted = re.sub(
        r"/\s*([A-Za-z]+)\.?\s*$", lambda end: f" ({end[1]})" if fold(end[1]) in UNITS else end[0], parted
    )
    inside = " ".join(re.findall(r"[(\[]([^)\]]*)[)\]]", parted))
    outside = re.sub(r"[(\[][^)\]]*[)\]]", " ", parted).strip() or parted
    words = _words(outside)
    kept = tuple(word for word in words if word not in IDLE)
    kept = kept if len(kept) > 1 else words
    stems = {_words(stem)[0] for stem in re.findall(r"([^\W\d_]{2,})\.", outside)}
    return Heading(text, words, kept, frozenset(stems), frozenset(_words(inside)))


def _words(text):
    found = re.findall(r"[^\W_]+|[#№]", fold(text))
    return tuple(NUMBER_WORDS.get(word, word) for word in found)


def likeness(heading: Heading, phrase: Heading) -> float:
    """How surely a heading is a phrase: 1 word for word, less for what is shortened, misspelt, or said among other words.

    Where a heading says a thing twice, as in ``Datum / Date``, the surer of the two counts.
    """
    if "/" in heading.text and "/" not in phrase.text:
        parts = heading.text.split("/")
        said = [heading_of(part) for part in parts if part.strip(" .") and not UNITS & {*_words(part)}]
        whole = _likeness(heading, phrase)
        return max([whole, *(0.99 * _likeness(part, phrase) for part in said if len(said) > 1)])
    return _likeness(heading, phrase)


def _likeness(heading, phrase):
    if heading.words == phrase.words:
        return 1.0
    said, known = "".join(heading.words), "".join(phrase.words)
    if said == known:
        return 0.98
    if len(heading.words) == len(phrase.words):
        if _shortened(heading, phrase):
            return 0.93
        if len(said) < len(known) and _begun(heading, phrase):
            return 0.86
    if min(len(said), len(known)) >= 6 and said[0] == known[0] and abs(len(said) - len(known)) <= 3:
        alike = SequenceMatcher(None, said, known, autojunk=False)
        if alike.quick_ratio() >= TYPO and alike.ratio() >= TYPO:
            return 0.9 * alike.ratio()
    if len(phrase.words) > 1 and set(phrase.words) == set(heading.words):
        return 0.95
    return max(_among(heading.words, phrase.words), _among(heading.every, phrase.every))


def _among(said, known):
    """How much of what is said is a known phrase, all of which must be there."""
    return 0.5 + 0.45 * len(known) / len(said) if len(known) < len(said) and set(known) <= set(said) else 0.0


def _shortened(heading, phrase):
    pairs = list(zip(heading.words, phrase.words, strict=True))
    return all(said == known or (said in heading.stems and known.startswith(said)) for said, known in pairs)


def _begun(heading, phrase):
    """Words begun with four letters or more, beside one that is whole."""
    pairs = list(zip(heading.words, phrase.words, strict=True))
    begun = all(said == known or (len(said) >= 4 and known.startswith(said)) for said, known in pairs)
    return begun and any(said == known for said, known in pairs)


@dataclass(frozen=True)
class Vocabulary:
    """``words.toml`` read: phrases of sheets by table, of columns by table and column, of choices by column."""

    sheets: dict[str, list[Heading]]
    nowhere: list[Heading]
    columns: dict[str, dict[str, list[Heading]]]
    choices: dict[str, dict[tuple[str, ...], str]]
    asked: dict[str, dict[str, list[Heading]]]
    in_cells: dict[str, re.Pattern]
    negations: frozenset[str]


@cache
def vocabulary() -> Vocabulary:
    """The words of every language in ``words.toml``."""
    content = tomllib.loads((files(__package__) / "words.toml").read_text(encoding="utf-8"))
    families = content["families"]
    columns = {
        table: {name: [heading_of(name), *_phrases(by, families)] for name, by in part.items()}
        for table, part in content["columns"].items()
    }
    choices = {}
    for name, part in content["choices"].items():
        choices[name] = {}
        for meaning, by in part.items():
            for phrase in [meaning, *(one for words in by.values() for one in words)]:
                choices[name].setdefault(_words(phrase), meaning)
    asked = {
        name: {meaning: [heading_of(one) for one in words] for meaning, words in part.items()}
        for name, part in content["asked"].items()
    }
    return Vocabulary(
        {table: [heading_of(table), *_phrases(by)] for table, by in content["sheets"].items()},
        _phrases(content["nowhere"]),
        columns,
        choices,
        asked,
        {
            name: _any_of([one for words in by.values() for one in words])
            for name, by in content["cells"].items()
        },
        frozenset(_words(" ".join(content["negations"]["words"]))),
    )


def _any_of(phrases):
    """A pattern for any of the phrases as whole words; a star at the end takes any ending."""
    parts = (
        re.escape(fold(phrase.rstrip("*"))) + (r"\w*" if phrase.endswith("*") else "") for phrase in phrases
    )
    return re.compile(rf"\b(?:{'|'.join(parts)})\b")


def _phrases(by_language, families=None):
    """The phrases of every language, those with a family written out for each of its words."""
    return [
        heading_of(whole)
        for language, phrases in by_language.items()
        for phrase in phrases
        for whole in _written_out(
            phrase, {name: by.get(language, ()) for name, by in (families or {}).items()}
        )
    ]


def _written_out(phrase, families):
    named = re.search("<([a-z]+)>", phrase)
    if not named:
        return [phrase]
    return [
        whole
        for word in families[named[1]]
        for whole in _written_out(phrase.replace(named[0], word, 1), families)
    ]


def best_likeness(heading: Heading, phrases) -> float:
    """The best likeness to any of the phrases; those that stand first weigh a hair more."""
    return max(
        (likeness(heading, phrase) - min(at, 80) / 8000 for at, phrase in enumerate(phrases)), default=0.0
    )


@cache
def likeness_of_column(heading: str, table: str, column: str) -> float:
    """How surely a heading is a column of a table, by its words."""
    return best_likeness(heading_of(heading), vocabulary().columns.get(table, {}).get(column, ()))


@cache
def likeness_nowhere(heading: str) -> float:
    """How surely a heading is one that has no place."""
    return best_likeness(heading_of(heading), vocabulary().nowhere)


def section_of(column) -> str:
    """The closed set in which the cells of a column mean something; '' where there are no words for it."""
    if column.choices == ("yes", "no"):
        return "yes_no"
    return column.name if column.choices and column.name in vocabulary().choices else ""


@cache
def meaning_of_cell(name: str, text: str) -> str:
    """The choice that a cell means: that of the longest phrase in it, '' where none or two are, or it says not.

    Examples
    --------
    >>> [meaning_of_cell("outcome", text) for text in ("No fault found!", "nichts gefunden", "not repaired", "?")]
    ['no fault found', 'no fault found', '', '']
    """
    words, known = _words(text), vocabulary().choices[name]
    if not words or len(words) > 12:
        return ""
    if words in known:
        return known[words]
    spans = [
        (length, at, known[words[at : at + length]])
        for length in range(len(words) - 1, 0, -1)
        for at in range(len(words) - length + 1)
        if words[at : at + length] in known
    ]
    longest = [span for span in spans if span[0] == spans[0][0]]
    if len({meaning for *_, meaning in longest}) != 1:
        return ""
    length, at, meaning = longest[0]
    others = set(words[:at] + words[at + length :])
    return "" if others & vocabulary().negations else meaning
