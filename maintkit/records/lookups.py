"""What the words of a cell mean by a lookup of mapping.toml."""

import re
from dataclasses import replace
from functools import cache

import numpy as np

from maintkit.actions import ACTIONS

from .folding import BESIDE_CHANNELS, CHANNEL, SAME_WORD
from .known_words import outcomes, part_kinds
from .known_words.meanings import RE_CAP, work_of_text
from .known_words.no_report import says_recap
from .known_words.part_kinds import BEGINS_WITH_A_COUNT
from .known_words.words import BETWEEN, vocabulary
from .mapping import LEAVE_OUT, Lookup
from .mapping_settings import RANGE
from .several import BEGINS_WITH_A_SLOT, MEASURED, NUMBER_ALONE

# letters of a word that may stand within a longer one: bus is not in busy, nor PSU in capsule
SHORTEST_PART = 4
APART = " \t\xa0,;:/|.#-–—_()"  # what may stand between a desk and its slot
BEGIN = "^"  # before a word of a lookup that counts only where a text begins with it
AT_THE_BEGINNING = "^#"  # of a lookup: a number with which a text begins, as in 12L dead
A_COUNT_BEFORE = "^# …"  # of a lookup: a number with which a text begins, and a word behind it, as in 2 lamps
A_NUMBER_SIGN = "no. #"  # of a lookup: a number behind no. or its sign, as in no. 7 and #7
ANY_NUMBER = "#"  # of a lookup: any number, as in 7, ch 7 and ch7
ON_A_NUMBER, AT_THE_END, IN_A_CLAUSE = (
    "on #",
    "#$",
    ", #",
)  # of a lookup: numbers that no word for a slot stands before, and no measure behind
NO_COMPLAINT_ALONE = (
    r"(?!(?:low|hot|warm|quiet|weak|left|right|nothing|links|rechts|gauche|droite|meter\w*|lampe\w*)\s)"
)
A_CHANNEL = re.compile(
    rf"(?:\b|(?<![^\W\d_])(?:{'|'.join(word for word, one in SAME_WORD.items() if one == CHANNEL)}))(\d+[a-z]?)\b"
)
BESIDE_A_CHANNEL = re.compile(
    rf"(?<![^\W\d_])(?:{'|'.join(word for word in [*BESIDE_CHANNELS, *SAME_WORD] if len(word) > 1 and SAME_WORD.get(word) not in (CHANNEL, 'input'))})\W*$"
)
ON_A_PART = {one.name for one in ACTIONS if one.works_on == "part"}  # work of which a text names the part


def first_told(texts, lookup: Lookup) -> str:
    """What the first word of a lookup means that stands in any of some texts; '' where none does.

    Of work that known words tell, the texts behind the first say no more than that it is a re-cap; of an outcome, where no word of the
    lookup does, that nothing was found or that it was not the desk.

    Examples
    --------
    >>> first_told(("aux 2 of 23", "Aux 2 on ch 23"), Lookup("What", {"ch #": "ch #", "aux #": "aux #"}, within=True))
    'ch 23'
    >>> work = Lookup("Done", {"full set": "replace", "lamp": "replace"}, known_as="action", also=("Found",))
    >>> [first_told(("full set", found), work) for found in ("planned recap", "lamp", "hum since re-cap")]
    ['re-cap', '', '']
    >>> done = Lookup("OK?", {"n": ""}, known_as="outcome", otherwise="fault found", also=("Done", "Said"))
    >>> [first_told(("y", one, "hums"), done) for one in ("was muted", "checked, nothing found", "relay", "")]
    ['not the desk', 'no fault found', '', '']
    """
    if lookup.known_as == "action":
        return RE_CAP if any(map(says_recap, texts[1:])) else ""
    if lookup.known_as == "outcome":
        by_words = replace(lookup, known_as="")
        return first_told(texts, by_words) or outcomes.nothing_found_in(texts[1:])
    texts = [text.strip().casefold() for text in texts]
    alone = (
        replace(lookup, words={word: one}, otherwise="", known_as="") for word, one in lookup.words.items()
    )
    return next(filter(None, (meaning_of(text, one) for one in alone for text in texts)), "")


def rests(cells, lookup: Lookup):
    """What the first word of a lookup that a cell holds leaves over of it, without the marks at its ends.

    Examples
    --------
    >>> desks = Lookup("Where", {"heron": "Heron", "p1": "P1"}, within=True)
    >>> rests(["Heron 12", "ch 7, heron", "P1/14", "Heron"], desks).tolist()
    ['12', 'ch 7', '14', '']
    >>> rests(["2x lamp", "lamp x2", "NE5532"], Lookup("Parts", {"#x": "#", "x#": "#"}, within=True)).tolist()
    ['lamp', 'lamp', 'NE5532']
    >>> rests(["2 Lamps", "12 V lamp", "3 pole switch", "2 100/35"], Lookup("Parts", {"^# …": "#"}, within=True)).tolist()
    ['Lamps', '12 V lamp', '3 pole switch', '100/35']
    """
    words = sorted(lookup.words, key=lambda word: -len(word))
    patterns = (_with_number(word).pattern if "#" in word else _standing(word) for word in words)
    first = re.compile("|".join(patterns).replace("ss", "(?:ss|ß)"), re.IGNORECASE)
    return np.array(
        [first.sub("", cell, count=1).strip(APART) if words else cell for cell in cells], dtype=object
    )


def meaning_of(word: str, lookup: Lookup) -> str | None:
    """What a folded word means, '' where it is blank, None where the lookup does not know it.

    Examples
    --------
    >>> series = Lookup("Car", {"5000..5380": "first", "0": LEAVE_OUT})
    >>> [meaning_of(word, series) for word in ("5380", "5381", "0", "")]
    ['first', None, 'leave out', '']
    >>> slots = Lookup("What", {"ch #": "ch #", "bus #": "bus #"}, within=True, otherwise="")
    >>> [meaning_of(word, slots) for word in ("ch 12 no signal", "hum on bus 3", "ch.7a dead", "much 2 loud", "no bus, 21 dim")]
    ['ch 12', 'bus 3', 'ch 7a', '', '']
    >>> [meaning_of(text, Lookup("Parts", {"#x": "#"}, within=True, otherwise="")) for text in ("6x 100u", "2x10k", "6 xlr", "mx 6")]
    ['6', '2', '', '']
    >>> [meaning_of(word, Lookup("What", {"^#": "#"}, within=True, otherwise="")) for word in ("12l dead", "17 no 48v", "3 faders stick", "#3 fader stuck", "48v out")]
    ['12l', '17', '', '3', '']
    >>> bare = Lookup("Strip", {"#": "#"}, within=True, otherwise="")
    >>> [meaning_of(word, bare) for word in ("ch24", "ch. 7", "#7", "13l", "aux 2 of strip 9", "bus 3 hums", "c14")]
    ['24', '7', '7', '13l', '9', '', '']
    >>> [meaning_of(word, Lookup("What", {"^#": "#"}, within=True, otherwise="")) for word in ("14: relay new", "28, 31 noisy", "14:30 hum", "3, dead")]
    ['14', '28', '', '3']
    >>> [meaning_of(word, Lookup("What", {"# of the desk": "#"}, within=True, otherwise="")) for word in ("7 of the desk", "psu 2 of the desk")]
    ['7', '']
    >>> [meaning_of(word, Lookup("What", {"hall 2 #": "#"}, within=True, otherwise="")) for word in ("hall 2 9 dead", "hall 29 dead")]
    ['9', '']
    >>> alone = Lookup("What", {"on #": "#", "#$": "#", ", #": "#", "meter #": "#"}, within=True, otherwise="")
    >>> told = ("hum on 21 when eq in", "mute stuck 25", "hot night, 21 gone dull", "meter 20 stuck", "hiss on 40, like rain", "no top on 38")
    >>> [meaning_of(word, alone) for word in told]
    ['21', '25', '21', '20', '40', '38']
    >>> told = ("clicks on 48 v", "hum on 10k", "eq on 3 db", "level low 6", "on 25-32 hum", "meter 3 db low", "dead on 3 may", "hum on 50 hz", "fan on 24/7")
    >>> {meaning_of(word, alone) for word in (*told, "buzz on 2 channels", "noise on 1.5", "dead since half past 9", "monday, 2 mics gone", "hum on 200")}
    {''}
    >>> desks = Lookup("What", {"a": "A", "b": "B", "main": "Main"}, within=True)
    >>> [meaning_of(word, desks) for word in ("b ch 9 stuck, cleaned", "a14 hums", "mainframe dead", "no answer")]
    ['B', 'A', 'Main', None]
    >>> [meaning_of(word, Lookup("Done", {"psu": "rail"}, within=True)) for word in ("new capsule", "psus checked", "psu2 fan", "psu")]
    [None, 'rail', 'rail', 'rail']
    >>> begun = Lookup("What", {"^t#": "Tern", "^t ": "Tern", "^tern": "Tern"}, within=True, otherwise="")
    >>> [meaning_of(word, begun) for word in ("t27 edge connector", "t 14 dead", "tern dead", "ch 3 t5 blown", "put tern back")]
    ['Tern', 'Tern', 'Tern', '', '']
    """
    if word in lookup.words:
        return lookup.words[word]
    if not word:
        return ""
    for known, meaning in lookup.words.items():
        between = RANGE.fullmatch(known)
        if between and word.isdecimal() and int(between[1]) <= int(word) <= int(between[2]):
            return meaning
        if lookup.within and "#" in known:
            numbered = _first_in(word, known)
            if numbered:
                return meaning.replace("#", numbered[1])
        elif lookup.within and known.removeprefix(BEGIN) in word and _compiled(known).search(word):
            return meaning
    is_work = lookup.otherwise != LEAVE_OUT  # else a complaint that may tell work too
    return (lookup.known_as and _by_known_words(lookup.known_as, word, is_work)) or lookup.otherwise


def shown_as(lookup: Lookup) -> str:
    """How a lookup of slots shows the number of a channel, with # for it.

    Examples
    --------
    >>> shown_as(Lookup("What", {"group #": "group #", "^#": "#"})), shown_as(Lookup("What", {"aux #": "aux #", "ch #": "ch #"}))
    ('#', 'ch #')
    """
    bare = (AT_THE_BEGINNING, ANY_NUMBER, A_NUMBER_SIGN)
    words = (word for word in lookup.words if word in bare or SAME_WORD.get(word.split()[0]) == CHANNEL)
    return next((lookup.words[word] for word in words if "#" in lookup.words[word]), "#")


def names_before(lookup: Lookup) -> frozenset[str]:
    """The words of a lookup of slots that stand before the number of one and are no words for slots, but names, as of desks.

    Examples
    --------
    >>> sorted(names_before(Lookup("What", {"ch #": "ch #", "aux #": "aux #", "old desk #": "#", "heron #": "ch #", "^#": "#"})))
    ['heron', 'old desk']
    """
    shown = (shown_as(lookup), ANY_NUMBER)
    words = ((word.removeprefix(BEGIN), one) for word, one in lookup.words.items())
    named = (word.removesuffix(f" {ANY_NUMBER}") for word, one in words if one in shown)
    return frozenset(name for name in named if name[-1:].isalnum() and name not in SAME_WORD)


def _first_in(text, known):
    """The first number in a text that is as a word of a lookup has it; where that begins with it, as in # of the desk, one behind no word for
    what is beside the channels, as in aux 2."""
    found = (A_CHANNEL if known == ANY_NUMBER else _with_number(known)).finditer(text)
    begins = known == ANY_NUMBER or known.startswith(f"{ANY_NUMBER} ")
    return next((one for one in found if not (begins and BESIDE_A_CHANNEL.search(text[: one.start()]))), None)


def _by_known_words(column, text, is_work):
    if column == "outcome":
        return outcomes.outcome_in_text(text)
    if not is_work and outcomes.names_gear_alone(text):
        return ""  # what was heard, and no word of what was done
    work = part_kinds.work_in_column(text) if is_work else part_kinds.work_in_text(text)
    if not is_work and work == part_kinds.WITHOUT_WORK["open"] != work_of_text(text):
        return ""  # it waits
    if column == "action":
        return work
    if column == "quantity" and work in ("replace", "re-cap"):
        return part_kinds.parts_counted(text) or (
            part_kinds.parts_at_places(text) if work == "replace" else ""
        )
    return "" if work not in ON_A_PART or column == "quantity" else part_kinds.part_worked_on(text)


def _standing(known):
    """How a word stands in a text: in no longer number, and in no longer word where it is short, but for many of it, as in PSUs; at its
    beginning where it says so."""
    if known.startswith(BEGIN) and known != BEGIN:
        return rf"^\W*{_standing(known[1:])}"
    is_short = len(known) < SHORTEST_PART
    before, after = (
        r"\d" if end.isdigit() else r"[^\W\d_]" if is_short and end.isalpha() else "(?!)"
        for end in (known[:1], known[-1:])
    )
    many = r"(?!s\b)" if is_short and len(known) > 2 else ""
    return f"(?<!{before}){re.escape(known)}(?!{many}{after})"


@cache
def _compiled(known):
    return re.compile(_standing(known))


@cache
def _with_number(known):
    """A word of a lookup in which # stands for a number, ## for one of two digits and so on, as whole words; one that follows it at
    once, such as x, ends where its letters do."""
    if known == A_NUMBER_SIGN:
        return re.compile(rf"(?:\bno\.|#){BETWEEN}*(\d+[a-z]?)\b")
    if known in (ON_A_NUMBER, AT_THE_END, IN_A_CLAUSE):
        return _without_a_word(known)
    if known in (AT_THE_BEGINNING, A_COUNT_BEFORE):
        return BEGINS_WITH_A_SLOT if known == AT_THE_BEGINNING else BEGINS_WITH_A_COUNT
    if known.startswith(BEGIN):
        return re.compile(rf"^\W*{_with_number(known[1:]).pattern}")
    before, signs, after = re.fullmatch("([^#]*)(#+)(.*)", known).groups()
    digits = rf"\d{{{len(signs)}}}" if len(signs) > 1 else r"\d+"
    parts = (r"\W*".join(map(re.escape, part.split())) for part in (before, after))
    begins = r"\b" if known[:1].isalnum() or not before else ""
    apart = f"{BETWEEN}{'+' if before.strip()[-1:].isdigit() else '*'}"  # hall 2 # is not in hall 29
    if after[:1].isalpha():
        return re.compile(rf"{begins}{next(parts)}{apart}({digits})\W*{next(parts)}(?![^\W\d_])")
    measured = "" if after else f"(?!{MEASURED})"
    return re.compile(rf"{begins}{next(parts)}{apart}({digits}[a-z]?)\b{measured}\W*{next(parts)}")


def _without_a_word(known):
    """A number behind ``on``, behind a complaint at the end of a text, or with which a clause begins that tells what it does."""
    if known == ON_A_NUMBER:
        return re.compile(rf"(?<![^\W_])(?:on|auf|bei|op|sur)\s+{NUMBER_ALONE}")
    if known == AT_THE_END:
        complaint = vocabulary().in_cells["symptom"].pattern
        return re.compile(rf"{NO_COMPLAINT_ALONE}{complaint}\s+{NUMBER_ALONE}\W*$")
    does = r"gone|is|has|was|keeps?|sounds?|went|now|won['’]?t|still|again|seems?|dead|ist|war|hat|geht|klingt|noch|wieder|tot"
    return re.compile(rf"[,;.]\s+{NUMBER_ALONE}(?=\s+(?:{does})\b)")
