"""Work that two lists tell, such as a log by its day and a list of re-caps by its month: it counts in the log alone."""

from dataclasses import replace

from .staging import ready_name
from .tables import TABLE


def leave_out_told_again(connection, plans, prepared, ready: set[str]) -> tuple[list, list[str]]:
    """Take work out of the ready repairs that stands in a sheet marked ``unless_told`` and in another one too.

    It is the same work where desk, slot, kind of work and month are the same; the desk of work may be that of its report.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
    plans, prepared : lists
        Of the sheets, and what reading each gave, in the same order.
    ready : set of str
        The tables being loaded.

    Returns
    -------
    list of Prepared, list of str
        The same with these rows counted as left out; a sentence for each sheet that has such.
    """
    read, said = [], []
    for plan, one in zip(plans, prepared, strict=True):
        is_marked = plan.mapping.unless_told and plan.table.name == "repairs"
        told = _take_out(connection, plan, ready) if is_marked else 0
        read.append(replace(one, left_out=one.left_out + told))
        if told:
            work = "1 piece of work is" if told == 1 else f"{told:,} pieces of work are"
            said.append(
                f"{plan.sheet.label}: {work} told by another list too, of the same slot in the same month, and counted there alone."
            )
    return read, said


def _take_out(connection, plan, ready):
    repairs = ready_name(TABLE["repairs"])
    reports = ready_name(TABLE["tickets"]) if "tickets" in ready else "tickets"
    return connection.execute(
        f"""
        with work as (  -- slots are spelled alike within a desk, so that of the report comes first
            select repairs.source_file, repairs.source_row, repairs.action, date_trunc('month', repairs.done_on) as month,
                coalesce(of.desk, repairs.desk) as desk, coalesce(of.position, repairs.position) as position
            from {repairs} as repairs left join {reports} as of using (ticket)
        )
        delete from {repairs} as ready where source_file = $file and exists (
            from work as own join work as other using (desk, position, action, month)
            where own.source_file = $file and own.source_row = ready.source_row and other.source_file <> $file)
        """,
        {"file": plan.sheet.label},
    ).fetchall()[0][0]
