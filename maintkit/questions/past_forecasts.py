"""Were the last forecasts right? Each past quarter forecast anew from the records up to its end, beside what came."""

from maintkit.quarter.quarter import Quarter, quarter_days, quarter_of
from maintkit.quarter.slots import SHOWN
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.report.finding import Finding
from maintkit.report.forecasts import forecast_figure

QUARTERS = 4
COLUMNS = [
    "quarter",
    "desk",
    "expected_faults",
    "expected_faults_low",
    "expected_faults_high",
    "faults",
    "within",
    "faults_expected_in_first_slots",
    "faults_in_first_slots",
    "first_slots",
    "slots",
]


def forecast_and_fact(quarter: Quarter, quarters: int = QUARTERS) -> Finding:
    """Faults forecast for each desk in the last quarters, from the records as they stood, beside those that came."""
    table = past_forecasts(quarter, quarters)
    title = _title(table)
    drawn = table.assign(
        label=table["desk"] + " " + table["quarter"],
        expected=table["expected_faults"],
        low=table["expected_faults_low"],
        high=table["expected_faults_high"],
        happened=table["faults"],
    )
    return Finding(
        key="forecast-and-fact",
        title=title,
        table=table,
        figure=forecast_figure(
            drawn[["label", "expected", "low", "high", "happened"]], title=title, axis="faults in the quarter"
        )
        if len(table)
        else None,
        caveats=(
            "Each forecast is made anew from what was recorded up to the end of the quarter before. What was only later written "
            "about those days, such as a ticket's outcome, is in it.",
            "The limits are those of the count to come, chance included: about nine in ten counts should lie within them. "
            f"First slots: the {SHOWN} the list put first then.",
            "Faults that cannot be put to a module came, but were not forecast.",
        ),
        counts={"forecasts": len(table), "faults": int(table["faults"].sum())},
        alt="Faults forecast with limits, and faults that came, for each desk and past quarter.",
    )


def past_forecasts(quarter: Quarter, quarters: int = QUARTERS):
    """A row per past quarter, latest last, and desk then in service: forecast with limits of the count, and what came."""
    import pandas as pd

    labels = [quarter.label]
    for _ in range(quarters - 1):
        labels.insert(0, _before(labels[0]))
    started = quarter.evidence.stays["from_on"].min()
    rows = [
        row
        for label in labels
        if pd.Timestamp(quarter_days(_before(label))[0]) >= started
        for row in _one_quarter(quarter, label)
    ]
    return pd.DataFrame(rows, columns=COLUMNS)


def _one_quarter(quarter: Quarter, label: str) -> list[dict]:
    """What was forecast for a quarter from the records up to its first day, and what came."""
    forecast = quarter.earlier(_before(label)).forecast
    if forecast.failures < FEWEST_FOR_A_VERDICT:
        return []
    came = _faults(quarter, label)
    slots = forecast.slots.reset_index(drop=True)
    first = slots.index < SHOWN
    rows = []
    limits = forecast.count_limits.set_index("desk")
    for desk, own in slots.groupby("desk", sort=True):
        low, high = limits.loc[desk, ["faults_low", "faults_high"]]
        happened, listed = came[came["desk"] == desk], own[first[own.index]]
        found = int(happened["position"].isin(listed["position"]).sum())
        rows.append(
            {
                "quarter": label,
                "desk": desk,
                "expected_faults": float(own["expected_faults"].sum()),
                "expected_faults_low": int(low),
                "expected_faults_high": int(high),
                "faults": len(happened),
                "within": bool(low <= len(happened) <= high),
                "faults_expected_in_first_slots": float(listed["expected_faults"].sum()),
                "faults_in_first_slots": found,
                "first_slots": len(listed),
                "slots": len(own),
            }
        )
    return rows


def _faults(quarter: Quarter, label: str):
    """The counted faults of a quarter, as the records now say."""
    import pandas as pd

    first, last = (pd.Timestamp(day) for day in quarter_days(label))
    faults = quarter.evidence.faults
    return faults[faults["counts"] & faults["happened_on"].between(first, last)]


def _before(label: str) -> str:
    from datetime import timedelta

    return quarter_of(quarter_days(label)[0] - timedelta(days=1))


def _title(table) -> str:
    faults = int(table["faults"].sum())
    if not len(table):
        return (
            "No past forecast can be checked: it takes a whole quarter of records, with 5 faults of known modules, before the "
            "quarter forecast."
        )
    seen = (
        f"In {several(table['quarter'].nunique(), 'past quarter')} {table['expected_faults'].sum():.0f} faults were forecast and "
        f"{faults} came"
    )
    if faults < FEWEST_FOR_A_VERDICT:
        return f"{seen}: too few to judge the forecasts by."
    share = 100 * table["first_slots"].sum() / table["slots"].sum()
    return (
        f"{seen}; {int(table['within'].sum())} of {len(table)} desk counts within their 90 % limits. The {share:.0f} % of slots "
        f"listed first had {int(table['faults_in_first_slots'].sum())} of them, {table['faults_expected_in_first_slots'].sum():.0f} "
        "forecast."
    )
