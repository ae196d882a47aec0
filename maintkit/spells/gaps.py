"""Sentences on what the records do not allow, and which table would let it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from maintkit.notes import sentence
from maintkit.records.drafting import DRAFTED, UNLISTED

if TYPE_CHECKING:
    import duckdb

# tables whose lack is worth a sentence
MISSED = ("power", "positions", "part_types", "parts_list", "readings")


def find_gaps(connection: duckdb.DuckDBPyConnection, tally: dict[str, int]) -> tuple[str, ...]:
    """What could not be built from these records, one sentence a gap, with the table that would let it."""
    tables = (*MISSED, "modules", "fitments")
    filled = connection.execute(
        "select " + ", ".join(f'exists (from "{table}")' for table in tables)
    ).fetchone()
    empty = {table for table, any_rows in zip(tables, filled, strict=True) if not any_rows}
    by_name = connection.execute(
        "select count(*) > 0 and bool_and(coalesce(source_file = $drafted, false)) from part_types",
        {"drafted": DRAFTED},
    ).fetchone()[0]
    by_slot = "slots_today" if tally["modules_by_slot"] else "slots_alone"
    alone = [by_slot] if "fitments" in empty else ["modules"] if "modules" in empty else []
    lacks = (*alone, *(table for table in MISSED if table in empty))
    are_listed = connection.execute(
        f"select exists (from modules where position is not null) and not exists (select 1 {UNLISTED})"
    ).fetchone()[0]
    names = {"positions": "missing.positions_of_modules"} if are_listed else {}
    said = tuple(sentence(names.get(one, f"missing.{one}")) for one in lacks)
    unfitted = connection.execute(
        "select string_agg(distinct desk, ', ' order by desk) from (select desk from tickets union select desk from repairs) "
        "where exists (from fitments) and desk not in (select desk from fitments)"
    ).fetchone()[0]
    said += (sentence("missing.fitments_there", desks=unfitted),) if unfitted else ()
    return (*said, sentence("missing.kinds_by_name")) if by_name else said
