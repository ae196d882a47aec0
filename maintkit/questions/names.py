"""Which names were taken as one, and which may be one besides?"""

from dataclasses import dataclass

from maintkit.quarter.quarter import Quarter
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

    @property
    def counts(self) -> dict:
        return {"names_taken_as_one": self.joined, "near_twins": self.twins}


def facts(quarter: Quarter) -> Names:
    """Spellings taken as one, then near twins that were not, each with the line of mapping.toml that joins the two."""
    import pandas as pd

    connection = quarter.records.connection
    one, twins = taken_as_one(connection), near_twins(connection)
    rows = [
        {
            "names": spelled.column,
            "desk": spelled.scope,
            "shown": spelled.shown,
            "written": spelled.written,
            "rows_written": spelled.rows,
            "taken_as_one": "yes",
        }
        for spelled in one
    ]
    rows += [
        {
            "names": pair.column,
            "desk": pair.scope,
            "shown": pair.name,
            "rows": pair.rows,
            "written": pair.other,
            "rows_written": pair.other_rows,
            "taken_as_one": "no",
            "line_to_add": f"{pair.section} {pair.line}",
        }
        for pair in twins
    ]
    return Names(
        joined=len({(spelled.column, spelled.scope, spelled.shown) for spelled in one}),
        spellings=len(one),
        twins=len(twins),
        first=max(twins, key=lambda pair: pair.other_rows, default=None),
        table=pd.DataFrame(rows, columns=COLUMNS),
    )
