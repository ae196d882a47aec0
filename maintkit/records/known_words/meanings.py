"""What a cell means, of a closed set of choices, by the phrases of ``words.toml`` and the words beside them; and the work a text tells of."""

import re
from functools import cache
from itertools import dropwhile, pairwise, takewhile

from maintkit.actions import ACTIONS

from .words import IDLE, NUMBERS, QUESTIONS, fold, is_wholly, says, vocabulary, words_in

SINCE = frozenset(words_in("after since following nach seit après depuis"))
FROM = frozenset(words_in("from of ex aus vom uit"))
FROM_NEW = frozenset(words_in("from since"))
EARLIER = frozenset(words_in("last previous earlier prior letzten letzter vorigen früheren dernier"))
LEFT_BY = FROM | {*words_in("by in with bei")}  # an earlier one
BEFORE_EARLIER = (IDLE - LEFT_BY) | EARLIER
LEFT = frozenset(words_in("left caused damaged lifted broken missed torn"))  # by a re-cap
BACK = frozenset(words_in("back returned zurück retour"))
LOTS = frozenset(
    words_in("lot batch los charge lieferung phase stage round group campaign run part teil set")
)
WHEN = frozenset(words_in("at during before while bei beim vor während lors avant pendant"))
STILL_OR_IDLE = (IDLE | {*words_in("still now again nun jetzt wieder erneut")}) - {*words_in("due")}
DONE = {*words_in("done finished completed erledigt fertig gemacht nachgeholt erfolgt fait")}
NOT_DONE = {"to", "zu", "until", "till", "bis"}  # before these
AFTER_ALL = {*words_in("now then since finally meanwhile jetzt nun inzwischen dann")}
AS = {"as", "wie", "comme"}  # before planned, of what was done so
NEAR = 2  # words
APART = 4  # words, from a negation to what it says of a fault
HANDLED = {"switch", "pot", "fader", "connector", "lamp", "other"}  # parts that who uses the desk has in hand
IN_EXCHANGE = {"with", "for", "mit", "gegen", "avec", "contre", "con", "por"}  # c24 behind them is a channel
YET = {"yet", "noch", "still"}
OF_THE_DESK = {(word, "s") for word in words_in("desk console mixer module card board strip channel fader")}
PLUGGED = {*words_in("mic mics lead leads xlr jack jacks cord headphone headphones")}
FEW_WORDS = 4  # in which a word for gear says that it was that
SWAP, RE_CAP, NOT_THE_DESK = "swap module", "re-cap", "not the desk"
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
LONGEST = 12  # words of a cell that means one thing
CLAUSES = re.compile(r"[.,;!?]|\s[-–—]+\s")
BAD = "faulty|bad|broken|duff|dodgy|worn|gone|at fault"
# of what somebody brought: what is no source that a complaint would name, or is said to have been it
IS_NO_SOURCE = re.compile(rf"\b(?:leads?|cables?|\w*kabel|was|is|own|due|turned|just|only|{BAD})\b")
BRIDGE = "bridge track"
TRACK = frozenset(words_in("track tracks pad pads leiterbahn leiterbahnen bahn piste pistes"))
CAPACITOR = frozenset(
    words_in(
        """capacitor capacitors cap caps decoupler decouplers kondensator kondensatoren
        condensateur condensateurs cond condensador condensadores"""
    )
)
CAPACITORS = CAPACITOR | {*words_in("lytics electrolytics electros elcaps elkos elcos chimiques")}
OF_SOME = frozenset(words_in("of the those his its von den der de des"))  # between how many and of what
A_FEW = {
    *words_in("couple pair few some several both paar einige beide quelques"),
    *(word for word in NUMBERS if len(word) > 2),
}
EVERY = frozenset(words_in("all every full alle satz tous komplett"))


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
    >>> [meaning_of_cell("outcome", text) for text in ("mic lead faulty not desk", "guitar cable, nothing wrong", "not the cable")]
    ['not the desk', 'not the desk', '']
    >>> [meaning_of_cell("outcome", text) for text in ("setup", "solo was on :)", "wrong bus", "wrong bus lights up", "amp", "amp stage hums")]
    ['not the desk', 'not the desk', 'not the desk', '', 'not the desk', '']
    """
    words, known = words_in(text), vocabulary().choices[name]
    if not words or len(words) > LONGEST:
        return ""
    if words in known:
        return known[words]
    if name == "yes_no" and len(words) > 2:
        return ""
    parts = CLAUSES.split(text)
    clauses = [at for at, clause in enumerate(parts) for _ in words_in(clause)]
    meaning = _meaning_of_words(name, words, clauses)
    if name == "outcome" and (is_wholly("of_the_use", text) or _was_in_the_use(text, words, clauses)):
        return NOT_THE_DESK
    if name == "outcome" and says_own_slip(text):
        return NOT_THE_DESK
    if name == "outcome" and says_theirs(text):
        rest = ". ".join(clause for clause in parts if not says_theirs(clause))
        if work_of_text(rest) not in MENDS and not PLACE.search(rest):
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
    >>> [work_of_text(text) for text in ("noticed at line-up", "switch swapped for one out of the scrap box", "scrapped it")]
    ['', 'replace', 'scrap']
    >>> [work_of_text(text) for text in ("dead after the re-cap, joint missed", "hum gone after the re-cap", "forgot the jumper")]
    ['', 're-cap', '']
    >>> work_of_text("re-cap planned"), work_of_text("re-cap as planned"), work_of_text("Reinigung wie geplant")
    ('', 're-cap', 'clean')
    >>> work_of_text("recap of yesterday's meeting"), work_of_text("recap of group 2")
    ('', 're-cap')
    """
    text = without_complaints(fold(text))
    clauses = re.split(r"[.,;!?/&+]|\s[-–—]+\s|\b(?:and|then|und|dann|sowie)\b", text)
    told = [work for clause in clauses if (work := meaning_of_cell("action", clause))]
    if BRIDGE in told and TRACK & {*words_in(text)}:
        return BRIDGE  # it stays with the board for life, whatever else was done
    return meaning_of_cell("action", text) or min(told, key=TELLS.get, default="")


def begins_a_wanted_list(line: str) -> bool:
    """Whether a line ends in a colon and says of what stands below it that it is still to be done.

    Examples
    --------
    >>> [begins_a_wanted_list(one) for one in ("All of it needs a re-cap:", "To do:", "changed these:", "needs a re-cap")]
    [True, True, False, False]
    """
    told = words_in(line)
    is_wanted = {*told} & vocabulary().wanted_before or ("to", "do") in {*zip(told, told[1:])}
    return line.rstrip().endswith(":") and bool(is_wanted)


def without_wanted_places(text: str) -> str:
    """A text without the places on the board that it lists behind a colon or behind dashes, where its clause says that they are still to be
    done.

    Examples
    --------
    >>> without_wanted_places("C7 and C8 changed. It wants more: - C9 - C14 (who has them?)"), without_wanted_places("needs a clean - C7")
    ('C7 and C8 changed. It wants more (who has them?)', 'needs a clean - C7')
    """
    return _wanted_places().sub(r"\1", text)


@cache
def _wanted_places():
    """The pattern of a clause of work that is wanted, up to the places that end it, and these."""
    said = "|".join(sorted(map(re.escape, vocabulary().wanted_before)))
    place = rf"{PLACE.pattern}(?: ?\(?\d+[unpµμ]\d*(?:/\d+)?v?\)?)?"
    behind_a_colon = rf":(?:(?:[\s,&+/–—•*-]|\b(?:and|und)\b)*{place})+"
    of_dashes = rf"(?:\s+[–—•*-]\s*{place}){{2,}}"
    clause = rf"(\b(?:{said}|to[ -]do)\b[^.!?;:]*?)"
    pattern = f"{clause}(?:{behind_a_colon}|{of_dashes})(?=\\s*(?:$|[.!?;(]))"
    return re.compile(pattern, re.IGNORECASE)


def _meaning_of_words(name, words, clauses):
    """What words mean of which only some are a known phrase."""
    spans = spans_in(words, name)
    if name == "action":  # of the work that tells most, the first
        done = outermost([span for span in spans if not _is_wanted(words, span, clauses)])
        done = [one for one in done if one[2] != RE_CAP or not _is_no_work(words, one[1])]
        done = [one for one in done if not _is_elsewhere(words, one, clauses)]
        recaps = [span for span in done if span[2] == RE_CAP]
        if len(recaps) == 1 and _counts_a_few(words, recaps[0], clauses):  # these alone
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
    if meaning == NOT_THE_DESK:
        told = {at for length, first, _ in longest for at in range(first, first + length)}
        rest = [word for at, word in enumerate(words) if at not in told]
        others = {*words_in(without_complaints(" ".join(rest)))}
    return "" if others & vocabulary().negations else meaning


def without_complaints(text: str) -> str:
    """A folded text without its complaints of several words: their ``no signal`` says nothing of the work, nor of how it ended."""
    return vocabulary().in_cells["symptom"].sub(lambda told: " " if " " in told[0] else told[0], text)


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


def _is_no_work(words, at):
    """Whether words tell of what was so after the re-cap ``at`` which they stand, and not that it was good then: ``dead after the re-cap``;
    or of what an earlier one left behind; or of talks, of which a recap is the summary."""
    if vocabulary().talks & {*words}:
        return True
    named = [*takewhile(BEFORE_EARLIER.__contains__, words[:at][::-1])]
    *_, verb, before = ("", "", *words[: at - len(named)])
    is_earlier = bool(EARLIER & {*named})
    if before in SINCE:
        return is_earlier or not says("cured", " ".join(words))
    left = before in FROM - {"of"} or (before == "by" and verb in LEFT)
    return (left or (is_earlier and before in LEFT_BY)) and not BACK & {*words}


def _is_elsewhere(words, span, clauses):
    """Whether work says when something was noticed, as in ``at line-up``, or where from a part came, as in ``out of the scrap box``, or since
    when something was so, as in ``from new``."""
    length, at, meaning = span
    before = [word for word in words[clauses.index(clauses[at]) : at] if word not in IDLE or word == "of"]
    told = WHEN | (
        FROM if meaning == "scrap" else FROM_NEW if words[at : at + length] == ("new",) else frozenset()
    )
    return bool({*before[-1:]} & told)


def _counts_a_few(words, span, clauses):
    """Whether a number too small for a re-cap stands before words of one, or before such as name capacitors a word for a few; or so few
    places of capacitors stand beside these."""
    length, at, _ = span
    before, lot, *_ = *(word for word in reversed(words[:at]) if word not in OF_SOME), "", ""
    if before.isdigit():
        return int(before) < A_BOARD and lot not in LOTS
    said = {*words[at : at + length]}
    if not said & CAPACITORS or said & EVERY:
        return False
    beside = {word for word, clause in zip(words, clauses) if clause == clauses[at] and PLACE.fullmatch(word)}
    places = [word for word in beside if AT_PLACE[word.rstrip("0123456789")] == "capacitor"]
    return before in A_FEW or 0 < len(places) < A_BOARD


def _is_of_gear(words, spans):
    """Whether words speak of gear by one word among many, or beside a part of the desk: ``mic relay``, ``transformer lead broke off``."""
    gear = all(length == 1 and words[at] in vocabulary().other_gear for length, at, _ in spans)
    parts = {kind for *_, kind in spans_in(words, "kind")} - {"other"}
    inside = (
        vocabulary().inside & {*words}
        or any(map(PLACE.fullmatch, words))
        or OF_THE_DESK & {*zip(words, words[1:])}
    )
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


def says_own_slip(text: str) -> bool:
    """Whether a text says that what was wrong was the slip of those who mended the desk before.

    Examples
    --------
    >>> [says_own_slip(text) for text in ("link not refitted - our slip", "my dry joint, redone", "dry joint of mine", "mea culpa")]
    [True, True, True, True]
    >>> [says_own_slip(text) for text in ("our slip?", "not my mistake", "dry joint", "our fault list", "slipped pot")]
    [False, False, False, False, False]
    """
    told = says("own_slip", text)
    before = words_in(CLAUSES.split(fold(text)[: told.start()])[-1])[-NEAR:] if told else ()
    return bool(told) and "?" not in text and not vocabulary().negations & {*before}


def says_theirs(text: str) -> bool:
    """Whether a clause of a text says no more than that it was something that somebody had with him.

    Examples
    --------
    >>> [says_theirs(text) for text in ("hum - was the band's DI", "guitarist’s lead broken", "replaced the singer's cable")]
    [True, True, True]
    >>> [says_theirs(text) for text in ("no sound - singer's mic", "singer's mic", "singer's lead?")]
    [False, True, False]
    >>> [says_theirs(text) for text in ("singer's mic crackles", "client's laptop input", "not their cable", "band DI", "desk's lead")]
    [False, False, False, False, False]
    """
    clauses = [clause.strip() for clause in CLAUSES.split(fold(text)) if clause.strip()]
    told = [clause for clause in clauses if "?" not in text and _theirs().fullmatch(clause)]
    return any(len(clauses) == 1 or IS_NO_SOURCE.search(clause) for clause in told)


@cache
def _theirs():
    whose, what = (vocabulary().in_cells[kind].pattern for kind in ("person", "brought"))
    whose = rf"(?:(?:{whose})(?:['’]s|s['’]|(?<=s))|their|his|her|ihr|sein)"
    before = r"(?:it )?(?:was |is |due to |turned out to be |just |only |replaced |changed |repaired |mended )*(?:the |a )?"
    behind = rf"(?: (?:(?:was |is )?(?:{BAD})|(?:was )?(?:replaced|changed|repaired|mended|swapped)))*"
    return re.compile(rf"{before}{whose} (?:own |(?:{BAD}) )*{what}{behind}")


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
        return "open" if meaning == "open" or YET & {*words} else "no fault found"
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
    length, at, meaning = span
    of_clause = range(clauses.index(clauses[at]), len(clauses) - clauses[::-1].index(clauses[at]))
    # not soldered: what was so, and not what was not done yet; nor a plug of those who use it
    if words[at] in vocabulary().negations:
        clause = {*words[of_clause.start : of_clause.stop]}
        is_theirs = meaning == "clean" and clause & PLUGGED and not clause & vocabulary().inside
        return bool(clause & YET or is_theirs)
    telling = vocabulary().wanted_before | vocabulary().negations
    before = [
        word
        for word in words[of_clause.start : at]
        if word in telling or word not in IDLE | QUESTIONS | {"yet"}
    ]
    wanted = {*before[-NEAR:]} & vocabulary().wanted_before or {*before[-1:]} & vocabulary().negations
    behind = words[at + length : min(at + length + NEAR, of_clause.stop)]
    still = (word for before, word in pairwise([words[at + length - 1], *behind]) if before not in AS)
    return bool(wanted or {*still} & vocabulary().wanted_behind) or _is_put_off(words, span, of_clause)


def _is_put_off(words, span, of_clause):
    """Whether the words right before work or right behind it say that it was put off, and none that it was done after all."""
    length, at, work = span
    if work not in MENDS or words[at + length - 1].endswith("ed"):
        return False
    behind = [*dropwhile(STILL_OR_IDLE.__contains__, words[at + length : of_clause.stop])]
    text, known = " ".join(without_last_idle(words[of_clause.start : at])), vocabulary().in_cells
    told = known["put_off"].match(" ".join(behind)) and behind[:2] != [*words_in("due to")]
    told = told or any(one.end() == len(text) for one in known["to_put_off"].finditer(text))
    return bool(told) and not any(
        _is_done_at(words, one, of_clause) for one in range(of_clause.start, len(words))
    )


def _is_done_at(words, at, of_clause):
    """Whether a word says that something was done, in a clause or, behind another, after all."""
    before = words[max(0, at - 3) : at]
    after_all = at in of_clause or {*before[-1:]} & AFTER_ALL
    return words[at] in DONE and after_all and not (NOT_DONE | vocabulary().negations) & {*before}


def without_last_idle(words) -> list[str]:
    """Words without the idle ones at their end."""
    return [*dropwhile(IDLE.__contains__, words[::-1])][::-1]


def outermost(spans) -> list[tuple[int, int, str]]:
    """Of phrases found among words, those that lie in no longer one."""
    return [
        (length, at, meaning)
        for length, at, meaning in spans
        if not any(more > length and start <= at < start + more for more, start, _ in spans)
    ]
