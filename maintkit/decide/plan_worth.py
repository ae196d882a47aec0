"""What an overhaul of each module saves in session minutes, and what it takes: kit, joints, hours."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.hazards import HOURS_PER_YEAR
from maintkit.decide.plan_spared import CERTAIN, Renewals, spared_by_case
from maintkit.decide.replacement_ages import guessed_ages
from maintkit.decide.replacement_costs import (
    JOINTS_PER_CAPACITOR,
    board_wear,
    connector_wear,
    kits_of,
    overhaul_minutes,
    recaps_done,
)

DRAWS = 400
LEVEL = 0.90
# faults an overhaul brings of itself, where the log cannot say: common practice, no source
EARLY_FAULTS = 0.08
EARLY_WEIGHT = 6  # re-caps' worth of weight it has against the log


@dataclass(frozen=True)
class Overhaul:
    """What is assumed: ``years`` over which savings count, and the share of cleaning faults it prevents."""

    years: float = 2.0
    cleaning_saves: float = 0.5


@dataclass(frozen=True)
class Brought:
    """Faults one overhaul brings: ``early`` ones, and a year those of ``tracks`` for one re-cap more and of
    ``connectors`` for one mating more."""

    early: float
    tracks: float
    connectors: float


@dataclass(frozen=True)
class Worth:
    """``modules``: a row per module in service, ``minutes_saved`` with limits, those and the faults a year that new capacitors alone
    save (``minutes_by_capacitors, faults_by_capacitors``), ``bench_minutes, kit, joints``, and whether re-caps of its kind were ``timed``.

    ``draws`` of the minutes saved has shape (draws, modules); ``faults`` are the faults saved, their mean and then draws, shape
    (1 + draws, modules); ``brought`` is what one overhaul brings; ``minutes_going_on`` what all slots together cost over the same
    time without any work.
    """

    modules: object
    draws: np.ndarray
    faults: np.ndarray
    brought: Brought
    minutes_going_on: float


def overhaul_worth(
    evidence, forecast, slots, *, overhaul: Overhaul = Overhaul(), of_slots: dict | None = None, seed: int = 1
) -> Worth:
    """Session minutes each module's overhaul saves over the years to come, with limits.

    Parameters
    ----------
    evidence : Evidence
    forecast : Forecast
    slots : DataFrame
        ``desk, position, serial, hours_ahead`` (powered hours of a quarter).
    overhaul : Overhaul
    of_slots : dict, optional
        How many faults of a module, by serial, are laid on a slot: they are left out of its frailty.
    seed : int
        Of the draws.

    Returns
    -------
    Worth
        Minutes, draws of shape (draws, modules).

    Notes
    -----
    Own method. Saved = frailty x minutes a fault x (failures of the electrolytics as old as they are - of new ones + cleaning
    faults prevented) - minutes a fault x (early faults of the work + faults of tracks for one more heat cycle + faults of
    connectors for one more mating). Nothing but the electrolytics is renewed. Between renewals failures are taken as
    minimal repairs (R. E. Barlow & L. Hunter 1960). Where the age of electrolytics is not known their module may be in any of nine cases of age
    (``guessed_ages``), each as likely as it makes the module's faults, and its frailty goes with the case.
    """
    modules = _modules(forecast, slots, of_slots or {})
    hours = modules["hours_ahead"].to_numpy(float) * 4 * overhaul.years
    fitted = evidence.part_spells[
        evidence.part_spells["still_fitted"] & (evidence.part_spells["kind"] == "electrolytic")
    ]
    faults, cleaning = _faults_spared(evidence, forecast, modules, fitted, (hours, overhaul, seed))
    faults[1:] *= _levels(forecast, modules, np.random.default_rng(seed + 4))
    wear = board_wear(evidence.work, evidence.stays, evidence.faults)
    connectors = connector_wear(evidence.stays, evidence.faults)
    brought = Brought(early_faults(evidence), wear.faults_a_year_a_cycle, connectors)
    faults -= brought.early + (brought.tracks + brought.connectors) * hours / HOURS_PER_YEAR
    minutes = _minutes(forecast, modules, np.random.default_rng(seed + 3))
    saved, alone = faults * minutes, faults[0] - cleaning
    low, high = np.quantile(saved[1:], [(1 - LEVEL) / 2, (1 + LEVEL) / 2], axis=0)
    going_on = float(forecast.slots["expected_minutes_lost"].sum() * 4 * overhaul.years)
    table = _with_kits(modules, evidence, fitted)
    table = table.assign(minutes_saved=saved[0], minutes_saved_low=low, minutes_saved_high=high)
    table = table.assign(
        minutes_by_capacitors=alone * minutes[0], faults_by_capacitors=alone / overhaul.years
    )
    return Worth(table, saved[1:], faults, brought, going_on)


def _faults_spared(evidence, forecast, modules, fitted, over):
    """Faults each overhaul spares before what it brings, mean then draws, shape (1 + draws, modules); and the mean of those that cleaning
    answers among them."""
    hours, overhaul, seed = over
    guess = guessed_ages(evidence.part_spells)
    ahead = Renewals.of(
        modules, hours, forecast.hazards, generator=np.random.default_rng(seed + 1), number=DRAWS
    )
    known = fitted[~fitted["piece"].isin(guess.rows["piece"])]
    per_failure = modules["faults_per_failure"].to_numpy(float)
    cleaned = overhaul.cleaning_saves * _cleaning_rate(evidence, modules) * hours / HOURS_PER_YEAR
    without = np.broadcast_to(
        per_failure * ahead.spared(known, known["exit"].to_numpy(float)) + cleaned, (1 + DRAWS, len(modules))
    )
    frailty = _frailty(modules, np.random.default_rng(seed))
    saved, of_cleaning = without * frailty, cleaned * frailty[0]
    if guess.rows["still_fitted"].any() and ahead.hazards:
        columns, spared, mean = spared_by_case(
            ahead, guess, forecast.spread, without=without, generator=np.random.default_rng(seed + 2)
        )
        saved[:, columns], of_cleaning[columns] = spared, cleaned[columns] * mean
    return saved, of_cleaning


def _levels(forecast, modules, generator):
    """How far the modules of a family may lie above or below what is known of it, all together, shape (draws, modules)."""
    families, at = np.unique(modules["family"].astype(str), return_inverse=True)
    known = {str(family): variance for family, variance in forecast.shared.items()}
    variance = np.array([known.get(family, 0.0) for family in families])
    return np.exp(generator.normal(-variance / 2, np.sqrt(variance), (DRAWS, len(families))))[:, at]


def _minutes(forecast, modules, generator):
    """Session minutes a fault costs at each module's slot, mean then draws, shape (1 + draws, modules)."""
    slots = zip(forecast.slots["desk"], forecast.slots["position"], strict=True)
    row = {place: number for number, place in enumerate(slots)}
    at = np.array([row[place] for place in zip(modules["desk"], modules["position"], strict=True)], int)
    usual = forecast.minutes.mean[at]
    doubt = np.divide(
        forecast.minutes.draws(generator, DRAWS)[:, at], usual, out=np.ones((DRAWS, len(at))), where=usual > 0
    )
    return modules["minutes_per_fault"].to_numpy(float) * np.vstack([np.ones(len(at)), doubt])


def early_faults(evidence) -> float:
    """Faults within 30 days that one re-cap brings: returns over re-caps, drawn toward 0.08 while few."""
    recaps = evidence.work[evidence.work["action"] == "re-cap"]
    returned = evidence.faults.loc[evidence.faults["class"] == "return", "return_of"]
    returns = returned.isin(recaps["repair"]).sum()
    return float((returns + EARLY_WEIGHT * EARLY_FAULTS) / (recaps_done(recaps) + EARLY_WEIGHT))


def _modules(forecast, slots, of_slots: dict):
    place = ["desk", "position"]
    columns = ["serial", "family", "faults_per_failure", "frailty", "frailty_error", "faults", "expected"]
    table = slots[[*place, "serial", "hours_ahead"]].dropna(subset=["serial"])
    table = table.merge(forecast.modules[columns], on="serial")
    if of_slots:  # the mean of a gamma factor goes with its shape and the faults
        faults = table["faults"] - table["serial"].map(of_slots).fillna(0).clip(upper=table["faults"])
        shape = min(forecast.spread.shape, CERTAIN)
        kept = (shape + faults) / (shape + table["faults"])
        table = table.assign(
            faults=faults,
            frailty=table["frailty"] * kept,
            frailty_error=table["frailty_error"] * kept,
        )
    return table.merge(forecast.slots[[*place, "minutes_per_fault", "expected_minutes_lost"]], on=place)


def _frailty(modules, generator):
    """Frailty of each module: its mean, then draws, shape (1 + draws, modules)."""
    mean, error = (modules[name].to_numpy(float) for name in ("frailty", "frailty_error"))
    shape = (mean / np.maximum(error, 1e-6 * mean)) ** 2
    return np.vstack([mean, generator.standard_gamma(shape, size=(DRAWS, len(mean))) * mean / shape])


def _cleaning_rate(evidence, modules):
    """Faults a powered year that cleaning answered, by family of the module."""
    faults = evidence.faults
    cleaned = faults[faults["counts"] & (faults["action"] == "clean")].groupby("family").size()
    years = evidence.stays.groupby("family")["exposure_hours"].sum() / HOURS_PER_YEAR
    return modules["family"].map((cleaned / years).fillna(0.0)).fillna(0.0).to_numpy(float)


def _with_kits(modules, evidence, fitted):
    """Module type, electrolytics by type, joints and bench minutes of each module."""
    about = evidence.roster.set_index("serial")[["module_type", "board_era", "rework_cycles"]]
    table = modules.join(about, on="serial").assign(kit=kits_of(fitted, modules["serial"]))
    table["capacitors"] = [sum(kit.values()) for kit in table["kit"]]
    table["bench_minutes"], table["timed"] = overhaul_minutes(evidence.work, table)
    return table.assign(joints=table["capacitors"] * JOINTS_PER_CAPACITOR)
