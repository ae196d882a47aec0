"""What was pulled of each kind of module and how long it was away: the need that spares and donors can meet."""

from maintkit.decide.spares import Demand, demand_of
from maintkit.decide.spares_donors import Keeping, Need
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.shelf import demand_in, on_hand, short_types
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

DAYS_AWAY = 21.0  # where fewer than five modules were timed
KIND = ["family", "module_type"]
PULLED = ("fault", "return", "no fault found")


@once_a_quarter
def needed(quarter: Quarter, keeping: Keeping = Keeping()) -> Need:
    """Pulls of each kind of module in service with the days away, and the parts that are short."""
    demand, years = demand_in(quarter)
    counted, parts = on_hand(quarter), {}
    for row in short_types(quarter).itertuples():
        own = demand.get(row.part_type, Demand(0, years))
        is_known = row.lead_time_days == row.lead_time_days
        wait = row.lead_time_days if is_known else DAYS_AWAY
        if own.used:
            count = int(counted.get(row.part_type, 0))
            parts[row.part_type] = (own, count, float("inf") if row.obtainable == "no" else wait)
    return Need(_pulls(quarter, keeping.days_away), parts)


def _pulls(quarter: Quarter, days_away: float | None) -> dict:
    """Demand and mean days away of each (family, module type) that is in a desk in service."""
    import pandas as pd

    evidence = quarter.evidence
    roster = evidence.roster
    serving = roster[roster["desk"].notna() & ~roster["retired_desk"]]
    first = evidence.stays["from_on"].min() if len(evidence.stays) else pd.Timestamp(quarter.last_day)
    length = float((pd.Timestamp(quarter.last_day) - first).days)
    pulls = evidence.faults[["class", "serial", "desk", *KIND, "happened_on", "closed_on"]]
    pulls = pulls[pulls["class"].isin(PULLED) & pulls["serial"].notna() & pulls["desk"].isin(serving["desk"])]
    away = (pulls["closed_on"] - pulls["happened_on"]).dt.days
    pulls = pulls.assign(day=(pulls["happened_on"] - first).dt.days, away=away.where(away >= 0))
    groups = dict(list(pulls.groupby(KIND, observed=True)))
    found = {}
    for kind in serving.groupby(KIND, observed=True).groups:
        own = groups.get(kind)
        if own is None or length <= 0:
            continue
        timed = own["away"].dropna()
        usual = float(timed.mean()) if len(timed) >= FEWEST_FOR_A_VERDICT else DAYS_AWAY
        days = usual if days_away is None else days_away
        found[kind] = (demand_of(own["day"], [1] * len(own), length_days=length), days)
    return found
