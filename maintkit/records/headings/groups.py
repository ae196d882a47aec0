"""Sheets that are alike, put together: what a drafter reads as one list."""

from dataclasses import dataclass, field, replace
from functools import cached_property

from .legends import Legend
from .likeness import SURE, likeness_of_column
from .pages import Page
from .prose import with_work_told
from .said import said_by_what_they_are
from .swapped import Swap
from .values import ENOUGH, Cells
from .work_of_reports import Reported

SOME_PAIRS = 0.3  # share of complaints behind which work stands, where other years have a column of it
A_FEW = 5  # cells from which they tell how a sheet names its slots


@dataclass(frozen=True)
class Group:
    """Sheets of the same headings, or nearly, and their cells put together."""

    pages: tuple[Page, ...]
    cells: dict[str, Cells]
    days: tuple[str, ...] = ()  # those of all sheets of the source, which may tell day and month apart
    # headings of entries a line, and how one begins
    by_line: dict[str, tuple[str, ...]] = field(default_factory=dict)
    legends: dict[str, Legend] = field(default_factory=dict)  # of headings that are written in codes
    shorthand: dict[str, Legend] = field(default_factory=dict)  # of headings with codes within their texts
    lists: tuple = ()  # files of two columns: name, headings, and the cells of the first
    together: tuple[str, ...] = ()  # headings of which the slot is put together
    alone: tuple[str, ...] = ()  # what stands under the first of these, and never with anything beside it
    leans: bool = False  # whether the first of these is that of the row above where it is blank
    prose: tuple[str, ...] = ()  # the desks named in prose that tells of several entries a cell
    sheet: dict[str, Cells] = field(default_factory=dict)  # the cells before such entries were parted
    reported: Reported = Reported()  # what all reports are called
    swap: Swap | None = None  # where its rows name both modules of a swap
    work_beside: bool = False  # whether other sheets tell of work too
    spares: dict[str, str] = field(
        default_factory=dict
    )  # the cells of a list of stock that name a module, and its serial
    perhaps_of: str = ""  # the desk that its work is perhaps of, where no column names any
    listed: frozenset[str] = (
        frozenset()
    )  # the desks that lists of desks and modules name, as names are compared
    moved: bool = False  # whether its rows are moves of modules, read as work or as a list of these
    places_told: tuple[str, ...] = ()  # the lookups of desk and slot of planned work told among complaints
    numbers_again: bool = False  # whether its numbers of reports are those of other sheets too

    @cached_property
    def names(self) -> frozenset[str]:
        """What the sheets and their files are called."""
        parts = [page.part for page in self.pages]
        return frozenset(name for part in parts for name in (part.title or "-", part.path.stem))

    def texts(self, heading: str) -> tuple[str, ...]:
        """The filled cells under a heading; none where it has no such heading."""
        return self.cells[heading].texts if heading in self.cells else ()

    def with_pages(self, **told) -> "Group":
        """The same with something else ``told`` of each of its sheets."""
        return replace(self, pages=tuple(replace(page, **told) for page in self.pages))


def groups_of(pages: list[Page]) -> list[Group]:
    """Sheets with headings, those put together that have most of them in common."""
    groups = []
    for page in pages:
        group = next((some for some in groups if _are_alike(page, some[0])), None)
        if group is None:
            groups.append(group := [])
        group.append(page)
    return [Group(tuple(group), _together(group)) for group in groups]


def _are_alike(page, other):
    """Whether sheets have most of their headings in common, and all else that is told of them."""
    own, others = ({heading.casefold() for heading in one.cells} for one in (page, other))
    told, of_other = (
        (one.given, one.form, bool(one.head), one.grid, one.parted, one.dated, one.jobs, one.where, one.rows)
        for one in (page, other)
    )
    are_alike = told == of_other and _have_headings_in_common(own, others)
    return are_alike and not any(
        _name_desks_on_one(page.cells[heading], other.cells[heading])
        for heading in page.cells
        if heading in other.cells
    )


def _have_headings_in_common(own, others):
    return len(own & others) > max(2, 0.7 * len(own | others))


def with_work_of_their_own(pages: list[Page]) -> list[Page]:
    """Sheets, those with the work that they tell behind a mark which lack the column of what was done that another, of a year or the like,
    has beside the same headings."""
    own = [{heading.casefold(): heading for heading in page.cells} for page in pages]
    return [_with_work_of_its_own(page, names, own) for page, names in zip(pages, own, strict=True)]


def _with_work_of_its_own(page, names, others):
    alike = (one for one in others if _have_headings_in_common(names.keys(), one.keys()))
    more = {heading for one in alike for name, heading in one.items() if name not in names}
    done = [one for one in (*more, *page.cells) if likeness_of_column(one, "repairs", "action") >= SURE]
    if page.parted or not done or {*done} & {*page.cells}:
        return page
    cells, parted = with_work_told(page.cells, SOME_PAIRS)
    says = page.says | said_by_what_they_are(cells, (), "", parted, "")
    return replace(page, cells=cells, parted=parted, says=says) if parted else page


def _name_desks_on_one(cells, other):
    """Whether cells name desk and slot on the one of two sheets, and slots alone on the other."""
    both, slots = (cells, other) if cells.desks else (other, cells)
    is_so = both.desks and both.desks != both.desk_codes and not slots.desks
    return bool(is_so) and len(slots.texts) >= A_FEW and slots.digits >= ENOUGH and slots.numbers > 0


def _together(pages):
    columns, distinct, names = {}, {}, {}
    for page in pages:
        own = {heading.casefold(): cells for heading, cells in page.cells.items()}
        names = {heading.casefold(): heading for heading in page.cells} | names
        rows = max(cells.rows for cells in own.values())
        before = max(map(len, columns.values()), default=0)
        for name in names:
            cells = own.get(name, Cells(("",) * rows))
            share = cells.different / len(cells.texts) if cells.texts else 1.0
            distinct[name] = min(distinct.get(name, 1.0), share)
            columns[name] = (columns.get(name) or ("",) * before) + cells.column
    return {names[name]: Cells(columns[name], distinct[name]) for name in columns}
