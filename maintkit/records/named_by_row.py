"""Work that names a report of another file by its row: rows move, so the report is found again by what its row said when it was named."""

from dataclasses import dataclass, replace

from .cells import row_name
from .errors import TurnedAway
from .folding import fold_desk, fold_slot, unite_slots
from .sheets import LOAD_AGAIN
from .staging import ready_name
from .tables import TABLE

AS_NAMED = "ticket_was"  # the heading beside the work under which stands what the row said
NO_SUCH_ROW = "No report is called by this row."
NOT_FOUND = "Rows have moved since this was written, and no row, or more than one, reads as that report did."
OTHER_DESK = "That report is of another desk than this work."
REMEDY = f"Name the report by the row or number that maintkit ask tells now, {LOAD_AGAIN}"


@dataclass(frozen=True)
class Report:
    """What tells a report from others, whatever it is called."""

    ticket: str
    day: object
    desk: str
    position: str
    symptom: str

    def __str__(self):
        return " | ".join((f"{self.day:%Y-%m-%d}", self.desk, self.position, self.symptom))


def as_named(connection, ticket: str) -> dict[str, str]:
    """What the row of a report says that has no number of its own, to be kept beside work that names it; nothing of any other.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
    ticket : str
        As a record book calls the report.
    """
    of = "tickets where lower(ticket) = lower($name) and regexp_matches(ticket, ' row ' || source_row || '( entry \\d+)?$')"
    reports = _reports(connection, of, name=ticket.strip())
    return {AS_NAMED: str(reports[0])} if reports else {}


def follow_named_rows(connection, plans, prepared, ready: set[str]) -> list:
    """Let work name the report that it named when it was written, wherever its row stands now; work whose report is not found again, or
    is of another desk, is turned away.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
    plans, prepared : lists
        Of the sheets, and what reading each gave, in the same order.
    ready : set of str
        The tables being loaded.

    Returns
    -------
    list of Prepared
    """
    numbered = [plan for plan in plans if "ticket" in plan.mapping.number_rows]
    by_row = [row_name(plan.sheet) for plan in numbered if plan.table.name == "tickets"]
    reports = ready_name(TABLE["tickets"]) if "tickets" in ready else "tickets"
    read = []
    for plan, one in zip(plans, prepared, strict=True):
        away = ()
        if plan.table.name == "repairs" and plan not in numbered and (by_row or AS_NAMED in plan.unplaced):
            away = _of_one_file(connection, plan, reports, by_row)
        read.append(replace(one, turned_away=(*one.turned_away, *away)) if away else one)
    return read


def _of_one_file(connection, plan, reports, by_row):
    work, away = ready_name(TABLE["repairs"]), []
    rows = connection.execute(
        f"select rowid, source_row, repair, desk, ticket, as_written['{AS_NAMED}'] from {work} where source_file = $file and ticket is not null "
        f"and (as_written['{AS_NAMED}'] is not null or len(list_filter($by_row, lambda one: starts_with(ticket, one))) > 0) order by rowid",
        {"file": plan.sheet.label, "by_row": by_row},
    ).fetchall()
    for place, row, repair, desk, ticket, was in rows:
        found = _meant(connection, reports, ticket, was)
        if found and (not desk or fold_desk(desk) == fold_desk(found.desk)):
            connection.execute(
                f"update {work} set ticket = $ticket where rowid = $place",
                {"ticket": found.ticket, "place": place},
            )
            continue
        connection.execute(f"delete from {work} where rowid = $place", {"place": place})
        rule, said = (OTHER_DESK, found) if found else (NOT_FOUND, was) if was else (NO_SUCH_ROW, "")
        name = f"{ticket} ({said})" if said else ticket
        away.append(TurnedAway(plan.sheet.label, row, plan.heading("ticket"), name, rule, REMEDY, repair))
    return away


def _meant(connection, reports, ticket, was) -> Report | None:
    """The report of this name where it reads as it ``was``, or else the only one that does."""
    named = _reports(connection, f"{reports} where ticket = $name", name=ticket)
    if not was:
        return named[0] if named else None
    day, desk, position, symptom = (*(one.strip() for one in was.split("|", 3)), "", "", "")[:4]
    of_day = _reports(connection, f"{reports} where raised_on = try_cast($day as date)", day=day)
    same = [
        one for one in of_day if fold_desk(one.desk) == fold_desk(desk) and _one_slot(one.position, position)
    ]
    alike = [one for one in same if one.symptom == symptom] or same
    return next((one for one in alike if one in named), alike[0] if len(alike) == 1 else None)


def _one_slot(*names):
    slots = {*map(fold_slot, names)}
    return len(slots - {*unite_slots(slots)}) == 1


def _reports(connection, of, **given):
    rows = connection.execute(
        f"select ticket, raised_on, desk, coalesce(position, ''), coalesce(symptom, '') from {of}", given
    ).fetchall()
    return [Report(*row[:4], " ".join(row[4].split())) for row in rows]
