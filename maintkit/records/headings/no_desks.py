"""The lines of a drafted mapping for names and rows that are of no desk: other gear, other trades, things of the house."""

import re
from collections import Counter

from maintkit.records.folding import fold_desk
from maintkit.records.known_words.no_report import says_planned
from maintkit.records.known_words.words import is_plain_gear, says, vocabulary, words_in

from .cell_words import listed, quote
from .evidence import are_gear, says_desk_alone
from .likeness import SURE, likeness_of_column
from .short_names import in_short, told_together
from .slots_named import names_a_slot

SELDOM_NAMED, FEWEST_SELDOM = 2, 2  # times that a name comes, and such names
OFTEN_NAMED = 0.7  # share of rows of the names that come more often
PARTS_OF_A_DESK = {"module", "modules", "modul", "card", "cards", "karte", "slot", "rack"}
# Shares of the reports of a name that tell of a slot, and of other things, from which it is a desk or none; of slots told of none.
NAME_SLOTS, HARDLY = 0.4, 0.15
MOST_TRADES, TRADES_AGAIN = 24, 0.34  # different cells of a column of trades, at most, and of so many
MOSTLY_DESKS = 0.5  # share of cells that say desk and no more, in a column of kinds of gear


def perhaps_no_desks(heading, group, reports):
    """The line of names that are plainly other gear, and the question whether names are desks at all that say other gear or things of the
    house, come once or twice among desks named again and again, or whose complaints tell of such things and hardly ever of a slot."""
    cells = group.cells[heading]
    times = Counter(fold_desk(text) for text in cells.texts)
    names = {fold_desk(text): text for text in reversed(cells.texts)}
    told = {
        *map(fold_desk, told_together(cells.texts) | in_short(cells.texts))
    }  # of a desk named otherwise too
    seldom = [name for name, many in times.items() if many <= SELDOM_NAMED and name not in told]
    often = sum(times[name] for name in times if name not in seldom)
    seldom = seldom if len(seldom) >= FEWEST_SELDOM and often >= OFTEN_NAMED * len(cells.texts) else []
    said = [name for name in times if _of_other_things(names[name]) and not says("desk", names[name])]
    told_so = {*_told_of_other_things(cells, group, reports)}
    gear = plain_gear(heading, group, reports)
    asked_of = {*seldom, *said, *told_so} - group.listed - {*map(fold_desk, gear)}
    asked_of = [names[name] for name in times if name in asked_of] if len(asked_of) < len(times) else []
    why = "not of a desk; they are counted as left out"
    yield from leave_out_lines(heading, gear, why, asked_of, "may be no desks")


def leave_out_lines(heading, words, why, asked=(), what=""):
    """The setting of the cells that leave a row out, and why; and the question of those ``asked`` about, which are ``what``, in one with it."""
    question = (
        f"# These {what}. Take those that are out of the next line, then its # ?; rows left out are counted."
    )
    if words and asked:
        yield f"leave_out.{quote(heading)} = [   # {why}"
        yield f"{', '.join(map(quote, words))},"
        yield from (question, f"# ? {', '.join(map(quote, asked))},", "]")
    elif words:
        yield f"leave_out.{quote(heading)} = {listed(words)}   # {why}"
    elif asked:
        yield from (question, f"# ? leave_out.{quote(heading)} = {listed(asked)}")


def tells_of_no_desk(text: str) -> bool:
    """Whether a complaint tells of other gear, of the house or of how warm a room is, and names no desk, slot or supply.

    Examples
    --------
    >>> [tells_of_no_desk(text) for text in ("headphone box crackles", "air con drips", "too hot in here again, 31 deg at the desk")]
    [True, True, True]
    >>> [tells_of_no_desk(text) for text in ("talkback doesn't work. Laptop slow, too", "lamp out", "ch 3 laptop input dead", "desk hums beside the laptop", "talkback mic dead")]
    [False, False, False, False, False]
    """
    clauses = re.split(r"[.;!?]\s", text)
    told = [*filter(_names_other_things, clauses)]
    rest = [one for one in clauses if one not in told]
    return bool(told) and not any(
        says("symptom", one) or {*words_in(one)} & vocabulary().negations for one in rest
    )


def _names_other_things(clause):
    if any(says(kind, clause) for kind in ("position", "the_supply")):
        return False
    named = (says("apart", clause) or says("house", clause)) and not says("desk", clause)
    return bool(named or says("comfort", clause))


def plain_gear(heading, group, reports):
    """The names of a column of desks that are plainly other gear, no row of which has a slot, as a desk called so would, and no list of desks."""
    cells = group.cells[heading]
    slot = reports.heading("position")
    slots = group.cells[slot].column if slot in group.cells else [""] * len(cells.column)
    slotted = {name for name, one in zip(cells.column, slots, strict=True) if one}
    names = [text for text in cells.unlike if is_plain_gear(text) and fold_desk(text) not in group.listed]
    return [text for text in names if text not in slotted] if len(names) < len(cells.unlike) else []


def _told_of_other_things(cells, group, reports):
    """The names whose complaints tell of other gear or of the house again and again, and hardly ever of a slot, as those of other names do."""
    said, slot = reports.heading("symptom"), reports.heading("position")
    texts = [
        own.column
        for one, own in group.cells.items()
        if one == said or likeness_of_column(one, "tickets", "symptom") >= SURE
    ]
    slots = group.cells[slot].column if slot in group.cells else [""] * len(cells.column)
    slotted, others, times = Counter(), Counter(), Counter(fold_desk(text) for text in cells.texts)
    for name, own, *told in zip(cells.column, slots, *texts, strict=True):
        of_slot = bool(own) or any(map(names_a_slot, told))
        slotted[fold_desk(name)] += of_slot
        others[fold_desk(name)] += not of_slot and any(map(_of_other_things, told))
    shares = {name: (slotted[name] / many, others[name] / many) for name, many in times.items() if name}
    are_desks = any(
        of_slot >= NAME_SLOTS and times[name] > SELDOM_NAMED for name, (of_slot, _) in shares.items()
    )
    return [
        name
        for name, (of_slot, other) in shares.items()
        if are_desks and times[name] > SELDOM_NAMED and of_slot <= HARDLY and other >= NAME_SLOTS
    ]


def _of_other_things(text):
    return bool(says("other_gear", text) or says("house", text))


def perhaps_other_trades(heading, cells):
    """The question whether rows are of a desk of which a column says another trade, such as ``kitchen`` or ``network``, where others say desk."""
    if others := other_trades(cells):
        counts = ", ".join(f"{quote(text)} {cells.unlike[text]}" for text in others)
        yield f"# {quote(heading)} may tell desks from other things: of {len(cells.texts)} rows {counts}."
        yield "# Take what is of a desk out of the next line, then its # ?; rows left out are counted."
        yield f"# ? leave_out.{quote(heading)} = {listed(others)}"


def other_trades(cells) -> list[str]:
    """The cells of a column of trades that say none of desks, where some say desk; none of any other column. Planned work is no trade."""
    if cells.different > min(MOST_TRADES, TRADES_AGAIN * len(cells.texts)) or cells.mean_words >= 2:
        return []
    of_others = [text for text in cells.unlike if _of_other_things(text) and not says("desk", text)]
    if len(of_others) < FEWEST_SELDOM or not any(says("desk", text) for text in cells.unlike):
        return []
    others = {*of_others, *_of_no_desk(cells)}
    return [text for text in cells.unlike if text in others and not says_planned(text)]


def perhaps_other_gear(heading, cells, alone=()):
    """The question whether slots are of a desk at all that say other gear, or are one of those ``alone`` beside sections with slots."""
    if cells.desk_codes:
        return  # the letters of a code tell it
    gear = {text for text in cells.unlike if says("other_gear", text) and not says("position", text)}
    gear = gear if len(gear) >= FEWEST_SELDOM else set()  # one may be a module called so
    if asked_of := [text for text in cells.unlike if text in gear.union(alone)]:
        yield "# These may be no slots of a desk. Take those that are out of the next line, then its # ?; rows left out are counted."
        yield f"# ? leave_out.{quote(heading)} = {listed(asked_of)}"


def of_other_gear(cells):
    """The cells that say neither desk nor part of one, where most say desk and nothing else, or nearly all that or other gear."""
    if not are_gear(cells) and cells.share(says_desk_alone) < MOSTLY_DESKS:
        return []
    return _of_no_desk(cells)


def _of_no_desk(cells):
    """The cells that say neither desk nor part of one; a mic is none, unless some say other parts, for it may be a module called so."""
    of_a_desk = ("desk", "module_type", "position")
    said = [
        text
        for text in cells.unlike
        if any(says(one, f"{text} 1") for one in of_a_desk) or PARTS_OF_A_DESK & {*words_in(text)}
    ]
    tells_parts = any(
        not (is_plain_gear(one) or says("desk", one) or says("the_supply", one)) for one in said
    )
    return [text for text in cells.unlike if text not in said or (is_plain_gear(text) and not tells_parts)]
