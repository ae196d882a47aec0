"""The planned jobs as sheets to take along: what to pull when, with hours, joints and kit; and the whole kit against the stock."""

from maintkit.quarter.programme import planned_kit
from maintkit.quarter.quarter import Quarter

JOB_COLUMNS = [
    "serial", "desk", "position", "bay", "quarter", "pull_from", "back_by", "how", "bench_hours", "capacitors", "joints", "kit",
    "known_good", "minutes_saved",
]  # fmt: skip
SUMMED = ["bench_hours", "capacitors", "joints", "minutes_saved"]
KIT_COLUMNS = [
    "part_type", "modules", "quantity", "joints", "in_stock", "usable", "to_get", "obtainable", "lead_time_days", "unit_cost", "cost",
]  # fmt: skip
TOTAL = "total"


def job_sheet(plan):
    """A row per module to pull, as the table of the bench plan has them (or None), and their sums below.

    Examples
    --------
    >>> len(job_sheet(None))
    0
    """
    import pandas as pd

    if plan is None or not len(plan):
        return pd.DataFrame(columns=JOB_COLUMNS)
    return _with_total(plan.reindex(columns=JOB_COLUMNS), "serial", SUMMED)


def kit_sheet(quarter: Quarter):
    """What the pulls of the coming quarter take, part by part, against what of the last count is usable; sums below."""
    table = planned_kit(quarter)
    types = quarter.table("part_types").set_index("part_type")
    table = table.assign(
        **{column: table["part_type"].map(types[column]) for column in ("lead_time_days", "unit_cost")}
    )
    table["cost"] = table["quantity"] * table["unit_cost"]
    table = table[KIT_COLUMNS]
    return _with_total(table, "part_type", ["quantity", "joints", "to_get", "cost"]) if len(table) else table


def _with_total(table, label: str, summed: list[str]):
    """The table with a last row of sums."""
    import pandas as pd

    total = {label: TOTAL, **{column: table[column].sum() for column in summed}}
    last = pd.DataFrame([total]).reindex(columns=table.columns)
    return pd.concat([table.astype(object), last.astype(object)], ignore_index=True)
