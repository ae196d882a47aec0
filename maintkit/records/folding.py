"""When two spellings are one name: what is left of a name once case, blanks and the like are folded away."""

import re
import unicodedata
from collections import Counter

# Cyrillic and Greek letters, in lower case, that look like a Latin one in capitals or in small letters.
_LOOK_ALIKE = str.maketrans(
    "авеёкмнорстухіјѕѵαβεζηικμνορτυχ",
    "abeekmhopctyxijsvabezhikmnoptyx",
)
_LOOK_ALIKE_CAPITALS = str.maketrans("АВЕЁКМНОРСТУХІЈЅѴΑΒΕΖΗΙΚΜΝΟΡΤΥΧ", "ABEEKMHOPCTYXIJSVABEZHIKMNOPTYX")
_DASHES = re.compile("[\u2010-\u2015\u2212\ufe58\ufe63\uff0d]")
_PIECES = re.compile(r"(\d+|[^\W\d_]+)")
_WORD_AND_NUMBER = re.compile(r"([^\W\d_]+)(\d.*)")
_NUMBER_OF = re.compile(r"^(?:s/?n|ser(?:ial)?(?:no|nr)?|no|nr|n°|#|№)[.:#]*")  # before a serial
CHANNEL = "channel"
SAME_WORD = {  # before a number
    word: words.split()[0]
    for words in (
        "channel channels ch chs chan chn chnl strip channelstrip fader k kan kanal zug kanalzug regler voie v canal",
        "input inputs in inp ip eingang entrée entrada",
        "group groups grp grps gr gp subgroup subgroups gruppe gruppen groupe grupo",
        "output outputs out op ausgang sortie salida",
    )
    for word in words.split()
}
BESIDE_CHANNELS = frozenset(("g", "group", "bus", "aux", "sub", "vca", "dca", "mtx", "matrix", "m", "mst", "master", "main", "mon", "monitor", "psu", "ps", "netzteil", "ret", "return"))  # fmt: skip
GROUPS = "|".join(sorted((word for word, one in SAME_WORD.items() if one == "group"), key=len, reverse=True))
_GROUP_AND_LETTER = re.compile(rf"(?:{GROUPS})([a-z])|([a-z])(?:{GROUPS})")  # Grp E, E group
_DROPPED = re.compile(r"[\s\-_.:#()]+")
_ITS_SLOT = re.compile(
    rf"(?<=\d\d\d)\s*\((?:{'|'.join(SAME_WORD)})\W*\d+\)$"
)  # in which a module of that serial sat


def fold_name(text: str) -> str:
    """A desk, a serial, a reference or a ticket number without case, blanks and Unicode form; a serial without its slot in brackets.

    Examples
    --------
    >>> fold_name("LM 001") == fold_name("lm001"), fold_name("STRASSE") == fold_name("Straße")
    (True, True)
    >>> fold_name("R4036 (ch 12)"), fold_name("Tamsin 24 (ch 12)")
    ('r4036', 'tamsin24(ch12)')
    """
    return "".join(_ITS_SLOT.sub("", _plain(text)).split())


def unite_serials(serials) -> dict[str, str]:
    """For folded serials, those that are another behind a word or mark for a number.

    Examples
    --------
    >>> unite_serials({"131", "#131", "sn131", "s/n131", "no.131", "snm431", "m431", "sn7", "#9", "sn9"})
    {'#131': '131', '#9': '9', 'no.131': '131', 's/n131': '131', 'sn131': '131', 'sn9': '9', 'snm431': 'm431'}
    """
    bare = {serial: _NUMBER_OF.sub("", serial) or serial for serial in sorted(serials)}
    times = Counter(bare.values())
    return {serial: rest for serial, rest in bare.items() if serial != rest and times[rest] > 1}


def fold_desk(text: str) -> str:
    """A desk without case, Unicode form and the marks and blanks between its words; between two numbers any mark is one, rm is room, and
    a number has no leading zeros.

    Examples
    --------
    >>> fold_desk("FOH-2") == fold_desk("foh 2") == fold_desk("FOH2"), fold_desk("40-1") == fold_desk("40 1") == fold_desk("401")
    (True, False)
    >>> fold_desk("D-02") == fold_desk("D2"), fold_desk("10") == fold_desk("1"), fold_desk("rm1") == fold_desk("Room 1")
    (True, False, True)
    """
    words = re.sub(r"\brm(?![^\W\d_])", "room", re.sub(r"[\s\-_./]+", " ", _plain(text))).strip()
    words = re.sub(r"(?<!\d)0+(?=\d)", "", words)
    return re.sub(r"(?<!\d) | (?!\d)", "", words) or _plain(text)


def fold_part(text: str) -> str:
    """A part type without blanks and Unicode form: case tells parts apart, and so does a blank between digits.

    Examples
    --------
    >>> fold_part("100u  25V") == fold_part("100u 25 V"), fold_part("10u 6.3V") == fold_part("10u 63V")
    (True, False)
    """
    return re.sub(r"(?<!\d)\s+|\s+(?!\d)", "", " ".join(_one_form(text).split()))


def fold_slot(text: str) -> str:
    """A slot without case, blanks, Unicode form, look-alike letters and leading zeros; a mark between digits stays.

    Examples
    --------
    >>> [fold_slot(slot) for slot in ("Ch 07", "ch7", "CH-07", "1-2", "12", "1 2", "rail -15", "rail 15")]
    ['ch7', 'ch7', 'ch7', '1-2', '12', '1 2', 'rail-15', 'rail15']
    """
    pieces = _PIECES.split(_ITS_SLOT.sub("", _plain(text)).translate(_LOOK_ALIKE))
    folded = []
    for at, piece in enumerate(pieces):
        if at % 2:
            folded.append(_without_zeros(piece) if piece[0].isdecimal() else piece)
        else:
            before, after = pieces[at - 1] if at else "", pieces[at + 1] if at + 1 < len(pieces) else ""
            folded.append(_mark(before, piece, after))
    return "".join(folded) or _plain(text)


def look_alike(found: str, known: str) -> str:
    r"""The sentence for two names that one cannot tell apart by eye, naming the first mark that differs; '' for others.

    Examples
    --------
    >>> look_alike("Неron", "Heron")
    "It looks like 'Heron', but its letter 1 is CYRILLIC CAPITAL LETTER EN. Type the name anew."
    >>> look_alike("Hern", "Heron"), look_alike("Heron\u200b", "Heron")
    ('', "It looks like 'Heron', but its letter 6 is ZERO WIDTH SPACE. Type the name anew.")
    """
    if found == known or _seen(found) != _seen(known):
        return ""
    at = next((at for at, (a, b) in enumerate(zip(found, known)) if a != b), min(len(found), len(known)))
    where = (
        f"its letter {at + 1} is {unicodedata.name(found[at], 'a mark without a name')}"
        if at < len(found)
        else "it ends sooner"
    )
    return f"It looks like {known!r}, but {where}. Type the name anew."


def _seen(text):
    return " ".join(_one_form(text).translate(_LOOK_ALIKE | _LOOK_ALIKE_CAPITALS).split())


def _mark(before: str, mark: str, after: str) -> str:
    """What is kept of the marks between two runs of letters or digits."""
    bare = " ".join(mark.split())
    if before[-1:].isdecimal() and after[:1].isdecimal():
        return bare or " "
    if not before or not after or re.search(r"\s[+-]$", mark):
        signs = bare if after[:1].isdecimal() or not after else ""
        return "".join(sign for sign in signs if sign in "+-")
    return _DROPPED.sub("", mark)


def _without_zeros(digits: str) -> str:
    return "".join(str(unicodedata.decimal(digit)) for digit in digits).lstrip("0") or "0"


def _plain(text: str) -> str:
    return _one_form(_one_form(text).casefold())


def _one_form(text: str) -> str:
    """One form of each letter and dash, without marks that cannot be seen."""
    text = _DASHES.sub("-", unicodedata.normalize("NFKC", text))
    return "".join(mark for mark in text if unicodedata.category(mark) != "Cf").strip()


def unite_slots(slots) -> dict[str, str]:
    """For a desk's folded slots, those that stand for another: a channel, an input or a group by any word for one, a bare number for the slot that ends in it.

    A bare number is the channel, or what is called the slot, of that number; else the one slot that ends in it after a word, where that word has as many
    numbers as stand bare and is none of those of which a desk has a few beside its channels, such as groups.

    Examples
    --------
    >>> unite_slots({"7", "ch7", "fader7", "8", "ch8", "grp8", "9", "grp9"})
    {'7': 'ch7', '8': 'ch8', 'fader7': 'ch7'}
    >>> unite_slots({"7", "mod7", "mod8"}), unite_slots({"strip3"}), unite_slots({"1", "2", "pos2"}), unite_slots({"in2", "input2"})
    ({'7': 'mod7'}, {}, {}, {'input2': 'in2'})
    >>> unite_slots({"7", "8", "9", "slot8"}), unite_slots({"grp5", "subgroup5"})
    ({'8': 'slot8'}, {'subgroup5': 'grp5'})
    >>> unite_slots({"grpe", "egroup", "groupe", "groupg", "maine"})
    {'groupe': 'egroup', 'grpe': 'egroup'}
    """
    ends, words, same = {}, Counter(), {}
    for slot in sorted(slots):
        if letter := _GROUP_AND_LETTER.fullmatch(slot):
            word, end = "group", letter[1] or letter[2]
        elif found := _WORD_AND_NUMBER.fullmatch(slot):
            word, end = SAME_WORD.get(found[1], found[1]), found[2]
        else:
            continue
        words[word] += 1
        first = ends.setdefault(end, {}).setdefault(word, slot)
        if slot != first:
            same[slot] = first
    bare = sorted(slot for slot in slots if slot[:1].isdigit())
    for slot in bare:
        found = {word: one for word, one in ends.get(slot, {}).items() if word not in BESIDE_CHANNELS}
        only = next(iter(found)) if len(found) == 1 else CHANNEL
        if only in found and (only in (CHANNEL, "slot") or words[only] >= len(bare)):
            same[slot] = found[only]
    return dict(sorted(same.items()))
