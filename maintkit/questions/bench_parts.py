"""Of one module: the parts likely to have failed with their odds, the kit, the board, and the values to measure against."""

import numpy as np

from maintkit.decide.replacement_boards import MOST_RECAPS
from maintkit.decide.replacement_costs import JOINTS_PER_CAPACITOR
from maintkit.hours import HOURS_PER_WEEK, HOURS_PER_YEAR
from maintkit.quarter.fitted import NO_PART, parts_in
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.questions.donors import on_hand
from maintkit.survival.ageing import corner_shift

KIT_SHARE = 0.05
CRITERIA = (
    (0.8, 2.0),
    (0.7, 3.0),
)  # capacitance and ESR over the first value: two customary ends of life, no one rule
TOLERANCE = 0.2  # common practice, no source


def likely_parts(quarter: Quarter, serial: str):
    """A row per kind of part fitted, likeliest first, and one for faults in which no part is replaced."""
    table = _expected(quarter, serial)
    total = table["expected"].sum()
    table = table.assign(
        chance=1 - np.exp(-table["expected"].astype(float)),
        share=table["expected"] / total if total > 0 else 0.0,
    )
    return (
        table.drop(columns="expected")
        .sort_values("share", ascending=False, kind="stable")
        .reset_index(drop=True)
    )


def faults_ahead(quarter: Quarter, serial: str) -> float:
    """Faults expected of a module in the coming quarter."""
    return float(_expected(quarter, serial)["expected"].sum())


@once_a_quarter
def _expected(quarter: Quarter, serial: str):
    """Faults expected of each kind of part of a module in the coming quarter, its frailty allowed for."""
    import pandas as pd

    fitted = parts_in(quarter, serial)
    modules = quarter.forecast.modules
    module = modules[modules["serial"] == serial]
    own = module.iloc[0] if len(module) else None
    frailty, per_failure = (own["frailty"], own["faults_per_failure"]) if own is not None else (1.0, 1.0)
    hours, kinds = _hours_ahead(quarter, serial), dict(list(fitted.groupby("part_type", sort=True)))
    rows = [
        _one_kind(hazard, kinds[hazard.part_type], hours, per_failure * frailty)
        for hazard in quarter.forecast.hazards
        if hazard.part_type in kinds and hazard.family == fitted["family"].iloc[0]
    ]
    if own is not None:
        rows.append({"part_type": NO_PART, "expected": own["other_rate"] * hours / HOURS_PER_YEAR * frailty})
    return pd.DataFrame(
        rows, columns=["part_type", "kind", "fitted", "age_powered_years", "failures_on_record", "expected"]
    )


def _one_kind(hazard, parts, hours: float, factor: float) -> dict:
    age, weight = parts["exit"].to_numpy(float), parts["weight"].to_numpy(float)
    known = parts["age_known"].to_numpy(bool)
    aged = float(np.average(age[known], weights=weight[known])) / HOURS_PER_YEAR if known.any() else None
    return {
        "part_type": hazard.part_type,
        "kind": hazard.kind,
        "fitted": int(weight.sum()),
        "age_powered_years": aged,
        "failures_on_record": hazard.failures,
        "expected": float(hazard.expected(parts, age, age + hours)[0].sum()) * factor,
    }


def _hours_ahead(quarter: Quarter, serial: str) -> float:
    """Powered hours of the coming quarter where it sits; always on where it sits nowhere."""
    slots = quarter.slots
    own = slots.loc[slots["serial"] == serial, "hours_ahead"]
    return float(own.iloc[0]) if len(own) else HOURS_PER_WEEK * quarter.days_ahead / 7


def kit(quarter: Quarter, serial: str, likely):
    """What to have at hand: every electrolytic, and one of each other kind likely enough; stock and whether it can be bought."""
    parts = likely[likely["part_type"] != NO_PART]
    capacitors = parts["kind"] == "electrolytic"
    parts = parts[capacitors | (parts["share"] >= KIT_SHARE)]
    electrolytic = parts["kind"] == "electrolytic"
    types = quarter.table("part_types").set_index("part_type")
    table = parts.assign(
        quantity=parts["fitted"].where(electrolytic, 1).astype(int),
        joints=(parts["fitted"] * JOINTS_PER_CAPACITOR).where(electrolytic),
    )
    table["in_stock"] = table["part_type"].map(on_hand(quarter))
    table["obtainable"] = table["part_type"].map(types["obtainable"])
    return table[["part_type", "quantity", "joints", "in_stock", "obtainable"]].reset_index(drop=True)


def board_state(quarter: Quarter, serial: str) -> tuple[str, ...]:
    """Sentences on the board: era, re-caps, bridges, last inspection, re-caps left."""
    import pandas as pd

    own = quarter.evidence.roster.set_index("serial").loc[serial]
    cycles, bridged = int(own["rework_cycles"]), int(own["bridged_tracks"])
    era = f"Board era {own['board_era']}. " if isinstance(own["board_era"], str) else ""
    seen = quarter.table("inspections").astype({"damaged_tracks": float})
    seen = seen[
        (seen["serial"] == serial) & (seen["inspected_on"] <= pd.Timestamp(quarter.last_day))
    ].sort_values("inspected_on")
    looked = [
        f"Inspected {row.inspected_on:%Y-%m-%d}: {row.condition}"
        + (f", {row.damaged_tracks:.0f} damaged tracks." if row.damaged_tracks == row.damaged_tracks else ".")
        for row in seen.tail(1).itertuples()
    ]
    return (
        f"{era}Re-capped {cycles} times, {bridged} tracks bridged.",
        f"{max(MOST_RECAPS - cycles, 0)} re-caps left where a board is taken to bear {MOST_RECAPS}; there is no published limit, houses "
        "differ. Every one heats each pad twice.",
        *(looked or ("Never inspected on record.",)),
    )


def limits(quarter: Quarter, serial: str):
    """A row per kind of capacitor and measure in the module: printed and first value, the two limits, its own last readings."""
    import pandas as pd

    readings = quarter.table("readings")
    readings = readings[
        (readings["measured_on"] <= pd.Timestamp(quarter.last_day))
        & readings["measure"].isin(["capacitance", "esr"])
    ]
    held = parts_in(quarter, serial)["part_type"].unique()
    rows = [
        _limit_row(part, measure, own, serial)
        for (part, measure), own in readings[readings["part_type"].isin(held)].groupby(
            ["part_type", "measure"], sort=True
        )
    ]
    columns = [
        "part_type",
        "measure",
        "unit",
        "printed",
        "first_value",
        "limit_20_percent_2x",
        "limit_30_percent_3x",
        "readings_here",
        "last_here",
    ]
    low, high = (1 - TOLERANCE) * CRITERIA[1][0], (1 + TOLERANCE) * CRITERIA[1][0]
    return pd.DataFrame(rows, columns=columns), (
        "Limits are over the first value of such parts, or the print where none is known: capacitance down 20 or 30 %, ESR up 2 or 3 times: the house says which it goes by.",
        f"Where no first value is known, a part printed within 20 % reads {low:.2f} to {high:.2f} of its print after losing 30 %.",
        f"A coupling corner rises {corner_shift(0.8):.2f} times with 20 % lost and {corner_shift(0.7):.2f} times with 30 %.",
    )


def _limit_row(part: str, measure: str, own, serial: str) -> dict:
    unit = own["unit"].mode().iloc[0]
    own = own[own["unit"] == unit]
    known, printed = own["baseline"].dropna(), float(own["nominal"].median())
    first = float(known.median()) if len(known) else None
    base = printed if first is None else first
    mild, hard = (criterion[0 if measure == "capacitance" else 1] for criterion in CRITERIA)
    here = own[own["serial"] == serial].sort_values("measured_on", kind="stable")
    last = here[here["measured_on"] == here["measured_on"].max()]["value"].median() if len(here) else None
    return {
        "part_type": part,
        "measure": measure,
        "unit": unit,
        "printed": printed,
        "first_value": first,
        "limit_20_percent_2x": mild * base,
        "limit_30_percent_3x": hard * base,
        "readings_here": len(here),
        "last_here": last,
    }
