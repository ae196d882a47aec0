"""Which column each heading is: words and cells together, the best for the whole sheet, and nothing placed that is near two."""

from dataclasses import dataclass, field

from maintkit.records.tables import TABLE

from .date_order import a_later_day_says_so, day_by_order, later_dates
from .evidence import (
    NOTHING_KNOWN,
    alone,
    are_kinds_of_modules,
    are_times_of_day,
    asked,
    evidence,
    is_printed_on,
    may_be_desks,
    names_slots,
    owns,
)
from .likeness import (
    LEAST_WORDS,
    SURE,
    best_likeness,
    is_general,
    likeness_nowhere,
    likeness_of_column,
    says_another,
    says_looked_at,
    says_small,
)
from .values import ENOUGH, Cells
from .words import heading_of, says_slot, vocabulary, words_in

MANY = 20  # columns from which it is a list of complaints and repairs
FEW_WORDS = 5  # different entries that names of desks or people may come to; complaints are more
DEEDS = 0.65  # share of cells with a word of work from which a column is of the work
NEAR = 0.03  # two places nearer than this to each other are asked about
SPARE = {"decisions"}  # written by reviews, never by hand
EARLY = {"raised_on", "fitted_on", "free_from", "shelf_in", "made_on", "records_from"}
LATE = {"closed_on", "done_on", "removed_on", "free_to", "restored_on", "retired_on"}
# in headings of persons, under which neither days nor work stand
PERSONS = {"by", "von", "durch", "who", "wer", "par", "qui", "quien"}
GENERAL_FOR = {"raised_on", "done_on", "measured_on", "counted_on", "inspected_on", "from_on", "fitted_on"}

DESK_AND_SLOT = ("desk", "position")
ANY_PLACE = {*words_in("where wo ort location place standort einbauort position sits now jetzt")}

Target = tuple[tuple[str, str], ...]  # the columns, as (table, column), that one heading feeds at once


@dataclass(frozen=True)
class Placing:
    """Where the headings of a page go in one table: columns with how surely, and headings that fit two columns."""

    table: str
    columns: dict[str, tuple[str, float]] = field(default_factory=dict)  # heading -> (column, score)
    doubtful: dict[str, tuple[str, ...]] = field(default_factory=dict)
    split: dict[str, tuple[str, ...]] = field(default_factory=dict)  # heading of desk and slot -> the desks
    same: dict[str, str] = field(default_factory=dict)  # column -> what it is in every row
    each: dict[str, dict[str, str]] = field(
        default_factory=dict
    )  # heading of a quantity -> what its row has beside the value

    def heading(self, column: str) -> str:
        """The heading placed in a column; '' where there is none."""
        split = next(iter(self.split), "") if column in DESK_AND_SLOT else ""
        return next((heading for heading, (name, _) in self.columns.items() if name == column), split)

    def renamed(self, own: dict[str, str]) -> "Placing":
        """The same with other headings: ``own`` gives the one for each."""
        parts = (
            {own[heading]: one for heading, one in part.items()}
            for part in (self.columns, self.doubtful, self.split)
        )
        each = {own[heading]: given for heading, given in self.each.items()}
        return Placing(self.table, *parts, self.same, each)

    @property
    def names(self) -> set[str]:
        """The columns that have a heading."""
        return {name for name, _ in self.columns.values()} | {
            *(DESK_AND_SLOT if self.split else ()),
            *self.same,
            *(name for given in self.each.values() for name in given),
        }


def targets_of(tables: tuple[str, ...], shared=(), together=()) -> list[Target]:
    """What one heading can feed in some tables at once: columns of the ``shared`` names, and those of a set in ``together``."""
    found = {}
    for table in tables:
        for column in TABLE[table].columns:
            one = (table, column.name)
            key = next((some for some in together if one in some), None) or (
                column.name if column.name in shared else one
            )
            found[key] = (*found.get(key, ()), one)
    return list(found.values())


def place(
    targets: list[Target], cells: dict[str, Cells], known=NOTHING_KNOWN, later=None
) -> dict[str, Placing]:
    """Place headings in tables so that the whole is surest; ``known`` are keys that other sheets list, ``later`` what
    ``later_dates`` says of the cells."""
    later = later_dates(cells) if later is None else later
    for heading, one in cells.items():
        if not one.desks or not _may_name_both(heading, one, known):
            continue
        placings = _place(targets, {other: cells[other] for other in cells if other != heading}, known, later)
        both = [placing for table, placing in placings.items() if _has_both(table)]
        if both and not any(placing.heading(name) for placing in both for name in DESK_AND_SLOT):
            for placing in both:
                placing.split[heading] = one.desks
            return placings
    return _place(targets, cells, known, later)


def _has_both(table):
    return {*DESK_AND_SLOT} <= {column.name for column in TABLE[table].columns}


def _may_name_both(heading, cells, known):
    """Whether a heading of cells such as ``Heron 12`` does not say that they are slots, or persons, alone."""
    if cells.coded or any(name.casefold() in known.get("desk", ()) for name in cells.desks):
        return True
    slot, desk = (likeness_of_column(heading, "tickets", name) for name in ("position", "desk"))
    other = max(
        slot, likeness_of_column(heading, "repairs", "serial"), likeness_of_column(heading, "repairs", "ref")
    )
    general = bool(ANY_PLACE & {*heading_of(heading).words})
    if min(map(len, cells.desks), default=0) < 2 and max(slot, desk) < LEAST_WORDS and not general:
        return False  # B-07 is a drawer as well
    return likeness_nowhere(heading) < 0.6 and (general or other < 0.9 or desk >= LEAST_WORDS)


def _place(targets, cells, known, later):
    """Place headings in tables, each in one column of each."""
    from scipy.optimize import linear_sum_assignment

    offers = _offers(targets, cells, known, later)
    headings = list(cells)
    worth = [
        [max(offers.get((heading, target), 0) - SURE + 0.3, 0) for target in targets] for heading in headings
    ]
    rows, places = linear_sum_assignment(worth, maximize=True) if headings else ((), ())
    chosen = {headings[row]: targets[at] for row, at in zip(rows, places, strict=True) if worth[row][at] > 0}
    _by_elimination(chosen, offers, targets, cells)
    placings = {table: Placing(table) for target in targets for table, _ in target}
    for heading, target in chosen.items():
        score = offers[heading, target]
        free = [
            one
            for one in targets
            if one not in chosen.values() and score - offers.get((heading, one), 0) < NEAR
        ]
        if free and cells[heading].dates >= DEEDS and sum(one.dates >= DEEDS for one in cells.values()) == 1:
            early = [
                one for one in (target, *free) if one[0][1] in EARLY
            ]  # the only day is that of the report
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
    left = [one for one in cells if one not in chosen and likeness_nowhere(one) < 0.6]
    times = [
        one
        for one in left
        if cells[one].durations >= 0.8
        and (heading_of(one).says_time or cells[one].numbers < 0.5)
        and not are_times_of_day(cells[one])
    ]
    parts = [one for one in left if cells[one].parts >= 0.5 and cells[one].mean_words < 5]
    names = [one for one in left if may_be_desks(cells[one]) and not says_another(one, "desk")]
    slots = [one for one in left if _may_be_slots(one, cells[one])]
    texts = [one for one in left if cells[one].mean_words >= 2 and cells[one].durations < 0.2]
    works = [one for one in left if cells[one].deeds >= 0.4 and cells[one].mean_words >= 1.3]
    is_reported = any(name == "symptom" for target in chosen.values() for _, name in target)
    works = [one for one in works if is_reported and cells[one].complaints < 0.5 and not _has_work(chosen)]
    before = [
        one
        for one in texts
        if deeds is not None
        and list(cells).index(one) < deeds
        and len(cells[one].texts) == cells[one].rows
        and cells[one].different > min(0.5 * cells[one].rows, FEW_WORDS)
        and max(cells[one].deeds, cells[one].findings, cells[one].parts, cells[one].slots) < 0.3
    ]
    told = [
        one
        for one in left
        if (before == [one]) or _may_be_complaints(cells[one], alone=texts == [one] and not _has_work(chosen))
    ]
    is_log = any(table in ("tickets", "repairs", "fitments") for target in targets for table, _ in target)
    _stays_and_readings(chosen, offers, targets, cells, left)
    for headings, wanted in (
        (times, ("minutes_lost", "bench_minutes")),
        (parts, ("part_type",)),
        (names, ("desk",)),
        (slots, ("position",)),
        (told, ("symptom",)),
        (works, ("action",)),
    ):
        free = [one for one in targets if one[0][1] in wanted and one not in chosen.values()]
        free = [
            one
            for one in free
            if not _tells_of_work(cells)
            or not any(_is_the_other(one[0][1], likeness_of_column(each, *one[0]), each) for each in headings)
        ]
        if wanted[0] == "minutes_lost" and len(free) == 2 and headings and deeds is not None:
            free = free[:1] if list(cells).index(headings[0]) < deeds else free[1:]
        if is_log and len(headings) == 1 and len(free) == 1:
            chosen[headings[0]] = free[0]
            offers[headings[0], free[0]] = SURE


def _stays_and_readings(chosen, offers, targets, cells, left):
    """Give a place to the only price, the other or only day of a stay, and numbers printed on parts and measured of them."""

    def give(headings, target):
        if target in targets and target not in chosen.values() and headings:
            chosen[headings[0]] = target
            offers[headings[0], target] = SURE

    money = [one for one in left if heading_of(one).says_money and cells[one].numbers >= 0.8]
    give(money if len(money) == 1 else [], (("part_types", "unit_cost"),))
    dated = [one for one in left if cells[one].dates >= 0.8 and not says_looked_at(one)]
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
    columns = list(enumerate(cells.values()))
    deeds = next((at for at, one in columns if one.deeds >= DEEDS), None)
    parts = (
        at for at, one in columns if one.parts >= DEEDS and one.mean_words < 4 and one.complaints < DEEDS
    )
    return deeds if deeds is not None else next(parts, None)


def _may_be_slots(heading, cells):
    """Whether short cells with numbers, some again and again, can be slots, and the heading half says so."""
    again = 1 < cells.different < len(cells.texts) and not cells.running
    short = cells.digits >= 0.8 and cells.mean_words < 2.5 and cells.durations - cells.numbers < 0.2
    return again and short and likeness_of_column(heading, "tickets", "position") >= LEAST_WORDS


def _has_work(chosen):
    return any(name in ("action", "part_type") for target in chosen.values() for _, name in target)


def _may_be_complaints(cells, *, alone):
    """Whether every row has a text of its own, of which many have a word of complaints; ``alone`` it may tell of the work too."""
    full = len(cells.texts) == cells.rows and cells.different > 0.6 * cells.rows
    return full and cells.mean_words >= 2 and cells.complaints >= 0.4 and (alone or cells.deeds < 0.3)


def _offers(targets, cells, known, later):
    """How surely each heading is each target, where it is sure enough."""
    deeds = _place_of_deeds(cells)
    found = {}
    for heading in cells:
        for target in targets:
            score = max(_score(*one, heading, cells, known, later) for one in target)
            if (
                deeds is not None
                and len(targets) > MANY
                and target[0][1] in ("minutes_lost", "bench_minutes")
                and not _says_lost(heading)
            ):
                is_first = list(cells).index(heading) < deeds
                score -= 0.25 if is_first == (target[0][1] == "bench_minutes") else 0
            if len(target) > 1 and target[0][1] in LATE and is_general(heading) and not later.get(heading):
                score = 0.0  # in a list of complaints and repairs a mere date is that of the complaint
            if target == (("repairs", "repair"),) and len(targets) > MANY:
                own = likeness_of_column(heading, "repairs", "repair")
                of_work = best_likeness(heading_of(heading), vocabulary().sheets["repairs"]) >= 0.25
                of_work = of_work or own - likeness_of_column(heading, "tickets", "ticket") > 0.2
                score = score if of_work and own > likeness_of_column(heading, "tickets", "ticket") else 0.0
            if score >= SURE:
                found[heading, target] = score
    return {key: score for key, score in found.items() if not _gives_way(*key, found, cells)}


def _says_lost(heading):
    """Whether a heading itself says that its minutes were lost, wherever it stands; words for the bench are general."""
    lost, bench = (
        likeness_of_column(heading, *column)
        for column in (("tickets", "minutes_lost"), ("repairs", "bench_minutes"))
    )
    return lost > 0.95 and lost - bench > 0.2


def _is_the_other(name, words, heading):
    """Whether a heading of minutes says those of the other kind, session or bench, better."""
    others = {"minutes_lost": ("repairs", "bench_minutes"), "bench_minutes": ("tickets", "minutes_lost")}
    return name in others and likeness_of_column(heading, *others[name]) > words + 0.1


def _another_names_slots(heading, cells):
    """Whether slots are named by their words in another column, and these are neither such nor numbers."""
    own = cells[heading]
    return own.slots < 0.5 and own.numbers < 0.5 and any(map(names_slots, cells.values()))


def _another_complains(heading, cells):
    """Whether another column has words of complaints in nearly every cell, and this in few."""
    return cells[heading].complaints < 0.3 and any(
        one.complaints >= 0.8 and one.deeds < 0.3 and len(one.texts) >= 4 for one in cells.values()
    )


def _numbers_the_work(cells, known, words):
    """Whether numbers each above the last are the work's own, for they are no known ticket's."""
    tickets = known.get("ticket", ())
    return words < 1 and cells.counts_up and not cells.share(lambda text: text.casefold() in tickets)


def _tells_of_work(cells):
    """Whether complaint and work stand in one and the same column, as in a diary."""
    return any(one.deeds >= 0.5 and one.complaints >= 0.5 for one in cells.values())


def _gives_way(heading, target, found, cells):
    """Whether a general word for a date, or cells alone, stand against a heading that says it in particular."""
    others = [score for (other, one), score in found.items() if one == target and other != heading]
    if not others:
        return False
    return is_general(heading) and target[0][1] in GENERAL_FOR and max(others) >= 0.9


def _score(table, name, heading, cells, known, later):
    column = TABLE[table].column(name)
    words = likeness_of_column(heading, table, name)
    own = owns(table, name, cells[heading], known)
    if own:
        return 1.3
    by_itself = alone(table, column, cells[heading], known)
    is_asked = column.choices and asked(name, heading_of(heading), cells[heading])
    if words < LEAST_WORDS and not by_itself and not is_asked and column.kind != "date":
        return 0.0  # nothing speaks for it
    told = evidence(column, heading_of(heading), cells[heading], known if table != "desks" else NOTHING_KNOWN)
    if told is None or (_tells_of_work(cells) and _is_the_other(name, words, heading)):
        return 0.0
    if own is False and any(owns(table, name, one, known) for one in cells.values()):
        return 0.0
    if name == "position" and (_another_names_slots(heading, cells) or are_kinds_of_modules(heading, cells)):
        return 0.0
    if (
        heading_of(heading).says_money
        and column.kind in ("minutes", "number", "whole")
        and "cost" not in name
    ):
        return 0.0
    if (
        (name == "position" or (name == "serial" and words < 0.8))
        and table in ("tickets", "repairs")
        and cells[heading].running
        and cells[heading].different == len(cells[heading].texts)
        and not (name == "position" and words >= 0.9 and says_slot(heading))
    ):
        return 0.0  # numbers of the rows
    if name == "ticket" and cells[heading].numbers >= 0.8 and says_small(heading, table, words):
        return 0.0  # slots and quantities are small numbers, as tickets may be
    if (table, name) == ("repairs", "ticket") and _numbers_the_work(cells[heading], known, words):
        return 0.0
    if name == "symptom" and _another_complains(heading, cells):
        return 0.0
    if name == "done_on" and later.get(heading) is False and a_later_day_says_so(later):
        return 0.0
    if name == "finding" and cells[heading].complaints >= 0.6 and cells[heading].findings < 0.3:
        told -= 0.25  # it tells what was heard
    if heading in later:
        told += 0.08 if name in (LATE if later[heading] else EARLY) else 0
        told -= (
            0.15 if (later[heading] and name == "raised_on") or (not later[heading] and name in LATE) else 0
        )
    sure = max(words + told if words >= LEAST_WORDS else 0.0, by_itself, SURE if is_asked else 0.0)
    if sure < SURE and column.kind == "date" and cells[heading].dates >= ENOUGH:
        sure = max(sure, day_by_order(name, heading, cells, later))
    tells = max(cells[heading].dates, cells[heading].deeds) >= 0.8
    nowhere = 0.0 if tells and _names_persons(heading) else likeness_nowhere(heading)
    return sure if nowhere <= words + max(0.6 * told, 0) or (words < LEAST_WORDS and nowhere < 0.9) else 0.0


def _names_persons(heading):
    return bool(PERSONS & {*heading_of(heading).every})
