"""The desks slot by slot: what they are expected to cost, how old their electrolytics are, how often their boards were re-capped."""

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.report.finding import Finding
from maintkit.report.plans import desk_plan_figure

PLACE = ["desk", "position"]
DESKS_NAMED = 4


def desk_plans(quarter: Quarter) -> Finding:
    """Every desk slot by slot: session minutes expected next quarter, powered years since the last re-cap, re-caps so far."""
    table = slot_table(quarter)
    title = _title(quarter, table)
    first, *others = _figures(quarter, table)
    return Finding(
        key="desk-plans",
        title=title,
        table=table,
        figure=first,
        more_figures=tuple(others),
        caveats=(
            "Slots stand in the order of the record book, bay by bay. Years since the last re-cap are the powered age of the oldest "
            "electrolytics of known age in the slot; where modules share a slot the older board and the more often re-capped one "
            "count.",
        ),
        counts={"slots": len(table), "faults": quarter.forecast.failures},
        alt="Slots of each desk shaded by expected session minutes lost next quarter.",
    )


def slot_table(quarter: Quarter):
    """A row per slot of every desk in service, in the order of the record book."""
    places = quarter.slots[PLACE].drop_duplicates()
    bays = quarter.table("positions")[[*PLACE, "bay"]]
    forecast = quarter.forecast.slots[
        [*PLACE, "expected_faults", "expected_faults_low", "expected_faults_high", "expected_minutes_lost"]
    ]
    table = places.merge(bays, on=PLACE, how="left").merge(forecast, on=PLACE)
    table = table.join(_years_since_recap(quarter), on=PLACE).join(_rework_cycles(quarter), on=PLACE)
    return table[["desk", "bay", "position", *forecast.columns[2:], "years_since_re_cap", "rework_cycles"]]


def _years_since_recap(quarter: Quarter):
    """Powered age of the oldest electrolytics of known age in each slot."""
    spells = quarter.evidence.part_spells
    fitted = spells[spells["still_fitted"] & spells["age_known"] & (spells["kind"] == "electrolytic")]
    return (fitted.groupby(PLACE)["exit"].max() / HOURS_PER_YEAR).rename("years_since_re_cap")


def _rework_cycles(quarter: Quarter):
    roster = quarter.evidence.roster.dropna(subset=PLACE)
    return roster.groupby(PLACE)["rework_cycles"].max()


def _figures(quarter: Quarter, table) -> list:
    """One plan for each measure, alike in all but the number."""
    measures = (
        ("expected_minutes_lost", f"Session minutes expected in {quarter.next_label}", "session minutes"),
        ("years_since_re_cap", "Powered years since the last re-cap", "powered years"),
        ("rework_cycles", "Re-caps the board has had", "re-caps"),
    )
    return [
        desk_plan_figure(
            table.assign(value=table[column], label=table["position"])[
                ["desk", "bay", "position", "value", "label"]
            ],
            title=f"{heading}{_most(table, column)}",
            unit=unit,
        )
        for column, heading, unit in measures
    ]


def _most(table, column: str) -> str:
    known = table[column].dropna()
    if not len(known):
        return ": not known"
    top = table.loc[known.idxmax()]
    return f": most {known.max():.3g}, {top['desk']} {top['position']}" if known.max() > 0 else ": none"


def _title(quarter: Quarter, table) -> str:
    by_desk = table.groupby("desk")[["expected_faults", "expected_minutes_lost"]].sum()
    is_timed = by_desk["expected_minutes_lost"].gt(0).any()
    order = "expected_minutes_lost" if is_timed else "expected_faults"
    by_desk = by_desk.sort_values(order, ascending=False, kind="stable")
    said = [
        f"{desk} {row['expected_faults']:.1f} faults"
        + (f" and {row['expected_minutes_lost']:,.0f} minutes" if is_timed else "")
        for desk, row in by_desk.head(DESKS_NAMED).iterrows()
    ]
    more = f"; and {len(by_desk) - DESKS_NAMED} more desks" if len(by_desk) > DESKS_NAMED else ""
    return (
        f"Expected in {quarter.next_label}: {'; '.join(said) or 'nothing, for no slot is on record'}{more}."
    )
