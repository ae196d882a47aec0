"""A sheet that is about to be loaded into a table: where each column stands in it, and how its rows are meant."""

from dataclasses import dataclass, field, replace
from functools import cached_property

from .columns import Table
from .mapping import FILE_NAME, LEAVE_OUT, Lookup, TableMapping
from .row_above import TITLE_ROW
from .sheets import Header, Sheet


@dataclass(frozen=True)
class PlannedTable:
    """A sheet about to be loaded into a table: for each column, and each heading without a place, where it stands.

    ``words_of_rows`` are the words under a heading that make its rows those of some table; a row with another is turned away.
    ``is_report_too`` where the same sheet's rows are tickets as well, ``answers_whole`` where one of these has several rows here,
    ``slot_told`` what tells their slot in a text. ``unnumbered`` is the column of numbers that neither the sheet
    nor mapping.toml has, so that rows are called by their place; '' where there is one.
    """

    table: Table
    sheet: Sheet
    mapping: TableMapping
    header: Header
    index: dict[str, int]
    unplaced: dict[str, int] = field(default_factory=dict)
    words_of_rows: dict[str, frozenset[str]] = field(default_factory=dict)
    is_report_too: bool = False
    answers_whole: bool = False
    slot_told: Lookup | None = None
    unnumbered: str = ""

    @property
    def title_column(self) -> str:
        """The column that titles over rows give; '' where they give none."""
        return "" if self.mapping.title_rows == LEAVE_OUT else self.mapping.title_rows

    @property
    def unread(self) -> frozenset[int]:
        """Indexes of the columns that are no column of the table."""
        return frozenset(range(len(self.header.headings))) - set(self.index.values())

    @property
    def made_blank(self) -> tuple[str, ...]:
        """The columns of the sheet some of whose words the mapping makes blank: a word so lost is kept beside its row."""
        return tuple(
            name for name, words in self.mapping.values.items() if name in self.index and "" in words.values()
        )

    def has(self, heading: str) -> bool:
        """Whether the sheet has a heading."""
        return heading.casefold() in self._folds

    def place(self, heading: str) -> int:
        """Where a heading stands."""
        return self._folds.index(heading.casefold())

    @cached_property
    def _folds(self):
        return [one.casefold() for one in self.header.headings]

    @cached_property
    def each(self) -> dict[str, dict[str, str]]:
        """Of the headings whose cells are rows of their own those that the sheet has."""
        return {one: given for one, given in self.mapping.each.items() if self.has(one)}

    def heading(self, column: str, cells=None) -> str:
        """The column's name as the sheet has it; its own name where the sheet lacks it; ``cells`` are those of a row."""
        if column == "value" and cells:
            whole = {name: cells.get(name) or "" for name in cells}
            of_row = (one for one, given in self.each.items() if given.items() <= whole.items())
            return next(of_row, self.header.headings[self.index[column]] if column in self.index else column)
        if column in self.mapping.lookups and column not in self.index:  # a column of its own comes first
            return self.mapping.lookups[column].heading
        return (*self.header.headings, TITLE_ROW)[self.index[column]] if column in self.index else column


def with_its_reports(plan: PlannedTable, reports: TableMapping | None) -> PlannedTable:
    """A sheet that may hold ``reports`` too: of a cell of several slots of which each is a report of its own, work has a row each as well."""
    if reports is None:
        return plan
    parts_more = any(map(plan.has, plan.mapping.several)) and not reports.by_line
    several = tuple(dict.fromkeys((*plan.mapping.several, *reports.several)))
    recaps_each = tuple(dict.fromkeys((*plan.mapping.recaps_each, *reports.recaps_each)))
    return replace(
        plan,
        mapping=replace(plan.mapping, several=several, recaps_each=recaps_each),
        is_report_too=True,
        slot_told=reports.lookups.get("position"),
        answers_whole=parts_more and not any(map(plan.has, reports.several)),
    )


def headings_not_there(planned):
    """A fault for each heading that a section names and none of its sheets has."""
    for section in {id(plan.mapping): plan.mapping for plan in planned}.values():
        plans = [plan for plan in planned if plan.mapping is section and plan.header.headings]
        every = (one for plan in plans for one in (*plan.header.headings, *plan.header.in_sheet))
        there = {*map(str.casefold, every)}
        for heading in dict.fromkeys(section.headings) if plans else ():
            if heading.casefold() not in there and heading not in section.ignore:
                name = section.columns.get(heading, "")
                said = f"[{plans[0].table.name}.columns] names the heading {heading!r} for {name}"
                yield (
                    f"{FILE_NAME} {said if name else f'[{plans[0].table.name}] names the heading {heading!r}'}, which "
                    f"{' and '.join(plan.sheet.label for plan in plans)} does not have. "
                    f"Its headings are: {', '.join(filter(None, plans[0].header.in_sheet))}."
                )
