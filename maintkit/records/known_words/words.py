"""The words of ``words.toml``, and how a text is read as words, whatever its case, accents or stops."""

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.resources import files

# Roman figures, and numbers in English, German, French, Dutch and Swedish words
NUMBERS = {
    word: str(number)
    for number, words in enumerate(
        (
            "i one eins un een ett",
            "ii two zwei deux twee tva",
            "iii three drei trois drie tre",
            "iv four vier quatre fyra",
            "v five funf cinq vijf fem",
            "vi six sechs zes sex",
            "vii seven sieben sept zeven sju",
            "viii eight acht huit atta",
        ),
        start=1,
    )
    for word in words.split()
}
BETWEEN = r"[^\w,;]"  # a word and its number: what stands behind a comma is of something else
WITHIN_A_WORD = re.compile(r"(?<=\bre)-(?=[^\W\d])|(?<=n)['’](?=t\b)")
NUMBER_WORDS = dict.fromkeys(("nr", "nummer", "number", "num", "numero", "#", "№"), "no")


@cache
def fold(text: str) -> str:
    """Small letters without accents; ä and ae alike, and so are the two apostrophes.

    Examples
    --------
    >>> fold("Störung"), fold("STOERUNG"), fold("Maßnahme"), fold("won’t latch")
    ('storung', 'storung', 'massnahme', "won't latch")
    """
    small = unicodedata.normalize("NFKD", text.casefold()).replace("’", "'")
    plain = "".join(letter for letter in small if not unicodedata.combining(letter))
    return re.sub("ae|oe|ue", lambda two: two[0][0], plain)


def words_in(text: str) -> tuple[str, ...]:
    """The words of a text, small and without accents; every word for a number is ``no``; re-flow is one word, and so is isn't.

    Examples
    --------
    >>> words_in("No. 7 isn't re-flowed"), words_in("guitarist's, T 3")
    (('no', '7', 'isnt', 'reflowed'), ('guitarist', 's', 't', '3'))
    """
    whole = WITHIN_A_WORD.sub("", fold(text).replace("n°", "no "))
    found = re.findall(r"[^\W_]+|[#№]", whole)
    return tuple(NUMBER_WORDS.get(word, word) for word in found)


IDLE = frozenset(
    words_in(
        """the a an of did was is were it please enter your you we i have has had that this there been be and or
        der die das des dem den ein eine zum zur bitte sie wir ich haben hat wurde wurden war waren ist sind und oder
        l d de du des la les el los las del"""
    )
)
QUESTIONS = frozenset(
    words_in(
        """how many much what which when where who in for to with at
        wie viele viel welche welcher welches welchem was wann wo im am bei mit"""
    )
)
HOURS = frozenset(words_in("h hr hrs hour hours std stunde stunden uur uren heure heures hora horas"))
MINUTES = frozenset(words_in("min mins minute minutes minuut minuten minutos"))
WHOSE = ("operator", "site")  # words of headings for what machines belong to, the first before the second
MONEY = frozenset(words_in("gbp eur euro usd chf cost costs price kosten preis coût prix coste precio prijs"))
YES_NO = re.compile(r"\(?\b(y|yes|j|ja|o|oui)\s?/\s?(n|no|nein|non)\b\)?", re.IGNORECASE)
MEASURED = frozenset(words_in("uf μf nf pf ohm ohms kohm ma mv khz degc"))  # behind what was measured
BRACKETS = re.compile(r"[(\[]([^)\]]*)[)\]]")
OTHER_UNITS = words_in("stk stuck each pc pcs tage days hz v c eur euro gbp usd hh mm")
UNITS = MEASURED.union(HOURS, MINUTES, OTHER_UNITS)


# One object a text (heading_of), so that it is told apart as such, which is quick.
@dataclass(frozen=True, eq=False)
class Heading:
    """A heading as its words: ``words`` without idle ones, ``stems`` those with a full stop, ``units`` those in brackets."""

    text: str
    every: tuple[str, ...]
    words: tuple[str, ...]
    stems: frozenset[str]
    units: frozenset[str]

    def _has(self, some):
        return not some.isdisjoint((*self.units, *self.words))

    @cached_property
    def says_time(self) -> bool:
        """Whether it says that its numbers are minutes or hours."""
        return self._has(HOURS | MINUTES)

    @cached_property
    def says_money(self) -> bool:
        """Whether it says that its numbers are money."""
        return bool(re.search("[£€$]", self.text)) or self._has(MONEY)

    @cached_property
    def says_hours(self) -> bool:
        """Whether it says that its numbers are hours."""
        return self._has(HOURS) and not self._has(MINUTES)


@cache
def heading_of(text: str) -> Heading:
    """The words of a heading.

    Examples
    --------
    >>> heading_of("Lost time (min.)").words, heading_of("RefDes").words, heading_of("Lfd. Nr.").words
    (('lost', 'time'), ('ref', 'des'), ('lfd', 'no'))
    """
    text_as_is, text = text, re.sub(r"\b([uµμnpk])(F|Hz|Ω)\b", lambda unit: unit[0].casefold(), text)
    text = re.sub(r"\(?\bh{1,2}[:.]mm\b\)?", "(hh mm)", text.replace("°C", " degc"))
    parted = re.sub(r"(?<=[a-zäöüß])(?=[A-ZÄÖÜ])|_", " ", YES_NO.sub(" ", text).strip() or text)
    parted = re.sub(
        r"/\s*([A-Za-z]+)\.?\s*$", lambda end: f" ({end[1]})" if fold(end[1]) in UNITS else end[0], parted
    )
    brackets = [inside for inside in BRACKETS.findall(parted) if {*words_in(inside)} <= UNITS]
    outside = BRACKETS.sub(lambda one: " " if one[1] in brackets else one[0], parted).strip() or parted
    words = words_in(outside)
    if len(words) > 1 and words[-1] in MEASURED:
        brackets, words = [*brackets, words[-1]], words[:-1]
    # What somebody did is said by that word alone.
    did = words[-1:] if words[-1:] == ("did",) and len(words) > 2 else ()
    kept = (*(word for word in words if word not in IDLE or len(words) < 3), *did)
    kept = kept if len(kept) > 1 or (kept and kept[0] not in QUESTIONS and len(kept[0]) > 2) else words
    stems = {words_in(stem)[0] for stem in re.findall(r"([^\W\d_]+)\.", outside)} - {"no"}
    return Heading(text_as_is, words, kept, frozenset(stems), frozenset(words_in(" ".join(brackets))))


@dataclass(frozen=True)
class Vocabulary:
    """``words.toml`` read: phrases of sheets by table, of choices by column, and the like."""

    sheets: dict[str, list[Heading]]
    nowhere: list[Heading]
    of_columns: dict[str, dict[str, dict[str, list[str]]]]  # as written, by language
    families: dict[str, dict[str, list[str]]]
    choices: dict[str, dict[tuple[str, ...], str]]
    asked: dict[str, dict[str, list[Heading]]]
    in_cells: dict[str, re.Pattern]
    negations: frozenset[str]
    unfound: frozenset[str]
    wanted_before: frozenset[str]
    wanted_behind: frozenset[str]
    alike: dict[str, tuple[str, ...]]
    not_names: frozenset[str]
    names: frozenset[str]
    numbers: frozenset[str]
    desks: frozenset[str]
    names_of_desks: re.Pattern
    faults: tuple[str, ...]
    other_gear: frozenset[str]
    inside: frozenset[str]
    came_in: frozenset[str]
    went_out: frozenset[str]
    bought: frozenset[str]
    pointing: frozenset[str]
    talks: frozenset[str]

    @cached_property
    def columns(self) -> dict[str, dict[str, list[Heading]]]:
        """Phrases of columns by table and column: some 15,000, which only drafts need."""
        return {
            table: {name: [heading_of(name), *_phrases(by, self.families)] for name, by in part.items()}
            for table, part in self.of_columns.items()
        }


@cache
def vocabulary() -> Vocabulary:
    """The words of every language in ``words.toml``."""
    content = tomllib.loads((files(__package__) / "words.toml").read_text(encoding="utf-8"))
    families = content["families"]
    choices = {name: {} for name in content["choices"]}
    for name, part in content["choices"].items():
        for meaning, by in part.items():
            for phrase in [meaning, *_in_every_language(by)]:
                choices[name].setdefault(words_in(phrase), meaning)
    alike = [tuple(words_in(word)[0] for word in group) for group in content["alike"]["words"]]
    return Vocabulary(
        sheets={table: [heading_of(table), *_phrases(by)] for table, by in content["sheets"].items()},
        nowhere=_phrases(content["nowhere"]),
        of_columns=content["columns"],
        families=families,
        choices=choices,
        asked={
            name: {meaning: _phrases({"en": words, "de": words}, families) for meaning, words in part.items()}
            for name, part in content["asked"].items()
        },
        in_cells={name: _any_of(_in_every_language(by)) for name, by in content["cells"].items()},
        alike={word: group for group in alike for word in group},
        desks=_words_of(["the das", *_in_every_language(families["desk"])]),
        names_of_desks=_any_of(_in_every_language(families["desk"])),
        faults=tuple(_words_of(_in_every_language(families["fault"]))),
        **{name: _words_of(words) for name, words in content["lists"].items()},
    )


def _words_of(phrases):
    return frozenset(words_in(" ".join(phrases)))


def _in_every_language(by_language):
    return [phrase for phrases in by_language.values() for phrase in phrases]


def _any_of(phrases):
    """A pattern for any of the phrases as whole words; ``*`` stands for any letters, ``#`` for a number."""
    parts = (
        re.escape(fold(phrase)).replace(r"\*", r"\w*").replace(r"\ \#", rf"{BETWEEN}*\d+")
        for phrase in phrases
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


def section_of(column) -> str:
    """The closed set in which the cells of a column mean something; '' where there are no words for it."""
    if column.choices == ("yes", "no"):
        return "yes_no"
    known = vocabulary().choices.get(column.name, {})
    return column.name if known and {*known.values()} <= {*column.choices} else ""


def says(kind: str, text: str) -> re.Match | None:
    """The first word of a kind that a text has, of those that stand under ``[cells]``; None where it has none."""
    return vocabulary().in_cells[kind].search(fold(text))


def heading_says(kind: str, heading: str) -> bool:
    """Whether a heading has a word of a kind, such as of machines or of days that are yet to come."""
    return bool(says(kind, " ".join(heading_of(heading).every)))


def says_whose(heading: str) -> bool:
    """Whether a heading says who runs machines, or where they stand."""
    return any(heading_says(kind, heading) for kind in WHOSE)


def is_wholly(kind: str, text: str) -> bool:
    """Whether a text is a word of a kind, and no more than that."""
    return bool(vocabulary().in_cells[kind].fullmatch(fold(text)))


def is_plain_gear(text: str) -> bool:
    """Whether a cell of a column of desks is other gear and nothing else.

    Examples
    --------
    >>> list(map(is_plain_gear, ("Mic", "other / not a desk", "Studio mics", "Monitors", "Studio A lamp", "PSU rack, Studio A", "mic 3")))
    [True, True, True, False, False, False, False]
    """
    first, *rest = words_in(text) or ("",)
    of_a_room = bool(rest) and is_wholly("room", first)
    return is_wholly("plain_gear", " ".join(rest if of_a_room else (first, *rest)))


def says_slot(text: str) -> bool:
    """Whether a text with a number behind it is a slot, as channel 7 is and position 7 need not be."""
    return bool(vocabulary().in_cells["position"].match(f"{fold(text)} 1"))
