"""The lines of a drafted mapping that say what the words in cells mean: closed sets, outcomes in words, desk and slot in one."""

import json
import re
from collections import Counter
from functools import partial

from maintkit.actions import ACTIONS, OTHER
from maintkit.records.durations import minutes_of
from maintkit.records.known_words.meanings import DESIGNATOR, NOT_THE_DESK, RE_CAP, SWAP, meaning_of_cell
from maintkit.records.known_words.no_report import says_charge, says_no_report, says_planned
from maintkit.records.known_words.outcomes import NOTHING_FOUND, outcome_of_finding
from maintkit.records.known_words.part_kinds import part_in_text, work_in_column
from maintkit.records.known_words.words import heading_of, is_wholly, section_of, vocabulary, words_in
from maintkit.records.lookups import (
    A_NUMBER_SIGN,
    AT_THE_BEGINNING,
    meaning_of,
)
from maintkit.records.mapping import LEAVE_OUT, Lookup
from maintkit.records.row_above import TOTAL
from maintkit.records.several import slots_recapped

from .desk_codes import begins_otherwise, words_for_desks
from .desks_in_text import bare_before, desks_before_numbers, rooms_of, shown_behind
from .evidence import asked, yes_or_no
from .likeness import LEAST_WORDS, SURE, likeness_of_column
from .slots_named import (
    OF_A_CHANNEL,
    SENDS,
    as_one_word,
    begun_with,
    channels_called,
    is_bare_slot,
    numbered,
    numbers_are_of_gear,
    numbers_told,
    other_complaints,
    slot_named,
    slots_without_number,
    slots_without_word,
    supplies_named,
    supplies_numbered,
    tells_slot,
    without_slot,
)
from .values import ENOUGH, NOTHING
from .work_told import work_of_cause

FILLED_FROM = 0.1  # share of complaints beside which no slot stands, from which these are asked for it
LONGEST_ALIKE = 2  # letters of a desk that may be a word of its own, as "a" is
LEAST_NAMED = 0.25  # share of complaints that name a slot from which they are asked for it
BEFORE_A_NUMBER = re.compile(
    r"([^\W\d_]{1,20}) ?\d{1,3}\b"
)  # as a desk stands where another is told by its slot's word
BEHIND_A_SLOT = re.compile(
    r"\w?\s+(?:on|of|in|at|auf|vom|von|am)\s+(?:the\s+)?((?:[A-Z][\w'-]+)(?: [A-Z][\w'-]+)?)"
)
# of a slot within a sentence, and texts that name it so
SIGNED, FEWEST_SIGNED = re.compile(r"#\d{1,3}\b"), 2
FEWEST_BEHIND = 3  # times that a desk stands behind a slot
NAME_DESKS = 0.8  # share of those that name a slot after a desk, from which the desk is asked for as well
# figures or letters of slots among which 0 is none, and the share of the different ones that have so many
A_LONG_NUMBER, MOSTLY_LONG = 3, 0.9
MOST_STATES = 12  # different cells of a column that says how far a report is
# Different cells of a closed set written out one by one; of work, asked about.
MOST_WORDS, MOST_ASKED = 40, 12
# Times, and share of the rows, from which the same words that tell no work that is known are a round.
OFTEN, ROUND = 8, 0.2
WORK = [one.name for one in ACTIONS]


def closed_set(table, column, heading, cells, told):
    """The section of the words of one closed set: those understood, those ``told`` by the rows they stand in, and as questions the others."""
    if column.kind == "minutes":
        yield from _lengths_in_words(table, column, heading, cells)
    section = section_of(column)
    if not column.choices or column.name == "action":
        return  # of work: work_in_words
    known, open_words = {}, []
    yes = asked(column.name, heading_of(heading), cells)
    for text in cells.folded:
        if text in column.choices and not yes:
            continue
        meaning = (meaning_of_cell(section, text) if section else "") or told.get(text, "")
        if yes and (not meaning or meaning_of_cell("yes_no", text)):
            meaning = _asked_meaning(yes, text)
        if column.name == "outcome" and not meaning and says_no_report(text):
            continue  # left out
        tells_none = _says_unknown(text) or (column.name == "outcome" and is_wholly("no_outcome", text))
        if meaning is None or (not meaning and not yes and not tells_none):
            open_words.append(text)
        elif text != meaning:
            known[text] = meaning
    if not known and not open_words:
        return
    yield ""
    yield f"[{table.name}.values.{column.name}]"
    yield from (f"{quote(text)} = {quote(meaning)}" for text, meaning in list(known.items())[:MOST_WORDS])
    if open_words:
        first, blank = (column.choices[0], "") if column.required else ("", ', or "" to leave the cell blank')
        yield f"# Not understood; one of: {', '.join(column.choices)}{blank}."
        yield from (f"# ? {quote(text)} = {quote(first)}" for text in open_words[:MOST_WORDS])


def _lengths_in_words(table, column, heading, cells):
    """The question how long it took where cells say a morning or a day again and again, or a fraction under a heading that does not say hours."""
    in_hours = heading_of(heading).says_hours
    unknown = [
        one
        for one, many in Counter(map(str.casefold, cells.texts)).items()
        if many > 1 and minutes_of(one, in_hours=in_hours) is None and not any(map(str.isdigit, one))
    ]
    if unknown:
        yield ""
        yield f"[{table.name}.values.{column.name}]"
        yield "# How long is that? Write it into these lines; until then such a cell counts as blank."
        for text in unknown[:MOST_ASKED]:
            of_an_hour = minutes_of(text, in_hours=True)
            yield f"# ? {quote(text)} = {quote(f'{of_an_hour:.4g} min' if of_an_hour else '3 h')}"


def planned_in_words(heading, cells, *, is_work):
    """The lookup of what was planned, where a column, be it of the work itself, says here and there that it is care that comes round."""
    care = (text for text in cells.folded if says_planned(text))
    # a re-cap is planned as it is
    words = {text: "yes" for text in care if not (is_work and work_in_column(text) == RE_CAP)}
    if words and len(words) < len(cells.folded):
        note = "care that comes round, and no fault"
        yield from lookup("repairs.lookup.planned", heading, note, words=words, otherwise="")


def _says_unknown(text):
    """Whether a cell says that it is not known, and no more; a mere no is none."""
    known = vocabulary().choices
    return known["cause"].get(words_in(text)) == "unknown" and words_in(text) not in known["yes_no"]


def work_in_words(heading, cells, parts=(), swaps=(), recaps=(), *, undated=(), work_of=None):
    """The lookup of what was done where a column says it in its own words; none where all are those of the record book.

    A text that says nothing, but has a part in every row beside it (``parts``), is a replacement, one with two modules (``swaps``) a
    swap; any other such is work of another kind, and asked about. ``recaps`` are headings that say beside it of some rows that they are
    re-caps, ``undated`` texts that stand beside no day. ``work_of`` says what a text tells; where it is None, by the heading: of causes the part they name tells it too.
    """
    work_of = work_of or (work_of_cause if says_cause(heading) else work_in_column)
    texts = Counter(text.casefold() for text in cells.texts)
    told = {text: text if text in WORK else work_of(text) for text in texts}
    if not any(text != meaning for text, meaning in told.items()):
        return
    left = {text: "beside no day, and no work" for text in undated if _tells_no_work(text, told)}
    left |= {text: "no work on a desk" for text in told if not told[text] and says_charge(text)}
    silent = [text for text, one in told.items() if not (one or text in left or TOTAL.fullmatch(text))]
    may_be = [
        text
        for text, meaning in told.items()
        if text in silent or (meaning == "replace" and not part_in_text(text))
    ]
    swapped = _with_beside(may_be, cells, swaps)
    replaced = [text for text in _with_beside(silent, cells, parts) if text not in swapped]
    often = silent if len(texts) > MOST_STATES else []
    rounds = [text for text in often if texts[text] >= max(OFTEN, ROUND * len(cells.texts))]
    rounds += [text for text in silent if text not in rounds and _is_one_of(rounds, text)]
    none = [*({*cells.column} & NOTHING - {"?"}), *(text for text in silent if _says_none(text))]
    silent = [text for text in silent if text not in (*swapped, *replaced, *rounds, *none)]
    silent.sort(key=lambda text: (not (part_in_text(text) or DESIGNATOR.search(text)), -texts[text]))
    own = {text: one for text, one in told.items() if one and one != text and text not in (*swapped, *left)}
    if len(own) > MOST_WORDS:  # the known words tell the others
        own = {text: one for text, one in own.items() if one != work_in_column(text)}
    note = "what was done: by the words below, then by the words of work that are known"
    note += f"; a re-cap where {' or '.join(map(quote, recaps))} says so" if recaps else ""
    why = "what neither tells is work of another kind: it counts, and renews no part"
    rule = {"also": [*recaps] or None, "known_words": True, "otherwise": OTHER}
    yield from lookup("repairs.lookup.action", heading, note, why=why, **rule)
    if own or swapped or replaced or rounds or none or silent or left:
        yield "[repairs.lookup.action.words]"
    yield from (f"{quote(text)} = {quote(meaning)}" for text, meaning in own.items())
    yield from (f"{quote(text)} = {quote(SWAP)}   # two modules stand beside it" for text in swapped)
    yield from (f'{quote(text)} = "replace"   # a part stands beside it' for text in replaced)
    yield from (f'{quote(text)} = "test"   # nothing was done' for text in sorted(none))
    yield from (f"{quote(text)} = {quote(LEAVE_OUT)}   # {why}" for text, why in left.items())
    if rounds:
        yield "# The same words again and again are taken as a round, which mends nothing; if they mend something, write what."
    yield from (f'{quote(text)} = "test"' for text in rounds if text not in (*swapped, *replaced))
    # Of those that differ in the place alone, one.
    silent = [*{DESIGNATOR.sub("#", text): text for text in reversed(silent)}.values()][::-1]
    if silent:
        yield f"# These say no work that is known and are taken as other, which they may stay; where a better word fits, write it: {', '.join(WORK)}."
        yield from (f"# ? {quote(text)} = {quote(OTHER)}" for text in silent[:MOST_ASKED])
        if len(silent) > MOST_ASKED:
            yield f"# And {len(silent) - MOST_ASKED} more."


def _tells_no_work(text, told):
    """Whether a text tells no work that is known, or that it was none of the desk's."""
    return not told[text] or outcome_of_finding(text) == NOT_THE_DESK


def says_cause(heading):
    """Whether a heading says what was found to be the cause, and not what was done."""
    found, done = (likeness_of_column(heading, "repairs", name) for name in ("finding", "action"))
    return found >= SURE > done


def _is_one_of(rounds, text):
    """Whether a text is the words of a round and a time or the like, and tells nothing more."""
    return any(one in text for one in rounds) and len(re.split(r"[,;:.] ", text)) == 1


def work_in_complaint(heading, *, is_done: bool):
    """The lookup of what was done where the complaint tells it too, as in ``ch 14 crackles, fader cleaned``; another row is no work, but
    where each tells a job that ``is_done``."""
    rest = "is work of another kind" if is_done else "is no work"
    note = f"what was done, by the words of work that are known; a text without any {rest}"
    otherwise = OTHER if is_done else LEAVE_OUT
    yield from lookup("repairs.lookup.action", heading, note, known_words=True, otherwise=otherwise)


def swaps_of_moves(heading, cells):
    """The lookup of what was done where rows say what came out and what went in: the latter was swapped in."""
    out = {text: LEAVE_OUT for text in cells.folded if is_wholly("taken_out", text)}
    note = "of what came out and what went in the latter is counted, as a module swapped"
    yield from lookup("repairs.lookup.action", heading, note, words=out, otherwise=SWAP)


def replaced_or_not(heading, cells, *, is_asked):
    """The lookup of the action under a heading that names the part replaced, or asks whether one was, where some cells say none,
    or that all capacitors were."""
    said = {text: LEAVE_OUT for text in cells.folded if _says_none(text)}
    said |= {text: RE_CAP for text in cells.folded if meaning_of_cell("action", text) == RE_CAP}
    if is_asked:
        said = {text: "replace" for text in cells.folded if meaning_of_cell("yes_no", text) == "yes"} | said
    if said:
        note = "what says that nothing was replaced is no work, and what says all capacitors a re-cap"
        otherwise = None if is_asked else "replace"
        yield from lookup("repairs.lookup.action", heading, note, words=said, otherwise=otherwise)


def _says_none(text):
    """Whether a cell of parts replaced says that there was none."""
    words = {*words_in(text)} - {"part", "parts", "teil", "teile", "replaced", "ersetzt"}
    no = meaning_of_cell("yes_no", text) == "no" or meaning_of_cell("outcome", text) in NOTHING_FOUND
    return no or bool(words) and words <= vocabulary().negations


def _with_beside(words, cells, beside):
    """The words that stand in no row with nothing beside them; none where there is no such column."""
    without = {text.casefold() for text, one in zip(cells.column, beside, strict=False) if not one}
    return [word for word in words if beside and word not in without]


def _asked_meaning(yes, text):
    """What yes or no means where the heading asks about one choice; None where the cell is neither."""
    no = "no fault found" if yes == "fault found" else ""
    return {"yes": yes, "no": no}.get(yes_or_no(text))


def places_in_text(placing, group, names=("symptom",), otherwise=""):
    """The lookups of desk and slot where no column has them, but the complaint names them, as in ``Heron ch 12 no signal``.

    ``names`` are the columns that may, the first of which is there is read; ``otherwise`` is the slot of a text that names none.
    A column of slots with many blank cells is filled from the texts beside these.
    """
    heading, slot = next(filter(None, map(placing.heading, names)), ""), placing.heading("position")
    if heading not in group.cells or (slot and slot not in placing.columns):
        return
    texts = _beside_no_slot(group.cells[heading], group.cells[slot]) if slot else group.cells[heading].texts
    if slot and len(texts) < FILLED_FROM * len(group.cells[heading].texts):
        return
    also = () if slot or group.prose or names != ("symptom",) else other_complaints(heading, placing, group)
    rows = [
        (text, *rest) for text, *rest in zip(*(group.cells[one].column for one in (heading, *also))) if text
    ]
    known, of_gear = vocabulary().in_cells["position"], numbers_are_of_gear(texts)
    texts = [max(told, key=partial(tells_slot, of_gear=of_gear)) for told in rows] if also else texts
    found = [(text, one) for text in texts if (one := slot_named(text, of_gear))]
    has_place = slot or placing.heading("desk")
    desks, behind = ([], []) if has_place else _desks_told(found, texts, group.prose)
    after_desk = re.compile(rf"\b(?:{'|'.join(map(re.escape, desks))}) ?\d{{1,3}}\b", re.IGNORECASE)
    told = {text for text, _ in found}
    bare = [text for text in texts if desks and text not in told and after_desk.search(text)]
    begun, called = begun_with(texts, told), ""
    if "action" in names and (recapped := [one for one in texts if one not in told and slots_recapped(one)]):
        begun, called = begun + recapped, channels_called(heading, group)
    alone, numbers = {}, numbers_told(texts, found)
    if not (slot or group.prose):
        alone = slots_without_word(texts, numbers)
    if len(found + bare + begun) + len(set().union(*alone.values())) < max(1, LEAST_NAMED * len(texts)):
        return
    said = "the complaint" if names == ("symptom",) else "what was found or done"
    slots = as_one_word(Counter(word for _, one in found if (word := numbered(one[0])) != "in #"), called)
    several = [text for text in texts if len({one[0] for one in known.finditer(text.lower())}) > 1]
    of_a_channel = next((one for one in slots.values() if one in OF_A_CHANNEL), called)
    slots |= {f"{desk.casefold()} #": shown_behind(desk, texts, of_a_channel) for desk in desks if bare}
    signs = [] if of_gear else [text for text in texts if text not in told and SIGNED.search(text)]
    slots |= {AT_THE_BEGINNING: of_a_channel or "#"} if begun else {}
    slots |= {A_NUMBER_SIGN: of_a_channel or "#"} if len(signs) >= FEWEST_SIGNED else {}
    if not slots and not group.prose:
        return  # "in 3" days
    if before := group.prose or desks:
        slots |= bare_before(before, texts, of_a_channel or ("ch #" if group.prose else "#"))
    desks = before or behind
    rooms = rooms_of(texts, desks)
    slots |= dict.fromkeys(rooms, of_a_channel or "#")
    if group.prose:
        yield from _desk_in_prose(placing.table, heading, desks, slots)
    elif desks:
        yield from _desk_before_slots(f"{placing.table}.lookup.desk", heading, said, desks, slots, rooms)
    said = f"where no slot stands under {slot}, {said} may name it" if slot else f"{said} names the slot"
    place, note = f"{placing.table}.lookup.position", f"{said}; # stands for its number"
    supplies = supplies_numbered(texts) if names == ("symptom",) and not group.prose else {}
    if not (slot or group.prose):  # a supply's number before its word alone
        slots |= dict.fromkeys(alone, of_a_channel or "#") | supplies | supplies_named(texts, numbers)
    slots = dict(sorted(slots.items(), key=lambda one: one[1] in SENDS))
    if names == ("symptom",) and not group.prose:
        slots |= slots_without_number(group.reported.listed, [text for told in rows for text in told])
        slots |= supplies
    more = {"also": [*also]} if also else {}
    yield from lookup(place, heading, note, **more, within=True, words=slots, otherwise=otherwise)
    yield from first_alone(several, texts)
    if names == ("symptom",) and not slot and not group.prose:
        yield from without_slot(rows, Lookup(heading, slots, within=True))


def _desk_before_slots(place, heading, said, desks, slots, rooms):
    """The lookup of the desk in texts that name it before the slot, or by its room; a short name only there."""
    short = [desk for desk in desks if len(desk) <= LONGEST_ALIKE]
    called = {f"{desk.casefold()} {word}": desk for desk in short for word in slots.values()}
    called |= {desk.casefold(): desk for desk in desks} | rooms
    note = f"{said} names the desk"
    note += "; give two names of one desk the same name behind the =" if len(desks) > 1 else ""
    yield from lookup(place, heading, note, within=True, words=called)


def _beside_no_slot(cells, slots):
    """The texts beside which no slot stands, or no more than the word for one."""
    pairs = zip(cells.column, slots.column, strict=True)
    return tuple(text for text, slot in pairs if text and (not slot or is_bare_slot(slot)))


def bare_slots(table, slot, cells):
    """The section that makes a cell which says no more than channel, or 0 among long numbers, a blank one."""
    bare = [text for text in cells.folded if is_bare_slot(text)] if cells.slots >= ENOUGH else []
    others = [text for text in cells.folded if text.strip("0")]
    if sum(len(text) >= A_LONG_NUMBER for text in others) > MOSTLY_LONG * len(others):
        bare += [text for text in cells.folded if text not in others]
    if bare:
        many = sum(text.casefold() in bare for text in cells.texts)
        yield from (
            "",
            f"[{table}.codes.{quote(slot)}]   # which one is not said, in {many} of {len(cells.texts)} cells",
        )
        yield from (f'{quote(text)} = ""' for text in bare)


def _desk_in_prose(table, heading, desks, slots):
    """The lookup of the desk in prose: a report that names a slot alone is turned away, and what names neither left out."""
    alone = "" if table == "tickets" else LEAVE_OUT
    names = {desk.casefold(): desk for desk in desks}
    names |= {word: alone for word in slots if not word.startswith("#")}
    said = ", a report that names a slot alone is turned away" if table == "tickets" else ""
    place, note = f"{table}.lookup.desk", f"the prose names the desk{said}"
    why = "what names neither is of other matters, and counted as left out"
    yield from lookup(place, heading, note, within=True, words=names, otherwise=LEAVE_OUT, why=why)


def _desks_told(found, texts, prose):
    """The desks that stand before slots, and those that stand behind, where none stand before or prose names its own."""
    before = _desks_before(found, texts)
    told = () if prose else desks_before_numbers(texts)
    before = [*told] if len(told) > len(before) else before
    return before, [] if before else _desks_behind(found)


def _desks_before(found, texts):
    """The names that stand before the word for a slot and begin two complaints or more; none where too few of these name one. That of a send is
    of none, for a slot may stand before it."""
    found = [(text, one) for text, one in found if numbered(one[0]) not in SENDS]
    names = Counter(text[: one.start()].strip(" ,;:-") for text, one in found)
    starts = {name: re.compile(rf"{re.escape(name)}\b", re.IGNORECASE) for name in names if name}
    desks = [name for name, start in starts.items() if sum(map(bool, map(start.match, texts))) > 1]
    if not desks or sum(names[name] for name in desks) < NAME_DESKS * len(found):
        return []
    told = {text for text, _ in found}
    alike = Counter(one[1] for text in texts if text not in told and (one := BEFORE_A_NUMBER.match(text)))
    return [*desks, *(name for name, many in alike.items() if many > 1 and name not in desks)]


def _desks_behind(found):
    """The names that stand behind the slot, as in ``ch 6 on Hector``, again and again; none where too few complaints name one."""
    behind = [BEHIND_A_SLOT.match(text[one.end() :]) for text, one in found]
    names = Counter(one[1] for one in behind if one)
    desks = [name for name, many in names.most_common() if many >= FEWEST_BEHIND]
    return desks if sum(names[name] for name in desks) >= NAME_DESKS * len(found) else []


def first_alone(several, texts, counts="counts there"):
    """What to know where texts name more than one of what is looked up in them."""
    if several:
        yield f"# More than one stands in {len(several)} of {len(texts)} cells, such as {quote(several[0])}: the first alone {counts}."


def desk_and_slot(table, heading, desks, cells, *, alone=False):
    """The lookups of a cell such as ``Heron 12``, of the desk ``alone`` or of both; one that names no desk, such as ``stores``, is in
    none, but under a heading that says desk or machine each that is called otherwise is one of its own."""
    are_kinds = desks == cells.kinds
    desk, slot = (
        likeness_of_column(heading, "tickets", name) >= LEAST_WORDS for name in ("desk", "position")
    )
    named = Lookup(heading, words_for_desks(desks), within=True)
    others = [text for text in cells.unlike if meaning_of(text.casefold(), named) is None]
    in_codes = desks == cells.desk_codes
    of_list, of_stays = in_codes and table in ("tickets", "repairs"), in_codes and table == "fitments"
    gear = [text for text in others if of_stays or (of_list and begins_otherwise(text, desks))]
    are_desks = desk and not slot and table != "modules" and not in_codes
    meanings = dict(named.words)
    for text in others:
        if text not in gear:
            meanings.setdefault(text.casefold(), text if are_desks else "")
    note, otherwise, why = "desk and slot stand in one cell", None, ""
    if gear:
        many = sum(map(cells.unlike.get, gear))
        note += f"; {many} of {len(cells.texts)} name neither, such as {quote(gear[0])}"
        what = "in no desk" if of_stays else "other gear"
        otherwise, why = LEAVE_OUT, f"{what}; such rows are counted as left out"
    if are_kinds:
        yield ""
        yield "# Each thing is called by its kind, which is taken for the desk, and by its place, which is taken for the slot."
    rule = {"within": True, "words": meanings, "otherwise": otherwise}
    yield from lookup(f"{table}.lookup.desk", heading, note, why=why, **rule)
    if not alone:
        yield from lookup(f"{table}.lookup.position", heading, rest_of="desk")


def lookup(place, heading, note="", *, why="", **settings):
    """The lines of the lookup at a place, ``note`` behind its name: the heading it reads, then its settings in their order.

    A setting that is None is left out; ``why`` stands behind the last.
    """
    lines = ["", f"[{place}]   # {note}" if note else f"[{place}]", f"from = {quote(heading)}"]
    lines += [f"{name} = {_as_toml(value)}" for name, value in settings.items() if value is not None]
    yield from (*lines[:-1], f"{lines[-1]}   # {why}" if why else lines[-1])


def _as_toml(value):
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{quote(word)} = {quote(meaning)}' for word, meaning in value.items())} }}"
    if isinstance(value, list):
        return listed(value)
    return "true" if value is True else quote(value)


def with_open_numbers(text):
    """A text with # for each number in it, as a mapping has it where any number may stand."""
    return re.sub(r"\d+", "#", text)


def quote(text):
    return json.dumps(text, ensure_ascii=False)


def listed(texts):
    return f"[{', '.join(map(quote, texts))}]"
