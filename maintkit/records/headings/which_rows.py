"""The lines that say which rows of a sheet are rows of a table, and how they are numbered."""

import re

from maintkit.records.grid import CELL
from maintkit.records.known_words.meanings import MENDS
from maintkit.records.known_words.part_kinds import work_in_column
from maintkit.records.row_above import TITLE_ROW
from maintkit.records.tables import TABLE

from .cell_words import listed, quote
from .day_formats import day_of
from .evidence import yes_or_no
from .leaning import OF_WORK
from .spare_modules import left_out_of_stock
from .told_on import told_on_line
from .work_told import ONE_WORK

FEWEST_WORDS = 3  # of a remark in the place of a day
MOSTLY_BLANK = 0.6  # share of the rows
FEW_BLANK = 0.98  # share of entries with a number, from which the others only lack theirs
LEAST_ALONE = 0.1  # share of rows that name a slot and nothing of it, from which a list is one of all slots


def slots_alone(placing_list, group) -> bool:
    """Whether many rows of a list of complaints name a slot and neither day nor complaint nor work: the slots that had none."""
    names = ("position", "raised_on", "symptom")
    slot, *told = (group.cells.get(placing_list[0].heading(name)) for name in names)
    if slot is None or None in told or group.pages[0].others:
        return False
    work = (placing.heading(name) for placing in placing_list[1:] for name in OF_WORK)
    told += [group.cells[heading] for heading in work if heading in group.cells]
    alone = [bool(cells[0]) and not any(cells[1:]) for cells in zip(*(one.column for one in (slot, *told)))]
    return sum(alone) >= max(2, LEAST_ALONE * len(alone))


def rows_that_count(placing, placing_list, group, pages):
    """The lines that say which rows of a sheet are rows of the table."""
    yield from left_out_of_stock(placing, placing_list, group)
    yield from told_on_line(group, placing)
    heading, words, _ = pages[0].where
    if heading:
        of_shelf = "in no desk" if placing.table == "shelf" else "fault and repair stand on rows of their own"
        why = "planned work" if "planned" in placing.same else of_shelf
        yield f"rows_where = {{ {quote(heading)} = {listed(words)} }}   # {why}"
    if pages[0].form and pages[0].head and placing.table == "modules":
        yield f"rows_with = {listed([placing.heading('serial')])}   # over a list of no module stands the slot alone"
    elif placing.table == "modules" and group.moved:
        yield "once = true   # a row a move: each module counts at its first"
    elif placing.table == "positions" and placing_list[0].table == "tickets":
        yield "once = true   # a list of every slot with what it had: each slot counts at its first row"
        if pages[0].grid or pages[0].dated:
            rest = [*group.cells, *filter(None, [pages[0].dated])]
            yield f"ignore = {listed([one for one in rest if one not in (*placing.columns, TITLE_ROW)])}"
    elif pages[0].dated and placing.table in ("tickets", "modules"):
        named = placing.heading("symptom") or placing.heading("serial")
        yield f"rows_with = {listed([named])}   # a slot beside which nothing stands there has none"
    elif placing.table == "tickets" and slots_alone(placing_list, group):
        told = [placing.heading(name) for name in ("raised_on", "symptom")]
        yield f"rows_with = {listed(told)}   # a row is a report only where one of these is filled"
    elif placing.table == "tickets" and (blank := _say_nothing(placing, group)):
        yield f"# {blank} of {group.cells[placing.heading('symptom')].rows} rows say nothing there. If these are no reports:"
        yield f"# ? rows_with = {listed([placing.heading('symptom')])}"
    elif pages[0].grid and CELL in placing.columns:
        yield f"rows_with = {listed([CELL])}   # an entry is one only where its cell is filled"
    elif "action" in placing.same:
        filled = placing.heading("part_type") or placing.heading("ref") or placing.heading("done_on")
        if pages[0].others:
            yield f"ignore = {listed(pages[0].others)}   # of the list of modules"
        yield (f"rows_with = {listed([filled])}   # a row is work only where this is filled")
        is_of_slots = not {"position", "serial"}.isdisjoint(placing.names)
        if group.work_beside and placing.same["action"] in ONE_WORK and is_of_slots:
            yield "unless_told = true   # what another list tells of the same slot or module in the same month counts there alone"
        yes = [one for one in dict.fromkeys(group.cells[filled].texts) if yes_or_no(one) or _is_remark(one)]
        if yes and placing.heading("done_on") == filled:
            yield f"leave_out.{quote(filled)} = {listed(yes)}   # no day is told"
    elif placing.table == "fitments" and group.swap:
        if not group.swap.moved:
            yield "# What came out is taken to be out of the desk until it is put in again, unless a section below says where it went."
        names = {column.name for column in TABLE["fitments"].columns}
        others = [one for one in group.cells if one.casefold() in names and one not in placing.columns]
        if others:
            yield f"ignore = {listed(others)}   # not of the module that went in"
        yield f"rows_with = {listed([placing.heading('serial')])}   # a row is a swap only where this is filled"
    elif pages[0].others:
        yield (f"ignore = {listed(pages[0].others)}   # of the table beside it")
        yield (f"rows_with = {listed([one for one in placing.columns if one != TITLE_ROW])}")
    elif len(placing_list) == 2 and placing.table == "repairs":
        work = [placing.heading(name) for name in OF_WORK if placing.heading(name)]
        yield (f"rows_with = {listed(work)}   # a row is work only where one of these is filled")
        if waiting := _not_yet_done(placing, placing_list[0], group):
            yield f"leave_out.{quote(work[0])} = {listed(waiting)}   # no work and no day of it"


def _not_yet_done(placing, tickets, group):
    """The remarks where work should be that tell of no mending and beside which never stands its day: the report is not done, or was none."""
    done, said = (placing.heading(name) for name in ("done_on", "action"))
    if done in ("", tickets.heading("raised_on")) or not {done, said} <= {*group.cells}:
        return []
    rows = [*zip(group.cells[said].column, group.cells[done].column, strict=True)]
    dated = {text.casefold() for text, day in rows if day}
    undone = dict.fromkeys(text for text, day in rows if text and not day)
    return [text for text in undone if text.casefold() not in dated and work_in_column(text) not in MENDS]


def _is_remark(text):
    """Whether a cell in a column of days is words, and no day among them."""
    return len(re.findall(r"[^\W\d_]{2,}", text)) >= FEWEST_WORDS and not any(
        map(day_of, (text, *text.split()))
    )


def _say_nothing(placing, group):
    """How many rows of a list of complaints have none, where most have none; else 0."""
    told = group.cells.get(placing.heading("symptom"))
    blank = told.rows - len(told.texts) if told else 0
    return blank if told and blank > MOSTLY_BLANK * told.rows else 0


def numbers_of_rows(group, placing, placing_list):
    """Settings for rows that have no number of their own, and for numbers that begin anew in every sheet."""
    if placing.table not in ("tickets", "repairs"):
        return
    key = "ticket" if placing.table == "tickets" else "repair"
    keys = ("repair", "ticket") if key == "repair" and len(placing_list) == 2 else (key,)
    names = [name for name in keys if not _is_in_every_row(group, placing, name)]
    if names:
        has_some = any(map(placing.heading, names))
        some = "a row without a number" if has_some else "no column numbers them, so each"
        yield f"number_rows = {listed(names)}   # {some} is called by its sheet and row"
    heading = placing.heading("ticket") or placing.heading(key)
    again = (
        heading and len(group.pages) > 1 and group.cells[heading].different < 0.9 * len(group.texts(heading))
    )
    if again or (heading and group.numbers_again):
        yield "numbers_restart = true   # the same numbers come again in every sheet"


def _is_in_every_row(group, placing, key):
    """Whether a column has the numbers, and no more than one entry in fifty lacks its own."""
    day = placing.heading("raised_on") or placing.heading("done_on")
    numbers, days = group.cells.get(placing.heading(key)), group.cells.get(day)
    if numbers is None or days is None:
        return bool(placing.heading(key))
    entries = [bool(number) for number, day in zip(numbers.column, days.column, strict=True) if day]
    return sum(entries) > FEW_BLANK * len(entries)
