"""Which parts to order, and when the last of those no longer made is gone?"""

from maintkit.decide.spares import LEAD_DAYS, Ordering, order_list
from maintkit.decide.stocking import lasting
from maintkit.quarter.programme import planned_parts
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.shelf import demand_in, donor_parts, donor_table, last_counts, on_hand
from maintkit.questions.say import several
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding

REVIEW_DAYS = 91.0
PROTECTION = 0.95
PART_GOOD = 0.8  # share of donor parts that still work: common practice, no source
NAMED = 3
UNLIKELY = 0.005


def order_parts(
    quarter: Quarter, *, protection: float = PROTECTION, review_days: float = REVIEW_DAYS
) -> Finding:
    """What to order so that stock lasts until the next order has come, and what may run out before."""
    table = stock_table(quarter, protection=protection, review_days=review_days)
    return Finding(
        key="order-parts",
        title=_order_title(table, protection),
        table=table,
        caveats=(
            f"Stock must last with a chance of {100 * protection:.0f} % until an order made {review_days:.0f} "
            f"days from now has come; a part without lead_time_days is taken to need {LEAD_DAYS:.0f}.",
            "Demand is every part put in one by one since the records began, or in the last three years where use "
            "rose or fell. What the work plan of the coming quarter takes is ordered on top (column planned); a whole "
            "re-cap campaign is not.",
            "Only desks still in service count. Parts no longer made are listed, but cannot be ordered.",
            *_counted(quarter),
        ),
        counts={"parts_used": int(table["used"].sum()) if len(table) else 0},
    )


def last_of_them(quarter: Quarter, *, part_good: float = PART_GOOD) -> Finding:
    """Parts no longer made: years until the last one is gone, from stock alone and with those the donors hold."""
    table = obsolete_table(quarter, part_good=part_good)
    title = _last_title(table)
    drawn = _two_rows(table)
    return Finding(
        key="last-of-them",
        title=title,
        table=table,
        figure=interval_figure(drawn, title=title, axis="calendar years until the last one is gone")
        if len(drawn)
        else None,
        caveats=(
            f"Of the parts in donors {100 * part_good:.0f} % are taken to be good: common practice, no source.",
            "Median and 90 % limits of the day the last one is used, if use stays what it was.",
        ),
        counts={"parts_used": int(table["used"].sum()) if len(table) else 0},
    )


def stock_table(quarter: Quarter, *, protection: float, review_days: float):
    """The order list."""
    demand, years = demand_in(quarter)
    ordering = Ordering(protection, review_days, years, planned_parts(quarter))
    return order_list(quarter.table("part_types"), demand, on_hand(quarter), ordering=ordering)


def _counted(quarter: Quarter):
    """How old the counts of stock are."""
    counts = last_counts(quarter)
    if not len(counts):
        return ()
    oldest = counts.sort_values(["counted_on", "part_type"], kind="stable").iloc[0]
    return (
        f"Stock is as it was last counted; the oldest of these counts is {oldest['part_type']}, "
        f"{oldest['counted_on']:%Y-%m-%d}.",
    )


def obsolete_table(quarter: Quarter, *, part_good: float):
    """A row per part that cannot be bought: use, stock, donors, years left of either; what was never counted has no years."""
    import pandas as pd

    demand, years = demand_in(quarter)
    counted, types = on_hand(quarter), quarter.table("part_types")
    in_donors = donor_parts(quarter, donor_table(quarter))
    rows = []
    for name in sorted(types.loc[types["obtainable"] == "no", "part_type"]):
        own = demand.get(name)
        held = sum(parts.get(name, 0) for parts in in_donors.values())
        kept = {
            "part_type": name,
            "used": own.used if own else 0,
            "used_per_year": None if not years else own.used / own.years if own else 0.0,
            "on_hand": counted.get(name),
            "in_donors": held,
        }
        for label, more in (("years", 0), ("years_with_donors", int(part_good * held))):
            # what was never used in the years on record has half a use in them
            last = (
                (None, None, None)
                if name not in counted or not years
                else lasting(
                    counted[name] + more, own.a_year if own else 0.5 / years, shape=own.shape if own else 0.5
                )
            )
            kept |= {label: last[0], f"{label}_low": last[1], f"{label}_high": last[2]}
        rows.append(kept)
    columns = [
        "part_type",
        "used",
        "used_per_year",
        "on_hand",
        "in_donors",
        "years",
        "years_low",
        "years_high",
        "years_with_donors",
        "years_with_donors_low",
        "years_with_donors_high",
    ]
    return (
        pd.DataFrame(rows, columns=columns)
        .sort_values(["years", "part_type"], kind="stable")
        .reset_index(drop=True)
    )


def _order_title(table, protection: float) -> str:
    if not len(table):
        return (
            "No part type is on record, so nothing can be ordered by these records; a part_types table and a stock "
            "count would let it."
        )
    counted = table[table["on_hand"].notna()]
    if not len(counted):
        return (
            f"{several(len(table), 'kind')} of part are on record but none was ever counted: a stock table would "
            "let the order be reckoned."
        )
    order = counted[(counted["order"] > 0) & (counted["obtainable"] != "no")]
    if not len(order):
        bought = int((counted["obtainable"] != "no").sum())
        return (
            f"Nothing need be ordered: stock lasts with a chance of {100 * protection:.0f} % or more for each of "
            f"{several(bought, 'kind')} of part that can be bought. {_worst(counted)}"
        )
    names = ", ".join(f"{row.order:.0f} {row.part_type}" for row in order.head(NAMED).itertuples())
    more = f" and {len(order) - NAMED} kinds more" if len(order) > NAMED else ""
    planned = int(order[["order", "planned"]].min(axis=1).sum())
    plan = f", {planned:,} of them for the work plan" if planned else ""
    return f"Order {names}{more}{plan}: {_cost(order)}. {_worst(counted)}"


def _cost(order) -> str:
    unknown = int(order["order_cost"].isna().sum())
    cost = f"cost {order['order_cost'].sum():,.0f}"
    if unknown == len(order):
        return "cost not known, for part_types names no unit_cost"
    return f"{cost}, without {several(unknown, 'kind')} of unknown cost" if unknown else cost


def _worst(counted) -> str:
    worst = counted.iloc[0]
    if worst["runs_out"] < UNLIKELY:
        return "None is likely to run out before an order comes."
    return (
        f"Most likely to run out before an order comes: {worst['part_type']}, {100 * worst['runs_out']:.0f} % "
        f"({worst['on_hand']:.0f} in stock, {worst['used_per_year']:.1f} used a year, {worst['lead_days']:.0f} "
        "days to get)."
    )


def _last_title(table) -> str:
    if not len(table):
        return "No part is marked as no longer made; the column obtainable of part_types would say."
    if not table["used"].any():
        return (
            f"{several(len(table), 'kind')} of part no longer made, none of which was used on record: no end can "
            "be told."
        )
    first = table.iloc[0]
    on_record = f"{several(table['used'].sum(), 'use')} on record, {table['in_donors'].sum():,} in donors"
    if table["used_per_year"].isna().all():
        return (
            f"{several(len(table), 'kind')} of part no longer made, but the records are of a day: it takes some time to tell what is used a "
            f"year, and so when the last one is gone ({on_record})."
        )
    if not _is_counted(first["on_hand"]):
        return (
            f"{several(len(table), 'kind')} of part no longer made, none of which was ever counted: a stock table would let "
            f"it be told when the last one is gone ({on_record})."
        )
    stock = f"{first['on_hand']:.0f} in stock"
    return (
        f"The last {first['part_type']} is gone in about {first['years']:.1f} years ({first['years_low']:.1f} to "
        f"{first['years_high']:.1f}; {stock}, {several(first['used'], 'use')}), with the {first['in_donors']} in "
        f"donors in {first['years_with_donors']:.0f} ({first['years_with_donors_low']:.0f} to "
        f"{first['years_with_donors_high']:.0f})."
    )


def _is_counted(number) -> bool:
    """Whether a stock count is on record."""
    return number is not None and number == number


def _two_rows(table):
    """Two rows a part for the figure: stock alone, and with donors."""
    import pandas as pd

    rows = [
        {
            "label": f"{row['part_type']}, {text}",
            "value": row[name],
            "low": row[f"{name}_low"],
            "high": row[f"{name}_high"],
        }
        for row in table.to_dict("records")
        if _is_counted(row["years"])
        for name, text in (("years", "stock alone"), ("years_with_donors", "with donors"))
    ]
    return pd.DataFrame(rows, columns=["label", "value", "low", "high"])
