"""Cells that hold a thread of remarks or lines, each with its day, as a drafter sees them: of a list of reports, and of one of slots."""

from dataclasses import replace

from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.remarks import DAY_OF, remarks_in, with_dated_lines, with_remarks
from maintkit.records.row_above import CORNER

from .places import SURE, Placing
from .values import ENOUGH, Cells

MOSTLY = 0.6  # share of the cells that begin with a day
FEWEST = 2  # remarks that tell of work, or cells of several lines with their days


def with_lines_apart(headings, rows, *, may_be: bool) -> tuple[str, tuple[str, ...], list[list[str]]]:
    """The heading whose cells hold lines with their days where no column has days, and the headings and rows of these lines;
    '' and all as it is where there is none, or may be none. A first heading that is blank is then ``CORNER``."""
    if not may_be:
        return "", headings, rows
    width = len(headings)
    wide = [[*fields, *[""] * (width - len(fields))] for fields in rows]
    cells = {
        at: Cells(tuple(fields[at].strip() for fields in wide)) for at, one in enumerate(headings) if one
    }
    dated = (at for at in cells if cells[at].dates >= ENOUGH)
    has_days = any(not meaning_of_cell("action", headings[at]) for at in dated)  # but of the last re-cap
    place = next((at for at in cells if not has_days and _hold_dated_lines(cells[at].texts)), None)
    if place is None:
        return "", headings, rows
    read = with_dated_lines(((1, fields, "") for fields in wide), place, 0)
    named = (headings[0] or CORNER, *headings[1:], DAY_OF)
    return headings[place], named, [fields for _, fields, _ in read]


def _hold_dated_lines(texts):
    """Whether most cells hold lines with their days, some of them several, and not every one that day alone."""
    in_lines = [text for text in texts if "\n" in text]
    for some in (in_lines, texts) if len(in_lines) >= FEWEST else ((),):
        dated = [[said for day, said in remarks_in(text) if day] for text in some]
        told = [said for lines in dated for said in lines if said]
        are_dated = sum(map(bool, dated)) >= MOSTLY * len(some) and len(told) >= MOSTLY * sum(map(len, dated))
        if not are_dated or sum(len(lines) > 1 for lines in dated) < FEWEST:
            return False
    return True


def without_lines(group):
    """The group without its lines and their days."""
    lines = group.pages[0].dated
    cells = {one: cells for one, cells in group.cells.items() if one not in (lines, DAY_OF)}
    return replace(group, cells=cells)


def work_in_remarks(group, likely):
    """The work that stands among the dated remarks of a list of reports: its group, a row a remark, and its placing; None where there is none."""
    work = [one for one in likely if one.table == "repairs"]
    if not likely or likely[0].table != "tickets" or any(page.thread or page.dated for page in group.pages):
        return None
    done = {one.heading("action") for one in work}
    taken = {heading for one in likely for heading in (*one.columns, *one.split)} - done
    for heading in [one for one in group.cells if one not in taken] if not work else filter(None, done):
        cells = group.cells.get(heading)
        if cells is None or len(cells.texts) < FEWEST:
            continue
        threads = [*map(remarks_in, cells.texts)]
        dated = sum(bool(thread and thread[0][0]) for thread in threads)
        told = sum(bool(day and work_in_text(said)) for thread in threads for day, said in thread)
        if dated >= MOSTLY * len(threads) and told >= FEWEST:
            return _spread(group, heading), _placing(likely[0], heading)
    return None


def _placing(tickets, heading):
    number = tickets.heading("ticket")
    columns = {DAY_OF: ("done_on", SURE), heading: ("action", SURE)}
    return Placing("repairs", columns | ({number: ("ticket", SURE)} if number else {}))


def _spread(group, heading):
    """The group with a row for each remark under a heading that tells of work."""
    rows = zip(*(one.column for one in group.cells.values()), strict=True)
    at = [*group.cells].index(heading)
    read = with_remarks(((1, fields, "") for fields in rows), at, 0)
    spread = [fields for _, fields, refusal in read if fields[at] and not refusal]
    columns = zip(*spread, strict=True)
    named = zip([*group.cells, DAY_OF], [*(one.distinct for one in group.cells.values()), 1.0], columns)
    cells = {one: Cells(column, distinct) for one, distinct, column in named}
    return replace(group.with_pages(thread=heading), cells=cells)
