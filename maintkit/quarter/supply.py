"""Where to look at the supply: faults of a slot, rail or cable, and another report from the same bay within three days."""

from dataclasses import dataclass
from datetime import date

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.rows import plain, text_of

NEAR_DAYS = 3  # as spells/supply_flags.sql has it
ALIVE_DAYS = 92
SLOT_OR_SUPPLY = "slot or supply"  # the class of a fault that is no module's


@dataclass(frozen=True)
class SupplyFlag:
    """Slots of one bay that were reported within three days of one another, one of them with a fault that is no module's.

    ``bay`` is None where the records name none; ``days`` from the first of the reports to the last day of the records.
    """

    desk: str
    bay: str | None
    slots: tuple[str, ...]
    first_on: date
    last_on: date
    days: int


@once_a_quarter
def supply_flags(quarter: Quarter) -> tuple[SupplyFlag, ...]:
    """The bays whose supply wants looking at, latest first: flagged in the last three months, no rail or cable seen to since."""
    import pandas as pd

    flags = quarter.evidence.supply_flags
    since = pd.Timestamp(quarter.last_day) - pd.Timedelta(days=ALIVE_DAYS)
    alive = flags[flags["looked_on"].isna() & (flags["last_on"] > since)]
    return tuple(
        _flag(quarter, desk, bay, {*own["position"].dropna(), *own["other_position"]}, own)
        for (desk, bay), own in alive.groupby(["desk", "bay"], sort=False, dropna=False)
    )


def supply_here(quarter: Quarter, desk: str, position: str) -> SupplyFlag | None:
    """What a report from this slot today says of its supply, from what its bay reported before; None where nothing."""
    import pandas as pd

    own = next((one for one in supply_flags(quarter) if one.desk == desk and position in one.slots), None)
    positions = quarter.table("positions")
    bay = positions.loc[(positions["desk"] == desk) & (positions["position"] == position), "bay"]
    bay = plain(next(iter(bay), None))
    faults = quarter.evidence.faults
    since = pd.Timestamp(quarter.last_day) - pd.Timedelta(days=NEAR_DAYS)
    recent = (faults["class"] == SLOT_OR_SUPPLY) & (faults["desk"] == desk) & (faults["happened_on"] >= since)
    of_bay = (faults["bay"] == bay) if bay is not None else False
    near = faults[recent & (of_bay | faults["position"].isna()) & faults["position"].ne(position)]
    if not len(near):
        return own
    days = near.assign(first_on=near["happened_on"], last_on=pd.Timestamp(quarter.last_day))
    return _flag(quarter, desk, bay, {position, *near["position"].dropna()}, days)


def _flag(quarter: Quarter, desk, bay, slots: set, days) -> SupplyFlag:
    first, last = days["first_on"].min().date(), days["last_on"].max().date()
    return SupplyFlag(
        desk, text_of(bay), tuple(sorted(map(str, slots))), first, last, (quarter.last_day - first).days
    )
