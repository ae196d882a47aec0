"""Sentences on what the records do not allow, and which table would let it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import duckdb

# One sentence a table that is empty: what is lost, and what to keep.
MISSING = {
    "power": "Hours a week are taken as never having changed: keep the table power to follow changes.",
    "positions": "Bay, zone, use and air temperature of the slots are not known, and a slot that never failed is not "
    "seen: keep the table positions to compare places and to count the healthy ones.",
    "part_types": "Which parts are electrolytics is not known, so a re-cap renews nothing and lives cannot be told by "
    "kind: keep the table part_types.",
    "parts_list": "How many parts a module holds is not known, so healthy parts cannot be counted and no part has a "
    "rate or a life: keep the table parts_list.",
    "readings": "No part was shown to be good by measuring, so a part found bad in planned work may have failed at any "
    "time since it was fitted: keep the table readings.",
}
SLOTS = (
    "Each slot stands for one module, in place since the desk's records began: a fault cannot be followed through "
    "a swap, no module has an age, spares and scrapped modules are not seen, and parts can be counted only where a "
    "family has one module type. Keep the tables modules and fitments to tell slot and module apart."
)
NO_MODULES = (
    "The modules have no type, board era or origin, so their parts cannot be counted: keep the table modules."
)


def find_gaps(connection: duckdb.DuckDBPyConnection, tally: dict[str, int]) -> tuple[str, ...]:
    """What could not be built from these records, one sentence a gap, with the table that would let it."""
    tables = (*MISSING, "modules", "fitments")
    filled = connection.execute(
        "select " + ", ".join(f'exists (from "{table}")' for table in tables)
    ).fetchone()
    empty = {table for table, any_rows in zip(tables, filled, strict=True) if not any_rows}
    gaps = [SLOTS] if "fitments" in empty else [NO_MODULES] if "modules" in empty else []
    gaps += [sentence for table, sentence in MISSING.items() if table in empty]
    if tally["modules_age_unknown"] and "fitments" not in empty:
        gaps.append(
            f"{tally['modules_age_unknown']:,} of {tally['modules']:,} modules have no age: fill in made_on in "
            "the table modules to give them one."
        )
    if tally["parts_age_unknown"]:
        gaps.append(
            f"{tally['parts_age_unknown']:,} of {tally['parts_watched']:,} parts watched have no age and count "
            "in rates only: date the earlier re-caps and replacements in the table repairs to give them one."
        )
    return tuple(gaps)
