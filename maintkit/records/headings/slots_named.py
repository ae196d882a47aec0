"""The slots that complaints name by a word and a number, in any of the columns that say what was wrong."""

import re
from collections import Counter

from maintkit.records.known_words.words import fold, says, vocabulary, words_in
from maintkit.records.lookups import (
    AT_THE_END,
    BEGINS_WITH_A_SLOT,
    IN_A_CLAUSE,
    ON_A_NUMBER,
    first_told,
    meaning_of,
)
from maintkit.records.mapping import Lookup
from maintkit.records.several import LAST_NUMBER, MEASURED

from .desks_in_text import CHANNEL_WORDS, NAME_NO_SLOT
from .likeness import SURE, likeness_of_column

NO_SLOTS = ("symptom", "store", "desk", "whole_slot")  # what else stands under slots
LETTERS_ALONE = re.compile(r"[^\W\d_]{3,}(?:[ ./-]+[^\W\d_]+)*")
BEHIND_A_SUPPLY = re.compile(r" ?(\d+)(?![\w.,]*\d)")
SHORTEST_WORD = 6  # letters, the sign of a number among them; a shorter one is an abbreviation
OF_A_CHANNEL = {f"{word} #" for word in CHANNEL_WORDS}
WITHOUT_WORD = (
    *(f"{part} #" for part in ("meter", "vu", "mute", "solo", "pan", "phase")),
    ON_A_NUMBER,
    AT_THE_END,
    IN_A_CLAUSE,
)
SUPPLIES = {"psu": "PSU", "power supply": "PSU", "netzteil": "Netzteil", "stromversorgung": "Netzteil"}
FEWEST_SUPPLIES = 2  # texts that name it and no slot
IS_MEASURED = re.compile(MEASURED)  # behind the number
FEWEST_TOLD = 4  # different numbers, from which those that no word tells are slots
SENDS = {"aux #", "send #", "bus #", "return #"}  # of a channel, where one is named beside them


def other_complaints(heading, placing, group):
    """The columns without a place that say what was wrong, too, such as a title beside a description."""
    return [
        one
        for one in group.cells
        if one not in (heading, *placing.columns) and likeness_of_column(one, "tickets", "symptom") >= SURE
    ]


def names_a_slot(text: str) -> bool:
    """Whether a text names a slot by a word that is of one; a mere number, as of ``headphones no. 11``, may be of anything.

    Examples
    --------
    >>> [names_a_slot(text) for text in ("ch 12 hums", "fader of grp 1", "headphones no. 11", "hum")]
    [True, True, False, False]
    """
    return any(not _is_mere_number(one) for one in vocabulary().in_cells["position"].finditer(fold(text)))


def numbers_are_of_gear(texts):
    """Whether most texts with a mere number speak of other gear, as ``headphones no. 11`` do: then it is no slot."""
    known = vocabulary().in_cells["position"]
    numbers = [text for text in texts if any(map(_is_mere_number, known.finditer(text.lower())))]
    return 2 * sum(bool(says("other_gear", text)) for text in numbers) > len(numbers)


def _is_mere_number(found):
    return words_in(found[0])[0] == "no"


def slot_named(text, of_gear):
    """The first slot that a text names by a word for one, mere numbers apart where they are ``of_gear``; None where there is none."""
    low = text.lower()
    found = (
        one
        for one in vocabulary().in_cells["position"].finditer(low)
        if not IS_MEASURED.match(low, one.end())
    )
    return next((one for one in found if not (of_gear and _is_mere_number(one))), None)


def slots_without_number(listed, texts) -> dict[str, str]:
    """The words of a lookup for slots that lists call by a word alone, such as Master, where texts have them as whole words and no word has them in it."""
    names = [
        one
        for one in listed
        if LETTERS_ALONE.fullmatch(one) and not any(says(kind, one) for kind in NO_SLOTS)
    ]
    found = {}
    for name in sorted(names, key=len, reverse=True):
        whole = re.compile(rf"(?<![^\W_]){re.escape(name)}(?![^\W_])", re.IGNORECASE)
        named = [bool(whole.search(text)) for text in texts if name.casefold() in text.casefold()]
        found |= {name.casefold(): name} if named and all(named) else {}
    return found


def supplies_numbered(texts) -> dict[str, str]:
    """The words of a lookup for supplies that texts call by a number of one figure, as ``PSU 2``; one that has another number there is a voltage.

    Examples
    --------
    >>> supplies_numbered(["fan of PSU 2 noisy", "psu 1 trips", "supply 48 V low", "no supply on 3"])
    {'psu #': 'PSU #'}
    """
    numbers = {}
    for low in map(fold, texts):
        for one in vocabulary().in_cells["supply_slot"].finditer(low):
            if found := BEHIND_A_SUPPLY.match(low, one.end()):
                numbers.setdefault(f"{one[0]} #", set()).add(found[1])
    words = (word for word, some in numbers.items() if all(len(one) == 1 for one in some))
    return {word: word.upper() if len(word) < SHORTEST_WORD else word.capitalize() for word in words}


def begun_with(texts, told) -> list[str]:
    """The numbers of slots with which texts begin that are not ``told`` by a word; none where they are too few."""
    begun = (BEGINS_WITH_A_SLOT.search(text.lower()) for text in texts if text not in told)
    numbers = [one[1] for one in begun if one]
    return numbers if len({*numbers}) >= FEWEST_TOLD else []


def numbers_told(texts, found) -> dict[str, int]:
    """By text the number of the slot that it names by a word, or with which it begins."""
    named = {text: LAST_NUMBER.search(one[0])[1] for text, one in found}
    begun = ((text, BEGINS_WITH_A_SLOT.search(text.lower())) for text in texts if text not in named)
    numbers = named | {text: one[1] for text, one in begun if one}
    return {text: int(one.rstrip("lr")) for text, one in numbers.items()}


def is_bare_slot(text):
    """Whether a cell is the word for a channel without its number.

    Examples
    --------
    >>> [is_bare_slot(text) for text in ("Ch.", "Voie", "Kanalzug", "ch 4", "Fader")]
    [True, True, True, False, False]
    """
    return fold(text).strip(" .") in NAME_NO_SLOT


def slots_without_word(texts, told) -> dict[str, set[str]]:
    """The words of a lookup for numbers behind no word for a slot, such as ``hum on 21``, in texts in which no slot is ``told`` otherwise, where these
    are numbers as most of those told, by text, are, or are enough by themselves; and the texts that have each.

    Examples
    --------
    >>> told = {"ch 24 low": 24, "ch 3 dead": 3, "7 hums": 7, "9 dull": 9}
    >>> slots_without_word([*told, "hum on 21", "mute stuck 5", "meter 3 dead"], told)
    {'meter #': {'meter 3 dead'}, 'on #': {'hum on 21'}, '#$': {'mute stuck 5'}}
    >>> slots_without_word([*told, "hum on 31", "clicks on 3 dB"], told), slots_without_word(["hum on 21"], {})
    ({}, {})
    """
    rest = [text for text in texts if text not in told and not says("other_gear", text)]
    found = {word: _numbers_behind(word, rest) for word in WITHOUT_WORD}
    known = {*told.values()}
    if len(known) < FEWEST_TOLD:
        known = known.union(*(some.values() for some in found.values()))
    if len(known) < FEWEST_TOLD:
        return {}
    within = {word: sum(one <= max(known) for one in some.values()) for word, some in found.items()}
    return {word: {*some} for word, some in found.items() if some and within[word] >= len(some) / 2}


def _numbers_behind(word, texts):
    """By text the number that a word of a lookup finds in it, of those in which it finds one."""
    known = Lookup("", {word: "#"}, within=True, otherwise="")
    found = {text: re.match(r"\d+", meaning_of(text.casefold(), known)) for text in texts}
    return {text: int(one[0]) for text, one in found.items() if one}


def supplies_named(texts, told) -> dict[str, str]:
    """The words of a lookup for the supply where texts in which no slot is ``told`` name it again and again: it is a place by itself.

    Examples
    --------
    >>> supplies_named(["psu trips", "PSU fan loud", "power supply hums", "ch 3 dead, psu?"], {"ch 3 dead, psu?"})
    {'psu': 'PSU', 'power supply': 'PSU'}
    >>> supplies_named(["psu trips", "ch 3 dead"], {"ch 3 dead"})
    {}
    """
    rest = [fold(text) for text in texts if text not in told]
    met = {word: sum(word in text for text in rest) for word in SUPPLIES}
    return (
        {word: SUPPLIES[word] for word, many in met.items() if many}
        if sum(met.values()) >= FEWEST_SUPPLIES
        else {}
    )


def tells_slot(text, of_gear):
    """How well a text tells a slot: by a word for a channel, another word, a number with which it begins, or not at all."""
    if one := slot_named(text, of_gear):
        return 2 if numbered(one[0]) in SENDS else 3
    return 1 if BEGINS_WITH_A_SLOT.search(text.lower()) else 0


def numbered(slot: str) -> str:
    """A slot with a sign in place of its number.

    Examples
    --------
    >>> numbered("ch.12"), numbered("no. 7")
    ('ch #', 'no. #')
    """
    word = re.sub(r"\W*\d+\w?$", "", slot)
    return f"{word}. #" if word == "no" else f"{word} #"  # for "no 48v" says something else


def as_one_word(said, called="") -> dict[str, str]:
    """The words for a slot, by how often they are said, with that by which channels are ``called``, or the commonest, for each that is a
    channel's, so that fader 6 and ch 6 are one slot; other words as they are."""
    most = called or _most_of_a_channel(said)
    return {word: most if word in OF_A_CHANNEL else word for word in said}


def channels_called(heading, group) -> str:
    """The word for a channel that the texts of whole sheets have most often, with # for its number; '' where they have none."""
    texts = (text for page in group.pages if heading in page.cells for text in page.cells[heading].texts)
    said = Counter(numbered(one[0]) for text in texts if (one := slot_named(text, of_gear=False)))
    return _most_of_a_channel(said)


def _most_of_a_channel(said):
    """The word for one channel that is said most often, as ``ch #`` is also where they say ``chs #``; '' where none is."""
    return next((word.replace("s #", " #") for word, _ in said.most_common() if word in OF_A_CHANNEL), "")


def without_slot(rows, told):
    """What to know where no slot is found in some rows, each the texts that may name one."""
    if without := sum(not first_told(texts, told) for texts in rows):
        yield f"# No slot was found in {without} of {len(rows)} cells; such a report counts for its desk alone."
