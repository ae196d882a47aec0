"""What an overhaul of each module saves in session minutes, and what it takes: kit, joints, hours."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.hazards import HOURS_PER_YEAR
from maintkit.decide.replacement_costs import JOINTS_PER_CAPACITOR, board_wear, overhaul_minutes, recap_minutes

DRAWS = 400
LEVEL = 0.90
EARLY_FAULTS = 0.08          # faults an overhaul brings of itself, where the log cannot say: common practice, no source
EARLY_WEIGHT = 6             # re-caps' worth of weight it has against the log


@dataclass(frozen=True)
class Overhaul:
    """What is assumed: ``years`` over which savings count, and the share of cleaning faults it prevents."""

    years: float = 2.0
    cleaning_saves: float = 0.5


@dataclass(frozen=True)
class Worth:
    """``modules``: a row per module in service, ``minutes_saved`` with limits, ``bench_minutes, kit, joints``.

    ``draws`` of the minutes saved has shape (draws, modules); ``early_faults`` is what one overhaul is taken to bring;
    ``minutes_going_on`` what all slots together cost over the same time without any work.
    """

    modules: object
    draws: np.ndarray
    early_faults: float
    minutes_going_on: float


def overhaul_worth(evidence, forecast, slots, *, overhaul: Overhaul = Overhaul(), seed: int = 1) -> Worth:
    """Session minutes each module's overhaul saves over the years to come, with limits.

    Parameters
    ----------
    evidence : Evidence
    forecast : Forecast
    slots : DataFrame
        ``desk, position, serial, hours_ahead`` (powered hours of a quarter).
    overhaul : Overhaul
    seed : int
        Of the draws.

    Notes
    -----
    Saved = frailty x minutes a fault x (failures of the electrolytics as old as they are - of new ones + cleaning
    faults prevented) - minutes a fault x (early faults of the work + faults of tracks for one more heat cycle). Nothing
    but the electrolytics is renewed. Between renewals failures are taken as minimal repairs.
    """
    modules = _modules(forecast, slots)
    frailty, going_on = _frailty(forecast, modules, np.random.default_rng(seed)), 0.0
    saved = np.zeros((DRAWS + 1, len(modules)))
    hours = modules["hours_ahead"].to_numpy(float) * 4 * overhaul.years
    fitted = evidence.part_spells[evidence.part_spells["still_fitted"]
                                  & (evidence.part_spells["kind"] == "electrolytic")]
    generator = np.random.default_rng(seed + 1)
    for hazard in forecast.hazards:
        own = fitted[(fitted["family"] == hazard.family) & (fitted["part_type"] == hazard.part_type)]
        if hazard.kind == "electrolytic" and len(own):
            saved += _renewal(hazard, own, modules, hours, generator)
    saved *= modules["faults_per_failure"].to_numpy(float)
    wear, early = board_wear(evidence.work, evidence.stays, evidence.faults), early_faults(evidence)
    saved += overhaul.cleaning_saves * _cleaning_rate(evidence, modules) * hours / HOURS_PER_YEAR
    saved = saved * frailty - early - wear.faults_a_year_a_cycle * hours / HOURS_PER_YEAR
    saved *= modules["minutes_per_fault"].to_numpy(float)
    low, high = np.quantile(saved[1:], [(1 - LEVEL) / 2, (1 + LEVEL) / 2], axis=0)
    going_on = float(forecast.slots["expected_minutes_lost"].sum() * 4 * overhaul.years)
    table = _with_kits(modules, evidence, fitted)
    table = table.assign(minutes_saved=saved[0], minutes_low=low, minutes_high=high)
    return Worth(table, saved[1:], early, going_on)


def early_faults(evidence) -> float:
    """Faults within 30 days that one re-cap brings: returns over re-caps, drawn toward 0.08 while few."""
    recaps = evidence.work[evidence.work["action"] == "re-cap"]
    returns = evidence.faults.loc[evidence.faults["class"] == "return", "return_of"].isin(recaps["repair"]).sum()
    return float((returns + EARLY_WEIGHT * EARLY_FAULTS) / (len(recaps) + EARLY_WEIGHT))


def _modules(forecast, slots):
    columns = ["serial", "family", "faults_per_failure", "frailty"]
    table = slots[["desk", "position", "serial",
                   "hours_ahead"]].dropna(subset=["serial"]).merge(forecast.modules[columns], on="serial")
    return table.merge(forecast.slots[["desk", "position", "minutes_per_fault", "expected_minutes_lost"]],
                       on=["desk", "position"])


def _frailty(forecast, modules, generator):
    """Frailty of each module: its mean, then draws, shape (1 + draws, modules)."""
    row = dict(zip(forecast.modules["serial"], range(len(forecast.modules)), strict=True))
    at = np.array([row[serial] for serial in modules["serial"]], int)
    a, b = (np.asarray(side, float)[at] for side in forecast.spread.posterior())
    return np.vstack([modules["frailty"].to_numpy(float), generator.gamma(a, 1 / b, size=(DRAWS, len(at)))])


def _renewal(hazard, own, modules, hours, generator):
    """Failures to come of parts as old as they are, less those of new ones, shape (1 + draws, modules)."""
    column_of = dict(zip(modules["serial"], range(len(modules)), strict=True))
    own = own[own["serial"].isin(column_of)]
    column = np.array([column_of[serial] for serial in own["serial"]], int)
    age, ahead = own["exit"].to_numpy(float), hours[column]
    parameters = np.vstack([hazard.parameters, hazard.draws(generator, DRAWS)])
    new = own.assign(age_known=True)
    sums = np.zeros((len(own), len(modules)))
    sums[np.arange(len(own)), column] = 1.0
    old_failures = hazard.expected(own, age, age + ahead, parameters)
    return (old_failures - hazard.expected(new, np.zeros(len(own)), ahead, parameters)) @ sums


def _cleaning_rate(evidence, modules):
    """Faults a powered year that cleaning answered, by family of the module."""
    faults = evidence.faults
    cleaned = faults[faults["counts"] & (faults["action"] == "clean")].groupby("family").size()
    years = evidence.stays.groupby("family")["exposure_hours"].sum() / HOURS_PER_YEAR
    return modules["family"].map((cleaned / years).fillna(0.0)).fillna(0.0).to_numpy(float)


def _with_kits(modules, evidence, fitted):
    """Module type, electrolytics by type, joints and bench minutes of each module."""
    about = evidence.roster.set_index("serial")[["module_type", "board_era", "rework_cycles"]]
    counts = fitted.groupby(["serial", "part_type"])["weight"].sum()
    kits = {serial: own.droplevel(0).to_dict() for serial, own in counts.groupby(level=0)}
    table = modules.join(about, on="serial").assign(kit=[kits.get(serial, {}) for serial in modules["serial"]])
    table["capacitors"] = [int(sum(kit.values())) for kit in table["kit"]]
    learnt = recap_minutes(evidence.work)
    table["bench_minutes"] = [float(overhaul_minutes(row.family, row.module_type, row.capacitors, learnt))
                              for row in table.itertuples()]
    return table.assign(joints=table["capacitors"] * JOINTS_PER_CAPACITOR)
