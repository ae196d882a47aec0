"""The life of one module as a line in time: its faults, the places it sat in, the work done on it."""

from dataclasses import dataclass
from datetime import date

from maintkit.quarter.history import known_module
from maintkit.quarter.of_module import rows_of
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import records

AWAY_DAYS = 60  # a module back in its slot within so many days was at the bench, not elsewhere


@dataclass(frozen=True)
class Stay:
    """A time in one slot; ``to_on`` is the day it left, or the last day of the review."""

    desk: str
    position: str
    air_c: float | None
    from_on: date
    to_on: date


@dataclass(frozen=True)
class Fault:
    """A fault that counted, its kind of part where that was found."""

    on: date
    part_type: str | None


@dataclass(frozen=True)
class Slot:
    """A place on a desk."""

    desk: str
    position: str


@dataclass(frozen=True)
class Life:
    """One module, from the day it was first watched.

    Attributes
    ----------
    serial : str
    begun, ended : date
    faults : tuple of Fault
        In order of date.
    expected : float or None
        Faults its parts led one to expect over the same time.
    stays : tuple of Stay
    work : tuple of date
        Days of work on it.
    last_re_cap : date or None
    leading_part : str or None
        The part type most of its faults were of; ``leading`` of them were.
    leading : int
    slot : Slot or None
        Where it sits today, where no swap is on record: what is told is that slot's, whichever module sat there.
    """

    serial: str
    begun: date
    ended: date
    faults: tuple[Fault, ...]
    expected: float | None
    stays: tuple[Stay, ...]
    work: tuple[date, ...]
    last_re_cap: date | None
    leading_part: str | None
    leading: int
    slot: Slot | None

    @property
    def counts(self) -> dict:
        return {"faults": len(self.faults), "stays": len(self.stays)}

    @property
    def number(self) -> int:
        return len(self.faults)


def facts(quarter: Quarter, serial: str) -> Life:
    """Faults, places and work of one module.

    Raises
    ------
    MaintkitError
        If no module of that serial is on the roster; the message lists the nearest.
    """
    serial = known_module(quarter, serial)["serial"]
    stays, faults, work = (
        rows_of(quarter, f"evidence.{name}", serial) for name in ("stays", "faults", "work")
    )
    faults = faults[faults["counts"].astype(bool)].sort_values("happened_on", kind="stable")
    modules = quarter.forecast.modules.set_index("serial")
    parts = faults["part_type"].dropna().value_counts()
    re_caps = work.loc[work["action"] == "re-cap", "done_on"]
    return Life(
        serial=serial,
        begun=stays["from_on"].min().date() if len(stays) else quarter.first_day,
        ended=quarter.last_day,
        faults=records(Fault, faults.rename(columns={"happened_on": "on"})),
        expected=float(modules.loc[serial, "expected"]) if serial in modules.index else None,
        stays=_stays(stays),
        work=tuple(day.date() for day in work["done_on"].drop_duplicates().sort_values()),
        last_re_cap=re_caps.max().date() if len(re_caps) else None,
        leading_part=parts.index[0] if len(parts) else None,
        leading=int(parts.iloc[0]) if len(parts) else 0,
        slot=_slot_today(quarter, stays),
    )


def _slot_today(quarter: Quarter, stays) -> Slot | None:
    if not quarter.evidence.tally["modules_by_slot"] or not len(stays):
        return None
    last = stays.sort_values("to_on").iloc[-1]
    return Slot(last["desk"], last["position"])


def _stays(stays) -> tuple[Stay, ...]:
    """Times in one slot, however often the power or the board's state changed meanwhile."""
    stays = stays.sort_values("from_on", kind="stable")
    place, away = stays[["desk", "position"]], (stays["from_on"] - stays["to_on"].shift()).dt.days
    begins = (place != place.shift()).any(axis=1) | (away > AWAY_DAYS)
    left = stays["to_on"].groupby(begins.cumsum()).last()
    return records(Stay, stays[begins].assign(to_on=left.to_numpy()))
