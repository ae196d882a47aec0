"""Where no column says what was done: what was found, or the parts changed, may tell it."""

from maintkit.records.known_words.meanings import A_BOARD, MENDS, RE_CAP, meaning_of_cell
from maintkit.records.known_words.part_kinds import CAPACITORS, STATES, part_in_state, work_in_column
from maintkit.records.known_words.words import heading_of, heading_says
from maintkit.records.mapping import LEAVE_OUT

from .date_order import later_dates
from .day_formats import day_of
from .likeness import LEAST_WORDS, likeness_nowhere, likeness_of_column, says_lost, says_other_minutes
from .places import SURE
from .values import ENOUGH, Cells

FULL = 0.9  # share of rows that have hours
# share of cells that say what was done, and words on average, from which what was found tells the work
TELL_WORK, A_STORY = 0.5, 2
EACH = 0.9  # share of different ones among the slots or modules of a list of each
FEWEST_CAUSES = 8  # from which what was the cause may tell the work
FEWEST_MENDED = 3  # cells of a column of parts that tell work on none
ONE_WORK = ("re-cap", "clean", "re-form", "adjust")  # work of which a list may hold nothing else
MOST_CAPACITORS = 500  # of a row; more are their value or their price
TELL_MENDING = (
    0.1  # share of outcomes that say what was mended, from which minutes behind them may be those it took
)


def find_work(placing, cells):
    """Let the column that tells what was done, if one does, be that of the work."""
    _in_what_was_found(placing, cells)
    _among_parts(placing, cells)
    _in_remarks(placing, cells)


def _among_parts(placing, cells):
    """A column of parts in which some cells tell work that replaces none, as ``cleaned`` beside ``C14``, says what was done."""
    heading = placing.heading("part_type")
    if heading not in placing.columns or "ref" in placing.names:
        return
    told = list(filter(None, map(work_in_column, cells[heading].texts)))
    mends = sum(one in MENDS - {"replace", RE_CAP} for one in told)
    if mends >= FEWEST_MENDED and len(told) >= TELL_WORK * len(cells[heading].texts):
        placing.columns[heading] = ("action", SURE)


def _in_remarks(placing, cells):
    """Where hours of work stand in every row, the one column of remarks may tell what was done."""
    hours, free = placing.heading("bench_minutes"), [one for one in cells if one not in placing.columns]
    if (
        hours in cells
        and len(cells[hours].texts) >= FULL * cells[hours].rows
        and not {"action", "part_type"} & placing.names
    ):
        told = [one for one in free if likeness_nowhere(one) >= SURE and _causes_tell_work(cells[one])]
        placing.columns.update({one: ("action", SURE) for one in told if len(told) == 1})


def _in_what_was_found(placing, cells):
    """Where no other column says what was done, what was found may tell it."""
    found = {one for one, (name, _) in placing.columns.items() if name == "finding"}
    found |= {one for one, names in placing.doubtful.items() if "finding" in names}
    told = [one for one in found if cells[one].deeds >= TELL_WORK and cells[one].mean_words >= A_STORY]
    if not told and "part_type" not in placing.names:
        told = [one for one in found if _causes_tell_work(cells[one])]
    if len(told) == 1:
        placing.doubtful.pop(told[0], None)
        placing.columns[told[0]] = ("action", SURE)


def _causes_tell_work(cells):
    """Whether many causes name the part that was mended: ``47u cap dry``, ``mute switch``."""
    mends = cells.share(lambda text: work_of_cause(text) in MENDS)
    return len(cells.texts) >= FEWEST_CAUSES and mends >= TELL_WORK


def work_of_cause(text: str) -> str:
    """The work that mended what a cell of causes tells: as of a column of work, and a part said to be gone was replaced, a dirty one cleaned.

    Where nothing was found, or not in the desk, none was done.

    Examples
    --------
    >>> [work_of_cause(text) for text in ("47u cap dry", "resistor open", "pot dirty", "mute switch", "ground lug", "relay, why?")]
    ['replace', 'replace', 'clean', 'replace', '', '']
    >>> work_of_cause("could not find")
    'leave out'
    """
    if meaning_of_cell("outcome", text) in ("no fault found", "not the desk"):
        return LEAVE_OUT
    return next((work for kind, work in STATES.items() if part_in_state(text, kind)), work_in_column(text))


def one_work(repairs, group):
    """The work that every row is where the heading of its day, or the sheet's name, says so, as in a list of re-caps; or a column counts
    the capacitors, of most rows those of a board."""
    parts = [page.part for page in group.pages]
    names = [
        one.path.stem for one in parts if not one.book or len(one.book.titles) == 1
    ]  # not of all its sheets
    names = [*(one.title for one in parts), *names, *(page.above for page in group.pages)]
    works = (meaning_of_cell("action", text) for text in (repairs.heading("done_on"), *names) if text)
    are_recaps = any(map(_count_capacitors, group.cells.items()))
    work = next((work for work in works if work), RE_CAP if are_recaps else "")
    is_one = work in ONE_WORK or (work == "replace" and "part_type" in repairs.names)
    return {"action": work} if is_one else {}


def put_day_of_recaps(tried, group):
    """In a list of slots or modules, each once, that is of re-caps by its name make the last of its days, where no heading says the day, that on
    which each was done; several days are neither those of a stay nor of a report.

    ``tried`` are the tables with what they would take.
    """
    work, cells = tried["repairs"], group.cells
    key = cells.get(work.heading("serial") or work.heading("position"))
    if work.same.get("action") != RE_CAP or key is None or key.different < EACH * len(key.texts):
        return
    days = {
        one: Cells(tuple(text if day_of(text) else "" for text in own.column))
        for one, own in cells.items()
        if own.dates >= ENOUGH and not heading_says("not_yet", one)
    }
    own = {said: one for one, said in group.pages[0].says.items()}  # without the title over all
    said = [one for one in days if meaning_of_cell("action", own.get(one, one)) == RE_CAP]
    told, later = work.heading("done_on"), later_dates(days)
    if not told or (told not in said and likeness_of_column(told, "repairs", "done_on") < LEAST_WORDS):
        work.columns.pop(told, None)
        said = said or [one for one in days if later.get(one, True)]
        work.columns.update((one, ("done_on", SURE)) for one in said[-1:])
    elif len(days) < 2:
        return
    for one in days:
        for table in ("fitments", "tickets"):
            tried[table].columns.pop(one, None)


def _count_capacitors(column):
    """Whether a heading names capacitors, over numbers of which most are a board's."""
    heading, cells = column
    many = cells.share(lambda text: text.isdecimal() and A_BOARD <= int(text) <= MOST_CAPACITORS)
    return many >= ENOUGH and bool(CAPACITORS & {*heading_of(heading).words})


def ask_whose_minutes(fed):
    """Where outcomes of reports say what was mended, mere minutes behind them may be those it took as well as those lost, and so may hours,
    of which no heading says that they were lost; both are asked about, but where the reports say how bad it was, or have work beside them.

    ``fed`` are groups of sheets with their tables.
    """
    for group, reports in ((group, tables.likely[0]) for group, tables in fed if len(tables.likely) == 1):
        minutes, told, headings = reports.heading("minutes_lost"), reports.heading("outcome"), [*group.cells]
        if minutes not in headings or says_lost(minutes) or "impact" in reports.names:
            continue
        mends = told in headings and group.cells[told].share(lambda text: work_in_column(text) in MENDS)
        behind = mends >= TELL_MENDING and headings.index(told) < headings.index(minutes)
        if behind or says_other_minutes(minutes, "tickets", "minutes_lost"):
            del reports.columns[minutes]
            reports.doubtful[minutes] = ("minutes_lost",)


def beside_no_day(placing, group, first):
    """The texts of work, in small letters, that stand beside the day of a report and beside none of work, where others do."""
    headings = first.heading("raised_on"), placing.heading("done_on"), placing.heading("action")
    if not {*headings} <= {*group.cells} or headings[0] == headings[1]:
        return ()
    told = [*zip(*(group.cells[one].column for one in headings), strict=True)]
    dated = {text.casefold() for raised, done, text in told if done or not raised}
    return [*dict.fromkeys(one for *_, text in told if (one := text.casefold()) and one not in dated)]
