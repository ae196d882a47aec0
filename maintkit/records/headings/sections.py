"""The lines of one section of a drafted mapping.toml: a table fed by some sheets, its columns, words, and what is left to ask."""

import re
from collections import defaultdict
from dataclasses import dataclass, replace
from itertools import repeat

from maintkit.actions import OTHER
from maintkit.records.drafting import WHOLE_DESK
from maintkit.records.known_words.meanings import SWAP
from maintkit.records.known_words.no_report import done_as_planned
from maintkit.records.known_words.words import heading_of
from maintkit.records.row_above import TITLE_ROW, names_a_total
from maintkit.records.tables import TABLE

from .beside_the_modules import where_in_words
from .cell_words import (
    bare_slots,
    closed_set,
    desk_and_slot,
    listed,
    places_in_text,
    quote,
    replaced_or_not,
    swaps_of_moves,
    work_in_complaint,
    work_in_words,
)
from .columns_asked import asked_columns, kept_beside, without_a_place
from .dialect import how_it_is_written, where_it_is
from .evidence import asked
from .groups import Group
from .jobs import are_done
from .leaning import (
    above_lines,
    comments_lines,
    headings_lines,
    shifted_lines,
    struck_lines,
    titles_line,
)
from .left_out import desks_of_several, no_reports, rows_of_one_report, rows_out_of_the_desk
from .legends import codes_lines, desk_by_list
from .likeness import LEAST_WORDS, likeness_of_column
from .modules_today import in_none, slot_asked
from .no_desks import perhaps_no_desks, perhaps_other_gear
from .out_of_slot import lines_of_cards, says_moves
from .outcomes import outcome_told, states_beside
from .pages import Page
from .parts_in_words import counted_parts, lists_of_parts, minutes_in_work, part_in_work, reference_in_work
from .places import DESK_AND_SLOT, SURE, THE_DESK, Placing
from .rooms import is_numbered, may_be_places
from .several_named import several_slots, several_told
from .sheet_desks import SheetDesks
from .slots_together import back_to_its_slot, perhaps_sections, slots_in_two
from .spare_modules import serials_in_stock
from .subjects import title_lines
from .told_on import that_go_on
from .where_from import planned_told, tell_recaps
from .which_rows import numbers_of_rows, rows_that_count, slots_alone
from .work_desk import desk_asked
from .work_of_reports import numbers_in_dress, places_without_number
from .work_told import beside_no_day

ONE_DESK = f'same = {{ desk = "{THE_DESK}" }}'
LOOKED_UP = re.compile(r"\[\w+\.lookup\.(\w+)\]")

NO_DESK = (
    "# No column names the desk: every row is taken to be of one. Write its name here; or, where the slot tells the",
    "# desk, take the next line away and write a section such as",
    "#   [{table}.lookup.desk]",
    '#   from = "Slot"',
    '#   words = { "1..24" = "Heron", "25..48" = "Curlew" }',
    '#   otherwise = "leave out"',
)

BY_CELLS = "   # by its cells alone"

FAULTS = "# No column says what was wrong: each row is a fault, by what the sheet is called."

SWAPS = (
    "# Nothing else here tells of faults or work, so each module that went in is counted as one swapped, too."
)

DESK = "# One of these may name the desk. Take the # ? from what is right:"

DESK_OR_SLOT = '# These may name the desk, or the slot ("position"). Take the # ? from what is right; change the word where it is the other:'

NAMED_SO = "# Every row is that work, by what the sheet or its column of days is called."

TRACKS = "# Tracks bridged in that work, where the words below say so."

NOT_SAID = (
    "# No column says what was done, so every row is work of another kind: it counts, and renews no part."
)

REPLACED = "# No column says what was done: a row with a part is taken as that part replaced."


@dataclass(frozen=True)
class Section:
    """One table fed by some sheets: the lines of its section, and how many things they ask; ``by_day`` the list that tells day by day what
    these tell by the quarter."""

    placing: Placing
    pages: tuple[Page, ...]
    lines: list[str]
    by_day: str = ""

    @property
    def lacks(self) -> list:
        """Required columns that nothing gives; tickets and repairs number their rows themselves and ask for the desk."""
        table, placing = TABLE[self.placing.table], self.placing
        given = placing.names | placing.in_doubt | _looked_up(self.lines)
        given |= {"desk"} if table.name == "positions" else set()
        required = [column for column in table.columns if column.required and column.name not in given]
        own = table.name in ("tickets", "repairs")
        return [column for column in required if column.kind == "date" or not own]

    @property
    def asks(self) -> int:
        """How many things its lines ask: what lacks a column asks for that alone, words that may stay other work ask one thing together."""
        asked = [line for line in self.lines if line.startswith("# ? ")]
        stay = [line for line in asked if line.endswith(f"= {quote(OTHER)}")]
        return 1 if self.lacks or self.by_day else len(asked) - len(stay) + bool(stay)

    @property
    def wants(self) -> str:
        """In words, what a row needs and no column says."""
        what = " and ".join(f"{column.name} ({column.meaning})" for column in self.lacks)
        return f"a row of {self.placing.table} needs {what}, and no column says it"


def sections_of(group: Group, placing, placing_list, source, desks=SheetDesks(), of=None) -> list[Section]:
    """The section of one table; one a desk where the names of the sheets are those of desks that no column names.

    ``of`` is the placing in the table whose desks they are, where it is another.
    """
    pages = defaultdict(list)
    told = desks.of(group, of or placing) if lacks_desk(of or placing) else []
    for page, desk in zip(group.pages, told or repeat(""), strict=False):
        pages[desk].append(page)
    return [
        Section(placing, tuple(own), _lines(group, placing, placing_list, source, tuple(own), desk))
        for desk, own in pages.items()
    ]


def swaps_of(group: Group, moves: Placing, source) -> list[Section]:
    """The section of work where lists of moves are all that there is: what came out was swapped, else what went in."""
    old = moves.heading("old_serial")
    rest = ("removed_on", "serial") if old else ("removed_on",)
    columns = {heading: one for heading, one in moves.columns.items() if one[0] not in rest}
    columns |= {moves.heading("fitted_on"): ("done_on", SURE)} | ({old: ("serial", SURE)} if old else {})
    said = {heading: ("action", SURE) for heading, cells in group.cells.items() if says_moves(cells)}
    same = moves.same if said else moves.same | {"action": SWAP}
    placing = replace(moves, table="repairs", columns=columns | said, same=same)
    return sections_of(replace(group, moved=True), placing, [placing], source)


def lacks_desk(placing) -> bool:
    """Whether rows of a table need the desk, and no heading names it."""
    of_a_slot = placing.table == "modules" and placing.heading("position")
    needs = placing.table in ("tickets", "positions") or of_a_slot or placing.same.get("desk") == THE_DESK
    return bool(needs) and not placing.heading("desk")


def _lines(group, placing, placing_list, source, pages, desk):
    """The lines of a section, in the order mapping.toml wants them: settings, then columns, values and lookups."""
    table, first = TABLE[placing.table], placing_list[0]
    of_desk = _is_of_desks(placing, placing_list, group)
    by_list = list(desk_by_list(placing, group)) if lacks_desk(placing) and not desk else []
    told = _in_text(placing, group, is_alone=len(placing_list) == 1, of_desk=of_desk)
    in_text = [*told, *by_list, *planned_told(placing, placing_list, group)]
    looked_up = _looked_up(in_text)
    no_desk = lacks_desk(placing) and "desk" not in looked_up and not desk
    replaced = _replaced(placing, group)
    work = replaced or list(_work(placing, group, first))
    of_desk, asked = of_desk and "position" not in looked_up, _perhaps_of(placing, group, looked_up)
    lines = [
        *where_it_is(pages, source),
        *how_it_is_written(group, placing, pages),
        *(line.replace("{table}", table.name) for line in NO_DESK if no_desk),
        *_same(placing, THE_DESK if no_desk else desk, asked, by_row=bool(replaced), of_desk=of_desk),
        *(_together_asked(placing, placing_list, group) if no_desk else ()),
        *titles_line(placing, pages),
        *(shifted_lines(pages) if placing is first else ()),
        *struck_lines(pages),
        *(comments_lines(pages) if placing is first else ()),
        *_above(placing, placing_list, group, pages),
        *headings_lines(group, pages),
        *numbers_of_rows(group, placing, placing_list),
        *rows_that_count(placing, placing_list, group, pages),
        *no_reports(group, placing_list, placing),
        *rows_of_one_report(group, placing_list),
        *several_told(
            placing, group, "position" in looked_up, _names_and_slots(placing, placing_list, group)
        ),
        *(_by_line(group, placing) if table.name in ("tickets", "repairs") else ()),
        *(kept_beside(group, placing_list) if placing is first else ()),
    ]
    hidden = (looked_up - {"position", "symptom"}) | ({"action"} if work else set())
    states = states_beside(group, placing_list) if table.name == "tickets" else ""
    foreign = _foreign(placing, hidden, states)
    free = without_a_place(group, placing_list)
    places = list(_places_asked(placing, free, slots=not in_text)) if no_desk else []
    places += [*slot_asked(placing, group), *asked_columns(placing, placing_list)]
    if foreign or places:
        stands_for = _stands_for_slots(placing, placing_list, in_text)
        lines += ["", f"[{table.name}.columns]", *foreign, *stands_for, *places]
    slot = placing.heading("position")
    if codes := list(codes_lines(table.name, group)):
        lines += ["", *codes]
    if slot in group.cells and slot not in group.legends and not by_list:
        lines += bare_slots(table.name, slot, group.cells[slot])
    if placing.each:
        lines += ["", f"[{table.name}.each]   # each cell is a reading, a row of its own"]
        lines += [f"{quote(heading)} = {_inline(given)}" for heading, given in placing.each.items()]
    for heading, (name, _) in placing.columns.items():
        if heading != states:
            told = that_go_on(group, placing, name)
            lines += closed_set(table, table.column(name), heading, group.cells[heading], told)
        lines += in_none(placing, name, heading, group)
    for heading, desks in placing.split.items():
        alone = "position" in looked_up  # its slot is told elsewhere
        lines += desk_and_slot(table.name, heading, desks, group.cells[heading], alone=alone)
    outcome = outcome_told(group, placing_list) if table.name == "tickets" else ()
    return [*lines, *work, *in_text, *outcome]


def _foreign(placing, hidden, states):
    """The lines of headings that are columns of another name, but for those looked up, and of ``states`` of reports that tell of some."""
    lines = [
        f"{quote(heading)} = {quote(name)}{_why(placing, heading)}"
        for heading, (name, _) in placing.columns.items()
        if heading.casefold() != name and heading not in (TITLE_ROW, *placing.each) and name not in hidden
    ]
    return [*lines, f'{quote(states)} = "outcome"'] if states and states not in placing.columns else lines


def _looked_up(lines):
    """The columns of which some lines are lookups."""
    return {found[1] for line in lines if (found := LOOKED_UP.match(line))}


def _why(placing, heading):
    """What is said of a heading of desks or slots that is such by its cells alone."""
    name = placing.columns[heading][0]
    by_words = name not in DESK_AND_SLOT or likeness_of_column(heading, placing.table, name) >= LEAST_WORDS
    return "" if by_words else BY_CELLS


def _inline(values):
    """A table of TOML in one line."""
    return f"{{ {', '.join(f'{name} = {quote(text)}' for name, text in values.items())} }}"


def _in_text(placing, group, *, is_alone, of_desk):
    """The lookups of what no column says but a text does: place, part, how many; work with a complaint beside it has its place from there."""
    if group.swap:
        yield from group.swap.lookups(placing)
    yield from serials_in_stock(placing, group)
    if placing.table == "tickets":
        yield from places_in_text(placing, group)
        yield from title_lines(group, placing)
    elif placing.table == "repairs":
        if group.prose:
            yield from places_in_text(placing, group, ("action",))
        if group.places_told:
            yield from group.places_told
        elif is_alone and not placing.names & {"serial", "ticket"}:
            otherwise = WHOLE_DESK if of_desk else ""
            yield from places_in_text(placing, group, ("finding", "action"), otherwise=otherwise)
        elif is_alone:
            yield from numbers_in_dress(placing, group)
            yield from places_without_number(placing, group)
        yield from part_in_work(placing, group)
        yield from reference_in_work(placing, group)
        yield from where_in_words(placing, group)
        yield from counted_parts(placing, group)
        yield from minutes_in_work(placing, group)


def _replaced(placing, group):
    """The lookup of what was done where a column asks whether a part was replaced, or names it and says here and there that none was."""
    heading = placing.heading("action")
    is_asked = heading in group.cells and asked("action", heading_of(heading), group.cells[heading])
    if placing.table != "repairs" or not (is_asked or placing.same.get("action") == "replace"):
        return []
    headings = [heading] if is_asked else [placing.heading("part_type"), placing.heading("ref")]
    told = [(one, group.cells[one]) for one in headings if one in group.cells]
    found = (list(replaced_or_not(one, cells, is_asked=bool(is_asked))) for one, cells in told)
    return next(filter(None, found), [])


def _work(placing, group, first):
    """The lookup of what was done, where a column of repairs, or the complaint of the ``first`` placing, says it in words."""
    heading, complaint = placing.heading("action"), first.heading("symptom")
    if placing.table != "repairs" or heading not in group.cells:
        return ()
    if heading == complaint or "serial" in placing.same:  # a card of a module tells more than work
        return work_in_complaint(heading, is_done=are_done(group.pages[0]))
    if says_moves(group.cells[heading]):
        return swaps_of_moves(heading, group.cells[heading])
    part = placing.heading("part_type")
    swaps = group.swap.rows if group.swap else ()
    parts = group.cells[part].column if part else ()
    work_of = done_as_planned if placing.same.get("planned") == "yes" else None
    recaps = tell_recaps(placing, group)
    undated = beside_no_day(placing, group, first)
    return work_in_words(
        heading, group.cells[heading], parts, swaps, recaps, undated=undated, work_of=work_of
    )


def _together_asked(placing, placing_list, group):
    """The question whether a column that may name desks is half of the slot."""
    slot = placing.heading("position") if placing.table in ("tickets", "repairs") else ""
    for heading in may_be_places(without_a_place(group, placing_list)):
        if heading in perhaps_sections(slot, group):
            yield f"# The same numbers stand beside each {quote(heading)}. If both are the slot:"
            yield f"# ? together = {listed([heading, slot])}"


def _places_asked(placing, free, *, slots):
    """A question for each of some columns that may name the desks, or the ``slots`` where nothing tells these."""
    slots = slots and placing.table in ("tickets", "repairs") and not placing.heading("position")
    asked_of = may_be_places(free)
    if asked_of:
        yield DESK_OR_SLOT if slots else DESK
    for heading in asked_of:
        is_slot = slots and is_numbered(heading, free[heading])
        yield f"# ? {quote(heading)} = {quote('position' if is_slot else 'desk')}"


def _above(placing, placing_list, group, pages):
    """The lines of what is written once for several rows or columns; a slot that had nothing is no such row, and no form leans on another."""
    if pages[0].form or slots_alone(placing_list, group):
        return
    leaning = group.together[:1] if group.leans and group.together[0] in placing.columns else ()
    yield from above_lines(placing, placing_list, group.sheet or group.cells, pages, leaning)
    yield from lines_of_cards(placing, group)
    if placing.table == "repairs":
        yield from back_to_its_slot(placing.heading("position"), group)


def _perhaps_of(placing, group, looked_up):
    """The desk that work is perhaps of, where no lookup tells it."""
    return group.perhaps_of if placing.table == "repairs" and "desk" not in looked_up else ""


def _same(placing, desk, asked, *, by_row, of_desk):
    """The line of what is the same in every row, and why; ``by_row`` the rows say what was done, ``asked`` is the desk they are perhaps of."""
    desk = desk or placing.same.get("desk", "").replace(THE_DESK, "")
    work = {} if by_row else {name: one for name, one in placing.same.items() if name == "action"}
    planned = {name: one for name, one in placing.same.items() if name in ("planned", "serial")}
    same = ({"desk": desk} if desk else {}) | work | planned | ({"position": WHOLE_DESK} if of_desk else {})
    if desk and desk != THE_DESK:
        yield "# No column names the desk; by the names of the sheets or files, and what stands in them, it is this one."
    if of_desk:
        yield "# Some work names no slot; it is taken to be of the desk as a whole."
    if work:
        yield {"replace": REPLACED, SWAP: SWAPS, OTHER: NOT_SAID, "bridge track": TRACKS}.get(
            placing.same["action"], NAMED_SO
        )
    if "symptom" in placing.same:
        yield FAULTS
    if asked and not desk:
        yield from desk_asked(asked, same)
    elif same:
        yield f"same = {_inline(same)}"


def _is_of_desks(placing, placing_list, group):
    """Whether work is listed that names its desk, and in some rows neither slot nor module."""
    of_work = placing.table == "repairs" and len(placing_list) == 1
    if not of_work or placing.split or placing.names & {"desk", "ticket"} != {"desk"}:
        return False
    headings = filter(None, map(placing.heading, ("position", "serial")))
    told = [group.cells[heading].column for heading in headings]
    rows = zip(*(cells.column for cells in group.cells.values()), strict=True)
    return not told or not all(any(one) or names_a_total(row) for *one, row in zip(*told, rows, strict=True))


def _stands_for_slots(placing, placing_list, in_text):
    """The line by which, on a list of complaints and work without slots, each module stands for one."""
    serial = next((one.heading("serial") for one in placing_list if one.heading("serial")), "")
    placed = placing.heading("position") or in_text or serial in placing.columns
    if placing.table == "tickets" and serial and not placed:
        yield f'{quote(serial)} = "position"   # no column names the slots, so each module stands for one'


def _names_and_slots(placing, placing_list, group):
    """What is asked of names that may be no desks, and the line of cells that name several slots."""
    desk, slot = (placing.heading(name) for name in ("desk", "position"))
    if desk and not placing.split and placing.table in ("tickets", "repairs"):
        yield from perhaps_no_desks(desk, group, placing_list[0])
        if placing is placing_list[0]:
            yield from desks_of_several(desk, group.cells[desk], without_a_place(group, placing_list))
    if slot and (placing.table == "fitments" or group.moved):
        yield from rows_out_of_the_desk(placing, group)
    elif slot:
        yield from slots_in_two(slot, group)
        if placing.table in ("tickets", "repairs"):
            own = group.cells[slot]
            called_so = slot in placing.split and placing.split[slot] == own.kinds
            yield from () if called_so else perhaps_other_gear(slot, own, group.alone)
        are_reports = any(one.table == "tickets" for one in placing_list)
        done = group.cells.get(placing.heading("action")) if placing.table == "repairs" else None
        work = done.column if done else ()
        own, has_codes = group.cells[slot], bool(group.legends)
        yield from several_slots(slot, own, are_reports=are_reports, work=work, has_codes=has_codes)


def _by_line(group, placing):
    """The lines of cells that list parts, and of those that hold an entry a line, of reports and of the work beside them."""
    yield from lists_of_parts(placing, group)
    if not group.by_line:
        return
    if group.prose:
        yield "# Prose: each sentence that begins with or holds one of these words begins an entry, the ones behind it go on from it:"
        yield f"sentences = {listed([*group.by_line])}"
    else:
        yield "# Some cells hold a line for each of several slots: each has a row of its own, with an equal share of the time and the parts."
    words = ", ".join(f"{quote(heading)} = {listed(some)}" for heading, some in group.by_line.items())
    yield f"by_line = {{ {words} }}"
