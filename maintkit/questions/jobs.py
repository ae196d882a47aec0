"""The planned jobs as sheets to take along: what to pull when, with hours, joints and kit; and the whole kit against the stock."""

from maintkit.quarter.quarter import Quarter
from maintkit.questions.bench_parts import kit, likely_parts
from maintkit.report.finding import Finding

JOB_COLUMNS = [
    "serial",
    "desk",
    "position",
    "pull_from",
    "how",
    "bench_hours",
    "capacitors",
    "joints",
    "kit",
    "minutes_saved",
]
SUMMED = ["bench_hours", "capacitors", "joints", "minutes_saved"]
KIT_COLUMNS = [
    "part_type",
    "modules",
    "quantity",
    "joints",
    "in_stock",
    "to_get",
    "obtainable",
    "lead_time_days",
    "unit_cost",
    "cost",
]
TOTAL = "total"


def job_sheet(plan: Finding):
    """A row per module to pull, as the work plan has them, and their sums below.

    Examples
    --------
    >>> from maintkit.report.finding import Finding
    >>> len(job_sheet(Finding("work-plan", "Pull no module.")))
    0
    """
    import pandas as pd

    if plan.table is None or not len(plan.table):
        return pd.DataFrame(columns=JOB_COLUMNS)
    table = plan.table.reindex(columns=JOB_COLUMNS)
    return _with_total(table, "serial", SUMMED)


def kit_sheet(quarter: Quarter, serials):
    """What the overhaul of these modules takes, part by part, against the last count; sums below."""
    import pandas as pd

    kits = [kit(quarter, serial, likely_parts(quarter, serial)) for serial in serials]
    kits = [one for one in kits if len(one)]
    if not kits:
        return pd.DataFrame(columns=KIT_COLUMNS)
    table = (
        pd.concat(kits)
        .groupby("part_type", sort=True)
        .agg(
            modules=("quantity", "size"),
            quantity=("quantity", "sum"),
            joints=("joints", "sum"),
            in_stock=("in_stock", "first"),
            obtainable=("obtainable", "first"),
        )
        .reset_index()
    )
    table["to_get"] = (table["quantity"] - table["in_stock"].fillna(0)).clip(lower=0)
    types = quarter.table("part_types").set_index("part_type")
    for column in ("lead_time_days", "unit_cost"):
        table[column] = table["part_type"].map(types[column])
    table["cost"] = table["quantity"] * table["unit_cost"]
    return _with_total(table[KIT_COLUMNS], "part_type", ["quantity", "joints", "to_get", "cost"])


def _with_total(table, label: str, summed: list[str]):
    """The table with a last row of sums."""
    import pandas as pd

    total = {label: TOTAL, **{column: table[column].sum() for column in summed}}
    last = pd.DataFrame([total]).reindex(columns=table.columns)
    return pd.concat([table.astype(object), last.astype(object)], ignore_index=True)
