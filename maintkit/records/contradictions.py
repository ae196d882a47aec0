"""Findings that are no single row's fault: rows that cannot all be true, which analysis they touch, what to do."""

from dataclasses import dataclass
from importlib.resources import files

from .drafting import DRAFTED
from .keeping import tables_of
from .tables import TABLES

SHOWN = 5


@dataclass(frozen=True)
class Contradiction:
    """Rows kept that contradict others: what kind, how many, the first few, which analysis they touch, what to do."""

    kind: str
    count: int
    examples: tuple[str, ...]
    touches: str
    remedy: str

    def __str__(self):
        rows = "1 row" if self.count == 1 else f"{self.count:,} rows"
        lines = [
            f"{self.kind} ({rows}). Touches {self.touches}. {self.remedy}",
            *(f"  {one}" for one in self.examples),
        ]
        if self.count > len(self.examples):
            lines.append(f"  … and {self.count - len(self.examples):,} more.")
        return "\n".join(lines)


FITMENT_REMEDY = "Correct fitted_on or removed_on, or add the removal that was not written down."
# By the file of its query: the kind, what it touches, what to do.
KINDS = {
    "two_modules_in_a_slot": (
        "Two modules of one type in a slot at once",
        "which module a ticket belongs to, and time at risk",
        FITMENT_REMEDY,
    ),
    "two_modules_said_to_be_in_a_slot": (
        "Two modules of one type said to sit in a slot today",
        "which module a ticket belongs to",
        "Correct the slot in modules, or leave it blank for the module in the store.",
    ),
    "said_to_sit_where_no_fitment_has_it": (
        "A module said to sit today where its fitments do not leave it",
        "which module a ticket belongs to, and which modules are spares",
        "Correct the slot in modules, leave it blank for the module in the store, or add the swap that was not written down.",
    ),
    "module_in_two_slots": (
        "A module in two slots at once",
        "time at risk, by slot, bay and desk",
        FITMENT_REMEDY,
    ),
    "another_came_out": (
        "Another module came out of a slot than the last that went in",
        "which module a ticket belongs to, and time at risk",
        "Correct serial, slot, day or old_serial of either, or add the swap between that was not written down.",
    ),
    "told_in_two_lists": (
        "A slot of which two lists tell on one day",
        "how many faults there were",
        "They are counted as one fault, the row named here as reported again, unless the two name different symptoms; where they are one all "
        "the same, take one out, and where they are two, correct the slot or the day.",
    ),
    "repair_before_its_ticket": (
        "Work done before its ticket was raised",
        "days to repair, and which fault the work answers",
        "Correct done_on, raised_on or the ticket number.",
    ),
    "ticket_closed_before_raised": (
        "A ticket closed or restored before it was raised",
        "days to service restored",
        "Correct whichever of the dates is wrong.",
    ),
    "more_parts_replaced_than_fitted": (
        "More parts replaced at once than the module holds",
        "lives of parts",
        "Correct quantity, part_type or serial in repairs, or the quantity in parts_list.",
    ),
    "more_places_than_parts": (
        "More places named in repairs than the module holds parts",
        "lives of parts",
        "Write each place one way (C12, not C 12), or correct the quantity in parts_list.",
    ),
    "replaced_again_at_once": (
        "A part replaced again in the same place within days",
        "lives of parts: for one ticket the second replacement ends no life",
        "Take out the row that is the same work written twice; where the new part failed at once, accept the problem.",
    ),
    "work_on_a_scrapped_module": (
        "A scrapped module that came back",
        "time at risk, and what donors are worth",
        "Correct the serial or the day of scrapping.",
    ),
    "after_the_desk_retired": (
        "Something happened on a desk after it left service",
        "time at risk of that desk",
        "Correct the date, or retired_on in desks.",
    ),
    "ticket_before_the_records": (
        "A ticket older than its desk's complete records",
        "rates and lives, which leave such a ticket out",
        "Move records_from earlier only if every ticket since then was kept.",
    ),
    "reading_in_another_unit": (
        "A reading whose unit, print or value looks mistyped",
        "whether capacitors are drying out",
        "Compare with the part, and correct unit, nominal or value.",
    ),
    "duration_read_two_ways": (
        "A duration that can be read two ways",
        "minutes lost, and hours at the bench",
        "In mapping.toml name the heading under hours_and_minutes where 1.30 means 1 h 30 min, or under hours where a bare 1.5 "
        "means hours; where all is read rightly, accept the problem.",
    ),
    "work_without_a_module": (
        "Work that cannot be given to one module",
        "lives and priorities of modules; such work is counted by slot only",
        "Fill in the serial, or correct desk, position or the fitments of that day.",
    ),
}
REFERENCES = {  # by the column referred to
    "desks.desk": (
        "A desk that is not in desks",
        "everything said of that desk, which is left out",
        "Correct the desk, or add it to desks.",
    ),
    "modules.serial": (
        "A serial that is not in modules",
        "lives and rates of modules",
        "Correct the serial, or add the module to modules.",
    ),
    "positions.position": (
        "A slot that is not in positions",
        "rates by bay and zone",
        "Correct the position, or add the slot to positions.",
    ),
    "tickets.ticket": (
        "A ticket number that is not in tickets",
        "which fault the work answers",
        "Correct the ticket number, or add the ticket.",
    ),
    "part_types.part_type": (
        "A part type that is not in part_types",
        "lives by kind of part",
        "Correct the part_type, or add it to part_types.",
    ),
}


def find_contradictions(connection) -> list[Contradiction]:
    """Every kind of contradiction that the record book holds and nobody accepted, with the first rows of each.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        A record book; it is only read.

    Returns
    -------
    list of Contradiction
        In a fixed order of kinds; examples by file and row. Empty when all rows can be true together.
    """
    return [found for found, _ in open_contradictions(connection)]


def open_contradictions(connection):
    """Yield each kind that was found, with SQL for its rows (source_file, source_row, said) that were not accepted as they are.

    Until the next is asked for, they are in the temporary table ``contradicting``.
    """
    kept = "accepted" in tables_of(connection)
    for kind, touches, remedy, query in _queries():
        query = _not_accepted_sql(kind, query) if kept else query
        made = connection.execute(f"create or replace temp table contradicting as {query}")
        count = made.fetchall()[0][0]
        if count:
            first = f"from contradicting order by source_file, source_row, said limit {SHOWN}"
            rows = connection.execute(f"select source_file, source_row, said {first}").fetchall()
            examples = tuple(f"{file}, row {row}: {said}." for file, row, said in rows)
            yield Contradiction(kind, count, examples, touches, remedy), query
    connection.execute("drop table if exists contradicting")


def _not_accepted_sql(kind, query):
    name = kind.replace("'", "''")
    return (
        f"select source_file, source_row, said from ({query}) as rows anti join accepted on accepted.file = source_file "
        f"and accepted.\"row\" = source_row and accepted.column_name = '{name}' and accepted.found = said"
    )


def _queries():
    """Each kind, what it touches, what to do, and the SQL that gives its rows (source_file, source_row, said)."""
    folder = files("maintkit.records") / "contradictions_sql"
    for name, words in KINDS.items():
        yield *words, (folder / f"{name}.sql").read_text(encoding="utf-8")
    for target, words in REFERENCES.items():
        yield *words, _unknown_sql(target)


def _unknown_sql(target):
    """Rows of every table whose reference to ``target`` is not known, but for drafted ones: what they are drafted from is listed itself;
    none where the target table is empty."""
    table, column = target.split(".")
    parts = [
        _unknown_in_sql(referring.name, one.name, table, column)
        for referring in TABLES
        for one in referring.columns
        if one.refers_to == target
    ]
    return " union all ".join(parts)


def _unknown_in_sql(referring, name, table, column):
    in_a_slot = (
        " and position is not null" if (referring, name) == ("modules", "desk") else ""
    )  # else it is in store
    if (referring, table) == (
        "repairs",
        "tickets",
    ):  # a re-cap has the number of the job that planned it, and answers no complaint
        in_a_slot = " and action is distinct from 're-cap'"
    written = f'from "{table}"'
    if table == "part_types":  # what a name tells is not written down
        written += f" where source_file is distinct from '{DRAFTED}'"
    rows, desk = f'"{referring}"', f'"{referring}".desk'
    if table == "positions" and referring == "repairs":  # work without a desk is of its report's
        told = "select repairs.*, coalesce(repairs.desk, tickets.desk) as told from repairs left join tickets using (ticket)"
        rows, desk = f"({told}) as repairs", "told"
    slot = f" and known.desk = {desk}" if table == "positions" else ""
    place = f"concat_ws(' ', desk, \"{name}\")" if table == "positions" else f'"{name}"'
    return (
        f"select source_file, source_row, '{name} ' || {place} || ' is not in {table}' as said "
        f"from {rows} where source_file is distinct from '{DRAFTED}' "
        f'and "{name}" is not null{in_a_slot} and exists ({written}) and not exists '
        f'(select 1 from ({written}) as known where known."{column}" = "{referring}"."{name}"{slot})'
    )
