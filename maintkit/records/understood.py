"""How much of the files was understood: rows and cells, of all loads that stand, and what must be said before anything else."""

from dataclasses import dataclass

from .checks import REPEATS

MOST_ROWS, MOST_CELLS = 0.05, 0.10  # shares not understood above which the first page says so first


@dataclass(frozen=True)
class NotUnderstood:
    """A table's rows, or the filled cells of one of its columns, and how many of them were not understood."""

    table: str
    column: str  # '' for the rows
    read: int
    lost: int

    @property
    def share(self) -> float:
        """Of those read."""
        return self.lost / self.read

    @property
    def comes_first(self) -> bool:
        """Whether so much was lost that it must be said before anything else."""
        return self.share > (MOST_CELLS if self.column else MOST_ROWS)


def what_was_not_understood(connection) -> list[NotUnderstood]:
    """Tables that lost rows, then columns that lost cells, each with the most lost first; of the latest load of each file.

    Rows that repeat another were understood and are not counted, nor is what was accepted; blank cells are not cells read.
    """
    rows = connection.execute(f"""
        with known as (select distinct file, "row", column_name from accepted),
        latest as (select file, table_name, max(load) as load from load_files group by all),
        rows_read as (
            select table_name, '' as column_name, sum(rows_in)::bigint as cells_read,
                   (select count(*) from turned_away join latest as own using (file, table_name, load)
                    anti join known using (file, "row", column_name)
                    where turned_away.table_name = load_files.table_name and rule not like '%{REPEATS}')::bigint as lost
            from load_files join latest using (file, table_name, load)
            group by all
        ),
        left_so as (
            select table_name, column_name, count(*) as cells
            from not_understood join latest using (file, table_name, load) semi join known using (file, "row", column_name)
            group by all
        ),
        cells_read as (
            select table_name, column_name, sum(load_columns.cells - blank)::bigint as cells_read,
                   (sum(not_understood) - coalesce(any_value(left_so.cells), 0))::bigint as lost
            from load_columns join latest using (file, table_name, load) left join left_so using (table_name, column_name)
            group by all
        )
        select table_name, column_name, cells_read, lost from (from rows_read union all from cells_read)
        where lost > 0
        order by column_name <> '', lost / cells_read desc, table_name, column_name
        """).fetchall()
    return [NotUnderstood(*row) for row in rows]


def drafted_tables(connection) -> dict[str, int]:
    """How many desks and slots were drafted from the entries, by table, in the latest load; empty where none was."""
    return dict(
        connection.execute(
            "select table_name, \"rows\" from drafted where table_name <> 'part_types' and load = (select max(load) from drafted "
            "anti join undone using (load)) order by table_name"
        ).fetchall()
    )
