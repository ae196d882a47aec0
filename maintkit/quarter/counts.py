"""Faults and session minutes of every desk, in one quarter and in all of them: counted once for all who ask."""

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter, quarter_days
from maintkit.quarter.remember import once_a_quarter
from maintkit.survival.multiple_tests import holm
from maintkit.survival.rates import poisson_limits, rate_ratio

REAL = 0.05
COLUMNS = [
    "desk",
    "faults",
    "low",
    "high",
    "faults_before",
    "minutes_lost",
    "minutes_lost_before",
    "stopped_sessions",
    "no_fault_found",
    "not_the_desk",
    "returns",
    "repeat_reports",
    "open",
    "powered_years",
    "p_change",
]
LABELS = ["quarter", "desk", "class", "counts", "impact", "minutes_lost"]


@once_a_quarter
def faults_by_desk(quarter: Quarter):
    """A row a desk under power: faults with limits, minutes, what was no fault, and whether it changed; not to be changed."""
    import pandas as pd

    now = _counts(quarter, quarter.label)
    before = _counts(quarter, quarter.previous).reindex(now.index, fill_value=0)
    rows = []
    for desk in now.index:
        this, last = now.loc[desk], before.loc[desk]
        both = this["powered_years"] > 0 and last["powered_years"] > 0
        change = (
            rate_ratio(this["faults"], this["powered_years"], last["faults"], last["powered_years"])
            if both
            else None
        )
        low, high = poisson_limits(this["faults"])
        rows.append(
            {
                "desk": desk,
                "faults": int(this["faults"]),
                "low": low,
                "high": high,
                "faults_before": int(last["faults"]) if last["powered_years"] > 0 else None,
                "minutes_lost": this["minutes_lost"],
                "minutes_lost_before": last["minutes_lost"],
                "stopped_sessions": int(this["stopped"]),
                "no_fault_found": int(this["no fault found"]),
                "not_the_desk": int(this["not the desk"]),
                "returns": int(this["return"]),
                "repeat_reports": int(this["report"]),
                "open": int(this["open"]),
                "powered_years": this["powered_years"],
                "p_change": change.p if change else float("nan"),
            }
        )
    table = pd.DataFrame(rows, columns=COLUMNS)
    adjusted = holm(table["p_change"].to_numpy(float))
    table["real_change"] = ["yes" if p < REAL else "no" for p in adjusted]
    return table


def _counts(quarter: Quarter, label: str):
    """Counts of one quarter by desk in service then."""
    import pandas as pd

    first, last = (pd.Timestamp(day) for day in quarter_days(label))
    faults = _faults(quarter)
    here = faults[faults["quarter"] == first]
    years = _powered_years(quarter.evidence.stays, first, last)
    classes = here.groupby(["desk", "class"])["faults"].sum().unstack(fill_value=0)
    table = classes.reindex(index=years.index, fill_value=0)
    for name in ("no fault found", "not the desk", "return", "report", "open"):
        table[name] = table[name] if name in table else 0
    counted = here[here["counts"]]
    table["faults"] = counted.groupby("desk")["faults"].sum().reindex(years.index, fill_value=0)
    table["minutes_lost"] = here.groupby("desk")["minutes"].sum().reindex(years.index, fill_value=0.0)
    stopped = here[here["impact"] == "stopped session"]
    table["stopped"] = stopped.groupby("desk")["faults"].sum().reindex(years.index, fill_value=0)
    return table.assign(powered_years=years)


@once_a_quarter
def _faults(quarter: Quarter):
    """How many faults there were of each sort in each quarter, and the session minutes they took together; not to be changed."""
    faults = quarter.evidence.fault_counts(LABELS, every=True)
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
    """Faults and minutes of each desk in each quarter on record, one row a desk and quarter."""
    import pandas as pd

    faults = _faults(quarter)
    counted = faults[faults["counts"]]
    label = counted["quarter"].dt.to_period("Q").astype(str)
    table = counted.groupby([counted["desk"], label]).agg(
        faults=("faults", "sum"), minutes_lost=("minutes", "sum")
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
