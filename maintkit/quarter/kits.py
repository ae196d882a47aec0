"""What may be wrong with a module in the coming quarter, kind of part by kind of part, and the kit to have at hand for it."""

import numpy as np

from maintkit.decide.replacement_costs import JOINTS_PER_CAPACITOR
from maintkit.hours import HOURS_PER_WEEK, HOURS_PER_YEAR
from maintkit.quarter.fitted import NO_PART, UNNAMED, fitted_parts, kind_replaced
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.shelf import on_hand

KIT_SHARE = 0.05
NONE_OR_UNNAMED = "no part, or one not named"
COLUMNS = ["part_type", "kind", "fitted", "age_powered_years", "failures_on_record", "expected"]


def likely_parts(quarter: Quarter, serial: str):
    """A row per kind of part fitted, likeliest first, and one for faults in which no part is replaced, or one that nobody names."""
    return _of(_likely(quarter), serial).drop(columns=["serial", "expected"])


def as_shown(quarter: Quarter, likely):
    """The rows of ``likely_parts`` as a page names them: where parts were replaced that nobody named, the last is of these too."""
    faults = quarter.evidence.fault_counts(["kind", "action"])
    names = {NO_PART: NONE_OR_UNNAMED} if kind_replaced(faults).eq(UNNAMED).any() else {}
    return likely.assign(part_type=likely["part_type"].replace(names))


def faults_ahead(quarter: Quarter, serial: str) -> float:
    """Faults expected of a module in the coming quarter."""
    return float(_due(quarter).get(serial, 0.0))


def _of(found, serial: str):
    """A module's rows, out of a table and where those of each are."""
    table, rows = found
    return table.iloc[rows.get(serial, [])].reset_index(drop=True)


@once_a_quarter
def _due(quarter: Quarter) -> dict:
    return _expected(quarter).groupby("serial")["expected"].sum().to_dict()


@once_a_quarter
def _likely(quarter: Quarter):
    """What is expected of each module as odds and shares, likeliest first, and where the rows of each are."""
    table = _expected(quarter)
    total = table["serial"].map(_due(quarter))
    table = table.assign(
        chance=1 - np.exp(-table["expected"]), share=(table["expected"] / total).where(total > 0, 0.0)
    )
    table = table.sort_values("share", ascending=False, kind="stable", ignore_index=True)
    return table, table.groupby("serial").indices


@once_a_quarter
def _expected(quarter: Quarter):
    """Faults expected of each kind of part of every module in the coming quarter, its frailty allowed for."""
    import pandas as pd

    modules = quarter.forecast.modules.set_index("serial")
    here = quarter.slots.dropna(subset="serial").drop_duplicates("serial").set_index("serial")["hours_ahead"]
    always_on = HOURS_PER_WEEK * quarter.days_ahead / 7
    parts, hazards = fitted_parts(quarter), quarter.forecast.hazards
    of = parts.groupby(["family", "part_type"], observed=True).indices
    kinds = [
        _one_kind(hazard, parts.iloc[of[hazard.of]], here, always_on) for hazard in hazards if hazard.of in of
    ]
    other = pd.DataFrame({"serial": modules.index, "part_type": NO_PART})
    hours = other["serial"].map(here).fillna(always_on)
    other["expected"] = modules["other_rate"].to_numpy(float) * hours / HOURS_PER_YEAR
    table = pd.concat([*kinds, other], ignore_index=True).reindex(columns=["serial", *COLUMNS])
    frailty = table["serial"].map(modules["frailty"]).fillna(1.0)
    per_failure = table["serial"].map(modules["faults_per_failure"]).fillna(1.0)
    table["expected"] *= frailty * per_failure.where(table["part_type"] != NO_PART, 1.0)
    return table


def _one_kind(hazard, parts, here, always_on: float):
    """A row a module with that kind of part; it is always on where it sits nowhere."""
    import pandas as pd

    age, weight = parts["exit"].to_numpy(float), parts["weight"].to_numpy(float)
    serial, known = parts["serial"].astype(object), parts["age_known"].to_numpy(bool)
    hours = serial.map(here).fillna(always_on).to_numpy(float)
    sums = {
        "fitted": weight,
        "aged": np.where(known, age * weight, 0.0) / HOURS_PER_YEAR,
        "known": np.where(known, weight, 0.0),
        "expected": hazard.expected(parts, age, age + hours)[0],
    }
    table = pd.DataFrame(sums).groupby(serial.to_numpy()).sum().rename_axis("serial").reset_index()
    return table.assign(
        part_type=hazard.part_type,
        kind=hazard.kind,
        age_powered_years=table["aged"] / table["known"].where(table["known"] > 0),
        failures_on_record=hazard.failures,
    )


def kit(quarter: Quarter, serial: str):
    """What to have at hand: every electrolytic, and one of each other kind likely enough; stock and whether it can be bought."""
    return _of(_kits(quarter), serial)


@once_a_quarter
def _kits(quarter: Quarter):
    table, _ = _likely(quarter)
    electrolytic = table["kind"] == "electrolytic"
    taken = (table["part_type"] != NO_PART) & (electrolytic | (table["share"] >= KIT_SHARE))
    parts, electrolytic = table[taken].reset_index(drop=True), electrolytic[taken].to_numpy()
    types = quarter.table("part_types").set_index("part_type")
    table = parts.assign(
        quantity=parts["fitted"].where(electrolytic, 1).astype(int),
        joints=(parts["fitted"] * JOINTS_PER_CAPACITOR).where(electrolytic),
        in_stock=parts["part_type"].map(on_hand(quarter)),
        obtainable=parts["part_type"].map(types["obtainable"]),
    )
    columns = ["part_type", "quantity", "joints", "in_stock", "obtainable"]
    return table[columns], parts.groupby("serial").indices
