"""Which tables a sheet feeds: the one that takes most of its headings, and a partner where one list is of two things."""

from dataclasses import dataclass, field
from functools import cache

from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.words import heading_of, vocabulary, words_in
from maintkit.records.remarks import DAY_OF
from maintkit.records.tables import TABLE

from .by_name import named_as_table
from .date_order import ENDS, later_dates, take_months, two_ends
from .evidence import NOTHING_KNOWN, evidence, numbers_rows
from .groups import Group
from .jobs import placings_of_jobs
from .likeness import best_likeness, is_general, likeness_nowhere, likeness_of_column
from .machines import are_outages, place_machines, take_reason
from .modules_today import put_where_they_sit
from .out_of_slot import says_moves
from .places import DESK_AND_SLOT, SURE, SWAPPED_OUT, THE_DESK, Placing, place, targets_of
from .quantities import unfold
from .rooms import is_one_a_desk, names_rooms, place_room
from .spare_modules import are_purchases, is_ledger
from .values import ENOUGH, Cells
from .work_told import TELL_WORK, find_work, one_work, put_day_of_recaps

# of each set one column must be there, or a sheet is not that table; decisions are written by reviews, never by hand
COMPLAINT = {"symptom", "impact", "outcome"}
CORE = {
    "desks": ({"desk"}, {"family", "coupling", "records_from", "powered_hours_per_week"}),
    "power": ({"desk"}, {"from_on"}, {"powered_hours_per_week", "inlet_c"}),
    "positions": ({"desk"}, {"position"}, {"bay", "zone", "use_weight", "air_c", "in_use_to"}),
    "modules": ({"serial"}, {"module_type", "position"}),
    "fitments": ({"serial"}, {"position"}, {"fitted_on"}),
    "tickets": ({"raised_on"}, COMPLAINT),
    "repairs": (
        {"done_on"},
        {"action", "part_type"},
        {"serial", "desk", "ticket", "position"},
        {"action", "finding", "bench_minutes"},
    ),
    "shelf": ({"serial", "part_type"}, {"shelf_in"}),
    "bookings": ({"desk"}, {"free_from"}, {"free_to"}),
    "part_types": ({"part_type"}, {"kind"}),
    "parts_list": ({"module_type"}, {"part_type"}, {"quantity"}),
    "readings": ({"serial"}, {"measured_on"}, {"value"}),
    "stock": ({"part_type"}, {"on_hand"}),
    "inspections": ({"serial"}, {"condition"}),
    "documents": ({"document"}, {"of", "where"}),
}
LISTS = {"desks": "desk", "part_types": "part_type", "stock": "part_type", "modules": "serial"}
SHARED = {"desk", "position", "serial", "ticket", "part_type", "ref", "family", "module_type"}
OF_A_SLOT = ("tickets", "repairs", "fitments")
# in the heading of parts that went in
USED = {"used", "fitted", "issued", "verwendet", "verbaut", "material"}
BARE = ("id",)  # which numbers anything, and things only beside the day on which each was put in
MANY, FEW = 20, 0.1  # complaints of which some would need no part; share of cells that name known parts
# headings that a table must take, and take more than the next, to be given what it lacks
LEAST, MOST_BY = 1.5, 0.5
MOVES = 3.0  # what it weighs for moves that each row says what came out or went in
LEAST_WORK = 1.2  # of work with its day
SELDOM_SAID = 0.2  # share of the days beside which a complaint stands, from which they are those of reports
SOMEWHAT = 0.1  # that cells must speak for a column
SOME = 0.3  # share of cells with a word of kinds of modules
CLEAR = 1.25  # headings that a table must take more than the next likely one
PARTNERS = {  # two tables that one list may hold, and the column of which each needs one of its own
    ("tickets", "repairs"): ({"symptom"}, {"action", "part_type"}),
    ("part_types", "stock"): ({"kind", "unit_cost"}, {"on_hand"}),
    ("modules", "inspections"): ({"module_type"}, {"condition"}),
    ("modules", "fitments"): ({"module_type"}, {"position"}),
}
OF_ONE_THING = [pair for pair in PARTNERS if pair[0] != "tickets"]
# the day on which it was mended is both
TOGETHER = (frozenset([("tickets", "closed_on"), ("repairs", "done_on")]),)


@dataclass(frozen=True)
class Weighed:
    """The tables that a group of sheets most likely feeds, and another that it may feed as well."""

    likely: list[Placing]
    rival: list[Placing] = field(default_factory=list)


def placings(group: Group, *, known=NOTHING_KNOWN, others=frozenset(), alone=False) -> Weighed:
    """The tables that a group of sheets feeds, none where it is none of them.

    ``known`` are keys that other sheets list, ``others`` tables that they feed; ``alone`` there are no others, so that work of
    which nothing says where is of the one desk that there is.
    """
    if lines := group.pages[0].dated:
        return Weighed([_of_dated_lines(group, lines, known)])
    if both := placings_of_jobs(group, known):
        return Weighed(both)
    own = _of_the_record_book(group)
    if own and {*group.cells} <= {*own.columns}:
        return Weighed([own])
    found = _by_headings(group, known, others, alone)
    return found if not own or own.table in {one.table for one in found.likely} else Weighed([own])


def _of_dated_lines(group, lines, known):
    """The reports that lines with their days are, each of the place of its row."""
    says = group.pages[0].says
    beside = {says.get(one, one): one for one in group.cells if one not in (lines, DAY_OF)}
    cells = {said: group.cells[one] for said, one in beside.items()}
    places = place(targets_of(("positions",)), cells, known)["positions"].renamed(beside)
    columns = {one: told for one, told in places.columns.items() if told[0] in DESK_AND_SLOT}
    own = {DAY_OF: ("raised_on", SURE), lines: ("symptom", SURE)}
    return Placing("tickets", columns | own, split=places.split)


def _of_the_record_book(group):
    """The table whose name sheets bear and whose columns they have, all that it must have; None where they are none so plainly."""
    tables = {named_as_table(page.part, group.cells) for page in group.pages}
    table = TABLE.get(tables.pop()) if len(tables) == 1 else None
    if not table:
        return None
    known = {column.name for column in table.columns}
    return Placing(
        table.name, {one: (one.casefold(), SURE) for one in group.cells if one.casefold() in known}
    )


def _by_headings(group, known, others, alone):
    """The tables that a group of sheets feeds by its headings and cells."""
    says = group.pages[0].says  # what a heading that comes again says with the one over it
    in_full = {says.get(heading, heading): cells for heading, cells in group.cells.items()}
    if len(in_full) < len(group.cells):
        return _weighed(group, known, others, alone)
    own = dict(zip(in_full, group.cells, strict=True))
    found = _weighed(Group(group.pages, in_full), known, others, alone)
    likely, rival = ([one.renamed(own) for one in some] for some in (found.likely, found.rival))
    if of_kind := group.pages[0].where[2]:
        return Weighed([one for one in likely + rival if one.table == of_kind])
    return Weighed(likely, rival)


def _weighed(group, known, others, alone):
    if {len(some) for page in group.pages for some in page.groups} == {1}:  # days on which work is planned
        return Weighed([])
    later = later_dates(group.cells)
    tried = {table: place(targets_of((table,)), group.cells, known, later)[table] for table in CORE}
    for placing in tried.values():
        _put_right(placing, group)
    unfold(tried["readings"], group.cells)
    if "action" not in tried["repairs"].names:
        tried["repairs"].same.update(one_work(tried["repairs"], group))
        put_day_of_recaps(tried, group)
    _complete(tried, group, known)
    work = tried["repairs"]
    if alone and {"done_on", "action"} <= work.names and _lacking(work) == 1:
        work.same["desk"] = THE_DESK
    found = _decided(tried, group, known, others)
    moved = any(_is_of_the_old_one(heading) and own.dates < TELL_WORK for heading, own in group.cells.items())
    if not moved and (not found.likely or are_outages(found.likely[0])):
        take_reason(tried["tickets"], tried["repairs"], group.cells)
        found = _decided(tried, group, known, others)
    if not found.likely and _are_faults_by_name(tried["tickets"], group):
        tried["tickets"].same["symptom"] = ""
        return _decided(tried, group, known, others)
    return found


def _decided(tried, group, known, others):
    """Of all tables with what they would take, those that the group feeds."""
    fit = {table: placing for table, placing in tried.items() if not _lacking(placing)}
    if not fit:
        return Weighed([])
    first = max(fit, key=lambda table: _weight([fit[table]], group))
    likely = [fit[first]]
    for pair in PARTNERS:
        if first in pair and not _told_elsewhere(pair, fit[first], group, known, others):
            likely = _pair(group, pair, known) or likely
    found = _against_rivals(likely, tried, group)
    if not found.likely and len(likely) > 1:  # together they take less than the first of them alone
        found = _against_rivals([fit[first]], tried, group)
    # of two minds, so perhaps of both
    tables = {first, *(one.table for one in found.rival)}
    both = next((_pair(group, pair, known) for pair in PARTNERS if tables == {*pair}), None)
    return Weighed(both) if both else found


def _told_elsewhere(pair, placing, group, known, others):
    """Whether other sheets tell the other table of a pair. Of reports and work each list tells its own, unless it is called work or one has
    the numbers of the other's reports."""
    if pair[0] != "tickets" or not others & {*pair} - {placing.table}:
        return bool(others & {*pair} - {placing.table})
    is_work = placing.table == "repairs"
    numbers = known.get("ticket" if is_work else "said ticket", ())
    tied = any(text.casefold() in numbers for text in group.texts(placing.heading("ticket")))
    return tied or (is_work and is_named(group, ("repairs",)))


def _complete(tried, group, known):
    """Give the table that takes most the one column it lacks, where the cells of one heading alone can be it."""
    worth = {table: _weight([placing], group) - _lacking(placing) for table, placing in tried.items()}
    worth["fitments"] += MOVES if _moves(group) else 0
    first, second, *_ = sorted(worth, key=worth.get, reverse=True)
    placing = tried[first]
    least = LEAST_WORK if {"done_on", "action"} <= placing.names else LEAST
    if _lacking(placing) != 1 or worth[first] < least or worth[first] - worth[second] < MOST_BY:
        return
    lacks = next(some for some in CORE[first] if not placing.names & some)
    taken = {*placing.columns, *placing.doubtful, *placing.split}
    found = {
        heading: max(sorted(lacks), key=lambda name: _speaks_for(first, name, heading, cells, known))
        for heading, cells in group.cells.items()
        if heading not in taken and not _is_nowhere(heading) and not _is_of_the_old_one(heading)
    }
    sure = [
        (heading, name)
        for heading, name in found.items()
        if _speaks_for(first, name, heading, group.cells[heading], known) >= SOMEWHAT
    ]
    if len(sure) == 1:
        heading, name = sure[0]
        placing.columns[heading] = (name, SURE)


def _speaks_for(table, name, heading, cells, known=NOTHING_KNOWN):
    """How much cells speak for a column, whatever the heading says; below nought where they speak against it."""
    if name == "module_type" and cells.module_types >= SOME:
        return SOMEWHAT
    told = evidence(TABLE[table].column(name), heading_of(heading), cells, known)
    return -1.0 if told is None else told


def _are_faults_by_name(tickets, group):
    """Whether every row with a day and a place is a fault, for the sheet is called so and no column says what was wrong."""
    lacks = _lacking(tickets) == 1 and not tickets.names & COMPLAINT
    return (
        lacks
        and bool(tickets.names & {*DESK_AND_SLOT})
        and any(word.startswith(vocabulary().faults) for name in group.names for word in words_in(name))
    )


def _against_rivals(likely, tried, group):
    """The tables with the one that is nearly as likely, where there is one; none where another takes far more headings but is not whole."""
    worth = max(_weight([one], group) - _lacking(one) for one in tried.values())
    if worth - _weight(likely, group) > CLEAR:
        return Weighed([])
    told = {placing.table for placing in likely}
    told |= {table for pair in OF_ONE_THING if told & {*pair} for table in pair}
    taken = {heading for one in likely for heading in one.columns}
    worth = {}
    for table, placing in tried.items():
        nothing_new = {*placing.columns} <= taken
        if table not in told and _lacking(placing) <= (not nothing_new) and _may_be_whole(placing, group):
            worth[table] = _weight([placing], group) - _lacking(placing) - 0.5 * nothing_new
    rival = max(worth, key=worth.get, default="")
    is_work_too = rival == "repairs" and likely[0].heading("symptom") == tried[rival].heading("action") != ""
    if rival and not is_work_too and _weight(likely, group) - worth[rival] < CLEAR:
        return Weighed(likely, [tried[rival]])
    return Weighed(likely)


def _lacking(placing, given=frozenset()):
    """How many columns a table lacks of those that it must have."""
    return sum(not (placing.names | given) & some for some in CORE[placing.table])


def _may_be_whole(placing, group):
    """Whether the columns that a table lacks may be under headings that have no place in it."""
    free = {
        heading: cells
        for heading, cells in group.cells.items()
        if cells.texts
        and not (heading in placing.columns or heading in placing.split or _is_nowhere(heading))
    }
    return all(
        placing.names & some
        or any(_speaks_for(placing.table, name, *one) >= 0 for one in free.items() for name in some)
        for some in CORE[placing.table]
    )


def _is_nowhere(heading):
    """Whether a heading surely is one that has no place."""
    return likeness_nowhere(heading) >= 0.8


def _is_of_the_old_one(heading):
    """Whether a heading says the module that was taken out."""
    return bool(SWAPPED_OUT & {*heading_of(heading).words})


def _weight(placing_list, group):
    """How much of a group of sheets some tables take, each heading once, and how well its name says one of them."""
    tables = tuple(placing.table for placing in placing_list)
    columns = {}
    for placing in placing_list:
        for heading, (name, score) in placing.columns.items():
            columns[heading] = max(columns.get(heading, 0.0), score * (0.5 if name in SHARED else 1))
    split = max(len(placing.split) for placing in placing_list)
    are_moves = any(one.table == "fitments" and not _lacking(one) and _moves(group) for one in placing_list)
    return sum(columns.values()) + split + 1.5 * is_named(group, tables) + (MOVES if are_moves else 0)


def _moves(group):
    """The headings whose cells say that something came out or went in."""
    return [heading for heading, cells in group.cells.items() if says_moves(cells)]


def is_named(group, tables) -> bool:
    """Whether the name of a sheet or file says one of some tables."""
    return max(_names(name, tables) for name in group.names) >= SURE


@cache
def _names(name, tables):
    """How surely the name of a sheet says one of some tables."""
    phrases = [one for table in tables for one in vocabulary().sheets.get(table, ())]
    return best_likeness(heading_of(name), phrases)


def _pair(group, pair, known):
    """Both tables of one list, placed together; None where one has nothing of its own."""
    together = () if two_ends(group.cells) else TOGETHER
    placed = place(targets_of(pair, SHARED, together), group.cells, known)
    one, two = (placed[table] for table in pair)
    for placing in (one, two):
        _put_right(placing, group)
    given = set()
    if pair[0] == "tickets":
        _take_for_complaint(one, two)
        _join(one, two)
        if not one.heading("ticket"):  # what numbers no report is none that work answers
            two.columns.pop(two.heading("ticket"), None)
        _numbered(one, two, group.cells)
        if "action" not in two.names and _is_beside_each(two.heading("part_type"), group.cells):
            del two.columns[two.heading("part_type")]
        if "action" not in two.names and _says_replaced(two.heading("part_type") or two.heading("ref")):
            two.same["action"] = "replace"
        given.add("ticket")  # a row of both answers itself
        # beside a complaint, parts used are work enough
        given |= {"action"} if two.columns.get(two.heading("part_type"), ("", 0.0))[1] >= 1 else set()
    elif pair[0] == "modules":  # the stay says where it sits
        one.split.clear()
        for heading in filter(None, map(one.heading, DESK_AND_SLOT)):
            del one.columns[heading]
    own = zip((one, two), PARTNERS[pair], strict=True)
    there = all(placing.names & needed for placing, needed in own)
    return [one, two] if there and not _lacking(one) and not _lacking(two, given) else None


def _numbered(tickets, repairs, cells):
    """Make a number that each row of complaint and repair has, above the last, that of the report: modules do not fail in their order."""
    heading = repairs.heading("serial")
    counts = heading in repairs.columns and cells[heading].counts_up and numbers_rows(cells[heading])
    if counts and not tickets.heading("ticket"):
        tickets.columns[heading] = repairs.columns[heading] = ("ticket", SURE)


def _is_beside_each(part, cells):
    """Whether each of many complaints has a part beside it, none a known one, and the heading does not say that it went in."""
    own = cells.get(part, Cells(()))
    went_in = USED & {*heading_of(part).words} or meaning_of_cell("action", part)
    return len(own.texts) == own.rows >= MANY and own.parts < FEW and not went_in


def _says_replaced(heading):
    """Whether a heading says that what stands below it was replaced."""
    phrases = vocabulary().asked["action"]["replace"]
    return bool(heading) and best_likeness(heading_of(heading), phrases) >= SURE


def _take_for_complaint(tickets, repairs):
    """Where no column is the complaint, one that may be complaint or finding, such as ``Complaint / found``, is it."""
    told = [
        (placing, heading)
        for placing in (tickets, repairs)
        for heading, names in placing.doubtful.items()
        if {name.rpartition(".")[2] for name in names} == {"symptom", "finding"}
    ]
    if "symptom" not in tickets.names and len(told) == 1:
        placing, heading = told[0]
        del placing.doubtful[heading]
        tickets.columns[heading] = ("symptom", SURE)


def _join(tickets, repairs):
    """What a row of complaint and repair has once: the day service was back, else its only day, is that of the work; the only one is of both."""
    ends = ("restored_on", "closed_on")
    day = repairs.heading("done_on") or next(filter(None, map(tickets.heading, ends)), "")
    back, done = (day and likeness_of_column(day, *end) for end in (ENDS[2], ENDS[0]))
    if back > done and tickets.heading("symptom") and not tickets.heading("raised_on"):
        tickets.columns[day] = ("raised_on", SURE)
    day = tickets.heading("restored_on") or tickets.heading("raised_on")
    if day and not repairs.heading("done_on") and not tickets.heading("closed_on"):
        repairs.columns[day] = ("done_on", 1.0)


def _put_right(placing, group):
    """Take away what the cells of a column rule out, and give the days of a list that no heading names a place."""
    cells = group.cells
    if placing.table == "stock" and are_purchases(cells, group.names):
        placing.columns.clear()
    put_where_they_sit(placing, cells)
    take_months(placing, cells)
    for name in ("ticket", "repair"):
        heading = placing.heading(name) if (placing.table, name) != ("repairs", "ticket") else ""
        if heading and not numbers_rows(cells[heading]):
            del placing.columns[heading]
    desk, slot = (cells.get(placing.heading(name)) for name in ("desk", "position"))
    both = placing.table in ("tickets", "repairs") and desk and slot and not placing.split
    if both and is_one_a_desk(desk, slot):
        del placing.columns[placing.heading("position")]
    elif placing.table in OF_A_SLOT and slot and not desk and names_rooms(placing.heading("position"), cells):
        placing.columns[placing.heading("position")] = ("desk", SURE)
    tells_desk = {"desk"} if placing.table == "fitments" else {"desk", "serial"}
    if placing.table in OF_A_SLOT and not placing.split and not placing.names & tells_desk:
        place_room(placing, cells)
    if placing.table in ("tickets", "repairs") and not placing.split:
        place_machines(placing, cells)
    if placing.table == "repairs" and "action" not in placing.names:
        find_work(placing, cells)
    if placing.table == "tickets" and _says_seldom(placing, cells):
        del placing.columns[placing.heading("symptom")]
    serial = placing.heading("serial")
    if (
        placing.table == "modules"
        and heading_of(serial).words == BARE
        and not any(map(_is_of_stays, cells.items()))
    ):
        del placing.columns[serial]
    key = LISTS.get(placing.table, "")  # a list has a row for each
    heading = placing.heading(key)
    own = cells.get(heading)
    is_counted_again = placing.table == "stock" and is_ledger(cells)
    if own and not is_counted_again and own.different < (len(own.texts) if key == "desk" else 0.9 * own.rows):
        del placing.columns[heading]


def _says_seldom(placing, cells):
    """Whether a complaint stands beside few of many days: the others are no reports."""
    day, said = (cells.get(placing.heading(name)) for name in ("raised_on", "symptom"))
    if not day or not said or not said.texts or placing.heading("symptom") not in placing.columns:
        return False
    told = [text for text, one in zip(said.column, day.column, strict=True) if one]
    return len(told) >= MANY and sum(map(bool, told)) < SELDOM_SAID * len(told)


def _is_of_stays(column):
    """Whether a heading says when something was put in, over days."""
    heading, cells = column
    return (
        cells.dates >= ENOUGH
        and likeness_of_column(heading, "fitments", "fitted_on") >= SURE
        and not is_general(heading)
    )
