"""Sections as the lines of a draft, and sheets of which nothing is read until a question is answered: of two minds, guessed, undated, planned."""

from dataclasses import dataclass

from .cell_words import listed
from .groups import Group
from .guess import guessed, undated_list, work_told
from .planned_apart import planned_apart
from .sections import BY_CELLS, Section, sections_of
from .sheet_desks import SheetDesks
from .tables import Weighed, is_named


def bodies(sections, others=()):
    """The lines of sections, one after the other; of one that lacks what a row needs all as questions. ``others`` stand beside them."""
    for section in sections:
        lines = _body(section, (*sections, *others))
        if section.lacks:
            same = ", ".join(f'{column.name} = "…"' for column in section.lacks)
            yield f"# {', '.join(page.name for page in section.pages)}: {section.wants}."
            yield "# Nothing of it is read until you write it here, one for all rows, and take away the # ? of every line:"
            lines = [as_question(line) for line in _with_what_it_lacks(lines, same)]
        elif section.by_day:
            yield f"# {', '.join(page.name for page in section.pages)}: each entry is of a quarter, and {section.by_day} tells faults and work day by day. What both tell would count"
            yield "# twice, so nothing of it is read. If it is told here alone, take the # ? from every line:"
            lines = [as_question(line) for line in lines if line]
        yield from lines
        yield ""


def _body(section, every):
    """The lines of a section with its name above them, as that of one of several where others of ``every`` section are of its table."""
    name = section.placing.table
    many = any(one.placing.table == name for one in every if one is not section)
    return [f"[[{name}]]" if many else f"[{name}]", *section.lines]


def _with_what_it_lacks(lines, same):
    """The lines of a section with what a row needs and no column says, to be written for all rows."""
    given = next((line for line in lines if line.startswith("same = {")), "same = { }")
    rest = [line for line in lines[1:] if line and line != given]
    return [lines[0], given.replace("{", f"{{ {same}{'' if given == 'same = { }' else ','}", 1), *rest]


@dataclass(frozen=True)
class InDoubt:
    """A group of sheets that may be of either of two tables, with the sections of each."""

    group: Group
    tables: Weighed
    either: tuple[tuple[Section, ...], tuple[Section, ...]]

    @property
    def sections(self):
        return (*self.either[0], *self.either[1])


def in_doubt_between(group: Group, tables, source, desks) -> InDoubt:
    """A group of sheets of two minds, and the sections that it would have; its sheets may be called by their desks."""
    some = (tuple(_sections(group, some, source, desks)) for some in (tables.likely, tables.rival))
    return InDoubt(group, tables, tuple(some))


def one_of_two(doubt: InDoubt, others):
    """The lines of a group of sheets that may be of either of two tables: both as questions, neither holds; ``others`` are all sections, be
    they questions."""
    group, tables = doubt.group, doubt.tables
    names = listed([_named_by_its_first(page) for page in group.pages])
    yield from (
        f"# {names} may be {either(tables)}. Nothing of it is read until",
        "# you say which: take the # ? from the beginning of every line of the one that it is.",
    )
    for some, sections in zip((tables.likely, tables.rival), doubt.either, strict=True):
        yield f"# If it is {_named(some)}:"
        yield from asked_of(sections, others)


def _named_by_its_first(page):
    """How a sheet is called, one of several lists beside each other with its first heading."""
    return f"{page.name}, from {next(iter(page.cells))} on" if page.others else page.name


def _sections(group, placing_list, source, desks=SheetDesks()):
    """The sections of a group of sheets, that of planned work among reports with them."""
    for placing in placing_list:
        yield from sections_of(group, placing, placing_list, source, desks)
    yield from planned_apart(group, placing_list, placing_list, source, desks)


def guesses_of(fed):
    """The sheets that may be lists of faults or of work by their cells, where no heading says what any sheet is."""
    found = ((group, guessed(group.cells, of_work=is_named(group, ("repairs",)))) for group, _ in fed)
    return [(group, placing) for group, placing in found if placing]


def guess_sections(group, placing, source) -> list[Section]:
    """The sections of a sheet of which no heading is known, were it a list of faults or of work."""
    return [*_sections(group, [placing, *work_told(placing, group.cells)], source)]


def guess_lines(group, placing, sections, others, ignored):
    """The lines of a sheet of which no heading is known, were it a list of faults or of work: all of them questions."""
    what = "faults" if placing.table == "tickets" else "planned work" if "planned" in placing.same else "work"
    yield f"# The headings of {', '.join(page.name for page in group.pages)} say too little. Were it a list of {what}, its columns would be these, by their cells"
    too = any(page.name in ignored for page in group.pages)
    also = ", and its name out of the line that begins with ignore" if too else ""
    yield f"# alone. Look them through, change what is wrong, and take the # ? from the beginning of every line{also}."
    yield from (line.removesuffix(BY_CELLS) for line in asked_of(sections, others))


def undated(fed, source):
    """The sections of sheets that may be lists of faults by their headings, but of which no column has days."""
    found = ((group, tables, undated_list(group.cells)) for group, tables in fed)
    return [
        one
        for group, tables, own in found
        if own and not any(own.heading("symptom") in other.columns for other in tables.likely)
        for one in sections_of(group, own, [own], source)
    ]


def calendar_lines(group: Group, placing, sections, others):
    """The lines of a sheet whose rows hold the days on which work is planned: all of them questions."""
    name, days = group.pages[0].name, len(group.texts(placing.heading("done_on")))
    yield f"# {name}: a row holds up to {len(group.pages[0].groups)} days one behind the other, {days:,} in all. That is a calendar of planned work and no"
    yield "# list of faults, so nothing of it is read. If the work was done on these days, and is to count as planned work, take the # ? from every line:"
    yield from asked_of(sections, others)


def asked_of(sections, others=()):
    """The lines of some sections, each of them a question; ``others`` stand beside them."""
    for section in sections:
        lines = _body(section, (*sections, *others))
        if section.lacks:
            yield f"# Write what stands for … in it: {section.wants}."
            lines = _with_what_it_lacks(lines, ", ".join(f'{one.name} = "…"' for one in section.lacks))
        yield from (line and as_question(line) for line in lines)
        yield ""


def as_question(line):
    """A line as a question; that of its desk is one already, and is answered with it.

    Examples
    --------
    >>> as_question("[repairs]"), as_question('# ? same.desk = "Heron"'), as_question('# ? several = ["Ch"]')
    ('# ? [repairs]', '# ? same.desk = "Heron"', '# ? # ? several = ["Ch"]')
    """
    return line if line.startswith("# ? same.desk") else f"# ? {line}"


def either(tables):
    """The two tables that a sheet may be, in words."""
    return f"{_named(tables.likely)} or {_named(tables.rival)}"


def _named(placing_list):
    return "a list of " + " and ".join(placing.table.replace("_", " ") for placing in placing_list)


def told_by_the_month(sections) -> tuple[str, ...]:
    """The names of the grids of months whose entries are tickets, where another sheet has tickets by the day."""
    pages = [page for one in sections if one.placing.table == "tickets" for page in one.pages]
    coarse = [page.name for page in pages if page.kind == "month"]
    return tuple(dict.fromkeys(coarse)) if len(coarse) < len(pages) else ()


def twice_lines(grids):
    """What to do where grids of months tell once more what another sheet tells by the day."""
    if grids:
        names = " and ".join(grids)
        yield f"# {names} tells by the month, another sheet by the day. Where both tell the same faults, take every"
        yield f"# section of {names} away and list it under ignore, or each counts twice."
        yield ""
