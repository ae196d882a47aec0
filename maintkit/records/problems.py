"""Everything that is wrong with a record book, one entry a kind: rows turned away, contradictions, cells left blank."""

from dataclasses import dataclass

from .contradictions import contradiction_queries, find_contradictions
from .tables import TABLE

AWAY, CONTRADICTION, BLANK = "turned away", "contradiction", "left blank"
TOUCHES = {
    "desks": "everything said of that desk",
    "tickets": "faults, rates and session minutes",
    "repairs": "lives, causes and what holds",
}


@dataclass(frozen=True)
class Problem:
    """One kind of thing that is wrong.

    ``rows`` is how many rows have it, ``table`` where they stand and ``of`` how many rows that table has in all, both
    kept and turned away. ``query`` is SQL for the rows (source_file, source_row); empty where they are in no table.
    """

    kind: str
    what: str
    table: str
    rows: int
    of: int
    touches: str
    example: str
    remedy: str
    query: str = ""


@dataclass(frozen=True)
class _Blank:
    table: str
    what: str
    where: str
    among: str
    touches: str
    remedy: str


BLANKS = (
    _Blank(
        "repairs",
        "Work whose cause is unknown",
        "coalesce(cause, 'unknown') = 'unknown'",
        "planned = 'no'",
        "lives and causes: such work ends no life in the main result",
        "Fill in cause where it is known for sure or suspected.",
    ),
    _Blank(
        "repairs",
        "Work without a serial",
        "serial is null",
        "true",
        "lives and priorities of modules: such work is placed by its slot, if it can be",
        "Write the serial of the module worked on.",
    ),
    _Blank(
        "repairs",
        "Unplanned work without a ticket",
        "ticket is null",
        "planned = 'no'",
        "faults: such work counts as a fault of its own",
        "Write the number of the ticket the work answers, or planned = yes.",
    ),
    _Blank(
        "repairs",
        "Parts replaced without a part type",
        "part_type is null",
        "action = 'replace'",
        "lives of parts, and what runs out",
        "Write the part_type of what was replaced.",
    ),
    _Blank(
        "tickets",
        "Tickets without a slot",
        "position is null",
        "coalesce(outcome, '') <> 'not the desk'",
        "which slot and module to work on",
        "Write the position, where one was at fault.",
    ),
    _Blank(
        "tickets",
        "Tickets without an outcome",
        "outcome is null",
        "true",
        "faults: whether anything was found rests on the work recorded",
        "Fill in outcome.",
    ),
)


def find_problems(connection) -> list[Problem]:
    """Every kind of problem in a record book: rows turned away, contradictions, then cells left blank.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        A record book; it is only read.

    Returns
    -------
    list of Problem
        In a fixed order, not that of weight; empty where nothing is wrong.
    """
    return [*_turned_away(connection), *_contradicting(connection), *_left_blank(connection)]


def _turned_away(connection):
    """Kinds of rows turned away in the latest load of each file: by table, column and rule."""
    rows = connection.execute("""
        with still_open as (
            select turned_away.*, if(rule like 'Row % of this file has it already.', 'It is in the file already.', rule) as broken
            from turned_away
            join (select file, max(load) as load from load_files group by file) as latest using (file, load)
        )
        select table_name, column_name, broken, count(*), arg_min(file || ', row ' || "row", (file, "row")),
               arg_min(coalesce(found, ''), (file, "row")), arg_min(remedy, (file, "row"))
        from still_open
        group by table_name, column_name, broken
        order by table_name, column_name, broken
        """).fetchall()
    away = {}
    for table, _, _, count, *_ in rows:
        away[table] = away.get(table, 0) + count
    for table, column, rule, count, place, found, remedy in rows:
        of = _count(connection, f'select count(*) from "{table}"') + away[table]
        touches = TOUCHES.get(table) or TABLE[table].unlocks
        example = f"{place}: found {repr(found) if found else 'nothing'}"
        yield Problem(AWAY, f"{table}, {column}: {rule}", table, count, of, touches, example, remedy)


def _contradicting(connection):
    queries = {kind: query for kind, _, _, query in contradiction_queries()}
    for found in find_contradictions(connection):
        query = queries[found.kind]
        table = connection.execute(
            "select table_name, count(*) from load_files join (select distinct source_file as file "
            f"from ({query})) using (file) group by all order by 2 desc, 1 limit 1"
        ).fetchall()
        name = table[0][0] if table else ""
        of = _count(connection, f'select count(*) from "{name}"') if name else found.count
        yield Problem(
            CONTRADICTION,
            found.kind,
            name,
            found.count,
            of,
            found.touches,
            found.examples[0],
            found.remedy,
            query,
        )


def _left_blank(connection):
    for blank in BLANKS:
        rows, of = connection.execute(
            f'select count(*) filter ({blank.where}), count(*) from "{blank.table}" where {blank.among}'
        ).fetchall()[0]
        if rows:
            query = f'select source_file, source_row from "{blank.table}" where ({blank.where}) and ({blank.among})'
            file, row = connection.execute(f"{query} order by all limit 1").fetchall()[0]
            yield Problem(
                BLANK,
                blank.what,
                blank.table,
                rows,
                of,
                blank.touches,
                f"{file}, row {row}",
                blank.remedy,
                query,
            )


def _count(connection, query):
    return connection.execute(query).fetchall()[0][0]
