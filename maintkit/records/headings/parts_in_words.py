"""The lines of a drafted mapping that find a part, its place on the board and how many of it in what was done."""

import re

from maintkit.records.known_words.meanings import DESIGNATOR, RE_CAP, meaning_of_cell
from maintkit.records.known_words.part_kinds import (
    COUNTED,
    STATES,
    microfarads,
    part_at_places,
    part_in_state,
    part_in_text,
    parts_at_places,
    parts_counted,
    work_in_column,
)
from maintkit.records.known_words.words import is_wholly, says_slot
from maintkit.records.lookups import A_COUNT_BEFORE, BEGINS_WITH_A_COUNT
from maintkit.records.several import parts_in

from .cell_words import first_alone, listed, lookup, quote, says_cause
from .values import PART

SEVERAL = re.compile(  # 2x lamp, lamp x 2, as how many there are of a part
    r"(?<![\w.,])\d{1,3} ?[x×] ?(?=[^\W_])(?!lr)|(?<=\w) [x×] ?\d{1,3}$", re.IGNORECASE
)
HOW_MANY = {word: "#" for word in ("#x", "#×", "x#", "×#")}
# ~40' are feet as well
MINUTES = re.compile(r"(?<![\w.,~])\d{1,3} ?(minutes|mins|min|')(?![\w'])", re.IGNORECASE)
WORD_AND_NUMBER = re.compile(r"\W*([^\W\d_]+)\W{0,2}\d{1,3}[a-z]?\b")  # at the beginning, such as ch 14
OFF = re.compile(r"(?<![\w.,])\d{1,3} ?off\b", re.IGNORECASE)
TELL_PARTS = 0.5  # share of places on the board that tell the part, from which they are asked for it
FEWEST_COUNTED = 2  # cells of parts that say how many
FEWEST_TIMED = 3  # cells of work that say how many minutes it took
FEWEST_DESIGNATORS = 2  # cells of work that name a part so, from which it is asked for


def part_in_work(placing, group):
    """The lookup of the part where no column has it, but what was done names it, as in ``changed relay 24V``."""
    heading, ref = placing.heading("action"), placing.heading("ref")
    place = "repairs.lookup.part_type"
    if placing.heading("part_type"):
        return
    is_said = heading in group.cells and any(map(_tells_a_part, group.cells[heading].texts))
    if not is_said and ref in group.cells and group.cells[ref].share(_tells_a_part) >= TELL_PARTS:
        note = "the place on the board tells the part, by its letter; or it is named there"
        yield from lookup(place, ref, note, known_words=True, otherwise="")
        return
    if not heading:
        return
    parts = {}
    for text in group.cells[heading].texts:
        words = [word for word in re.split(r"[\s,;]+", text) if not DESIGNATOR.fullmatch(word.strip("()[]"))]
        rest = _without_slot(" ".join(word for word in words if not is_wholly("action", word)))
        counted = re.sub(r"\b[a-z]{1,2}\d{1,2}\b", "", COUNTED.sub("", rest), flags=re.IGNORECASE)
        says_more = any(map(str.isdigit, counted))
        is_told = part_in_text(text) and not says_more  # by the words that are known
        is_replaced = meaning_of_cell("action", text) == "replace"
        if is_replaced and rest != text and PART.search(rest) and not is_told:
            parts.setdefault(rest.casefold(), rest)
        if says_cause(heading):  # of a cause the state is no name
            named = filter(None, (part_in_state(text, kind) for kind in STATES))
            parts |= {part.casefold(): part for part in named}
    texts = [text.casefold() for text in group.cells[heading].texts]
    met = [part for part in parts if len(part.split()) <= 4 and any(part in text for text in texts)]
    if met or is_said:
        words = {part: parts[part] for part in sorted(met, key=len, reverse=True)} or None
        note = "what was done names the part: by the words below, then by the names of parts that are known"
        yield from lookup(place, heading, note, within=True, known_words=True, words=words, otherwise="")


def _without_slot(text):
    """A text without the number at its beginning, which is that of a slot or counts parts, and the word for a slot before it, or what else stands
    there before its colon."""
    slot = WORD_AND_NUMBER.match(text)
    if slot and (says_slot(slot[1]) or text[slot.end() :].startswith(": ")):
        return text[slot.end() :].lstrip(": ")
    number = BEGINS_WITH_A_COUNT.match(text.casefold())
    return text[number.end(1) :].lstrip() if number else text


def _tells_a_part(text):
    return part_in_text(text) or part_at_places(text)


def lists_of_parts(placing, group):
    """The line that makes a cell that lists parts with how many of each, such as ``14x 100/25, 6x 47/16``, a row for each."""
    found, heading = _lists(placing, group), _heading_of_parts(placing)
    if found:
        texts = group.cells[heading].texts
        yield f"# Several parts stand in {len(found)} of {len(texts)} cells, such as {quote(found[0])}. Each has a row of its own, with an equal share of the time:"
        yield f"parts = {listed([heading])}"


def _heading_of_parts(placing):
    """The heading of the parts, or of the work where no column has them."""
    return placing.heading("part_type") or placing.heading("action")


def _lists(placing, group, *, counted=False):
    """The cells that list parts, with how many of each where that is asked (``counted``); none with it where another column says how many."""
    heading = _heading_of_parts(placing) if placing.table == "repairs" else ""
    lists = [text for text in group.texts(heading) if len(parts_in(text)) > 1]
    if not placing.heading("part_type"):  # of work
        lists = [text for text in lists if {*map(work_in_column, parts_in(text))} <= {"replace", RE_CAP}]
    has_counts = {text for text in lists if any(map(SEVERAL.search, parts_in(text)))}
    wanted = [text for text in lists if text in has_counts or not counted]
    return [text for text in wanted if text not in has_counts or not placing.heading("quantity")]


def counted_parts(placing, group):
    """The lookups of how many and of which part, where one column says both, as in ``2x lamp``; of how many alone where it is the work."""
    part, heading = placing.heading("part_type"), _heading_of_parts(placing)
    if heading not in group.cells or placing.heading("quantity"):
        return
    texts = [one for text in group.cells[heading].texts for one in parts_in(text)]
    begun = [text for text in texts if part and BEGINS_WITH_A_COUNT.match(text.casefold())]
    named = sum(bool(part_in_text(text) or microfarads(text)) for text in begun)
    are_begun = 2 * named > max(len(begun), FEWEST_COUNTED)
    are_said = (
        are_begun
        or _lists(placing, group, counted=True)
        or sum(bool(SEVERAL.search(text)) for text in texts) >= FEWEST_COUNTED
    )
    are_named = not part and any(map(parts_at_places, texts))
    are_told = not part and sum(bool(parts_counted(text)) for text in texts) >= FEWEST_COUNTED
    if not are_said and not are_named and not are_told:
        return
    said = ["stands beside the part, as in 2x lamp; # stands for the number"] if are_said else []
    said += ["is said before the part or behind it, as in 3 lamps, two caps, re-cap (27)"] if are_told else []
    said += ["is how many places on the board are named, as in C3 and C4"] if are_named else []
    off = [text for text in texts if OFF.search(text)]  # no air and no desk, but values alone behind it
    words = HOW_MANY | ({A_COUNT_BEFORE: "#"} if are_begun else {})
    words |= {"# off": "#"} if off and all(map(COUNTED.search, off)) else {}
    counted = {"within": True, "words": words} if are_said else {}
    counted |= {"known_words": True} if are_named or are_told else {}
    note = f"how many {'; or '.join(said)}"
    yield from lookup("repairs.lookup.quantity", heading, note, **counted, otherwise="")
    if part:
        yield from lookup("repairs.lookup.part_type", part, rest_of="quantity")


def minutes_in_work(placing, group):
    """The lookup of the minutes where no column has them, but what was done says them, as in ``new fader (20 mins)``."""
    heading = placing.heading("action")
    if placing.heading("bench_minutes") or heading not in group.cells:
        return
    found = [one for one in map(MINUTES.search, group.cells[heading].texts) if one]
    if len(found) >= FEWEST_TIMED:
        words = {f"# {one[1].casefold()}".replace(" '", "'"): "#" for one in found}
        note = "how many minutes stand beside the work; # stands for the number"
        yield from lookup(
            "repairs.lookup.bench_minutes", heading, note, within=True, words=words, otherwise=""
        )


def reference_in_work(placing, group):
    """The lookup of the place on the board where no column has it, but what was done names it, as in ``replaced C41``."""
    heading = placing.heading("action")
    if not heading or placing.heading("ref"):
        return
    texts = group.cells[heading].texts
    found = [[*DESIGNATOR.finditer(text)] for text in texts]
    letters = dict.fromkeys(some[0][1].upper() for some in found if some)
    if sum(map(bool, found)) >= FEWEST_DESIGNATORS:
        words = {f"{letter.casefold()}#": f"{letter}#" for letter in letters}
        note = "what was done names the place on the board; # stands for its number"
        lines = [*lookup("repairs.lookup.ref", heading, note, within=True, words=words, otherwise="")]
        several = [text for text, some in zip(texts, found) if len({one[0].upper() for one in some}) > 1]
        yield from (*lines[:2], *first_alone(several, texts, "is the place that is kept"), *lines[2:])
