"""The rows of one module in a frame of the quarter, found without looking through all of them."""

from operator import attrgetter

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter

OF_QUARTER = ("evidence.stays", "evidence.faults", "evidence.work", "evidence.roster", "forecast.modules", "slots")  # fmt: skip


def rows_of(quarter: Quarter, name: str, serial: str):
    """The rows of a module, in order: of a frame of the quarter (``OF_QUARTER``), else of the record table of that name."""
    frame, rows = _by_serial(quarter, name)
    return frame.iloc[rows.get(serial, [])]


@once_a_quarter
def _by_serial(quarter: Quarter, name: str):
    """A frame, and the numbers of each module's rows in it."""
    frame = attrgetter(name)(quarter) if name in OF_QUARTER else quarter.table(name)
    return frame, frame.groupby("serial").indices


def tracks_bridged(quarter: Quarter, module) -> int | None:
    """How many tracks of a module, a row of the roster, are bridged; None where no track of any module is on record."""
    is_kept = quarter.evidence.roster["bridged_tracks"].any()
    return int(module.bridged_tracks or 0) if is_kept else None
