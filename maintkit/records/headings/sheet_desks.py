"""Which desk a sheet or file of reports is of, where no column names it: its name is the desk's."""

import re
from collections import defaultdict
from dataclasses import dataclass, field
from itertools import combinations

from maintkit.records.folding import fold_slot
from maintkit.records.known_words.meanings import meaning_of_cell
from maintkit.records.known_words.words import heading_of, is_wholly, says, vocabulary, words_in
from maintkit.records.row_above import month_of

from .day_formats import day_of, has_no_year
from .evidence import says_desk_alone
from .likeness import best_likeness
from .places import SURE

YEARS_ALIKE = 0.5  # share of the shorter one's years that two sheets must have in common
A_YEAR = re.compile(r"\d\d")
PLAINLY = 0.95  # likeness from which a name is words for a table, and no room or desk with its number
MOST_WORDS = 3  # of a desk's name, beside others in the name of a file
KINDS = ("action", "outcome")  # of rows, which have a sheet each


@dataclass(frozen=True)
class SheetDesks:
    """The names of all sheets of complaints that name no desk, ``listed`` those that may be desks by other sheets, small letters,
    and the desk of each where the names of all tell it."""

    nameless: tuple[str, ...] = ()
    listed: frozenset[str] = frozenset()
    told: dict[str, str] = field(default_factory=dict)
    entries: dict[str, set] = field(default_factory=dict)  # of each such desk, slots with months

    def of(self, group, placing) -> list[str]:
        """The desk of each page of a group of sheets without a desk, '' of a file that is called otherwise among files of desks; none where
        neither the names tell it nor what other sheets tell."""
        if placing.table == "repairs":
            own = _entries_of(placing, "done_on", group.cells)
            same = {desk: len(own & some) for desk, some in self.entries.items()}
            most = max(same, key=same.get, default="")
            return [most] * len(group.pages) if most and same[most] > len(own) / 2 else []
        names, told = [page.bare_name for page in group.pages], self.told
        if any(
            name in page.cells[one].texts
            for name, page in zip(names, group.pages, strict=True)
            for one in page.head
        ):
            return []  # a sheet of each module
        tops = {page.top for page in group.pages}
        # titles over forms name a desk, whatever else they say
        of_forms = all(page.form for page in group.pages) and len(tops) == len(group.pages) > 1
        if all(top and (of_forms or may_be_a_desk(top)) for top in tops):
            return names
        if all(name in told for name in names):
            return [told[name] for name in names]
        is_file = group.pages[0].part.book is None  # whoever keeps a file for each desk names it so
        others = [name for name in self.nameless if name not in names] or names
        are_listed = all(name.casefold() in self.listed for name in others)
        alone = len(names) == 1 and names[0] in self.nameless
        beside = self.nameless if alone and (is_file or are_listed or _are_alike(self.nameless)) else names
        may_be = [*map(may_be_a_desk, beside)]
        if sum(may_be) < 2 or not (is_file or all(may_be)):
            return []
        return [name if may_be_a_desk(name) else "" for name in names]


def sheet_desks(groups, named) -> SheetDesks:
    """What the names of sheets say of their desks.

    Parameters
    ----------
    groups : list of (Group, Placing)
        Those of complaints without a desk.
    named : set of str
        The desks that other sheets name.
    """
    pages = [(page, placing) for group, placing in groups for page in group.pages]
    nameless = tuple(page.bare_name for page, _ in pages)
    # sheets alike are a desk each
    alike = [page.bare_name for group, _ in groups if len(group.pages) > 1 for page in group.pages]
    told = _beside_a_year(nameless)
    side_by_side = len(nameless) > 1 and all(map(may_be_a_desk, nameless))
    kinds = any(month_of(name) or any(meaning_of_cell(kind, name) for kind in KINDS) for name in nameless)
    kinds |= sum(bool(says("module_type", name)) for name in nameless) > len(nameless) / 2
    if not named and side_by_side and not kinds and _cover_the_same_years(pages):
        told = {name: name for name in nameless}
    found = SheetDesks(nameless, frozenset(map(str.casefold, (*named, *alike))), told)
    for group, placing in groups:
        for page, desk in zip(group.pages, found.of(group, placing), strict=False):
            found.entries.setdefault(desk, set()).update(_entries_of(placing, "raised_on", page.cells))
    return found


def _entries_of(placing, day, cells):
    """The slots that rows name, each with year and month; none where no heading has them."""
    both = [cells.get(placing.heading(name)) for name in ("position", day)]
    if None in both:
        return set()
    rows = {(slot, text) for slot, text in zip(*(one.column for one in both), strict=True) if slot and text}
    dated = ((slot, day_of(text)) for slot, text in rows if not has_no_year(text))
    return {(fold_slot(slot), day.year, day.month) for slot, day in dated if day}


def _beside_a_year(names):
    """The desk of each name where it stands before or behind a year and what else tells one list from the next, as in ``heron_2016_north``.

    Each desk must come with more than one such rest, and each rest with more than one desk.
    """
    words = {name: tuple(re.findall(r"[^\W_]+", name)) for name in names}
    for width in range(1, MOST_WORDS + 1):
        for cut in (slice(None, width), slice(-width, None)):
            desks = {name: " ".join(some[cut]) for name, some in words.items()}
            names_met = {*desks.values()}
            rests = {name: some[width:] if cut.stop else some[:-width] for name, some in words.items()}
            if (
                all(any(map(A_YEAR.search, rest)) for rest in rests.values())
                and sum(may_be_a_desk(one) and not month_of(one) for one in names_met) > len(names_met) / 2
                and _cross(desks.values(), rests.values())
            ):
                return desks
    return {}


def _cross(desks, rests):
    """Whether of pairs each first comes with two seconds or more, and each second with two firsts or more."""
    by_desk, by_rest = defaultdict(set), defaultdict(set)
    for desk, rest in zip(desks, rests, strict=True):
        by_desk[desk].add(rest)
        by_rest[rest].add(desk)
    return bool(by_desk) and all(len(some) > 1 for some in (*by_desk.values(), *by_rest.values()))


def _cover_the_same_years(pages):
    """Whether each two sheets have at least half of the years of the shorter one in common, so that none goes on from another."""
    spans = []
    for page, placing in pages:
        own = page.cells.get(placing.heading("raised_on"))
        days = {*own.texts} if own else set()
        spans.append({day.year for text in days if not has_no_year(text) and (day := day_of(text))})
    return all(
        one and other and len(one & other) >= YEARS_ALIKE * min(len(one), len(other))
        for one, other in combinations(spans, 2)
    )


def _are_alike(names):
    """Whether names of sheets begin with the same word, or all have a number, as desks do."""
    firsts = {name.casefold().split()[0] for name in names}
    return len(firsts) == 1 or all(any(map(str.isdigit, name)) for name in names)


def may_be_a_desk(name: str) -> bool:
    """Whether the name of a sheet or file can be a desk's: no year, no words for a table or a book alone, no name that spreadsheets give.

    Examples
    --------
    >>> may_be_a_desk("Heron"), may_be_a_desk("Fault log"), may_be_a_desk("Sheet 2"), may_be_a_desk("Log 2019")
    (True, False, False, False)
    >>> may_be_a_desk("Room 2"), may_be_a_desk("Rooms"), may_be_a_desk("my diary"), may_be_a_desk("chat export")
    (True, False, False, False)
    """
    bare = re.sub(r"\d+$", "", name).strip() or name
    for_tables = [phrase for phrases in vocabulary().sheets.values() for phrase in phrases]
    plain = re.fullmatch(r"(sheet|tabelle|blatt|table) ?\d*", name.casefold()) or re.search(r"\d{3}", name)
    # a room or a desk has its number, a list of rooms has none
    of_one = bare != name and (says("room", bare) or says_desk_alone(bare))
    of_a_book = not of_one and all(is_wholly("log", word) for word in words_in(bare))
    is_table = best_likeness(heading_of(bare), for_tables) >= (PLAINLY if of_one else SURE)
    return any(map(str.isalpha, name)) and not (plain or of_a_book or is_table)
