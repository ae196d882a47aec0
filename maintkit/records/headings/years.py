"""The year of days that name none: from names and titles, from the other days, and from the order in which they stand."""

import re
from itertools import pairwise

from maintkit.records.days import month_and_year
from maintkit.records.grid import HEADING
from maintkit.records.row_above import ABOVE
from maintkit.records.sheets import NAMED, Dialect, Sheet

from .date_order import reader_of
from .day_formats import day_of, has_no_year, month_formats

SEASON = re.compile(r"(?<![\d./-])(?:19|20)?(\d\d) ?[-–/] ?(?:19|20)?(\d\d)(?![\d./-])")
YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
SURELY = 0.8  # share of days, from which a column beside tells the year too
HALF_A_YEAR = 6  # months: the list goes back by more where a new year begins
TOO_LONG = 0  # in place of the month in which twelve begin: the days run over more of them


def years_lines(group, headings):
    """The line of the year of days that name none; a question where nothing says it, or where they run over New Year."""
    every = [text for heading in headings for text in group.texts(heading)]
    months = {text for text in every if month_and_year(text)} if month_formats(every) else ()
    read = reader_of(every)
    texts = [text for text in every if text not in months]
    bare = [text for text in texts if has_no_year(text)]
    if not bare:
        return
    others = [one for one, cells in group.cells.items() if one not in headings and cells.dates >= SURELY]
    beside = [text for heading in others for text in group.texts(heading)]
    days = [heading for heading in group.cells if heading in (*headings, *others)]
    begins = {month for page in group.pages for month in _new_years(page, days, headings, months, read)} - {
        None
    }
    names = [name for page in group.pages for name in (page.above, page.part.title, page.part.path.stem)]
    dated = [day for text in [*texts, *beside] if not has_no_year(text) and (day := read(text))]
    told = {day.year for day in dated}
    if len(dated) >= len(bare) and len(told) == 1:
        begins = set()  # the days beside them tell their year
    if len(told) > 1 and _stand_by_others(group.pages, headings, months, beside=bool(beside)):
        yield f'year = "{ABOVE}"   # of days that name none, such as {bare[0]}: the one that brings each nearest to the day in its row, or above it'
        return
    if begins:
        yield from _over_new_year(begins, names, dated, bare, alone=len(group.pages) == 1)
        return
    columns = (_days_under(page, heading, months) for page in group.pages for heading in headings)
    if any(twelve_months_from(filter(has_no_year, texts), read) is not None for texts in columns):
        yield "# Work of January beside a report of December is taken to be of the same year: write its year into the cell."
    sheets = [Sheet(page.part.path, Dialect(year=NAMED), page.part.title) for page in group.pages]
    titles = {int(year) for page in group.pages for year in YEAR.findall(page.above)}
    if all(sheet.year for sheet in sheets):
        yield "year = \"name\"   # of days that name none: the one in the sheet's or file's name"
    elif len(titles) == 1 or len(told) == 1:
        yield f"year = {min(titles if len(titles) == 1 else told)}   # of days that name none, such as {bare[0]}"
    else:
        yield f"# {len(bare)} days name no year, such as {bare[0]}; say which it is, or their rows are turned away:"
        yield f"# ? year = {min(told, default=2025)}"


def _stand_by_others(pages, headings, months, *, beside):
    """Whether in every column the first day names its year, and more than half of all do; or none does, and others stand in the same rows,
    under these headings or ``beside`` them."""
    sheets = [[_days_under(page, heading, months) for heading in headings] for page in pages]
    sheets = [[[has_no_year(text) for text in column] for column in columns if column] for columns in sheets]
    bare = [column for columns in sheets for column in columns]
    below = bool(bare) and not any(one[0] or sum(one) > len(one) / 2 for one in bare)
    return below or all(_in_their_rows(columns, beside) for columns in sheets)


def _in_their_rows(columns, beside):
    """Whether no day of a column names its year, where some name none, and those of another column or of one ``beside`` them all do."""
    without = [column for column in columns if any(column)]
    return all(map(all, without)) and bool(not without or beside or len(without) < len(columns))


def _new_years(page, days, headings, months, read):
    """For each column of days of a sheet the month from which it runs over New Year; none where one that is as full stays in a year.

    Work is done after it was reported, so that its days may be of the next January where the list is of one year.
    """
    told = {heading: _days_under(page, heading, months) for heading in days}
    own = [told[heading] for heading in headings]
    full = (texts for texts in told.values() if len(texts) >= max(map(len, own)))
    stays = any(all(map(has_no_year, texts)) and twelve_months_from(texts, read) is None for texts in full)
    has_bare = any(has_no_year(text) for texts in own for text in texts)
    return (twelve_months_from(texts, read) for texts in own) if has_bare and not stays else ()


def _days_under(page, heading, months):
    texts = page.cells[heading].texts if heading in page.cells else ()
    texts = (
        page.across if heading == HEADING else texts
    )  # below them the entries are in the order of the rows
    return [text for text in texts if text not in months and day_of(text)]


def twelve_months_from(texts, read=day_of) -> int | None:
    """The month from which days in the order of a list run over New Year; ``TOO_LONG`` where twelve months do not hold them, None where
    they stay in a year.

    Examples
    --------
    >>> twelve_months_from(["12 Sep", "6 Dec", "3 Jan", "21 Mar"]), twelve_months_from(["3 Jan", "21 Mar", "14 Mar"])
    (9, None)
    >>> twelve_months_from(["3 Jan", "12 Dec", "9 Nov"]), twelve_months_from(["12 Nov", "8 Jan", "12 Nov", "8 Jan"])
    (11, 0)
    """
    months = [day.month for text in texts if (day := read(text))]
    steps = [later - earlier for earlier, later in pairwise(months)]
    if sum(-HALF_A_YEAR <= step < 0 for step in steps) > sum(0 < step <= HALF_A_YEAR for step in steps):
        months, steps = months[::-1], [-step for step in steps[::-1]]  # the newest on top
    new_years = [at for at, step in enumerate(steps, start=1) if step < -HALF_A_YEAR]
    if not new_years:
        return None
    before, after = months[: new_years[0]], months[new_years[0] :]
    return min(before) if len(new_years) == 1 and max(after) < min(before) else TOO_LONG


def _over_new_year(begins, names, dated, bare, *, alone):
    """The line of the twelve months from one year into the next; a question where their year is not told."""
    if TOO_LONG in begins or len(begins) > 1 or not alone:
        yield f"# Days without a year, such as {bare[0]}, run over more than one New Year: write the year into them, or over them"
        yield "# in a row of its own; until then their rows are turned away."
        return
    (month,) = begins
    seasons = {first for name in names for first, second in SEASON.findall(name) if _follows(first, second)}
    told = {2000 + int(first) for first in seasons}
    told |= {day.year - (day.month < month) for day in dated}
    if len(told) == 1:
        yield f'year = "{min(told)}-{month:02}"   # of days that name none, such as {bare[0]}: of the twelve months from there'
        return
    said = min((year for name in names for year in YEAR.findall(name)), default="2024")
    yield f"# {len(bare)} days name no year, such as {bare[0]}, and run over New Year; say where they begin, or their rows are turned away:"
    yield f'# ? year = "{said}-{month:02}"   # twelve months from there'


def _follows(first, second):
    return int(second) == (int(first) + 1) % 100
