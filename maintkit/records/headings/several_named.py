"""The lines of a drafted mapping for cells that name several slots, each of a row of its own."""

import re
import tomllib
from itertools import repeat

from maintkit.records.known_words.meanings import RE_CAP
from maintkit.records.known_words.no_report import says_planned
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.lookups import names_before
from maintkit.records.mapping import Lookup
from maintkit.records.several import slots_in, slots_recapped, slots_told

from .cell_words import listed, quote
from .desks_in_text import desks_before_numbers
from .slots_named import other_complaints
from .values import ENOUGH, SPAN

LISTED_SLOTS = re.compile(r"\d ?(?:,|\+|&|\band\b|\bund\b) ?\d|\b(?:all|alle)\b", re.IGNORECASE)
PAIR = re.compile(r"(\d{1,3}) ?/ ?(\d{1,3})")


def several_slots(heading, cells, *, are_reports, work=(), has_codes=False):
    """The line that makes a cell of several slots, such as ``1-8`` or ``ch 3, 5 and 9``, a row for each; what to know of the others.

    Of reports, and ``work`` on these, it is asked where a cell names slots from one to another: what stops eight at once may be one fault
    elsewhere. A block that was re-capped was so slot by slot.
    """
    found = dict.fromkeys(text for text in cells.texts if len(slots_in(text)) > 1)
    spans = [one for text in found if (one := SPAN.search(text))]
    if len({one[1] for one in spans}) < len(spans) / 2 or any(
        int(one[1]) > int(one[2]) for text in cells.texts if (one := SPAN.fullmatch(text))
    ):
        return  # names such as 2-14 and 3-1, rack and slot
    if found:
        many = sum(text in found for text in cells.texts)
        said = f"# Several slots stand in {many} of {len(cells.texts)} cells, such as {quote(next(iter(found)))}."
        on_spans = [one for text, one in zip(cells.column, work) if text in found and SPAN.search(text)]
        recapped = sum(work_in_text(one) == RE_CAP for one in on_spans)
        if are_reports and spans and recapped <= len(on_spans) / 2:
            yield f"{said} Such a row is one report, of a slot of that"
            yield "# name; if each of the slots failed by itself, let each have a report of its own:"
            yield f"# ? several = {listed([heading])}"
        else:
            yield f"{said} Each has a row of its own, with an equal share of the time and the parts:"
            yield f"several = {listed([heading])}"
    pairs = [text for text in cells.unlike if cells.numbers >= ENOUGH and _are_next(text)]
    if pairs and not has_codes:
        told = ", ".join(f'{quote(text)} = "{", ".join(PAIR.fullmatch(text).groups())}"' for text in pairs)
        yield f"# Such as {quote(next(iter(pairs)))} is kept as one slot of that name; if it is two slots, and no stereo strip, take away every # ?:"
        yield from () if found else (f"# ? several = {listed([heading])}",)
        yield f"# ? codes = {{ {quote(heading)} = {{ {told} }} }}"
        found |= dict.fromkeys(pairs)
    whole = [
        text for text in cells.texts if text not in found and (text in pairs or LISTED_SLOTS.search(text))
    ]
    if whole:
        yield f"# Several slots stand in {len(whole)} of {len(cells.texts)} cells, such as {quote(whole[0])}, kept as one slot of that name: for each"
        yield "# to count, give it a row of its own."


def _are_next(text):
    """Whether a cell is a number and the next behind a stroke, such as 16/17."""
    found = PAIR.fullmatch(text)
    return bool(found) and int(found[2]) == int(found[1]) + 1


def several_told(placing, group, is_looked_up: bool, own):
    """The question whether each of the slots that a complaint tells of is a report of its own, where the slot is looked up in it, behind the
    lines ``own`` of the column of slots, whose question it joins."""
    own = [*own]
    if group.places_told and group.prose:
        return [*own, *_of_planned(placing.heading("action"), group)]
    own += _recaps_each(placing, group) if is_looked_up else ()
    heading, slot = (placing.heading(name) for name in ("symptom", "position"))
    if placing.table != "tickets" or not is_looked_up or group.prose or heading not in group.cells:
        return own
    headings = [heading, *(() if slot else other_complaints(heading, placing, group))]
    named = group.cells[slot].column if slot in group.cells else repeat("")
    names = frozenset(map(str.casefold, desks_before_numbers(group.cells[heading].texts)))
    rows = ((one, row) for one in headings for row in enumerate(zip(group.cells[one].column, named)))
    told = [
        (at, one, text)
        for one, (at, (text, name)) in rows
        if text
        and not name
        and slots_told(text, names)
        and not says_planned(text)
        and not slots_recapped(text)  # those are no reports
    ]
    if not told:
        return own
    many, columns = len({at for at, *_ in told}), [*dict.fromkeys(one for _, one, _ in told)]
    said = [
        f"# Several slots stand in {many} of {len(group.cells[heading].texts)} cells, such as {quote(told[0][2])}. Such a row is one report, of",
        "# the first of them at most; if each of the slots failed by itself, let each have a report of its own:",
    ]
    line, both = f"several = {listed([slot])}", f"several = {listed([slot, *columns])}"
    if f"# ? {line}" in own:
        at = own.index(f"# ? {line}")
        return [*own[:at], *said, f"# ? {both}", *own[at + 1 :]]
    return [
        *own,
        *said,
        f"# {both}, in place of the line above." if line in own else f"# ? several = {listed(columns)}",
    ]


def _of_planned(heading, group):
    """The line by which each slot that re-caps told among complaints name is a row of its own, asked where other planned work names several
    too; none where a text says different things of several, for it is picked by its words."""
    places = tomllib.loads("\n".join(group.places_told))["repairs"]["lookup"]
    names = names_before(Lookup(heading, places.get("position", {}).get("words", {})))
    told = {text: slots for text in group.texts(heading) if (slots := slots_told(text, names))}
    if told and all({*slots.values()} == {text} for text, slots in told.items()):
        asks = "" if all(work_in_text(text) == RE_CAP for text in told) else "# ? "
        yield f"{asks}several = {listed([heading])}   # each slot that it names, such as in {quote(next(iter(told)))}, has a row of its own"


def _recaps_each(placing, group):
    """The line by which a re-cap of several slots is one of each, where the slot is looked up in the complaint or what was done."""
    heading = placing.heading("symptom" if placing.table == "tickets" else "action")
    told = dict.fromkeys(text for text in group.texts(heading) if len(slots_recapped(text)) > 1)
    if told and not placing.heading("position"):
        yield f"# A re-cap of several slots, such as {quote(next(iter(told)))}, is one of each, with an equal share of the time and the parts:"
        yield f"recaps_each = {listed([heading])}"
