"""Of columns of days, which is the earlier and which the later, and what that says of them."""

from dataclasses import replace
from functools import partial
from itertools import combinations
from statistics import median

from maintkit.records.days import month_and_year
from maintkit.records.known_words.words import heading_says
from maintkit.records.row_above import with_nearest_year

from .day_formats import date_formats, day_of, has_no_year, told_by_order
from .evidence import MOST
from .likeness import LEAST_WORDS, SURE, is_general, is_no_move, likeness_nowhere, likeness_of_column
from .values import ENOUGH, Cells

ON_THE_BENCH = 60  # days, at most, between half of the days on which work was begun and done: own choice
ENDS = (("repairs", "done_on"), ("tickets", "closed_on"), ("tickets", "restored_on"))  # of a report


def reader_of(texts):
    """What reads the days of a list: with the month first where they, or else their order, say so."""
    written = date_formats(texts)
    first = written.formats if written.settled else (told_by_order(texts),)
    return partial(day_of, month_first=any(shape.startswith("%m") for shape in first))


def days_in_order(texts) -> list:
    """The day of each cell of a column, one without a year in the year nearest to the day above; a cell that is none has that day too."""
    read, days = reader_of(texts), []
    near = next((read(text) for text in texts if read(text) and not has_no_year(text)), None)
    for text in texts:
        text = with_nearest_year(text, near, read) if near and has_no_year(text) else text
        near = read(text) or near
        days.append(near)
    return days


def later_dates(cells: dict[str, Cells]) -> dict[str, bool]:
    """Of two columns of dates of which one is never before the other: which is the earlier (False), which the later."""
    dated = {heading: one for heading, one in cells.items() if one.dates >= MOST and len(one.texts) >= 3}
    read = reader_of([text for one in dated.values() for text in one.texts])
    days = {heading: list(map(read, one.column)) for heading, one in dated.items()}
    bare = {heading: one.share(has_no_year) >= ENOUGH for heading, one in dated.items()}

    def beside(heading, other):
        """The days under a heading, those without a year each of the year that brings it nearest to the one beside it."""
        if bare[heading] <= bare[other]:
            return days[heading]
        pairs = zip(dated[heading].column, days[other], strict=True)
        return [near and read(with_nearest_year(text, near, read)) for text, near in pairs]

    said = {}
    for one, other in combinations(days, 2):
        both = [(a, b) for a, b in zip(beside(one, other), beside(other, one), strict=True) if a and b]
        if len(both) >= 3 and any(a != b for a, b in both):
            if sum(a <= b for a, b in both) >= 0.9 * len(both):
                said.setdefault(one, False)
                said[other] = True
            elif sum(a >= b for a, b in both) >= 0.9 * len(both):
                said[one] = True
                said.setdefault(other, False)
    return said


def a_later_day_says_so(later):
    """Whether the later of two columns of days says by its heading that it is of the end."""
    return any(
        is_later
        and not is_general(heading)
        and max(likeness_of_column(heading, *end) for end in ENDS) >= LEAST_WORDS
        for heading, is_later in later.items()
    )


def day_by_order(name, heading, cells, later):
    """Days under a heading that says nothing: the earlier, or the only ones, are those of the report, the later of the repair."""
    dated = [one for one in cells if cells[one].dates >= MOST]
    dated = dated or [one for one in cells if cells[one].dates >= ENOUGH]  # Easter, the day after
    if name in ("fitted_on", "removed_on"):  # a day out is blank for what still sits there
        if is_no_move(heading):
            return 0.0
        in_order = len(dated) == 2 and later.get(heading) == (name == "removed_on")
        others = (("tickets", "raised_on"), ("tickets", "closed_on"), ("repairs", "done_on"))
        if any(likeness_of_column(one, *other) >= LEAST_WORDS for one in dated for other in others):
            return 0.0
        return SURE if in_order or (len(dated) == 1 and name == "fitted_on") else 0.0
    if len(dated) == 1 and name in ("measured_on", "inspected_on", "counted_on", "from_on"):
        return SURE
    if len(dated) == 1 or later.get(heading) is False:
        return SURE if name in ("raised_on", "done_on") else 0.0
    is_end = len(dated) == 2 and later.get(heading)  # of three the last may be when something else happened
    return SURE if name in ("closed_on", "done_on") and is_end else 0.0


def two_ends(cells: dict[str, Cells]) -> bool:
    """Whether the day of the work and the day on which it was closed stand in a column each."""
    dated = [heading for heading in cells if cells[heading].dates >= 0.8]
    sure = [[likeness_of_column(heading, *end) for end in ENDS] for heading in dated]
    closing = [max(back) >= SURE and max(back) - done >= 0.1 for done, *back in sure]
    others = [done for (done, *_), closes in zip(sure, closing, strict=True) if not closes]
    return any(closing) and max(others, default=0) >= SURE


def take_months(placing, cells: dict[str, Cells]) -> None:
    """Let months alone, under a heading that has no place beside days, be the days of reports or work where nothing else has any."""
    name = {"tickets": "raised_on", "repairs": "done_on"}.get(placing.table)
    dated = [heading for heading, one in cells.items() if one.dates >= SURE]
    if name and name not in placing.names and len(dated) == 1 and likeness_nowhere(dated[0]) >= SURE:
        are_months = cells[dated[0]].share(month_and_year) >= SURE
        placing.columns.update({dated[0]: (name, SURE)} if are_months else {})


def with_days_begun(placing, cells: dict[str, Cells]):
    """Work with its one other column of days as those on which it was begun, where they are never after it and mostly near."""
    done = placing.heading("done_on") if placing.table == "repairs" else ""
    placed = {*placing.columns, *placing.doubtful}
    left = [
        one
        for one, own in cells.items()
        if one not in placed and own.dates >= MOST and not heading_says("not_yet", one)
    ]
    both = {one: cells[one] for one in (*left, done) if one in cells}
    if not done or len(left) != 1 or later_dates(both).get(left[0]) is not False:
        return placing
    days = [map(reader_of(own.texts), own.column) for own in both.values()]
    near = median((end - day).days for day, end in zip(*days, strict=True) if day and end) <= ON_THE_BENCH
    return replace(
        placing, columns=placing.columns | {left[0]: ("began_on", SURE)} if near else placing.columns
    )
