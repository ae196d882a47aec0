"""Cells of a list of reports that hold a thread of remarks, as a drafter sees them: work among them, each on its day."""

from dataclasses import replace

from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.remarks import DAY_OF, remarks_in, with_remarks

from .places import SURE, Placing
from .values import Cells

MOSTLY = 0.6  # share of the cells that begin with a day
FEWEST = 2  # remarks that tell of work


def work_in_remarks(group, likely):
    """The work that stands among the dated remarks of a list of reports: its group, a row a remark, and its placing; None where there is none."""
    work = [one for one in likely if one.table == "repairs"]
    if not likely or likely[0].table != "tickets" or any(page.thread for page in group.pages):
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
    return replace(group, cells=cells, pages=tuple(replace(page, thread=heading) for page in group.pages))
