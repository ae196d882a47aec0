"""A drafted mapping.toml: what each sheet is, where its headings go, how it is written, and what is left to ask."""

from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import Path

from maintkit.records.tables import TABLE

from .by_line import a_line_each
from .cell_words import RE_CAP, listed, quote
from .evidence import OWNERS, yes_or_no
from .guess import fault_list
from .kinds_of_rows import by_kind, settle_alike
from .legends import desks_coded, in_words, lists_of
from .pages import read_pages
from .part_kinds import work_in_text
from .places import DESK_AND_SLOT, SURE, Placing
from .prose import a_sentence_each
from .sections import ONE_DESK, THE_DESK, lacks_desk, sections_of, slots_alone
from .short_names import in_short
from .tables import ONE_WORK, Group, groups_of, parted, placings
from .values import ENOUGH, Cells
from .words import meaning_of_cell, vocabulary, words_in

TELL_WORK = 0.5  # share of complaints that tell of work, from which it is read there


@dataclass(frozen=True)
class Draft:
    """A drafted mapping: its text, where each heading of each sheet was placed, as ``table.column``, and sheets of two minds."""

    source: Path
    text: str
    placed: dict[str, dict[str, tuple[str, ...]]] = field(default_factory=dict)
    unplaced: dict[str, tuple[str, ...]] = field(default_factory=dict)
    asks: int = 0
    either: dict[str, str] = field(default_factory=dict)  # sheet -> the two tables that it may be
    unread: tuple[str, ...] = ()  # sheets in which no table was recognised
    guessed: tuple[
        str, ...
    ] = ()  # of these, those that the text takes for a list of faults, in lines that ask
    waiting: dict[str, str] = field(
        default_factory=dict
    )  # sheet -> what a row of its table needs and no column says

    @property
    def is_of_one_desk(self) -> bool:
        """Whether every row of some table is taken to be of one desk, for no column names it."""
        return ONE_DESK in self.text.splitlines()


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
    groups, feeds = _placed(pages)
    groups = _numbers_told_apart(groups, feeds)
    sections = _sections(groups, feeds, source)
    in_doubt = [(group, tables) for group, tables in zip(groups, feeds, strict=True) if tables.rival]
    used = {id(page) for section in sections for page in section.pages}
    asked = {id(page) for group, _ in in_doubt for page in group.pages}
    unused = [page for page in pages if id(page) not in used | asked]
    keys = {legend.sheet for group in groups for legend in group.legends.values()}
    nowhere = tuple(_called(page) for page in unused if page.name not in keys)
    read = {id(page) for section in sections if not section.lacks for page in section.pages}
    partly = {page.name for page in pages if id(page) in read}
    unread = _left_whole(
        (page for page in unused if source.is_file() or not page.part.book or page.name.casefold() in TABLE),
        partly,
    )
    stopped = used - read | (asked if read else set())
    waits = _left_whole(
        (page for page in pages if id(page) in stopped and (source.is_file() or not page.part.book)), partly
    )
    said = "\n".join([*_top(nowhere, unread, waits, source), *_bodies(sections)])
    doubts = (line for group, tables in in_doubt for line in _one_of_two(group, tables, source))
    placed, unplaced = {}, {}
    for page in pages:
        if id(page) in used:
            own, places = placed.setdefault(page.name, {}), _places(page, sections)
            own |= {heading: (*own.get(heading, ()), *names) for heading, names in places.items()}
            rest = dict.fromkeys(heading for heading in page.cells if heading not in places)
            unplaced[page.name] = tuple(dict.fromkeys((*unplaced.get(page.name, ()), *rest)))
    either = {page.name: _either(tables) for group, tables in in_doubt for page in group.pages}
    guesses = [] if placed or in_doubt else _guesses(groups)
    guessed = (line for group, placing in guesses for line in _guess(group, placing, source))
    text = "\n".join([said, *_one_desk(groups, feeds), *doubts, *guessed, ""])
    held = (line for section in sections if not section.lacks for line in section.lines)
    asks = sum(line.startswith("# ? ") for line in held) + sum(bool(section.lacks) for section in sections)
    waiting = {page.name: section.wants for section in sections if section.lacks for page in section.pages}
    names = tuple(page.name for group, _ in guesses for page in group.pages)
    asks += len(in_doubt) + len(guesses)
    return Draft(source, text, placed, unplaced, asks, either, unread, names, waiting)


def _left_whole(pages, partly):
    """The names of sheets, each once, but for those of which another list is read."""
    return tuple(dict.fromkeys(page.name for page in pages if page.name not in partly))


def _called(page):
    """How the draft calls a sheet, or a list that stands in it above or below another."""
    if page.rows is None:
        return page.name
    first, last = page.rows
    return f"{page.name} rows {first} to {last or 'the end'}"


def _sections(groups, feeds, source):
    """The sections of all groups whose table is sure, in the order of the tables."""
    nameless = _without_desk(groups, feeds)
    desks = {
        *_desks_named(groups, feeds),
        *_without_desk(groups, feeds, fewest=2),
    }  # sheets alike are a desk each
    desks = frozenset(map(str.casefold, desks))
    sections = [
        section
        for group, tables in zip(groups, feeds, strict=True)
        if not tables.rival
        for placing in tables.likely
        for section in sections_of(group, placing, tables.likely, source, nameless, desks)
    ]
    sections += [
        one
        for group, tables in zip(groups, feeds, strict=True)
        for one in _slots_listed(group, tables, source)
    ]
    sections += [
        one
        for group, tables in zip(groups, feeds, strict=True)
        for one in _last_recaps(group, tables, source)
    ]
    return sorted(sections, key=lambda one: list(TABLE).index(one.placing.table))


def _placed(pages):
    """The groups of sheets, their codes in words and each line an entry where it is one, and the tables that each feeds."""
    groups = groups_of([page for page in pages if page.headings])
    days = tuple(
        text for one in groups for cells in one.cells.values() if cells.dates >= SURE for text in cells.texts
    )
    legends = [legend for page in pages for legend in page.legends]
    groups = [
        desks_coded(in_words(replace(one, days=days, lists=lists_of(pages)), legends)) for one in groups
    ]
    feeds = _all_placings(groups)
    settle_alike(
        [(group.pages[0], one) for group, tables in zip(groups, feeds, strict=True) for one in tables.likely]
    )
    _say_what_was_done(feeds)
    _read_work_in_complaints(groups, feeds)
    _say_where(feeds)
    groups = [
        a_sentence_each(a_line_each(group, tables.likely[0]), tables.likely[0]) if tables.likely else group
        for group, tables in zip(groups, feeds, strict=True)
    ]
    return groups, feeds


def _say_what_was_done(feeds):
    """Where no column says what was done, a row with a part is that part replaced."""
    for one in (one for tables in feeds for one in tables.likely):
        in_doubt = {name.rpartition(".")[2] for names in one.doubtful.values() for name in names}
        if one.table == "repairs" and "action" not in one.names | in_doubt:
            one.same["action"] = "replace"


def _read_work_in_complaints(groups, feeds):
    """Where complaint and work stand in one text, as in a diary, a row whose text tells of work is work too."""
    for group, tables in zip(groups, feeds, strict=True):
        if tables.rival or [one.table for one in tables.likely] != ["tickets"]:
            continue
        day, said = (tables.likely[0].heading(name) for name in ("raised_on", "symptom"))
        told = group.cells.get(said)
        if day in group.cells and told and max(told.deeds, told.share(work_in_text)) >= TELL_WORK:
            tables.likely.append(Placing("repairs", {day: ("done_on", SURE), said: ("action", SURE)}))


def _without_desk(groups, feeds, *, fewest=1):
    """The names of the sheets of complaints in which nothing names the desk, of groups of so many."""
    return tuple(
        page.bare_name
        for group, tables in zip(groups, feeds, strict=True)
        for placing in tables.likely
        if placing.table == "tickets"
        and not tables.rival
        and lacks_desk(placing)
        and len(group.pages) >= fewest
        for page in group.pages
    )


def _slots_listed(group, tables, source):
    """The section of the slots where a list has them all, each with its entries: those without any never failed."""
    if tables.rival or [one.table for one in tables.likely][:1] != ["tickets"]:
        return []
    page = group.pages[0]
    if not (page.groups or page.grid) and not slots_alone(tables.likely[0], group):
        return []
    headings = {name: tables.likely[0].heading(name) for name in DESK_AND_SLOT}
    own = {heading for heading in headings.values() if heading in tables.likely[0].columns}
    if headings["position"] not in own - {
        one for page in group.pages for some in page.groups for one in some
    }:
        return []
    columns = {heading: (name, SURE) for name, heading in headings.items() if heading in own}
    bare = replace(group, pages=tuple(replace(page, groups=()) for page in group.pages))
    placing = Placing("positions", columns)
    return sections_of(bare, placing, [*tables.likely, placing], source)


def _last_recaps(group, tables, source):
    """The section of the re-caps that a list of modules tells the day or year of, beside each serial."""
    modules = [one for one in tables.likely if one.table == "modules" and one.heading("serial")]
    days = [
        heading
        for heading, cells in group.cells.items()
        if meaning_of_cell("action", heading) == RE_CAP and _tell_days(cells)
    ]
    if tables.rival or len(modules) != 1 or len(days) != 1 or days[0] in modules[0].columns:
        return []
    serial, day = modules[0].heading("serial"), days[0]
    rows = zip(group.cells[serial].column, group.cells[day].column, strict=True)
    columns = zip(*(row for row in rows if row[1]), strict=True)
    cells = dict(zip((serial, day), map(Cells, columns), strict=True))
    placing = Placing("repairs", {serial: ("serial", SURE), day: ("done_on", SURE)}, same={"action": RE_CAP})
    others = tuple(heading for heading in group.cells if heading not in cells)
    pages = tuple(replace(page, others=others) for page in group.pages)
    return sections_of(replace(group, pages=pages, cells=cells), placing, [placing], source)


def _tell_days(cells):
    """Whether cells are days or years, or here and there a mere yes."""
    told = cells.dates + cells.years
    return told >= 1 - ENOUGH and told + cells.share(yes_or_no) >= ENOUGH


def _one_desk(groups, feeds):
    """The section that joins names that say no more than the desk, one within the other, such as ``Desk`` and ``Mixing desk``."""
    names = _desks_named(groups, feeds, ("tickets", "repairs"))
    said = {
        name: {*words_in(name)} for name, _ in names.most_common() if {*words_in(name)} <= vocabulary().desks
    }
    first = next(iter(said), "")
    alike = [name for name, words in said.items() if words < said[first] or words > said[first]]
    short = in_short(names)
    if alike or short:
        yield "[spelling.desk]   # the same desk, by other words or in short"
        yield from (f"{quote(name)} = {quote(first)}" for name in alike)
        yield from (f"{quote(one)} = {quote(name)}" for one, name in short.items() if one not in alike)
        yield ""


def _numbers_told_apart(groups, feeds):
    """The groups, those of complaints marked of which others have the same numbers."""
    numbers = [
        {
            text.casefold()
            for one in tables.likely
            if one.table == "tickets"
            for text in _texts(group, one.heading("ticket"))
        }
        for group, tables in zip(groups, feeds, strict=True)
    ]
    return [
        replace(group, numbers_again=any(len(own & other) > 1 for other in numbers if other is not own))
        for group, own in zip(groups, numbers, strict=True)
    ]


def _texts(group, heading):
    return group.cells[heading].texts if heading in group.cells else ()


def _desks_named(groups, feeds, tables_of=tuple(TABLE)):
    """The names under the headings of desks in sheets of some tables, and how often each stands there."""
    return Counter(
        text
        for group, tables in zip(groups, feeds, strict=True)
        for heading in {one.heading("desk") for one in tables.likely if one.table in tables_of}
        if heading in group.cells
        for text in group.cells[heading].texts
    )


def _say_where(feeds):
    """Where nothing names a desk, work that names a slot and no more is of the one desk that there is."""
    every = [one for tables in feeds for one in (*tables.likely, *tables.rival)]
    if any(placing.heading("desk") for placing in every):
        return
    for one in (placing for tables in feeds for placing in tables.likely if placing.table == "fitments"):
        one.same["desk"] = THE_DESK
    for one in (tables.likely[0] for tables in feeds if len(tables.likely) == 1):
        if one.table == "repairs" and one.heading("position") and not one.names & {"serial", "ticket"}:
            one.same["desk"] = THE_DESK


def _all_placings(groups):
    """The tables of each group, found twice: the second time the keys and the tables of other sheets are known."""
    weighed = [placings(group) for group in groups]
    if len(groups) == 1:
        return weighed
    first = [found.likely for found in weighed]
    alone = [
        {
            one.table
            for one in found.likely
            if len(found.likely) == 1 and not found.rival and not _is_of_one_work(one)
        }
        for found in weighed
    ]
    return [
        placings(
            group,
            known=_keys(
                [
                    *zip(groups[:at], first[:at], strict=True),
                    *zip(groups[at + 1 :], first[at + 1 :], strict=True),
                ]
            ),
            others=frozenset().union(*alone[:at], *alone[at + 1 :]),
        )
        for at, group in enumerate(groups)
    ]


def _is_of_one_work(placing):
    """Whether a list is of work of one kind, as a list of re-caps is, so that another sheet may hold all other work."""
    return placing.same.get("action") in ONE_WORK


def _keys(others):
    """Desks, tickets, serials and parts that other sheets list, small letters, by column; ``used desk`` where they are named."""
    found = {name: set() for name in (*OWNERS, *(f"used {name}" for name in OWNERS))}
    for group, placing_list in others:
        for placing in placing_list:
            for name, owner in OWNERS.items():
                if placing.heading(name) in placing.columns:
                    key = name if placing.table == owner else f"used {name}"
                    found[key] |= {text.casefold() for text in group.cells[placing.heading(name)].texts}
    return {name: frozenset(texts) for name, texts in found.items()}


def _places(page, sections):
    places = {}
    for section in sections:
        if any(one is page for one in section.pages):
            for heading, (name, _) in section.placing.columns.items():
                if heading.casefold() in {one.casefold() for one in page.cells}:
                    places[heading] = (*places.get(heading, ()), f"{section.placing.table}.{name}")
            for heading in section.placing.split:
                both = (f"{section.placing.table}.{name}" for name in DESK_AND_SLOT)
                places[heading] = (*places.get(heading, ()), *both)
    return {heading: places[heading] for heading in page.cells if heading in places}


def _top(nowhere, unread, waits, source):
    lines = [
        f"# Drafted from {source.resolve().name}. Look it through: a line that is wrong is changed or taken away; a line that",
        "# begins with # ? asks, and holds once the # ? is taken away. No record was changed.",
        "",
    ]
    if nowhere:
        lines.append(f"# No table was recognised in these, so they are not read: {', '.join(nowhere)}.")
    if waits:
        lines.append(f"# Take out of the next line what you have answered for below: {', '.join(waits)}.")
    lines += [""] if nowhere and not (unread or waits) else []
    return [*lines, f"ignore = {listed([*unread, *waits])}", ""] if unread or waits else lines


def _bodies(sections):
    tables = [section.placing.table for section in sections]
    for section in sections:
        name = section.placing.table
        many = tables.count(name) > 1
        lines = [f"[[{name}]]" if many else f"[{name}]", *section.lines]
        if section.lacks:
            same = ", ".join(f'{column.name} = "…"' for column in section.lacks)
            yield f"# {', '.join(page.name for page in section.pages)}: {section.wants}."
            yield "# Nothing of it is read until you write it here, one for all rows, and take away the # ? of every line:"
            lines = [f"# ? {line}" for line in (lines[0], f"same = {{ {same} }}", *lines[1:]) if line]
        yield from lines
        yield ""


def _one_of_two(group: Group, tables, source):
    """The lines of a group of sheets that may be of either of two tables: both as questions, neither holds."""
    names = listed([page.name for page in group.pages])
    yield from (
        f"# {names} may be {_either(tables)}. Nothing of it is read until",
        "# you say which: take the # ? from the beginning of every line of the one that it is.",
    )
    for some in (tables.likely, tables.rival):
        yield f"# If it is {_named(some)}:"
        sections = [one for placing in some for one in sections_of(group, placing, some, source)]
        for line in _bodies(sections):
            yield line and f"# ? {line}"


def _guesses(groups):
    """The sheets that may be lists of faults by their cells, where no heading says what any sheet is."""
    found = ((group, fault_list(group.cells)) for group in groups)
    return [(group, placing) for group, placing in found if placing]


def _guess(group, placing, source):
    """The lines of a sheet of which no heading is known, were it a list of faults: all of them questions."""
    yield f"# The headings of {', '.join(page.name for page in group.pages)} say too little. Were it a list of faults, its columns would be these, by their cells"
    yield "# alone. Look them through, change what is wrong, and take the # ? from the beginning of every line; and the line that begins with ignore."
    for line in _bodies(list(sections_of(group, placing, [placing], source))):
        yield line and f"# ? {line}"


def _either(tables):
    return f"{_named(tables.likely)} or {_named(tables.rival)}"


def _named(placing_list):
    return "a list of " + " and ".join(placing.table.replace("_", " ") for placing in placing_list)
