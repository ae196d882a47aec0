"""What the cells below a heading say for and against each column: none against it, else how much they speak for it."""

import re
from functools import cache, partial

from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.part_kinds import work_in_column, work_in_text
from maintkit.records.known_words.words import (
    heading_says,
    is_plain_gear,
    is_wholly,
    says,
    section_of,
    vocabulary,
    words_in,
)

from .likeness import SURE, best_likeness, likeness_of_column
from .values import COMPONENT, ENOUGH, Cells

MOST = 0.8  # share of the filled cells from which they speak for a column
OWNERS = {"desk": "desks", "ticket": "tickets", "serial": "modules", "part_type": "part_types"}
LEAST_COMPONENTS = 0.5  # share of places on a board that begin with the letter of a component
# of cells that tell of work, where they differ more than the words for an outcome would
TOLD, MOST_OUTCOMES = 0.4, 8
WORDY = 1.3  # words on average, from which cells of work tell what was done, and not only the outcome
SHORT = 2.5  # words on average
A_NUMBERED_ONE = re.compile(r"(?:no|nr)\.? ?\d+", re.IGNORECASE)  # as No.1 is
LONGER = 5  # letters of a word than yes and no have
SHORT_LIST, THIN_LIST = 8, 20  # rows in which desks need not come again; where the heading says desk
# share of cells that tell of work, from which a part alone, as "relay" or "C14 C15", was replaced
SOME_DEEDS = 0.2
SAYS_WORK = 0.9  # likeness of a heading that says what was done
MOST_DESKS = 4  # by a letter each, or by a name of many words
NOTHING_KNOWN: dict[str, frozenset[str]] = {}
LATE_IN_THE_DAY = re.compile(r"(?:0?[7-9]|1\d|2[0-3])[:.h][0-5]\d")
UNIT_CELL = re.compile(r"[munpµμ]?(F|Ω|ohms?|A|V)|[km]?ohms?|%", re.IGNORECASE)
SELDOM = ("donor_serial", "waits_for")  # never filled in nearly every row
# closed sets whose words are met nowhere else
TELLING = ("impact", "outcome", "action", "as_found", "kind", "measure", "origin", "condition")


def evidence(column, heading, cells: Cells, known=NOTHING_KNOWN) -> float | None:
    """What the cells say of a column; ``known`` are keys that other sheets list, by column."""
    if not cells.texts:
        return 0.0
    is_listed = len(cells.texts) > 2 and _share_known(cells, known.get("ticket", ())) >= 0.95
    if is_listed and cells.numbers < MOST:  # keys of another sheet, which may look like days
        return 0.2 if column.name == "ticket" else None
    if column.name == "rework_cycles_before" and cells.years:
        return None
    if column.kind == "date" and cells.years >= ENOUGH:  # years and months are when something was made
        return _share(cells.years, 0.2) if column.name == "made_on" else None
    if column.kind == "date":
        return _share(max(cells.dates, cells.day_numbers), 0.2)
    if cells.dates >= ENOUGH:
        return None
    if column.kind == "clock" and cells.numbers >= MOST and not are_times_of_day(cells):
        return None  # 1.35 is a number of hours too
    if column.kind == "clock":
        return _share(cells.clocks, 0.2)
    if column.kind == "minutes" and are_times_of_day(cells):
        return None
    if column.kind == "minutes":
        return _share(cells.durations, 0.2 if heading.says_time or cells.numbers < MOST else 0.1)
    if heading.says_time and column.kind in ("number", "whole") and "hours" not in column.name:
        return None
    if column.name == "on_hand" and cells.counts_up:
        return None
    if column.name == "quantity":
        many = heading_says("count", heading.text) and not cells.running  # of several slots together
        return _share(cells.small, 0.15) or (_share(cells.whole, 0.05) if many else None)
    if column.kind in ("number", "whole"):
        return _share(cells.whole if column.kind == "whole" else cells.numbers, 0.1)
    if column.choices:
        return _closed_set(column, heading, cells)
    if column.name == "desk":
        listed = known.get("desk") or known.get("used desk", ())
        share = _share_known(cells, listed)
        told = len([*filter(_is_name, listed)]) > 2 and cells.share(_is_name) >= 0.5
        if told and not share:
            return -0.25  # other sheets call the desks otherwise
        return 0.3 if share >= 0.9 else _desk(cells, says_desk=vocabulary().desks & {*heading.words})
    if cells.durations - cells.numbers >= ENOUGH:
        return None
    if column.name in SELDOM and len(cells.texts) > 0.8 * cells.rows:
        return None
    check = TEXTS.get(column.name)
    return check(cells) if check else 0.0


def _is_name(text):
    """Whether a text is more than a figure or the letters that stand for a name."""
    return len(text) > 2


def are_times_of_day(cells: Cells) -> bool:
    """Whether cells such as 15:55 are no durations, for these are seldom half a day."""
    return cells.clocks >= ENOUGH and cells.share(LATE_IN_THE_DAY.match) >= 0.5


def _share_known(cells, texts):
    return cells.share(lambda text: text.casefold() in texts) if texts else 0.0


def owns(table: str, name: str, cells: Cells, known) -> bool | None:
    """Whether a column of the sheet that lists desks, modules … has the names that other sheets use; None where none are used."""
    used = known.get(f"used {name}") if OWNERS.get(name) == table else None
    if not used:
        return None
    there = {text.casefold() for text in cells.texts}
    is_listed = bool(there) and len(used & there) >= 0.8 * min(len(used), len(there))
    return is_listed and cells.different == len(cells.texts)


def quotes_reports(table: str, heading: str, cells: Cells, known) -> bool:
    """Whether a heading of work says a number, most of those below it are reports' that other sheets list, and they do not count the rows:
    then they are these, whatever they are called."""
    says_number = any(likeness_of_column(heading, "repairs", name) >= SURE for name in ("ticket", "repair"))
    counts = cells.counts_up and cells.different == len(cells.texts)
    tickets = known.get("ticket", ()) if table == "repairs" and says_number and not counts else ()
    return _share_known(cells, tickets) >= ENOUGH


def names_places(cells: Cells, known) -> bool:
    """Whether most of what stands in cells that name desk and slot on other sheets stands here, or the other way round."""
    there, places = {*cells.folded}, known.get("desk and slot", ())
    return bool(there and places) and len(there & places) >= ENOUGH * min(len(there), len(places))


def _share(share, weight):
    return weight if share >= MOST else 0.0 if share >= ENOUGH else None


def _closed_set(column, heading, cells):
    if asked(column.name, heading, cells):
        return 0.25
    tells_work = cells.deeds >= (MOST if cells.different <= MOST_OUTCOMES else TOLD)
    if column.name == "outcome" and tells_work and cells.mean_words >= WORDY:
        return None  # what was done, of which it only follows that something was found
    share = cells.understood(section_of(column))
    share = max(share, cells.share(lambda text: text.casefold() in column.choices))
    if column.name == "action":
        parts = cells.share(work_in_text) if cells.deeds >= SOME_DEEDS else 0.0
        share = max(share, cells.deeds, parts)
        says_work = likeness_of_column(heading.text, "repairs", "action") >= SAYS_WORK
        if share < SOME_DEEDS and says_work and cells.share(work_in_column) >= TOLD:
            return 0.0  # there a part alone, as "rail cap", was replaced
        if SOME_DEEDS <= share < 0.4 and cells.mean_words >= WORDY:
            return -0.1  # visits, of which most mended nothing: then the heading must say it
    if column.name == "impact" and share < 0.4:
        # a site may have words of its own: then the heading must say it
        few = cells.different <= 0.6 * len(cells.texts) and cells.mean_words < 5
        words = few and not heading.says_time and max(cells.numbers, cells.durations, cells.deeds) < 0.3
        return -0.1 if words else None
    return 0.2 if share >= MOST else 0.1 if share >= ENOUGH else 0.0 if share >= 0.4 else None


def asked(name: str, heading, cells: Cells) -> str:
    """The choice that yes means under a heading which asks about one, where the cells are yes and no; else ''."""
    if cells.share(yes_or_no) < MOST:
        return ""
    alike, asked_about = vocabulary().alike, vocabulary().asked.get(name, {})
    said = {*heading.words}.union(*(alike.get(word, ()) for word in heading.words))
    if name == "impact" and any({*one.words} <= said for one in asked_about["stopped session"]):
        return "stopped session"
    fits = {meaning: best_likeness(heading, phrases) for meaning, phrases in asked_about.items()}
    best = max(fits, key=fits.get, default="")
    return best if best and fits[best] >= 0.75 else ""


def alone(table: str, column, cells: Cells, known=NOTHING_KNOWN) -> float:
    """Cells that can be one column only, whatever stands above them: how surely; 0 where they cannot say."""
    name = column.name
    if name == "ref" and len(cells.texts) >= 3 and cells.components == 1 and len(cells.texts) < cells.rows:
        return 0.8
    if name == "coupling" and {meaning_of_cell(name, text) for text in cells.texts} == {*column.choices}:
        return 0.81
    if len(cells.texts) < 4:
        return 0.0
    if name == "unit" and cells.share(UNIT_CELL.fullmatch) >= 0.9:
        return 0.8
    if name == "finding" and cells.findings >= 0.6 and max(cells.complaints, cells.deeds) < 0.4:
        return 0.79
    most = {"modules": 0.5, "parts_list": 0.8}.get(table, 0) * cells.rows
    if name == "module_type" and cells.module_types >= MOST and cells.different <= most:
        return 0.8
    if name == "symptom" and cells.complaints >= 0.6 and cells.mean_words >= 1.3 and cells.deeds < 0.3:
        return 0.8
    others = max(cells.deeds, cells.module_types, cells.findings - 0.2)
    if name == "symptom" and cells.complaints >= 0.9 and others < 0.3 and cells.different > 2:
        return 0.79
    different = cells.different >= 0.5 * len(cells.texts) and not cells.running
    if name == "ref" and different and min(cells.designators, cells.digits) >= 0.9 and cells.slots <= 0.5:
        return 0.81
    if name == "part_type" and cells.parts >= MOST and cells.mean_words < 5 and cells.designators < 0.5:
        # of which it tells what was done or wrong
        return 0.8 if max(cells.deeds, cells.findings) < 0.4 else 0.0
    if name == "position" and names_slots(cells):
        return 0.8
    if known.get(name) and OWNERS[name] != table and _share_known(cells, known[name]) >= 0.95:
        return 0.8 if name == "desk" else 1.2
    used = _share_known(cells, known.get(f"used {name}", ()))
    if (name == "serial" and used >= 0.95) or ((table, name) == ("modules", "desk") and used >= ENOUGH):
        return 0.8  # of the places of modules others may be a store
    if f"{table}.{name}" in ("tickets.ticket", "repairs.repair") and cells.counts_up and numbers_rows(cells):
        return 0.79
    if name == "action" and cells.deeds >= MOST and cells.mean_words < 7:
        if cells.different == 1 and len(cells.texts) < 0.9 * cells.rows:
            return 0.0
        tells_work = cells.mean_words >= WORDY and cells.complaints < 0.3
        return 0.0 if not tells_work and _may_be_outcomes(cells) else 0.79
    if len(column.choices) > 2 and cells.share(lambda text: text.casefold() in column.choices) >= 0.9:
        return 0.81 if cells.different > 1 else 0.0
    tells = name in TELLING and not (name == "outcome" and cells.deeds >= 0.5)
    if tells and cells.understood(name) >= 0.95 and cells.mean_words < 4 and cells.different >= 2:
        others = (cells.understood(one) for one in {*TELLING, "cause", "yes_no"} - {name})
        return 0.82 if max(others) < 0.5 else 0.0
    return 0.0


def names_slots(cells: Cells) -> bool:
    """Whether cells name slots by a word and a number: nearly all, or most of short ones beside supplies, meters and the like."""
    return cells.slots >= MOST or (cells.slots >= ENOUGH and cells.mean_words < SHORT)


@cache
def yes_or_no(text: str) -> str:
    """``yes`` or ``no`` where a cell says so, or begins so and says more behind a mark; else ''.

    Examples
    --------
    >>> [yes_or_no(text) for text in ("Ja", "No, used another channel", "No signal", "Yes - had to stop", "No.2")]
    ['yes', 'no', '', 'yes', '']
    """
    if len(text) > 1 and re.match(r"\d|no\. ?\d", text, re.IGNORECASE):  # no. 2 is a number
        return ""
    first = re.split(r"[,;:(–.]| - ", text)[0].strip()
    return meaning_of_cell("yes_no", first) if len(first.split()) == 1 else ""


def _may_be_outcomes(cells):
    """Whether every cell is an outcome too, and some say that nothing was found or that it stands open."""
    meanings = [meaning_of_cell("outcome", text) for text in cells.texts]
    return all(meanings) and any(meaning != "fault found" for meaning in meanings)


def is_printed_on(cells, parts):
    """Whether a column has the number with which the part beside it begins, such as 100 beside 100u 25V."""
    both = [one for one in zip(cells.column, parts.column, strict=True) if all(one)]
    begins = re.compile(r"[\d.,]*")
    return len(both) > 2 and all(begins.match(part)[0] == number for number, part in both)


def may_be_desks(cells):
    """Whether cells can be a few desks, and not persons: there is one in each row, and numbers in the names."""
    few = 1 < cells.different <= min(8, 0.4 * cells.rows + 1) and len(cells.texts) == cells.rows
    numbered = cells.digits >= 0.9 and cells.numbers < 0.5 and cells.durations < 0.1
    return few and numbered and not cells.slots


def are_kinds_of_modules(heading, cells):
    """Whether cells are kinds of modules, and another column has the serials of these."""
    others = (one for other, one in cells.items() if other != heading)
    return cells[heading].module_types >= ENOUGH and any(
        one.serials >= ENOUGH and one.digits > one.numbers and not one.running for one in others
    )


def may_be_names(cells: Cells) -> bool:
    """Whether cells are a few short names that come again and again, of desks, rooms or persons."""
    few = 1 < cells.different <= min(12, 0.34 * len(cells.texts))
    closed = (cells.understood(name) for name in ("impact", "outcome", "action", "cause"))
    told = (cells.numbers, cells.dates, cells.durations, cells.complaints, cells.deeds, cells.parts)
    words = max(*told, *closed, cells.share(yes_or_no))
    return few and len(cells.texts) >= 0.9 * cells.rows and cells.mean_words < 4 and words < 0.3


def says_desk_alone(text: str) -> bool:
    """Whether a cell says desk, and nothing else."""
    return bool(words_in(text)) and {*words_in(text)} <= vocabulary().desks


def are_gear(cells: Cells) -> bool:
    """Whether nearly all cells say a desk, or other gear such as amplifiers, and some of them each."""
    desks = cells.share(says_desk_alone)
    others = cells.share(lambda text: bool(says("other_gear", text)) or is_plain_gear(text))
    return min(desks, others) > 0 and desks + others >= MOST


def are_desks_and_gear(cells: Cells) -> bool:
    """Whether nearly all cells name a desk as one, such as ``Studio A desk``, or are plainly other gear, and some of them each."""
    names = Cells(tuple(text for text in cells.texts if says("desk", text) and not is_plain_gear(text)))
    others = cells.share(is_plain_gear)
    are_named = names.different > 1 and not names.share(says_desk_alone)
    return are_named and others > 0 and len(names.texts) / len(cells.texts) + others >= MOST


def are_a_few_again(cells) -> bool:
    """Whether cells are a few that come again and again, as desks do."""
    return 1 < cells.different <= min(MOST_DESKS, 0.2 * len(cells.texts))


def _desk(cells, *, says_desk):
    named = tuple(text for text in cells.column if not is_plain_gear(text))
    cells = Cells(named, cells.distinct, cells.coded) if len({*filter(None, named)}) > 1 else cells
    few = cells.different <= max(3, len(cells.texts) * 0.4)
    few = few or len(cells.texts) <= (THIN_LIST if says_desk else SHORT_LIST)
    longest = 6 if are_a_few_again(cells) else 4  # such as Room A - Osprel 32
    are_slots = cells.slots >= ENOUGH and not (says_desk and cells.share(A_NUMBERED_ONE.fullmatch) >= MOST)
    if not few or cells.mean_words > longest or are_slots or cells.complaints >= ENOUGH:
        return None
    letters = Cells(tuple(text for text in cells.texts if len(text) == 1 and not text.isdigit()))
    if letters.different > MOST_DESKS and len(letters.texts) >= MOST * len(
        cells.texts
    ):  # they stand for something else
        return None
    full = len(cells.texts) >= 0.9 * cells.rows
    return (0.0 if cells.numbers >= ENOUGH else 0.1) + (0.05 if full else -0.1)


def _position(cells):
    if cells.mean_words > 4 or cells.complaints >= ENOUGH:
        return None
    if cells.slots >= 0.5:
        return 0.25 if cells.slots >= MOST else 0.2
    if cells.serials >= MOST:
        return 0.0
    return 0.1 if cells.digits >= 0.5 else -0.05 if cells.different <= len(cells.texts) * 0.3 else 0.0


def tell_planned(cells: Cells) -> bool:
    """Whether cells say of each row that it was planned or that it was not, in words longer than yes and no."""
    few = 1 < cells.different <= MOST_OUTCOMES
    return few and all(len(text) >= LONGER and meaning_of_cell("yes_no", text) for text in cells.unlike)


def _module_type(cells):
    if tell_planned(cells):
        return None
    if cells.mean_words > 5 or cells.numbers >= 0.3 or cells.slots >= ENOUGH or cells.complaints >= ENOUGH:
        return None
    if cells.share(partial(is_wholly, "planned")):
        return None  # planned or not
    return -0.05 if cells.digits >= 0.5 else 0.1 if cells.different <= len(cells.texts) * 0.5 else 0.0


def _wordy(cells):
    if cells.numbers >= ENOUGH or cells.durations >= ENOUGH or cells.understood("yes_no") >= MOST:
        return None
    return 0.1 if cells.mean_words >= 1.5 and cells.deeds < ENOUGH else 0.0


def _symptom(cells):
    if cells.parts >= 0.4 and max(cells.complaints, cells.deeds) < 0.3:
        return None  # a list of parts
    told = _wordy(cells)
    if told is None or cells.complaints >= 0.5:
        return told if told is None else 0.25
    return -0.25 if cells.share(lambda text: len(text) <= 2) >= MOST else told


def _finding(cells):
    if cells.deeds >= MOST and cells.findings < 0.3:
        return -0.25  # it tells what was done
    return _wordy(cells)


def _part_type(cells):
    answers = cells.understood("yes_no") >= MOST
    if answers or max(cells.numbers, cells.slots) >= ENOUGH or cells.mean_words > 6:
        return None
    bare = cells.designators >= 0.7 and cells.share(COMPONENT.fullmatch) >= 0.3  # C12, but not NE5532
    if bare and cells.parts < 0.5 and cells.mean_words < 1.2:
        return None
    if cells.deeds >= MOST and cells.mean_words > 1.5:
        return -0.2  # it tells what was done
    return 0.2 if cells.parts >= 0.5 else 0.0


def _ref(cells):
    # B12 and A07 are strips of a desk
    if cells.share(COMPONENT.match) < LEAST_COMPONENTS or cells.designators < ENOUGH:
        return None
    return 0.2 if not cells.running else 0.0 if cells.numbers < 0.2 else None


def _serial(cells):
    if (
        cells.slots >= 0.5 > cells.serials
        or cells.digits < 0.5
        or cells.mean_words > 2
        or cells.parts >= ENOUGH
    ):
        return None
    if cells.serials >= MOST and not cells.running:
        # a module comes again and again, an order does not
        again = cells.different < len(cells.texts)
        return 0.2 if cells.numbers >= 0.5 else 0.25 if again else 0.22
    return 0.1 if cells.different >= len(cells.texts) * 0.5 else -0.05


def numbers_rows(cells: Cells) -> bool:
    """Whether the cells can be the number of each row: filled, different, with digits."""
    return _number(cells) is not None


def _number(cells):
    if not cells.texts:
        return None
    distinct = max(cells.distinct, cells.different / len(cells.texts))
    full = len(cells.texts) / cells.rows if cells.rows else 0
    if cells.mean_words > 2.5 or distinct < 0.9 or full < 0.7 or cells.digits < 0.7:
        return None
    return 0.2 if cells.running else 0.1


def _link(cells):
    # Of one report there are few works.
    of_few = len(cells.texts) > SHORT_LIST and cells.different < 0.3 * len(cells.texts)
    no_number = cells.mean_words > 2.5 or cells.digits < 0.5 or cells.parts >= ENOUGH
    return None if of_few or no_number else 0.05


def _name(cells):
    if cells.mean_words > 6:
        return None
    return -0.15 if cells.numbers >= 0.9 else 0.05  # a family may be called by a number


TEXTS = {
    "desk": _desk,
    "position": _position,
    "module_type": _module_type,
    "symptom": _symptom,
    "finding": _finding,
    "waits_for": _wordy,
    "part_type": _part_type,
    "ref": _ref,
    "serial": _serial,
    "donor_serial": _serial,
    "old_serial": _serial,
    "ticket": _link,
    "repair": _number,
    "document": _number,
    "family": _name,
}
