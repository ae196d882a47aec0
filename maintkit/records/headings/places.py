"""Which column of a table each heading is: its words and the cells below must both allow it, and nothing else be as near."""

from dataclasses import dataclass, field

from maintkit.records.tables import TABLE

from .pages import SURE
from .values import ENOUGH, Cells
from .words import best_likeness, heading_of, likeness_nowhere, likeness_of_column, section_of, vocabulary

NEAR = 0.03  # two places nearer than this to each other are asked about
BY_CELLS = 0.82  # what speaks for a column by its cells alone
GENERAL_DATES = set(
    ["date", "datum", "tag", "day", "when", "wann", "timestamp", "time", "stamp", "zeitstempel", "dat", "dt"]
)
TABLE_DATES = {"raised_on", "done_on", "measured_on", "counted_on", "inspected_on", "from_on"}
SPARE = {"decisions"}  # written by reviews, never by hand
TELLING = ("impact", "outcome", "action", "as_found")  # closed sets whose words are met nowhere else


@dataclass(frozen=True)
class Placing:
    """Where the headings of a page go in one table: columns with how surely, and headings that fit two columns."""

    table: str
    columns: dict[str, tuple[str, float]] = field(default_factory=dict)  # heading -> (column, score)
    doubtful: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def heading(self, column: str) -> str:
        """The heading placed in a column; '' where there is none."""
        return next((heading for heading, (name, _) in self.columns.items() if name == column), "")


def place(table: str, cells: dict[str, Cells], *, taken=frozenset(), desks=frozenset()) -> Placing:
    """Place the headings of a page in a table, the surest first; ``taken`` are headings that stand elsewhere.

    ``desks`` are names of desks known from other sheets.
    """
    offers = [
        (score, heading, name)
        for heading in cells
        if heading not in taken
        for name, score in _offers(table, heading, cells[heading], desks)
    ]
    offers = sorted(_sure(offers), key=lambda offer: (-offer[0], list(cells).index(offer[1])))
    placing = Placing(table)
    given = set()
    for score, heading, name in offers:
        if heading in placing.columns or heading in placing.doubtful or name in given:
            continue
        rivals = [
            other
            for near, same, other in offers
            if same == heading and other != name and other not in given and score - near < NEAR
        ]
        if rivals:
            placing.doubtful[heading] = (name, *rivals)
        else:
            placing.columns[heading] = (name, score)
            given.add(name)
    _put_right(placing, cells)
    return placing


def _sure(offers):
    """The offers without those that are too general where another is particular, or rest on cells that two columns have."""
    for score, heading, name in offers:
        others = [one for one in offers if one[2] == name and one[1] != heading]
        general = set(heading_of(heading).words) <= GENERAL_DATES and TABLE_DATES & {name}
        by_cells = score <= BY_CELLS
        if not (others and (general or (by_cells and any(one[0] <= score for one in others)))):
            yield score, heading, name


def _offers(table, heading, cells, desks):
    """Columns of a table that a heading may be, with how surely."""
    words = heading_of(heading)
    nowhere = likeness_nowhere(heading)
    for column in TABLE[table].columns:
        likeness = likeness_of_column(heading, table, column.name)
        told = _told_by_cells(table, column, words, cells, desks)
        if told is None:
            continue
        helped = told >= 0.1 and (column.choices or column.name == "desk")
        named = likeness + told if likeness >= (0.6 if helped else SURE) else 0.0
        alone = _by_cells_alone(column, cells)
        if max(named, alone) >= SURE and nowhere <= max(likeness, 0.9 if told >= 0.15 else 0):
            yield column.name, max(named, alone)


def _told_by_cells(table, column, words, cells, desks):
    """What the cells say of a column: None against it, else how much they speak for it."""
    if not cells.texts:
        return 0.0
    if column.kind == "date":
        return _spoken(cells.dates, 0.1)
    if cells.dates >= ENOUGH:
        return None
    if column.kind == "clock":
        return _spoken(cells.clocks, 0.1)
    if column.kind == "minutes":
        return _spoken(cells.durations, 0.1)
    if column.kind == "number":
        return _spoken(cells.numbers, 0.1)
    if column.kind == "whole":
        return _spoken(cells.whole, 0.1)
    if column.choices:
        return _closed_set(column, words, cells)
    check = TEXTS.get(column.name)
    if column.name == "desk" and desks and table != "desks":
        known = cells.share(lambda text: text.casefold() in desks)
        return 0.15 if known >= 0.9 else check(cells)
    return check(cells) if check else 0.0


def _spoken(share, weight):
    return weight if share >= 0.8 else 0.0 if share >= ENOUGH else None


def _closed_set(column, words, cells):
    if asked(column.name, words, cells):
        return 0.1
    share = cells.understood(section_of(column))
    return None if share < 0.4 else 0.15 if share >= 0.8 else 0.0


def asked(name: str, words, cells) -> str:
    """The choice that yes means under a heading which asks about one, where the cells are yes and no; else ''."""
    if cells.understood("yes_no") < 0.8 or cells.mean_words >= 1.5:
        return ""
    fits = {
        meaning: best_likeness(words, phrases)
        for meaning, phrases in vocabulary().asked.get(name, {}).items()
    }
    best = max(fits, key=fits.get, default="")
    return best if best and fits[best] >= SURE else ""


def _by_cells_alone(column, cells):
    """Cells that can be one column only, whatever stands above them."""
    if len(cells.texts) < 5:
        return 0.0
    if column.name == "symptom" and cells.complaints >= 0.7 and cells.different > 5:
        return 0.8
    if column.name == "ref" and cells.designators >= 0.9 and cells.digits >= 0.9:
        return 0.81
    if column.name in TELLING and cells.understood(column.name) >= 0.95 and cells.mean_words < 4:
        others = (cells.understood(name) for name in {*TELLING, "cause", "yes_no"} - {column.name})
        return 0.82 if cells.different >= 2 and max(others) < 0.5 else 0.0
    return 0.0


def _desk(cells):
    few = cells.different <= max(3, len(cells.texts) * 0.4)
    return None if not few or cells.mean_words > 4 else 0.0 if cells.numbers >= ENOUGH else 0.03


def _position(cells):
    if cells.mean_words > 4:
        return None
    return 0.05 if cells.digits >= 0.5 else -0.05 if cells.different <= len(cells.texts) * 0.3 else 0.0


def _module_type(cells):
    if cells.mean_words > 5 or cells.numbers >= 0.3:
        return None
    return -0.05 if cells.digits >= 0.5 else 0.05 if cells.different <= len(cells.texts) * 0.5 else 0.0


def _wordy(cells):
    if cells.numbers >= ENOUGH or cells.durations >= ENOUGH:
        return None
    return 0.03 if cells.mean_words >= 1.5 else 0.0


def _symptom(cells):
    told = _wordy(cells)
    return told if told is None or cells.complaints < 0.5 else 0.15


def _part_type(cells):
    if cells.numbers >= ENOUGH or cells.mean_words > 6:
        return None
    if cells.designators >= 0.7 and cells.parts < 0.5 and cells.mean_words < 1.2:
        return None
    return 0.1 if cells.parts >= 0.4 else 0.0


def _ref(cells):
    share = cells.designators
    return 0.1 if share >= ENOUGH and cells.numbers < 0.2 else None


def _serial(cells):
    if cells.digits < 0.5 or cells.mean_words > 2:
        return None
    return 0.0 if cells.different >= len(cells.texts) * 0.3 else -0.05


def _number(cells):
    distinct = max(cells.distinct, cells.different / len(cells.texts))
    full = len(cells.texts) / cells.rows if cells.rows else 0
    return None if cells.mean_words > 2.5 or distinct < 0.9 or full < 0.7 or cells.digits < 0.7 else 0.05


def _link(cells):
    return None if cells.mean_words > 2.5 or cells.digits < 0.5 else 0.03


def _name(cells):
    return None if cells.numbers >= 0.9 or cells.mean_words > 6 else 0.0


TEXTS = {
    "desk": _desk,
    "position": _position,
    "module_type": _module_type,
    "symptom": _symptom,
    "finding": _wordy,
    "part_type": _part_type,
    "ref": _ref,
    "serial": _serial,
    "donor_serial": _serial,
    "ticket": _link,
    "repair": _number,
    "family": _name,
    "room": None,
}


def _put_right(placing, cells):
    """Take away what the cells of two columns together rule out."""
    if placing.table == "tickets":
        heading = placing.heading("ticket")
        if heading and _number(cells[heading]) is None:
            del placing.columns[heading]
    if placing.table == "desks":
        heading = placing.heading("desk")
        if heading and cells[heading].different < len(cells[heading].texts):
            del placing.columns[heading]
