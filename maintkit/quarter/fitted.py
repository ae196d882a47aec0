"""The parts that sit in each module at the end of the quarter."""

from maintkit.actions import ACTIONS
from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter

NO_PART = "no part replaced"
UNNAMED = "a part not named"
RENEWING = [action.name for action in ACTIONS if action.renews]
PLACE = ["desk", "position"]
PART = ["part_type", "kind", "ref", "fitted_on", "exit", "weight", "age_known"]
COLUMNS = ["serial", *PLACE, "zone", "family", "board_era", *PART]


def kind_replaced(faults):
    """The kind of part replaced in each of the faults, shape (n,), from their ``kind`` and ``action``: ``NO_PART`` where none was, and
    ``UNNAMED`` where one was, but nobody wrote down which."""
    kind = faults["kind"].astype(object)
    told = faults["action"].isin(RENEWING).map({True: UNNAMED, False: NO_PART})
    return kind.where(kind.notna(), told)


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


@once_a_quarter
def years_since_recap(quarter: Quarter):
    """Powered age in years of the oldest electrolytics in each slot, by desk and position, of those slots in which the age of all is known:
    one of unknown age may be older than all others; not to be changed."""
    spells = quarter.evidence.part_spells
    capacitors = spells.loc[
        spells["still_fitted"] & (spells["kind"] == "electrolytic"), [*PLACE, "exit", "age_known"]
    ]
    slots = capacitors.groupby(PLACE, observed=True)
    ages = slots["exit"].max()[slots["age_known"].all()]
    return (ages / HOURS_PER_YEAR).rename("years_since_re_cap")
