"""Which column each heading is: words and cells together, the best for the whole sheet, and nothing placed that is near two."""

from dataclasses import dataclass, field

from maintkit.records.known_words.words import (
    heading_of,
    heading_says,
    is_wholly,
    says,
    says_slot,
    vocabulary,
    words_in,
)
from maintkit.records.tables import TABLE

from .both_in_one import desks_within, may_give_way
from .date_order import a_later_day_says_so, day_by_order, later_dates
from .evidence import (
    NOTHING_KNOWN,
    alone,
    are_desks_and_gear,
    are_gear,
    are_kinds_of_modules,
    are_times_of_day,
    asked,
    evidence,
    is_printed_on,
    may_be_desks,
    names_places,
    names_slots,
    numbers_rows,
    owns,
    quotes_reports,
)
from .from_and_to import says_where_from, says_where_to
from .likeness import (
    LEAST_WORDS,
    SURE,
    best_likeness,
    is_general,
    is_no_move,
    likeness_nowhere,
    likeness_of_column,
    says_another,
    says_lost,
    says_other_minutes,
    says_small,
    says_time,
)
from .values import ENOUGH, Cells

MANY = 20  # columns from which it is a list of complaints and repairs
FEW_WORDS = 5  # different entries that names of desks or people may come to; complaints are more
DEEDS = 0.65  # share of cells with a word of work from which a column is of the work
# share of cells with a bare number, and of those with a number behind a word for a channel, from which both are slots
BOTH_WAYS = 0.15
NEAR = 0.03  # two places nearer than this to each other are asked about
EARLY = {"raised_on", "fitted_on", "free_from", "shelf_in", "made_on", "records_from"}
LATE = {"closed_on", "done_on", "removed_on", "free_to", "restored_on", "retired_on"}
# in headings of persons, under which neither days nor work stand
PERSONS = {"by", "von", "durch", "who", "wer", "par", "qui", "quien"}
# in headings of the module that was taken out, and of the one put in
SWAPPED_OUT = {*words_in("out old removed pulled raus alt altes alte ausgebaut ausgebautes entnommen")}
PUT_IN = {*words_in("in new fitted installed rein neu neue neues eingebaut eingesetzt ersatz")}
GENERAL_FOR = {"raised_on", "done_on", "measured_on", "counted_on", "inspected_on", "from_on", "fitted_on"}
DESK_AND_SLOT = ("desk", "position")
THE_DESK = "the desk"  # where there is one and nothing names it

Target = tuple[tuple[str, str], ...]  # the columns, as (table, column), that one heading feeds at once


@dataclass(frozen=True)
class Placing:
    """Where the headings of a page go in one table: columns with how surely, and headings that fit two columns."""

    table: str
    columns: dict[str, tuple[str, float]] = field(default_factory=dict)  # heading -> (column, score)
    doubtful: dict[str, tuple[str, ...]] = field(default_factory=dict)
    split: dict[str, tuple[str, ...]] = field(default_factory=dict)  # heading of desk and slot -> the desks
    same: dict[str, str] = field(default_factory=dict)  # column -> what it is in every row
    # Heading of a quantity -> what its row has beside the value.
    each: dict[str, dict[str, str]] = field(default_factory=dict)

    def heading(self, column: str) -> str:
        """The heading placed in a column; '' where there is none."""
        split = next(iter(self.split), "") if column in DESK_AND_SLOT else ""
        return next((heading for heading, (name, _) in self.columns.items() if name == column), split)

    def renamed(self, own: dict[str, str]) -> "Placing":
        """The same with other headings: ``own`` gives the one for each."""
        parts = (self.columns, self.doubtful, self.split, self.each)
        *parts, each = ({own[heading]: one for heading, one in part.items()} for part in parts)
        return Placing(self.table, *parts, self.same, each)

    @property
    def in_doubt(self) -> set[str]:
        """The columns that a heading may be which fits several."""
        return {name.rpartition(".")[2] for names in self.doubtful.values() for name in names}

    @property
    def names(self) -> set[str]:
        """The columns that have a heading."""
        told = {name for name, _ in self.columns.values()}
        return told.union(DESK_AND_SLOT if self.split else (), self.same, *self.each.values())


def targets_of(tables: tuple[str, ...], shared=(), together=()) -> list[Target]:
    """What one heading can feed in some tables at once: columns of the ``shared`` names, and those of a set in ``together``."""
    found = {}
    for table in tables:
        for column in TABLE[table].columns:
            one = (table, column.name)
            own = column.name if column.name in shared else one
            key = next((some for some in together if one in some), own)
            found[key] = (*found.get(key, ()), one)
    return list(found.values())


def place(
    targets: list[Target], cells: dict[str, Cells], known=NOTHING_KNOWN, later=None
) -> dict[str, Placing]:
    """Place headings in tables so that the whole is surest; ``known`` are keys that other sheets list, ``later`` what
    ``later_dates`` says of the cells."""
    later = later_dates(cells) if later is None else later
    # a fault is of the slot that a module came from, a stay of that it went to
    ways = (says_where_from, says_where_to)
    ways = ways[::-1] if any(("fitments", "desk") in one for one in targets) else ways
    for heading in sorted(cells, key=ways[1]):
        one = cells[heading]
        if not (desks := desks_within(heading, one, known)):
            continue
        others = {other: cells[other] for other in cells if other != heading}
        placings = _place(targets, others, known, later)
        both = [placing for table, placing in placings.items() if _has_both(table)]
        told = {placing.heading(name) for placing in both for name in DESK_AND_SLOT} - {""}
        if both and all(may_give_way(heading, one, other, cells[other], ways) for other in told):
            free = [
                some
                for some in targets
                if not all(_has_both(table) for table, _ in some) or some[0][1] not in DESK_AND_SLOT
            ]
            placings = _place(free, others, known, later)
            for table in filter(_has_both, placings):
                placings[table].split[heading] = desks
            return placings
    return _place(targets, cells, known, later)


def _has_both(table):
    return {*DESK_AND_SLOT} <= {column.name for column in TABLE[table].columns}


def _place(targets, cells, known, later):
    """Place headings in tables, each in one column of each."""
    from scipy.optimize import linear_sum_assignment

    offers = _offers(targets, cells, known, later)
    headings = list(cells)
    worth = [[max(offers.get((one, target), 0) - SURE + 0.3, 0) for target in targets] for one in headings]
    rows, places = linear_sum_assignment(worth, maximize=True) if headings else ((), ())
    chosen = {headings[row]: targets[at] for row, at in zip(rows, places, strict=True) if worth[row][at] > 0}
    _by_elimination(chosen, offers, targets, cells)
    placings = {table: Placing(table) for target in targets for table, _ in target}
    for heading, target in chosen.items():
        score = offers[heading, target]
        left = (one for one in targets if one not in chosen.values())
        free = [one for one in left if score - offers.get((heading, one), 0) < NEAR]
        if free and cells[heading].dates >= DEEDS and sum(one.dates >= DEEDS for one in cells.values()) == 1:
            # The only day is that of the report.
            early = [one for one in (target, *free) if one[0][1] in EARLY]
            says_work = likeness_of_column(heading, "repairs", "done_on") >= LEAST_WORDS
            target, free = (early[0], []) if len(early) == 1 and not says_work else (target, free)
        if free:
            names = tuple(".".join(one[0]) for one in (target, *free))
            for table, name in target:
                placings[table].doubtful[heading] = (name, *names[1:])
        for table, name in target if not free else ():
            placings[table].columns[heading] = (name, score)
    return placings


def _by_elimination(chosen, offers, targets, cells):
    """Give a place to what is left where only one is: the other of two columns of minutes, the only one of parts, of slots, of complaints."""
    deeds = _place_of_deeds(cells)
    left = {one: cells[one] for one in cells if one not in chosen and likeness_nowhere(one) < 0.6}
    has_work = _is_chosen(chosen, "action", "part_type")
    texts = [one for one, own in left.items() if own.mean_words >= 2 and own.durations < 0.2]
    if not texts and not has_work:  # then what is called a note may complain
        free = [one for one in cells if one not in chosen]
        texts = [one for one in free if _may_be_complaints(cells[one], alone=True)]
        left |= {one: cells[one] for one in texts}
    before = [one for one in texts if deeds is not None and _stands_before(one, deeds, cells)]
    may_work = _is_chosen(chosen, "symptom") and not has_work
    is_log = any(table in ("tickets", "repairs", "fitments") for target in targets for table, _ in target)
    _stays_and_readings(chosen, offers, targets, cells, left)
    may_be = {
        ("minutes_lost", "bench_minutes"): lambda one, own: (
            own.durations >= 0.8
            and (heading_of(one).says_time or own.numbers < 0.5)
            and not are_times_of_day(own)
        ),
        ("part_type",): lambda one, own: own.parts >= 0.5 and own.mean_words < 5,
        ("desk",): lambda one, own: may_be_desks(own) and not says_another(one, "desk"),
        ("position",): _may_be_slots,
        ("symptom",): lambda one, own: (
            before == [one] or _may_be_complaints(own, alone=texts == [one] and not has_work)
        ),
        ("action",): lambda one, own: (
            may_work and own.deeds >= 0.4 and own.mean_words >= 1.3 and own.complaints < 0.5
        ),
    }
    for wanted, is_one in may_be.items():
        headings = [one for one, own in left.items() if is_one(one, own)]
        free = [one for one in targets if one[0][1] in wanted and one not in chosen.values()]
        if _tells_of_work(cells):
            free = [one for one in free if not any(says_other_minutes(each, *one[0]) for each in headings)]
        if wanted[0] == "minutes_lost" and len(free) == 2 and headings and deeds is not None:
            free = free[:1] if list(cells).index(headings[0]) < deeds else free[1:]
        if is_log and len(headings) == 1 and len(free) == 1:
            chosen[headings[0]] = free[0]
            offers[headings[0], free[0]] = SURE


def _stands_before(heading, deeds, cells):
    """Whether a column before that of the work has a text in every row, most of them different, which are neither parts nor slots."""
    own = cells[heading]
    full = len(own.texts) == own.rows and own.different > min(0.5 * own.rows, FEW_WORDS)
    others = max(own.deeds, own.findings, own.parts, own.slots)
    return list(cells).index(heading) < deeds and full and others < 0.3


def _stays_and_readings(chosen, offers, targets, cells, left):
    """Give a place to the only price, the other or only day of a stay, and numbers printed on parts and measured of them."""

    def give(headings, target):
        if target in targets and target not in chosen.values() and headings:
            chosen[headings[0]] = target
            offers[headings[0], target] = SURE

    money = [one for one in left if heading_of(one).says_money and cells[one].numbers >= 0.8]
    give(money if len(money) == 1 else [], (("part_types", "unit_cost"),))
    dated = [one for one in left if cells[one].dates >= 0.8 and not is_no_move(one)]
    give(dated if len(dated) == 1 else [], (("fitments", "fitted_on"),))
    nominal = (("readings", "nominal"),)
    parts = [one for one, target in chosen.items() if ("readings", "part_type") in target]
    give([one for one in left for part in parts if is_printed_on(cells[one], cells[part])], nominal)
    numbers = [
        one for one in left if one not in chosen and cells[one].numbers >= 0.9 and not cells[one].running
    ]
    if nominal in chosen.values() and len(numbers) == 1:  # beside what is printed stands what was measured
        give(numbers, (("readings", "value"),))


def _place_of_deeds(cells):
    """Where the first column of work done stands: what is before it is of the complaint, what is after of the repair."""
    deeds = [own.deeds >= DEEDS for own in cells.values()]
    parts = [own.parts >= DEEDS and own.mean_words < 4 and own.complaints < DEEDS for own in cells.values()]
    return next((some.index(True) for some in (deeds, parts) if any(some)), None)


def _may_be_slots(heading, cells):
    """Whether short cells with numbers, some again and again, can be slots, and the heading half says so, or that a module came out of them."""
    again = 1 < cells.different < len(cells.texts) and not cells.running
    short = cells.digits >= 0.8 and cells.mean_words < 2.5 and cells.durations - cells.numbers < 0.2
    came_out = is_wholly("out_of", heading) and max(cells.dates, cells.serials) < ENOUGH
    says_slots = came_out or likeness_of_column(heading, "tickets", "position") >= LEAST_WORDS
    return again and short and says_slots and not heading_says("count", heading)


def _is_chosen(chosen, *names):
    """Whether a heading has a place in a column of one of some names."""
    return any(name in names for target in chosen.values() for _, name in target)


def _may_be_complaints(cells, *, alone):
    """Whether every row has a text of its own, of which many have a word of complaints; ``alone`` it may tell of the work too."""
    full = len(cells.texts) == cells.rows and cells.different > 0.6 * cells.rows
    return full and cells.mean_words >= 2 and cells.complaints >= 0.4 and (alone or cells.deeds < 0.3)


def _offers(targets, cells, known, later):
    """How surely each heading is each target, where it is sure enough."""
    deeds, of_both = _place_of_deeds(cells), len(targets) > MANY
    found = {}
    for at, heading in enumerate(cells):
        for target in targets:
            name = target[0][1]
            score = max(_score(*one, heading, cells, known, later) for one in target)
            of_time = name in ("minutes_lost", "bench_minutes") and not says_lost(heading)
            if of_both and of_time and deeds is not None:
                score -= 0.25 if (at < deeds) == (name == "bench_minutes") else 0
            # In a list of complaints and repairs a mere date is that of the complaint.
            late = len(target) > 1 and name in LATE and is_general(heading) and not later.get(heading)
            of_repairs = of_both and target == (("repairs", "repair"),)
            if score >= SURE and not late and not (of_repairs and not _says_repair(heading)):
                found[heading, target] = score
    return {key: score for key, score in found.items() if not _gives_way(*key, found)}


def _says_repair(heading):
    """Whether a heading of numbers says those of the work better than those of the reports, and speaks of work."""
    repair = likeness_of_column(heading, "repairs", "repair")
    ticket = likeness_of_column(heading, "tickets", "ticket")
    of_work = best_likeness(heading_of(heading), vocabulary().sheets["repairs"]) >= 0.25
    return repair > ticket and (of_work or repair - ticket > 0.2)


def _says_better(heading, name, words):
    """Whether a heading says a column of reports clearly better than it says what ``words`` is the likeness to."""
    return likeness_of_column(heading, "tickets", name) > words + 0.1


def _another_names_slots(heading, cells):
    """Whether slots are named by their words in another column, and these are neither such nor numbers."""
    return max(cells[heading].slots, cells[heading].numbers) < 0.5 and any(map(names_slots, cells.values()))


def _another_complains(heading, cells):
    """Whether another column has words of complaints in nearly every cell, and this in few."""
    return cells[heading].complaints < 0.3 and any(
        one.complaints >= 0.8 and one.deeds < 0.3 and len(one.texts) >= 4 for one in cells.values()
    )


def _is_of_a_swap(heading, cells):
    """Whether cells name two modules each, or one beside the column of those that came out, where the heading says in or out."""
    said = {one: {*heading_of(one).every} for one, own in cells.items() if own.serials >= ENOUGH}
    both = said.get(heading, set()) & (SWAPPED_OUT | PUT_IN) and any(
        SWAPPED_OUT & some for some in said.values()
    )
    return bool(both) or cells[heading].two_serials >= ENOUGH


def _remarks_on_work(heading, cells):
    """Whether cells without words of complaints stand here and there alone, and another column tells of work in nearly every row."""
    own = cells[heading]
    some = 0 < len(own.texts) < ENOUGH * own.rows and own.complaints < 0.3
    return some and any(one.deeds >= DEEDS and len(one.texts) >= 0.95 * one.rows for one in cells.values())


def _numbers_the_work(cells, known, words):
    """Whether numbers each above the last are the work's own, for they are no known ticket's."""
    tickets = known.get("ticket", ())
    return words < 1 and cells.counts_up and not cells.share(lambda text: text.casefold() in tickets)


def _tells_of_work(cells):
    """Whether complaint and work stand in one and the same column, as in a diary."""
    return any(one.deeds >= 0.5 and one.complaints >= 0.5 for one in cells.values())


def _gives_way(heading, target, found):
    """Whether a general word for a date stands against a heading that says it in particular."""
    others = (score for (other, one), score in found.items() if one == target and other != heading)
    return target[0][1] in GENERAL_FOR and is_general(heading) and max(others, default=0.0) >= 0.9


def _score(table, name, heading, cells, known, later):
    column, own = TABLE[table].column(name), cells[heading]
    words = likeness_of_column(heading, table, name)
    if name in ("ticket", "repair") and says_time(heading):
        return 0.0
    owned = owns(table, name, own, known)
    if owned:
        return 1.3
    by_itself = alone(table, column, own, known)
    if name in ("ticket", "repair") and quotes_reports(table, heading, own, known):
        return 1.2 if name == "ticket" else 0.0
    is_asked = column.choices and asked(name, heading_of(heading), own)
    if words < LEAST_WORDS and not by_itself and not is_asked and column.kind != "date":
        return 0.0  # nothing speaks for it
    told = evidence(column, heading_of(heading), own, known if table != "desks" else NOTHING_KNOWN)
    if told is None or _is_ruled_out(table, column, heading, cells, known, words):
        return 0.0
    if owned is False and any(owns(table, name, one, known) for one in cells.values()):
        return 0.0
    if name == "done_on" and later.get(heading) is False and a_later_day_says_so(later):
        return 0.0
    if _is_of_the_way_back(name, heading, cells, later):
        return 0.0
    if name == "finding" and own.complaints >= 0.6 and own.findings < 0.3:
        told -= 0.25  # it tells what was heard
    if heading in later:
        fit, unfit = (LATE, {"raised_on"}) if later[heading] else (EARLY, LATE)
        told += 0.08 if name in fit else -0.15 if name in unfit else 0
    sure = max(words + told if words >= LEAST_WORDS else 0.0, by_itself, SURE if is_asked else 0.0)
    if sure < SURE and column.kind == "date" and own.dates >= ENOUGH:
        sure = max(sure, day_by_order(name, heading, cells, later))
    of_persons = max(own.dates, own.deeds) >= 0.8 and PERSONS & {*heading_of(heading).every}
    nowhere = 0.0 if of_persons else likeness_nowhere(heading)
    return sure if nowhere <= words + max(0.6 * told, 0) or (words < LEAST_WORDS and nowhere < 0.9) else 0.0


def _is_of_the_way_back(name, heading, cells, later):
    """Whether the earlier of two days, on which a module came out, were that of an end, or of a stay where it came from; or the later
    one that of a report."""
    came_out = {one for one in later if not later[one] and SWAPPED_OUT & {*heading_of(one).every}}
    if heading in came_out:
        return name in LATE or (name == "fitted_on" and any(map(says_where_from, cells)))
    return bool(came_out) and name == "raised_on" and later.get(heading, False)


def _is_ruled_out(table, column, heading, cells, known, words):
    """Whether a heading cannot be a column, for it says another thing better, or another heading says this one."""
    own, name = cells[heading], column.name
    if (
        heading_of(heading).says_money
        and column.kind in ("minutes", "number", "whole")
        and "cost" not in name
    ):
        return True
    if (name in LATE and heading_says("not_yet", heading)) or (
        name == "position" and heading_says("count", heading)
    ):
        return True
    if name == "position" and (
        _is_of_a_swap(heading, cells)
        or _another_names_slots(heading, cells)
        or are_kinds_of_modules(heading, cells)
    ):
        return True
    if name == "serial" and names_places(own, known):
        return True
    are_both = min(own.numbers, own.share(lambda text: says("position", text))) >= BOTH_WAYS  # 7 and ch 7
    if (name == "serial" and table in ("tickets", "repairs") and are_both) or (
        name == "part_type" and (are_gear(own) or are_desks_and_gear(own))
    ):
        return True
    if name in ("position", "serial") and table in ("tickets", "repairs"):
        count_rows = own.running and own.different == len(own.texts)
        said = words >= 0.9 and says_slot(heading) if name == "position" else words >= 0.8
        if count_rows and not said:
            return True
    if name == "ticket":
        if table == "tickets" and not numbers_rows(own):
            return True
        # Slots and quantities are small numbers, as tickets may be.
        is_small = own.numbers >= 0.8 and says_small(heading, table, words)
        return is_small or (table == "repairs" and _numbers_the_work(own, known, words))
    if name == "symptom":
        return _another_complains(heading, cells) or (words < 0.97 and _remarks_on_work(heading, cells))
    if name == "action" and _says_better(heading, "outcome", words):
        # else how far it came, and not what was done
        return own.understood("outcome") >= ENOUGH > own.understood("action")
    if name == "module_type" and own.module_types < ENOUGH and _says_better(heading, "symptom", words):
        return True  # the kind of fault
    return _tells_of_work(cells) and says_other_minutes(heading, table, name)
