"""Faults and session minutes of every desk, in one quarter and in all of them: counted once for all who ask."""

from dataclasses import dataclass

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter, quarter_days
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.silence import silent_quarters
from maintkit.quarter.supply import SLOT_OR_SUPPLY
from maintkit.survival.multiple_tests import holm
from maintkit.survival.open_reports import open_reports
from maintkit.survival.rates import poisson_limits, rate_ratio

REAL = 0.05
NOT_THE_DESK = "not the desk"  # the class whose minutes are not the desks'
CLASSES = {
    "no_fault_found": "no fault found",
    "not_the_desk": NOT_THE_DESK,
    "slot_or_supply": SLOT_OR_SUPPLY,
    "returns": "return",
    "repeat_reports": "report",
    "open": "open",
}  # what a report may prove to be, beside a fault
COUNTED = ["faults", "stopped_sessions", *CLASSES]
FAULTS = ["faults", "low", "high", "faults_before", "minutes_lost", "minutes_lost_before", "stopped_sessions"]
LABELS = ["quarter", "desk", "class", "counts", "impact", "minutes_lost"]
SUM = {
    "ticket_faults": ("ticket", "fault"),
    "ticket_returns": ("ticket", "return"),
    "reported_again": ("ticket", "report"),
    "no_fault_found": ("ticket", "no fault found"),
    "not_the_desk": ("ticket", "not the desk"),
    "slot_or_supply": ("ticket", SLOT_OR_SUPPLY),
    "open": ("ticket", "open"),
    "unticketed_faults": ("repair", "fault"),
    "unticketed_slot_or_supply": ("repair", SLOT_OR_SUPPLY),
}
SUM_COLUMNS = ["quarter", "desk", "tickets", *SUM, "faults", "open_expected_faults"]


@once_a_quarter
def faults_by_desk(quarter: Quarter):
    """A row a desk under power: faults with limits, minutes, what was no fault, and whether it changed; not to be changed."""
    now = _counts(quarter, quarter.label)
    before = _counts(quarter, quarter.previous).reindex(now.index, fill_value=0)
    if quarter.previous in silent_quarters(quarter):
        before["powered_years"] = 0.0  # nothing stands beside it
    low, high = poisson_limits(now["faults"])
    rates = (one[["faults", "powered_years"]].to_numpy(float) for one in (now, before))
    p = [rate_ratio(*one, *last).p if last[1] > 0 else np.nan for one, last in zip(*rates, strict=True)]
    table = now.assign(
        low=low,
        high=high,
        faults_before=before["faults"].where(before["powered_years"] > 0),
        minutes_lost_before=before["minutes_lost"],
        p_change=np.array(p, float),
        real_change=["yes" if one < REAL else "no" for one in holm(p)],
        powered_years_before=before["powered_years"].astype(float),
    )
    last = ["powered_years", "p_change", "real_change", "powered_years_before"]
    return table[[*FAULTS, *CLASSES, *last]].reset_index()


def change_of_all(table, *, still_open: float) -> str:
    """ "fewer" or "more" where the faults of all desks together changed by more than chance brings, else nothing.

    ``table`` is ``faults_by_desk``; ``still_open`` the most of the open reports that may prove faults, which count as such before
    faults are called fewer. One comparison: for one desk see ``real_change``.
    """
    known = table[table["faults_before"].notna() & (table["powered_years"] > 0)]
    if len(known) < 2:
        return ""
    faults, before = int(known["faults"].sum()), int(known["faults_before"].sum())
    years, years_before = (float(known[name].sum()) for name in ("powered_years", "powered_years_before"))
    fewer = faults / years < before / years_before
    most = faults + round(still_open) if fewer else faults
    if fewer and most / years >= before / years_before:
        return ""
    change = rate_ratio(most, years, before, years_before)
    return ("fewer" if fewer else "more") if change.p < REAL else ""


def _counts(quarter: Quarter, label: str):
    """Counts of one quarter by desk in service then."""
    import pandas as pd

    first, last = (pd.Timestamp(day) for day in quarter_days(label))
    last = min(last, first + pd.Timedelta(days=quarter.days - 1))
    faults = _faults(quarter)
    here = faults[faults["quarter"] == first]
    years = _powered_years(quarter.evidence.stays, first, last)
    own = here["class"] != NOT_THE_DESK
    counted = {name: here.loc[here["class"] == of, "faults"] for name, of in CLASSES.items()}
    counted["faults"] = here.loc[here["counts"], "faults"]
    counted["stopped_sessions"] = here.loc[own & (here["impact"] == "stopped session"), "faults"]
    counted["minutes_lost"] = here.loc[own, "minutes"]
    sums = {name: of.groupby(here["desk"]).sum() for name, of in counted.items()}
    table = pd.DataFrame(sums, index=years.index).fillna(0.0).astype(dict.fromkeys(COUNTED, int))
    return table.assign(powered_years=years)


@once_a_quarter
def _faults(quarter: Quarter):
    """Faults of each sort in each quarter, and the session minutes they took together; not to be changed.

    Beside a quarter that is not over stand the same days of the others.
    """
    faults = quarter.evidence.fault_counts(LABELS, every=True, days=quarter.days_so_far)
    return faults.assign(minutes=faults["minutes_lost"] * faults["faults"])


def _powered_years(stays, first, last):
    """Powered module-years of each desk between two days, both inclusive."""
    import pandas as pd

    after = last + pd.Timedelta(days=1)
    days = (stays["to_on"].clip(upper=after) - stays["from_on"].clip(lower=first)).dt.days.clip(lower=0)
    whole = (stays["to_on"] - stays["from_on"]).dt.days.clip(lower=1)
    hours = stays["exposure_hours"] * days / whole
    return (hours.groupby(stays["desk"]).sum() / HOURS_PER_YEAR).loc[lambda years: years > 0]


def faults_by_quarter(quarter: Quarter):
    """Faults of each desk in each quarter on record, and the session minutes of all that was the desk's own: a row a desk and quarter."""
    import pandas as pd

    faults = _faults(quarter)
    place = [faults["desk"], faults["quarter"].dt.to_period("Q").astype(str)]
    counted, own = faults["counts"], faults["class"] != NOT_THE_DESK
    table = pd.DataFrame(
        {
            "faults": faults["faults"].where(counted, 0).groupby(place).sum(),
            "minutes_lost": faults["minutes"].where(own).groupby(place).sum(),
        }
    )
    stays = quarter.evidence.stays
    seen = stays.groupby("desk").agg(first=("from_on", "min"), last=("to_on", "max"))
    spans = [
        (desk, str(period))
        for desk, row in seen.iterrows()
        for period in pd.period_range(row["first"], row["last"] - pd.Timedelta(days=1), freq="Q")
    ]
    table = table.reindex(
        pd.MultiIndex.from_tuples(spans, names=["desk", "quarter"]), fill_value=0
    ).reset_index()
    table["low"], table["high"] = poisson_limits(table["faults"])
    return table


@dataclass(frozen=True)
class StillOpen:
    """The reports still open on the last day.

    Attributes
    ----------
    reports : int
    expected, low, high : float
        How many of them will prove to be faults, with 90 % limits.
    faults : DataFrame or None
        ``desk, quarter`` (first day), ``reports`` still open and ``faults`` to expect of them; None where none is open.
    """

    reports: int
    expected: float
    low: float
    high: float
    faults: object


def reports_still_open(evidence, since=None) -> StillOpen:
    """The reports still open, those raised from a day on where one is given, and how many of them will prove to be faults."""
    ages = evidence.report_ages()
    ages = ages.loc[np.repeat(ages.index, ages["tickets"])]
    is_open = ages["state"] == "open"
    told, left = ages[~is_open], ages[is_open]
    left = left if since is None else left[left["quarter"] >= since]
    found = open_reports(told["desk"], told["days"], told["state"] == "fault", left["desk"], left["days"])
    by_quarter = left.assign(reports=1, faults=found.chance).groupby(["desk", "quarter"], as_index=False)
    by_quarter = by_quarter[["reports", "faults"]].sum()
    return StillOpen(len(left), found.expected, found.low, found.high, by_quarter if len(left) else None)


def counts_table(quarter: Quarter):
    """Where every ticket went, a row a quarter and desk: the classes add up to ``tickets``, faults of both sources to ``faults``."""
    import pandas as pd

    found = quarter.evidence.fault_counts(["quarter", "desk", "source", "class", "in_window"], every=True)
    found = found[found["in_window"] & found["desk"].notna()]
    spans = faults_by_quarter(quarter)[["desk", "quarter"]]
    label = found["quarter"].dt.to_period("Q").astype(str)
    sums = found.groupby([label, "desk", "source", "class"])["faults"].sum()
    sums = sums.unstack(["source", "class"], fill_value=0) if len(sums) else pd.DataFrame()
    rows = pd.MultiIndex.from_frame(spans[["quarter", "desk"]]).union(sums.index).sort_values()
    table = pd.DataFrame(
        {name: sums[key].reindex(rows, fill_value=0) if key in sums else 0 for name, key in SUM.items()},
        index=rows,
    )
    table["tickets"] = table[[name for name, (source, _) in SUM.items() if source == "ticket"]].sum(axis=1)
    table["faults"] = table["ticket_faults"] + table["unticketed_faults"]
    left, table["open_expected_faults"] = quarter.open_reports.faults, 0.0
    if left is not None:
        left = left.set_index([left["quarter"].dt.to_period("Q").astype(str), "desk"])["faults"]
        table["open_expected_faults"] = left.reindex(rows, fill_value=0.0)
    return table.rename_axis(["quarter", "desk"]).reset_index()[SUM_COLUMNS]


def faults_per_slot(quarter: Quarter):
    """Mean number of faults a slot has had since records began, all slots and each desk: a row a day on which one came.

    Columns ``desk`` (None: every slot), ``days`` since the first record, ``mean``, ``low, high``, ``at_risk`` slots.
    """
    import pandas as pd

    from maintkit.survival.recurrence import mean_cumulative

    stays = quarter.evidence.stays.dropna(subset=["desk", "position"])
    faults = quarter.evidence.faults
    faults = faults.loc[faults["counts"] & faults["position"].notna(), ["desk", "position", "happened_on"]]
    columns = ["desk", "days", "mean", "low", "high", "at_risk"]
    none = pd.DataFrame(columns=columns)
    if not len(stays):
        return none
    begun = stays["from_on"].min()
    watched = stays.groupby(["desk", "position"]).agg(entry=("from_on", "min"), exit=("to_on", "max"))
    watched = (watched - begun).apply(lambda column: column.dt.days.astype(float)).reset_index()
    watched["slot"] = range(len(watched))
    # a fault of a day comes after its morning, so that one of the first day falls within the time watched
    events = faults.assign(days=(faults["happened_on"] - begun).dt.days + 1.0).merge(
        watched, on=["desk", "position"]
    )
    events = events[(events["days"] > events["entry"]) & (events["days"] <= events["exit"])]
    groups = [(None, watched, events)]
    if watched["desk"].nunique() > 1:
        seen_of = dict(iter(events.groupby("desk")))
        groups += [(desk, own, seen_of.get(desk, ())) for desk, own in watched.groupby("desk")]
    frames = [none]
    for desk, own, seen in groups:
        if len(seen):
            curve = mean_cumulative(own["slot"], own["entry"], own["exit"], seen["slot"], seen["days"])
            told = {name: getattr(curve, name) for name in columns[2:]}
            frames.append(pd.DataFrame({"desk": desk, "days": curve.time.astype(int), **told}))
    return pd.concat(frames[1:] or frames, ignore_index=True)
