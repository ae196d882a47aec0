"""How well the record was kept over time: tickets month by month, and what was left out year by year."""

from datetime import date
from importlib.resources import files

from maintkit.actions import put_actions


def ticket_months(connection, last_day: date):
    """Tickets of each desk month by month, as a DataFrame: ``desk, month, days, tickets``.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        A record book; it is only read.
    last_day : datetime.date
        Last day of the record, inclusive.

    Returns
    -------
    DataFrame
        One row a desk and month on record, ordered so; ``days`` are those of the month the desk was on record.
    """
    return _frame(connection, "coverage", last_day)


def habit_years(connection, last_day: date):
    """What entries left out year by year, as a DataFrame: ``habit, year, entries, missing``.

    Parameters and order are those of :func:`ticket_months`; ``entries`` is how many could have had it.
    """
    table = _frame(connection, "habits", last_day)
    return table[table["desk"].isna()].drop(columns="desk").reset_index(drop=True)


def habit_desks(connection, last_day: date):
    """What entries left out desk by desk: ``habit, desk, entries, missing``; parameters and order as of :func:`habit_years`."""
    table = _frame(connection, "habits", last_day)
    return table[table["desk"].notna()].drop(columns="year").reset_index(drop=True)


def _frame(connection, name, last_day):
    put_actions(connection)
    query = (files("maintkit.records") / f"{name}.sql").read_text(encoding="utf-8")
    return connection.execute(query, {"last_day": last_day}).df()
