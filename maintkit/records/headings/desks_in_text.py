"""The desks that complaints name before the number of a slot, where no column has them and no one way of naming is kept to."""

import re
from collections import Counter, defaultdict

from maintkit.records.folding import CHANNEL, SAME_WORD
from maintkit.records.known_words.part_kinds import part_in_text, work_in_text
from maintkit.records.known_words.words import fold, says, vocabulary

CHANNEL_WORDS = {"number", "no.", "input", *(word for word, one in SAME_WORD.items() if one == CHANNEL)}
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
    rf"\W*([^\W\d_]{{2,}}(?: (?!{_OF_A_CHANNEL}\b)[^\W\d_]{{2,}})?(?: ?\d{{1,2}}(?=\W+(?:{_OF_A_CHANNEL}\W*)?\d))?)"
    rf"\W{{1,2}}(?:{_OF_A_CHANNEL}\W*)?(\d{{1,3}})(?![\w.,:/%-]*\d)",
    re.IGNORECASE,
)


def desks_before_numbers(texts) -> tuple[str, ...]:
    """The names that stand before the numbers of slots again and again, the commonest first; none where it is one alone or few texts begin so.

    Examples
    --------
    >>> desks_before_numbers(["Hector 5 hums", "room 3 ch 9 dead", "no sound on 9, hector", "hector ch 7 low", "room 3 12 pops"])
    ('Hector', 'room 3')
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


def _is_known(name):
    """Whether a name is rather a slot's, a part's, of work or of a complaint."""
    return (
        bool(({*CHANNEL_WORDS} | vocabulary().pointing) & {*name.split()})
        or any(says(kind, name) for kind in OTHERWISE_KNOWN)
        or bool(says("position", f"{name} 1") or work_in_text(name) or part_in_text(name))
    )
