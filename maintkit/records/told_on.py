"""Rows that tell an earlier report on, such as one whose status is still or fixed: they give it their outcome and day, and count nothing."""

from dataclasses import dataclass, replace
from datetime import timedelta

from .folding import fold_slot
from .known_words.outcomes import outcome_in_text, told_on
from .several import slots_in
from .staging import ready_name
from .tables import TABLE

STILL_WITHIN = timedelta(days=60)  # of the day a report ended, told on after it; own choice
ROWS_AT_ONCE = 10_000


@dataclass
class _Report:
    """A report, and what the rows that tell it on have said so far."""

    ticket: str
    text: str
    outcome: str | None
    minutes: float | None
    ended_on: object = None

    def goes_on(self, day) -> bool:
        """Whether a row of that day may tell of it."""
        return self.ended_on is None or day - self.ended_on <= STILL_WITHIN

    def tell(self, day, outcome, minutes) -> None:
        """What a later row says: any outcome but open ends it."""
        self.minutes = self.minutes if minutes is None else (self.minutes or 0) + minutes
        if outcome != "open":
            self.outcome, self.ended_on = outcome or (self.outcome if self.ended_on else None), day


def tell_reports_on(connection, plans, prepared, ready: set[str]) -> tuple[list, list[str]]:
    """Take rows that ``goes_on`` marks out of the ready tickets where their slot has a report before them, which gets their outcome, its day
    and their minutes; their work answers it. One without such a report is a report itself.

    In such a sheet a report in the very words of the one before it that is open is told on too.

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
    going = {
        (plan.sheet.label, row)
        for plan, one in zip(plans, prepared, strict=True)
        for row in one.going_on
        if plan.table.name == "tickets"
    }
    if not going:
        return prepared, []
    of_report = _followed(connection, going)
    _put(connection, of_report)
    if "repairs" in ready:
        _answer(connection, of_report)
    read, said = [], []
    for plan, one in zip(plans, prepared, strict=True):
        own = plan.table.name == "tickets"
        told = sum(file == plan.sheet.label for file, _ in of_report.values()) if own else 0
        read.append(replace(one, left_out=one.left_out + told))
        if told:
            rows, are = ("1 row tells", "is") if told == 1 else (f"{told:,} rows tell", "are")
            said.append(
                f"{plan.sheet.label}: {rows} an earlier report of the same slot on, and {are} counted with it."
            )
    return read, said


def _followed(connection, going):
    """By the number of each row that tells on, its file and the reports that it tells of."""
    source = ready_name(TABLE["tickets"])
    rows = connection.execute(
        "select source_file, source_row, ticket, desk, coalesce(position, ''), raised_on, symptom, outcome, minutes_lost "
        f"from {source} order by raised_on, source_file, source_row, ticket"
    )
    last, of_report, files = {}, {}, {file for file, _ in going}
    while batch := rows.fetchmany(ROWS_AT_ONCE):
        for file, row, ticket, desk, slot, day, text, outcome, minutes in batch:
            text, place = text or "", (desk, fold_slot(slot))
            is_again = place in last and text and text == last[place].text and not last[place].ended_on
            tells_on = (file, row) in going
            is_again = is_again and file in files and outcome in (None, "open")
            some = _reports_of(last, desk, slot, day) if tells_on or is_again else []
            said = (outcome_in_text(text) or outcome or told_on(text)) if tells_on else "open"
            for one in some:
                one.tell(day, said, minutes)
                minutes = None  # counted once
            if some:
                of_report[ticket] = (file, some)
            else:
                ended_on = None if outcome in (None, "open") else day
                last[place] = _Report(ticket, text, outcome, minutes, ended_on)
    return of_report


def _reports_of(last, desk, slot, day):
    """The last report of the slot, or of each of several that a cell names, of which a row of that day may tell; none where one has none."""
    for slots in ((slot,), slots_in(slot)):
        found = [one for name in slots if (one := last.get((desk, fold_slot(name)))) and one.goes_on(day)]
        if len(found) == len(slots):
            return found
    return []


def _put(connection, of_report):
    """Give the reports what was told of them on, and take out the rows that tell it."""
    source = ready_name(TABLE["tickets"])
    told = {one.ticket: one for _, some in of_report.values() for one in some}.values()
    arrays = {
        "ticket": [one.ticket for one in told],
        "outcome": [one.outcome for one in told],
        "closed_on": [one.ended_on for one in told],
        "minutes": [one.minutes for one in told],
    }
    connection.execute(
        f"update {source} as ready set outcome = told.outcome, closed_on = coalesce(told.closed_on, ready.closed_on), minutes_lost = told.minutes "
        f"from (select {', '.join(f'unnest(${name}) as {name}' for name in arrays)}) as told where told.ticket = ready.ticket",
        arrays,
    )
    connection.execute(f"delete from {source} where list_contains($told, ticket)", {"told": [*of_report]})


def _answer(connection, of_report):
    """Let the work of a row that tells on answer its report, of several that of its slot or else the first."""
    pairs = [(row, one.ticket) for row, (_, some) in of_report.items() for one in some]
    reports, work = (ready_name(TABLE[name]) for name in ("tickets", "repairs"))
    connection.execute(
        f"""
        update {work} as ready set ticket = found.report
        from (
            select work.repair, arg_min(told.report, (work.position is distinct from reports.position, told.at)) as report
            from (select unnest($rows) as ticket, unnest($reports) as report, unnest($at) as at) as told
            join {work} as work using (ticket)
            join {reports} as reports on reports.ticket = told.report
            group by work.repair
        ) as found
        where found.repair = ready.repair
        """,
        {"rows": [row for row, _ in pairs], "reports": [one for _, one in pairs], "at": [*range(len(pairs))]},
    )
