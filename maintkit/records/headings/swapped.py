"""Modules that rows of faults and work exchange, as a drafter sees them: in two columns, such as ``Old`` and ``New``, or ``A > B`` in one."""

import re
from collections import Counter
from dataclasses import dataclass, field, replace
from itertools import permutations

from maintkit.records.folding import fold_desk, fold_name, fold_slot
from maintkit.records.known_words.meanings import SWAP
from maintkit.records.known_words.part_kinds import part_at_places, part_in_text, work_in_column
from maintkit.records.known_words.words import heading_of
from maintkit.records.mapping import LEAVE_OUT

from .cell_words import lookup
from .desks_in_text import CHANNEL_WORDS
from .likeness import LEAST_WORDS, SURE, likeness_of_column
from .places import PUT_IN, SWAPPED_OUT, Placing
from .values import SERIAL, TWO_SERIALS, Cells

NUMBER_BEHIND = re.compile(r"(.*?)\d+[a-z]?", re.IGNORECASE)
EXCHANGED = re.compile(
    r"((?:[^\W\d]+ )?(?:\b(?:with|mit|and|und|for|gegen|met|avec)\b|w/|<-?>|↔) ?)((?:[^\W\d]{1,8}[ .#]{0,2})?)(\d{1,3}[a-z]?)\b"
)
NAMED = r"\b([^\W\d]{1,4}[-/]?\d{3,6}|\d{4,6})"
CAME_OUT = re.compile(rf"{NAMED}\W*\b(out|pulled|removed|raus|for|by|gegen|durch)\b", re.IGNORECASE)
WENT_IN = re.compile(rf"{NAMED}\W*\b(in|fitted|rein)\b|\b(for|by|gegen|durch) {NAMED}\b", re.IGNORECASE)
# texts that tell both, and share of their numbers that are written alike, as those of parts are not
FEWEST_TOLD, ALIKE = 3, 0.8
FEWEST, MOSTLY = 2, 0.5  # rows that name both, and their share of those that name one


@dataclass(frozen=True)
class Swap:
    """Where a list names the module that came out and the one that went in.

    ``out`` and ``put_in`` are their headings, one where both stand in one cell: then ``words`` are those of a lookup by which each
    of them is told, and of a module alone. ``rows`` tells of each row whether it names both, ``exchanged`` are the words by which the
    work, under ``told``, names the slot that the one put in had come from; ``moved`` where those that came out and went there are told.
    """

    out: str
    put_in: str
    rows: tuple[bool, ...]
    words: tuple[dict[str, str], ...] = ()
    told: str = ""
    exchanged: dict[str, str] = field(default_factory=dict)
    moved: bool = False
    in_text: bool = False  # of the work

    def lookups(self, placing):
        """The lookups of the module that a section is about, the other, and the place of one that came out, where no column of its own names them."""
        out = self.words and {**self.words[0], **self.words[2]}
        if placing.table == "repairs" and out and placing.heading("serial") in ("", self.out):
            note = "it was worked on the module that came out"
            yield from lookup("repairs.lookup.serial", self.out, note, within=True, words=out, otherwise="")
        if placing.table != "fitments":
            return
        if self.words:
            out, put_in, _ = self.words
            own, other = (out, put_in) if self.moved else (put_in, out)
            place = "fitments.lookup"
            yield from lookup(f"{place}.serial", self.out, within=True, words=own, otherwise=LEAVE_OUT)
            # one of them alone may be a module that only went to the bench
            rest = LEAVE_OUT if self.in_text else ""
            if other:
                yield from lookup(f"{place}.old_serial", self.out, within=True, words=other, otherwise=rest)
        if self.moved:
            note = "the slot with which it was exchanged; # stands for its number"
            place = "fitments.lookup.position"
            yield from lookup(place, self.told, note, within=True, words=self.exchanged, otherwise=LEAVE_OUT)


def with_swaps(fed, listed) -> list:
    """Groups of sheets with their tables, each knowing of its swaps, and their work being on the module that came out.

    ``listed`` are the serials in the lists of modules.
    """
    known = {fold_name(text) for text in listed}
    sits = {
        fold_name(serial): place
        for group, tables in fed
        for one in tables.likely
        if one.table == "modules" and one.heading("serial") in group.cells
        for serial, place in zip(group.cells[one.heading("serial")].column, _places(group, one))
    }
    fed = [
        (replace(group, swap=_swap_in(group, tables, known) or _put_in(group, tables, sits)), tables)
        for group, tables in fed
    ]
    for group, tables in fed:
        if group.swap:
            _of_what_came_out(group.swap, tables.likely)
    return fed


def _swap_in(group, tables, listed):
    """Where a list of work names both modules of a swap, None where it does not; ``listed`` are the serials of the lists of modules, folded."""
    work = next((one for one in tables.likely if one.table == "repairs"), None)
    if tables.rival or work is None:
        return None
    taken = {
        heading for one in tables.likely for heading, (name, _) in one.columns.items() if name != "serial"
    }
    free = {heading: cells for heading, cells in group.cells.items() if heading not in taken and cells.texts}
    found = _in_two(free, listed) or _in_one(free, listed) or _in_text(work.heading("action"), group, listed)
    if found is None:
        return None
    told, slot = (
        group.cells.get(work.heading(name) or tables.likely[0].heading(name))
        for name in ("action", "position")
    )
    words = _exchanges(told, slot, found.rows) if told and slot else {}
    return replace(found, told=work.heading("action"), exchanged=words)


def _put_in(group, tables, sits):
    """Where work on slots tells of a module swapped and names one listed module, that which sits in the slot today: it was put in; None where
    no work does. ``sits`` are the places of listed modules, by serial as compared."""
    work = next((one for one in tables.likely if one.table == "repairs"), None)
    heading = work.heading("action") if work and not tables.rival and not work.heading("serial") else ""
    if not heading or heading not in group.cells or group.prose:
        return None
    where = next(one for one in (work, *tables.likely) if one.heading("position") or one is tables.likely[-1])
    words, rows = {}, []
    for text, place in zip(group.cells[heading].column, _places(group, where), strict=True):
        named = [one for one in re.findall(r"[\w/-]*\d[\w/-]*", text) if fold_name(one) in sits]
        is_put_in = len(named) == 1 and all(place) and sits[fold_name(named[0])] == place
        rows.append(is_put_in and work_in_column(text) == SWAP)
        if rows[-1]:
            said = _number(named[0])
            words[text.casefold().replace(named[0].casefold(), said.casefold())] = said
    return Swap(heading, heading, tuple(rows), ({}, words, {}), in_text=True) if words else None


def _places(group, placing):
    """The desk and the slot of each row, as they are compared, of a slot its number; '' where there is none."""
    columns = [group.cells.get(placing.heading(name)) for name in ("desk", "position")]
    rows = max(cells.rows for cells in group.cells.values())
    desks, slots = (one.column if one else ("",) * rows for one in columns)
    numbers = (re.search(r"\d+\w?", slot) for slot in slots)
    return [
        (fold_desk(desk), one[0].lstrip("0") if one else "") for desk, one in zip(desks, numbers, strict=True)
    ]


def _of_what_came_out(swap: Swap, likely):
    """Make the module that came out that of the work, unless another column names it; the one put in has no place there."""
    for one in likely if not swap.in_text else ():
        for heading in (swap.out, swap.put_in):
            one.columns.pop(heading, None)
            one.doubtful.pop(heading, None)
        if one.table == "repairs" and not one.heading("serial"):
            one.columns[swap.out] = ("serial", SURE)


def fitments_of(swap: Swap, likely, same):
    """The fitments of a list with swaps, and the swap as they see it: of the modules put in, and, where work names the slot of an
    exchange, of those that came out."""
    work = next(one for one in likely if one.table == "repairs")
    desk, slot = (likely[0].heading(name) or work.heading(name) for name in ("desk", "position"))
    split = likely[0].split
    places = {
        heading: (name, SURE)
        for heading, name in ((desk, "desk"), (slot, "position"))
        if heading and heading not in split
    }
    if slot:
        columns = {work.heading("done_on"): ("fitted_on", SURE)} | places
        modules = {swap.out: ("old_serial", SURE)} | {swap.put_in: ("serial", SURE)}
        yield Placing("fitments", columns | modules, split=split, same=same), swap
    if slot and swap.exchanged:
        columns.pop(slot, None)
        modules = {swap.put_in: ("old_serial", SURE)} | {swap.out: ("serial", SURE)}
        yield Placing("fitments", columns | modules, split=split, same=same), replace(swap, moved=True)


def _in_two(free, listed):
    """The columns of the module that came out and of the one put in."""
    words = {heading: {*heading_of(heading).every} for heading in free}
    for out, put_in in permutations(free, 2):
        if (
            words[out] & SWAPPED_OUT
            and words[put_in] & PUT_IN - SWAPPED_OUT
            and not words[put_in] & SWAPPED_OUT
        ):
            pairs = [*zip(free[out].column, free[put_in].column, strict=True)]
            both, one = (sum(map(many, pairs)) for many in (all, any))
            cells = Cells(tuple(text for pair in pairs for text in pair))
            said = any(_says_module(heading) for heading in (out, put_in))
            if both >= max(FEWEST, MOSTLY * one) and _are_modules(cells, listed, said=said):
                return Swap(out, put_in, tuple(map(all, pairs)))
    return None


def _in_one(free, listed):
    """The column of which many cells name two modules with a mark between them."""
    for heading, cells in free.items():
        pairs = [TWO_SERIALS.fullmatch(text) for text in cells.column]
        found = [one for one in pairs if one]
        both = Cells(tuple(text for one in found for text in (one[1], one[3])))
        words = heading_of(heading).every
        said = _says_module(heading) or bool({*words} & SWAPPED_OUT)
        if len(found) < max(FEWEST, MOSTLY * len(cells.texts)) or not _are_modules(both, listed, said=said):
            continue
        first, last = {}, {}
        for one in found:
            before, mark, after = _number(one[1]), one[2].strip("-=–").casefold(), _number(one[3])
            first[f"{before.casefold()} {mark}"] = before
            last[f"{mark} {after.casefold()}"] = after
        alone = {_number(text).casefold(): _number(text) for text in cells.unlike if SERIAL.fullmatch(text)}
        named = [word for word in words if word in SWAPPED_OUT | PUT_IN]
        words = (first, last) if named[:1] == [] or named[0] in SWAPPED_OUT else (last, first)
        return Swap(heading, heading, tuple(map(bool, pairs)), (*words, alone))
    return None


def _in_text(heading, group, listed):
    """The column of work whose texts name both modules again and again, such as ``K104 out, K231 in`` or ``swapped K104 for K231``."""
    cells = group.cells.get(heading)
    if cells is None or group.prose:
        return None
    out, put_in, rows, named = {}, {}, [], []
    for text in cells.column:
        came, went = [*CAME_OUT.finditer(text)], [*WENT_IN.finditer(text)]
        one_each = len(came) == len(went) == 1 and came[0][1] != (went[0][1] or went[0][4])
        rows.append(one_each and not (part_in_text(text) or part_at_places(text)))
        if rows[-1]:
            (old, word), (new, behind, before, last) = came[0].groups(), went[0].groups()
            named += [old, new or last]
            out[f"{_digits(old)} {word}".casefold()] = _number(old)
            put_in[
                f"{_digits(new)} {behind}".casefold() if new else f"{before} {_digits(last)}".casefold()
            ] = _number(new or last)
    alike = Counter(map(_digits, named)).most_common(1)
    if (
        sum(rows) < FEWEST_TOLD
        or alike[0][1] < ALIKE * len(named)
        or not _are_modules(Cells(tuple(named)), listed, said=True)
    ):
        return None
    return Swap(heading, heading, tuple(rows), (out, put_in, {}), in_text=True)


def _digits(text):
    """A serial with signs in place of its number, as many as its digits where it has nothing before them."""
    return re.sub(r"\d+", lambda one: "#" * len(one[0]) if one[0] == text else "#", text)


def _says_module(heading):
    """Whether a heading says the number of a module."""
    return likeness_of_column(heading, "fitments", "serial") >= LEAST_WORDS


def _are_modules(cells, listed, *, said):
    """Whether cells are numbers of modules: listed ones, or such as few come again of, with letters or ``said`` to be."""
    if cells.share(lambda text: fold_name(text) in listed) >= MOSTLY:
        return True
    are_new = cells.different >= MOSTLY * len(cells.texts)
    return are_new and cells.serials >= MOSTLY and (said or cells.numbers < MOSTLY)


def _number(text):
    """A serial with a sign in place of its number."""
    return f"{NUMBER_BEHIND.fullmatch(text)[1]}#"


def _exchanges(told, slots, rows):
    """The words by which work on two modules names the slot of the other, each with the slot that it means; # stands for its number."""
    known = {fold_slot(text) for text in slots.unlike}
    numbers = {one[0] for text in known if (one := re.search(r"\d+\w?$", text))}
    words = {}
    for text, both in zip(told.column, rows, strict=True):
        for one in EXCHANGED.finditer(text.casefold()) if both else ():
            name = one[2].strip(" .#")
            if fold_slot(name + one[3]) in known or (
                name in {"", *CHANNEL_WORDS} and fold_slot(one[3]) in numbers
            ):
                words[f"{one[1]}{one[2]}#"] = f"{one[2].strip(' .')} #".strip()
    return words
