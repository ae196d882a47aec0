"""How the sheets of a drafted section are written: their names, encoding, dates, decimal sign, hours and years."""

import re

from maintkit.records.days import ORDERS_OF_SIX
from maintkit.records.durations import is_from_to, minutes_of, read_two_ways
from maintkit.records.known_words.meanings import RE_CAP
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.words import HOURS, MINUTES, heading_of
from maintkit.records.marked import TABLE as MARKED
from maintkit.records.remarks import A_YEAR, DAY_OF
from maintkit.records.sheets import Dialect
from maintkit.records.tables import TABLE

from .cell_words import listed, quote
from .day_formats import NUMBER, DateFormats, date_formats, month_formats, told_by_order, year_or_month
from .years import years_lines


def one_or_list(names) -> str:
    """One name, or a list of several, as TOML."""
    return quote(names[0]) if len(names) == 1 else listed(names)


def where_it_is(pages, source):
    """The lines that name the files and sheets of a section."""
    files = list(dict.fromkeys(page.part.path.name for page in pages))
    titles = list(dict.fromkeys(page.part.title for page in pages if page.part.book))
    if source.is_dir() or not titles:
        yield f"file = {one_or_list(files)}"
    if titles:
        yield f"sheet = {one_or_list(titles)}"
    if pages[0].rows:
        first, last = pages[0].rows
        yield f'rows = "{first}-{last or ""}"   # this list stands {"above" if last else "below"} another in the same sheet'


def how_it_is_written(group, placing, pages):
    """How a sheet is written: encoding, delimiter, dates, decimal sign, hours."""
    page = pages[0]
    if page.dialect.encoding != Dialect.encoding:
        yield f"encoding = {quote(page.dialect.encoding)}"
    if page.dialect.delimiter != Dialect.delimiter:
        around = "   # of its tables; what stands around them is not read"
        yield f"delimiter = {quote(page.dialect.delimiter)}{around if page.dialect.delimiter == MARKED else ''}"
    table = TABLE[placing.table]
    kinds = {heading: "minutes" for heading, names in placing.doubtful.items() if names == ("minutes_lost",)}
    kinds |= {heading: table.column(name).kind for heading, (name, _) in placing.columns.items()}
    days = [heading for heading, kind in kinds.items() if kind == "date"]
    yield from _date_format(group, placing, days)
    yield from years_lines(group, days)
    numbers = [heading for heading, kind in kinds.items() if kind in ("number", "minutes", "whole")]
    if _decimal_mark(_texts(group, numbers)) == ",":
        yield 'decimal = ","'
    minutes = [heading for heading in numbers if kinds[heading] == "minutes"]
    in_two = {heading: both for heading in minutes if (both := duration_in_two(heading, group))}
    for both in {*in_two.values()}:
        yield f"together = {listed(both)}   # hours and minutes of one duration"
    minutes = [heading for heading in minutes if heading not in in_two]
    hours = [one for one in minutes if heading_of(one).says_hours and group.cells[one].numbers]
    if hours:
        yield f"hours = {listed(hours)}   # bare numbers there are hours"
    for heading in minutes:
        yield from _two_ways(heading, group.cells[heading].texts, heading in hours)


def duration_in_two(heading, group) -> tuple[str, ...]:
    """The headings of the hours and of the minutes of one duration, as 1 and 23 are, where a heading is one of them; else none."""
    told = {one: _words_of_time(one) for one in group.cells}
    others = [one for one in told if one != heading and told[one][0] == told.get(heading, ("",))[0]]
    for one in others if not group.together else ():
        hours, minutes = sorted((heading, one), key=lambda each: not told[each][1])
        both = [group.cells[each] for each in (hours, minutes)]
        is_hours = told[hours][1] and not told[minutes][1] and told[minutes][2]
        rows = [
            pair
            for pair in zip(*(each.column for each in both), strict=True)
            if any(map(str.isdecimal, pair))
        ]
        if (
            is_hours
            and rows
            and all(len(text) < 3 and text.isdecimal() and int(text) < 60 for _, text in rows)
        ):
            return hours, minutes
    return ()


def _words_of_time(heading):
    """What a heading says besides hours and minutes, and whether it says the first or the second."""
    words = {*heading_of(heading).every, *heading_of(heading).units}
    return words - HOURS - MINUTES, bool(words & HOURS), bool(words & MINUTES)


def _decimal_mark(texts) -> str:
    """The decimal sign of the numbers with a part behind it: a comma where more have one."""
    comma = sum(bool(re.search(r"\d,\d{1,2}(?!\d)", text)) for text in texts)
    point = sum(bool(re.search(r"\d\.\d", text)) for text in texts)
    return "," if comma > point else "."


def _texts(group, headings):
    return [text for heading in headings for text in group.cells[heading].texts]


def _date_format(group, placing, days):
    """The line of how dates are written; a question where neither they, nor other sheets, nor their order tell day and month apart."""
    dates = date_formats(_texts(group, days))
    if not dates.settled and (told := date_formats(group.days)).settled:
        shared = tuple(one for one in dates.formats if one in told.formats) or dates.formats
        dates = DateFormats(shared, settled=len(shared) == 1)
    if by_order := "" if dates.settled else _by_order(group, days):
        yield f"# No date tells day and month apart, but the rows are in order only with the {'day' if by_order == '%d' else 'month'} first."
        dates = DateFormats(_beginning_with(by_order, dates.formats))
    made = "done_on" if placing.same.get("action") == RE_CAP else "made_on"
    made = "shelf_in" if placing.table == "shelf" else made
    made = [heading for heading, (name, _) in placing.columns.items() if name == made]
    made += [DAY_OF] if placing.table == "repairs" and _years_are_of_re_caps(group) else []
    alone = sorted({year_or_month(text) for text in _texts(group, made)} - {""})
    months = [one for heading in days for one in month_formats(group.cells[heading].texts)]
    alone += [one for one in months if one not in alone]
    if (dates.formats or alone) and dates.settled:
        first_day = "   # a year or month alone is its first day" if alone else ""
        yield f"date_format = {one_or_list([*dates.formats, *alone])}{first_day}"
    elif dates.formats:
        yield "# No date tells day and month apart, so this asks. Take the # ? from the line that is right:"
        for by in ("%d", "%m"):
            yield f"# ? date_format = {one_or_list(_beginning_with(by, dates.formats))}"


def _years_are_of_re_caps(group):
    """Whether all work that dated lines tell by the year alone is re-caps."""
    both = (group.cells.get(one) for one in (DAY_OF, group.pages[0].dated))
    days, told = (cells.column if cells else () for cells in both)
    works = {work_in_text(said) for day, said in zip(days, told) if A_YEAR.fullmatch(day)}
    return works - {""} == {RE_CAP}


def _beginning_with(first, formats):
    """The formats with the day or the month first, and those of six figures, whose order is settled among themselves."""
    return tuple(one for one in formats if one.startswith(first) or one in ORDERS_OF_SIX)


def _by_order(group, headings):
    """What comes first in the days under some headings, where those under one of them tell it by their order."""
    told = {first for heading in headings if (first := told_by_order(group.cells[heading].texts))}
    return told.pop() if len(told) == 1 else ""


def _two_ways(heading, texts, in_hours):
    """A note of durations from one number to another, and a question where they may be meant otherwise than they are read."""
    if between := next(filter(is_from_to, texts), ""):
        middle = minutes_of(between, in_hours=in_hours)
        yield f"# {quote(heading)} has {between}, of which the middle is taken: {middle:.4g} minutes."
    doubtful = read_two_ways(texts, in_hours=in_hours, says_minutes="min" in heading.casefold())
    first = next((text for text in texts if text in doubtful), None)
    if first is None:
        return
    taken = f"# {quote(heading)} has {first}, which is taken as {minutes_of(first, in_hours=in_hours):.4g} minutes."
    bare = not in_hours and NUMBER.fullmatch(first)
    yield f"{taken} If {'such numbers are hours' if bare else 'the point stands between hours and minutes'}:"
    yield f"# ? {'hours' if bare else 'hours_and_minutes'} = {listed([heading])}"
