"""A known-good sibling: a module of the same type and era to measure and listen against."""

from maintkit.quarter.calendar import unasked_care
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.slots import kind_of_slot, natural
from maintkit.records.tables import TABLE

UNTYPED = TABLE["modules"].column("module_type").default


@once_a_quarter
def known_good(quarter: Quarter, serial: str) -> str | None:
    """The module in service of the same family, type and board era that has been longest without a fault; None where there is none.

    Of several as long without one the one in the nearest slot of the same desk is taken. A module with a report still open,
    or fitted for less than a quarter, is none, nor is what stands for all slots of a desk; modules without a type are compared in channels,
    in groups and so on alone.
    """
    modules, good = _by_kind(quarter)
    if serial not in modules:
        return None
    module = modules[serial]
    like = [one for one in good.get(_kind(module), ()) if one.serial != serial]
    nearest = min(
        like,
        key=lambda one: (
            -one.quiet_years,
            one.desk != module.desk,
            abs(one.place - module.place),
            one.serial,
        ),
        default=None,
    )
    return None if nearest is None else str(nearest.serial)


@once_a_quarter
def _by_kind(quarter: Quarter):
    """The siblings by serial; and by kind those known good, but for those that at least two others outlast."""
    table = siblings(quarter)
    told = table[table["known_good"] & table["position"].map(kind_of_slot).ne("")]
    told = told.dropna(subset=["family", "module_type"])
    good: dict = {}
    for row in told.sort_values("quiet_years", ascending=False, kind="stable").itertuples():
        own = good.setdefault(_kind(row), [])
        if len(own) < 2 or row.quiet_years == own[1].quiet_years:
            own.append(row)
    return {row.serial: row for row in table.itertuples()}, good


def _kind(row) -> tuple:
    era = row.board_era if isinstance(row.board_era, str) else ""
    # what is called a module and no more is like those in slots of its kind
    return row.family, row.module_type, era, kind_of_slot(row.position) if row.module_type == UNTYPED else ""


@once_a_quarter
def siblings(quarter: Quarter):
    """A row per module in a slot: ``serial, family, module_type, board_era, desk, position, place`` (of the slot on its desk),
    ``quiet_years`` (whole years in service without a fault, or a cleaning of its own that no report asked for) and whether it may be called ``known_good``; not to be changed."""
    import pandas as pd

    end = pd.Timestamp(quarter.last_day)
    roster = quarter.evidence.roster
    sitting = roster[roster["desk"].notna() & ~roster["retired_desk"].astype(bool)]
    faults = quarter.evidence.faults
    told = faults[faults["class"].isin(["fault", "return", "open"])].groupby("serial")["happened_on"].max()
    # what was cleaned unasked may have had a fault that nobody reported
    cared_for = unasked_care(quarter).groupby("serial")["done_on"].max()
    last = pd.concat([told, cared_for]).astype("datetime64[ns]").groupby(level=0).max()
    still_open = sitting["serial"].isin(faults.loc[faults["class"] == "open", "serial"])
    fitted = quarter.evidence.stays.groupby("serial")["from_on"].max()
    quiet = (end - sitting["serial"].map(last).fillna(sitting["serial"].map(fitted))).dt.days
    here = (end - sitting["serial"].map(fitted)).dt.days
    places = [*zip(sitting["desk"], sitting["position"].map(natural), sitting["position"], strict=True)]
    number = {place: number for number, place in enumerate(sorted(set(places)))}
    return sitting[["serial", "family", "module_type", "board_era", "desk", "position"]].assign(
        place=[number[place] for place in places],
        quiet_years=(quiet // 365).astype(float),
        known_good=((quiet > 0) & (here >= 91)).to_numpy(bool) & ~still_open.to_numpy(bool),
    )
