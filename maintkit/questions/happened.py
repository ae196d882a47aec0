"""What happened in the quarter, and is it a real change?"""

from dataclasses import dataclass
from datetime import date

from maintkit.quarter.calendar import unasked_care
from maintkit.quarter.counts import (
    StillOpen,
    change_of_all,
    counts_table,
    faults_by_desk,
    faults_by_quarter,
    reports_still_open,
)
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.silence import silent_quarters


@dataclass(frozen=True)
class Happened:
    """What came in a quarter, desk by desk, beside the quarter before.

    Attributes
    ----------
    quarter : str
        Such as ``2026Q3``.
    desks : int
        Desks that were under power.
    faults, minutes_lost : number
        Fresh faults, and session minutes of all that was the desks' own.
    faults_before : int or None
        Of the quarter before; None where none is on record.
    silent_before : bool
        Whether nothing was written down in the quarter before.
    changed : tuple of str
        Desks whose change from the quarter before is more than chance (exact two-sided p, adjusted for the number of
        desks, below 0.05).
    changed_in_all : {"", "fewer", "more"}
        Whether all desks together had fewer or more faults than the quarter before, by more than chance brings; the open reports
        count as faults where that speaks against it.
    table : DataFrame
        A row a desk.
    is_kept : bool
        Whether anything was written down in the quarter or later; ``last_entry`` is the last day on which something was, where
        the records do not reach the quarter's end, or the last before it where the entries since, ``few_since``, are too few to show
        that the log was kept.
    last_day : date
        The last day reviewed; ``days`` of ``whole_days`` are. The quarters beside it are counted to the same day.
    tickets, unticketed_faults : int
        Reports of the quarter, and faults found by work that nobody reported; ``table`` says where each report went.
    open_reports : StillOpen
        The reports of the quarter that are still open, and how many of them to expect as faults, with limits.
    as_reports : int
        Faults since records began that are reports of which nobody wrote down what they proved to be.
    has_minutes : bool
        Whether any session minutes are on record, up to the end of the quarter.
    history : DataFrame
        A row a desk and quarter: ``desk, quarter, faults, minutes_lost, low, high``.
    cleanings, cleanings_ever : int
        Unplanned cleanings of the quarter, and since records began, that no report asked for: care, and no faults.
    """

    quarter: str
    desks: int
    faults: int
    minutes_lost: float
    faults_before: int | None
    silent_before: bool
    changed: tuple[str, ...]
    changed_in_all: str
    table: object
    history: object
    is_kept: bool
    last_entry: date | None
    last_day: date
    days: int
    whole_days: int
    tickets: int
    unticketed_faults: int
    open_reports: StillOpen
    as_reports: int
    has_minutes: bool
    few_since: bool = False
    cleanings: int = 0
    cleanings_ever: int = 0

    @property
    def fewer(self) -> tuple[str, ...]:
        """The desks that changed and had fewer faults."""
        rows = self.table[self.table["faults"] < self.table["faults_before"]]
        return tuple(desk for desk in self.changed if desk in set(rows["desk"]))

    @property
    def more(self) -> tuple[str, ...]:
        """The desks that changed and had more."""
        return tuple(desk for desk in self.changed if desk not in self.fewer)

    @property
    def counts(self) -> dict:
        return {"faults": self.faults, "powered_years": float(self.table["powered_years"].sum())}


def facts(quarter: Quarter) -> Happened:
    """Faults and session minutes of the quarter, desk by desk, beside the quarter before."""
    table = faults_by_desk(quarter)
    before, history = table["faults_before"], faults_by_quarter(quarter)
    sums = counts_table(quarter)
    sums = sums[sums["quarter"] == quarter.label]
    still_open = reports_still_open(quarter.evidence, since=str(quarter.first_day))
    cleaned_on = unasked_care(quarter)["done_on"].astype("datetime64[ns]")
    return Happened(
        quarter=quarter.label,
        desks=len(table),
        faults=int(table["faults"].sum()),
        minutes_lost=float(table["minutes_lost"].sum()),
        faults_before=int(before.sum()) if before.notna().any() else None,
        silent_before=quarter.previous in silent_quarters(quarter),
        changed=tuple(table.loc[table["real_change"] == "yes", "desk"]),
        changed_in_all=change_of_all(table, still_open=still_open.high),
        table=table.drop(columns=["p_change", "powered_years_before"]),
        history=history,
        is_kept=quarter.is_kept,
        few_since=not quarter.is_kept and quarter.records.last_day() > quarter.last_day,
        last_entry=quarter.last_entry,
        last_day=quarter.last_day,
        days=quarter.days,
        whole_days=quarter.whole_days,
        tickets=int(sums["tickets"].sum()),
        unticketed_faults=int(sums["unticketed_faults"].sum()),
        open_reports=still_open,
        cleanings=int((cleaned_on >= str(quarter.first_day)).sum()),
        cleanings_ever=len(cleaned_on),
        has_minutes=bool(history["minutes_lost"].sum() > 0 or table["minutes_lost"].sum() > 0),
        as_reports=quarter.evidence.tally["reports_counted_as_faults"],
    )
