"""Quarters of which nobody wrote anything down."""

from datetime import timedelta
from itertools import pairwise

from maintkit.decide.past_quarters import FEWEST_BESIDE
from maintkit.quarter.quarter import Quarter, quarter_days, quarter_of
from maintkit.quarter.remember import once_a_quarter


@once_a_quarter
def silent_quarters(quarter: Quarter) -> frozenset[str]:
    """Labels of the quarters without a ticket or work of any desk, between two with so many that chance leaves none out."""
    rows = quarter.records.connection.execute(
        "select date_trunc('quarter', day)::date as begun, count(*) from "
        "(select raised_on::date as day from tickets union all select done_on from repairs) "
        "where day <= $last group by all order by all",
        {"last": quarter.last_day},
    ).fetchall()
    found = set()
    for (before, entries), (after, more) in pairwise(rows):
        label = quarter_of(before)
        while min(entries, more) >= FEWEST_BESIDE and (label := _after(label)) != quarter_of(after):
            found.add(label)
    return frozenset(found)


def _after(label: str) -> str:
    return quarter_of(quarter_days(label)[1] + timedelta(days=1))
