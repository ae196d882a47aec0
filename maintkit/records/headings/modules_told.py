"""The sections of what is told of modules beside a list: those that the heads over lists name, their last re-caps, spares in a list of stock."""

import re
from dataclasses import replace

from maintkit.records.known_words.meanings import RE_CAP, meaning_of_cell, work_of_text
from maintkit.records.moves import ADDED, CAME_OUT, with_moves
from maintkit.records.remarks import DAY_OF

from .cell_words import lookup, quote
from .day_formats import year_or_month
from .evidence import yes_or_no
from .heads import each_once
from .left_out import places_of_no_desk
from .likeness import likeness_of_column
from .out_of_slot import is_of_cards
from .places import DESK_AND_SLOT, SURE, THE_DESK, Placing, place, targets_of
from .sections import sections_of
from .sheet_desks import SheetDesks
from .threads import without_lines
from .values import ENOUGH, Cells

BRIDGED = "bridge track"
FEWEST_MOVED = 2  # modules of which a list tells moves with their days


def modules_over_lists(group, source):
    """The sections of the modules that the heads over lists tell of, and of their re-caps: each head is a form of its own."""
    labels = [
        one for one in each_once([label for page in group.pages for label in page.head]) if one in group.cells
    ]
    cards = dict.fromkeys(zip(*(group.cells[one].column for one in labels), strict=True))
    cells = dict(zip(labels, (Cells(some) for some in zip(*cards, strict=True))))
    modules = place(targets_of(("modules",)), cells)["modules"]
    if not modules.heading("serial") or is_of_cards(group):
        return []
    bare = {"form": tuple(labels), "has_titles": False, "cells": cells, "struck": 0}
    heads = replace(group.with_pages(**bare), cells=cells, work_beside=True)
    return [*sections_of(heads, modules, [modules], source), *last_recaps(heads, [modules], source)]


def modules_in_slots(group, source, desks, *, are_listed):
    """The sections of the modules that a list of slots with their dated lines names, if no other list has them, and of their last re-caps."""
    if not group.pages[0].dated:
        return []
    bare = replace(without_lines(group), work_beside=True)
    rows = dict.fromkeys(zip(*(cells.column for cells in bare.cells.values()), strict=True))
    cells = dict(zip(bare.cells, map(Cells, zip(*rows, strict=True)), strict=True))
    cells = {one: own for one, own in cells.items() if own.texts}
    bare = replace(bare, cells=cells)
    says = group.pages[0].says
    own = {says.get(one, one): one for one in cells}
    placed = place(targets_of(("modules",)), {said: cells[one] for said, one in own.items()})
    modules = placed["modules"].renamed(own)
    are_new = "serial" in modules.names and not are_listed
    sections = sections_of(bare, modules, [modules], source, desks) if are_new else []
    return [*sections, *last_recaps(bare, [modules], source, desks)]


def last_recaps(group, likely, source, desks=None):
    """The sections of the re-caps that a list of modules tells the day or year of, beside each serial; and beside each slot, some of
    which name no module, where ``desks`` tells of the sheets whose they are."""
    named = {"serial", "position"} if desks else {"serial"}
    modules = [one for one in likely if one.table == "modules" and named & one.names]
    days = [
        heading
        for heading, cells in group.cells.items()
        if meaning_of_cell("action", heading) == RE_CAP and _tell_days(cells)
    ]
    if len(modules) != 1 or len(days) != 1 or days[0] in modules[0].columns:
        return []
    names = ("serial", *DESK_AND_SLOT) if desks else ("serial",)
    told = {one: (name, SURE) for name in names if (one := modules[0].heading(name))}
    told[days[0]] = ("done_on", SURE)
    rows = zip(*(group.cells[one].column for one in told), strict=True)
    columns = zip(*(row for row in rows if row[-1]), strict=True)
    cells = dict(zip(told, map(Cells, columns), strict=True))
    nameless = {"desk": THE_DESK} if desks and not modules[0].heading("desk") else {}
    placing = Placing("repairs", told, same={"action": RE_CAP} | nameless)
    others = tuple(heading for heading in group.cells if heading not in cells)
    of_days = replace(group.with_pages(others=others), cells=cells)
    return sections_of(of_days, placing, [placing], source, desks or SheetDesks(), modules[0])


def spares_on_the_shelf(group, likely, source):
    """The section of the shelf for the modules that a list of stock names among the parts."""
    if not group.spares:
        return []
    (stock,) = likely
    named, many = (stock.heading(name) for name in ("part_type", "on_hand"))
    rest = {heading: cells for heading, cells in group.cells.items() if heading not in (named, many)}
    columns = {named: ("serial", SURE)} | place(targets_of(("shelf",)), rest)["shelf"].columns
    told = {name for name, _ in columns.values()}
    since = (one for one in rest if likeness_of_column(one, "shelf", "shelf_in") >= SURE)
    for one in since if "shelf_in" not in told else ():  # years and months are as good as days
        if rest[one].share(year_or_month) + rest[one].dates >= ENOUGH:
            columns[one] = ("shelf_in", SURE)
            break
    return sections_of(group, Placing("shelf", columns), [stock, Placing("shelf", columns)], source)


def moved_to_the_shelf(group, likely, source, *, alone):
    """The sections of the modules, and of the shelf, for a list of moves that says of some that they went to a store, to somebody else, or
    away; that of the modules where it is ``alone`` to tell of them."""
    if len(likely) != 1 or likely[0].table != "fitments":
        return
    serial, place_of, day = map(likely[0].heading, ("serial", "position", "fitted_on"))
    words = places_of_no_desk(group.cells[place_of]) if place_of in likely[0].columns else ()
    if not words or not serial or not day:
        return
    modules = Placing("modules", {serial: ("serial", SURE)})
    shelf = Placing("shelf", modules.columns | {day: ("shelf_in", SURE), place_of: ("place", SURE)})
    if alone:
        yield from sections_of(replace(group, moved=True), modules, [modules], source)
    of_shelf = group.with_pages(where=(place_of, words, "shelf"))
    yield from sections_of(of_shelf, shelf, [shelf], source)


def moves_of_cards(group, likely, source):
    """The section of the stays of modules whose list tells, in one cell each, into which slots they went on which days."""
    modules = likely[0] if len(likely) == 1 and likely[0].table == "modules" else Placing("")
    serial, desk = map(modules.heading, ("serial", "desk"))
    for heading in group.cells if serial in modules.columns and desk in modules.columns else ():
        if heading in modules.columns:
            continue
        places = [*map([*group.cells].index, (heading, serial))]
        rows = zip(*(cells.column for cells in group.cells.values()), strict=True)
        read = [
            fields for _, fields, why in with_moves(((1, one, "") for one in rows), *places, 0) if not why
        ]
        if len({fields[places[1]] for fields in read}) < FEWEST_MOVED:
            continue
        cells = {
            one: Cells(column)
            for one, column in zip((*group.cells, *ADDED), zip(*read, strict=True), strict=True)
        }
        told = {
            serial: "serial",
            desk: "desk",
            heading: "position",
            DAY_OF: "fitted_on",
            CAME_OUT: "old_serial",
        }
        stays = Placing("fitments", {one: (name, SURE) for one, name in told.items()})
        line = f"moves = {{ {quote(heading)} = {quote(serial)} }}   # each move of a module into a slot is a stay of its own: {DAY_OF}, and {CAME_OUT} to make room"
        for one in sections_of(replace(group, cells=cells), stays, [modules, stays], source):
            yield replace(one, lines=[line, *one.lines])
        return


def tracks_bridged(group, likely, source, desks):
    """The sections of the tracks bridged that a remark beside work alone tells of: work of its own, no fault beside that of the row."""
    if len(likely) != 1 or likely[0].table != "repairs":
        return
    done = likely[0]
    names = ("done_on", "serial", *DESK_AND_SLOT)
    columns = {one: told for one, told in done.columns.items() if told[0] in names}
    placing = replace(done, columns=columns, same=done.same | {"action": BRIDGED, "planned": "yes"})
    if not placing.names & {"serial", "position"}:
        return
    for heading in (one for one in group.cells if one not in {*done.columns, *done.doubtful}):
        words = [one for one in group.cells[heading].unlike if work_of_text(one) == BRIDGED]
        if not words:
            continue
        counted = re.findall(r"\d ([^\W\d]+)", " ".join(words).casefold())
        many = {f"# {word}": "#" for word in counted}
        said = [*lookup("repairs.lookup.quantity", heading, within=True, words=many, otherwise="")]
        bridged = group.with_pages(where=(heading, words, "repairs"))
        for one in sections_of(bridged, placing, [placing], source, desks):
            yield replace(one, lines=[*one.lines, *(said if many else [])])


def _tell_days(cells):
    """Whether cells are days or years, or here and there a mere yes."""
    told = cells.dates + cells.years
    return told >= 1 - ENOUGH and told + cells.share(yes_or_no) >= ENOUGH
