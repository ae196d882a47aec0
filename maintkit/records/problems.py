"""Everything that is wrong with a record book, one entry a kind: rows turned away, contradictions, cells left blank."""

from collections import Counter
from dataclasses import dataclass

from maintkit.actions import OTHER

from .checks import REPEATS
from .contradictions import open_contradictions
from .tables import TABLE
from .unmended import open_cells_sql, open_rows_sql

AWAY, NOT_UNDERSTOOD, CONTRADICTION, BLANK = "turned away", "not understood", "contradiction", "left blank"
COUNTED = f"so the row counts as {OTHER!r}."  # of cells that tell no work that is known
TOUCHES = {
    "desks": "everything said of that desk",
    "tickets": "faults, rates and session minutes",
    "repairs": "lives, causes and what holds",
}


@dataclass(frozen=True)
class Problem:
    """One kind of thing that is wrong.

    ``rows`` is how many rows have it, ``table`` where they stand and ``of`` how many rows that table has in all, both
    kept and turned away. ``query`` is SQL for the rows (source_file, source_row); empty where they are in no table, or count
    whatever else they are.
    ``rows_sql`` gives what :func:`maintkit.records.unmended.accept` keeps of them.
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
    rows_sql: str = ""


# Each a table, what is blank, where it is, among which rows, what it touches, what to do.
BLANKS = (
    (
        "repairs",
        "Parts replaced on a fault whose cause is said to be unknown",
        "cause = 'unknown'",
        "planned = 'no' and action = 'replace'",
        "lives and causes: such a replacement ends no life in the main result",
        "Fill in cause where it is known for sure or suspected.",
    ),
    (
        "repairs",
        "Work without a serial",
        "serial is null",
        "exists (from modules) or exists (from fitments)",  # else the slot stands for its module
        "lives and priorities of modules: such work is placed by its slot, if it can be",
        "Write the serial of the module worked on.",
    ),
    (
        "repairs",
        "Unplanned work without a ticket",
        "ticket is null",
        "planned = 'no'",
        "faults: such work is put down to a ticket of its slot or module of the 30 days before, else it is a fault of its own",
        "Write the number of the ticket the work answers, or planned = yes.",
    ),
    (
        "repairs",
        "Parts replaced without a part type",
        "part_type is null",
        "action = 'replace'",
        "lives of parts, and what runs out",
        "Write the part_type of what was replaced.",
    ),
    (
        "tickets",
        "Tickets without a slot",
        "position is null",
        "coalesce(outcome, '') <> 'not the desk'",
        "which slot and module to work on",
        "Write the position, where one was at fault.",
    ),
    (
        "tickets",
        "Tickets without an outcome and without work",
        """outcome is null and ticket not in (select ticket from repairs where ticket is not null) and not exists (
            from repairs as work
            where work.ticket is null and work.desk = tickets.desk and work.position = tickets.position
                  and done_on between raised_on and coalesce(closed_on, raised_on + 30))""",
        "true",
        "faults: whether anything was found is not known",
        "Fill in outcome, or write down the work that was done.",
    ),
)


def find_problems(connection) -> list[Problem]:
    """Every kind of problem in a record book: rows turned away, cells not understood, contradictions, then cells left blank.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        A record book; it is only read.

    Returns
    -------
    list of Problem
        In a fixed order, not that of weight; empty where nothing is wrong.
    """
    return [
        *_broken(connection, AWAY, open_rows_sql()),
        *_broken(connection, NOT_UNDERSTOOD, open_cells_sql()),
        *_contradicting(connection),
        *_left_blank(connection),
    ]


def _broken(connection, kind, still_open):
    """Kinds of rows turned away, or of cells not understood, in all loads and still wrong: by table, column and rule."""
    broken = f"case when rule like '%{REPEATS}' then 'It is in the records already.' else rule end"
    rows = connection.execute(f"""
        select table_name, column_name, {broken} as broken, count(*), arg_min(file || ', row ' || "row", (file, "row")),
               arg_min(coalesce(found, ''), (file, "row")), arg_min(remedy, (file, "row"))
        from ({still_open})
        group by all
        order by table_name, column_name, broken
        """).fetchall()
    away = Counter()
    for table, _, _, count, *_ in rows if kind == AWAY else ():
        away[table] += count
    for table, column, rule, count, place, found, remedy in rows:
        of = _count(connection, f'select count(*) from "{table}"') + away[table]
        touches = TOUCHES.get(table) or TABLE[table].unlocks
        example = f"{place}: found {repr(found) if found else 'nothing'}"
        these = (
            f'select file, "row", column_name, found from ({still_open}) where table_name = {_quoted(table)} '
            f"and column_name = {_quoted(column)} and {broken} = {_quoted(rule)}"
        )
        kept = (
            f'select file as source_file, "row" as source_row from ({these})'
            if kind == NOT_UNDERSTOOD and not rule.endswith(COUNTED)
            else ""
        )
        what = f"{table}, {column}: {rule}"
        yield Problem(kind, what, table, count, of, touches, example, remedy, kept, these)


def _quoted(text):
    return "'" + text.replace("'", "''") + "'"


def _contradicting(connection):
    for found, query in open_contradictions(connection):
        these = (
            f'select source_file as file, source_row as "row", {_quoted(found.kind)} as column_name, said as found '
            f"from ({query})"
        )
        tables = connection.execute(
            "select table_name, sum(rows) from (select distinct table_name, file from load_files) "
            "join (select source_file as file, count(*) as rows from contradicting group by 1) using (file) "
            "group by all order by 2 desc, 1"
        ).fetchall()
        name = tables[0][0] if tables else ""
        of = _lines(connection, [table for table, _ in tables]) or found.count
        example, touches, remedy = found.examples[0], found.touches, found.remedy
        yield Problem(
            CONTRADICTION, found.kind, name, found.count, of, touches, example, remedy, query, these
        )


def _lines(connection, tables) -> int:
    """How many lines the files have in which the contradicting rows stand; a line that gives rows to several tables is one."""
    if not tables:
        return 0
    each = " union all ".join(
        f'select source_file, count(*) as lines from "{table}" group by source_file' for table in tables
    )
    most = f"select source_file, max(lines) as lines from ({each}) group by source_file"
    return _count(connection, f"select sum(lines) from ({most}) semi join contradicting using (source_file)")


def _left_blank(connection):
    for table, what, where, among, touches, remedy in BLANKS:
        rows, of = connection.execute(
            f'select count(*) filter ({where}), count(*) from "{table}" where {among}'
        ).fetchall()[0]
        if rows:
            query = f'select source_file, source_row from "{table}" where ({where}) and ({among})'
            file, row = connection.execute(f"{query} order by all limit 1").fetchall()[0]
            yield Problem(BLANK, what, table, rows, of, touches, f"{file}, row {row}", remedy, query)


def _count(connection, query):
    return connection.execute(query).fetchall()[0][0]
