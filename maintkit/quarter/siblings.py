"""A known-good sibling: a module of the same type and era to measure and listen against."""

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.slots import natural


@once_a_quarter
def known_good(quarter: Quarter, serial: str) -> str | None:
    """The module in service of the same family, type and board era that has been longest without a fault; None where there is none.

    Of several as long without one the one in the nearest slot of the same desk is taken. A module with a report still open,
    or fitted for less than a quarter, is none.
    """
    modules, good = _by_kind(quarter)
    if serial not in modules.index:
        return None
    module = modules.loc[serial]
    like = good.get((module["family"], module["module_type"], module["board_era"] or ""))
    like = None if like is None else like[like["serial"] != serial]
    if like is None or not len(like):
        return None
    like = like[like["quiet_years"] == like["quiet_years"].max()]
    like = like.assign(elsewhere=like["desk"] != module["desk"], away=(like["place"] - module["place"]).abs())
    return str(like.sort_values(["elsewhere", "away", "serial"], kind="stable").iloc[0]["serial"])


@once_a_quarter
def _by_kind(quarter: Quarter):
    """The siblings by serial, and those that may be called known good by family, type and board era."""
    table = siblings(quarter)
    good = table[table["known_good"]]
    kinds = good.groupby(["family", "module_type", good["board_era"].fillna("")])
    return table.set_index("serial"), dict(list(kinds))


@once_a_quarter
def siblings(quarter: Quarter):
    """A row per module in a slot: ``serial, family, module_type, board_era, desk, position, place`` (of the slot on its desk),
    ``quiet_years`` (whole years in service without a fault) and whether it may be called ``known_good``; not to be changed."""
    import pandas as pd

    end = pd.Timestamp(quarter.last_day)
    roster = quarter.evidence.roster
    sitting = roster[roster["desk"].notna() & ~roster["retired_desk"].astype(bool)]
    faults = quarter.evidence.faults
    last = faults[faults["class"].isin(["fault", "return", "open"])].groupby("serial")["happened_on"].max()
    still_open = sitting["serial"].isin(faults.loc[faults["class"] == "open", "serial"])
    fitted = quarter.evidence.stays.groupby("serial")["from_on"].max()
    quiet = (end - sitting["serial"].map(last).fillna(sitting["serial"].map(fitted))).dt.days
    here = (end - sitting["serial"].map(fitted)).dt.days
    places = {
        place: number
        for number, place in enumerate(
            sorted(
                {*zip(sitting["desk"], sitting["position"], strict=True)},
                key=lambda one: (one[0], natural(one[1])),
            )
        )
    }
    return sitting[["serial", "family", "module_type", "board_era", "desk", "position"]].assign(
        place=[places[one] for one in zip(sitting["desk"], sitting["position"], strict=True)],
        quiet_years=(quiet // 365).astype(float),
        known_good=((quiet > 0) & (here >= 91)).to_numpy(bool) & ~still_open.to_numpy(bool),
    )
