"""Which names were taken as one, and which may be one besides?"""

from dataclasses import dataclass

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.records.spelling import taken_as_one
from maintkit.records.twins import Twins, near_twins

COLUMNS = ["names", "desk", "shown", "rows", "written", "rows_written", "taken_as_one", "line_to_add"]


@dataclass(frozen=True)
class Names:
    """Names shown in one spelling that were written in others, pairs that may be one, and the first such pair."""

    joined: int
    spellings: int
    twins: int
    first: Twins | None
    table: object

    counts = counted(names_taken_as_one="joined", near_twins="twins")


def facts(quarter: Quarter) -> Names:
    """Near twins that were not taken as one, each with the line of mapping.toml that joins the two, then spellings that were."""
    import pandas as pd

    connection = quarter.records.connection
    one, twins = taken_as_one(connection), near_twins(connection)
    rows = []
    for pair in twins:
        names = (pair.column, pair.scope, pair.name, pair.rows, pair.other, pair.other_rows)
        rows.append((*names, "no", f"{pair.section} {pair.line}"))
    rows += [(own.column, own.scope, own.shown, None, own.written, own.rows, "yes", None) for own in one]
    return Names(
        joined=len({(spelled.column, spelled.scope, spelled.shown) for spelled in one}),
        spellings=len(one),
        twins=len(twins),
        first=max(twins, key=lambda pair: pair.other_rows, default=None),
        table=pd.DataFrame(rows, columns=COLUMNS),
    )
