"""The desk of work that names slots or modules and no desk, as a drafter sees it: the one that has such slots."""

import re
from collections import defaultdict

from maintkit.records.folding import fold_name, fold_slot
from maintkit.records.known_words.words import words_in

from .cell_words import quote
from .places import DESK_AND_SLOT, THE_DESK
from .work_told import ONE_WORK

TO_WRITE = "…"  # stands for a desk where nothing tells it
LONG_ENOUGH = 4  # letters of a name that stands in a title by no chance
NUMBER = re.compile(r"\d+")
TOLD_BY = ("modules", "fitments")  # tables that say where a module sits
MOSTLY = 0.5  # share of the modules named that another list has, from which that tells where they sit, and of the work that answers a report

# slots that other desks alone have, of those that work without a desk names, from which it is of several; share of them
FEWEST_OF_OTHERS, OF_OTHERS = 3, 0.2


def desk_of_work(placing, group, fed) -> str:
    """The desk that work without one is perhaps of, among those that other sheets name; ``THE_DESK`` where none names any, '' where
    the work, or a list of its modules, tells it."""
    is_told = "desk" in placing.names | placing.in_doubt or _answers_reports(placing, group, fed)
    if placing.table != "repairs" or is_told or _are_listed(group.texts(placing.heading("serial")), fed):
        return ""
    desks = _slots_of_desks(fed)
    if not desks:
        return THE_DESK
    own = {_bare(text) for name in ("position", "serial") for text in group.texts(placing.heading(name))}
    alike = {desk: len(own & slots) for desk, slots in desks.items()}
    most = max(alike, key=alike.get)
    of_others = own & set().union(*desks.values()) - desks[most]
    is_of_several = len(of_others) >= max(FEWEST_OF_OTHERS, OF_OTHERS * len(own))
    is_of_several = is_of_several and placing.same.get("action") not in ONE_WORK
    return most if alike[most] and not is_of_several else TO_WRITE


def say_whose(fed, desks):
    """Let work that names slots or modules and no desk be of the one whose name stands over it or in the name of its sheet, of some ``desks``."""
    for group, tables in fed:
        titles = [words_in(f"{page.name} {page.above}") for page in group.pages]
        named = [
            one for one in desks if len(one) >= LONG_ENOUGH and all(_stands_in(one, own) for own in titles)
        ]
        for work in (*tables.likely, *tables.rival) if len(named) == 1 else ():
            if work.table == "repairs" and "desk" not in work.names | work.in_doubt and not tables.likely[1:]:
                work.same["desk"] = named[0]


def _stands_in(name, words):
    """Whether the words of a name stand one behind the other among others."""
    own = [*words_in(name)]
    return bool(own) and any([*words[at : at + len(own)]] == own for at in range(len(words)))


def desk_asked(desk, same):
    """The lines of what is the same in every row, and the question whether that ``desk`` is too."""
    yield from (f"same.{name} = {quote(text)}" for name, text in same.items())
    yield "# No column names the desk, and no list of modules tells it. Until it is told here none of this work is counted for a desk."
    if desk in (TO_WRITE, THE_DESK):
        yield "# Write its name in the next line; where it is of several desks, give each row its desk, or the number of its report:"
    else:
        yield "# Of the desks named elsewhere this one has such slots oftenest. Write another name where it is not that:"
    yield f"# ? same.desk = {quote(desk)}"


def _answers_reports(placing, group, fed):
    """Whether most of the work has the number of a report, and reports are listed, or may be: their desk is its own."""
    listed = any(one.table == "tickets" for _, tables in fed for one in (*tables.likely, *tables.rival))
    rows = max(cells.rows for cells in group.cells.values())
    has_numbers = len(group.texts(placing.heading("ticket"))) >= MOSTLY * rows
    return listed and (has_numbers or "ticket" in placing.in_doubt)


def _are_listed(serials, fed):
    """Whether most serials stand in a list of modules or of their stays."""
    listed = {
        fold_name(text)
        for group, tables in fed
        for one in tables.likely
        if one.table in TOLD_BY
        for text in group.texts(one.heading("serial"))
    }
    known = sum(fold_name(text) in listed for text in serials)
    return bool(serials) and known >= MOSTLY * len(serials)


def _slots_of_desks(fed):
    """The slots named beside each desk of a sheet, of a cell of words the numbers; desks without any have none."""
    found = defaultdict(set)
    for group, tables in fed:
        for one in tables.likely:
            desk, slot = (one.heading(name) for name in DESK_AND_SLOT)
            beside = group.cells.get(slot or one.heading("symptom"))
            if desk not in group.cells or one.split:
                continue
            for name, text in zip(
                group.cells[desk].column, beside.column if beside else group.cells[desk].column, strict=True
            ):
                numbers = [_bare(text)] if slot else NUMBER.findall(text)
                found[name].update(numbers if beside else ())
    found.pop("", None)
    return found


def _bare(slot):
    """The number of a slot alone; else how slots are compared."""
    number = NUMBER.search(slot)
    return number[0].lstrip("0") if number else fold_slot(slot)
