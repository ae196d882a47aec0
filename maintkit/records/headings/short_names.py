"""One desk by several names: its number in words or in Roman figures, its initials, words broken off at a full stop, its room."""

import re
from collections import Counter, defaultdict

from maintkit.records.folding import fold_desk
from maintkit.records.known_words.slips import LONG_WORD, slips_of
from maintkit.records.known_words.words import NUMBERS, fold, is_wholly, says, vocabulary, words_in

SPAN_BEHIND = re.compile(r"([^\W\d].*?)[ #.]*(\d{1,3}) ?[-–] ?(\d{1,3})")  # Heron 9-16
A_WORD = 3  # letters of a name's longest word, from which it may be meant by its initials
SHORTEST = 2  # letters or figures of a name that may stand for any that begins so, or has that number
MOST_CAPITALS = 4  # of a name of letters of one long word
IDLE = {"the", "das", "no", "nr"}  # words of a name that tell no desk from another
EVERY_DESK = {
    "both",
    "both desks",
    "all",
    "all desks",
    "every desk",
    "beide",
    "beide pulte",
    "alle",
    "alle pulte",
}
IN_ONE = re.compile(r"\s*[/(),;|]\s*")  # between two names in one cell
BOTH = re.compile(r"\s*[/+&,;]\s*|\s+(?:and|und|en|et|y)\s+", re.IGNORECASE)  # between two desks in one cell
SELDOM, OFTEN = 2, 8  # times that a slip of the pen comes; that the right name comes for each
ROOMS = {"r", "cr", "control"}  # a room and a control room in short, as words of names of desks


def in_short(names):
    """The names that say another of them otherwise or in short, each with that other: the commonest, or that with its number in figures.

    A short name that fits two desks is neither.

    Examples
    --------
    >>> in_short(["Studio 1", "S1", "Reg.2", "R2", "Regie 2", "Studio 12", "Studio One", "Stage 3", "Suite 3", "S3"])
    {'Studio One': 'Studio 1', 'S1': 'Studio 1', 'Reg.2': 'Regie 2', 'R2': 'Regie 2'}
    """
    times = Counter(names)
    names = sorted(times, key=lambda name: (-times[name], not re.search(r"\d", name)))
    desks, same = {}, {}  # by what is said; the names that say what another says
    for name in names:
        first = desks.setdefault(_said(name), name)
        if first != name:
            same[name] = first
    of_initials = defaultdict(list)
    for said, name in desks.items():
        if max(map(len, said), default=0) >= A_WORD:
            for short in {_initials(said), *_initials_of_compounds(name)}:
                of_initials[short].append(name)
    short = {}
    for name in desks.values():
        keys = {_letters(name)} | ({_initials(_said(name))} if "." in name else set())
        fits = {
            other
            for key in keys
            for other in of_initials[key]
            if other != name and _is_short_for(name, other)
        }
        if fits := {other for other in fits if not any(_is_short_for(other, one) for one in fits)}:
            short[name] = fits
    alone = {name: fits.pop() for name, fits in short.items() if len(fits) == 1}
    told = {name: alone.get(desk, desk) for name, desk in (same | alone).items()}
    # capitals and marks make no other desk of a name where it is loaded
    return {name: desk for name, desk in told.items() if _letters(name) != _letters(desk)}


def perhaps_in_short(names) -> dict[str, tuple[str, ...]]:
    """The names of a figure or a letter or two that may stand for others of some names, each with these, the commonest first; and
    longer ones with which one other begins, or whose few letters it has in their order.

    Examples
    --------
    >>> perhaps_in_short(["Hall 1", "Hall 1", "Annex", "Booth 1", "I", "A", "Q"])
    {'I': ('Hall 1', 'Booth 1'), 'A': ('Annex',)}
    >>> perhaps_in_short(["Van 3", "Van", "Hall", "Hall 1", "Hall 2", "SDK", "Sendekomplex", "Annex cubicle", "the Annex"])
    {'Van': ('Van 3',), 'SDK': ('Sendekomplex',), 'the Annex': ('Annex cubicle',)}
    >>> perhaps_in_short(["Music Tech", "mustech", "Mus. Tech studio", "Main Hall", "Hall", "Projector hall"])
    {'mustech': ('Music Tech',), 'Mus. Tech studio': ('Music Tech',), 'Hall': ('Main Hall',)}
    >>> perhaps_in_short(["Stage 1", "Stage 2", "St 2", "Cin", "Cinema", "Room 2", "St 12"])
    {'St 2': ('Stage 2',), 'Cin': ('Cinema',)}
    """
    names = [name for name, _ in Counter(names).most_common()]
    long = [name for name in names if len(_letters(name)) > SHORTEST]
    found = {}
    for name in (name for name in names if name not in long):
        said = NUMBERS.get(fold(name), fold(name))
        fits = (one for one in long if said in _said(one) or (said.isalpha() and fold(one).startswith(said)))
        found[name] = tuple(fits)
    for name in long:
        fits = tuple(
            one for one in long if one != name and not says("other_gear", one) and _begins(name, one)
        )
        found |= {name: fits} if len(fits) == 1 else {}
    return {name: fits for name, fits in found.items() if fits}


def supplies_of(names) -> dict[str, str]:
    """The names that are a desk's supply, such as ``PSU rack, Studio A``, each with that desk.

    Examples
    --------
    >>> supplies_of(["PSU rack, Studio A", "Studio A desk", "Studio B", "PSU (Studio B)", "PSU, Studio C", "PSU", "Studio B, capsule"])
    {'PSU rack, Studio A': 'Studio A desk', 'PSU (Studio B)': 'Studio B'}
    """
    told = {name: [one for one in IN_ONE.split(name) if one] for name in names}
    desks = {
        _without_desk(name): name for name, parts in told.items() if len(parts) == 1 and not _of_supply(name)
    }
    of_one = {name: [one for one in parts if not _of_supply(one)] for name, parts in told.items()}
    return {
        name: desks[said]
        for name, rest in of_one.items()
        if len(rest) == 1 < len(told[name]) and (said := _without_desk(rest[0])) in desks
    }


def _of_supply(text):
    return bool(says("the_supply", text))


def _without_desk(text):
    return tuple(word for word in words_in(text) if word not in vocabulary().desks)


def told_together(names) -> dict[str, str]:
    """The names that cells such as ``Hall 2 / Tern`` say are one, each with the desk's own: that of no room, else the commonest; and
    where no room stands so beside two desks, those that are no more than words for a room and a number that is told so.

    Examples
    --------
    >>> told_together(["Room 1", "Otter", "Otter (room 1)", "CR1", "Lynx", "Rm 3", "Lynx, rm3", "3", "Room 2"])
    {'3': 'Lynx', 'CR1': 'Otter', 'Lynx, rm3': 'Lynx', 'Otter (room 1)': 'Otter', 'Room 1': 'Otter', 'Rm 3': 'Lynx'}
    >>> told_together(["Hall", "Tern", "Wren", "Tern / Hall", "Hall / Wren", "Tern / Attic"]), told_together(["A", "A/B", "B"])
    ({'Hall / Wren': 'Wren', 'Tern / Hall': 'Tern'}, {})
    """
    times = Counter(map(fold_desk, names))
    spelled = Counter(names)
    known = {fold_desk(name): name for name in sorted(spelled, key=lambda one: (spelled[one], one))}
    of_both = several_in_one(spelled)
    names = sorted((one for one in spelled if one not in of_both), key=lambda one: (fold_desk(one), one))
    desk_of, rooms = {}, defaultdict(set)
    for name in names:
        both = [one for one in map(fold_desk, filter(None, IN_ONE.split(name))) if one in known]
        if len(both) == 2 == len([*filter(None, IN_ONE.split(name))]):
            # a room is what a desk stands in, and is seldom its own name
            room, desk = sorted(both, key=lambda one: (not _is_room(known[one]), times[one]))
            desk_of[fold_desk(name)] = desk
            rooms[room].add(desk)
    desk_of |= {room: desks.pop() for room, desks in rooms.items() if len(desks) == 1}
    numbers = defaultdict(set)
    for one, desk in desk_of.items():
        numbers[_number_of_room(known[one])].add(desk)
    for name in names if all(len(desks) == 1 for number, desks in numbers.items() if number) else ():
        if (number := _number_of_room(name)) in numbers and number:
            desk_of.setdefault(fold_desk(name), *numbers[number])
    desk_of = {one: desk for one, desk in desk_of.items() if desk not in desk_of}
    return {name: known[desk_of[one]] for name in names if (one := fold_desk(name)) in desk_of}


def several_in_one(names) -> dict[str, str]:
    """The names that are several others of them, such as ``A+B`` or ``both``, each with the first of these; a desk and its room are none.

    Examples
    --------
    >>> several_in_one(["A", "B", "A+B", "B / A", "Hall", "Tern / Hall", "Tern", "A & C", "Studio 1", "Studio 2", "Studio 1 and Studio 2"])
    {'A+B': 'A', 'B / A': 'B', 'Studio 1 and Studio 2': 'Studio 1'}
    >>> several_in_one(["Otter", "Both", "Lynx", "all desks"]), several_in_one(["Otter", "Both"])
    ({'Both': 'Otter', 'all desks': 'Otter'}, {})
    """
    every = [name for name in names if name.casefold() in EVERY_DESK]
    first, *others = [name for name in names if name not in every] or [""]
    known = {fold_desk(name): name for name in reversed([*names])}
    told = {name: [*map(fold_desk, filter(None, BOTH.split(name)))] for name in names}
    return {
        name: known[some[0]]
        for name, some in told.items()
        if len({*some}) == len(some) > 1
        and {*some} <= {*known}
        and len({_is_room(known[one]) for one in some}) == 1
    } | dict.fromkeys(every if others else (), first)


def perhaps_a_room(name: str, names: Counter) -> tuple[str, ...]:
    """The rarer and the commoner of two names that stand in one cell with a mark between them, where they may be a room and its desk; none of
    letters and numbers.

    Examples
    --------
    >>> told = Counter(["Annex", "Tern", "Tern", "A", "B"])
    >>> perhaps_a_room("Tern / Annex", told), perhaps_a_room("A/B", told), perhaps_a_room("Tern + Annex", told)
    (('Annex', 'Tern'), (), ())
    """
    known = {fold_desk(one): one for one in names}
    both = [known[one] for one in map(fold_desk, IN_ONE.split(name)) if one in known]
    may_be = len(both) == 2 and all(len(_letters(one)) > SHORTEST and not _is_room(one) for one in both)
    return tuple(sorted(both, key=lambda one: names[one])) if may_be else ()


def slips_in(names: Counter) -> dict[str, str]:
    """The names that come once or twice and are another of them, written ever so often, with a slip of the pen in one long word.

    Examples
    --------
    >>> slips_in(Counter({"Bittern": 20, "Bitern": 1, "Little Bittren": 2, "Little Bittern": 20, "Bitterns": 1, "Curlew": 4, "Culrew": 1}))
    {'Bitern': 'Bittern', 'Little Bittren': 'Little Bittern'}
    """
    slips = {}
    for name in (name for name, many in names.items() if many >= OFTEN):
        words = _said(name)
        for at, word in enumerate(words):
            for slip in slips_of(word) if len(word) >= LONG_WORD and word.isalpha() else ():
                slips[*words[:at], slip, *words[at + 1 :]] = name
    return {
        name: desk
        for name, many in names.items()
        if many <= SELDOM and (desk := slips.get(_said(name))) and many * OFTEN <= names[desk]
    }


def _is_room(name):
    return bool(says("room", name) or _number_of_room(name))


def _number_of_room(name):
    """The number of a name that is no more than words for a room and a number, or a number alone; '' of any other."""
    words = re.findall(r"\d+|[^\W\d_]+", fold(name))
    *rest, number = [NUMBERS.get(word, word) for word in words if word not in IDLE] or [""]
    is_one = all(word in ROOMS or is_wholly("room", word) for word in rest)
    return number if number.isdigit() and is_one else ""


def _begins(name, other):
    """Whether another name begins or ends with the words of a name, or is one word that has its few capitals in their order; or a name
    is made of the beginnings of its words, in one or word by word, but for words for a room."""
    words, others = _said(name), _said(other)
    if name.isupper() and name.isalpha() and len(name) <= MOST_CAPITALS and len(others) == 1:
        in_order = re.match(".*".join(_letters(name)), others[0])
        return bool(in_order) and len(others[0]) > MOST_CAPITALS and others[0].isalpha()
    is_part = words in (others[: len(words)], others[-len(words) :]) and len(words) < len(others)
    is_part = is_part or (
        words != others and len(words) == len(others) and all(map(_begins_word, words, others))
    )
    bare = "".join(word for word in words if not says("room", word)) if len(words) > 2 else "".join(words)
    return is_part or (
        len(others) > 1 and bare.isalpha() and bare != "".join(others) and _is_of_beginnings(bare, others)
    )


def _begins_word(word, other):
    """Whether a word is another, or two of its first letters or more."""
    return word == other or (word.isalpha() and len(word) > 1 and other.startswith(word))


def _is_of_beginnings(letters, words):
    """Whether letters are beginnings of words, of two letters or more of each, as mustech is of music tech."""
    if not words or not letters:
        return not words and not letters
    cuts = (at for at in range(2, len(letters) + 1) if words[0].startswith(letters[:at]))
    return any(_is_of_beginnings(letters[at:], words[1:]) for at in cuts)


def _is_short_for(short, name):
    """Whether a name is another's initials and numbers, two or more, such as S1 for Studio 1.

    Examples
    --------
    >>> _is_short_for("S1", "Studio 1"), _is_short_for("nb", "News booth"), _is_short_for("S", "Studio"), _is_short_for("S2", "Studio 12")
    (True, True, False, False)
    >>> _is_short_for("Reg.1", "Regie 1"), _is_short_for("Hörsp.", "Hörspiel"), _is_short_for("Studio 1", "Studio 12")
    (True, True, False)
    >>> _is_short_for("Ü3", "Ü-Wagen 3"), _is_short_for("UeW 3", "Ü-Wagen 3")
    (True, True)
    """
    words = _said(name)
    initials = {_initials(words)} if len(words) > 1 else set()
    if _letters(short) in initials | _initials_of_compounds(name) and _letters(short) != _letters(name):
        return True
    begun = re.findall(r"\d+|[^\W\d_]+\.?", short.casefold())
    parts = list(zip(begun, words)) if len(begun) == len(words) else []
    return any(one.endswith(".") for one, _ in parts) and all(
        word.startswith(fold(one[:-1])) if one.endswith(".") else word == fold(one) for one, word in parts
    )


def _said(name):
    """The words and numbers of a name, numbers in figures, without those that tell no desk from another.

    Examples
    --------
    >>> _said("Drama Two"), _said("the Attic desk"), _said("Desk II"), _said("Control room 1")
    (('drama', '2'), ('attic',), ('desk', '2'), ('control', 'room', '1'))
    """
    bare = vocabulary().names_of_desks.sub(" ", fold(name))
    words, telling = (
        tuple(NUMBERS.get(word, word) for word in re.findall(r"\d+|[^\W\d_]+", text))
        for text in (fold(name), bare)
    )
    telling = tuple(word for word in telling if word not in IDLE)
    return telling if any(not word.isdigit() for word in telling) else words


def _initials(words):
    return "".join(word if word.isdigit() else word[0] for word in words)


def _initials_of_compounds(name):
    """The initials where words joined by a hyphen are taken for one; none where there is one word alone."""
    words = re.findall(r"\d+|[^\W\d_][^\W\d_-]*(?:-[^\W\d_]+)*", fold(name))
    return {_initials([NUMBERS.get(word, word) for word in words])} if len(words) > 1 else set()


def _letters(name):
    return re.sub(r"[\W_]", "", fold(name))


def desks_before_spans(matches):
    """Names such as Heron 9, of a cell as Heron 9-16, that are no more than a desk and the first of several slots, each with the desk: its
    own name stands before other numbers oftener."""
    names = Counter(match[1].casefold() for match in matches if match and match[1])
    found = {}
    for match in filter(None, matches):
        span = SPAN_BEHIND.fullmatch(match[0])
        if span and int(span[2]) < int(span[3]) and names[span[1].casefold()] > names[match[1].casefold()]:
            found[match[1]] = span[1]
    return found


def desk_of(text: str, desks) -> str:
    """The one of some desks, the longest first, that a cell names beside a slot, with the full stop behind a short name; '' for none.

    Examples
    --------
    >>> [desk_of(text, ("Heron", "Big", "B")) for text in ("heron 12", "Big. 7", "b-3", "7, Heron", "stores")]
    ['Heron', 'Big.', 'B', 'Heron', '']
    """
    for desk in desks:
        if found := re.search(rf"(?<![^\W\d_]){re.escape(desk)}(?![^\W\d_])(\.?)", text, re.IGNORECASE):
            return desk + found[1]
    return ""
