"""The answers a review leads with, as numbers with limits, so that two readings of the records can be held side by side."""

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.ages import module_exposure
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.slots import SHOWN
from maintkit.survival.rates import clustered_rate_ratio, rate
from maintkit.survival.results import Estimate

RATIO = "faults of capacitor- over DC-coupled modules"


def headline_answers(quarter: Quarter) -> dict[str, Estimate]:
    """Faults a module-year of each desk, the ratio of the coupling styles, and part failures a part-year of each kind."""
    evidence = quarter.evidence
    years = evidence.stays.groupby("desk", sort=True)["exposure_hours"].sum() / HOURS_PER_YEAR
    faults = evidence.faults[evidence.faults["counts"]].groupby("desk").size()
    answers = {
        f"faults a module-year of {desk}": rate(int(faults.get(desk, 0)), exposure)
        for desk, exposure in years.items()
        if exposure > 0
    }
    return answers | _ratio(quarter) | _kinds(evidence.part_spells)


def _ratio(quarter: Quarter) -> dict[str, Estimate]:
    modules = module_exposure(quarter).groupby(["coupling", "serial"])[["events", "years"]].sum()
    modules = modules[modules["years"] > 0].reset_index()
    sides = [modules[modules["coupling"] == side] for side in ("capacitor", "dc")]
    if not all(map(len, sides)):
        return {}
    arrays = (side[name].to_numpy(float) for side in sides for name in ("events", "years"))
    found = clustered_rate_ratio(*arrays)
    events, years = found.events_a + found.events_b, found.exposure_a + found.exposure_b
    return {RATIO: Estimate(found.ratio, found.low, found.high, 0.90, events, years)}


def _kinds(spells) -> dict[str, Estimate]:
    years = spells["exposure_hours"] * spells["weight"] / HOURS_PER_YEAR
    failed = spells["weight"] * (spells["event"] | spells["interval_censored"])
    sums = years.to_frame("years").assign(failed=failed).groupby(spells["kind"].astype(object)).sum()
    return {
        f"failures a part-year of {kind}": rate(int(row.failed), row.years)
        for kind, row in zip(sums.index, sums.itertuples(), strict=True)
        if row.years > 0
    }


def first_slots(quarter: Quarter) -> list[tuple[str, str]]:
    """The slots that open the work list, first to last; empty where none can be forecast."""
    known = quarter.forecast.in_order.dropna(subset=["expected_faults"]).head(SHOWN)
    return list(zip(known["desk"], known["position"], strict=True))


def moved(before: Estimate, after: Estimate) -> float:
    """How far an answer moved, as a share of half the width of its limits; 1 is from the middle to a limit."""
    if before.value is None or after.value is None:
        return 0.0
    high, low = before.high, before.low
    half = (
        (high - low) / 2
        if high is not None and low is not None
        else abs((high if low is None else low) - before.value)
    )
    return abs(after.value - before.value) / half if half else 0.0
