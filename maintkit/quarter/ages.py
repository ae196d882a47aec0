"""Modules by their age, piece by piece, and the faults in each piece: built once a quarter."""

from maintkit.decide.equal_age import MOST_MODULES, aged_pieces
from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter

CHANNEL = ["coupling", "desk", "position"]


@once_a_quarter
def modules_by_age(quarter: Quarter):
    """The pieces of ``aged_pieces``, from every re-cap on record up to the end of the quarter."""
    import pandas as pd

    evidence = quarter.evidence
    written, placed = quarter.table("repairs", "serial", "done_on", "action"), evidence.work
    recaps = pd.concat(
        [frame.loc[frame["action"] == "re-cap", ["serial", "done_on"]] for frame in (written, placed)]
    )
    return aged_pieces(evidence.stays, recaps[recaps["done_on"] <= pd.Timestamp(quarter.last_day)])


@once_a_quarter
def faults_by_day(quarter: Quarter):
    """The faults that count of the modules of ``modules_by_age``: ``serial, happened_on, kind, action`` and ``faults``."""
    serials = modules_by_age(quarter)["serial"].unique()
    drawn = list(serials) if len(serials) >= MOST_MODULES else None
    faults = quarter.evidence.fault_counts(["serial", "happened_on", "kind", "action"], serials=drawn)
    return faults[faults["serial"].notna()]


@once_a_quarter
def module_exposure(quarter: Quarter):
    """Powered years, those of known age among them, and counted faults of each module under each set of labels it stood under."""
    import pandas as pd

    labels = ["family", "coupling", "desk", "module_type", "board_era", "zone", "serial"]
    evidence = quarter.evidence
    hours = evidence.stays["exposure_hours"]
    stays = evidence.stays.assign(years=hours, aged_years=hours.where(evidence.stays["age_known"], 0))
    years = stays.groupby(labels, dropna=False, sort=True)[["years", "aged_years"]].sum() / HOURS_PER_YEAR
    faults = evidence.fault_counts(labels)
    events = faults[faults["serial"].notna()].groupby(labels, dropna=False)["faults"].sum()
    # labels may be missing
    return pd.concat([years, events.rename("events")], axis=1, sort=False).fillna(0.0).reset_index()


def least_aged_share(exposure, label: str, pair: tuple) -> float:
    """The share of powered time at known age, of the level of the pair where it is smaller; rows of ``module_exposure``."""
    years = exposure.groupby(label)[["years", "aged_years"]].sum().reindex(list(pair))
    return float((years["aged_years"] / years["years"]).min())


@once_a_quarter
def channel_years(quarter: Quarter):
    """Powered years of each channel, a slot with all the modules that sit in it at a time, by coupling, desk and position.

    Channels are the slots of a desk that are numbered alike, most of them so or half as many (own choice): its supplies, meters and
    master section are none. Of a desk without numbered slots all are.
    """
    stays = quarter.evidence.stays.dropna(subset=["position"])
    stays = stays[_are_channels(stays)]
    hours = stays.groupby([*CHANNEL, "module_type"], dropna=False)["exposure_hours"].sum()
    # modules of several types share a slot at one time
    return hours.groupby(level=CHANNEL).max() / HOURS_PER_YEAR


def _are_channels(stays):
    """Whether each stay is in a slot of a series of numbers that is half as long as the longest of its desk."""
    slots = stays[["desk", "position"]].astype(str).drop_duplicates()
    written = slots["position"].str.extract(r"^(\D*)\d+$")[0]
    series = slots["desk"].where(written.notna()) + "\n" + written
    many = series.map(series.value_counts()).fillna(0)
    longest = many.groupby(slots["desk"]).transform("max")
    chosen = slots[(many >= longest / 2)]
    return stays.set_index(["desk", "position"]).index.isin(chosen.set_index(["desk", "position"]).index)
