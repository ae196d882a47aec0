"""Which donor modules are worth their shelf, and which parts run out?"""

from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.shelf import CONDITIONS, RE_FORM_AFTER_YEARS, donor_parts, donor_table, on_hand
from maintkit.questions.say import several
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding
from maintkit.survival.rates import rate


def donor_modules(quarter: Quarter) -> Finding:
    """Every module that is in no desk in service: its condition, board, years on the shelf and the scarce parts it holds."""
    table = donor_table(quarter)
    return Finding(
        key="donor-modules",
        title=_donor_title(table) if len(table) else none_idle(quarter),
        table=table,
        caveats=(
            "Electrolytics are never a reason to keep a donor; chips, switches, faders and other parts that cannot be "
            "bought are.",
            f"A module unpowered for more than {RE_FORM_AFTER_YEARS} years wants its electrolytics re-formed and checked "
            "before it is called ready: its first powered day is a risk.",
            "Condition is that of the last inspection; a module never inspected is of unknown condition.",
        ),
        counts={"modules": len(table)},
    )


def scarce_parts(quarter: Quarter) -> Finding:
    """Parts that are scarce or no longer made: use a year, stock, what the donors hold, and how long that lasts."""
    table = scarce_table(quarter)
    title = _scarce_title(table)
    drawn = table.assign(
        label=table["part_type"],
        value=table["used_per_year"],
        low=table["used_per_year_low"],
        high=table["used_per_year_high"],
        failures=table["used"],
        exposure=table["years_of_records"],
    )
    return Finding(
        key="scarce-parts",
        title=title,
        table=table,
        figure=interval_figure(
            drawn[["label", "value", "low", "high", "failures", "exposure"]],
            title=title,
            axis="parts used a calendar year",
        )
        if len(table)
        else None,
        caveats=(
            "Use is every one put in, faults and planned work alike, since the records began; years are stock, then stock "
            "and donors, over that use, as if demand stayed what it was.",
            "A part from a donor brings its own age and heat history.",
        ),
        counts={"parts_used": int(table["used"].sum()) if len(table) else 0},
    )


def scarce_table(quarter: Quarter):
    """A row per scarce part type: used, use a year with limits, stock, held by donors, years until none is left."""
    import pandas as pd

    evidence, end = quarter.evidence, pd.Timestamp(quarter.last_day)
    years = (end - evidence.stays["from_on"].min()).days / DAYS_PER_YEAR if len(evidence.stays) else 0.0
    work = evidence.work[
        (evidence.work["action"] == "replace") & (evidence.work["done_on"] >= evidence.stays["from_on"].min())
    ]
    used = work.groupby("part_type")["quantity"].sum()
    stock = on_hand(quarter)
    held: dict = {}
    for parts in donor_parts(quarter, donor_table(quarter)).values():
        for name, number in parts.items():
            held[name] = held.get(name, 0) + number
    rows = []
    types = quarter.table("part_types")
    for part in types[types["obtainable"].isin(["scarce", "no"])].sort_values("part_type").itertuples():
        number = int(used.get(part.part_type, 0))
        rows.append(
            {
                "part_type": part.part_type,
                "obtainable": part.obtainable,
                "used": number,
                "years_of_records": years,
                **_used_a_year(number, years),
                "in_stock": stock.get(part.part_type),
                "in_donors": int(held.get(part.part_type, 0)),
            }
        )
    columns = [
        "part_type",
        "obtainable",
        "used",
        "years_of_records",
        "used_per_year",
        "used_per_year_low",
        "used_per_year_high",
        "in_stock",
        "in_donors",
    ]
    table = pd.DataFrame(rows, columns=columns)
    table["in_stock"] = pd.to_numeric(table["in_stock"])
    table["years_in_stock"] = table["in_stock"] / table["used_per_year"].where(table["used_per_year"] > 0)
    table["years_with_donors"] = (table["in_stock"].fillna(0) + table["in_donors"]) / table[
        "used_per_year"
    ].where(table["used_per_year"] > 0)
    return table.sort_values("years_in_stock", kind="stable", na_position="last").reset_index(drop=True)


def _used_a_year(number: int, years: float) -> dict:
    """Use a year with limits; not a number where no time was watched."""
    found = rate(number, years) if years > 0 else None
    return {
        f"used_per_year{end}": getattr(found, name, float("nan"))
        for end, name in (("", "value"), ("_low", "low"), ("_high", "high"))
    }


def none_idle(quarter: Quarter) -> str:
    """Why there is no donor to speak of."""
    roster = quarter.evidence.roster
    if not len(roster):
        return "No donor modules on record, for no module is; modules and fitments would say what there is and where."
    scrapped = int(roster["scrapped_on"].notna().sum())
    return "No donor modules on record: every module on the roster sits in a desk in service" + (
        f" or was scrapped ({scrapped})." if scrapped else "."
    )


def _donor_title(table) -> str:
    by = table["condition"].value_counts()
    said = ", ".join(f"{by[name]} {name}" for name in [*CONDITIONS, "not inspected"] if name in by)
    best = table[(table["condition"] != "strip only") & (table["scarce_parts"] > 0)]
    return f"{several(len(table), 'module')} in no desk: {said}; {len(best)} of those not for stripping hold scarce parts."


def _scarce_title(table) -> str:
    if not len(table):
        return (
            "No part type is marked scarce or no longer made; the column obtainable of part_types would say."
        )
    known = table[table["years_in_stock"].notna()]
    if not len(known):
        return (
            f"{several(len(table), 'kind')} of part {'is' if len(table) == 1 else 'are'} scarce, but none has both a stock count and "
            "recorded use, so no end can be told."
        )
    first = known.iloc[0]
    return (
        f"{first['part_type']} runs out first: {first['in_stock']:.0f} in stock against {first['used_per_year']:.1f} used a "
        f"year ({first['used_per_year_low']:.1f} to {first['used_per_year_high']:.1f}) last about "
        f"{first['years_in_stock']:.1f} years, {first['years_with_donors']:.0f} with the {first['in_donors']} in donors."
    )
