"""Lists in which fault and repair stand on rows of their own, told apart by a column such as ``F`` and ``R``."""

import re
from dataclasses import dataclass, replace

from maintkit.records.known_words.words import heading_of
from maintkit.records.tables import TABLE

from .evidence import WORDY
from .likeness import likeness_nowhere
from .pages import Page
from .places import PERSONS, SURE
from .tables import Weighed
from .values import Cells

FEW, SHORT = 4, 16  # different words of such a column, and letters of each
FULL = 0.9  # share of the rows in which one stands
# share of texts that must, and may, tell of work where the rows are repairs; else the other way round
MOST, LEAST = 0.7, 0.3
SAYS = {"tickets": "fault", "repairs": "work done"}  # what the heading over both says for each


@dataclass(frozen=True)
class _Told:
    kinds: str
    text: str
    repairs: frozenset[str]


def by_kind(page: Page) -> list[Page]:
    """The rows of a sheet that are faults and those that are repairs, as two sheets; the sheet as it is where no column parts them."""
    may_part = [
        one for one in page.cells if not PERSONS & {*heading_of(one).every}
    ]  # who wrote it is no kind of row
    found = [one for kinds in may_part for text in page.cells if (one := _told(page.cells, kinds, text))]
    if not found:
        return [page]
    told = min(found, key=lambda one: page.cells[one.kinds].different)
    faults = tuple(word for word in page.cells[told.kinds].folded if word not in told.repairs)
    kinds = {"tickets": faults, "repairs": tuple(sorted(told.repairs))}
    return [_rows_of(page, told, words, table) for table, words in kinds.items()]


def settle_alike(pairs) -> None:
    """Where a heading fits two columns in the rows of one kind and is one of them in those of the other, it is that in both.

    ``pairs`` are a page and its placing, of each group of sheets.
    """
    told = {
        (page.part.path, page.part.title, heading): name
        for page, placing in pairs
        for heading, (name, _) in placing.columns.items()
        if page.where[0]
    }
    for page, placing in pairs:
        for heading, names in [*placing.doubtful.items()] if page.where[0] else ():
            name = told.get((page.part.path, page.part.title, heading), "")
            if name in {one.rpartition(".")[2] for one in names}:
                del placing.doubtful[heading]
                placing.columns[heading] = (name, SURE)


def settle_as_in_others(fed) -> None:
    """Where a heading fits a column of the reports and one of the work, and is filled beside work alone, it is that of the work if
    the other lists of reports and work have that one and not the other.

    ``fed`` are groups of sheets with their tables.
    """
    reports, work = ({column.name for column in TABLE[table].columns} for table in ("tickets", "repairs"))
    of_work = work - reports
    both = [
        (group, *tables.likely)
        for group, tables in fed
        if [one.table for one in tables.likely] == ["tickets", "repairs"]
    ]
    for group, tickets, repairs in both:
        others = [one for other, *some in both if other is not group for one in some]
        told = {name for one in others for name, _ in one.columns.values()}
        done = group.cells.get(repairs.heading("action"))
        for heading, names in {**tickets.doubtful, **repairs.doubtful}.items():
            met = told & {one.rpartition(".")[2] for one in names}
            cells = zip(done.column, group.cells[heading].column, strict=True) if done else ()
            beside = Cells(tuple("work" if work else "none" for work, text in cells if text))
            if len(met) == 1 and met <= of_work and beside.share("work".__eq__) >= FULL:
                tickets.doubtful.pop(heading, None)
                repairs.doubtful.pop(heading, None)
                repairs.columns[heading] = (*met, SURE)


def _told(cells, kinds, text):
    """Which words under one heading go with texts of work under another, the others with complaints; None where they do not part so, or are
    who wrote it, for the next to do so may write either."""
    few, texts = cells[kinds], cells[text]
    if likeness_nowhere(kinds) >= SURE or PERSONS & {*heading_of(kinds).every}:
        return None
    if kinds == text or not 1 < few.different <= FEW or len(few.texts) < FULL * few.rows:
        return None
    if max(map(len, few.texts)) > SHORT or max(few.numbers, few.dates) > 0 or texts.mean_words < WORDY:
        return None
    rows = {}
    for word, cell in zip(few.column, texts.column, strict=True):
        rows.setdefault(word.casefold(), []).append(cell)
    of_word = {word: Cells(tuple(some)) for word, some in rows.items() if word}
    repairs = {word for word, one in of_word.items() if one.deeds >= MOST and one.complaints <= LEAST}
    faults = {word for word, one in of_word.items() if one.deeds <= LEAST and one.complaints >= MOST}
    whole = repairs and faults and len(repairs | faults) == len(of_word)
    enough = whole and min(sum(len(rows[word]) for word in some) for some in (repairs, faults)) > 2
    return _Told(kinds, text, frozenset(repairs)) if enough else None


def _rows_of(page, told, words, table):
    """The rows of a sheet whose kind is one of some words, under headings that say what the text is there."""
    kinds = page.cells[told.kinds].column
    there = [at for at, word in enumerate(kinds) if word.casefold() in words]
    own = {heading: Cells(tuple(one.column[at] for at in there)) for heading, one in page.cells.items()}
    cells = {heading: one for heading, one in own.items() if one.texts and heading != told.kinds}
    says = page.says | {told.text: SAYS[table]}
    return replace(page, cells=cells, says=says, where=(told.kinds, words, table))


def as_in_other_years(fed):
    """Groups of sheets in doubt taken for what those are that have their names but for the year or number, as ``2025`` for what ``2024`` is."""
    sure = {}
    for group, tables in fed:
        if tables.likely and not tables.rival:
            tables_of = sure.setdefault(_without_numbers(group), [])
            tables_of.append((_names(group), [one.table for one in tables.likely]))
    for group, tables in fed:
        others = sure.get(_without_numbers(group), [])  # but for lists beside it on its own sheet
        of_others = [some for names, some in others if names != _names(group)] or [[]]
        both = [some for some in (tables.likely, tables.rival) if [one.table for one in some] == of_others[0]]
        is_one = tables.rival and both and all(some == of_others[0] for some in of_others)
        yield group, Weighed(both[0]) if is_one else tables


def _without_numbers(group):
    """The names of a group's sheets and files with a sign for each number in them."""
    return frozenset(tuple(re.sub(r"\d+", "#", name) for name in pair) for pair in _names(group))


def _names(group):
    return frozenset((page.part.path.stem, page.part.title or "") for page in group.pages)
