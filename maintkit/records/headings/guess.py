"""A sheet whose headings say nothing, or that has none, taken for a list of faults: what its columns are by their cells alone."""

from maintkit.records.diary import HEADINGS as DIARY

from .date_order import later_dates
from .evidence import are_a_few_again
from .places import SURE, Placing
from .values import Cells
from .words import fold, heading_of, vocabulary

MOSTLY, SURELY = 0.8, 0.9  # share of the cells
FEWEST_ROWS = 3  # without headings
PLAIN = {"raised_on": "Date", "desk": "Desk", "position": "Slot", "symptom": "Fault"}
A_STORY = 4  # words on average, of what is told with numbers in it
SAYS = 1.4  # words on average, of what is told and not named
SOME_SLOTS = 0.4  # share of the entries of a diary that name a slot
AGAIN = 0.5  # different names of desks, at most, a row


def fault_list(cells: dict[str, Cells]) -> Placing | None:
    """The columns of a list of faults: the first days, the first texts that tell something, short places with numbers, a few names that come again.

    None where a column of days or one of words is missing. It is a guess, to be asked about.
    """
    later = later_dates(cells)
    days = [heading for heading, one in cells.items() if one.dates >= MOSTLY]
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
    told = {
        heading: one.deeds
        for heading, one in plain.items()
        if one.mean_words >= SAYS and one.different > AGAIN * len(one.texts)
    }
    complaints = [heading for heading, deeds in told.items() if deeds < 0.5]
    said = next(iter((*complaints, *told)), "") or max(plain, key=lambda heading: plain[heading].different)
    columns = {days[0]: "raised_on", said: "symptom"}
    rest = {heading: one for heading, one in words.items() if heading != said}
    slots = [heading for heading, one in rest.items() if one.slots >= 0.5]
    named = [heading for heading, one in rest.items() if _may_be_desks(one)]
    slots += [
        heading
        for heading, one in rest.items()
        if heading not in named and one.digits >= MOSTLY and one.mean_words < 3
    ]
    slots += [
        heading
        for heading, one in cells.items()
        if one.numbers >= MOSTLY and one.different < len(one.texts) and not heading_of(heading).says_money
    ]
    slots = [heading for heading in slots if not cells[heading].running]  # numbers of the rows
    desks = named + [heading for heading, one in rest.items() if 1 < one.different <= AGAIN * len(one.texts)]
    desks = [heading for heading in desks if rest[heading].mean_words < 4 and heading not in slots]
    if desks:
        columns[desks[0]] = "desk"
    if free := [heading for heading in slots if heading not in columns]:
        columns[free[0]] = "position"
    return Placing("tickets", {heading: (columns[heading], SURE) for heading in cells if heading in columns})


def _may_be_desks(cells):
    """Whether cells are a few names with a number behind each, again and again."""
    return are_a_few_again(cells) and cells.digits >= MOSTLY and cells.numbers < 0.5


def _is_diary(days, told):
    """Whether a column of days and one of stories are a diary that often names slots."""
    names = told.share(lambda text: vocabulary().in_cells["position"].search(fold(text)))
    return days.dates >= SURELY and told.mean_words >= A_STORY and names >= SOME_SLOTS


def headings_by_cells(rows) -> tuple[str, ...]:
    """Headings for the columns of rows that have none, where they are a list of faults; () where they are not.

    Examples
    --------
    >>> rows = ("3.1.25|Heron|12|crackly fader|cleaned", "9.1.25|Tern|3|no sound|replaced C12",
    ...         "17.1.25|Tern|12|switch stuck|new switch", "2.2.25|Heron|4|hum on left|re-soldered")
    >>> headings_by_cells([row.split("|") for row in rows])
    ('Date', 'Desk', 'Slot', 'Fault', 'Done')
    """
    width = max(map(len, rows), default=0)
    if len(rows) < FEWEST_ROWS or width < 2:
        return ()
    cells = {
        f"Column {at + 1}": Cells(tuple(row[at].strip() if at < len(row) else "" for row in rows))
        for at in range(width)
    }
    if width == 2:
        return DIARY if _is_diary(*cells.values()) else ()
    found = fault_list({heading: one for heading, one in cells.items() if one.texts})
    if found is None or cells[found.heading("raised_on")].dates < SURELY:
        return ()
    names = {heading: PLAIN[name] for heading, (name, _) in found.columns.items()}
    done = [heading for heading, one in cells.items() if heading not in names and one.deeds >= 0.5]
    return tuple((names | dict.fromkeys(done[:1], "Done")).get(heading, heading) for heading in cells)
