"""What was wrong in any load and still is: rows turned away and cells not understood, until mended or accepted."""

from dataclasses import dataclass

from .accepted import keep_beside
from .checks import REPEATS
from .errors import StoreError, TurnedAway
from .tables import TABLES

# A row is mended once a later load keeps a row of its key, or once its file is loaded again (with rows it had before)
# and does not turn it away again. One that repeats another is mended only by the latter, for its key is in the table.
_ROWS = f"""
    with reloaded as (
        select broken.load, broken.file, min(later.load) as by_load
        from (select distinct load, file from turned_away) as broken
        join load_files as later on later.file = broken.file and later.load > broken.load
        join load_files as own on own.file = broken.file and own.load = broken.load
        where later.unchanged + later.changed > 0 or own.kept = 0
        group by all
    )
    select turned_away.* from turned_away left join reloaded using (load, file)
    where by_load is null and not ("key" is not null and rule not like '%{REPEATS}'
          and exists (from kept_keys where kept_keys.table_name = turned_away.table_name
                      and kept_keys."key" = turned_away."key" and kept_keys.load > turned_away.load))
"""
# A cell is mended once a later load changes its row, or once nothing is kept beside the row for it.
_CELLS = """
    select not_understood.* from not_understood
    where not exists (from kept_keys where kept_keys.table_name = not_understood.table_name
                      and kept_keys."key" = not_understood."key" and kept_keys.load > not_understood.load)
    qualify row_number() over (partition by table_name, coalesce("key", file || "row"), column_name order by load desc) = 1
"""
NO_REASON = "A problem is accepted with a reason. Write why it is left as it is."
_NOT_ACCEPTED = """
    anti join accepted on accepted.file = broken.file and accepted."row" = broken."row"
         and accepted.column_name = broken.column_name and accepted.found = coalesce(broken.found, '')
"""


def open_rows_sql() -> str:
    """SQL for the rows turned away that are neither mended nor accepted, with the columns of ``turned_away``."""
    return _open(_ROWS)


def open_cells_sql() -> str:
    """SQL for the cells not understood that are neither mended nor accepted, with the columns of ``not_understood``."""
    return _open(_CELLS)


def open_turned_away(connection) -> list[TurnedAway]:
    """Rows turned away in any load and still wrong, by file and row."""
    return _listed(connection, open_rows_sql())


def open_cells(connection) -> list[TurnedAway]:
    """Cells not understood in any load and still wrong, by file and row; their rows are kept."""
    return _listed(connection, open_cells_sql())


def _open(broken):
    """The rows of a list of what broke a rule, with the keys that were kept since beside them."""
    wanted = '(select "key" from turned_away union all select "key" from not_understood)'
    kept = []
    for table in TABLES:
        key = ", ".join(f"coalesce(\"{name}\"::varchar, '')" for name in table.key)
        kept.append(
            f"select '{table.name}' as table_name, load, concat_ws(' + ', {key}) as \"key\" from \"{table.name}\" "
            f"where load > 1 and concat_ws(' + ', {key}) in {wanted}"
        )
    return (
        f"select broken.* from (with kept_keys as materialized ({' union all '.join(kept)}) "
        f"select * from ({broken})) as broken {_NOT_ACCEPTED}"
    )


def _listed(connection, query):
    rows = connection.execute(
        f'select file, "row", column_name, found, rule, remedy, coalesce("key", \'\') from ({query}) order by file, "row"'
    ).fetchall()
    return [TurnedAway(*row) for row in rows]


@dataclass(frozen=True)
class Accepted:
    """Problems that the technician leaves as they are: how many rows, why, and the file it is kept in; '' for the store."""

    what: str
    rows: int
    reason: str
    kept_in: str

    def __str__(self):
        rows = "1 row" if self.rows == 1 else f"{self.rows:,} rows"
        where = f" in {self.kept_in}" if self.kept_in else ""
        return f"Accepted, and listed no more: {self.what} ({rows}). The reason is kept{where}: {self.reason}"


def accept(connection, problem, reason: str) -> Accepted:
    """Keep in a store that a problem is left as it is, and why; each of its rows is then listed no more.

    Raises
    ------
    StoreError
        When no reason is given.
    """
    if not reason.strip():
        raise StoreError(NO_REASON)
    rows = connection.execute(
        f"insert into accepted {_as_accepted(problem)}", {"reason": reason.strip()}
    ).fetchall()[0][0]
    return Accepted(problem.what, rows, reason.strip(), "")


def accept_beside(connection, source, problem, reason: str) -> Accepted:
    """The same for a folder or workbook, which is not written to: kept in accepted.csv beside it.

    Raises
    ------
    RecordsError
        When no reason is given, or that file cannot be read or written.
    """
    if not reason.strip():
        raise StoreError(NO_REASON)
    rows = connection.execute(_as_accepted(problem), {"reason": reason.strip()}).fetchall()
    return Accepted(problem.what, len(rows), reason.strip(), str(keep_beside(source, rows)))


def _as_accepted(problem):
    return (
        "select file, \"row\", column_name, coalesce(found, ''), $reason, now()::timestamp "
        f"from ({problem.rows_sql}) order by all"
    )
