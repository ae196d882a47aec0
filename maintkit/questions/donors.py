"""Which donor modules are worth their shelf, and which parts run out?"""

from dataclasses import dataclass

from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted, first_record
from maintkit.quarter.shelf import (
    CONDITIONS,
    RE_FORM_AFTER_YEARS,
    Roster,
    donor_parts,
    donor_table,
    on_hand,
    on_roster,
)
from maintkit.survival.rates import rate
from maintkit.survival.results import Limited

SCARCE_COLUMNS = [
    "part_type", "obtainable", "used", "years_of_records", "used_per_year", "used_per_year_low", "used_per_year_high", "in_stock",
    "in_donors",
]  # fmt: skip


@dataclass(frozen=True)
class Several:
    """How many there are of a name."""

    name: str
    number: int


@dataclass(frozen=True)
class Donors:
    """The modules in no desk in service: how many of each condition, and how many not for stripping hold ``scarce`` parts.

    A module unpowered for longer than ``re_form_years`` wants its electrolytics re-formed.
    """

    modules: int
    roster: Roster
    by_condition: tuple[Several, ...]
    with_scarce: int
    table: object
    re_form_years: int = RE_FORM_AFTER_YEARS

    counts = counted("modules")


@dataclass(frozen=True)
class RunsOut:
    """A part that runs out: in stock, used a year, in donors, and years each lasts."""

    part_type: str
    in_stock: float
    used_a_year: Limited
    years: float
    in_donors: int
    years_with_donors: float


@dataclass(frozen=True)
class Scarce:
    """Part types marked scarce or no longer made, and the first to run out; None where none has both a count and use."""

    part_types: int
    first: RunsOut | None
    parts_used: int
    table: object

    counts = counted("parts_used")


def donor_modules(quarter: Quarter) -> Donors:
    """Every module that is in no desk in service: its condition, board, years on the shelf and the scarce parts it holds."""
    table = donor_table(quarter)
    by = table["condition"].value_counts()
    good = table[(table["condition"] != "strip only") & (table["scarce_parts"] > 0)]
    return Donors(
        modules=len(table),
        roster=on_roster(quarter),
        by_condition=tuple(
            Several(name, int(by[name])) for name in [*CONDITIONS, "not inspected"] if name in by
        ),
        with_scarce=len(good),
        table=table,
    )


def scarce_parts(quarter: Quarter) -> Scarce:
    """Parts that are scarce or no longer made: use a year, stock, what the donors hold, and how long that lasts."""
    table = _scarce_table(quarter)
    known = table[table["years_in_stock"].notna()].rename(columns={"years_in_stock": "years"})
    known = known.rename(columns=lambda name: name.replace("used_per_year", "used_a_year"))
    return Scarce(
        part_types=len(table),
        first=first_record(RunsOut, known.astype({"in_stock": float})),
        parts_used=int(table["used"].sum()),
        table=table,
    )


def _scarce_table(quarter: Quarter):
    """A row per scarce part type: used, use a year with limits, stock, held by donors, years until none is left."""
    import pandas as pd

    evidence, end = quarter.evidence, pd.Timestamp(quarter.last_day)
    begun = evidence.stays["from_on"].min()
    years = (end - begun).days / DAYS_PER_YEAR if len(evidence.stays) else 0.0
    work = evidence.work[(evidence.work["action"] == "replace") & (evidence.work["done_on"] >= begun)]
    used = work.groupby("part_type")["quantity"].sum()
    stock = on_hand(quarter)
    held = donor_parts(quarter, donor_table(quarter)).values()
    types = quarter.table("part_types")
    rows = []
    for part in types[types["obtainable"].isin(["scarce", "no"])].sort_values("part_type").itertuples():
        number = int(used.get(part.part_type, 0))
        found = rate(number, years) if years > 0 else None
        a_year = (getattr(found, name, float("nan")) for name in ("value", "low", "high"))
        in_donors = sum(parts.get(part.part_type, 0) for parts in held)
        row = (part.part_type, part.obtainable, number, years, *a_year, stock.get(part.part_type), in_donors)
        rows.append(row)
    table = pd.DataFrame(rows, columns=SCARCE_COLUMNS)
    table["in_stock"] = pd.to_numeric(table["in_stock"])
    a_year = table["used_per_year"].where(table["used_per_year"] > 0)
    table["years_in_stock"] = table["in_stock"] / a_year
    table["years_with_donors"] = (table["in_stock"].fillna(0) + table["in_donors"]) / a_year
    return table.sort_values("years_in_stock", kind="stable", na_position="last").reset_index(drop=True)
