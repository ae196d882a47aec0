"""The desks that complaints name before the number of a slot, where no column has them and no one way of naming is kept to."""

import re
from collections import Counter, defaultdict

from maintkit.records.folding import CHANNEL, SAME_WORD
from maintkit.records.known_words.part_kinds import part_in_text, work_in_text
from maintkit.records.known_words.words import fold, says, vocabulary

CHANNEL_WORDS = {"number", "no.", "input", *(word for word, one in SAME_WORD.items() if one == CHANNEL)}
NAME_NO_SLOT = CHANNEL_WORDS - {"input", "fader", "regler"}  # alone; the others may be a module or a part
FEWEST_TIMES, FEWEST_SLOTS = 2, 2  # that a name stands before a number, and different numbers behind it
NAMED_SO = 0.2  # share of the texts that begin with such a name, from which they name desks
OTHERWISE_KNOWN = (
    "position",
    "symptom",
    "action",
    "finding",
    "other_gear",
    "person",
    "store",
    "count",
    "planned",
    "again",
)
_OF_A_CHANNEL = rf"(?:{'|'.join(map(re.escape, sorted(CHANNEL_WORDS, key=len, reverse=True)))})"
# one word or two, with a number of their own where a slot's follows: Hector 5, old desk ch 4, room 3 17
BEFORE_A_SLOT = re.compile(
    rf"\W*([^\W\d_]{{2,}}(?: (?!{_OF_A_CHANNEL}\b)[^\W\d_]{{2,}})?(?: ?\d{{1,2}}(?=[\s:.(#]+(?:{_OF_A_CHANNEL}\W*)?\d))?)"
    rf"\W{{1,2}}(?:{_OF_A_CHANNEL}\W*)?(\d{{1,3}})(?![\w.,:/%-]*\d)",
    re.IGNORECASE,
)


def desks_before_numbers(texts) -> tuple[str, ...]:
    """The names that stand before the numbers of slots again and again, the commonest first; none where it is one alone or few texts begin so.

    Examples
    --------
    >>> desks_before_numbers(["Hector 5 hums", "room 3 ch 9 dead", "no sound on 9, hector", "hector ch 7 low", "room 3 12 pops"])
    ('Hector', 'room 3')
    >>> desks_before_numbers(["Heron 4, 5 thin", "Tern 3 hums", "Heron 9 & 10 dead", "Tern 7 low"])
    ('Heron', 'Tern')
    >>> desks_before_numbers(["fader 6 stuck", "fader 7 dead", "hum 3 days", "hum 2 days"])
    ()
    """
    slots, written = defaultdict(list), {}
    for found in filter(None, map(BEFORE_A_SLOT.match, texts)):
        name = fold(found[1])
        slots[name].append(found[2])
        written.setdefault(name, Counter())[found[1]] += 1
    names = Counter(
        {
            name: len(numbers)
            for name, numbers in slots.items()
            if len(numbers) >= FEWEST_TIMES and len({*numbers}) >= FEWEST_SLOTS and not _is_known(name)
        }
    )
    if len(names) < 2 or names.total() < NAMED_SO * len(texts):
        return ()
    return tuple(written[name].most_common(1)[0][0] for name, _ in names.most_common())


def shown_behind(desk, texts, of_a_channel):
    """How a bare number behind a desk is shown: as its channels are where texts name some by a word for one, too."""
    words = "|".join(map(re.escape, sorted(NAME_NO_SLOT, key=len, reverse=True)))
    named = re.compile(rf"\b{re.escape(desk)}\W+(?:{words})\W*\d", re.IGNORECASE)
    return of_a_channel if of_a_channel and any(map(named.search, texts)) else "#"


def bare_before(desks, texts, slot):
    """The words by which a bare number is a slot, for a desk stands behind it, as in ``27 of the big desk`` or ``5 (big desk)``."""
    names = "|".join(re.escape(desk.casefold()) for desk in desks)
    behind = re.compile(rf"\b\d{{1,3}}\W{{1,3}}((?:(?:of|on|in|vom|am|im) )?(?:the )?)({names})\b")
    found = dict.fromkeys(one[1] + one[2] for text in texts for one in behind.finditer(text.casefold()))
    return {f"# {words}": slot for words in found}


def rooms_of(texts, desks) -> dict[str, str]:
    """The words of a lookup by which texts begin with a desk's room and a slot, in full or by its first letter, where one of them says which
    desk stands in it.

    Examples
    --------
    >>> rooms_of(["Room 1 = Heron (old)  Room 2 = Tern", "R1 29 hum", "R2 mic stand", "Tern 4 dead"], ["Heron", "Tern"])
    {'^r1 #': 'Heron'}
    """
    names = {desk.casefold(): desk for desk in desks}
    key = re.compile(rf"(?<!\w)([^\W\d_]+) (\d{{1,2}}) ?= ?({'|'.join(map(re.escape, names))})\b")
    told = {one.groups() for text in texts for one in key.finditer(text.casefold())} if names else set()
    called = {f"{room} {at}": names[one] for room, at, one in told}
    called |= {f"{room[0]}{at}": names[one] for room, at, one in told}
    begun = {word for word in called for text in texts if re.match(rf"\W*{word}\W+\d", text, re.IGNORECASE)}
    return {f"^{word} #": called[word] for word in sorted(begun)}


def _is_known(name):
    """Whether a name is rather a slot's, a part's, of work or of a complaint."""
    return (
        bool(({*CHANNEL_WORDS} | vocabulary().pointing) & {*name.split()})
        or any(says(kind, name) for kind in OTHERWISE_KNOWN)
        or bool(says("position", f"{name} 1") or work_in_text(name) or part_in_text(name))
    )
