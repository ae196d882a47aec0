"""A drafted mapping.toml: what each sheet is, where its headings go, how it is written, and what is left to ask."""

import tomllib
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from maintkit.actions import OTHER
from maintkit.records.folding import fold_desk
from maintkit.records.known_words.part_kinds import work_in_text
from maintkit.records.layout import PLAIN_TEXTS
from maintkit.records.tables import TABLE

from .cell_words import listed
from .chatter import ANSWERED, are_messages
from .date_order import with_days_begun
from .doubts import (
    bodies,
    calendar_lines,
    either,
    guess_lines,
    guess_sections,
    guesses_of,
    in_doubt_between,
    one_of_two,
    told_by_the_month,
    twice_lines,
    undated,
)
from .evidence import OWNERS
from .groups import groups_of, with_work_of_their_own
from .guess import planned_work, without_days
from .kinds_of_rows import as_in_other_years, by_kind, settle_alike, settle_as_in_others
from .legends import desks_coded, in_words, lists_of
from .likeness import LEAST_WORDS, likeness_of_column
from .machines import says_reason
from .module_cards import card_lines, card_sections, module_cards, settle_cards
from .modules_today import without_homes
from .modules_told import (
    last_recaps,
    modules_in_slots,
    modules_over_lists,
    moved_to_the_shelf,
    moves_of_cards,
    spares_on_the_shelf,
    tracks_bridged,
)
from .one_desk import called_in, desks_named, one_desk, which_desks
from .one_module import one_module
from .one_part import one_part
from .pages import read_pages
from .placed import placed_and_not
from .places import DESK_AND_SLOT, SURE, THE_DESK, Placing
from .planned_apart import planned_apart
from .prose import with_entries
from .sections import ONE_DESK, lacks_desk, sections_of, swaps_of
from .sheet_desks import sheet_desks
from .sides import parted
from .slots_together import with_slots_together
from .spare_modules import modules_in_stock, purchases_told
from .swapped import fitments_of, with_swaps
from .tables import placings
from .threads import without_lines, work_in_remarks
from .told_on import told_at_the_end
from .values import Cells
from .which_rows import slots_alone
from .work_desk import desk_of_work, say_whose
from .work_of_reports import Reported
from .work_told import ONE_WORK, TELL_WORK, ask_whose_minutes

OF_FAULTS = ("tickets", "repairs")


@dataclass(frozen=True)
class Draft:
    """A drafted mapping: its text, where each heading of each sheet was placed, as ``table.column``, and sheets of two minds."""

    source: Path
    text: str
    placed: dict[str, dict[str, tuple[str, ...]]]
    unplaced: dict[str, tuple[str, ...]]
    asks: int
    either: dict[str, str]  # sheet -> the two tables that it may be
    unread: tuple[str, ...]  # sheets in which no table was recognised
    # of these, those that the text takes for a list of faults, in lines that ask
    guessed: tuple[str, ...]
    waiting: dict[str, str]  # sheet -> what a row of its table needs and no column says
    grids: tuple[str, ...] = ()  # of those unread, the ones that are grids but say too little
    twice: tuple[str, ...] = ()  # grids of months that may tell again what another sheet tells by the day

    @property
    def is_of_one_desk(self) -> bool:
        """Whether every row of some table is taken to be of one desk, for no column names it."""
        return ONE_DESK in self.text.splitlines()

    @cached_property
    def _read(self) -> dict:
        return tomllib.loads(self.text)

    @property
    def called_by_sheets(self) -> tuple[str, ...]:
        """The desks whose rows no column gives, so that they are called by their sheets or files."""
        told = [one for part in self._read.values() if isinstance(part, list) for one in part]
        given = (one.get("same", {}).get("desk") for one in told if isinstance(one, dict))
        return tuple(dict.fromkeys(one for one in given if one not in (None, THE_DESK)))

    @property
    def left_out(self) -> int:
        """How many different cells it takes for no reports, or planned work, so that their rows are left out of the tickets."""
        told = self._read.get("tickets", [])
        sections = told if isinstance(told, list) else [told]
        return sum(len(cells) for one in sections for cells in one.get("leave_out", {}).values())


def draft_mapping(source) -> Draft:
    """Draft the mapping.toml of a folder, a workbook or a CSV file; nothing is written and no record is changed.

    Parameters
    ----------
    source : path
        What holds the records.

    Raises
    ------
    LayoutError
        When there is nothing to read.
    """
    source = Path(source)
    pages = [rows for page in read_pages(source) for side in parted(page) for rows in by_kind(side)]
    pages = with_work_of_their_own(pages)
    cards = module_cards(pages)
    of_cards = card_sections(cards, source)
    fed = _numbers_told_apart(_placed([page for page in pages if page not in cards]))
    sections = _sections(fed, source)
    in_doubt = _of_two_minds(fed, source)
    planned = [(group, own) for group, _ in fed if (own := planned_work(group.pages[0], group.cells))]
    of_reports = any(one.placing.table in ("tickets", "repairs") for one in sections)
    guesses = [] if sections or in_doubt or planned else guesses_of(fed)
    if not (of_reports or in_doubt or planned or guesses):
        sections = [*undated(fed, source), *sections]
    planned = [(group, own, sections_of(group, own, [own], source)) for group, own in planned]
    guesses = [(group, own, guess_sections(group, own, source)) for group, own in guesses]
    own = [*(doubt.sections for doubt in in_doubt), *(some for *_, some in planned + guesses)]
    every = [*sections, *of_cards, *(one for some in own for one in some)]
    used = {page for section in sections for page in section.pages}
    read = {page for section in sections if not section.lacks for page in section.pages}
    asked = {page for doubt in in_doubt for page in doubt.group.pages} | {*cards}
    unused = [page for page in pages if page not in used | asked]
    keys = {legend.sheet for group, _ in fed for legend in (group.legends | group.shorthand).values()}
    nowhere = [_called(page) for page in unused if page.name not in keys]
    # sheets of which no list is read, but for those of workbooks in a folder, which need not be read
    whole = [page for page in pages if page.name not in {one.name for one in pages if one in read}]
    to_ignore = {page for page in whole if source.is_file() or not page.part.book}
    called_so = {page for page in whole if page.name.casefold() in TABLE}
    unread = _names(page for page in unused if page in to_ignore | called_so)
    waits = _names(page for page in whole if page in to_ignore & (used - read | (asked if read else set())))
    of_desks = [*one_desk(fed, pages)]
    twice = told_by_the_month(sections)
    lines = [
        *_top(nowhere, unread, waits, source),
        *twice_lines(twice),
        *([] if sections or in_doubt or guesses or planned else without_days(unused)),
        *purchases_told(unused),
        *bodies(sections, every),
        *(line for lines in (of_desks, one_module(fed), one_part(fed)) for line in lines),
        *(line for doubt in in_doubt for line in one_of_two(doubt, every)),
        *(line for one in planned for line in calendar_lines(*one, every)),
        *(line for one in guesses for line in guess_lines(*one, every, unread)),
        *card_lines(of_cards, every),
        *which_desks(sections),
        "",
    ]
    waiting = {page.name: section.wants for section in sections if section.lacks for page in section.pages}
    return Draft(
        source,
        "\n".join(lines),
        *placed_and_not([page for page in pages if page in used], sections),
        sum(section.asks for section in sections)
        + sum(line.startswith("# ? ") for line in of_desks)
        + len([*in_doubt, *planned, *guesses, *cards]),
        {page.name: either(doubt.tables) for doubt in in_doubt for page in doubt.group.pages},
        unread,
        tuple(page.name for group, *_ in guesses for page in group.pages),
        waiting,
        _names(page for page in unused if page.is_unread_grid),
        twice,
    )


def _of_two_minds(fed, source):
    """The groups of sheets that may be of either of two tables, with the sections of each."""
    doubtful = [(_beside_others(group, tables, fed), tables) for group, tables in fed if tables.rival]
    desks = _desks_of_sheets(fed, doubtful=True)
    return [in_doubt_between(group, tables, source, desks) for group, tables in doubtful]


def _beside_others(group, tables, fed):
    """A group of sheets of two minds with what the others tell, were it work: whether these tell of work too, and of which desk it is."""
    work = next((one for one in (*tables.likely, *tables.rival) if one.table == "repairs"), None)
    beside = any(one.table == "repairs" for _, sure in fed if not sure.rival for one in sure.likely)
    perhaps_of = desk_of_work(work, group, fed) if work and not tables.likely[1:] else ""
    return replace(group, work_beside=beside, perhaps_of=perhaps_of)


def _names(pages):
    """The names of sheets, each once."""
    return tuple(dict.fromkeys(page.name for page in pages))


def _called(page):
    """How the draft calls a sheet, or a list that stands in it above or below another."""
    if page.rows is None:
        return page.name
    first, last = page.rows
    return f"{page.name} rows {first} to {last or 'the end'}"


def _sections(fed, source):
    """The sections of all groups whose table is sure, in the order of the tables."""
    sure = [(group, tables.likely) for group, tables in fed if not tables.rival]
    desks = _desks_of_sheets(fed)
    listed = frozenset(map(fold_desk, desks_named(fed, ("modules", "desks"))))
    sections, others = [], []
    of_work = [group for group, likely in sure for one in likely if one.table == "repairs"]
    tells_alone = (
        not _lists_modules(fed) and sum(one.table == "fitments" for _, likely in sure for one in likely) == 1
    )
    told_elsewhere = any(group.swap or likely[0].table == "fitments" for group, likely in sure if likely)
    for group, likely in sure:
        likely = [with_days_begun(likely[0], group.cells)] if len(likely) == 1 else likely
        beside = any(one is not group for one in of_work)
        perhaps_of = desk_of_work(likely[0], group, fed) if len(likely) == 1 else ""
        spares = modules_in_stock(likely, group, fed)
        group = replace(group, work_beside=beside, perhaps_of=perhaps_of, spares=spares, listed=listed)
        both = likely
        if thread := work_in_remarks(group, likely):
            likely = [one for one in likely if one.table != "repairs"]
            both = [*likely, thread[1]]
            others += [replace(one, pages=group.pages) for one in sections_of(*thread, both, source)]
        for placing in likely:
            sections += sections_of(group, placing, both, source, desks)
        others += [*_slots_listed(group, likely, source, desks), *last_recaps(group, likely, source)]
        others += modules_in_slots(group, source, desks, are_listed=_lists_modules(fed))
        others += spares_on_the_shelf(group, likely, source)
        others += moved_to_the_shelf(group, likely, source, alone=tells_alone)
        others += tracks_bridged(group, likely, source, desks)
        others += [] if told_elsewhere else moves_of_cards(group, likely, source)
        others += [*planned_apart(group, likely, both, source, desks), *_swaps(group, likely, source, desks)]
        others += modules_over_lists(group, source) if not _lists_modules(fed) else []
    if {one.table for _, likely in sure for one in likely} == {"fitments"}:
        others += [one for group, (moves,) in sure for one in swaps_of(group, moves, source)]
    found = sorted(sections + others, key=lambda one: list(TABLE).index(one.placing.table))
    return [replace(one, by_day=_told_by_day(one, found)) for one in found]


def _desks_of_sheets(fed, *, doubtful=False):
    """What the names of sheets of reports without a desk say of their desks, those that are ``doubtful`` reports among them."""
    deskless = [
        (group, one)
        for group, tables in fed
        for one in ((*tables.likely, *tables.rival) if doubtful or not tables.rival else ())
        if one.table == "tickets" and lacks_desk(one)
    ]
    by_day = [(group, one) for group, one in deskless if not _is_by_the_quarter(group.pages)]
    return sheet_desks(by_day or deskless, {*desks_named(fed)})


def _is_by_the_quarter(pages):
    return {page.kind for page in pages} == {"quarter"}


def _told_by_day(section, sections):
    """The list of faults or work that tells them day by day, where a section has only their quarters; nothing where none does."""
    if section.placing.table not in (*OF_FAULTS, "positions") or not _is_by_the_quarter(section.pages):
        return ""
    others = (one for one in sections if one.placing.table in OF_FAULTS and not one.lacks)
    return next((page.name for one in others for page in one.pages if not page.kind), "")


def _placed(pages):
    """Each group of sheets, its codes in words and each line an entry where it is one, and the tables that it feeds."""
    groups = groups_of([page for page in pages if page.cells])
    days = tuple(
        text for one in groups for cells in one.cells.values() if cells.dates >= SURE for text in cells.texts
    )
    legends, lists = [legend for page in pages for legend in page.legends], lists_of(pages)
    fed = _all_placings(
        [desks_coded(in_words(replace(one, days=days, lists=lists), legends)) for one in groups]
    )
    settle_alike([(group.pages[0], one) for group, tables in fed for one in tables.likely])
    settle_as_in_others(fed)
    settle_cards(fed)
    _say_what_was_done(fed)
    ask_whose_minutes(fed)
    _read_work_in_complaints(fed)
    fed = with_swaps(fed, called_in(fed, "serial", ("modules",)))
    without_homes(fed)
    say_whose(fed, desks_named(fed, ("tickets", "desks", "modules")))
    _say_where(fed)
    fed = [(with_slots_together(group, tables), tables) for group, tables in fed]
    return [(with_entries(group, tables.likely), tables) for group, tables in fed]


def _say_what_was_done(fed):
    """Where no column says what was done, a row with a part is that part replaced, and one without is other work."""
    for one in (one for _, tables in fed for one in (*tables.likely, *tables.rival)):
        if one.table == "repairs" and "action" not in one.names | one.in_doubt:
            one.same["action"] = "replace" if one.names & {"part_type", "ref"} else OTHER


def _read_work_in_complaints(fed):
    """Where complaint and work stand in one text, as in a diary, a row whose text tells of work is work too."""
    for group, tables in fed:
        if tables.rival or [one.table for one in tables.likely] != ["tickets"]:
            continue
        day, said = (tables.likely[0].heading(name) for name in ("raised_on", "symptom"))
        told = None if says_reason(said) else group.cells.get(said)  # of a reason the cable was not replaced
        least = ANSWERED if are_messages(group) else TELL_WORK
        if not (told and day in group.cells):
            continue
        at_the_end = Cells(
            told_at_the_end(group, tables.likely[0], said)
        )  # of the rows that begin a report none may tell of work
        if max(told.deeds, told.share(work_in_text), at_the_end.share(work_in_text)) >= least:
            work = Placing("repairs", {day: ("done_on", SURE), said: ("action", SURE)})
            if group.pages[0].dated:  # a re-cap among them is no report, whose place it might have
                of = tables.likely[0]
                work = replace(work, columns=of.columns | work.columns, split=of.split)
            tables.likely.append(work)


def _slots_listed(group, likely, source, desks):
    """The section of the slots where a list has them all, each with its entries: those without any never failed."""
    page = group.pages[0]
    is_of_reports = bool(likely) and likely[0].table == "tickets"
    if not is_of_reports or not (page.groups or page.grid or page.dated or slots_alone(likely, group)):
        return []
    headings = {name: likely[0].heading(name) for name in DESK_AND_SLOT}
    again = {heading for page in group.pages for some in page.groups for heading in some}
    own = {heading: (name, SURE) for name, heading in headings.items() if heading in likely[0].columns}
    if headings["position"] not in own.keys() - again:
        return []
    placing = Placing("positions", own)
    bare = group.with_pages(groups=())
    if page.dated:
        return sections_of(without_lines(bare), placing, [*likely, placing], source, desks, likely[0])
    return sections_of(bare, placing, [*likely, placing], source)


def _lists_modules(fed):
    """Whether some sheet is a list of modules."""
    return any(one.table == "modules" for _, tables in fed for one in tables.likely)


def _swaps(group, likely, source, desks):
    """The sections of the modules that rows of work put in, and of those that came out into another slot."""
    if not group.swap:
        return
    same = {} if any(one.heading("desk") for one in likely) else {"desk": THE_DESK}
    for placing, swap in fitments_of(group.swap, likely, same):
        yield from sections_of(
            replace(group, swap=swap), placing, [*likely, placing], source, desks, likely[0]
        )


def _numbers_told_apart(fed):
    """The groups and their tables, those of complaints marked of which others have the same numbers."""
    numbers = [
        {
            text.casefold()
            for one in tables.likely
            if one.table == "tickets"
            for text in group.texts(one.heading("ticket"))
        }
        for group, tables in fed
    ]
    again = (any(len(own & other) > 1 for other in numbers if other is not own) for own in numbers)
    names = (called_in(fed, name, ("tickets", "modules", "desks")) for name in DESK_AND_SLOT)
    listed = tuple(called_in(fed, "position", ("positions", "modules", "fitments", "repairs")))
    reported = Reported(frozenset().union(*numbers), *map(tuple, names), listed)
    return [
        (replace(group, numbers_again=one, reported=reported), tables)
        for (group, tables), one in zip(fed, again, strict=True)
    ]


def _say_where(fed):
    """Where nothing names a desk, work that names a slot or nothing is of the one desk that there is."""
    if any(one.heading("desk") for _, tables in fed for one in (*tables.likely, *tables.rival)):
        return
    for group, tables in fed:
        alone = len(tables.likely) == 1 or group.pages[0].parted  # a cell may tell work without a complaint
        for one in (*tables.likely, *tables.rival):
            of_work = alone and one.table == "repairs" and desk_of_work(one, group, fed)
            if one.table == "fitments" or of_work:
                one.same["desk"] = THE_DESK


def _all_placings(groups):
    """The tables of each group, found twice: the second time the keys and the tables of other sheets are known."""
    weighed = [(group, placings(group, alone=len(groups) == 1)) for group in groups]
    if len(groups) == 1:
        return weighed
    again = []
    for at, group in enumerate(groups):
        others = weighed[:at] + weighed[at + 1 :]
        again.append((group, placings(group, known=_keys(others), others=_surely_fed(others))))
    return [*as_in_other_years(again)]


def _surely_fed(fed):
    """The tables that some groups feed alone; of work of one kind, as a list of re-caps is, another sheet may hold all other work."""
    return {
        tables.likely[0].table
        for _, tables in fed
        if len(tables.likely) == 1
        and not tables.rival
        and tables.likely[0].same.get("action") not in ONE_WORK
    }


def _keys(fed):
    """Desks, tickets, serials and parts that sheets list, small letters, by column; ``used desk`` where they are named, ``said ticket``
    where a heading says so, placed or not, ``desk and slot`` where cells name both."""
    names = (*OWNERS, *(f"used {name}" for name in OWNERS), "said ticket", "desk and slot")
    found = {name: set() for name in names}
    for group, tables in fed:
        for placing in tables.likely:
            found["desk and slot"].update(*(group.cells[heading].folded for heading in placing.split))
            for name, owner in OWNERS.items():
                if placing.heading(name) in placing.columns:
                    key = name if placing.table == owner else f"used {name}"
                    found[key].update(map(str.casefold, group.texts(placing.heading(name))))
        for heading, one in group.cells.items():
            if likeness_of_column(heading, "repairs", "ticket") >= LEAST_WORDS:
                found["said ticket"].update(one.folded)
    return found


def _top(nowhere, unread, waits, source):
    lines = [
        f"# Drafted from {source.resolve().name}. Look it through: a line that is wrong is changed or taken away; a line that",
        "# begins with # ? asks, and holds once the # ? is taken away. No record was changed.",
        "",
    ]
    if nowhere:
        lines.append(f"# No table was recognised in these, so they are not read: {', '.join(nowhere)}.")
        if any(name.casefold().endswith(PLAIN_TEXTS) for name in nowhere):
            lines.append(
                "# A plain text is read as a diary where a day stands at the beginning of each entry, or its day, time and sender as in messages."
            )
    if waits:
        lines.append(f"# Take out of the next line what you have answered for below: {', '.join(waits)}.")
    lines += [""] if nowhere and not (unread or waits) else []
    return [*lines, f"ignore = {listed([*unread, *waits])}", ""] if unread or waits else lines
