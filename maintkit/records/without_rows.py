"""A record book as it would be without some of its rows: nothing is deleted, the rows are only not seen."""

from contextlib import contextmanager

from .tables import TABLES


@contextmanager
def rows_set_aside(connection, query: str):
    """Within it, the record tables are seen without the rows that ``query`` names.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        A record book, read-only will do: temporary views of the tables' names stand before the tables.
    query : str
        SQL that gives ``source_file`` and ``source_row``, and may give more.

    Yields
    ------
    dict of str to int
        How many rows each table is without; tables that lose none are not in it.

    Examples
    --------
    >>> import duckdb
    >>> from maintkit.records.keeping import create_tables
    >>> book = duckdb.connect()
    >>> create_tables(book)
    >>> _ = book.execute("insert into tickets (ticket, source_file, source_row) values ('T1', 't', 2), ('T2', 't', 3)")
    >>> with rows_set_aside(book, "select source_file, source_row from tickets where ticket = 'T1'") as without:
    ...     print(without, book.execute("select ticket from tickets").fetchall())
    {'tickets': 1} [('T2',)]
    >>> book.execute("select count(*) from tickets").fetchall()
    [(2,)]
    """
    home = connection.execute("select current_database()").fetchall()[0][0].replace('"', '""')
    connection.execute(
        f"create or replace temp table set_aside as select distinct source_file, source_row from ({query})"
    )
    without = {}
    try:
        for table in TABLES:
            rows = _rows_of(connection, table.name)
            if rows:
                connection.execute(
                    f'create temp view "{table.name}" as select * from "{home}".main."{table.name}" '
                    "anti join set_aside using (source_file, source_row)"
                )
                without[table.name] = rows
        yield without
    finally:
        for name in without:
            connection.execute(f'drop view temp."{name}"')
        connection.execute("drop table temp.set_aside")


def _rows_of(connection, name):
    return connection.execute(
        f'select count(*) from "{name}" semi join set_aside using (source_file, source_row)'
    ).fetchall()[0][0]
