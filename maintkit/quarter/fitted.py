"""The parts that sit in each module at the end of the quarter."""

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter

NO_PART = "no part replaced"
COLUMNS = [
    "serial",
    "desk",
    "position",
    "zone",
    "family",
    "board_era",
    "part_type",
    "kind",
    "ref",
    "fitted_on",
    "exit",
    "weight",
    "age_known",
]


def parts_in(quarter: Quarter, serial: str):
    """The parts still fitted in a module, as part spells."""
    return fitted_parts(quarter).iloc[_rows(quarter).get(serial, [])]


@once_a_quarter
def fitted_parts(quarter: Quarter):
    """The parts still fitted in any module, as part spells, of which it has the columns that are asked for; not to be changed."""
    spells = quarter.evidence.part_spells
    return spells.loc[spells["still_fitted"].to_numpy(bool), COLUMNS]


@once_a_quarter
def _rows(quarter: Quarter) -> dict:
    return fitted_parts(quarter).groupby("serial", observed=True).indices
