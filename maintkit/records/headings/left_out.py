"""The lines of a drafted mapping for what is no fault of a desk: other gear, shelves, moves, reports cancelled or told twice."""

import re
from collections import Counter, defaultdict
from itertools import repeat

from maintkit.records.cells import MARKS
from maintkit.records.durations import minutes_of
from maintkit.records.known_words.meanings import RE_CAP, meaning_of_cell
from maintkit.records.known_words.no_report import (
    says_all_well,
    says_charge,
    says_errand,
    says_no_report,
    says_planned,
    says_put_off,
    says_round,
    says_thanks,
)
from maintkit.records.known_words.outcomes import says_gone, says_lent, says_store
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.known_words.progress import tells_progress
from maintkit.records.known_words.words import fold, heading_of, is_wholly, says
from maintkit.records.row_above import PERIOD, TOTAL

from .cell_words import MOST_STATES, listed, quote, with_open_numbers
from .chatter import are_messages, chatter_in, chatter_lines
from .day_formats import TIME, day_of
from .evidence import may_be_names, tell_planned
from .goes_on import lines_that_go_on
from .grids import is_signed
from .likeness import SURE, likeness_of_column
from .no_desks import (
    MOSTLY_DESKS,
    OFTEN_NAMED,
    leave_out_lines,
    of_other_gear,
    perhaps_other_trades,
    tells_of_no_desk,
)
from .out_of_slot import put_in
from .places import PERSONS
from .subjects import told_in_title
from .values import Cells
from .where_from import planned_cells

PLANNED = "planned, so no faults; they are counted as left out"
OF_NO_DESK = "tell of other gear or of the house, and may be no faults of a desk"
# a module, from one slot to another, and nothing else
MOVED = re.compile(
    r"(?:re)?(?:moved|umgesetzt|umgesteckt|verplaatst|déplacé)(?: (?:from|von|van|de))? (?:\w+\.? ?)?\d+\w? *(?:to|into|->|→|>|nach|naar|vers|à) *(?:\w+\.? ?)?\d+\w?",
    re.IGNORECASE,
)
FEWEST_MOVED = 2
# rows of the first day of a list of moves, from which they are those found there
FEWEST_FOUND, FOUND_SHARE = 8, 0.3
TAG = re.compile(r"[^\W\d].*\d|\d.*[^\W\d]")  # letters and figures
FEWEST_MORE = 2  # lines that go on with an entry before them
MIDNIGHT = re.compile(r"[ t](0?0:00(:00)?|12:00(:00)? ?a\.?m\.?)$", re.IGNORECASE)
FEWEST_ALIKE, MOST_UNLIKE = 3, 2  # reports on several rows, and columns in which such rows differ
MOST_WAYS = 4  # different cells of a column that says whether a module came out or went in


def desks_of_several(heading, cells, others):
    """The note that a desk stands beside several names, as of owners, of whom each has but one: it may be a desk of each.

    ``others`` are columns without a place, by heading.
    """
    for other, names in others.items():
        pairs = [one for one in zip(cells.column, names.column, strict=True) if all(one)]
        shown = {text.casefold(): text for pair in reversed(pairs) for text in pair}
        told = sorted({(desk.casefold(), name.casefold()) for desk, name in pairs})
        owners = Counter(desk for desk, _ in told)
        shared = [desk for desk, many in owners.items() if many > 1]
        is_one_each = len(owners) > 1 and len({name for _, name in told}) == len(told)
        persons = PERSONS & {*heading_of(other).every}
        if shared and is_one_each and not persons and may_be_names(Cells(names.texts)):
            whose = " and ".join(shown[name] for desk, name in told if desk == shared[0])
            yield f"# {shown[shared[0]]} is counted as one desk, though {quote(other)} has {whose} beside it. If it is a desk of each,"
            yield f"# write whose it is into the cells of {quote(heading)}; so too of others that stand beside more than one."


def rows_out_of_the_desk(placing, group):
    """The lines of moves to a shelf or bench, of modules lent or thrown away: there a module sits in no slot; and of rows that are no move
    into one, in a list of stays and in the work that is read off it."""
    slot = placing.heading("position")
    if places := places_of_no_desk(group.cells[slot]):
        yield f"leave_out.{quote(slot)} = {listed(places)}   # no slots: the stay there is none in a desk"
    if group.moved:
        yield from _found_there(placing.heading("done_on"), group.cells)
    else:
        yield from _rows_taken_out(group, placing)


def _found_there(day, cells):
    """The line of a list of moves that says which rows are no move: the modules found there when the list was begun, by a remark or by the
    first day, on which most of many modules are listed first."""
    for heading, own in cells.items():
        if words := [text for text in own.unlike if is_wholly("stock_taking", text)]:
            yield f"leave_out.{quote(heading)} = {listed(words)}   # found there, and not moved"
            return
    days = {text: many for text, many in cells[day].unlike.items() if day_of(text)} if day in cells else {}
    first = min(days, key=day_of, default="")
    if days.get(first, 0) >= max(FEWEST_FOUND, FOUND_SHARE * sum(days.values())):
        yield f"leave_out.{quote(day)} = {listed([first])}   # the list was begun with them: they were found there, and not moved"


def _rows_taken_out(group, placing):
    """The line of rows of a list of moves that say of a module that it came out: the next in its slot, or its own next stay, ends the stay."""
    if placing.heading("removed_on"):
        return
    for heading, cells in group.cells.items():
        out = [text for text in cells.unlike if is_wholly("taken_out", text)]
        is_free = heading not in placing.columns and cells.different <= MOST_WAYS
        if is_free and 0 < len(out) < cells.different:
            yield f"leave_out.{quote(heading)} = {listed(out)}   # it came out: the next one in its slot, or its own next stay, says until when it sat there; without either it is taken to sit there still"
            return


def in_no_desk(cells):
    """The values of the places in a list of modules that are no desk: what is there sits in none."""
    if places := places_of_no_desk(cells):
        yield from ("", "[modules.values.desk]   # what is there sits in no desk")
        yield from (f'{quote(text.casefold())} = ""' for text in places)


def places_of_no_desk(cells):
    """The cells of places that say a shelf, a bench or the like, or that what is there was lent or thrown away."""
    return [text for text in cells.unlike if says_store(text) or says_lent(text) or says_gone(text)]


def no_reports(group, placing_list, placing):
    """The lines of rows that are no reports, by their own words or by those of a column beside them that has no place."""
    if placing_list[0].table != "tickets":
        yield from _called_off(placing, group)
        return
    slot = placing_list[0].heading("position")
    if group.pages[0].grid and slot in group.cells:
        signed = [text for text in group.cells[slot].unlike if is_signed(text)]
        if signed:
            yield f"leave_out.{quote(slot)} = {listed(signed)}   # initials, no slot"
    yield from _none_in_words(group, placing_list, placing)
    yield from _none_by_a_column(group, placing_list, placing)


def _none_in_words(group, placing_list, placing):
    """The line of complaints that are none: cancelled, told again, all well, an errand, a move, a greeting, planned; and a diary's lines that go on."""
    said, slot = map(placing_list[0].heading, ("symptom", "position"))
    beside_slots, in_title = _beside_slots(group, placing_list, said), told_in_title(group, placing_list[0])
    none = [
        text
        for text in Cells(group.texts(said)).unlike
        if text not in in_title
        if says_no_report(text)
        or says_all_well(text, has_slot=text in beside_slots)
        or says_thanks(text)
        or says_charge(text)
        or tells_progress(text)
        or is_wholly("test_report", text)
        or (TOTAL.fullmatch(text) and PERIOD.search(text))
        or (says_errand(text) and (work_stands_apart(placing_list) or not work_in_text(text)))
    ]
    moved = [text for text in group.texts(said) if MOVED.fullmatch(text)]
    moved = [*dict.fromkeys(moved)] if len(moved) >= FEWEST_MOVED else []
    if moved and slot in group.pages[0].head:
        yield f"# A move is no report. What is told below it is still taken to be of the slot over the list; where that counts, put {quote(f'{slot}: 11')} below it."
    none += [*moved, *chatter_in(group), *_put_off(group, placing_list, said)]
    none += put_in(group, said) if said in group.cells else []
    none += [""] if _lists_more_parts(group, placing_list) else []
    yield from chatter_lines(group, said) if placing is placing_list[0] else ()
    planned = planned_alone(group, placing_list)
    words = list(dict.fromkeys([*none, *planned]))
    apart = ", planned work has a section of its own"
    why = apart if planned else ""
    if placing is placing_list[0] and (more := _more_of_entries(group, placing_list, words)):
        words += more
        why = ", or lines that go on with an entry some days before"
    why = f"no reports{why}; they are counted as left out"
    others = [text for text in Cells(group.texts(said)).unlike if text not in {*words, *beside_slots}]
    others = [text for text in others if not any(fold(desk) in fold(text) for desk in group.prose)]
    yield from leave_out_lines(said, words, why, [*filter(tells_of_no_desk, others)], OF_NO_DESK)
    if done := planned_without_complaint(group, placing_list):
        heading = placing_list[-1].heading("action")
        yield f"leave_out.{quote(heading)} = {listed(done)}   # beside no complaint, so no reports{apart}; they are counted as left out"


def _put_off(group, placing_list, said):
    """The complaints that say no more than that a re-cap was put off, where no row has work beside them."""
    done = placing_list[-1].heading("action")
    beside = group.cells[done].column if work_stands_apart(placing_list) and done in group.cells else ()
    told = group.cells[said].column if said in group.cells else ()
    answered = {text for text, work in zip(told, beside) if work}
    return [text for text in dict.fromkeys(told) if text not in answered and says_put_off(text)]


def _lists_more_parts(group, placing_list):
    """Whether rows without day, place and complaint list parts below others, as a bill does, and each row with a day has a complaint: they go
    on with the job above."""
    day, said, slot = (placing_list[0].heading(name) for name in ("raised_on", "symptom", "position"))
    part = placing_list[-1].heading("part_type")
    if not {day, said, part} <= {*group.cells} or group.prose:
        return False
    places = group.cells[slot].column if slot in group.cells else repeat("")
    rows = [*zip(*(group.cells[one].column for one in (day, said, part)), places)]
    more = [one for _, one, piece, place in rows if piece and not one and not place]
    return len(more) >= FEWEST_MORE and all(one or not (dated or place) for dated, one, _, place in rows)


def _beside_slots(group, placing_list, said):
    """The complaints that stand in a row with a slot or a module."""
    headings = {one.heading(name) for one in placing_list for name in ("position", "serial")}
    headings |= {heading for one in placing_list for heading in one.split}
    columns = [group.cells[one].column for one in headings if one in group.cells and said in group.cells]
    rows = (pair for own in columns for pair in zip(group.cells[said].column, own, strict=True))
    return {text for text, one in rows if one.casefold() not in ("", *MARKS)}


def _planned_too(heading, placing_list, group):
    """The words by which a column of where a job came from says it was planned, where no number ties the work in the row to its report."""
    is_numbered = len(placing_list) > 1 and placing_list[0].heading("ticket")
    return [] if is_numbered else planned_cells(heading, group.cells[heading])


def _none_by_a_column(group, placing_list, placing):
    """The lines of rows that a column of states, of planned work, of gear or of trades says are none."""
    taken = {heading for one in placing_list for heading in one.columns}
    outcome = placing_list[0].heading("outcome")
    for heading, cells in group.cells.items():
        is_taken, different = heading in taken, len({*map(with_open_numbers, cells.folded)})
        is_free = not is_taken and different <= MOST_STATES and cells.mean_words < 3
        of_states = is_free or heading == outcome
        if words := _say_no_report(cells, of_states=of_states) if of_states or not is_taken else []:
            yield _none_of_their_own(heading, words)
        elif is_free and len(placing_list) == 1 and tell_planned(cells):
            words = [text for text in cells.unlike if meaning_of_cell("yes_no", text) == "yes"]
            yield f"leave_out.{quote(heading)} = {listed(words)}   # {PLANNED}"
        elif is_free and (gear := of_other_gear(cells)):
            yield f"leave_out.{quote(heading)} = {listed(gear)}   # not of a desk; they are counted as left out"
        elif trades := [] if is_taken else [*perhaps_other_trades(heading, cells)]:
            yield from trades
        elif placing.table == "tickets" and (
            words := [] if is_taken else _planned_too(heading, placing_list, group)
        ):
            yield f"leave_out.{quote(heading)} = {listed(words)}   # {PLANNED}"


def _called_off(placing, group):
    """The lines of planned work told in place of a complaint that a column of states beside it says is cancelled, or told again."""
    for heading, cells in group.cells.items() if placing.same.get("planned") == "yes" else ():
        if heading not in placing.columns and (
            words := _say_no_report(cells, of_states=cells.mean_words < 3)
        ):
            yield _none_of_their_own(heading, words)


def _none_of_their_own(heading, words):
    return f"leave_out.{quote(heading)} = {listed(words)}   # no reports of their own; they are counted as left out"


def _more_of_entries(group, placing_list, words):
    """The lines of a diary, complaint and work in one text and no column of slots or tags beside it, that go on with an entry before them."""
    day, said = (placing_list[0].heading(name) for name in ("raised_on", "symptom"))
    beside = {heading for one in placing_list for heading in (*one.columns, *one.split)} - {day, said}
    if beside or not {day, said} <= {*group.cells} or group.prose or day == said:
        return []
    if any(_are_tags(cells) for heading, cells in group.cells.items() if heading not in (day, said)):
        return []  # a table, of a fault a row
    texts = ("" if text in words else text for text in group.cells[said].column)
    more = lines_that_go_on(group.cells[day].column, texts)
    if are_messages(group):  # where several desks may have the same slot
        more = [text for text in more if not says("symptom", text)]
    return [*dict.fromkeys(more)] if len(more) >= FEWEST_MORE else []


def _are_tags(cells):
    """Whether most rows have a cell with a number in it that is more than a number, as ``K-12`` is."""
    named = cells.share(lambda text: TAG.search(text) and not day_of(text) and minutes_of(text) is None)
    return named * len(cells.texts) >= MOSTLY_DESKS * cells.rows


def _say_no_report(cells, *, of_states):
    """The cells beside complaints that say these are none, but for a mere test where no other does: one of ``states`` may say so behind a
    mark, one of remarks must say no more."""
    words = [
        text
        for text in cells.unlike
        if is_wholly("beside_no_report", text)
        or (says_no_report(text) if of_states else is_wholly("no_report", text))
    ]
    words = [text for text in cells.unlike if text in words or (words and is_wholly("test_report", text))]
    return [*dict.fromkeys(map(with_open_numbers, words))]


def work_stands_apart(placing_list):
    """Whether a list of complaints says in a column of its own what was done."""
    return placing_list[-1].heading("action") not in ("", placing_list[0].heading("symptom"))


def planned_alone(group, placing_list):
    """The complaints that tell of planned work and of no complaint; those that say no more than that it is planned where a column
    beside them says what it was."""
    said, done = placing_list[0].heading("symptom"), placing_list[-1].heading("action")
    if said not in group.cells or group.prose:
        return []
    words = [text for text in group.cells[said].unlike if says_planned(text) or says_round(text)]
    words = [text for text in words if not says_put_off(text)]
    bare = [*filter(says_no_more_than_planned, words)]
    beside = group.cells[done].column if work_stands_apart(placing_list) and done in group.cells else ()
    work = [one for text, one in zip(group.cells[said].column, beside) if text in bare]
    told = sum(bool(work_in_text(one)) for one in work)
    counts = told >= max(1, MOSTLY_DESKS * len(work))
    return [text for text in words if counts or text not in bare]


def planned_without_complaint(group, placing_list):
    """What was done that tells of planned work, such as a block re-capped, and stands in dated rows without a complaint alone."""
    said, done = placing_list[0].heading("symptom"), placing_list[-1].heading("action")
    days = (placing_list[0].heading("raised_on"), placing_list[-1].heading("done_on"))
    if group.prose or not work_stands_apart(placing_list) or not {*days, said, done} <= {*group.cells}:
        return []
    none = {
        "",
        *MARKS,
        *map(str.casefold, filter(says_no_more_than_planned, planned_alone(group, placing_list))),
    }
    rows = [*zip(*(group.cells[one].column for one in (days[0], said, done)), strict=True)]
    beside = {work for day, complaint, work in rows if not day or complaint.casefold() not in none}
    alone = {work for _, complaint, work in rows if complaint.casefold() in ("", *MARKS)}
    return [text for text in group.cells[done].unlike if text in alone - beside and says_planned(text)]


def says_no_more_than_planned(text):
    """Whether a complaint says that work was planned, and not which, as one of a re-cap does."""
    return is_wholly("planned", text) and work_in_text(text) != RE_CAP


def rows_of_one_report(group, placing_list):
    """The line of reports that stand on several rows, one for each place that they touch: the same number, or the same minute and words,
    and all else the same but for a column or two."""
    (tickets, *others), cells = placing_list, group.cells
    if others or tickets.table != "tickets" or tickets.heading("ticket") or group.pages[0].groups:
        return
    day, said = tickets.heading("raised_on"), tickets.heading("symptom")
    keys = [
        [one]
        for one, own in cells.items()
        if likeness_of_column(one, "tickets", "ticket") >= SURE
        and own.digits >= OFTEN_NAMED
        and own.mean_words < 2
    ]
    if {day, said} <= {*cells} and day != said and cells[day].share(has_a_minute) >= OFTEN_NAMED:
        keys.append([said, day])
    placed = {one for one, (name, _) in tickets.columns.items() if name not in ("position", "module_type")}
    for key in keys:
        # of words alone several slots may have the same in one minute
        ruled_out = placed if len(key) == 1 else {*tickets.columns, *tickets.split}
        rows = defaultdict(list)
        of_key = zip(*(cells[one].column for one in key), strict=True)
        for which, row in zip(of_key, zip(*(one.column for one in cells.values()), strict=True), strict=True):
            rows[which].append(row)
        several = [some for which, some in rows.items() if len(some) > 1 and all(which)]
        unlike = {
            one
            for some in several
            for one, column in zip(cells, zip(*some, strict=True), strict=True)
            if len({*column}) > 1
        }
        if len(several) >= FEWEST_ALIKE and 0 < len(unlike) <= MOST_UNLIKE and not unlike & ruled_out:
            names = " and ".join(map(quote, (one for one in cells if one in unlike)))
            many = sum(map(len, several))
            yield f"# {len(several)} reports stand on {many} rows that differ in {names} alone: each is one, of its first row; the others are counted as left out."
            yield "# If each row is a report of its own, take the next line away."
            yield f"once = {listed(key)}"
            return


def has_a_minute(text):
    """Whether a day has the time with it, and not midnight for want of one."""
    return bool(TIME.search(text.casefold())) and not MIDNIGHT.search(text)
