"""The sheets and CSV files of a source as they stand: how they are written, where the headings are, the cells below."""

import re
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import accumulate, islice, pairwise
from pathlib import Path

from maintkit.records.diary import DAY, HEADINGS
from maintkit.records.forms import form_entries, headings_of_form
from maintkit.records.grid import headings_of_grid
from maintkit.records.known_words.words import HOURS, MINUTES, vocabulary, words_in
from maintkit.records.layout import Part, find_parts
from maintkit.records.marked import TABLE, headings_at
from maintkit.records.messages import MESSAGE
from maintkit.records.row_above import (
    CORNER,
    TITLE_ROW,
    entries_of,
    is_ditto,
    is_period,
    period_of,
    title_of,
    year_of,
)
from maintkit.records.sheets import (
    TOP_ROWS,
    Dialect,
    Sheet,
    filled_rows,
    rejoined,
    told_apart,
    with_above,
)

from .by_name import named_as_table
from .chatter import reports_and_chatter
from .delimiters import delimiter_of, text_of_part
from .forms import labels_of
from .grids import (
    entries_read,
    grid_among,
    is_known,
    is_value,
    stands_over_a_grid,
    sums_a_month,
    titles_of_grids,
    told_of_grid,
)
from .guess import headings_given
from .heads import notes_of, with_heads
from .jobs import jobs_said, with_jobs_apart
from .leaning import (
    are_days,
    bare_heading,
    groups_of_headings,
    hold_planned_days,
    lack_a_cell,
    rows_below,
    title_heading,
)
from .legends import Legend, key_of, key_over, legends_of, shorthand_of
from .prose import with_work_told
from .said import said_by_what_they_are
from .threads import with_lines_apart
from .values import Cells

MOST_ROWS = 20_000  # of one sheet are looked at
# of a list above or below another, and known words in the row of its headings
FEWEST_ROWS, SURELY_HEADINGS = 2, 3
AROUND_A_NAME = re.compile(r"\s+[-–—]+\s+|\s*[(\[,:;]")  # what else a title over a grid says
ALIKE = 0.6  # share of the labels of forms on two sheets, from which they are the same
TOLD_APART = re.compile(r" \(\d+\)$")
RAIL = re.compile(r"[+±−-]\d{1,3}")  # of volts, over what was measured there


@dataclass(frozen=True, eq=False)
class Page:
    """A sheet or file: how it is written, and the cells under its headings (none: none were found)."""

    part: Part
    dialect: Dialect
    above: str  # what stands over the headings
    cells: dict[str, Cells]
    # headings between empty columns, where there is more than one run, and what stands over each
    runs: dict[tuple[str, ...], str] = field(default_factory=dict)
    top: str = ""  # what stands over a table beside another, and over forms where it names a desk
    others: tuple[str, ...] = ()  # headings of the same sheet that are of another table beside this one
    says: dict[str, str] = field(default_factory=dict)  # a heading that comes again, with the one over it
    once: str = ""  # the heading whose cells stand in rows of their own, over those they hold for
    has_titles: bool = False  # some rows below the headings are titles over others
    given: tuple[str, ...] = ()  # headings that it lacks, by its cells
    form: tuple[str, ...] = ()  # the labels of its forms, where it holds such
    head: tuple[str, ...] = ()  # the labels of what stands over its lists
    groups: tuple[tuple[str, ...], ...] = ()  # headings that come again, each set an entry of its own
    grid: tuple[str, ...] = ()  # headings of a grid that hold for a whole row
    kind: str = ""  # what each other column of it is
    across: tuple[str, ...] = ()  # these, in their order
    is_unread_grid: bool = False  # days, months or slots stand over its cells, which say too little
    parted: str = ""  # the heading whose cells tell complaint and work
    thread: str = ""  # the heading whose cells hold remarks, each with its day
    dated: str = ""  # the heading whose cells hold lines, each with its day
    jobs: tuple[str, tuple[str, ...]] = ("", ())  # the heading of cells that tell jobs; those of all of them
    # heading and words that make its rows, their table
    where: tuple[str, tuple[str, ...], str] = ("", (), "")
    shifted: int = 0  # rows that lack a cell in the middle
    struck: int = 0  # rows below the headings that are struck out
    # cells of the sheet on which a comment hangs, and what it says
    comments: tuple[tuple[str, str], ...] = ()
    chatter: tuple[str, ...] = ()  # messages that say nothing of a desk
    legends: tuple[Legend, ...] = ()  # what codes mean, where the sheet says it
    key: str = ""  # its cells with a sign of equality, over the headings or anywhere else
    # the first and last row of a list that stands above or below another; 0: to the end
    rows: tuple[int, int] | None = None

    @property
    def name(self) -> str:
        """The sheet's title, or the file's name."""
        return self.part.title or self.part.path.name

    @property
    def bare_name(self) -> str:
        """What stands over it, the sheet's title, or the file's name without its ending: what may be a desk's."""
        return self.top or self.part.title or self.part.path.stem


def read_pages(source: Path) -> list[Page]:
    """Every sheet and CSV file of a source.

    Raises
    ------
    LayoutError
        When there is nothing to read.
    """
    parts, _ = find_parts(source)
    pages = [page for part in parts for page in _pages(part)]
    pages = [_with_labels_of_all(page, pages) if page.form else page for page in pages]
    for book in {part.book for part in parts if part.book}:
        book.close()
    return pages


def _with_labels_of_all(page, pages):
    """A page of forms with the labels of those on other sheets too that are alike, for not every label is in every one."""
    alike = [
        one.form for one in pages if len({*one.form} & {*page.form}) >= ALIKE * len({*one.form, *page.form})
    ]
    most = max(alike, key=len)
    labels = (*most, *dict.fromkeys(label for form in alike for label in form if label not in most))
    return page if labels == page.form else _pages(page.part, labels)[0]


def _pages(part, labels=()):
    """The lists of a sheet or file, one below the other where other headings come further down; as a rule there is one."""
    encoding, text = text_of_part(part)
    dialect = Dialect(delimiter_of(text), encoding=encoding)
    every = islice(filled_rows(Sheet(part.path, dialect, part.title, part.book)), MOST_ROWS)
    rows = [(number, fields) for number, fields, why in every if not why]
    if dialect.delimiter in (DAY, MESSAGE):
        is_day = dialect.delimiter == DAY
        rows, given, chatter = (rows, HEADINGS, ()) if is_day else reports_and_chatter(rows)
        return [replace(_page(part, dialect, rows, given), chatter=chatter)]
    if any(named_as_table(part, fields) for _, fields in rows[:1]):
        return [_page(part, dialect, rows)]
    rows, head = with_heads(rows)
    if not head and (labels := labels or labels_of(rows)):
        return [_page_of_forms(part, dialect, rows, labels)]
    tables = _other_tables(rows, text) if dialect.delimiter == TABLE else _other_headings(rows)
    at = None if head or tables else _heading_at(rows[:TOP_ROWS])
    grids = [] if at is None else titles_of_grids([fields for _, fields in rows], at)
    starts = [] if head else tables or grids
    if not starts:
        page = _page(part, dialect, rows)
        legends = legends_of(part.title or part.path.name, rows)
        legends += shorthand_of(part.path.name, text.splitlines()) if not part.book else ()
        return [replace(page, legends=legends + page.legends, head=head, says=page.says | notes_of(head))]
    lasts = [*(rows[at][0] - 1 for at in starts), 0]
    spans = zip(pairwise((0, *starts, len(rows))), lasts, strict=True)
    pages = [replace(_page(part, dialect, rows[a:b]), rows=(rows[a][0], last)) for (a, b), last in spans]
    return [_under_its_title(page, pages[0].above) for page in pages] if grids else pages


def _under_its_title(page, first):
    """A grid below others with what its title names, and the title of the ``first``, which may say the year of all."""
    above = page.above if year_of(page.above) else f"{first} {page.above}"
    return replace(page, top=AROUND_A_NAME.split(page.above)[0], above=above)


def _page_of_forms(part, dialect, rows, labels):
    """The forms of a sheet as a list, under the labels that are filled in somewhere."""
    forms = form_entries(((number, fields, "") for number, fields in rows), labels)
    entries = [(number, fields) for number, fields, _ in forms]
    page = _page(part, dialect, entries, headings_of_form(labels))
    cells = {heading: one for heading, one in page.cells.items() if one.texts}
    first = entries[0][0] if entries else 0
    titles = (title_of(fields) for number, fields in rows if number < first)
    top = next((title for title in titles if {*words_in(title)} & vocabulary().desks), "")
    return replace(page, cells=cells, given=(), form=labels, top=top)


def _other_headings(rows):
    """Indexes of rows further down that are headings of another list: known words alone, and not those above it once more."""
    starts = [_heading_at(rows[:TOP_ROWS])]
    if starts == [None]:
        return []
    for below in range(starts[0] + 1 + FEWEST_ROWS, len(rows) - FEWEST_ROWS):
        last, fields = starts[-1], rows[below][1]
        known, filled = _known_share(fields)
        if known < SURELY_HEADINGS or known <= 0.6 * filled or below - last <= FEWEST_ROWS:
            continue
        beside = rows[last + 1 : below] + rows[below + 1 : below + 1 + FEWEST_ROWS]
        again = len(_folded(fields) & _folded(rows[last][1])) >= 0.7 * filled
        if not again and not _stand_beside(fields, beside):
            starts.append(below)
    return starts[1:]


def _other_tables(rows, text):
    """Indexes of the headings of further tables of a page with marks, but of those that are the first once more."""
    headings = headings_at(text.splitlines())
    heads = [at for at, (number, _) in enumerate(rows) if number in headings]
    return [at for at in heads[1:] if _folded(rows[at][1]) != _folded(rows[heads[0]][1])]


def _stand_beside(fields, rows):
    """Whether half the cells of a row or more stand in others too, in the same columns, as those of entries do and headings do not."""
    filled = {place: cell.strip() for place, cell in enumerate(fields) if cell.strip()}
    others = [some for _, some in rows]
    return sum(cell in _column(others, place) for place, cell in filled.items()) >= len(filled) / 2


def _folded(fields):
    return {cell.strip().casefold() for cell in fields if cell.strip()}


def _page(part, dialect, rows, given=()):
    at = None if given else _heading_at(rows[:TOP_ROWS])
    given = given or (headings_given(part.title, [fields for _, fields in rows]) if at is None else ())
    if given:
        rows, at = [(0, list(given)), *rows], 0
    if at is None:
        return Page(part, dialect, "", {}, key=key_of(rows))
    over = rows[at - 1][1] if at and rows[at - 1][0] == rows[at][0] - 1 else []
    entries = [fields for _, fields in rows[at + 1 :] if not sums_a_month(fields)]
    headings = _days_named(told_apart(with_above(rows[at][1], over)), entries)
    if not part.book:
        entries = [rejoined(fields, len(headings), dialect.delimiter) for fields in entries]
    may_be_grid = not (given or hold_planned_days(headings, entries))
    grid, kind, headings, entries = grid_among(headings, entries, may_be_grid)
    dated, jobs, headings, entries = _entries_apart(headings, entries, may_be=not (grid or given))
    of_grid = told_of_grid(part.title or part.path.name, rows, at, headings, grid, kind)
    if grid:
        entries, headings = entries_read(entries, headings, grid), headings_of_grid(headings, grid)
        below, titles, once = entries, [""] * len(entries), ""
    else:
        below, titles, once = rows_below(entries, headings, [one for _, one in rows[:at]], part.title)
    runs = {run: _top_of(run, headings, over) for run in _runs(headings, below)}
    period, _ = period_of([title_of(fields) for _, fields in rows[:at]], part.title)
    written = {"", *(cell for fields in entries for cell in fields)}
    has_titles = len(below) < len(entries) or bool(
        period and not grid and any(not written.issuperset(fields) for fields in below)
    )
    groups = groups_of_headings(headings, below)
    below, titles = _each_group(below, titles, headings, groups)
    again = {heading for group in groups[1:] for heading in group}
    cells = {
        heading: Cells(tuple(_column(below, place)))
        for place, heading in enumerate(headings)
        if heading and heading not in again
    }
    cells, parted = with_work_told(cells)
    of_titles = title_heading(titles, headings) if has_titles else ""
    cells |= {TITLE_ROW: Cells(tuple(titles))} if of_titles else {}
    says = _with_those_over(rows[at][1], headings, over) | ({TITLE_ROW: of_titles} if of_titles else {})
    says |= {heading: bare_heading(heading) for group in groups[:1] for heading in group}
    says |= said_by_what_they_are(cells, grid, kind, parted, dated) | jobs_said(jobs[0], cells)
    return Page(
        part,
        dialect,
        " ".join(cell for _, fields in rows[:at] for cell in fields),
        cells,
        runs,
        says=says,
        has_titles=has_titles,
        once=once,
        groups=groups,
        parted=parted,
        dated=dated,
        jobs=jobs,
        given=given,
        shifted=0 if part.book or given else lack_a_cell(entries, len(headings)),
        struck=_struck_out(part, rows[at + 1 :]),
        key=key_of(rows),
        comments=tuple(part.book.comments(part.title).items()) if part.book else (),
        **{"legends": key_over(part.title or part.path.name, rows[:at])} | of_grid,
    )


def _entries_apart(headings, rows, *, may_be):
    """The heading of lines with their days, that of jobs, and the headings and rows, each line or job a row of its own."""
    dated, headings, rows = with_lines_apart(headings, rows, may_be=may_be)
    jobs, rows = with_jobs_apart(headings, rows, may_be=may_be and not dated)
    return dated, jobs, headings, rows


def _struck_out(part, rows):
    """How many rows are struck out."""
    struck = part.book.struck_out(part.title) if part.book else ()
    return sum(number in struck for number, _ in rows)


def _days_named(headings, entries):
    """Headings of which a first one that is blank is called ``CORNER`` where days stand below it, bare numbers only below months."""
    below = [fields for fields in entries if fields and not title_of(fields)]
    has_months = any(is_period(title_of(fields)) for fields in entries)
    are_whole = not any(fields[0].strip().isdigit() for fields in below)
    is_of_days = headings[:1] == ("",) and (has_months or are_whole) and are_days(below)
    return (CORNER, *headings[1:]) if is_of_days else headings


def _each_group(rows, titles, headings, groups):
    """The entries of rows under headings that come again, and the title of each."""
    places = [[headings.index(heading) for heading in group] for group in groups]
    pairs = [
        (one, title) for fields, title in zip(rows, titles, strict=True) for one in entries_of(fields, places)
    ]
    return [one for one, _ in pairs], [title for _, title in pairs]


def _with_those_over(fields, headings, over):
    """Headings that say too little, each with the heading over its run: ``Tag (2)`` is ``Repair Tag``, ``as reported`` ``Fault as reported``.

    Those are such that stand there more than once, that are not known, and that are a unit of time alone.
    """
    filled = [cell.strip() for cell in over if cell.strip()]
    if len(filled) < 2 or any(map(is_value, filled)):
        return {}
    plain = [cell.strip() for cell in fields]
    wide = [*over, *[""] * (len(plain) - len(over))]
    both = zip((cell.strip() for cell in wide), plain)
    above = list(accumulate(both, lambda last, one: one[0] or (one[1] and last), initial=""))[1:]
    return {
        heading: f"{group} {own}"
        for own, heading, group in zip(plain, headings, above)
        if own
        and group
        and (plain.count(own) > 1 or not is_known(own) or {*words_in(own)} <= HOURS | MINUTES)
    }


def _runs(headings, rows):
    """The headings between columns in which nothing stands, two or more in a run; none where there is one run alone."""
    runs = [[]]
    for place, heading in enumerate(headings):
        if heading:
            runs[-1].append(heading)
        elif not any(_column(rows, place)):
            runs.append([])
    runs = [tuple(run) for run in runs if len(run) > 1]
    return runs if len(runs) > 1 else []


def _top_of(run, headings, over):
    """What stands in the row over a run of headings, where it is one cell."""
    cells = over[headings.index(run[0]) : headings.index(run[-1]) + 1]
    filled = [cell.strip() for cell in cells if cell.strip()]
    return filled[0] if len(filled) == 1 else ""


def sides_of(page: Page) -> list[Page]:
    """The tables that may stand side by side on a sheet, apart by an empty column; none where they are not."""
    return [
        replace(
            page,
            cells=_rows_of(page, run),
            says=_alone(run) | ({} if top else page.says),  # one title over all of them is that of the list
            runs={},
            top=top,
            others=tuple(heading for heading in page.cells if heading not in run),
        )
        for run, top in page.runs.items()
    ]


def _alone(run):
    """What headings say that come again on the sheet, but not in their table."""
    bare = {heading: TOLD_APART.sub("", heading) for heading in run}
    return {heading: one for heading, one in bare.items() if one not in run}


def _rows_of(page, run):
    """The cells under a run of headings in the rows in which one of them is filled."""
    columns = [page.cells[heading].column for heading in run]
    rows = [row for row in zip(*columns, strict=True) if any(row)]
    return {heading: Cells(tuple(_column(rows, at))) for at, heading in enumerate(run)}


def _column(rows, place):
    return (fields[place].strip() if place < len(fields) else "" for fields in rows)


def _heading_at(rows):
    """Index of the first row of which most cells are words of headings, or that is words over other cells; None if none."""
    rows = [fields for _, fields in rows]
    places, shares = range(len(rows)), cache(lambda at: _known_share(rows[at]))
    over_grid = next((at for at in places if stands_over_a_grid(rows, at)), None)
    if over_grid is not None:
        return over_grid
    most_known = (at for at in places if shares(at)[0] >= 2 and shares(at)[0] > shares(at)[1] / 2)
    first = next(most_known, None)
    if first is None:
        first = next((at for at in places if _stands_over(rows, at)), None)
    if first is None:
        most = max(places, key=lambda at: shares(at)[0], default=None)
        return most if most is not None and shares(most)[0] >= 2 else None
    # a line of headings over headings, or of titles, has fewer of them than a line below
    below = range(first + 1, len(rows))
    entry = next((at for at in below if any(map(is_value, rows[at])) and not shares(at)[0]), len(rows))
    return max(range(first, entry), key=lambda at: shares(at)[0])


def _stands_over(rows, at):
    """Whether a row is words alone, as wide as most, and the next ones have numbers or dates under them."""
    wide = sorted(sum(map(bool, map(str.strip, fields))) for fields in rows)[len(rows) // 2]
    filled = [cell.strip() for cell in rows[at] if cell.strip()]
    below = [cell.strip() for fields in rows[at + 1 : at + 4] for cell in fields]
    return (
        len(filled) >= max(2, 0.7 * wide)
        and not any(is_value(cell) or is_ditto(cell) for cell in filled)
        and len({*filled}) == len(filled)
        and sum(map(is_value, below)) >= 2
    )


def _known_share(fields):
    """How many cells of a row are words of headings, and of how many; none where one is a value.

    Where words come again and again, or rails stand among them, many must be known.
    """
    filled = [cell.strip() for cell in fields if cell.strip()]
    different = {*filled}
    come_again = any(filled[-2 * many : -many] == filled[-many:] for many in range(2, len(filled) // 2 + 1))
    rails = {cell for cell in different if RAIL.fullmatch(cell)}
    if any(map(is_value, different - rails)):
        return 0, len(filled)
    if not rails and (len(different) >= len(filled) - 2 or come_again):
        return sum(map(is_known, filled)), len(filled)
    known = sum(map(is_known, different))
    return known if known > SURELY_HEADINGS else 0, len(different)
