"""The parts that sit in each module at the end of the quarter."""

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter

NO_PART = "no part replaced"


def parts_in(quarter: Quarter, serial: str):
    """The parts still fitted in a module, as part spells."""
    fitted, rows = _fitted(quarter)
    return fitted.iloc[rows.get(serial, [])]


@once_a_quarter
def _fitted(quarter: Quarter):
    """The parts still fitted, and the rows of each module's."""
    spells = quarter.evidence.part_spells
    fitted = spells[spells["still_fitted"]]
    return fitted, fitted.groupby("serial").indices
