"""The kind of a part where its name alone tells it beyond doubt: by its words, or by a value that only one kind has."""

import re
from functools import cache
from math import inf as INFINITE

from .meanings import (
    A_BOARD,
    AT_PLACE,
    CAPACITOR,
    CAPACITORS,
    HANDLED,
    PLACE,
    RE_CAP,
    meaning_of_cell,
    outermost,
    says_own_slip,
    says_theirs,
    spans_in,
    without_wanted_places,
    work_of_text,
)
from .slips import without_slips
from .words import IDLE, NUMBERS, fold, is_wholly, says, vocabulary, words_in

ALL_OR_AND = {*words_in("all alle alles und and et with mit avec new neu neue")}
LAST_WORD = re.compile(r"[\w-]+$")
PIECES = {"pcs", "pc", "pieces", "parts", "stück", "stk", "st", "stuks", "pièces"}
MOST_WORDS = 12  # of a name; more are a story
ENDINGS = ("", "s", "n", "es", "en")
SHORTEST_HEAD, SHORTEST_REST = 4, 3  # letters of the end of a compound that says what it is, and before it
NUMBER = r"(?<![\w.,])(\d+(?:[.,]\d+)?)\s*"
MICROFARADS = re.compile(NUMBER + r"(?:[uμ](\d{0,2})(f?)|(mfd))\b")
# Of an outcome, told where work should be.
BEGINS_WITH_A_COUNT = re.compile(  # and no value, no kind of switch
    r"^\W*(\d{1,3})\s+(?!(?:v|volts?|m?a|amps?|va|w|watts?|k?hz|[km]?ohms?|[unpµμ]f|mfd|mm|cm|db|poles?|pins?|ways?|gang|turns?|pol|polig|fach|pos|bit|off)\b)(?=[^\W\d_]{2}|\d+(?:[.,]\d+)?(?:[uµμ]|/\d))"
)
NOTHING_WRONG = "no fault found"
RESISTANCE = re.compile(r"\b\d+(?:[kr]\d{0,2}| ?k?ohms?)\b", re.IGNORECASE)
STATES = {"dirty": "clean", "failed_part": "replace"}  # what mends a part that was so
WITHOUT_WORK = {NOTHING_WRONG: "test", "not the desk": "test", "open": "trace"}
OPEN, STILL = {"open", "offen"}, {*words_in("still noch yet left")}
VALUE = re.compile(  # 47u 25V, or short 47u/25, with a voltage that capacitors are made for
    r"(?<![\w.,])(\d+(?:[.,]\d+)?[unpµμ]\d{0,2})F?(?:\s*/?\s*(\d+)\s*V|\s*/\s*(6[.,]3|10|16|25|35|40|50|63|80|100|160|200|250|350|400|450))\b",
    re.IGNORECASE,
)
# capacitors by their value alone, as there are so many of it: 2 x 10u, 3 off 470u
COUNTED = re.compile(r"(?<![\w.,])\d{1,3} ?(?:[x×*]|off) ?(\d+(?:[.,]\d+)?[uµμ]\d{0,2})F?\b", re.IGNORECASE)
CLAUSES = re.compile(r"[.;]\s+|\s[-–—]+\s")
BEHIND = re.compile(r"[.,;:!]\s+|\s[-–—]+\s")  # a complaint, what it was
AT_THE_BEGINNING = re.compile(r"^(?:the|an?|der|die|das|le|la|el)\s+", re.IGNORECASE)
AT_THE_END = re.compile(r"\s+(?:again|as well|this time|wieder|diesmal)$", re.IGNORECASE)
GUESSED = {*words_in("maybe perhaps probably likely possibly suspect looks seems think guess")}
GUESSED |= {*words_in("vielleicht evtl eventuell wohl vermutlich wahrscheinlich")}
A_FEW_WORDS = 9  # that call a part the cause
IN_A_YEAR = re.compile(r"\b(?:in|im|en)\s+(?:'?\d\d|(?:19|20)\d\d)\b", re.IGNORECASE)
A_SLOT_FIRST = re.compile(r"^\W*(\d{1,3})(?:\s*:)?\s+(?=\S)")
FEW_WORDS = 4
BESIDE = re.compile(  # (C21), x2, 2 off, a used one, from the stores
    r"\([^)]*\)|\b[x×*]? ?\d{1,2} ?(?:[x×*]|off)?(?!\w)|\b(?:used|old|gebraucht\w*)(?: one)?\b|\b(?:from|out of|aus|ex)\b.*$",
    re.IGNORECASE,
)
TAPERS = {"lin", "log"}  # of pots, behind their value
# words beside places on a board that say no more of what was done to the parts there, but for the module
ANEW = {
    *words_in("and und again wieder nochmal both beide too also auch this time diesmal in of while there")
}
IN_WORDS = {word: many for word, many in NUMBERS.items() if len(word) > 2 and not {*word} <= {*"iv"}}
IN_WORDS |= {"both": "2", "beide": "2", "nine": "9", "neun": "9", "neuf": "9", "ten": "10", "zehn": "10"}
IN_WORDS |= {"dix": "10", "twelve": "12", "couple": "2", "pair": "2"}
A_COUNT = rf"\d{{1,3}}|{'|'.join(IN_WORDS)}"
A_FEW = re.compile(rf"1 [^\W\d]+|(?:{A_COUNT}) [^\W\d]+s", re.IGNORECASE)  # of a kind of parts, and no more
A_COUNT_WITHIN = re.compile(
    rf"(?<![\w.,/'’-])({A_COUNT})\s+([^\W\d_]{{2,}}(?:\s+[^\W\d_]+){{0,2}})", re.IGNORECASE
)
A_COUNT_AT_THE_END = re.compile(r"\s*(?:\b[x×*] ?\d{1,2}|\b\d{1,2} ?(?:[x×*]|off))\W*$", re.IGNORECASE)
A_COUNT_BEHIND = re.compile(r"([^\W\d_][\w-]+)(?: \(?|\()(\d{1,3})\)?\W*$")
A_SERIAL = re.compile(r"\d{3,5}")  # of the module in which a part sits
WHERE = re.compile(r"\b(?:in|on|of|im|am|auf|at(?! *\d))\b.*$")  # a part sits
SIZE_AND_VOLTS = re.compile(  # as capacitors are called in short, 100/25, with a voltage that they are made for
    r"(?<![\w.,/])(\d+(?:[.,]\d+)?)\s*/\s*(6[.,]3|10|16|25|35|40|50|63|80|100|160|200|250|350|400|450)(?![\w.,/])"
)
SIZE_ALONE = re.compile(r"(?<![\w.,/])(\d+(?:[.,]\d+)?[unpµμ]\d{0,2})F?\b", re.IGNORECASE)
SIZE = re.compile(  # of a part, beside its place on the board: C14 47/25, C14 (100u), C14 2 x 100u 25V
    rf"{VALUE.pattern}|{COUNTED.pattern}(?:\s*/\s*\d+\b|\s*/?\s*\d+\s*V\b)?|{SIZE_AND_VOLTS.pattern}|{SIZE_ALONE.pattern}",
    re.IGNORECASE,
)
RESISTANCE = re.compile(r"\b\d+[kr]\d*\b")  # 6k8, 100r
VOLTS = re.compile(NUMBER + r"v(\d?)(?:dc|olts?)?\b")
NO_ELECTROLYTIC = re.compile(r"\d\s*[np]f?\b|\d[np]\d|ac\b|~|\b[xy]\d")  # nF and pF, mains, ceramic
# Up to which volts an electrolytic begins at how many µF; below, a film capacitor may be that large: common practice, no source.
LEAST_MICROFARADS = ((50, 1.0), (100, 2.2), (INFINITE, 10.0))


@cache
def kind_of_part(name: str) -> str:
    """The kind of a part by its name, one of those that ``part_types`` knows; '' where the name does not tell.

    Examples
    --------
    >>> [kind_of_part(name) for name in ("1000u 35V cap", "10µ/63V", "Elko", "opamp 5532", "Drehschalter", "reed relay 24V")]
    ['electrolytic', 'electrolytic', 'electrolytic', 'ic', 'switch', 'relay']
    >>> [kind_of_part(name) for name in ("100n 63V", "1u 63V", "NE5532", "lamp socket", "10k", "pot or fader", "cap", "fader cap")]
    ['', '', '', '', '', '', '', '']
    >>> kind_of_part("10u 35V tant"), kind_of_part("slide pot 10k")
    ('tantalum', 'fader')
    """
    plain = words_in(name)
    if len(plain) > MOST_WORDS or vocabulary().negations & {*plain}:
        return ""
    words = tuple(map(_known_form, plain))
    kinds = {kind for *_, kind in _kinds_named(words)}
    is_capacitor = bool(CAPACITOR & {*plain})
    if not kinds & {"electrolytic", "tantalum", "film"}:
        if _has_the_size_of_an_electrolytic(_with_volts_apart(name), is_capacitor):
            kinds.add("electrolytic")
        elif is_capacitor:
            kinds.add("")  # of a kind that it does not tell
    return kinds.pop() if len(kinds) == 1 else ""


def _kinds_named(words):
    """The kinds of parts among words, as ``spans_in`` has them; a doubtful word alone names none."""
    spans = outermost(spans_in(words, "kind"))
    return [span for span in spans if span[0] > 1 or words[span[1]] not in vocabulary().not_names]


def _heads_of(spans):
    """Of names of parts that stand beside each other the last, which says what it is: the lamp of a meter."""
    begins = {at for _, at, _ in spans}
    return [span for span in spans if span[0] + span[1] not in begins]


@cache
def part_in_text(text: str) -> str:
    """The part that a text about work names, as it is called there or by its value; '' where it names none or parts of two kinds.

    Examples
    --------
    >>> [part_in_text(one) for one in ("new relay fitted", "C7 dried out, replaced with 47u/35V", "swapped op-amp, no better")]
    ['relay', '47u 35V', 'op amp']
    >>> [part_in_text(one) for one in ("relay and lamp replaced", "fixed it", "Fader getauscht", "new caps", "new batteries")]
    ['', '', 'fader', 'capacitor', 'battery']
    >>> part_in_text("2 x 10u changed"), part_in_text("2 x 10u and a lamp"), part_in_text("10u changed")
    ('10u capacitor', 'lamp', '')
    >>> [part_in_text(one) for one in ("rail cap 220u", "3 lytics 220/16", "C7 (220u)", "220u", "caps 220u and 10u", "220u low")]
    ['220u capacitor', '220u 16V', '220u capacitor', '220u capacitor', 'capacitor', '']
    """
    value = VALUE.search(text)
    if value:
        return f"{value[1]} {value[2] or value[3]}V"
    words = tuple(map(_known_form, words_in(text)))
    spans = _heads_of(_kinds_named(words))
    is_capacitor = CAPACITOR & {*words} or part_at_places(text) == "capacitor" or _is_all_sizes(text)
    of_size = _size_told(text) if spans or is_capacitor or COUNTED.search(text) else ""
    if of_size and {kind for *_, kind in spans} <= {"electrolytic"}:
        return of_size
    if not spans and CAPACITOR & {*words}:  # of a kind that it does not tell
        return "kondensator" if any(word.startswith("kondens") for word in words) else "capacitor"
    if len({kind for *_, kind in spans}) != 1:
        return ""
    length, at, _ = spans[0]
    return " ".join(words[at : at + length])


def _size_told(text):
    """The capacitor of the one size that a text tells, or of the first that it counts; '' where it tells none or two."""
    if short := {one.groups() for one in SIZE_AND_VOLTS.finditer(text)}:
        size, volts = short.pop()
        return "" if short else f"{size}u {volts}V"
    sizes = COUNTED.findall(text)[:1] or [*dict.fromkeys(SIZE_ALONE.findall(text))]
    return f"{sizes[0]} capacitor" if len(sizes) == 1 else ""


def _is_all_sizes(text):
    """Whether a text is sizes of capacitors, it may be with how many of each and where they sit, and nothing else."""
    rest = {word for word in words_in(SIZE.sub(" ", WHERE.sub("", text))) if not word.isdigit()}
    return SIZE.search(text) and rest <= ALL_OR_AND


@cache
def part_worked_on(text: str) -> str:
    """The part that work was done on, as it is called or by the letter of its place on the board: of the clause that tells the work, else
    of the last one before it that names any, else as the whole text has it; '' where it has none.

    Examples
    --------
    >>> [part_worked_on(one) for one in ("fader noisy, IC4 replaced", "hum on pan pot, C9 leaky, replaced", "cleaned fader, relay new")]
    ['ic', 'capacitor', 'relay']
    >>> [part_worked_on(one) for one in ("pot worn, replaced", "fader bad, relay and lamp replaced", "47u/35 changed", "meter lamp changed")]
    ['pot', '', '47u 35V', 'lamp']
    """
    text = _without_earlier_recap(text)
    work = work_in_text(text)
    whole = part_in_text(text) or (part_at_places(text) if work == "replace" else "")
    clauses = re.split(r"[.;,:]\s+|\s[-–—]+\s|\b(?:then|dann)\b", text)
    at = next((at for at, clause in enumerate(clauses) if work_of_text(clause) == work), None)
    if at is None:
        return whole
    own = clauses[at]
    if part_at_places(own) or _kinds_named(tuple(map(_known_form, words_in(own)))):
        return part_in_text(own) or part_at_places(own)
    before = (part_in_text(clause) or part_at_places(clause) for clause in clauses[at::-1])
    return next(filter(None, before), whole)


@cache
def part_at_places(text: str) -> str:
    """The part by the letters of the places on the board that a text names, as those of circuit diagrams; '' where they differ.

    Examples
    --------
    >>> [part_at_places(one) for one in ("C30, C40 replaced", "changed IC5", "swapped out S42", "R3 and C4 new", "ch 4 fixed")]
    ['capacitor', 'ic', 'switch', '', '']
    """
    places = PLACE.finditer(without_wanted_places(text))
    parts = {AT_PLACE.get(one[1].casefold(), "") for one in places}
    return parts.pop() if len(parts) == 1 else ""


def parts_at_places(text: str) -> str:
    """How many places on the board a text names, all of the letter of the first; '' where it names but one.

    Examples
    --------
    >>> parts_at_places("C30, C40 and c41 replaced"), parts_at_places("IC5 new, C3 and C4 tested"), parts_at_places("R7 burnt")
    ('3', '', '')
    """
    places = PLACE.finditer(without_wanted_places(text))
    named = [(one[1].casefold(), one[0].casefold()) for one in places]
    count = len({place for letter, place in named if letter == named[0][0]})
    return str(count) if count > 1 else ""


def parts_counted(text: str) -> str:
    """How many parts a text says, in figures or in words, before the part, in brackets behind it, or behind a re-cap; '' where it says none.

    Examples
    --------
    >>> [parts_counted(one) for one in ("repl 2 filter caps", "Two lamps", "recap - 31 CAPS", "all lytics (31)", "re-cap 27", "re-cap 24 pcs")]
    ['2', '2', '31', '31', '27', '24']
    >>> [parts_counted(one) for one in ("ch 4 caps", "12 fader", "2 gang pots", "new lamp", "recap 2019", "fader (7 hrs)", "caps, 2 days")]
    ['', '', '', '', '', '', '']
    >>> [parts_counted(one) for one in ("44 fader worn - replaced", "12 switch again, new one", "2 op amps gone, replaced")]
    ['', '', '2']
    >>> parts_counted("9 10u 16V, 11 fuse"), parts_counted("3 fuses, 2 batteries")
    ('', '3')
    """
    for one in A_COUNT_WITHIN.finditer(text):
        many = IN_WORDS.get(one[1].casefold(), one[1])
        last = LAST_WORD.search(text[: one.start()].rstrip(" \t"))
        if BEGINS_WITH_A_COUNT.match(f"{many} {one[2]}") and (not last or _may_stand_before_a_count(last[0])):
            names = (" ".join(one[2].split()[:width]) for width in (1, 2, 3))
            if any(_names_several(name) or (many == "1" and part_in_text(name)) for name in names):
                return many
    behind = A_COUNT_BEHIND.search(text)
    is_counted = behind and (
        meaning_of_cell("action", behind[1]) == RE_CAP or ("(" in behind[0] and part_in_text(behind[1]))
    )
    return behind[2] if is_counted else ""


def _names_several(name):
    """Whether a text ends in the name of parts, more than one, or of pieces."""
    *before, last = name.split()
    is_plural = _is_of_several(last) and part_in_text(name)
    return name.casefold() in PIECES or bool(
        is_plural and (part_in_text(last) or not part_in_text(" ".join(before)))
    )


def _is_of_several(word):
    """Whether a word is that of several parts, as caps is and fuse is not."""
    (known,) = words_in(word)[-1:]
    stems = [known.removesuffix(end) for end in ENDINGS if end and known.endswith(end)]
    return bool({f"{known[:-3]}y", *stems} & (CAPACITOR | _single_words()))


def _may_stand_before_a_count(word):
    return bool(work_of_text(word)) or {*words_in(word)} <= ALL_OR_AND | {"a"}


def work_in_text(text: str) -> str:
    """The work that a text tells of, a part or a place on the board alone being one replaced; '' where it tells of none.

    Where it says only that nothing was found somebody looked, and where it still waits nothing was changed.

    Examples
    --------
    >>> [work_in_text(one) for one in ("lamps", "C12", "47u/35V", "re-soldered", "fixed it", "fader loose", "C4 + C7 and U3")]
    ['replace', 'replace', 'replace', 're-solder', '', '', 'replace']
    >>> [work_in_text(one) for one in ("no hf. IC8 in eq section", "hum - decouplers C3+C4", "hum. C3 dried up", "hum. C3?")]
    ['replace', 'replace', '', '']
    >>> work_in_text("EQ dead, IC5"), work_in_text("hum: C3 and C4"), work_in_text("hum, cap")
    ('replace', 'replace', '')
    >>> [work_in_text(one) for one in ("C14 again", "C22 C14 both", "IC3 this time", "1107 IC3", "C14 in 1150", "C3 of master", "again")]
    ['replace', 'replace', 'replace', 'replace', 'replace', '', '']
    >>> work_in_text("6 caps"), work_in_text("1 fuse"), work_in_text("12 fader")
    ('replace', 'replace', '')
    >>> work_in_text("changed 14 x 47uF and 6 caps more"), work_in_text("4 caps changed")
    ('re-cap', 'replace')
    >>> [work_in_text(one) for one in ("C14 (100u)", "C14 47/25", "2 x 47u 25V", "C14 10u low")]
    ['replace', 'replace', 'replace', '']
    >>> [work_in_text(one) for one in ("scrapped the mic lead", "guitar cable binned", "module binned, cable burnt")]
    ['test', 'test', 'scrap']
    >>> [work_in_text(one) for one in ("C7, 10u 16V - recapped in 2019", "10u 16V gone, rest fine", "10u measured, fine", "4: pot worn. 5: NFF")]
    ['replace', 'replace', 'test', 'replace']
    >>> work_in_text("NFF"), work_in_text("was the patch lead"), work_in_text("waiting for parts"), work_in_text("fader claened")
    ('test', 'test', 'trace', 'clean')
    """
    text = _without_earlier_recap(without_wanted_places(text))
    part = part_in_text(text)
    words = " ".join(map(_known_form, words_in(text)))
    is_part = part and (words == part or A_FEW.fullmatch(text.strip()) or _is_all_sizes(text))
    told = work_of_text(text) or ("replace" if is_part or _names_places_alone(text) else "")
    outcome = meaning_of_cell("outcome", text)
    if (told == "test" or outcome == NOTHING_WRONG) and _names_what_was_found(text):
        return "replace"
    if told:
        if outcome == "not the desk" and (says_theirs(text) or says_own_slip(text)):
            return WITHOUT_WORK[outcome]
        if told == "scrap" and any(map(_throws_gear_away, re.split(r"[.,;:]", text))):
            return WITHOUT_WORK["not the desk"]
        return RE_CAP if told == "replace" and capacitors_counted(text) >= A_BOARD else told
    outcome = meaning_of_cell("outcome", text)
    if outcome in WITHOUT_WORK and not (outcome == "open" and is_open_part(text)):
        return (
            "replace" if outcome == NOTHING_WRONG and _names_what_was_found(text) else WITHOUT_WORK[outcome]
        )
    mended = without_slips(text)
    return work_of_text(mended) if mended != text else ""


def _without_earlier_recap(text):
    """A text that names a part without the clause in which it says in which year all were renewed, which is why that part tells something."""
    clauses = CLAUSES.split(text)
    rest = [
        one for one in clauses if not (IN_A_YEAR.search(one) and meaning_of_cell("action", one) == RE_CAP)
    ]
    told = ". ".join(rest)
    return told if len(rest) < len(clauses) and (part_in_text(told) or PLACE.search(told)) else text


def _names_what_was_found(text):
    """Whether a clause of a text gives the size of a part, or of texts of several slots says what was gone in one, and not that it was fine."""
    clauses = re.split(r"[.;,]\s+|\s[-–—]+\s", text)
    slots = {one[1] for one in map(A_SLOT_FIRST.match, clauses) if one}
    of_slots = len(slots) > 1
    return any(
        (SIZE.search(one) or (of_slots and part_in_state(A_SLOT_FIRST.sub("", one), "failed_part")))
        and not ("?" in one or {*words_in(one)} & vocabulary().wanted_behind)
        and meaning_of_cell("outcome", one) in ("", "open", "fault found")
        and meaning_of_cell("as_found", one) != "in limit"
        and work_of_text(one) in ("", "replace")
        for one in clauses
    )


def is_open_part(text: str) -> bool:
    """Whether a text calls a part or a place on the board open, as what failed there, and no job.

    Examples
    --------
    >>> is_open_part("6k8 open"), is_open_part("open 22k"), is_open_part("100 open"), is_open_part("2 open")
    (True, True, False, False)
    >>> [is_open_part(text) for text in ("C12 open", "coil of the relay open", "R4 open, parts on order", "open", "fader still open", "left open")]
    [True, True, False, False, False, False]
    """
    words = words_in(text)
    rest = " ".join(word for word in words if word not in OPEN)
    is_named = PLACE.search(rest) or RESISTANCE.search(rest) or part_in_text(rest)
    is_told = len(rest.split()) < len(words) and not {*words} & STILL and is_named
    return bool(is_told) and meaning_of_cell("outcome", rest) != "open"


@cache
def cause_behind(text: str) -> str:
    """The clause of a text that names behind a complaint the part that was the cause: the last one, and no more than the part, or one that
    says of it that it failed; else ''. Of what somebody has in hand, such as a fader, that may be the complaint.

    Examples
    --------
    >>> [cause_behind(text) for text in ("low output, coupling caps", "EQ dead, IC5", "thin again - the other cap.", "hum: one cap reversed")]
    ['coupling caps', 'IC5', 'the other cap', 'one cap reversed']
    >>> cause_behind("no signal. Output cap shorted, took out R61 as well"), cause_behind("dead. Fuse on the module"), cause_behind("hum, fader on 7")
    ('Output cap shorted', 'Fuse on the module', '')
    >>> [cause_behind(text) for text in ("hum, check caps", "hum, cap?", "spares: cap", "needs a cap, hum", "crackles, fader dead", "hum, no caps")]
    ['', '', '', '', '', '']
    """
    first, *others = BEHIND.split(text.strip(" .;!"))
    words, known = {*words_in(text)}, vocabulary()
    waits = words & (known.wanted_before | known.wanted_behind | GUESSED)
    if waits or not others or "?" in others[-1] or work_of_text(others[-1]):
        return ""
    told = [says("symptom", one) or {*words_in(one)} & known.negations for one in (first, *others)]
    if _is_the_part(others[-1], is_sure=told[-2]) and any(told[:-1]):
        return others[-1]
    return next((one for at, one in enumerate(others, 1) if any(told[:at]) and _calls_a_part_bad(one)), "")


def _is_the_part(clause, *, is_sure):
    """Whether a clause is no more than a part or places on the board; of a part somebody has in hand where that ``is_sure``: not the fader
    in crackles on send, pan, fader."""
    whole = AT_THE_END.sub("", AT_THE_BEGINNING.sub("", clause))
    bare = WHERE.sub("", whole).strip()
    is_place = bool(bare) and not {*words_in(PLACE.sub("", SIZE.sub("", bare)))} - ANEW
    in_hand = HANDLED if bare == whole else HANDLED - {"other"}  # a fader on 7 is where it crackles
    is_sure = bare == whole and is_sure
    return is_place or (_ends_in_a_part(bare) and bool(is_sure or not _kinds_in(bare) & in_hand))


def _calls_a_part_bad(clause):
    """Whether a clause of few words says of a part that nobody has in hand, or of a place on the board, that it failed or was the cause."""
    words = {*words_in(clause)}
    told = says("the_cause", clause) or says("failed_part", clause)
    if len(words) > A_FEW_WORDS or words & vocabulary().negations or not told:
        return False
    kinds = _kinds_in(clause)
    return not kinds & (HANDLED - {"other"}) and bool(PLACE.search(clause) or kinds or CAPACITOR & words)


def _kinds_in(text):
    return {kind for *_, kind in _kinds_named(tuple(map(_known_form, words_in(text))))}


def work_in_column(text: str) -> str:
    """The work that a cell of a column of work tells of: as any text, and a part with a few words before it is one replaced.

    Examples
    --------
    >>> [work_in_column(one) for one in ("output IC", "coupling cap C34", "lytics (C21)", "smoothing caps x2", "IC9 + socket", "fader, used one")]
    ['replace', 'replace', 'replace', 'replace', 'replace', 'replace']
    >>> [work_in_column(one) for one in ("220u", "3x 47u, 1x 220u", "rail cap 220u 16V", "relay 12V", "20x 47u, 4x 220u", "220u low")]
    ['replace', 'replace', 'replace', 'replace', 're-cap', '']
    >>> [work_in_column(one) for one in ("rail tants leaky x2", "rail tant leaky", "two lamps dead", "lamps x2 ordered, dead")]
    ['replace', '', '', '']
    >>> [work_in_column(one) for one in ("leaky C41", "stuck relay", "fader loose", "it was the fader", "freed switch", "yearly: fader")]
    ['', '', '', '', '', '']
    """
    told = work_in_text(text) or ("replace" if _ends_in_a_part(text) else "")
    return told or ("replace" if any(map(_counts_what_failed, re.split(r"[.;,]\s+", text))) else "")


def _throws_gear_away(clause):
    """Whether a clause tells that other gear was thrown away, and no module."""
    gear = {*words_in(clause)} & vocabulary().other_gear
    return (
        bool(gear)
        and work_of_text(clause) == "scrap"
        and meaning_of_cell("outcome", clause) == "not the desk"
    )


def _counts_what_failed(clause):
    """Whether a few words say of parts that they are gone, and at their end how many: x2 is what it took."""
    bare = A_COUNT_AT_THE_END.sub("", clause)
    return bare != clause and bool(part_in_state(bare, "failed_part"))


def capacitors_counted(text: str) -> int:
    """How many capacitors a text counts, by their values or their name; 0 where it counts none.

    Examples
    --------
    >>> capacitors_counted("14 x 47uF/25, 6x100u"), capacitors_counted("12 caps"), capacitors_counted("12 lamps, 3 caps")
    (20, 12, 3)
    """
    of_values = sum(int(re.search(r"\d+", one[0])[0]) for one in COUNTED.finditer(text))
    named = (one for one in A_COUNT_WITHIN.finditer(text) if CAPACITORS & {*words_in(one[2].split()[0])})
    return of_values or sum(int(IN_WORDS.get(one[1].casefold(), one[1])) for one in named)


def part_in_state(text: str, kind: str) -> str:
    """The part of which a few words say that it is gone (``failed_part``) or ``dirty``, without these; '' where they say no such thing.

    Examples
    --------
    >>> part_in_state("47u cap dry", "failed_part"), part_in_state("47u cap dry", "dirty"), part_in_state("ground lug gone", "failed_part")
    ('47u cap', '', '')
    """
    told = says(kind, text)
    if not told or len(words_in(text)) > FEW_WORDS:
        return ""
    rest = re.sub(re.escape(told[0]), " ", text, flags=re.IGNORECASE)
    return " ".join(rest.split()) if part_in_text(rest) else ""


def _ends_in_a_part(text):
    """Whether a few words end in a part, places on the board and numbers apart, and say nothing else of it."""
    words = words_in(PLACE.sub("", BESIDE.sub("", SIZE.sub("", text))))
    bare = [word for word in words if word not in TAPERS and not any(map(str.isdigit, word))]
    told = any(says(kind, text) for kind in ("finding", "symptom", "comes_round"))
    says_more = told or {*bare} & (IDLE | vocabulary().negations)
    says_more = says_more or any(word.endswith("ed") for word in bare)  # what was done
    return (
        0 < len(bare) <= FEW_WORDS and not says_more and _known_form(bare[-1]) in CAPACITOR | _single_words()
    )


def _names_places_alone(text):
    """Whether a text names places on the board alone, or so does its last clause, behind the complaint, with the part that is there."""
    *before, last = CLAUSES.split(text.strip(" .;"))
    if cause := cause_behind(text):  # or behind a comma
        before, last = [text], cause
    if before and "?" not in last and PLACE.search(last):
        rest = {*map(_known_form, words_in(PLACE.sub("", WHERE.sub("", last))))}
        return all(map(_is_of_a_part, rest - {"and", "und"}))
    rest = {word for word in words_in(PLACE.sub("", SIZE.sub("", text))) if not A_SERIAL.fullmatch(word)}
    return rest <= ANEW and bool(PLACE.search(text))


def _is_of_a_part(word):
    """Whether a word is a part, or the section of a module in which it sits."""
    return word in CAPACITOR | _single_words() or is_wholly("module_type", word)


def microfarads(name: str) -> float | None:
    """The one capacitance that a part's name tells, in µF; None where there is none or more.

    Examples
    --------
    >>> microfarads("Elko 4µ7 35V"), microfarads("100u 25V + 47u 25V"), microfarads("relay 24V")
    (4.7, None, None)
    >>> microfarads("C15 100/25"), microfarads("470/35 105°"), microfarads("3/24"), microfarads("C31")
    (100.0, 470.0, None, None)
    """
    sizes = {size for size, _ in _sizes(_with_volts_apart(name))}
    sizes = sizes or {_number(one[1], "") for one in SIZE_AND_VOLTS.finditer(name)}
    return sizes.pop() if len(sizes) == 1 else None


def _sizes(text):
    """Each capacitance in a text, in µF, and whether it says that it is one."""
    return [(_number(one[1], one[2]), bool(one[3] or one[4])) for one in MICROFARADS.finditer(text)]


@cache
def _single_words():
    return frozenset(word for phrase in vocabulary().choices["kind"] for word in phrase)


@cache
def _known_form(word):
    """A word as kinds are called by it: of several, or of a compound that ends in it; else as it is."""
    known = _single_words()
    stems = [f"{word[:-3]}y" if word.endswith("ies") else word, *map(word.removesuffix, ENDINGS)]
    heads = (word[cut:] for cut in range(SHORTEST_REST, len(word) - SHORTEST_HEAD + 1))
    heads = (head for head in heads if head not in vocabulary().not_names)
    return next((one for one in (*stems, *heads) if one in known), word)


def _has_the_size_of_an_electrolytic(text, is_capacitor):
    sizes = _sizes(text)
    volts = [_number(*one) for one in VOLTS.findall(text)]
    if not sizes or NO_ELECTROLYTIC.search(text) or not (volts or is_capacitor or all(f for _, f in sizes)):
        return False
    highest = max(volts, default=INFINITE)
    least = next(least for most, least in LEAST_MICROFARADS if highest <= most)
    return min(size for size, _ in sizes) >= least


def _with_volts_apart(text):
    return re.sub(r"(?<=[uμf])(?=\d+v)", " ", fold(text))  # 100u25V


def _number(whole, after_unit):
    return float(f"{whole.replace(',', '.')}{'.' if after_unit else ''}{after_unit or ''}")
