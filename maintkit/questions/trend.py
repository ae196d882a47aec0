"""Is a desk getting better or worse?"""

from dataclasses import dataclass
from datetime import date

import numpy as np

from maintkit.decide.equal_age import TWO_ERRORS, least_shown
from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.survival.multiple_tests import holm
from maintkit.survival.power_law_process import power_law
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT
from maintkit.survival.trend import laplace_trend, shared_step

SIGNIFICANCE = 0.05
WORSE, BETTER, STEADY, THIN = "getting worse", "getting better", "no trend shown", "too few faults to say"
COLUMNS = ["desk", "faults", "years", "growth", "growth_low", "growth_high", "laplace", "p"]


@dataclass(frozen=True)
class Together:
    """All the desks with faults enough to say, and the ``none_found`` reports of no fault found, come more or less often since about
    a day: more is written down, or less."""

    desks: tuple[str, ...]
    none_found: int
    since: date
    is_more: bool


@dataclass(frozen=True)
class Trends:
    """Which desks get better or worse.

    ``changing`` are the rows of ``table`` with a verdict of better or worse; ``steady, thin`` the desks without one, and with too
    few faults. ``together`` tells where all change with what no desk causes. ``could_show`` is the growth above 1 that would have shown on the steady desk with the most faults.
    """

    changing: tuple[dict, ...]
    steady: tuple[str, ...]
    thin: tuple[str, ...]
    together: Together | None
    could_show: float | None
    table: object
    fewest: int = FEWEST_FOR_A_VERDICT

    @property
    def counts(self) -> dict:
        return {"faults": int(self.table["faults"].sum()), "desk_years": float(self.table["years"].sum())}


def facts(quarter: Quarter) -> Trends:
    """Trend of each desk's faults over its recorded time: Laplace's test, and the power law's growth.

    Growth above 1 means that faults come faster and faster, below 1 slower and slower.
    """
    table = trend_table(quarter)
    steady = table[table["verdict"] == STEADY].sort_values("faults", ascending=False, kind="stable")
    shown = steady["could_show"].dropna()
    changing = table[table["verdict"].isin([WORSE, BETTER])].sort_values(
        "verdict", ascending=False, kind="stable"
    )
    return Trends(
        changing=tuple(changing.to_dict("records")),
        steady=tuple(table.loc[table["verdict"] == STEADY, "desk"]),
        thin=tuple(table.loc[table["verdict"] == THIN, "desk"]),
        together=_together(quarter.evidence, table) if len(changing) else None,
        could_show=float(shown.iloc[0]) if len(shown) else None,
        table=table,
    )


def _together(evidence, table) -> Together | None:
    """What all desks, and the reports of no fault found, share, while all of them are watched."""
    desks = tuple(table.loc[table["verdict"] != THIN, "desk"])
    spans, events = (rows[rows["desk"].isin(desks)] for rows in (evidence.stays, evidence.faults))
    first = spans.groupby("desk")["from_on"].min().max()
    length = (spans.groupby("desk")["to_on"].max().min() - first).days
    days = (events["happened_on"] - first).dt.days + 0.5
    events = events.assign(days=days)[days.between(0, length)]
    counted, none_found = events[events["counts"]], events[events["class"] == "no fault found"]
    series = [
        rows["days"].to_numpy() for rows in (*(counted[counted["desk"] == one] for one in desks), none_found)
    ]
    if len(desks) < 2 or min(map(len, series)) < FEWEST_FOR_A_VERDICT:
        return None
    step = shared_step(series, float(length))
    if step is None:
        return None
    return Together(desks, len(none_found), (first + np.timedelta64(int(step.at), "D")).date(), step.is_up)


def trend_table(quarter: Quarter):
    """One row a desk: faults, years watched, growth with limits, Laplace's statistic, p, verdict, and what could have shown."""
    import pandas as pd

    evidence = quarter.evidence
    counted = evidence.faults[evidence.faults["counts"]]
    spans = evidence.stays.groupby("desk", sort=True).agg(first=("from_on", "min"), last=("to_on", "max"))
    came, of_desk = counted["happened_on"].to_numpy(), counted.groupby("desk").indices
    rows = []
    for desk, first, last in spans.itertuples():
        days = (came[of_desk.get(desk, [])] - first.to_datetime64()) // np.timedelta64(1, "D") + 0.5
        length = (last - first).days
        days = days[(days > 0) & (days < length)]
        rows.append((desk, len(days), length / DAYS_PER_YEAR, *_trend(days, float(length))))
    table = pd.DataFrame(rows, columns=COLUMNS)
    adjusted = holm(table["p"].to_numpy(float))
    table["verdict"] = [
        _verdict(*row) for row in zip(table["faults"], table["laplace"], adjusted, strict=True)
    ]
    error = np.log(table["growth_high"].astype(float) / table["growth_low"].astype(float)) / TWO_ERRORS
    each = SIGNIFICANCE / max(len(table), 1)
    table["could_show"] = [
        least_shown(one, significance=each) if verdict == STEADY and np.isfinite(one) else np.nan
        for one, verdict in zip(error, table["verdict"], strict=True)
    ]
    return table


def _trend(days, length: float) -> tuple:
    if len(days) < FEWEST_FOR_A_VERDICT:
        return (None, None, None, float("nan"), float("nan"))
    shape, test = power_law(days, length).shape, laplace_trend(days, length)
    limits = (None, None, None) if shape is None else (shape.value, shape.low, shape.high)
    return (*limits, float(test.statistic), float(test.p))


def _verdict(faults: int, laplace: float, p: float) -> str:
    if faults < FEWEST_FOR_A_VERDICT:
        return THIN
    if not p < SIGNIFICANCE:
        return STEADY
    return WORSE if laplace > 0 else BETTER
