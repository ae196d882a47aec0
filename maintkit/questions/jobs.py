"""The planned jobs as sheets to take along: what to do when, with hours, joints and kit; and the whole kit against the stock."""

from maintkit.quarter.marked import RE_FORM, READY, RECAP
from maintkit.quarter.programme import planned_kit
from maintkit.quarter.quarter import Quarter, quarter_days, quarter_of

JOB_COLUMNS = [
    "what", "serial", "desk", "position", "bay", "quarter", "begin_from", "done_by", "how", "bench_hours", "capacitors", "joints",
    "kit", "known_good", "minutes_saved",
]  # fmt: skip
DAYS = {"pull_from": "begin_from", "back_by": "done_by"}
SUMMED = ["bench_hours", "capacitors", "joints", "minutes_saved"]
KIT_COLUMNS = [
    "part_type", "modules", "quantity", "joints", "in_stock", "usable", "to_get", "obtainable", "lead_time_days", "unit_cost", "cost",
]  # fmt: skip
TOTAL = "total"


def job_sheet(plan):
    """A row per module to pull, spare and old stock to make ready, as the bench plan (or None) has them, and their sums below.

    Examples
    --------
    >>> len(job_sheet(None))
    0
    """
    import pandas as pd

    if plan is None or plan.table is None or not len(plan.table):
        return pd.DataFrame(columns=JOB_COLUMNS)
    pulls = plan.table.rename(columns=DAYS).assign(what=RECAP)
    first = pd.DataFrame([*_spares(plan), *_old_stock(plan)], columns=JOB_COLUMNS)
    jobs = pd.concat([first.astype(object), pulls.reindex(columns=JOB_COLUMNS).astype(object)])
    return _with_total(jobs.sort_values("begin_from", kind="stable"), "what", SUMMED)


def _spares(plan):
    """A row per spare made ready."""
    for batch in plan.batches:
        for serial in batch.serials:
            yield {
                "what": READY,
                "serial": serial,
                "quarter": quarter_of(batch.start_by),
                "begin_from": batch.start_by,
                "done_by": batch.ready_by,
                "how": "re-form, soak, test",
                "bench_hours": batch.hours / batch.number,
            }


def _old_stock(plan):
    """A row per part of old stock made ready, all of them before the first pull that takes some."""
    for one in plan.re_formed:
        yield {
            "what": RE_FORM,
            "quarter": plan.quarter,
            "begin_from": quarter_days(plan.quarter)[0],
            "done_by": one.by,
            "how": "from stock, each checked",
            "bench_hours": one.hours,
            "kit": f"{one.number} {one.part_type}",
        }


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
