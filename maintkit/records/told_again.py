"""Work that is told twice: by two lists, such as a log by its day and a list of re-caps by its month, of which the log's counts; a re-cap by the
days on which it was begun and done; and work told in remarks on reports that are not in."""

from dataclasses import replace

from .drafting import WHOLE_DESK
from .staging import ready_name
from .tables import TABLE

SAME_WITHIN = 14  # days from one telling of a re-cap to the next, own choice


def leave_out_told_again(connection, plans, prepared, ready: set[str]) -> tuple[list, list[str]]:
    """Take work out of the ready repairs that stands in a sheet marked ``unless_told`` and in another one too, or in ``remarks`` on a report
    that was left out or turned away; and re-caps begun.

    It is the same work where kind of work, month, and desk and slot or serial are the same. Desk and slot of work may be those of its
    report, or those in which the list of modules has its serial. Of a sheet whose days are years alone the year is enough.

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
                f"{plan.sheet.label}: {work} told by another list too, of the same slot or module in the same {_span(plan)}, and counted there alone."
            )
        if plan.table.name == "repairs" and (begun := _take_out_begun(connection, plan)):
            read[-1] = replace(read[-1], left_out=read[-1].left_out + begun)
            re_caps = "1 re-cap is" if begun == 1 else f"{begun:,} re-caps are"
            said.append(
                f"{plan.sheet.label}: {re_caps} told again for the same slot or module within {SAME_WITHIN} days, and counted once, on the last of these days."
            )
        if plan.table.name == "repairs" and plan.mapping.remarks and "tickets" in ready:
            gone = _take_out_unreported(connection, plan)
            read[-1] = replace(read[-1], left_out=read[-1].left_out + gone)
    return read, said


def _take_out_begun(connection, plan):
    """Take out re-caps of a slot or module that their sheet tells again some days later: they were begun, and their time goes to the last."""
    repairs, given = ready_name(TABLE["repairs"]), {"file": plan.sheet.label}
    same = "desk, position, serial, ticket, part_type, ref"
    connection.execute(
        f"""
        create or replace temp table begun as
        with days as (
            select repair, done_on, bench_minutes, {same},
                coalesce(lead(done_on) over (partition by {same} order by done_on, repair) - done_on between 1 and {SAME_WITHIN}, false) as is_begun
            from {repairs} where source_file = $file and action = 're-cap'
                and coalesce(serial, nullif(position, $whole_desk)) is not null
        ),
        jobs as (  -- each ends with the last of its days
            select *, count(*) filter (where not is_begun) over (
                partition by {same} order by done_on desc, repair desc rows unbounded preceding) as job
            from days
        )
        select repair, is_begun, sum(bench_minutes) over whole as minutes
        from jobs
        window whole as (partition by {same}, job)
        qualify bool_or(is_begun) over whole
        """,
        given | {"whole_desk": WHOLE_DESK},
    )
    connection.execute(
        f"update {repairs} as ready set bench_minutes = minutes from begun where begun.repair = ready.repair and source_file = $file",
        given,
    )
    return connection.execute(
        f"delete from {repairs} where source_file = $file and repair in (select repair from begun where is_begun)",
        given,
    ).fetchall()[0][0]


def _take_out_unreported(connection, plan):
    repairs, reports = (ready_name(TABLE[name]) for name in ("repairs", "tickets"))
    return connection.execute(
        f"delete from {repairs} where source_file = $file and ticket is not null and ticket not in (select ticket from {reports})",
        {"file": plan.sheet.label},
    ).fetchall()[0][0]


def _span(plan):
    """How near to each other the days of the same work stand."""
    return "year" if {*plan.sheet.dialect.date_formats} == {"%Y"} else "month"


def _take_out(connection, plan, ready):
    repairs, reports, modules = (
        ready_name(TABLE[name]) if name in ready else name for name in ("repairs", "tickets", "modules")
    )
    same = "from work as own join work as other using (action, span, {}) where own.source_file = $file and own.source_row = ready.source_row and other.source_file <> $file"
    return connection.execute(
        f"""
        with work as (  -- slots are spelled alike within a desk, so that of the report comes first
            select repairs.source_file, repairs.source_row, repairs.serial, repairs.action,
                date_trunc('{_span(plan)}', repairs.done_on) as span,
                coalesce(of.desk, repairs.desk, sits.desk) as desk,
                coalesce(of.position, repairs.position, sits.position) as position
            from {repairs} as repairs left join {reports} as of using (ticket) left join {modules} as sits using (serial)
        )
        delete from {repairs} as ready where source_file = $file
            and (exists ({same.format("desk, position")}) or exists ({same.format("serial")}))
        """,
        {"file": plan.sheet.label},
    ).fetchall()[0][0]
