"""A sheet whose headings say nothing, or that has none, taken for a list of faults: what its columns are by their cells alone."""

import re

from maintkit.actions import OTHER
from maintkit.records.days import SIX_FIGURES
from maintkit.records.diary import HEADINGS as DIARY
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.words import fold, heading_of, vocabulary
from maintkit.records.row_above import is_ditto, title_of

from .date_order import later_dates
from .day_formats import MOMENT
from .evidence import are_a_few_again
from .leaning import A_FEW, go_on
from .likeness import likeness_nowhere, likeness_of_column
from .places import SURE, THE_DESK, Placing, place, targets_of
from .values import ENOUGH, SERIAL, Cells

MOSTLY, SURELY = 0.8, 0.9  # share of the cells
FEWEST_ROWS = 3  # without headings
PLAIN = {"raised_on": "Date", "desk": "Desk", "position": "Slot", "symptom": "Fault"}
A_STORY = 4  # words on average, of what is told with numbers in it
SAYS = 1.4  # words on average, of what is told and not named
SOME_SLOTS = 0.4  # share of the entries of a diary that name a slot
TELLS = 0.25  # share of the cells with words of complaints, of work or of modules, from which they are such
TELLS_WORK = 0.2  # share of the texts with words of work, from which it is asked whether they are work too
APART = 0.2  # shares of words of work less those of complaints, of two columns
A_YEAR = re.compile(r"(?:19|20)\d\d")
MOST_COLUMNS_OF_A_CARD = 3  # days, lines and perhaps who wrote them; a list of several modules has more
TELLS_OF_A_MODULE = 0.3  # share of the lines that tell of work, or that the module was put in or came out
MOVED = re.compile(
    r"\b(?:re)?(?:fitted|pulled|moved|removed|installed|(?:ein|aus)gebaut|eingesetzt|gezogen|umgesetzt)\b",
    re.IGNORECASE,
)
INITIALS = re.compile(r"(?![IVX]+$)[^\W\d_]{2,3}")  # of who did it; a desk by such letters is asked for
LETTER = re.compile(r"[^\W\d_]")
AGAIN = 0.5  # different names of desks, at most, a row
IN_A_GRID = "Of a grid, the slots stand down the first column and the days or months over the others, and what was wrong or done as a word or a mark in each cell."


def fault_list(cells: dict[str, Cells]) -> Placing | None:
    """The columns of a list of faults: the first days, the first texts that tell something, short places with numbers, a few names that come again.

    None where a column of days or one of words is missing. It is a guess, to be asked about.
    """
    cells = {
        heading: one
        for heading, one in cells.items()
        if one.dates or one.mean_words >= A_STORY or not _says_neither(heading)
    }
    later = later_dates(cells)
    days = [heading for heading, one in cells.items() if one.dates >= MOSTLY]
    days = days or [heading for heading, one in cells.items() if one.share(_may_be_a_day) == 1]
    days = [heading for heading in days if _days(cells[heading]) >= MOSTLY]
    days.sort(key=lambda heading: (later.get(heading, False), -len(cells[heading].texts)))
    words = {
        heading: one
        for heading, one in cells.items()
        if heading not in days and one.texts and max(one.numbers, one.clocks, one.durations) < 0.5
    }
    plain = {
        heading: one
        for heading, one in words.items()
        if (one.digits < MOSTLY or one.mean_words >= A_STORY) and one.slots < 0.5
    }
    if not days or not plain:
        return None
    telling = (heading for heading in plain if _tells(plain[heading]))
    told = {heading: plain[heading].deeds - plain[heading].complaints for heading in telling}
    complaints = [heading for heading in told if plain[heading].deeds < 0.5]
    said = next(iter((*complaints, *told)), "") or max(plain, key=lambda heading: plain[heading].different)
    if said in told and (least := min(told, key=told.get)) and told[least] < 0 < told[said] - APART:
        said = least  # what was done stands before what was wrong
    columns = {days[0]: "raised_on", said: "symptom"}
    rest = {heading: one for heading, one in words.items() if heading not in (said, *told)}
    named = [heading for heading, one in rest.items() if _may_be_desks(one)]
    slots = [heading for heading, one in rest.items() if one.slots >= 0.5]
    slots += [
        heading
        for heading, one in cells.items()
        if heading not in (*named, *told, said) and _may_be_slots(one) and not heading_of(heading).says_money
    ]
    rest = {heading: one for heading, one in rest.items() if _may_be_names(one)}
    desks = named + [heading for heading, one in rest.items() if 1 < one.different <= AGAIN * len(one.texts)]
    desks = [heading for heading in desks if rest[heading].mean_words < 4 and heading not in slots]
    for name, some in (("desk", desks), ("position", slots)):
        columns |= {heading: name for heading in [one for one in some if one not in columns][:1]}
    return Placing("tickets", {heading: (columns[heading], SURE) for heading in cells if heading in columns})


def work_told(tickets: Placing, cells: dict[str, Cells]) -> list[Placing]:
    """The work that a guessed list of faults tells of in the same text, as a diary does; none where few texts do."""
    day, said = (tickets.heading(name) for name in ("raised_on", "symptom"))
    if said not in cells or cells[said].share(work_in_text) < TELLS_WORK:
        return []
    return [Placing("repairs", {day: ("done_on", SURE), said: ("action", SURE)})]


def without_days(pages):
    """The lines that say of sheets, of which none is read, which are grids that say too little, and which have no column of days."""
    for page in pages:
        if page.is_unread_grid:
            yield f"# {page.name}: {IN_A_GRID}"
    bare = [
        page.name
        for page in pages
        if page.cells and not (page.is_unread_grid or any(_days(one) >= SURE for one in page.cells.values()))
    ]
    if bare:
        yield f"# A report or a piece of work needs the day on which it was, and no column of {', '.join(bare)} has days, with their year."
        yield "# Where another file has them, bring it here; or write a column of days into it, and draft again."


def _may_be_a_day(text):
    """Whether figures may be a day, for they are six, or have a time of day with them."""
    return SIX_FIGURES.fullmatch(text) or re.fullmatch(MOMENT, text)


def guessed(cells: dict[str, Cells], *, of_work: bool) -> Placing | None:
    """The columns of a list of faults or, where its texts tell of work alone, of work; of one of days and names alone too.

    Such a one is of faults, or ``of_work`` of planned work. None where it has no days. It is a guess, to be asked about.
    """
    found = fault_list(cells)
    if not found:
        days = [
            heading for heading, one in cells.items() if one.share(_may_be_a_day) == 1 or one.dates >= SURELY
        ]
        names = [heading for heading, one in cells.items() if _come_again(one) and heading not in days]
        if not days or len(names) != 1:
            return None
        columns = {days[0]: ("raised_on", SURE), names[0]: ("desk", SURE)}
        return _as_work(columns, planned="yes", action=OTHER) if of_work else Placing("tickets", columns)
    told = cells[found.heading("symptom")]
    return _as_work(found.columns) if told.deeds >= AGAIN and told.complaints < TELLS else found


def _come_again(cells):
    """Whether cells with letters are a few that come again, and one stands in nearly every row."""
    few = cells.different <= AGAIN * len(cells.texts) and cells.mean_words < A_STORY
    return few and len(cells.texts) >= SURELY * cells.rows and cells.share(LETTER.search) >= MOSTLY


def _as_work(columns, **same):
    """The columns of a list of reports as those of one of work."""
    names = {"raised_on": "done_on", "symptom": "action"}
    return Placing(
        "repairs", {one: (names.get(name, name), sure) for one, (name, sure) in columns.items()}, same=same
    )


def _says_neither(heading):
    """Whether a heading says persons, remarks and the like, or minutes, whatever stands below it."""
    return max(likeness_nowhere(heading), likeness_of_column(heading, "repairs", "bench_minutes")) >= SURE


def _days(cells):
    """The share of days, six figures among them."""
    return max(cells.dates, cells.day_numbers)


def _tells(cells):
    """Whether cells tell something, rather than name it: they are seldom the same, or have words of complaints or of work."""
    return cells.mean_words >= SAYS and (
        cells.different > AGAIN * len(cells.texts) or max(cells.deeds, cells.complaints) >= TELLS
    )


def _may_be_slots(cells):
    """Whether cells are short and most have a number, or some are kinds of modules; none where they count the rows or minutes."""
    come_again = 1 < cells.different < len(cells.texts) or cells.numbers < MOSTLY
    are_short = cells.mean_words < 3 and come_again and cells.dates < 0.5
    numbered = cells.digits >= ENOUGH and not cells.running and not _may_be_minutes(cells)
    return are_short and (numbered or cells.module_types >= TELLS)


def _may_be_names(cells):
    """Whether cells have letters, and are not initials of who did it."""
    return cells.share(LETTER.search) >= MOSTLY > cells.share(INITIALS.fullmatch)


def _may_be_minutes(cells):
    """Whether cells are whole numbers, nearly all of them of fives."""
    return cells.whole >= SURELY and cells.share(lambda text: text[-1] in "05") >= SURELY


def _may_be_desks(cells):
    """Whether cells are a few names with a number behind each, again and again."""
    return are_a_few_again(cells) and cells.digits >= MOSTLY and cells.numbers < 0.5


def _is_diary(days, told):
    """Whether a column of days and one of stories are a diary that often names slots."""
    names = told.share(lambda text: vocabulary().in_cells["position"].search(fold(text)))
    return days.dates >= SURELY and told.mean_words >= A_STORY and names >= SOME_SLOTS


def _planned_days(cells):
    """The columns of days, more than a few, that go on from one to the next in nearly every row, as in a calendar of planned work."""
    dated = [heading for heading, one in cells.items() if one.dates >= SURELY]
    are_planned = len(dated) > A_FEW and go_on(zip(*(cells[one].column for one in dated), strict=True))
    return dated if are_planned else []


def planned_work(page, cells) -> Placing | None:
    """The columns of a sheet whose rows are each a thing, work on it and the days on which that is planned; None where it is no such.

    ``cells`` have a row a day.
    """
    if not page.groups or len(page.groups[0]) > 1:
        return None
    (day,) = page.groups[0]
    own = place(targets_of(("repairs",)), cells)["repairs"]
    own.columns[day] = ("done_on", SURE)
    if "action" not in own.names:
        said = {one: likeness_of_column(one, "repairs", "action") for one in cells if one not in own.columns}
        best, found = max(said, key=said.get, default=""), fault_list(cells)
        work = best if said.get(best, 0.0) >= SURE else found.heading("symptom") if found else ""
        own.columns.update({work: ("action", SURE)} if work else {})
        own.same.update({} if work else {"action": OTHER})
    own.same.update({"planned": "yes"} | ({} if own.heading("desk") else {"desk": THE_DESK}))
    return own


def undated_list(cells) -> Placing | None:
    """The columns of a list of faults by its headings, where no column has days; None where one has, or none tells what was wrong."""
    placing = place(targets_of(("tickets",)), cells)["tickets"]
    said = {one: likeness_of_column(one, "repairs", "finding") for one in cells}
    best = max(said, key=said.get, default="")
    if said.get(best, 0.0) >= SURE:  # why, where nothing says what was heard
        rest = {one: name for one, name in placing.columns.items() if name[0] != "symptom"}
        placing = Placing("tickets", rest | {best: ("symptom", SURE)})
    has_days = any(_days(one) >= TELLS for one in cells.values())
    return placing if "symptom" in placing.names and not has_days else None


def headings_given(title: str, rows) -> tuple[str, ...]:
    """Headings for the columns of a sheet that has none, where it is a list of faults or the card of a module; () where it is neither.

    Examples
    --------
    >>> rows = ("3.1.25|Heron|12|crackly fader|cleaned", "9.1.25|Tern|3|no sound|replaced C12",
    ...         "17.1.25|Tern|12|switch stuck|new switch", "2.2.25|Heron|4|hum on left|re-soldered")
    >>> headings_given("", [row.split("|") for row in rows])
    ('Date', 'Desk', 'Slot', 'Fault', 'Done')
    """
    rows = [["" if is_ditto(cell) else cell.strip() for cell in row] for row in rows if not title_of(row)]
    width = max(map(len, rows), default=0)
    columns = zip(*([*row, *[""] * (width - len(row))] for row in rows), strict=True)
    cells = {f"Column {at}": Cells(column) for at, column in enumerate(columns, start=1)}
    names = {}
    if len(rows) >= FEWEST_ROWS and width == 2:
        names = dict(zip(cells, DIARY)) if _is_diary(*cells.values()) else {}
    elif len(rows) >= FEWEST_ROWS:
        names = _names_by_cells(cells)
    names = names or dict(zip(columns_of_card(title, cells) or (), (PLAIN["raised_on"], "Done")))
    return tuple(names.get(heading, heading) for heading in cells) if names else ()


def _names_by_cells(cells):
    """What the columns of a list of faults are called, by their cells; nothing where they are no such list."""
    found = fault_list({heading: one for heading, one in cells.items() if one.texts})
    if found is None or _days(cells[found.heading("raised_on")]) < SURELY:
        return {}
    names = {heading: PLAIN[name] for heading, (name, _) in found.columns.items()}
    free = {heading: one for heading, one in cells.items() if heading not in names}
    done = [heading for heading, one in free.items() if one.deeds >= TELLS and one.deeds > one.complaints]
    said = found.heading("symptom")
    if not done and cells[said].deeds >= 0.5 and cells[said].complaints < TELLS:
        done = [said]
    minutes = sorted(
        filter(lambda one: _may_be_minutes(free[one]), free), key=lambda one: -len(free[one].texts)
    )
    names |= dict.fromkeys(done[:1], "Done") | dict(zip(minutes, ("Minutes", "Minutes lost?")))
    if planned := _planned_days(cells):
        names |= {one: f"Date {at}" for at, one in enumerate(planned, start=1)} | {said: "Done"}
    return names


def columns_of_card(title: str, cells: dict[str, Cells]) -> tuple[str, str] | None:
    """The headings of the days and of the lines of a sheet that is called by a serial, and tells what was done to that module; None of any other.

    Examples
    --------
    >>> lines = {"a": Cells(("3.4.2019", "13.7.26")), "b": Cells(("fitted in ch 3", "C22 replaced"))}
    >>> columns_of_card("1103 ", lines), columns_of_card("2019", lines), columns_of_card("faults", lines)
    (('a', 'b'), None, None)
    """
    filled = {heading: one for heading, one in cells.items() if one.texts}
    is_serial = SERIAL.fullmatch(title.strip()) and not A_YEAR.fullmatch(title.strip())
    if not is_serial or len(filled) > MOST_COLUMNS_OF_A_CARD:
        return None
    days = [heading for heading, one in filled.items() if one.dates >= ENOUGH]
    told = [heading for heading, one in filled.items() if _tell_of_a_module(one)]
    return (days[0], told[0]) if len(days) == len(told) == 1 else None


def _tell_of_a_module(cells):
    is_told = cells.share(lambda text: work_in_text(text) or MOVED.search(text)) >= TELLS_OF_A_MODULE
    return is_told and cells.share(MOVED.search) > 0
