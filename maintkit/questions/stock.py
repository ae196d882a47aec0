"""Which parts to order, and when the last of those no longer made is gone?"""

from dataclasses import dataclass
from datetime import date

from maintkit.decide.spares import LEAD_DAYS, Ordering, order_list
from maintkit.decide.stocking import lasting
from maintkit.quarter.marked import orders_refused
from maintkit.quarter.programme import planned_parts, usable
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted, first_record
from maintkit.quarter.shelf import (
    demand_in,
    donor_parts,
    donor_table,
    kinds_on_record,
    last_counts,
    old_stock,
    on_hand,
)
from maintkit.survival.results import Limited

REVIEW_DAYS = 91.0
PROTECTION = 0.95
PART_GOOD = 0.8  # share of donor parts that still work: common practice, no source
NAMED = 3
UNLIKELY = 0.005
OBSOLETE_COLUMNS = [
    "part_type", "used", "used_per_year", "on_hand", "in_donors", "years", "years_low", "years_high", "years_with_donors",
    "years_with_donors_low", "years_with_donors_high",
]  # fmt: skip


@dataclass(frozen=True)
class Ordered:
    """So many of a part to order."""

    part_type: str
    number: float


@dataclass(frozen=True)
class RunsOut:
    """The part most likely to run out before an order comes: the chance, what is in stock, used a year, and days to get it."""

    part_type: str
    chance: float
    in_stock: float
    used_a_year: float
    days: float


@dataclass(frozen=True)
class Count:
    """When a part was last counted."""

    part_type: str
    day: date


@dataclass(frozen=True)
class NotUsable:
    """Parts in stock an order does not count on, for they stood too long; ``used`` of them the plan re-forms and takes."""

    part_type: str
    number: int
    used: int


@dataclass(frozen=True)
class OrderParts:
    """What to order so that stock lasts until the next order has come.

    Attributes
    ----------
    part_types, counted : int
        Kinds of part on record, and those of them that were counted.
    protection, review_days, lead_days : float
        The chance wanted, days until the next order, and days a part takes that names none.
    first : tuple of Ordered
        The first of the ``kinds`` to order.
    planned : int
        Of all ordered, what the work plan takes.
    cost : float
        Of the kinds whose cost is known; ``unknown_cost`` are not.
    bought : int
        Kinds that are counted and can be bought; ``never_used`` of them were not put in on record.
    worst : RunsOut or None
        None where none is likely to run out.
    oldest : Count or None
    too_old : tuple of NotUsable
    refused : tuple of str
        Kinds whose order was refused and that were not put in since.
    """

    part_types: int
    counted: int
    protection: float
    review_days: float
    kinds: int
    first: tuple[Ordered, ...]
    planned: int
    cost: float
    unknown_cost: int
    bought: int
    never_used: int
    worst: RunsOut | None
    oldest: Count | None
    too_old: tuple[NotUsable, ...]
    parts_used: int
    table: object
    lead_days: float = LEAD_DAYS
    refused: tuple[str, ...] = ()

    @property
    def more(self) -> int:
        """Kinds to order beyond the first."""
        return self.kinds - len(self.first)

    counts = counted("parts_used")


@dataclass(frozen=True)
class Last:
    """The part no longer made that is gone first: in stock, used, in donors, and years until the last one of either is used."""

    part_type: str
    in_stock: float
    used: int
    in_donors: int
    years: Limited
    years_with_donors: Limited


@dataclass(frozen=True)
class LastOfThem:
    """The parts no longer made: ``first`` is None where none was counted, or where the records are of a day (``is_watched``).

    ``part_good`` is the share of parts in donors taken to be good.
    """

    part_types: int
    used: int
    in_donors: int
    is_watched: bool
    first: Last | None
    part_good: float
    table: object

    counts = counted(parts_used="used")


def order_parts(
    quarter: Quarter, *, protection: float = PROTECTION, review_days: float = REVIEW_DAYS
) -> OrderParts:
    """What to order so that stock lasts until the next order has come, and what may run out before."""
    demand, years = demand_in(quarter)
    refused = orders_refused(quarter)
    ordering = Ordering(protection, review_days, years, planned_parts(quarter), frozenset(refused))
    types, may_use = kinds_on_record(quarter), usable(quarter)
    table = order_list(types, demand, on_hand(quarter), ordering=ordering, usable=may_use)
    counted = table[table["on_hand"].notna()]
    can_buy = counted["obtainable"] != "no"
    order = counted[(counted["order"] > 0) & can_buy]
    return OrderParts(
        part_types=len(table),
        counted=len(counted),
        protection=protection,
        review_days=review_days,
        kinds=len(order),
        first=tuple(Ordered(row.part_type, float(row.order)) for row in order.head(NAMED).itertuples()),
        planned=int(order[["order", "planned"]].min(axis=1).sum()),
        cost=float(order["order_cost"].sum()),
        unknown_cost=int(order["order_cost"].isna().sum()),
        bought=int(can_buy.sum()),
        never_used=int((can_buy & (counted["used"] == 0)).sum()),
        worst=_worst(counted),
        oldest=_oldest(quarter),
        too_old=tuple(
            NotUsable(one.part_type, one.in_stock - may_use[one.part_type], may_use[one.part_type])
            for one in old_stock(quarter)
            if one.in_stock > may_use[one.part_type]
        ),
        parts_used=int(table["used"].sum()) if len(table) else 0,
        table=table,
        refused=refused,
    )


def _worst(counted) -> RunsOut | None:
    names = {"runs_out": "chance", "on_hand": "in_stock", "used_per_year": "used_a_year", "lead_days": "days"}
    worst = counted.head(1).query("runs_out >= @UNLIKELY").rename(columns=names)
    numbers = dict.fromkeys(["chance", "in_stock", "used_a_year", "days"], float)
    return first_record(RunsOut, worst.astype(numbers))


def _oldest(quarter: Quarter) -> Count | None:
    """The oldest of the last counts of stock."""
    counts = last_counts(quarter).sort_values(["counted_on", "part_type"], kind="stable")
    return first_record(Count, counts.rename(columns={"counted_on": "day"}))


def last_of_them(quarter: Quarter, *, part_good: float = PART_GOOD) -> LastOfThem:
    """Parts no longer made: years until the last one is gone, from stock alone and with those the donors hold."""
    table = _obsolete_table(quarter, part_good=part_good)
    known = table.head(1).dropna(subset="on_hand").rename(columns={"on_hand": "in_stock"})
    return LastOfThem(
        part_types=len(table),
        used=int(table["used"].sum()),
        in_donors=int(table["in_donors"].sum()),
        is_watched=bool(table["used_per_year"].notna().any()),
        first=first_record(Last, known.astype({"in_stock": float})),
        part_good=part_good,
        table=table,
    )


def _obsolete_table(quarter: Quarter, *, part_good: float):
    """A row per part that cannot be bought: use, stock, donors, years left of either; what was never counted has no years."""
    import pandas as pd

    demand, years = demand_in(quarter)
    counted, types = on_hand(quarter), quarter.table("part_types")
    in_donors = donor_parts(quarter, donor_table(quarter))
    rows = []
    for name in types.loc[types["obtainable"] == "no", "part_type"]:
        own, count = demand.get(name), counted.get(name)
        held = sum(parts.get(name, 0) for parts in in_donors.values())
        a_year = None if not years else own.used / own.years if own else 0.0
        row = [name, own.used if own else 0, a_year, count, held]
        for more in (0, int(part_good * held)):
            if count is None or not years:
                row += [None] * 3
            else:  # what was never used in the years on record has half a use in them
                rate, shape = (own.a_year, own.shape) if own else (0.5 / years, 0.5)
                row += lasting(count + more, rate, shape=shape)
        rows.append(row)
    table = pd.DataFrame(rows, columns=OBSOLETE_COLUMNS)
    return table.sort_values(["years", "part_type"], kind="stable").reset_index(drop=True)
