"""How is one desk doing: its last quarter, its next, and its slots worst first?"""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from maintkit.quarter.arguments import named
from maintkit.quarter.counts import faults_by_desk
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import plain, record
from maintkit.quarter.slots import COLUMNS
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

NAMED = 3


@dataclass(frozen=True)
class Came:
    """What came of a desk in the quarter, with 90 % limits, and in the quarter before; None where that is not on record."""

    faults: int
    low: float
    high: float
    faults_before: int | None
    minutes_lost: float


@dataclass(frozen=True)
class Ahead:
    """Faults expected of a desk next quarter, how many may come, and the slots to begin with."""

    faults: float
    low: float
    high: float
    first: tuple[str, ...]


@dataclass(frozen=True)
class OneDesk:
    """A desk's quarter, what is expected of it, and its slots.

    Attributes
    ----------
    desk, quarter, next_quarter : str
    until : date
        Last day of the quarter.
    state : str
        Whether it can be forecast.
    retired_on : date or None
    faults_on_record : int
        Fresh faults of it up to ``until``.
    came : Came or None
        None where it was not powered in the quarter.
    known_faults, fewest : int
        Faults the forecast rests on, of all desks, and how many it takes.
    ahead : Ahead or None
    table : DataFrame or None
        Its slots, worst first.
    counts : dict
    """

    desk: str
    quarter: str
    next_quarter: str
    until: date
    state: Literal["forecast", "too few faults", "no module known", "retired", "no slot"]
    retired_on: date | None
    faults_on_record: int
    came: Came | None
    known_faults: int
    ahead: Ahead | None
    table: object
    counts: dict
    fewest: int = FEWEST_FOR_A_VERDICT


def one_desk(quarter: Quarter, desk: str) -> OneDesk:
    """The faults and session minutes of one desk in the quarter, what is expected in the next, and its slots worst first.

    Raises
    ------
    RecordsError
        If no desk of that name is on record; the message lists those that are, the nearest first.
    """
    desks = quarter.table("desks").set_index("desk")
    desk = named("Desk", desk, desks.index, none="No desk of that name is on record.")
    forecast, faults = quarter.forecast, quarter.evidence.faults
    slots = forecast.slots[forecast.slots["desk"] == desk]
    retired = desks["retired_on"].astype("datetime64[s]").loc[desk]
    gone = retired == retired and retired.date() <= quarter.last_day
    state = _state(forecast, slots, gone)
    return OneDesk(
        desk=desk,
        quarter=quarter.label,
        next_quarter=quarter.next_label,
        until=quarter.last_day,
        state=state,
        retired_on=retired.date() if gone else None,
        faults_on_record=int(((faults["desk"] == desk) & faults["counts"]).sum()),
        came=_came(quarter, desk),
        known_faults=int(forecast.failures),
        ahead=_ahead(forecast, desk, slots) if state == "forecast" else None,
        table=slots[COLUMNS].reset_index(drop=True) if len(slots) else None,
        counts={"faults": forecast.failures, "powered_module_years": forecast.exposure_years}
        if len(slots)
        else {},
    )


def _state(forecast, slots, gone: bool) -> str:
    if not len(slots):
        return "retired" if gone else "no slot"
    if not forecast.enough:
        return "too few faults"
    return "forecast" if slots["expected_faults"].notna().any() else "no module known"


def _came(quarter: Quarter, desk: str) -> Came | None:
    row = next((row for row in faults_by_desk(quarter).itertuples() if row.desk == desk), None)
    if row is None:
        return None
    before = plain(row.faults_before)
    return record(Came, row, faults_before=None if before is None else int(before))


def _ahead(forecast, desk: str, slots) -> Ahead:
    limits = forecast.count_limits.set_index("desk").loc[desk]
    known = slots[slots["expected_faults"].notna()]
    names = {"expected_faults": "faults", "faults_low": "low", "faults_high": "high"}
    return record(Ahead, limits.rename(names), first=tuple(known["position"].head(NAMED)))
