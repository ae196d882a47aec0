"""Parts taken from a module for another: who owes whom, until work puts one back."""

from dataclasses import dataclass
from datetime import date

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.rows import text_of


@dataclass(frozen=True)
class Debt:
    """Parts that one module lent another and has not had back; ``borrower`` is None where the work names no module."""

    lender: str
    place: str | None
    part_type: str
    quantity: int
    borrower: str | None
    since: date
    days: int


@once_a_quarter
def debts(quarter: Quarter) -> tuple[Debt, ...]:
    """What modules lent and wait for, longest first.

    A part taken is owed until as many of its type were put into the module that lent it, by a replacement or a re-cap, or an
    inspection found that module working. What was taken from modules that were scrapped since is owed to nobody.
    """
    import pandas as pd

    end, roster = pd.Timestamp(quarter.last_day), quarter.evidence.roster.set_index("serial")
    columns = ("repair", "done_on", "serial", "part_type", "quantity", "donor_serial")
    repairs = quarter.table("repairs", *columns)
    taken = repairs[repairs["done_on"] <= end].dropna(subset=["donor_serial", "part_type"])
    taken = taken[taken["donor_serial"].map(roster["scrapped_on"].isna()).eq(True)]
    if not len(taken):
        return ()
    work = quarter.evidence.work
    receivers = dict(zip(work["repair"], work["serial"], strict=True))
    places = roster.loc[taken["donor_serial"].unique(), ["desk", "position"]].dropna().agg(" ".join, axis=1)
    kinds = quarter.table("part_types").set_index("part_type")["kind"]
    seen = quarter.table("inspections")
    working = seen[seen["condition"].eq("working") & (seen["inspected_on"].dt.date <= quarter.last_day)]
    owed = []
    taken = taken.sort_values("done_on", kind="stable")
    for (lender, part), own in taken.groupby(["donor_serial", "part_type"]):
        whole = working.loc[working["serial"] == lender, "inspected_on"]
        put_back = _put_back(work[work["serial"] == lender], part, kinds.get(part), whole)
        for row, left in _still_owed(own, put_back):
            borrower = receivers.get(row.repair, text_of(row.serial))
            since, days = row.done_on.date(), (end - row.done_on).days
            owed.append(Debt(lender, places.get(lender), part, left, borrower, since, days))
    return tuple(sorted(owed, key=lambda one: (one.since, one.lender, one.part_type)))


def lent_by(quarter: Quarter, serial: str) -> tuple[str, ...]:
    """The part types that a module lent and has not had back."""
    return tuple(dict.fromkeys(one.part_type for one in debts(quarter) if one.lender == serial))


def _still_owed(taken, put_back):
    """Each taking with how many of it are owed still, the oldest paid first; what was put in before a taking does not pay it."""
    paid = [[day, number] for day, number in put_back]
    for row in taken.itertuples():
        left = int(row.quantity) if row.quantity == row.quantity else 1
        for one in paid:
            if one[0] >= row.done_on:
                used = min(left, one[1])
                left, one[1] = left - used, one[1] - used
        if left:
            yield row, left


def _put_back(work, part, kind, whole):
    """Days on which parts of a type came into a module, and how many; without limit where it was re-capped or found working."""
    import math

    fitted = work[work["action"].eq("replace") & work["part_type"].eq(part)]
    found = list(zip(fitted["done_on"], fitted["quantity"].fillna(1), strict=True))
    days = [*work.loc[work["action"].eq("re-cap"), "done_on"]] if kind == "electrolytic" else []
    return sorted([*found, *((day, math.inf) for day in [*days, *whole])])
