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
    connection.execute("create temp table only_wanted (filter varchar, name varchar)")
    rows = [(key, name) for key, names in wanted.items() if isinstance(names, list) for name in names]
    if rows:
        connection.executemany("insert into only_wanted values (?, ?)", rows)
    asked = "select name from only_wanted where filter = "

    def is_in(column: str, key: str) -> list[str]:
        return [f"{column} in ({asked}'{key}')"] if wanted[key] else []

    desk, types = is_in("desk", "desk"), is_in("module_type", "module_type")
    slot = desk + is_in("position", "positions")
    book = _book(connection)
    sits = " union all ".join(
        f"select serial from {book}.main.{table} where {' and '.join(slot)}"
        for table in ("fitments", "modules")
    )
    module = types + ([f"serial in ({sits})"] if slot else [])
    of_kind = f"select part_type from {book}.main.part_types where kind in ({asked}'kind')"
    meant = {"part": f"{asked}'part'", "kind": of_kind}
    meant = " intersect ".join(query for name, query in meant.items() if wanted[name])
    parts = [f"part_type in ({meant})"] if meant else []
    serial = ["serial in (select serial from temp.modules)"] if module else []
    says = "exists (select 1 from only_wanted where filter = 'symptom' and contains(lower(symptom), lower(name)))"
    tickets = slot + ([says] if wanted["symptom"] else [])
    tickets += [f"(module_type is null or {one})" for one in types] + _days("raised_on", wanted)
    work = [f"({one} or (part_type is null and action = 're-cap'))" for one in parts]
    work += _days("done_on", wanted)
    if slot or module or wanted["symptom"]:
        here = [f"({' and '.join(slot)})"] if slot else []
        work.append(f"({' or '.join(['ticket in (select ticket from only_tickets)', *serial, *here])})")
    answered = ["ticket in (select ticket from temp.repairs where part_type is not null)"] if parts else []
    views = {
        "desks": desk,
        "power": desk,
        "bookings": desk,
        "positions": slot,
        "modules": module,
        "fitments": slot + serial,
        "shelf": [f"(serial is null or {one})" for one in serial],
        "inspections": serial,
        "readings": serial + parts,
        "part_types": parts,
        "parts_list": parts,
        "only_tickets": tickets,
        "repairs": work,
        "tickets": tickets + answered,
    }
    for name, where in views.items():
        _view(connection, name, where, since=wanted["since"] if name == "desks" else None)


def _book(connection) -> str:
    """The name of the record book among the databases of the connection, quoted."""
    return f'"{connection.execute("select current_database()").fetchall()[0][0]}"'


def _days(column: str, wanted: dict) -> list[str]:
    where = [f"{column} >= date '{wanted['since']:%Y-%m-%d}'"] if wanted["since"] else []
    return where + ([f"{column} < date '{wanted['until']:%Y-%m-%d}' + 1"] if wanted["until"] else [])


def _view(connection, name: str, where: list[str], *, since: date | None = None) -> None:
    """A view of a table's rows, ``only_tickets`` one of the tickets; ``since`` moves the day from which a desk's tickets count."""
    if not where and since is None and name != "only_tickets":
        return
    table = name.removeprefix("only_")
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
