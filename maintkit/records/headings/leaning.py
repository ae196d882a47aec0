"""Rows that lean on the one above, as a drafter sees them: which rows are titles and of what, which columns are filled once for several rows."""

import re
from itertools import pairwise
from textwrap import shorten

from maintkit.records.days import MONTH_AND_TWO_DIGITS
from maintkit.records.forms import BESIDE
from maintkit.records.grid import CELL, HEADING
from maintkit.records.known_words.words import says_slot, words_in
from maintkit.records.remarks import DAY_OF
from maintkit.records.row_above import (
    BARE_DAY,
    TITLE_ROW,
    TOTAL,
    SameRow,
    are_headings,
    in_period,
    is_ditto,
    is_period,
    month_of,
    period_of,
    title_of,
    with_those_above,
    year_below,
)
from maintkit.records.tables import TABLE
from maintkit.records.work_behind import WORK

from .cell_words import listed, quote
from .date_order import days_in_order, later_dates
from .day_formats import day_of, month_formats
from .from_and_to import went_back
from .heads import each_once
from .jobs import jobs_line
from .left_out import has_a_minute
from .likeness import likeness_of_column
from .values import Cells

NUMBER_BEHIND = re.compile(r"[\W_]*\d+\W*$")
SHORT, FEW = 40, 5  # letters and words of a title
ROWS_A_TITLE, ROWS_A_SLOT, ROWS_A_DESK = 2, 1.5, 5  # on average, at least; of desks by no word for one
NUMBERED, FEW_OF_A_SLOT = 0.7, 3  # share of titles that are slots; words on average, below which they may be
COMPLAIN = 0.5  # share of cells alone in the second column, from which they are entries and no titles
LIKE = 0.7  # to a heading of desks, of a title that is one
SAYS_DESK = 0.95  # the same of a heading, below which it may say no more than the room
FEW_BLANKS = 2  # one below the other at the foot, that may be of the last day
BLANKS = 2  # cells that must be blank, at least
AGAIN = 0.2  # share of the filled cells, at most, that repeat the one before
STAMPED = 0.7  # share of days with the time of day, from which they are answers to a form
IN_ORDER = 0.9  # share of the days that must not go back, or not forward
A_FEW = 3  # days side by side, which may be those of one report
OF_AN_ENTRY = 3  # filled cells of a row, from which it is no total and no note
CAME_FROM = {*words_in("from came von kam van")}
WENT_BACK = {*words_in("back to into returned zurück nach terug")}
OF_WORK = ("action", "part_type", "ref")  # beside a complaint, without one of which nothing was done yet


def rows_below(rows, headings, over, sheet=""):
    """The rows below the headings without titles and headings that come again, marks for the same filled in; the title of each;
    and the heading under which the titles stand, where it is theirs alone.

    ``over`` are the rows above the headings, ``sheet`` its name. Titles are looked for where there are at least three headings; cells
    alone in the second column are none where they are complaints.
    """
    wide = _may_have_titles(rows, headings)
    said = [one for one in map(title_of, reversed(over)) if one]
    title = next((one for one in said if not is_period(one)), "")
    of_sheet = period_of(said, sheet) if any(_says_day(one) >= LIKE for one in headings) else ("", "")
    kept, titles, periods, period, above, places = [], [], [], of_sheet, None, set()
    second = [fields[1].strip() for fields in rows if title_of(fields) and not fields[0].strip()]
    are_entries = Cells(tuple(second)).complaints >= COMPLAIN
    own = SameRow(dict(filter(None, [went_back(headings)])))
    for fields in rows:
        one = wide and title_of(fields)
        one = "" if one and are_entries and not fields[0].strip() else one
        if one or are_headings(fields, headings):
            period = (one, year_below(one, *period)) if one and is_period(one) else period
            title = one if one and not is_period(one) else title
            places |= {at for at, cell in enumerate(fields) if one and cell.strip()}
            continue
        fields = [*fields, *[""] * (len(headings) - len(fields))]
        above = own.put(with_those_above(fields, above, ()) if above else fields, fields)
        kept.append(above)
        titles.append(title)
        periods.append(period)
    _put_periods(kept, headings, periods)
    at = min(places, default=0)
    is_theirs = len(places) == 1 and all(titles) and headings[at] and _is_blank(kept, at)
    if not is_theirs:
        return kept, titles, ""
    for fields, one in zip(kept, titles, strict=True):
        fields[at] = fields[at] or one
    return kept, [""] * len(kept), headings[at]


def _may_have_titles(rows, headings):
    """Whether cells alone in their rows may be titles: neither in one or two columns, nor as slots that have no line in a list of these."""
    alone = Cells(tuple(filter(None, map(title_of, rows))))
    are_slots = DAY_OF in headings and alone.digits >= NUMBERED and alone.mean_words < FEW_OF_A_SLOT
    return len({*headings} - {"", DAY_OF}) > 2 and not are_slots


def groups_of_headings(headings, rows) -> tuple[tuple[str, ...], ...]:
    """Headings that come again in the same order, such as ``Date 1, Fault 1, Date 2, Fault 2``, each set with days of its own.

    ``rows`` are those below them; none where nothing comes again, or days alone only a few times.
    """
    stems = [bare_heading(heading).casefold() for heading in headings]
    for width in range(1, len(stems) // 2 + 1):
        for start in range(len(stems) - 2 * width + 1):
            first, times = stems[start : start + width], 1
            while stems[start + times * width : start + (times + 1) * width] == first:
                times += 1
            if times > (1 if width > 1 else A_FEW) and all(first) and len({*first}) == width:
                groups = [range(start + n * width, start + (n + 1) * width) for n in range(times)]
                if all(any(_are_days(rows, at) for at in group) for group in groups):
                    return tuple(tuple(headings[at] for at in group) for group in groups)
    return ()


def hold_planned_days(headings, rows) -> bool:
    """Whether columns called alike but for a number, and no slots, hold days that go on from one to the next in nearly every row."""
    wide = [[*fields, *[""] * (len(headings) - len(fields))] for fields in rows]
    groups = groups_of_headings(headings, wide)
    if not groups or len(groups[0]) > 1 or says_slot(bare_heading(groups[0][0])):
        return False
    places = [headings.index(heading) for (heading,) in groups]
    return go_on([fields[at].strip() for at in places] for fields in wide)


def go_on(rows) -> bool:
    """Whether the days in the cells of nearly every row go on from one to the next, as those of a calendar do."""
    days = [[*filter(None, map(day_of, cells))] for cells in rows]
    return sum(row == sorted({*row}) for row in days) >= IN_ORDER * len(days)


def bare_heading(heading: str) -> str:
    """A heading without the number behind it."""
    return NUMBER_BEHIND.sub("", heading)


def _are_days(rows, at):
    cells = [fields[at] for fields in rows if fields[at].strip()]
    return bool(cells) and sum(bool(day_of(cell.strip())) for cell in cells) >= 0.8 * len(cells)


def _put_periods(rows, headings, periods):
    """Make whole days of bare numbers, and of days without a year, under a heading of days, where months or years stand over the rows."""
    for at, heading in enumerate(headings):
        if any(month_of(title) or year for title, year in periods) and (
            _says_day(heading) >= LIKE or (at == 0 and are_days(rows))
        ):
            has_months = MONTH_AND_TWO_DIGITS in month_formats([row[at] for row in rows if row[at].strip()])
            for row, (title, year) in zip(rows, periods, strict=True):
                row[at] = in_period(row[at], title, year, has_months=has_months)


def are_days(rows) -> bool:
    """Whether nearly all cells of the first column are days, of a month without it or with it."""
    cells = [row[0].strip() for row in rows if row and row[0].strip() and not is_ditto(row[0].strip())]
    days = sum(bool(BARE_DAY.fullmatch(cell) or day_of(cell)) for cell in cells)
    return len(cells) > 2 and days >= IN_ORDER * len(cells)


def _says_day(heading):
    """How surely a heading says that its cells are days."""
    return max(
        likeness_of_column(heading, *one) for one in (("tickets", "raised_on"), ("repairs", "done_on"))
    )


def _is_blank(rows, at):
    return sum(not row[at].strip() for row in rows) > 0.8 * len(rows)


def title_heading(titles, headings=()) -> str:
    """What the titles over rows are headed by, were they a column: ``date``, ``slot`` or ``desk``; '' where they are none of these.

    They are no desks where one of the ``headings`` is that of the desk.
    """
    said = list(dict.fromkeys(titles))
    cells = Cells(tuple(said))
    are_slots = cells.slots >= NUMBERED and len(said) > 1  # the master has no number
    if not all(said) or len(titles) < (ROWS_A_SLOT if are_slots else ROWS_A_TITLE) * len(said):
        return ""
    if cells.dates == 1:
        return "date"
    if are_slots:
        return "slot"
    bare = [re.sub(r"\(.*?\)", "", one) for one in said]  # what stands in brackets says more of it
    plain = all(len(one) <= SHORT and len(one.split()) <= FEW and re.search(r"[^\W\d]", one) for one in bare)
    named = all(likeness_of_column(re.sub(r"\d", "", one), "tickets", "desk") >= LIKE for one in bare)
    many = len(titles) >= ROWS_A_DESK * len(said)
    has_desk = any(likeness_of_column(one, "tickets", "desk") >= SAYS_DESK for one in headings)
    return "desk" if plain and (named or many) and not has_desk else ""


def titles_line(placing, pages):
    """The line that says what the titles over rows are."""
    name = placing.columns.get(TITLE_ROW, ("",))[0]
    if name:
        yield f'title_rows = "{name}"   # a row of one cell is that of the rows below it'
    elif any(page.has_titles and not page.once for page in pages):
        periods = ((page.part.title, period_of([], page.part.title)[0]) for page in pages)
        if month := next((f"3 in {one} is 3 {period}" for one, period in periods if period), ""):
            yield f"# A day that is a bare number is of the month and year in the sheet's name: {month}."
        yield 'title_rows = "leave out"   # a row of one cell is a title, no entry'


def struck_lines(pages):
    """The question whether rows that are struck out count; some strike out what was no fault, others what is done."""
    struck = sum(page.struck for page in pages)
    if struck:
        rows = "1 row is" if struck == 1 else f"{struck} rows are"
        yield f"# {rows} struck out, and counted like any other. If what is struck out was no entry:"
        yield "# ? leave_struck_out = true"


def lack_a_cell(rows, width: int) -> int:
    """How many rows have fewer cells than there are headings and end with what stands under the last one in others; 0 where most do not."""
    short = [fields[-1].strip() for fields in rows if 1 < len(fields) < width]
    lasts = {fields[-1].strip() for fields in rows if len(fields) == width} - {""}
    shifted = sum(cell in lasts for cell in short)
    return shifted if shifted > max(1, len(short) / 2) else 0


def shifted_lines(pages):
    """That rows lack a cell in the middle, so that those behind it stand under the wrong headings."""
    if shifted := sum(page.shifted for page in pages):
        yield f"# {shifted} rows have fewer cells than there are headings, and end with what stands under the last one: a cell is missing before it,"
        yield "# so that those behind it are read under the wrong headings. Put the missing cell into the file, blank or not."


def comments_lines(pages):
    """That comments hang on cells, which nothing reads."""
    comments = [one for page in pages for one in page.comments]
    if comments:
        cells = "1 cell has a comment" if len(comments) == 1 else f"{len(comments)} cells have comments"
        cell, text = comments[0]
        said = shorten(text, 60, placeholder=" …")
        yield f"# {cells}, such as {cell}: {quote(said)}. They are not read: what counts there belongs into a column."


def headings_lines(group, pages):
    """The lines of headings that a sheet lacks, and of those that come again, each set of them an entry of its own."""
    if pages[0].given:
        yield f"headings = {listed(pages[0].given)}   # it has no row of headings: these are its columns, by their cells"
    if pages[0].form:
        yield f"form = {listed(pages[0].form)}   # forms one below the other, each an entry: these are their labels, {BESIDE} is what stands behind none"
    elif pages[0].head:
        labels = each_once([label for page in pages for label in page.head])
        yield f"head = {listed(labels)}   # what stands behind these over a list holds for all its rows"
    if pages[0].groups:
        groups = ", ".join(map(listed, pages[0].groups))
        yield f"groups = [{groups}]   # a row holds an entry under each of these"
    if pages[0].grid:
        first = ", of which the first day is taken" if pages[0].kind in ("month", "quarter") else ""
        yield f"grid = {listed(pages[0].grid)}   # beside these each column is a {pages[0].kind}: {HEADING}{first}; each filled cell an entry: {CELL}"
    yield from jobs_line(pages[0])
    if pages[0].dated and DAY_OF in group.cells:
        yield f"dated_lines = {listed([pages[0].dated])}   # each line of a cell that has its day is an entry of its own: {DAY_OF}"
    if pages[0].parted:
        yield f"work_behind = {listed([pages[0].parted])}   # a mark such as / - or -> parts the complaint from the work: {WORK}"
    if pages[0].thread:
        yield f"remarks = {listed([pages[0].thread])}   # of the remarks in a cell, each with its day, those that tell of work are work of that day: {DAY_OF}"


def above_lines(placing, placing_list, cells, pages, leaning=()):
    """The line, or the question, of columns that are filled once for several rows of one of the tables of a sheet, ``leaning`` among them."""
    table, alone = TABLE[placing.table], len(placing_list) == 1
    over = {page.once for page in pages}  # they stand in a row of their own
    slot = placing.heading("position")
    rows, once, in_order = _without_totals(cells, slot), {}, {}
    work = [] if alone or table.name == "tickets" else [placing.heading(name) for name in OF_WORK]
    desk, day = placing.heading("desk"), placing_list[0].heading("raised_on")
    names = (
        ("symptom", "position", *OF_WORK) if day else OF_WORK
    )  # a slot without a day may be one not yet worked on
    told = [one.heading(name) for one in placing_list for name in names]
    dated = day or (placing.heading("done_on") if alone else "")
    for heading, (name, _) in placing.columns.items():
        is_day = table.column(name).required and table.column(name).kind == "date"
        if heading in (TITLE_ROW, HEADING, DAY_OF) or not (is_day or name == "desk"):
            continue
        is_of_work = work and is_day and heading != day  # which only work has
        own = [row for row in rows if any(map(row.get, work))] if is_of_work else rows
        if is_of_work and any(row.get(day) and not row[heading] for row in own):
            continue  # reported, and not yet done
        blank = [row for row in own if not row[heading] and _is_entry(row)]
        if name == "desk" and _are_answers(blank, day, cells):
            continue
        if is_day and heading != day and blank and _have_an_earlier_day(blank, heading, cells):
            yield f"# Some rows have nothing under {heading}: they are not yet done, and are turned away until it is filled."
            continue
        if name == "desk" and slot and not any(one.required and one.kind == "date" for one in table.columns):
            # a list of what sits where: what names a slot is in a desk, what names none on the shelf
            once[heading] = _is_once([row[heading] for row in rows if row[slot]], None, may_be_one_run=True)
            continue
        titles = [row.get(TITLE_ROW, "") for row in own] if is_day else None
        column = _above_the_foot(own, heading, is_of_reports=name in ("raised_on", "desk"))
        begins = 0 if is_day else next((at for at, cell in enumerate(column) if cell), 0)
        once[heading] = _is_once(column[begins:], titles)
        if once[heading] is False and heading == dated:
            # and no sum at the foot
            are_entries = all(any(map(row.get, told)) for row in own if not row[dated])
            if are_entries and _are_in_order([cell for cell in column if cell]):
                once[dated], in_order[dated] = True, sum(not cell for cell in column)
    sure = [heading for heading in placing.columns if heading in over or once.get(heading)]
    asked = [heading for heading, one in once.items() if one is False and heading not in over]
    also = []
    is_blank_with_day = in_order and not any(row[dated] and not row[desk] for row in rows if desk in asked)
    if desk in asked and (is_blank_with_day or any(one not in (TITLE_ROW, *in_order) for one in sure)):
        also = [desk]  # who leaves one blank that is as above leaves others too
    elif desk in asked and day in cells and _leans_by_day(rows, desk, day):
        also = [one for one in asked if one in (desk, day) and _is_blank_with(rows, one, desk)]
    sure, asked = [*sure, *also, *leaning], [heading for heading in asked if heading not in also]
    if alone and table.name == "repairs" and slot in placing.columns and _leans_too(cells, slot, sure):
        sure.append(slot)
    for heading, blanks in in_order.items():
        yield f"# The rows are in order of their days, so {blanks} with nothing under {heading} are taken to be of the day above."
    if sure:
        yield f"as_above = {listed(sure)}   # written once for several rows: a blank cell there is the one above"
    if asked:
        yield f"# Some rows have nothing under {' and '.join(asked)}, and are turned away unless it is that of the row above:"
        yield f"# ? as_above = {listed([*sure, *asked])}{'   # in place of the line above' if sure else ''}"


def _are_answers(rows, day, cells):
    """Whether some rows, as the answers to a form, have a day and time of their own each, and so lean on none above."""
    is_stamped = day in cells and cells[day].share(has_a_minute) >= STAMPED
    return bool(rows) and is_stamped and all(row[day] for row in rows)


def _have_an_earlier_day(rows, heading, cells):
    """Whether another column, of days before those under a heading, is filled in each of some rows where this is blank."""
    later = later_dates(cells)
    earlier = [one for one, is_later in later.items() if not is_later]
    return bool(later.get(heading)) and any(all(row[one] for row in rows) for one in earlier)


def _are_in_order(texts):
    """Whether days go on in the order of the rows, or back, those without a year each in the one nearest to the day above."""
    steps = [later - earlier for earlier, later in pairwise(filter(None, days_in_order(texts)))]
    back, on = (sum(sign * step.days > 0 for step in steps) for sign in (-1, 1))
    return min(back, on) <= (1 - IN_ORDER) * len(steps) and back != on


def _leans_by_day(rows, desk, day):
    """Whether a desk is left out on the day of the row above alone, and there is seldom written once more."""
    entries = [*filter(_is_entry, rows)]
    told, again, last = [], 0, {desk: "", day: ""}
    for row in entries:
        same_day = row[day] == last[day]
        told += [same_day] if row[day] and not row[desk] else []
        again += bool(row[desk]) and same_day and row[desk] == last[desk]
        last = {one: row[one] or last[one] for one in last}
    left_out = sum(not row[desk] for row in entries)
    return len(told) >= BLANKS and all(told) and again <= AGAIN * (again + left_out)


def _is_blank_with(rows, heading, desk):
    """Whether a cell is blank only where the desk is, in rows that are entries."""
    return not any(row[desk] and not row[heading] for row in filter(_is_entry, rows))


def _is_entry(row):
    return sum(map(bool, row.values())) >= OF_AN_ENTRY


def _leans_too(cells, slot, sure):
    """Whether work is listed a line a part, so that what names no slot is of the slot above: all of it stands below a day and a desk."""
    blank = [at for at, cell in enumerate(cells[slot].column) if not cell]
    once = [cells[one].column for one in sure if one in cells and one != TITLE_ROW]
    return len(once) > 1 and len(blank) >= BLANKS and not any(column[at] for column in once for at in blank)


def _without_totals(cells, slot):
    """The rows, their cells by heading, but for totals, as which a slot may be named too."""
    rows = (dict(zip(cells, row)) for row in zip(*(one.column for one in cells.values()), strict=True))
    named = (slot, TITLE_ROW)
    return [row for row in rows if not any(TOTAL.fullmatch(row[one]) for one in row if one not in named)]


def _above_the_foot(rows, heading, *, is_of_reports):
    """The cells under a heading without the blank ones at the foot: of notes, and of work that is not yet done."""
    entries = (row[heading] or (is_of_reports and _is_entry(row)) for row in rows)
    last = max((at for at, one in enumerate(entries, start=1) if one), default=0)
    return [row[heading] for row in rows[:last]]


def _are_one_run(column):
    """Whether the blank cells, more than a few, stand together near the foot: of what is not yet done."""
    blank = [at for at, cell in enumerate(column) if not cell]
    together = blank[-1] - blank[0] == len(blank) - 1
    return len(blank) > FEW_BLANKS and together and blank[-1] >= len(column) - 2


def _is_once(column, titles, *, may_be_one_run=False):
    """Whether cells are written once for several rows; False where they may be, None where none is blank or the first is.

    ``titles`` are those over the rows, within which days are in order; None where the cells are no days.
    """
    blanks = sum(not cell for cell in column)
    if not blanks or not column[0] or (_are_one_run(column) and not may_be_one_run):
        return None
    filled = [(cell, titles[at] if titles else "") for at, cell in enumerate(column) if cell]
    pairs = [(one, other) for (one, over), (other, last) in pairwise(filled) if over == last]
    again = sum(one.casefold() == other.casefold() for one, other in pairs)
    days = [] if titles is None else [(day_of(one), day_of(other)) for one, other in pairs]
    days = [(one, other) for one, other in days if one and other]
    in_order = max(sum(one <= other for one, other in days), sum(one >= other for one, other in days))
    return blanks >= BLANKS and again <= AGAIN * len(pairs) and in_order >= IN_ORDER * len(days)
