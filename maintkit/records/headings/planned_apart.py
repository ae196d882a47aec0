"""The section of work that a list of reports calls planned in place of a complaint."""

from dataclasses import replace
from itertools import compress

from maintkit.records.known_words.part_kinds import work_in_text

from .left_out import planned_alone, work_stands_apart
from .places import DESK_AND_SLOT, SURE, THE_DESK
from .sections import sections_of
from .values import Cells


def planned_apart(group, likely, source, desks):
    """The section of the work that a list of reports calls planned in place of a complaint: no report, and it answers none."""
    both = [one.table for one in likely] == ["tickets", "repairs"] and work_stands_apart(likely)
    words = planned_alone(group, likely) if both else ()
    if not words:
        return []
    tickets, repairs = likely
    said, done = tickets.heading("symptom"), repairs.heading("action")
    where = {
        tickets.heading(name): (name, SURE)
        for name in DESK_AND_SLOT
        if tickets.heading(name) in tickets.columns
    }
    given = repairs.same | {"planned": "yes"} | ({} if tickets.heading("desk") else {"desk": THE_DESK})
    own = {heading: one for heading, one in repairs.columns.items() if one[0] != "ticket"}
    placing = replace(repairs, columns=where | own, split=tickets.split, same=given)
    there = [text in words for text in group.cells[said].column]
    if _tells_more(*(compress(group.cells[one].column, there) for one in (said, done))):
        placing.columns[said] = placing.columns.pop(done)
    whole = {*where, repairs.heading("done_on"), tickets.heading("raised_on"), *tickets.split}
    cells = {
        one: own
        if one in whole
        else Cells(tuple(text if is_so else "" for text, is_so in zip(own.column, there, strict=True)))
        for one, own in group.cells.items()
    }
    pages = tuple(replace(page, where=(said, words, "repairs")) for page in group.pages)
    sections = sections_of(
        replace(group, pages=pages, cells=cells), placing, [placing], source, desks, tickets
    )
    return [
        one
        for one in sections
        if any({*words} & {*page.cells[said].texts} for page in one.pages if said in page.cells)
    ]


def _tells_more(complaints, work):
    """Whether complaints of planned work say oftener what it is than what stands beside them, such as ``done``."""
    return sum(map(bool, map(work_in_text, complaints))) > sum(map(bool, map(work_in_text, work)))
