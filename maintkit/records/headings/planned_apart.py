"""The section of work that a list of reports calls planned in place of a complaint."""

from dataclasses import replace
from itertools import compress

from maintkit.records.known_words.part_kinds import work_in_text

from .left_out import planned_alone
from .places import DESK_AND_SLOT, SURE, THE_DESK, Placing
from .sections import sections_of
from .values import Cells


def planned_apart(group, likely, both, source, desks):
    """The section of the work that a list of reports calls planned in place of a complaint: no report, and it answers none.

    ``both`` are the placings by which reports leave it out, those of work among dated remarks too, which ``likely`` has not.
    """
    is_of_reports = bool(likely) and likely[0].table == "tickets"
    words = planned_alone(group, both) if is_of_reports else ()
    if not words:
        return []
    tickets = likely[0]
    said, day = tickets.heading("symptom"), tickets.heading("raised_on")
    alone = Placing("repairs", {day: ("done_on", SURE), said: ("action", SURE)})
    repairs = next((one for one in likely[1:] if one.table == "repairs"), alone)
    done = repairs.heading("action")
    where = {
        tickets.heading(name): (name, SURE)
        for name in DESK_AND_SLOT
        if tickets.heading(name) in tickets.columns
    }
    given = repairs.same | {"planned": "yes"} | ({} if tickets.heading("desk") else {"desk": THE_DESK})
    own = {heading: one for heading, one in repairs.columns.items() if one[0] != "ticket"}
    placing = replace(repairs, columns=where | own, split=tickets.split, same=given)
    there = [text in words for text in group.cells[said].column]
    if done != said and _tells_more(*(compress(group.cells[one].column, there) for one in (said, done))):
        placing.columns[said] = placing.columns.pop(done)
    whole = {*where, repairs.heading("done_on"), tickets.heading("raised_on"), *tickets.split}
    cells = {
        one: own
        if one in whole
        else Cells(tuple(text if is_so else "" for text, is_so in zip(own.column, there, strict=True)))
        for one, own in group.cells.items()
    }
    planned = replace(group.with_pages(where=(said, words, "repairs")), cells=cells)
    sections = sections_of(planned, placing, [placing], source, desks, tickets)
    return [
        one
        for one in sections
        if any({*words} & {*page.cells[said].texts} for page in one.pages if said in page.cells)
    ]


def _tells_more(complaints, work):
    """Whether complaints of planned work say oftener what it is than what stands beside them, such as ``done``."""
    return sum(map(bool, map(work_in_text, complaints))) > sum(map(bool, map(work_in_text, work)))
