"""One name for what is spelled several ways: found by folding, shown in the commonest spelling, as written kept beside."""

import re
from collections import Counter, defaultdict
from dataclasses import dataclass

from .folding import fold_desk, fold_name, fold_part, fold_slot, unite_serials, unite_slots
from .keeping import undo_name
from .staging import ready_name
from .tables import TABLE, TABLES

IN_DOUBT = re.compile(r"(?<=\d)\s*(?:\?+|\(\?+\))$")  # of a slot: 18 ?


@dataclass(frozen=True)
class Key:
    """A kind of name: the column that holds it, the table that lists it (if any), how it folds, and which folded ones are another."""

    column: str
    owner: str
    fold: object
    by_desk: bool = False
    unite: object = None

    @property
    def places(self) -> list[tuple[str, str]]:
        """Every table and column that holds such a name."""
        target = f"{self.owner}.{self.column}"
        return [
            (table.name, column.name)
            for table in TABLES
            for column in table.columns
            if column.refers_to == target or (column.name == self.column and self.owner in ("", table.name))
        ]


# Desks first, for a slot is folded within its desk.
KEYS = (
    Key("desk", "desks", fold_desk),
    Key("position", "positions", fold_slot, by_desk=True, unite=unite_slots),
    Key("serial", "modules", fold_name, unite=unite_serials),
    Key("part_type", "part_types", fold_part),
    Key("ref", "", fold_name),
)
KEY = {key.column: key for key in KEYS}


@dataclass(frozen=True)
class Spelled:
    """A name in one spelling: where (a desk, or ''), as written, as shown, in how many rows, and the file that lists it."""

    column: str
    scope: str
    written: str
    shown: str
    rows: int
    owner_file: str = ""


def match_spellings(connection, layout, held) -> None:
    """Give the ready rows the spellings of the record book, so that their keys meet those stored in the tables ``held``."""
    _note_mapping(connection, layout)
    ready = {table.name for table in layout.record_tables}
    for key in KEYS:
        stored, new = _occurrences(connection, key, held), _occurrences(connection, key, ready, ready=True)
        prefer = {(one.scope, one.written): one.shown for one in stored}
        spelled = _shown(connection, key, [*stored, *new], prefer)
        if _is_out_of_place(new, spelled):
            _put(connection, key, spelled, ready=ready)
    if "repairs" in ready:
        _match_tickets(connection, ready)


def show_commonest(connection, load: int, held=frozenset(TABLE)) -> None:
    """Show every name in the tables ``held`` in its commonest spelling, and of rows that become one keep the latest.

    Rows taken out go where ``undo_last_load`` finds them again.
    """
    for key in KEYS:
        seen = _occurrences(connection, key, held)
        spelled = _shown(connection, key, seen, {})
        if _is_out_of_place(seen, spelled):
            for table in _put(connection, key, spelled):
                _keep_latest(connection, TABLE[table], load)


def taken_as_one(connection) -> list[Spelled]:
    """Every spelling that is shown in another one, by kind of name, desk and name."""
    rows = Counter()
    for at, key in enumerate(KEYS):
        for one in _occurrences(connection, key):
            if one.written != one.shown:
                rows[at, one.scope, one.shown, one.written] += one.rows
    return [
        Spelled(KEYS[at].column, scope, written, shown, rows[at, scope, shown, written])
        for at, scope, shown, written in sorted(rows)
    ]


def shown_as(connection, column: str, written: str, scope: str = "") -> str:
    """The name as which mapping.toml shows a spelling, ``scope`` the desk of a slot; itself where it says nothing of it."""
    meant, _ = _told(connection, KEY[column])
    return meant(scope, written.strip())


def spellings_in_use(connection, key: Key) -> list[tuple[str, str, int]]:
    """Each name of a kind as it is shown: on which desk ('' where that says nothing), and in how many rows."""
    rows = Counter()
    for one in _occurrences(connection, key):
        rows[one.scope, one.shown] += one.rows
    return [(*name, count) for name, count in sorted(rows.items())]


def _occurrences(connection, key, tables=frozenset(TABLE), *, ready=False):
    """Every spelling of a kind of name in some tables, the stored or the ready ones, and how often it stands there."""
    parts = []
    for table, column in key.places:
        if table not in tables:
            continue
        source = ready_name(TABLE[table]) if ready else f'"{table}"'
        scope = "desk" if key.by_desk else "''"
        file = "source_file" if table == key.owner else "''"
        parts.append(
            f"select {scope} as scope, coalesce(as_written['{column}'], \"{column}\") as written, "
            f'"{column}" as shown, {file} as owner_file from {source} '
            f"where \"{column}\" is not null and source_file is distinct from '(drafted)'"
        )
    if not parts:
        return []
    rows = connection.execute(
        "select coalesce(scope, ''), written, shown, count(*), coalesce(owner_file, '') "
        f"from ({' union all '.join(parts)}) group by all order by all"
    ).fetchall()
    return [Spelled(key.column, *row) for row in rows]


def _shown(connection, key, seen, prefer):
    """The spelling in which each is shown, by scope and as written, for those that are shown otherwise."""
    if not seen:
        return {}
    meant, apart = _told(connection, key)
    by_scope = defaultdict(list)
    for one in seen:
        by_scope[one.scope].append(one)
    shown = {}
    for scope, ones in by_scope.items():
        to = {one.written: meant(scope, one.written) for one in ones}
        folds = {one.written: key.fold(to[one.written]) for one in ones}
        if key.unite:
            same = key.unite(set(folds.values()))
            folds = {written: same.get(fold, fold) for written, fold in folds.items()}
        groups, forms = defaultdict(list), Counter()
        for one in ones:
            forms[_form(to[one.written])] += one.rows
            fold = one.written if one.written in apart else folds[one.written]
            groups[one.written in apart, fold].append(one)
        for group in groups.values():
            shown |= {
                (scope, written): name
                for written, name in _one_name(group, to, scope, prefer, forms if key.by_desk else {}).items()
                if written != name
            }
    return shown


def _form(name):
    """A slot with a sign for its numbers: how it is written, whichever it is."""
    return re.sub(r"\d+", "#", name)


def _one_name(group, to, scope, prefer, forms):
    """The name shown for each spelling of a group, the one that is written as most ``forms`` of its desk are, else the commonest; spellings
    that one file lists as rows of their own stay apart."""
    listed = defaultdict(set)
    rows, owned = Counter(), set()
    for one in group:
        name = to[one.written]
        rows[name] += one.rows
        if one.owner_file:
            listed[one.owner_file].add(name)
            owned.add(name)
    apart = set().union(*(names for names in listed.values() if len(names) > 1))
    known = [prefer[scope, one.written] for one in group if (scope, one.written) in prefer]
    names = [name for name in rows if name not in apart] or list(rows)
    best = (
        known[0]
        if known and known[0] not in apart
        else max(
            sorted(names), key=lambda name: (forms.get(_form(name), 0), rows[name], name in owned, len(name))
        )
    )
    return {one.written: to[one.written] if to[one.written] in apart else best for one in group}


def _is_out_of_place(seen, shown):
    """Whether any row has another spelling than that in which it is to be shown."""
    return any(one.shown != shown.get((one.scope, one.written), one.written) for one in seen)


def _put(connection, key, shown, *, ready=None):
    """Write the shown spellings into the rows, what was written beside them; the tables that changed."""
    connection.execute("create or replace temp table spelled (scope varchar, written varchar, shown varchar)")
    if shown:
        connection.executemany(
            "insert into spelled values (?, ?, ?)",
            [(scope, written, name) for (scope, written), name in sorted(shown.items())],
        )
    changed = []
    for table, column in key.places:
        if ready is not None and table not in ready:
            continue
        source = ready_name(TABLE[table]) if ready is not None else f'"{table}"'
        scope = "coalesce(desk, '')" if key.by_desk else "''"
        as_was = f"coalesce(as_written['{column}'], \"{column}\")"
        rest = f"map_from_entries(list_filter(map_entries(as_written), lambda one: one.key <> '{column}'))"
        wrong = (
            f"select rows.rowid as place, coalesce(spelled.shown, {as_was}) as name, {as_was} as was from {source} as rows "
            f"left join spelled on spelled.scope = {scope} and spelled.written = {as_was} "
            f'where "{column}" is not null and coalesce(spelled.shown, {as_was}) <> "{column}"'
        )
        rows = connection.execute(
            f'update {source} as rows set "{column}" = wrong.name, as_written = case when wrong.name <> wrong.was '
            f"then map_concat(coalesce(as_written, map {{}}), map {{'{column}': wrong.was}}) "
            f"when cardinality({rest}) > 0 then {rest} end from ({wrong}) as wrong where rows.rowid = wrong.place"
        ).fetchall()[0][0]
        if rows and ready is None:
            changed.append(table)
    return changed


def _keep_latest(connection, table, load):
    """Of rows that have become one by their key, the latest stays."""
    key = ", ".join(f'"{name}"' for name in table.key)
    older = f'select rowid from "{table.name}" qualify row_number() over (partition by {key} order by load desc, rowid desc) > 1'
    connection.execute(
        f'insert into {undo_name(table)} select *, $load from "{table.name}" where rowid in ({older})',
        {"load": load},
    )
    connection.execute(f'delete from "{table.name}" where rowid in ({older})')


def _match_tickets(connection, ready):
    """Let work name its ticket in another case or with other blanks, where only one ticket is meant."""
    source = ready_name(TABLE["repairs"])
    known = "select ticket from tickets"
    if "tickets" in ready:
        known += f" union select ticket from {ready_name(TABLE['tickets'])}"
    crude = "lower(regexp_replace({}, '\\s+', '', 'g'))"
    pairs = connection.execute(
        f"select distinct work.ticket, known.ticket from (select ticket from {source} where ticket is not null) as work "
        f"anti join ({known}) as same using (ticket) "
        f"join ({known}) as known on {crude.format('known.ticket')} = {crude.format('work.ticket')} order by all"
    ).fetchall()
    meant = defaultdict(set)
    for written, ticket in pairs:
        if fold_name(written) == fold_name(ticket):
            meant[written].add(ticket)
    for written, tickets in meant.items():
        if len(tickets) == 1:
            connection.execute(
                f"update {source} set ticket = $ticket, as_written = map_concat(coalesce(as_written, map {{}}), "
                "map {'ticket': $written}) where ticket = $written",
                {"ticket": next(iter(tickets)), "written": written},
            )


def _note_mapping(connection, layout):
    """Keep what mapping.toml joins and holds apart, so that later loads read alike."""
    for column, scope, written, shown in layout.spelling:
        connection.execute(
            "delete from spelling where column_name = $column and scope = $scope and written = $written",
            {"column": column, "scope": scope, "written": written},
        )
        connection.execute("insert into spelling values (?, ?, ?, ?)", [column, scope, written, shown])


def _told(connection, key):
    """What the mapping makes of a spelling on a desk, and the spellings that it holds apart."""
    rows = connection.execute(
        "select scope, written, shown from spelling where column_name = $column", {"column": key.column}
    ).fetchall()
    joined = {(scope, key.fold(written)): shown for scope, written, shown in rows if shown is not None}
    apart = {written for _, written, shown in rows if shown is None}

    def meant(scope, written):
        fold, name = key.fold(written), written
        if key.by_desk and written not in apart:
            name = IN_DOUBT.sub("", written)
        return joined.get((scope, fold), joined.get(("", fold), name))

    return meant, apart
