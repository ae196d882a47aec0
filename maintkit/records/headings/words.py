"""What headings, sheet names and cells mean by the words of ``words.toml``, whatever their case, accents, stops or order."""

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.resources import files

from maintkit.actions import ACTIONS
from maintkit.records.lookups import BETWEEN

NUMBER_WORDS = dict.fromkeys(("nr", "nummer", "number", "num", "numero", "#", "№"), "no")


@cache
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


def words_in(text: str) -> tuple[str, ...]:
    """The words of a text, small and without accents; every word for a number is ``no``, and re-flow one word."""
    whole = re.sub(r"\bre-(?=[^\W\d])", "re", fold(text).replace("n°", "no "))
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
SINCE = frozenset(words_in("after since following nach seit après depuis"))
NEAR = 2  # words
APART = 4  # words, from a negation to what it says of a fault
HOURS = frozenset(words_in("h hr hrs hour hours std stunde stunden uur uren heure heures hora horas"))
MINUTES = frozenset(words_in("min mins minute minutes minuut minuten minutos"))
HANDLED = {"switch", "pot", "fader", "connector", "lamp", "other"}  # parts that who uses the desk has in hand
IN_EXCHANGE = {"with", "for", "mit", "gegen", "avec", "contre", "con", "por"}  # c24 behind them is a channel
FEW_WORDS = 4  # in which a word for gear says that it was that
SWAP, RE_CAP, NOT_THE_DESK = "swap module", "re-cap", "not the desk"
WHOSE = ("operator", "site")  # words of headings for what machines belong to, the first before the second
A_BOARD = 10  # capacitors, from which their number says a re-cap
MENDS = {one.name for one in ACTIONS if one.makes_fault != "never"}  # work that shows a fault
# The less, the more the work tells: what renews a part goes before what mends, and that before the rest.
TELLS = {one.name: (not one.renews, one.makes_fault == "never") for one in ACTIONS}
AT_PLACE = {  # what stands there, by IEEE 315, from memory; VR, RV and RL as common practice, no source
    "c": "capacitor", "r": "resistor", "d": "diode", "q": "transistor", "tr": "transistor", "u": "ic", "ic": "ic", "s": "switch",
    "sw": "switch", "rl": "relay", "rv": "pot", "vr": "pot",
}  # fmt: skip
# With those that numbers of tickets and lines begin with too; P is left out, for P48 is a supply.
LETTERS = [*AT_PLACE, "l", "t", "br"]
# Places on a board: of parts that their letters tell alone, and all.
PLACE, DESIGNATOR = (
    re.compile(rf"\b({'|'.join(letters)})\d{{1,4}}\b", re.IGNORECASE) for letters in (AT_PLACE, LETTERS)
)
BRIDGE, TRACK = (
    "bridge track",
    frozenset(words_in("track tracks pad pads leiterbahn leiterbahnen bahn piste pistes")),
)
CAPACITOR = frozenset(
    words_in(
        """capacitor capacitors cap caps decoupler decouplers kondensator kondensatoren
        condensateur condensateurs cond condensador condensadores"""
    )
)
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
    """``words.toml`` read: phrases of sheets by table, of columns by table and column, of choices by column."""

    sheets: dict[str, list[Heading]]
    nowhere: list[Heading]
    columns: dict[str, dict[str, list[Heading]]]
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
        columns={
            table: {name: [heading_of(name), *_phrases(by, families)] for name, by in part.items()}
            for table, part in content["columns"].items()
        },
        choices=choices,
        asked={
            name: {meaning: _phrases({"en": words, "de": words}, families) for meaning, words in part.items()}
            for name, part in content["asked"].items()
        },
        in_cells={name: _any_of(_in_every_language(by)) for name, by in content["cells"].items()},
        negations=_words_of(content["negations"]["words"]),
        unfound=_words_of(content["negations"]["of_faults"]),
        wanted_before=_words_of(content["wanted"]["before"]),
        wanted_behind=_words_of(content["wanted"]["behind"]),
        alike={word: group for group in alike for word in group},
        not_names=_words_of(content["part_names"]["doubtful"]),
        names=_words_of(content["places"]["names"]),
        numbers=_words_of(content["places"]["numbers"]),
        desks=_words_of(["the das", *_in_every_language(families["desk"])]),
        names_of_desks=_any_of(_in_every_language(families["desk"])),
        faults=tuple(_words_of(_in_every_language(families["fault"]))),
        other_gear=_words_of(content["gear"]["words"]),
        inside=_words_of(content["gear"]["inside"]),
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


@cache
def meaning_of_cell(name: str, text: str) -> str:
    """The choice that a cell means: that of the longest phrase in it, '' where none or two are, or it says not.

    Where a cell tells of more than one piece of work, what renews a part goes before what mends, and that before the rest.

    Examples
    --------
    >>> [meaning_of_cell("outcome", text) for text in ("No fault found!", "nichts gefunden", "not repaired", "?")]
    ['no fault found', 'no fault found', '', '']
    >>> meaning_of_cell("action", "swapped module, cap C14 leaking, changed")
    'replace'
    >>> [meaning_of_cell("action", text) for text in ("swapped out capacitor", "swapped the transistors", "swapped with spare")]
    ['replace', 'replace', 'swap module']
    >>> [meaning_of_cell("outcome", text) for text in ("relay replaced, tested ok", "nothing wrong found", "could not repeat it")]
    ['fault found', 'no fault found', 'no fault found']
    >>> [meaning_of_cell("outcome", text) for text in ("singer pressed mute", "faulty mic cable", "ribbon cable off", "desk was switched off")]
    ['not the desk', 'not the desk', '', 'not the desk']
    >>> [meaning_of_cell("outcome", text) for text in ("setup", "solo was on :)", "wrong bus", "wrong bus lights up", "amp", "amp stage hums")]
    ['not the desk', 'not the desk', 'not the desk', '', 'not the desk', '']
    """
    words, known = words_in(text), vocabulary().choices[name]
    if not words or len(words) > 12:
        return ""
    if words in known:
        return known[words]
    if name == "yes_no" and len(words) > 2:
        return ""
    parts = re.split(r"[.,;!?]|\s[-–—]+\s", text)
    clauses = [at for at, clause in enumerate(parts) for _ in words_in(clause)]
    meaning = _meaning_of_words(name, words, clauses)
    if name == "outcome" and (is_wholly("of_the_use", text) or _was_in_the_use(text, words, clauses)):
        return NOT_THE_DESK
    return _outcome(words, meaning, clauses) if name == "outcome" and meaning != NOT_THE_DESK else meaning


def work_of_text(text: str) -> str:
    """The work that a text of any length tells of: as of a cell, or where that says nothing, of its clauses the most telling one's.

    Examples
    --------
    >>> work_of_text("no signal on the left side; replaced C12 and C14, then ran it overnight with tone, all fine")
    'replace'
    >>> work_of_text("gave it a whack"), work_of_text("re-soldered the connector"), work_of_text("re-flow")
    ('', 're-solder', 're-solder')
    >>> work_of_text("no output replaced relay"), work_of_text("no parts replaced")
    ('replace', '')
    >>> work_of_text("module swapped for spare no. 2")
    'swap module'
    >>> work_of_text("track under C22 lifted, bridged, C22 new"), work_of_text("track of the pot worn, new pot")
    ('bridge track', 'replace')
    >>> work_of_text("needs a new fader"), work_of_text("ordered and fitted a new fader")
    ('', 'replace')
    >>> [work_of_text(text) for text in ("dead after the re-cap, joint missed", "hum gone after the re-cap", "forgot the jumper")]
    ['', 're-cap', '']
    """
    complaint = vocabulary().in_cells["symptom"]  # its "no signal" says nothing of the work
    text = complaint.sub(lambda told: " " if " " in told[0] else told[0], fold(text))
    clauses = re.split(r"[.,;!?/&+]|\s[-–—]+\s|\b(?:and|then|und|dann|sowie)\b", text)
    told = [work for clause in clauses if (work := meaning_of_cell("action", clause))]
    if BRIDGE in told and TRACK & {*words_in(text)}:
        return BRIDGE  # it stays with the board for life, whatever else was done
    return meaning_of_cell("action", text) or min(told, key=TELLS.get, default="")


def _meaning_of_words(name, words, clauses):
    """What words mean of which only some are a known phrase."""
    spans = spans_in(words, name)
    if name == "action":  # of the work that tells most, the first
        done = outermost([span for span in spans if not _is_wanted(words, span, clauses)])
        done = [one for one in done if one[2] != RE_CAP or not _went_before(words, one[1])]
        recaps = [span for span in done if span[2] == RE_CAP]
        if len(recaps) == 1 and _counts_a_few(words, recaps[0]):  # these alone
            done = [(*span[:2], "replace") if span in recaps else span for span in done]
        spans = sorted(done, key=lambda span: (TELLS[span[2]], span[1]))[:1]
    if name == "outcome":
        spans = [span for span in spans if not _is_of_the_complaint(words, span, clauses)]
    longest = [span for span in spans if span[0] == spans[0][0]]
    if name == "outcome" and any(meaning == NOT_THE_DESK for *_, meaning in longest):
        longest = [span for span in longest if not _says_failed(words, span)]  # a bad cable is a cable
    meanings = {meaning for *_, meaning in longest}
    if len(meanings) != 1 and meanings != {"no fault found", NOT_THE_DESK}:
        return ""
    length, at, meaning = longest[0]
    meaning = NOT_THE_DESK if NOT_THE_DESK in meanings else meaning  # no fault, their cable
    if meanings == {NOT_THE_DESK} and _is_of_gear(words, longest):
        return ""
    rest = [*words[:at], *words[at + length :]]
    others = {  # no. 2 is a number
        word for word, after in zip(rest, [*rest[1:], ""]) if word != "no" or not after.isdigit()
    }
    if meaning == SWAP and _names_a_part(words):
        meaning = "replace"  # a capacitor was swapped, no module
    return "" if others & vocabulary().negations else meaning


def _is_of_the_complaint(words, span, clauses):
    """Whether a mere ``nothing`` may be what is wrong: its clause says of what, as in ``does nothing``, or a complaint stands beside it and no work."""
    length, at, _ = span
    if length > 1 or words[at] not in vocabulary().negations:
        return False
    rest = (*words[:at], *words[at + 1 :])
    beside = {word for word, clause in zip(words, clauses) if clause == clauses[at]} - {words[at]} - IDLE
    return bool(beside or (says("symptom", " ".join(rest)) and not spans_in(rest, "action")))


def _is_not_found(words, clauses):
    """Whether a clause says, some words apart at most, that a fault is none or was not found."""
    unfound, negations = vocabulary().unfound, vocabulary().negations
    return any(
        words[one] in negations and clauses[one] == clauses[at]
        for at in range(len(words))
        if words[at] in unfound
        for one in range(max(0, at - APART), at)
    )


def _went_before(words, at):
    """Whether words tell of what was so after the work ``at`` which they stand, and not that it was good then: ``dead after the re-cap``."""
    before = [word for word in words[:at] if word not in IDLE]
    return {*before[-1:]} & SINCE and not says("cured", " ".join(words))


def _counts_a_few(words, span):
    """Whether a number too small for a re-cap stands before words of one."""
    before = words[span[1] - 1] if span[1] else ""
    return before.isdigit() and int(before) < A_BOARD


def _is_of_gear(words, spans):
    """Whether words speak of gear by one word among many, or beside a part of the desk: ``mic relay``, ``transformer lead broke off``."""
    gear = all(length == 1 and words[at] in vocabulary().other_gear for length, at, _ in spans)
    parts = {kind for *_, kind in spans_in(words, "kind")} - {"other"}
    inside = vocabulary().inside & {*words} or any(map(PLACE.fullmatch, words))
    return gear and (len(words) > FEW_WORDS or bool(parts or inside))


def _says_failed(words, span):
    """Whether a word of a fault says no more than that something is bad, be it what it may."""
    length, at, meaning = span
    failed = vocabulary().choices["as_found"].get(words[at : at + length]) == "failed"
    return meaning == "fault found" and failed


def _was_in_the_use(text, words, clauses):
    """Whether a text says that somebody pressed, forgot or patched something, or that it was off, and names no work nor part inside."""
    told = says("not_in_use", text) or (says("slip", text) and says("person", text))
    if not told or any(map(PLACE.fullmatch, words)) or CAPACITOR & {*words}:
        return False
    kinds = {kind for *_, kind in spans_in(words, "kind")}
    return kinds <= HANDLED and not _work_done(words, clauses)


def _names_a_part(words):
    single = tuple(word.removesuffix("s") for word in words)
    places = (
        PLACE.fullmatch(word) and before not in IN_EXCHANGE for before, word in zip(("", *words), words)
    )
    return bool(CAPACITOR & {*words} or spans_in(words, "kind") or spans_in(single, "kind") or any(places))


def spans_in(words, name) -> list[tuple[int, int, str]]:
    """Phrases of a closed set among words, each as how many words, from which on, and what it means; the longest first."""
    known = vocabulary().choices[name]
    return [
        (length, at, known[words[at : at + length]])
        for length in range(len(words), 0, -1)
        for at in range(len(words) - length + 1)
        if words[at : at + length] in known
    ]


def _outcome(words, meaning, clauses):
    """An outcome in words: what was mended was a fault, whatever was tested afterwards; where nothing wrong was found there is none."""
    works, done = _works(words), _work_done(words, clauses)
    negated = vocabulary().negations & {*words}
    not_found = _is_not_found(words, clauses)
    if any(work != SWAP for *_, work in done) or (done and _names_a_part(words)):
        return "" if not_found else "fault found"
    if not_found:
        return "open" if meaning == "open" or {"yet", "noch", "still"} & {*words} else "no fault found"
    if works and not done:
        return "open"
    found = any(one == "fault found" for *_, one in spans_in(words, "outcome"))
    return "fault found" if found and not negated else meaning


def _works(words):
    """The work that shows a fault, or a swap, among words."""
    return [span for span in spans_in(words, "action") if span[2] in MENDS | {SWAP}]


def _work_done(words, clauses):
    return [span for span in _works(words) if not _is_wanted(words, span, clauses)]


def _is_wanted(words, span, clauses):
    """Whether the words beside work, in its clause, say that it is still to be done, or is not."""
    length, at, _ = span
    of_clause = range(clauses.index(clauses[at]), len(clauses) - clauses[::-1].index(clauses[at]))
    telling = vocabulary().wanted_before | vocabulary().negations
    before = [word for word in words[of_clause.start : at] if word in telling or word not in IDLE | QUESTIONS]
    wanted = {*before[-NEAR:]} & vocabulary().wanted_before or {*before[-1:]} & vocabulary().negations
    behind = words[at + length : min(at + length + NEAR, of_clause.stop)]
    return bool(wanted or {*behind} & vocabulary().wanted_behind)


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


def says_slot(text: str) -> bool:
    """Whether a text with a number behind it is a slot, as channel 7 is and position 7 need not be."""
    return bool(vocabulary().in_cells["position"].match(f"{fold(text)} 1"))


def outermost(spans) -> list[tuple[int, int, str]]:
    """Of phrases found among words, those that lie in no longer one."""
    return [
        (length, at, meaning)
        for length, at, meaning in spans
        if not any(more > length and start <= at < start + more for more, start, _ in spans)
    ]
