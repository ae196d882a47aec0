"""What may be wrong with a module in the coming quarter, kind of part by kind of part, and the kit to have at hand for it."""

import numpy as np

from maintkit.decide.replacement_costs import JOINTS_PER_CAPACITOR
from maintkit.hours import HOURS_PER_WEEK, HOURS_PER_YEAR
from maintkit.quarter.fitted import NO_PART, parts_in
from maintkit.quarter.of_module import rows_of
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.shelf import on_hand

KIT_SHARE = 0.05


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
    module = rows_of(quarter, "forecast.modules", serial)
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
    own = rows_of(quarter, "slots", serial)["hours_ahead"]
    return float(own.iloc[0]) if len(own) else HOURS_PER_WEEK * quarter.days_ahead / 7


def kit(quarter: Quarter, serial: str):
    """What to have at hand: every electrolytic, and one of each other kind likely enough; stock and whether it can be bought."""
    likely = likely_parts(quarter, serial)
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
