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


def habits(connection, last_day: date):
    """What entries left out, year by year and desk by desk: a pair of DataFrames, ``habit, year, entries, missing`` and ``habit,
    desk, entries, missing``.

    Parameters and order are those of :func:`ticket_months`; ``entries`` is how many could have had it.
    """
    table = _frame(connection, "habits", last_day)
    of_year = table["desk"].isna()
    by_year, by_desk = table[of_year].drop(columns="desk"), table[~of_year].drop(columns="year")
    return by_year.reset_index(drop=True), by_desk.reset_index(drop=True)


def _frame(connection, name, last_day):
    put_actions(connection)
    query = (files("maintkit.records") / f"{name}.sql").read_text(encoding="utf-8")
    return connection.execute(query, {"last_day": last_day}).df()
