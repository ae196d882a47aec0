"""A part of the records alone: some desks, slots, module types, parts, symptoms or days, for any question."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from maintkit.errors import MaintkitError
from maintkit.quarter.arguments import NEAREST, named
from maintkit.quarter.slots import natural
from maintkit.records.tables import TABLE

FILTERS = ("desk", "positions", "module_type", "part", "kind", "symptom", "since", "until")
NAMES = {
    "desk": ("Desk", "desk", ("desks", "tickets")),
    "module_type": ("Module type", "module_type", ("modules", "tickets", "parts_list")),
    "part": ("Part", "part_type", ("part_types", "parts_list", "repairs")),
    "kind": ("Kind of part", "kind", ("part_types",)),
}  # heading, column and tables of what is asked for by its name
NO_TICKET = "No ticket has it in these records."


@dataclass(frozen=True)
class LeftOut:
    """What a narrowed question looks at, and what it leaves out.

    Attributes
    ----------
    kept : tuple of str
        Each filter as it was understood: ``desk Heron``, ``slots 1 to 24``.
    tickets, tickets_in_all, repairs, repairs_in_all : int
    """

    kept: tuple[str, ...]
    tickets: int
    tickets_in_all: int
    repairs: int
    repairs_in_all: int


def narrowed(quarter, **asked):
    """The quarter with part of its records: see :meth:`Quarter.only`."""
    unknown = sorted(set(asked) - set(FILTERS))
    if unknown:
        raise MaintkitError(f"Filter: found {unknown[0]!r}. There are: {', '.join(FILTERS)}.")
    asked = {name: value for name, value in asked.items() if value is not None}
    known = quarter.records.connection
    conditions = {name: _understood(known, name, value, asked) for name, value in asked.items()}
    then = quarter.on(known.cursor())
    before = _counts(known)
    _make_views(then.records.connection, conditions)
    if "until" in conditions:
        then.last_day = min(then.last_day, conditions["until"])
        then.first_day = min(then.first_day, then.last_day)
    tickets, repairs = zip(_counts(then.records.connection), before, strict=True)
    said = tuple(_said(name, value) for name, value in conditions.items())
    then.left_out = LeftOut(said, *tickets, *repairs)
    return then


def _counts(connection) -> tuple[int, int]:
    counts = "select (select count(*) from tickets), (select count(*) from repairs)"
    return connection.execute(counts).fetchall()[0]


def _understood(connection, name: str, value, asked: dict):
    """The filter's value as the records have it; a sentence with the nearest names where they have no such thing."""
    if name in ("since", "until"):
        return _day(name, value)
    if name == "positions":
        return _positions(connection, value, asked.get("desk"))
    values = [value] if isinstance(value, str) or not isinstance(value, Iterable) else list(value)
    if name == "symptom":
        return [_symptom(connection, str(one)) for one in values]
    heading, column, tables = NAMES[name]
    known = _names(connection, column, tables)
    none = "There is none of that name in these records."
    return [named(heading, one, known, none=none, most=NEAREST) for one in values]


def _names(connection, column: str, tables) -> list[str]:
    """The names in a column of some tables, each once."""
    each = (f'select distinct "{column}" from "{table}" where "{column}" is not null' for table in tables)
    return [row[0] for row in connection.execute(" union ".join(each)).fetchall()]


def _symptom(connection, text: str) -> str:
    found = connection.execute(
        "select count(*) from tickets where contains(lower(symptom), lower($text))", {"text": text}
    ).fetchall()[0][0]
    if not found:
        named("Symptom", text, _names(connection, "symptom", ["tickets"]), none=NO_TICKET, most=NEAREST)
    return text


def _day(name: str, value) -> date:
    try:
        return value if isinstance(value, date) else date.fromisoformat(str(value).strip())
    except ValueError:
        raise MaintkitError(f"{name}: found {value!r}. A day reads YYYY-MM-DD, such as 2024-01-31.") from None


def _positions(connection, value, desk) -> list[str]:
    """Slots named one by one or as a stretch, ``1-24, 30``; a slot whose name has a dash comes before a stretch."""
    rows = connection.execute(
        "select distinct desk, position from (select desk, position from positions union all "
        "select desk, position from fitments union all select desk, position from modules union all "
        "select desk, position from tickets) where position is not null"
    ).fetchall()
    wanted = {name.casefold() for name in ([desk] if isinstance(desk, str) else desk or ())}
    known = sorted({slot for its, slot in rows if not wanted or its.casefold() in wanted}, key=natural)
    pieces = [str(one).strip() for one in (value.split(",") if isinstance(value, str) else value)]
    found: list[str] = []
    for piece in pieces:
        stretch = re.fullmatch(r"(.+?)\s*(?:-|–|\bto\b)\s*(.+)", piece)
        if piece in known or not stretch:
            found.append(named("Slot", piece, known, none="No such slot is on record.", most=NEAREST))
            continue
        low, high = (natural(end.strip()) for end in stretch.groups())
        inside = [slot for slot in known if low <= natural(slot) <= high]
        if not inside:
            named("Slots", piece, known, none="No slot lies in that stretch.", most=NEAREST)
        found += inside
    return list(dict.fromkeys(found))


def _make_views(connection, conditions: dict) -> None:
    """Views that stand before the tables of the same names, on this connection alone."""
    wanted = {name: conditions.get(name) for name in FILTERS}
    values = {key: value for key, value in wanted.items() if isinstance(value, list)}
    connection.execute("create temp table only_wanted (filter varchar, name varchar)")
    rows = [(key, name) for key, names in values.items() for name in names]
    if rows:
        connection.executemany("insert into only_wanted values (?, ?)", rows)
    is_in = "{column} in (select name from only_wanted where filter = '{key}')"
    desk = [is_in.format(column="desk", key="desk")] if wanted["desk"] else []
    slot = desk + ([is_in.format(column="position", key="positions")] if wanted["positions"] else [])
    book = _book(connection)
    module = _modules(book, slot, wanted, is_in)
    parts = _parts(book, wanted)
    serial = ["serial in (select serial from temp.modules)"] if module else []
    tickets = slot + _tickets(wanted, is_in) + _days("raised_on", wanted)
    part_work = [f"(part_type in ({parts}) or (part_type is null and action = 're-cap'))"] if parts else []
    views = {
        "desks": desk,
        "power": desk,
        "bookings": desk,
        "positions": slot,
        "modules": module,
        "fitments": slot + serial,
        "shelf": [f"(serial is null or {serial[0]})"] if serial else [],
        "inspections": serial,
        "readings": serial + ([f"part_type in ({parts})"] if parts else []),
        "part_types": [f"part_type in ({parts})"] if parts else [],
        "parts_list": [f"part_type in ({parts})"] if parts else [],
    }
    for name, where in views.items():
        _view(connection, name, where, since=wanted["since"] if name == "desks" else None)
    narrow = bool(slot or module or wanted["symptom"] or wanted["module_type"])
    _view(connection, "only_tickets", tickets, table="tickets")
    work = part_work + _days("done_on", wanted)
    if narrow:
        work.append(
            "(ticket in (select ticket from only_tickets)"
            + (f" or {serial[0]}" if serial else "")
            + (f" or ({' and '.join(slot)})" if slot else "")
            + ")"
        )
    _view(connection, "repairs", work)
    answered = ["ticket in (select ticket from temp.repairs where part_type is not null)"] if parts else []
    _view(connection, "tickets", tickets + answered)


def _book(connection) -> str:
    """The name of the record book among the databases of the connection, quoted."""
    return f'"{connection.execute("select current_database()").fetchall()[0][0]}"'


def _modules(book: str, slot: list[str], wanted: dict, is_in: str) -> list[str]:
    where = [is_in.format(column="module_type", key="module_type")] if wanted["module_type"] else []
    if slot:
        sits = " union all ".join(
            f"select serial from {book}.main.{table} where {' and '.join(slot)}"
            for table in ("fitments", "modules")
        )
        where.append(f"serial in ({sits})")
    return where


def _parts(book: str, wanted: dict) -> str:
    """A query for the part types that are meant; an empty text where all are."""
    asked = "select name from only_wanted where filter = "
    pieces = {
        "part": f"{asked}'part'",
        "kind": f"select part_type from {book}.main.part_types where kind in ({asked}'kind')",
    }
    return " intersect ".join(piece for name, piece in pieces.items() if wanted[name])


def _tickets(wanted: dict, is_in: str) -> list[str]:
    says = "exists (select 1 from only_wanted where filter = 'symptom' and contains(lower(symptom), lower(name)))"
    where = [says] if wanted["symptom"] else []
    if wanted["module_type"]:
        where.append(f"(module_type is null or {is_in.format(column='module_type', key='module_type')})")
    return where


def _days(column: str, wanted: dict) -> list[str]:
    where = [f"{column} >= date '{wanted['since']:%Y-%m-%d}'"] if wanted["since"] else []
    return where + ([f"{column} < date '{wanted['until']:%Y-%m-%d}' + 1"] if wanted["until"] else [])


def _view(
    connection, name: str, where: list[str], *, table: str | None = None, since: date | None = None
) -> None:
    """A view of a table's rows; ``since`` moves the day from which a desk's tickets count."""
    if not where and since is None and table is None:
        return
    table = table or name
    assert table in TABLE
    shown = f"* replace (greatest(records_from, date '{since:%Y-%m-%d}') as records_from)" if since else "*"
    kept = f" where {' and '.join(where)}" if where else ""
    book = _book(connection)
    connection.execute(f'create temp view "{name}" as select {shown} from {book}.main."{table}"{kept}')


def _said(name: str, value) -> str:
    """A filter as it was understood."""
    if isinstance(value, date):
        return f"{name} {value:%Y-%m-%d}"
    if name == "positions":
        return f"slot {value[0]}" if len(value) == 1 else f"{len(value)} slots, {value[0]} to {value[-1]}"
    heading = {"module_type": "module type", "symptom": "complaints that say"}.get(name, name)
    return f"{heading} {', '.join(value)}"
