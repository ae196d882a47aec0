"""Cells that tell several jobs of one visit, as a drafter sees them: each job a row of its own."""

from dataclasses import replace

from maintkit.records.jobs import is_of_a_slot, jobs_in, pieces_in, with_jobs

from .cell_words import listed, quote
from .likeness import LEAST_WORDS, likeness_of_column
from .places import SURE, Placing, place, targets_of
from .values import ENOUGH, Cells

# cells that tell several jobs, two of them of slots, and their share of those that are filled
FEWEST, SHARE = 3, 0.4
AGAIN = 2  # cells in which other lists have as many entries
# what rows of work have from their visit
OF_A_VISIT = ("done_on", "desk", "bench_minutes", "part_type", "quantity")
MOSTLY = 0.5  # of the jobs, from which they are taken to tell what was wrong
A_FAULT = "fault"  # what their heading then says
OF_TIME, OF_PARTS = (
    (("repairs", "bench_minutes"), ("tickets", "minutes_lost")),
    (("repairs", "part_type"), ("repairs", "quantity")),
)


def with_jobs_apart(headings, rows, *, may_be: bool):
    """The heading whose cells tell several jobs, those whose cells are of all of them, and the rows of these jobs; '' and all as it is where
    there is none, or may be none, or a column has the slots."""
    width = len(headings)
    wide = [[*fields, *[""] * (width - len(fields))] for fields in rows]
    cells = {
        at: Cells(tuple(fields[at].strip() for fields in wide)) for at, one in enumerate(headings) if one
    }
    told = next((at for at in cells if may_be and _tell_jobs(cells[at].texts)), None)
    beside = [at for at in cells if at != told]
    if told is None or any(
        _are_slots(headings[at], cells[at]) or _go_along(cells[at], cells[told]) for at in beside
    ):
        return ("", ()), rows
    of_all = [at for at in beside if _is_of_all(headings[at], cells[at])]
    read = with_jobs(((1, fields, "") for fields in wide), told, of_all, 0)
    return (headings[told], tuple(headings[at] for at in of_all)), [fields for _, fields, _ in read]


def jobs_said(heading, cells) -> dict[str, str]:
    """What the heading of jobs says where most of them tell what was wrong, whatever it is called."""
    return {heading: A_FAULT} if heading and cells[heading].complaints >= MOSTLY else {}


def placings_of_jobs(group, known) -> list[Placing]:
    """The reports and the work that jobs are whose texts tell both, each of the day and desk of its visit; none where they do not, or no
    column has the days."""
    said, _ = group.pages[0].jobs
    says = group.pages[0].says
    if says.get(said) != A_FAULT:
        return []
    beside = {says.get(one, one): one for one in group.cells if one != said}
    cells = {told: group.cells[one] for told, one in beside.items()}
    work = place(targets_of(("repairs",)), cells, known)["repairs"].renamed(beside)
    work = replace(work, columns={one: told for one, told in work.columns.items() if told[0] in OF_A_VISIT})
    if not work.heading("done_on"):
        return []
    names = {"done_on": "raised_on", "desk": "desk"}
    own = {one: (names[name], sure) for one, (name, sure) in work.columns.items() if name in names}
    reports = Placing("tickets", own | {said: ("symptom", SURE)}, split=work.split)
    return [reports, replace(work, columns=work.columns | {said: ("action", SURE)})]


def are_done(page) -> bool:
    """Whether the jobs of a sheet were done, as the heading says or that of the hours or parts beside them."""
    heading, of_all = page.jobs
    return bool(heading) and bool(of_all or likeness_of_column(heading, "repairs", "action") >= LEAST_WORDS)


def _tell_jobs(texts):
    several = [text for text in texts if sum(map(is_of_a_slot, jobs_in(text))) > 1]
    return len(several) >= max(FEWEST, SHARE * len(texts))


def _go_along(cells, jobs):
    """Whether cells have as many pieces as there are jobs beside them, again and again: lists side by side, entry by entry."""
    many = [
        (len(pieces_in(one)), len(jobs_in(job))) for one, job in zip(cells.column, jobs.column, strict=True)
    ]
    return sum(one == job > 1 for one, job in many) >= AGAIN


def _are_slots(heading, cells):
    return cells.slots >= ENOUGH or likeness_of_column(heading, "tickets", "position") >= LEAST_WORDS


def _is_of_all(heading, cells):
    of_which = (*OF_PARTS, *(OF_TIME if cells.durations >= ENOUGH else ()))
    return any(likeness_of_column(heading, *one) >= LEAST_WORDS for one in of_which)


def jobs_line(page):
    """The line by which each job that a cell of a sheet tells is a row of its own."""
    heading, of_all = page.jobs
    if heading:
        said = f"# Most cells of {quote(heading)} tell several jobs, each of which is a row of its own"
        names = " and ".join(map(quote, of_all))
        yield f"{said}; what stands under {names} is of the whole visit." if of_all else f"{said}."
        yield f"jobs = {{ {quote(heading)} = {listed(of_all)} }}"
