"""Does the model fit: what came over what ages, modules and slots predict, group by group."""

from dataclasses import dataclass
from functools import partial

from maintkit.decide.model_fit import model_fit
from maintkit.decide.part_groups import PART_COLUMNS, PartGroups
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.rows import counted


@dataclass(frozen=True)
class Fit:
    """Faults seen over faults expected.

    Attributes
    ----------
    groups, beyond : int
        Groups looked at (age bands, zones, eras, desks, quarters), and those beyond chance, adjusted for their number.
    worst : dict or None
        ``by, group, seen, expected, ratio, low, high`` of the one farthest off beyond chance.
    faults : int
    table : DataFrame
        A row a group.
    """

    groups: int
    beyond: int
    worst: dict | None
    faults: int
    table: object

    counts = counted("groups", "faults")


@once_a_quarter
def facts(quarter: Quarter) -> Fit:
    """Faults over those expected by age of the parts, zone, era, desk and quarter, and the worst of them beyond chance."""
    parts = partial(quarter.evidence.part_frames, PART_COLUMNS, by=("family", "part_type"))
    found = model_fit(PartGroups(parts, quarter.forecast.batches), quarter.forecast, quarter.last_day)
    beyond = int(found.table["beyond"].sum())
    return Fit(len(found.table), beyond, found.worst, quarter.forecast.failures, found.table)
