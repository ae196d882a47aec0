"""A cell that holds several entries, of slots such as ``1-8`` or a line each: which they are, and a row for each."""

import re
from functools import cache
from itertools import pairwise

from .folding import BESIDE_CHANNELS, CHANNEL, GROUPS, SAME_WORD
from .known_words.no_report import says_recap
from .known_words.part_kinds import BEGINS_WITH_A_COUNT, part_in_text, parts_counted, work_in_column
from .known_words.words import is_wholly

MARK = re.compile(r"\s*(?:[-–—*•+]|\(?\d{1,2}[.)])\s+")  # before an entry of a list
SENTENCE = re.compile(  # one ends, and the next begins with a capital
    r"(?:(?<=[.!?])|(?<=[.!?][\"”’')]))\s+(?=[\"“‘(]?[^\W\d_a-zäöüß])"
)
MOST = 100  # slots that a cell may name; beyond it the numbers are something else
BETWEEN = re.compile(r"\s*(?:(?P<comma>[,;])|[+&]|\b(?:and|und|et|en|y)\b)\s*", re.IGNORECASE)
SOME = re.compile(
    r"(?P<word>(?:(?:.*?\W)??[^\W\d_]+[ .]*)??)(?P<low>\d{1,3})(?P<side>[^\W\d_]?)"
    r"(?:\s*(?:[-–—]|\bto\b|\bbis\b|\b[aà]\b)\s*(?P<again>(?:[^\W\d_]+[ .]*)?)(?P<high>\d{1,3}))?"
)
ALL_BUT = re.compile(  # 1-8, not 5; not done: 13 (out for repair); nicht 5 und 6
    r"[,;:(]?\s*\b(?:not(?:\s+done)?|except(?:\s+for)?|but|excl(?:uding)?|without|nicht|ohne|außer|bis auf)\b[.:]?\s*(?:(?:ch|chan|channels?|strips?|slots?|kanal|kanäle)\b[ .]*)?"
    r"(\d{1,3}(?:(?:\s*[,&+/-]\s*|\s+(?:and|und|or|oder|to|bis)\s+)\d{1,3})*)(?=\s*(?:[(),;.]|$))",
    re.IGNORECASE,
)
LAST_NUMBER = re.compile(r"(\d+)[^\W\d_]?$")
TIMES = re.compile(r"(?i)(?<!\w)[x×*]\s*$")  # before how many, as in 220u, x2
PLURAL = re.compile(r"(?i)\b(?:ch(?:anne)?l?s|chans|strips|slots|modules?|kanäle|module|positions)[ .]*")
PARTED = re.compile(r"\s*(?:[;+&\n]|,(?!\d)|,(?=\d+\s*[x×])|\b(?:and|und|plus)\b)\s*", re.IGNORECASE)
COUNTED = (  # of a list of parts: 6x 47/16, 47/16 (6), 47/16 only 6
    re.compile(r"(?P<many>\d{1,3})\s*[x×]\s*(?P<part>[^\W_].*)", re.IGNORECASE),
    re.compile(r"(?:all |alle )?(?P<part>\S.*?)\s*(?:\((?P<many>\d{1,3})\s*[x×]?\))", re.IGNORECASE),
    re.compile(r"(?:all |alle )?(?P<part>\S.*?)\s+(?:(?:only|nur|[x×])\s*)(?P<many>\d{1,3})", re.IGNORECASE),
    re.compile(r"(?P<part>\S.*?)\s+(?P<many>\d{1,3})\s*[x×]", re.IGNORECASE),
)
A_CAPACITOR = re.compile(  # 47u 25V, 47/25
    r"\d+(?:[.,]\d+)?(?:[uµμ]\d?F?\s*(?:/\s*)?(?:\d+(?:[.,]\d)?\s*V?)?|/\d+(?:[.,]\d)?\s*V?)", re.IGNORECASE
)
NAMED_SHORTLY = re.compile(r"(?=\S*\d)\S+")
# the next may be a channel
OF_A_FEW = re.compile(r"(?i)\b(?:gr(?:ou)?p|gruppe|bus|aux|sub|vca|matrix|mtx)[ .]*$")


COUNTED_OR_MEASURED = (  # behind a number that is no slot
    r"(?:x|of|off|new|more|faders|strips?|channels?|knobs|lamps|leds|switches|buttons|pots|caps"
    r"|(?<=(?<!\d)1\W)(?:fader|knob|lamp|led|switch|button|pot|cap)"  # that of 22 in 22 fader
    r"|times?|db|v|volts?|rails?|k?hz|mins?|minutes?|h|hrs?|hours?|days?|track|mal|stück|st|min)\b"
)
MEASURED = (  # behind a number that tells how much of something
    r"\s*(?:%|°|db\w?\b|volts?\b|v\b(?!\.)|k?hz\b|k\b|ohms?\b|mins?\b|minutes?\b|degrees?\b|o['’]?clock\b|uhr\b)"
)
BEGINS_WITH_A_SLOT = re.compile(  # and no count of something, no level, no time
    rf"^\W*(?:(?<=#)|(?!\d+[lr]?[^\w:]+(?:to\b|{COUNTED_OR_MEASURED})))(\d{{1,3}}[lr]?)(?=[:,]?[^\w.,:/%+)]+[^\W_]|\W*$)"
)
_ONE = rf"(?!0\d\d)\d{{1,3}}[lr]?(?![^\W_]|[.:/]\d|[^\w:]+{COUNTED_OR_MEASURED})"
_NO_MONTH = r"(?!\W*(?:jan|feb|mar|mär|apr|ma[iy]|jun|jul|aug|sep|o[ck]t|nov|de[cz])[^\W\d_]*\b)"
_TO = r"\s*(?:[-–—]|\b(?:to|bis)\b)\s*"
_AND = r"\s*(?:[,+&]|\b(?:and|und)\b)\s*"
_CHANNELS = "|".join(
    sorted((word for word, one in SAME_WORD.items() if one in (CHANNEL, "input")), key=len, reverse=True)
)
A_SLOT = "slot"  # in place of a name before its number
_WORD = rf"(?:{_CHANNELS}|{A_SLOT}|block|bank|nos?)s?[ .#:]*"
_MORE = rf"(?:(?:{_TO}|{_AND})(?:(?:{_CHANNELS})s?[ .#]*|#)?{_ONE})"
_TOLD = re.compile(
    rf"(?:^\W*|(?<![^\W\d_]){_WORD})(?P<some>{_ONE}{_MORE}+)"
    rf"|(?<![^\W\d_])(?:{GROUPS})[ .#:]*(?P<groups>{_ONE}(?:(?:{_TO}|\s*[+&]\s*|\s+(?:and|und)\s+){_ONE})+)",  # behind a comma may be a channel
    re.IGNORECASE,
)
_BESIDE = "|".join(
    sorted(BESIDE_CHANNELS | {"lot", "batch", "stage", "phase", "los", "charge"}, key=len, reverse=True)
)
_RECAPPED = (  # several, or one that stands alone behind the word
    re.compile(rf"(?<![\w.:/,-])(?<!\d )({_ONE}{_MORE}+){_NO_MONTH}", re.IGNORECASE),
    re.compile(
        rf"\bre-?cap\w*[\s:]+(?:(?:of|on|the)\s+)*(?:{_WORD})?({_ONE})(?=\s*(?:$|[,.;(])){_NO_MONTH}",
        re.IGNORECASE,
    ),
)
_BESIDE_CHANNELS = re.compile(rf"(?<![^\W\d_])(?:{_BESIDE})\W*$", re.IGNORECASE)
# a slot by its number alone, where no word for one stands before it
NUMBER_ALONE = rf"#?(?=[1-9]\d?[lr]?(?![\w,]*\d))({_ONE})(?!{MEASURED}|{_TO}\d|\s*/|\s+past\b){_NO_MONTH}"
_CLAUSE = re.compile(  # that begins with slots, and has a word behind them or nothing more
    rf"(?:^|[,;.:]\s|\n)\W*(?P<head>(?:(?:both|beide)\s)?(?:{_WORD})?)(?P<some>{_ONE}{_MORE}*)(?=[:,]?[^\w.,:/%+)]+[^\W_]|\W*$|[?!]*[,;.]\s)"
    r"(?P<rest>[:,]?[^\w.,;:]*(?P<word>[^\W\d_]*)[^,;.\n]*)",
    re.IGNORECASE,
)
_ENDS = " \t\n,;."


@cache
def slots_told(text: str, names: frozenset[str] = frozenset()) -> dict[str, str]:
    """The slots that a complaint tells of where they are several, each with its own words: numbers of channels with which clauses of it begin, or
    of a list at its beginning or behind a word for them; {} where not. Before a number one of some ``names``, such as of desks, is no word.

    Examples
    --------
    >>> slots_told("Heron 27, 28 thin"), slots_told("Heron 27, 28 thin", frozenset({"heron"}))
    ({}, {'27': 'Heron 27, 28 thin', '28': 'Heron 27, 28 thin'})
    >>> [*slots_told("re-cap week Heron 9-11 this week", frozenset({"heron"}))]
    ['9', '10', '11']
    >>> slots_told("Heron 7 hums, Heron 9 dead", frozenset({"heron"})), slots_told("Heron 7 hums, Tern 9", frozenset({"heron", "tern"}))
    ({'7': 'Heron 7 hums', '9': 'Heron 9 dead'}, {})
    >>> [*slots_told("3, 5 and 9 sound dull. 2 mics tried")], [*slots_told("Block 9-11 buzzes")], [*slots_told("29 to 31 lost level")]
    (['3', '5', '9'], ['9', '10', '11'], ['29', '30', '31'])
    >>> [*slots_told("hum on ch 4 and ch 6")], slots_told("ch 7, 48v out"), slots_told("ch 7, 2 mics tried"), slots_told("2-3 dB low")
    (['4', '6'], {}, {}, {})
    >>> [*slots_told("groups 1+2 low")], [*slots_told("hum on channels 4 + 5")], slots_told("group 3, 12 dead")
    (['group 1', 'group 2'], ['4', '5'], {})
    >>> slots_told("Monday. 4 hums, no low end; 6 led out, 4 pops")
    {'4': 'Monday. 4 hums, no low end, 4 pops', '6': '6 led out'}
    """
    if names and (named := {one[0].casefold(): one[0] for one in _before_numbers(names).finditer(text)}):
        (name, *others), bare = named.values(), _before_numbers(names).sub(f"{A_SLOT} ", text)
        told = {} if others else slots_told(bare)
        return {slot: text if own == bare else own.replace(f"{A_SLOT} ", name) for slot, own in told.items()}
    own = _clauses(text)
    if len(own) > 1:
        return own if len({*own.values()}) > 1 else dict.fromkeys(own, text)
    found = _TOLD.search(text)
    numbers = _numbers(found["some"] or found["groups"]) if found else ()
    slots = [f"group {one}" for one in numbers] if found and found["groups"] else numbers
    return dict.fromkeys(slots, text) if len(slots) > 1 else {}


@cache
def _before_numbers(names):
    """One of some names where a number stands behind it."""
    some = "|".join(map(re.escape, sorted(names, key=len, reverse=True)))
    return re.compile(rf"(?<![^\W_])(?:{some})[\s:,.-]{{1,2}}(?=\d)", re.IGNORECASE)


@cache
def slots_recapped(text: str, names: frozenset[str] = frozenset()) -> dict[str, str]:
    """The slots that a text tells as re-capped, or to be so, each with the text; {} where it tells of no re-cap alone, or of none.

    Examples
    --------
    >>> [*slots_recapped("RECAP 1 to 3")], [*slots_recapped("Recap channels 1, 2")], [*slots_recapped("pulling 5-7 for re-cap")]
    (['1', '2', '3'], ['1', '2'], ['5', '6', '7'])
    >>> [*slots_recapped("re-capped 13-15 + 17, 96 caps")], [*slots_recapped("recap of 9 (all lytics)")], [*slots_recapped("recap 12")]
    (['13', '14', '15', '17'], ['9'], ['12'])
    >>> [slots_recapped(one) for one in ("re-cap 3 modules", "recap, 7-8 May", "re-capped aux 1-4", "hum on 3-5 since re-cap", "3-5 dead")]
    [{}, {}, {}, {}, {}]
    """
    if not says_recap(text):
        return {}
    if (told := _TOLD.search(text)) and told["groups"]:
        return slots_told(text, names)
    found = (one for pattern in _RECAPPED for one in pattern.finditer(text))
    found = (one[1] for one in found if not _BESIDE_CHANNELS.search(text[: one.start(1)]))
    return dict.fromkeys(next(filter(None, map(_numbers, found)), ()), text)


@cache
def work_told(text: str, among: frozenset[str] | None = None) -> dict[str, str]:
    """By slot what a text of work says of it, of the slots ``among`` where they are given, in clauses that begin with their numbers, which are left
    out.

    Examples
    --------
    >>> work_told("4 fuse, 6: new fader, tested"), work_told("4 fuse, 2 diodes, 6 cleaned", frozenset("46"))
    ({'4': 'fuse', '6': 'new fader, tested'}, {'4': 'fuse, 2 diodes', '6': 'cleaned'})
    >>> work_told("both 4 and 6: caps"), work_told("caps")
    ({'4': 'caps', '6': 'caps'}, {})
    """
    return _clauses(text, among, bare=True)


def _clauses(text, among=None, *, bare=False):
    """By slot the clauses of a text that begin with its number, ``bare`` without it; another goes on from the one before it, and what stands before
    them all is of the first."""
    clauses = [one for one in _CLAUSE.finditer(text) if not _counts(one) and (among or not _is_well(one))]
    told = [(one, _numbers(one["some"])) for one in clauses]
    told = [(one, slots) for one, slots in told if slots and (among is None or among.issuperset(slots))]
    bounds, found = [*(one.start("head") for one, _ in told), len(text)], {}
    for at, (one, slots) in enumerate(told):
        words = text[one.end("some") if bare else bounds[at] : bounds[at + 1]].strip(_ENDS + ":" * bare)
        for slot in slots:
            found.setdefault(slot, []).append(words if at else text[: bounds[0]] + words)
    return {slot: ", ".join(words) for slot, words in found.items()}


def _counts(clause):
    """Whether the number with which a clause begins counts other gear or people."""
    word = clause["word"]
    return word.endswith("s") and any(is_wholly(kind, word) for kind in ("other_gear", "person"))


def _is_well(clause):
    """Whether a clause says of its slot that nothing is wrong."""
    return any(is_wholly(kind, clause["rest"].strip(" :,-!")) for kind in ("all_well", "cured"))


def _numbers(listed):
    """The numbers that a list of slots such as ``4, 6-8`` names; none where they are not in their order."""
    numbers = []
    for stretch in re.split(_AND, listed, flags=re.IGNORECASE):
        ends = re.findall(r"\d+[lr]?", stretch, re.IGNORECASE)
        spans = len(ends) > 1 and all(map(str.isdigit, ends))
        numbers += map(str, range(int(ends[0]), int(ends[-1]) + 1)) if spans else ends
    in_order = all(int(one.rstrip("lrLR")) <= int(other.rstrip("lrLR")) for one, other in pairwise(numbers))
    return tuple(dict.fromkeys(numbers)) if in_order and len(numbers) <= MOST else ()


def a_row_each_told(
    rows, places, own: int | None, beside, shown: str, *, names=frozenset(), of_work: bool
) -> tuple[list, list[int], list[int], list]:
    """The rows as ``a_row_each`` has them, one for each slot of the first text that tells some by what tells them of the texts at each of ``places``,
    where the cell at ``own`` names
    none, with its own words of that text and of those at ``beside``; before a number one of some ``names`` is of a desk; and the slot of each, ``shown`` with its number for #, None where none does.

    Of rows ``of_work`` those of which no text beside tells anything do not count among how many a row has.

    Examples
    --------
    >>> books = [["4 hums, 6 pops", "4 cap"], ["4, 6 hum", "caps"], ["7 hums", "4 cap"]]
    >>> rows, _, times, slots = a_row_each_told(books, {0: slots_told}, None, [1], "#", of_work=True)
    >>> rows
    [['4 hums', 'cap'], ['6 pops', ''], ['4, 6 hum', 'caps'], ['4, 6 hum', 'caps'], ['7 hums', '4 cap']]
    >>> times, slots
    ([1, 1, 2, 2, 1], ['4', '6', '4', '6', None])
    """
    spread, which, times, slots = [], [], [], []
    for row, fields in enumerate(rows):
        named = own is not None and own not in places and fields[own].strip()
        texts = (
            (at, some) for at, tells in places.items() if not named and (some := tells(fields[at], names))
        )
        place, told = next(texts, (None, {}))
        words = {place: told} | {at: work_told(fields[at], frozenset(told)) for at in beside}
        parts = [
            [words[at].get(slot, "") if words.get(at) else cell for at, cell in enumerate(fields)]
            for slot in told
        ] or [fields]
        done = [one for one in parts if not of_work or any(one[at].strip() for at in beside)]
        spread += parts
        which += [row] * len(parts)
        times += [len(done or parts)] * len(parts)
        slots += [shown.replace("#", slot) if slot[0].isdigit() else slot for slot in told] or [None]
    return spread, which, times, slots


@cache
def slots_in(text: str) -> tuple[str, ...]:
    """The slots that a cell names, in their order; the whole cell where it names one, or is read as no list.

    Examples
    --------
    >>> slots_in("1-4"), slots_in("ch 3, 5 and 9"), slots_in("A1-3, A30"), slots_in("channels 7+8")
    (('1', '2', '3', '4'), ('ch 3', 'ch 5', 'ch 9'), ('A1', 'A2', 'A3', 'A30'), ('7', '8'))
    >>> slots_in("Desk 2 / ch 3,5 and 9"), slots_in("Heron 4, 22")
    (('Desk 2 / ch 3', 'Desk 2 / ch 5', 'Desk 2 / ch 9'), ('Heron 4', 'Heron 22'))
    >>> slots_in("12"), slots_in("7/8"), slots_in("8-1"), slots_in("group 4, 22"), slots_in("3, noisy"), slots_in("3L & 3R")
    (('12',), ('7/8',), ('8-1',), ('group 4, 22',), ('3, noisy',), ('3L', '3R'))
    >>> slots_in("14 LF thin, 220u, x2")
    ('14 LF thin, 220u, x2',)
    >>> slots_in("ch 1-4, not 3"), slots_in("7-9 (except 8)")
    (('ch 1', 'ch 2', 'ch 4'), ('7', '9'))
    """
    if (but := ALL_BUT.search(text)) and but.start() and not text[but.end() :].strip(" ).;"):
        whole = slots_in(text[: but.start()].strip())
        return _without(whole, [but[1]]) if len(whole) > 1 else (text,)
    marks = list(BETWEEN.finditer(text))
    ends = [0, *(one.end() for one in marks)]
    starts = [*(one.start() for one in marks), len(text)]
    found, word = [], ""
    for at, (begin, end) in enumerate(zip(ends, starts, strict=True)):
        one = SOME.fullmatch(text[begin:end].strip())
        if not one or (one["again"] and one["again"].strip() != one["word"].strip()):
            return (text,)
        if TIMES.search(one["word"]):
            return (text,)
        if one["word"] or not at:
            word = PLURAL.sub("", one["word"])
        elif marks[at - 1]["comma"] and OF_A_FEW.search(word):
            return (text,)
        low, high = int(one["low"]), int(one["high"] or one["low"])
        if high < low or (one["high"] and (high == low or one["side"])):
            return (text,)
        width = len(one["low"]) if one["low"].startswith("0") else 1
        numbers = [f"{at:0{width}}" for at in range(low, high + 1)] if one["high"] else [one["low"]]
        found += [f"{word}{number}{one['side']}" for number in numbers]
    return tuple(dict.fromkeys(found)) if len({*found}) > 1 and len(found) <= MOST else (text,)


def _without(slots, texts):
    """Some slots without those whose numbers stand in some texts; all of them where none or all are told so."""
    numbers = {LAST_NUMBER.search(one)[1] for text in texts for one in slots_in(text)}
    left = tuple(slot for slot in slots if LAST_NUMBER.search(slot)[1] not in numbers)
    return left or slots


def _slots_of(fields, place):
    """The slots that the cell at ``place`` names, without those of which another cell of the row says that they were not done."""
    slots = slots_in(fields[place].strip())
    if len(slots) == 1:
        return slots
    beside = (cell for at, cell in enumerate(fields) if at != place)
    return _without(slots, [one[1] for cell in beside for one in ALL_BUT.finditer(cell)])


def a_row_each(
    rows, place: int, is_one=None, serial: int | None = None, *, alone=False
) -> tuple[list, list[int], list[int]]:
    """The rows, one for each slot that the cell at ``place`` names; of each the index of the row it is of, and how many that has.

    A row of which ``is_one(fields, slots)`` is true, of how many slots it names, is left as one. Slots of which another cell of the row says
    that they were not done are left out. Where the cell at ``serial`` lists as many, each has its own; a row of one
    that is ``alone`` in its table, as a module is in a list of these, is left as one.

    Examples
    --------
    >>> a_row_each([["1-3", "K01 to K03"], ["5, 6", "K05"]], 0, serial=1)[0]
    [['1', 'K01'], ['2', 'K02'], ['3', 'K03'], ['5', 'K05'], ['6', 'K05']]
    >>> a_row_each([["1-3", "K01 to K03"], ["5, 6", "K05"]], 0, serial=1, alone=True)[0]
    [['1', 'K01'], ['2', 'K02'], ['3', 'K03'], ['5, 6', 'K05']]
    >>> a_row_each([["5-7", "re-cap, not 6 (away)"], ["5-7", "did not fit 6 lamps"]], 0)[0][:2]
    [['5', 're-cap, not 6 (away)'], ['7', 're-cap, not 6 (away)']]
    >>> a_row_each([["3 May", "7"], ["4 May", "1-2"]], 1)
    ([['3 May', '7'], ['4 May', '1'], ['4 May', '2']], [0, 1, 1], [1, 2, 2])
    """

    def each(fields):
        slots = _slots_of(fields, place)
        if len(slots) == 1 or (is_one and is_one(fields, len(slots))):
            return [fields]
        told = {place: slots}
        if serial is not None and len(own := slots_in(fields[serial].strip())) == len(slots):
            told[serial] = own
        elif alone:
            return [fields]
        return [
            [told[at][one] if at in told else cell for at, cell in enumerate(fields)]
            for one in range(len(slots))
        ]

    return _spread(rows, each)


@cache
def parts_in(text: str) -> tuple[str, ...]:
    """The parts that a cell lists with how many of each, in one form; the whole cell where it lists no two.

    A piece that counts nothing is one part where it is a word with a number in it, as a place on a board is, or names a part and no other
    work; so is each of several values of capacitors.

    Examples
    --------
    >>> parts_in("14x 100/25, 6 x 47/16"), parts_in("14x100/25; 6x47/16"), parts_in("2x 470/35 rail only")
    (('14x 100/25', '6x 47/16'), ('14x 100/25', '6x 47/16'), ('2x 470/35 rail only',))
    >>> parts_in("all 100/25 (14), 47/16 only 4"), parts_in("4x 1000/25 + C101"), parts_in("47u (2), 1,5k 3x")
    (('14x 100/25', '4x 47/16'), ('4x 1000/25', 'C101'), ('2x 47u', '3x 1,5k'))
    >>> parts_in("47u 25V, 100u 35V"), parts_in("47/25 + 100/35"), parts_in("47u 25V")
    (('47u 25V', '100u 35V'), ('47/25', '100/35'), ('47u 25V',))
    >>> parts_in("2x lamp, cleaned"), parts_in("lamp 24 V, 2 off"), parts_in("NE5532, TL072")
    (('2x lamp, cleaned',), ('lamp 24 V, 2 off',), ('NE5532, TL072',))
    >>> parts_in("2x 10u, 1 fader"), parts_in("3 lamps and relay"), parts_in("1 relay, 3 days"), parts_in("9 10u 16V, 11 fuse")
    (('2x 10u', '1x fader'), ('3x lamps', 'relay'), ('1 relay, 3 days',), ('9 10u 16V, 11 fuse',))
    """
    pieces = [one.strip() for one in PARTED.split(text)]
    if len(pieces) < 2:
        return (text,)
    found = [*map(_counted, pieces)]
    bare = all(one or _is_one_part(piece) for one, piece in zip(found, pieces, strict=True))
    if not all(map(A_CAPACITOR.fullmatch, pieces)) and not (any(found) and bare):
        return (text,)
    return tuple(f"{one[0]}x {one[1]}" if one else piece for one, piece in zip(found, pieces, strict=True))


def _counted(piece):
    """How many a piece of a list says there are of a part, and of which; None where it says no number."""
    if one := next(filter(None, (one.fullmatch(piece) for one in COUNTED)), None):
        return one["many"], one["part"]
    one = BEGINS_WITH_A_COUNT.match(piece.casefold())
    return (one[1], piece[one.end(1) :].strip()) if one and parts_counted(piece) == one[1] else None


def _is_one_part(piece):
    return bool(
        NAMED_SHORTLY.fullmatch(piece) or (part_in_text(piece) and work_in_column(piece) == "replace")
    )


def a_row_a_part(rows, place: int) -> tuple[list, list[int], list[int]]:
    """The rows, one for each part that the cell at ``place`` lists with its count, as ``a_row_each`` has them."""

    def each(fields):
        return [[*fields[:place], part, *fields[place + 1 :]] for part in parts_in(fields[place].strip())]

    return _spread(rows, each)


def _spread(rows, parts_of):
    """The rows that each row has in it; of each the index of that row, and how many it has."""
    spread, which, shares = [], [], []
    for at, fields in enumerate(rows):
        parts = parts_of(fields)
        spread += parts
        which += [at] * len(parts)
        shares += [len(parts)] * len(parts)
    return spread, which, shares


def sentences_in(text: str) -> list[str]:
    """The sentences of a text, its lines among them.

    Examples
    --------
    >>> sentences_in('No. 3 "dead." New relay, 24 V. Desk 2 hums!')
    ['No. 3 "dead."', 'New relay, 24 V.', 'Desk 2 hums!']
    """
    return [line for part in SENTENCE.split(text) for line in part.splitlines()]


def in_lines(text: str, begins) -> str:
    """A text of several entries with each of its sentences in a line of its own; any other as it is."""
    lines = "\n".join(sentences_in(text))
    return lines if len(entries_in(lines, begins)) > 1 else text


def entries_in(text: str, begins) -> tuple[str, ...]:
    """The entries of a cell of several lines: one at each line that has a mark of a list, or of which ``begins(line)`` is true.

    Examples
    --------
    >>> names_one = lambda line: "ch" in line
    >>> entries_in("ch 3 dead\\nwhen cold\\nch 7 hum", names_one), entries_in("1) ch 3 dead\\n2) meter stuck", names_one)
    (('ch 3 dead when cold', 'ch 7 hum'), ('ch 3 dead', 'meter stuck'))
    >>> entries_in("ch 3 dead - relay\\nch 7 hum", names_one)
    ('ch 3 dead - relay', 'ch 7 hum')
    """
    entries = []
    for line in filter(str.strip, text.splitlines()):
        mark = MARK.match(line)
        bare = line[mark.end() if mark else 0 :].strip()
        if entries and not (mark or begins(bare)):
            entries[-1] += f" {bare}"
        else:
            entries.append(bare)
    return tuple(entries) if len(entries) > 1 else (text,)


def a_row_a_line(rows, places, begins) -> tuple[list, list[int], list[int]]:
    """The rows, one for each entry of the cell at the first of ``places``, as ``a_row_each`` has them.

    Of the cells at the other places each row has the line of its entry where they have as many, else the whole.
    """
    lead, *others = places

    def each(fields):
        entries = entries_in(fields[lead], begins) if "\n" in fields[lead] else ()
        if len(entries) < 2:
            return [fields]
        columns = [(cell,) * len(entries) for cell in fields]
        columns[lead] = entries
        for place in others:
            lines = entries_in(fields[place], bool)
            columns[place] = lines if len(lines) == len(entries) else columns[place]
        return list(map(list, zip(*columns, strict=True)))

    return _spread(rows, each)
