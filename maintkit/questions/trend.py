"""Is a desk getting better or worse?"""

from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding
from maintkit.survival.multiple_tests import holm
from maintkit.survival.power_law_process import power_law
from maintkit.survival.trend import laplace_trend

SIGNIFICANCE = 0.05
WORSE, BETTER, STEADY, THIN = "getting worse", "getting better", "no trend shown", "too few faults to say"
COLUMNS = ["desk", "faults", "years", "growth", "growth_low", "growth_high", "laplace", "p"]


def better_or_worse(quarter: Quarter) -> Finding:
    """Trend of each desk's faults over its recorded time: Laplace's test, and the power law's growth.

    Growth above 1 means that faults come faster and faster, below 1 slower and slower.
    """
    table = trend_table(quarter)
    title = _title(table)
    drawn = table[table["growth"].notna()].rename(
        columns={
            "desk": "label",
            "growth": "value",
            "growth_low": "low",
            "growth_high": "high",
            "faults": "failures",
            "years": "exposure",
        }
    )
    return Finding(
        key="better-or-worse",
        title=title,
        table=table,
        figure=interval_figure(
            drawn[["label", "value", "low", "high", "failures", "exposure"]],
            title=title,
            axis="growth of the power law (1 = steady, above 1 = worse)",
            reference=1.0,
        )
        if len(drawn)
        else None,
        caveats=(
            "Time is the calendar, so a change in hours of power or of use shows as a trend.",
            "Faults that come in bunches make a trend look surer than it is.",
            "Where there is a trend, one life curve for the whole time hides it: trust the mean number of faults over the years more.",
        ),
        counts={"faults": int(table["faults"].sum()), "desk_years": float(table["years"].sum())},
        alt="Growth of each desk's faults with 90 % limits against the line of no trend at 1.",
    )


def trend_table(quarter: Quarter):
    """One row a desk: faults, years watched, growth with limits, Laplace's statistic, p and verdict."""
    import pandas as pd

    evidence = quarter.evidence
    counted = evidence.faults[evidence.faults["counts"]]
    spans = evidence.stays.groupby("desk", sort=True).agg(first=("from_on", "min"), last=("to_on", "max"))
    rows = []
    for desk, span in spans.iterrows():
        days = (counted.loc[counted["desk"] == desk, "happened_on"] - span["first"]).dt.days + 0.5
        length = (span["last"] - span["first"]).days
        days = days[(days > 0) & (days < length)].to_numpy(float)
        rows.append((desk, len(days), length / DAYS_PER_YEAR, *_trend(days, float(length))))
    table = pd.DataFrame(rows, columns=COLUMNS)
    adjusted = holm(table["p"].to_numpy(float))
    table["verdict"] = [
        _verdict(*row) for row in zip(table["faults"], table["laplace"], adjusted, strict=True)
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


def _title(table) -> str:
    if not len(table):
        return "No desk was watched, so no trend can be told."
    said = []
    for verdict in (WORSE, BETTER):
        chosen = table[table["verdict"] == verdict]
        said += [
            f"{row.desk} is {verdict}: growth {row.growth:.2f} ({row.growth_low:.2f} to {row.growth_high:.2f}; "
            f"{several(row.faults, 'fault')} in {row.years:.0f} years)"
            for row in chosen.itertuples()
        ]
    steady = table.loc[table["verdict"] == STEADY, "desk"].tolist()
    said += [f"no trend shown on {', '.join(steady)}"] if steady else []
    thin = table.loc[table["verdict"] == THIN, "desk"].tolist()
    said += [f"too few faults on {', '.join(thin)} to say (it takes {FEWEST_FOR_A_VERDICT})"] if thin else []
    whole = "; ".join(said)
    return f"{whole[:1].upper()}{whole[1:]}."
