"""Which tables a sheet feeds: the one that takes most of its headings, and a partner where one list is of two things."""

from dataclasses import dataclass

from maintkit.records.tables import TABLE

from .pages import SURE, Page
from .places import NEAR, SPARE, Placing, place
from .values import ENOUGH, Cells
from .words import best_likeness, heading_of, vocabulary

CORE = {  # of each set one column must be there, or the sheet is not that table
    "desks": ({"desk"}, {"family", "coupling", "records_from", "powered_hours_per_week"}),
    "power": ({"desk"}, {"from_on"}, {"powered_hours_per_week", "inlet_c"}),
    "positions": ({"desk"}, {"position"}, {"bay", "zone", "use_weight", "air_c", "in_use_to"}),
    "modules": ({"serial"}, {"module_type"}),
    "fitments": ({"serial"}, {"position"}, {"fitted_on"}),
    "tickets": ({"raised_on"}, {"symptom", "position", "impact", "outcome", "minutes_lost"}),
    "repairs": ({"done_on"}, {"action", "part_type", "finding"}, {"serial", "desk", "ticket", "position"}),
    "shelf": ({"serial", "part_type"}, {"shelf_in"}),
    "bookings": ({"desk"}, {"free_from"}, {"free_to"}),
    "part_types": ({"part_type"}, {"kind"}),
    "parts_list": ({"module_type"}, {"part_type"}, {"quantity"}),
    "readings": ({"serial"}, {"measured_on"}, {"value"}),
    "stock": ({"part_type"}, {"on_hand"}),
    "inspections": ({"serial"}, {"condition"}),
    "documents": ({"document"}, {"of", "where"}),
}
SHARED = {"desk", "position", "serial", "ticket", "part_type", "ref", "family", "module_type"}
PARTNERS = {
    "tickets": "repairs",
    "repairs": "tickets",
    "part_types": "stock",
    "stock": "part_types",
    "modules": "fitments",
    "fitments": "modules",
}
OWN = {  # a partner needs one of these of its own
    "tickets": {"symptom"},
    "repairs": {"action", "part_type"},
    "stock": {"on_hand"},
    "part_types": {"kind"},
    "modules": {"module_type"},
    "fitments": {"position"},
}
BOTH = {("closed_on", "done_on"), ("restored_on", "done_on"), ("raised_on", "done_on")}


@dataclass(frozen=True)
class Group:
    """Sheets of the same headings, or nearly, and their cells put together."""

    pages: tuple[Page, ...]
    cells: dict[str, Cells]


def groups_of(pages: list[Page]) -> list[Group]:
    """Sheets with headings, those put together that have most of them in common."""
    groups = []
    for page in pages:
        own = {heading.casefold() for heading in page.cells}
        for group in groups:
            other = {heading.casefold() for heading in group[0].cells}
            if len(own & other) > 0.7 * len(own | other) and len(own & other) > 2:
                group.append(page)
                break
        else:
            groups.append([page])
    return [Group(tuple(group), _together(group)) for group in groups]


def _together(pages):
    texts, rows, distinct = {}, {}, {}
    names = {}
    for page in pages:
        for heading, cells in page.cells.items():
            name = names.setdefault(heading.casefold(), heading)
            texts[name] = texts.get(name, ()) + cells.texts
            rows[name] = rows.get(name, 0) + cells.rows
            share = cells.different / len(cells.texts) if cells.texts else 1.0
            distinct[name] = min(distinct.get(name, 1.0), share)
    return {name: Cells(texts[name], rows[name], distinct[name]) for name in texts}


def placings(group: Group, *, desks=frozenset(), others=frozenset()) -> list[Placing]:
    """The tables that a group of sheets feeds, none where it is none of them; ``others`` are tables that other sheets feed."""
    tried = {table: place(table, group.cells, desks=desks) for table in TABLE if table not in SPARE}
    fit = {table: placing for table, placing in tried.items() if _is_whole(placing)}
    if not fit:
        return []
    first = max(fit, key=lambda table: _weight(fit[table], group))
    other = PARTNERS.get(first)
    if other and other not in others:
        pair = _pair(group, first, other, desks)
        if pair:
            return pair
    return [fit[first]]


def _is_whole(placing):
    there = {name for name, _ in placing.columns.values()}
    return all(there & some for some in CORE.get(placing.table, ({""},)))


def _weight(placing, group):
    named = max(
        best_likeness(heading_of(name), vocabulary().sheets.get(placing.table, ()))
        for page in group.pages
        for name in (page.part.title or "-", page.part.path.stem)
    )
    columns = (score * (0.5 if name in SHARED else 1) for name, score in placing.columns.values())
    return sum(columns) + (1.5 if named >= SURE else 0)


def _pair(group, first, other, desks):
    """Both tables of one list: what either could take goes to the surer; None where the other has nothing of its own."""
    one, two = sorted((first, other), key=list(PARTNERS).index)
    a, b = (place(table, group.cells, desks=desks) for table in (one, two))
    only_a, only_b, either = set(), set(), {}
    for heading in set(a.columns) & set(b.columns):
        (name_a, score_a), (name_b, score_b) = a.columns[heading], b.columns[heading]
        if name_a != name_b and (name_a, name_b) not in BOTH:
            if abs(score_a - score_b) < NEAR and name_a != "ticket":
                either[heading] = (f"{one}.{name_a}", f"{two}.{name_b}")
            (only_b if score_b > score_a and name_a != "ticket" else only_a).add(heading)
    if one == "tickets":
        only_a.add(a.heading("raised_on"))
        only_a.add(a.heading("ticket"))
    a = place(one, group.cells, taken=only_b | set(either), desks=desks)
    b = place(two, group.cells, taken=only_a | set(either), desks=desks)
    a.doubtful.update(either)
    if one == "tickets":
        _join(a, b, group.cells)
    mine = {one: a, two: b}
    there = {name for heading, (name, _) in mine[other].columns.items() if heading not in mine[first].columns}
    whole = _is_whole(a) and _is_whole(b)
    return [a, b] if whole and there & OWN[other] else None


def _join(tickets, repairs, cells):
    """What a row of complaint and repair has once: its number, and its day where no other date stands in the row."""
    ticket, raised = tickets.heading("ticket"), tickets.heading("raised_on")
    if ticket:
        repairs.columns[ticket] = ("ticket", 1.0)
    dated = [
        heading for heading in cells if cells[heading].dates >= ENOUGH and heading not in tickets.columns
    ]
    if raised and not repairs.heading("done_on") and not dated and not tickets.heading("closed_on"):
        repairs.columns[raised] = ("done_on", 1.0)
