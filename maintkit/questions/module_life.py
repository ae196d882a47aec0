"""The life of one module as a line in time: its faults, the places it sat in, the work done on it."""

from dataclasses import dataclass
from datetime import date

from maintkit.quarter.history import known_module
from maintkit.quarter.of_module import rows_of
from maintkit.quarter.quarter import Quarter

AWAY_DAYS = 60  # a module back in its slot within so many days was at the bench, not elsewhere


@dataclass(frozen=True)
class Stay:
    """A time in one slot; ``to_on`` is the day it left, or the last day of the review."""

    desk: str
    position: str
    bay: str | None
    air_c: float | None
    from_on: date
    to_on: date


@dataclass(frozen=True)
class Fault:
    """A fault that counted, its kind of part where that was found."""

    on: date
    part_type: str | None


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
        faults=tuple(
            Fault(row.happened_on.date(), None if row.part_type != row.part_type else row.part_type)
            for row in faults.itertuples()
        ),
        expected=float(modules.loc[serial, "expected"]) if serial in modules.index else None,
        stays=_stays(stays),
        work=tuple(day.date() for day in work["done_on"].drop_duplicates().sort_values()),
        last_re_cap=re_caps.max().date() if len(re_caps) else None,
        leading_part=parts.index[0] if len(parts) else None,
        leading=int(parts.iloc[0]) if len(parts) else 0,
    )


def _stays(stays) -> tuple[Stay, ...]:
    """Times in one slot, however often the power or the board's state changed meanwhile."""
    found: list[Stay] = []
    for row in stays.sort_values("from_on", kind="stable").itertuples():
        place = (row.desk, row.position)
        if (
            found
            and (found[-1].desk, found[-1].position) == place
            and (row.from_on.date() - found[-1].to_on).days <= AWAY_DAYS
        ):
            last = found.pop()
            found.append(Stay(*place, last.bay, last.air_c, last.from_on, row.to_on.date()))
        else:
            bay = None if row.bay != row.bay or row.bay is None else str(row.bay)
            air = None if row.air_c != row.air_c else float(row.air_c)
            found.append(Stay(*place, bay, air, row.from_on.date(), row.to_on.date()))
    return tuple(found)
