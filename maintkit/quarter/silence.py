"""Quarters of which nobody wrote anything down."""

import numpy as np

from maintkit.decide.past_quarters import silent
from maintkit.quarter.quarter import Quarter, quarter_of
from maintkit.quarter.remember import once_a_quarter


@once_a_quarter
def silent_quarters(quarter: Quarter) -> frozenset[str]:
    """Labels of the quarters without a ticket or work of any desk, between two with so many that chance leaves none out."""
    rows = quarter.records.connection.execute(
        "with entries as (select date_trunc('quarter', day) as begun from "
        "(select raised_on::date as day from tickets union all select done_on from repairs) where day <= $last) "
        "select quarters.begun::date, count(entries.begun) "
        "from (select unnest(generate_series(min(begun), max(begun), interval 3 month)) as begun from entries) as quarters "
        "left join entries using (begun) group by all order by all",
        {"last": quarter.last_day},
    ).fetchall()
    is_silent = silent(np.array([entries for _, entries in rows]))
    return frozenset(quarter_of(begun) for (begun, _), one in zip(rows, is_silent, strict=True) if one)
