"""The parts that sit in each module at the end of the quarter."""

import numpy as np

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter

NO_PART = "no part replaced"


def parts_in(quarter: Quarter, serial: str):
    """The parts still fitted in a module, as part spells."""
    return quarter.evidence.part_spells.iloc[_fitted(quarter).get(serial, [])]


@once_a_quarter
def _fitted(quarter: Quarter):
    """The rows of each module's parts still fitted among all part spells."""
    spells = quarter.evidence.part_spells
    rows = np.flatnonzero(spells["still_fitted"])
    serials = spells["serial"].iloc[rows]
    return {serial: rows[own] for serial, own in serials.groupby(serials).indices.items()}
