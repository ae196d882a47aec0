"""The slots that complaints name by a word and a number, in any of the columns that say what was wrong."""

import re
from collections import Counter

from maintkit.records.known_words.words import fold, says, vocabulary, words_in
from maintkit.records.lookups import BEGINS_WITH_A_SLOT

from .desks_in_text import CHANNEL_WORDS
from .likeness import SURE, likeness_of_column

NO_SLOTS = ("symptom", "store", "desk", "whole_slot")  # what else stands under slots
LETTERS_ALONE = re.compile(r"[^\W\d_]{3,}(?:[ ./-]+[^\W\d_]+)*")
BEHIND_A_SUPPLY = re.compile(r" ?(\d+)(?![\w.,]*\d)")
SHORTEST_WORD = 6  # letters, the sign of a number among them; a shorter one is an abbreviation
OF_A_CHANNEL = {f"{word} #" for word in CHANNEL_WORDS}
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
    found = vocabulary().in_cells["position"].finditer(text.lower())
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
