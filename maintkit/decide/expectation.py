"""Faults each module has had, and those that the ages of its parts predict: past, and next quarter."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.hazards import PartHazard

HOURS_PER_YEAR = 8766.0
UNNAMED = "type not recorded"


@dataclass(frozen=True)
class Ahead:
    """What next quarter holds for the modules now in a slot, before their frailty.

    ``modules`` has a row per module in service with ``row`` (its row among the watched modules), ``desk``,
    ``position``, ``parts_expected`` and ``other_expected``; ``draws`` has shape (number, modules); ``parts`` has a row
    per kind of part in each module with its ``share`` of expected faults.
    """

    modules: object
    draws: np.ndarray
    parts: object


def watched_modules(part_spells, stays, faults, hazards: list[PartHazard]):
    """A row per module ever watched, in order of serial.

    Columns: ``serial, family, module_type, years`` (powered), ``faults`` (fresh, independent, found),
    ``part_failures_expected``, ``faults_per_failure`` (of the family), ``other_seen`` and ``other_rate`` (faults a
    powered year with no part replaced, of the module type), ``expected`` (faults predicted over its years).
    """
    watched = stays.groupby("serial", sort=True).agg(
        family=("family", "last"), module_type=("module_type", "last"), years=("exposure_hours", "sum"))
    watched["years"] /= HOURS_PER_YEAR
    watched["module_type"] = watched["module_type"].fillna(UNNAMED)
    counted = faults[faults["counts"] & faults["serial"].isin(watched.index)]
    counted = counted.assign(module_type=counted["module_type"].fillna(UNNAMED))
    with_part = counted["part_type"].notna()
    watched["faults"] = counted.groupby("serial").size().reindex(watched.index, fill_value=0)
    past = _past_failures(part_spells, hazards)
    watched["part_failures_expected"] = past.reindex(watched.index, fill_value=0.0)
    watched = watched.join(_faults_per_failure(watched, counted[with_part]), on="family")
    watched = watched.join(_other_rates(watched, counted[~with_part]), on=["family", "module_type"])
    watched["expected"] = (watched["part_failures_expected"] * watched["faults_per_failure"]
                           + watched["other_rate"] * watched["years"])
    return watched[watched["years"] > 0].reset_index()


def _past_failures(part_spells, hazards):
    """Part failures each module's spells predict, by serial."""
    import pandas as pd

    totals = []
    for hazard, spells in _by_hazard(part_spells, hazards):
        exit = spells["exit"].to_numpy(float)
        expected = hazard.expected(spells, exit - spells["exposure_hours"].to_numpy(float), exit)[0]
        totals.append(pd.Series(expected, index=spells["serial"]))
    return pd.concat(totals).groupby(level=0).sum() if totals else pd.Series(dtype=float)


def _by_hazard(parts, hazards):
    groups = dict(list(parts.groupby(["family", "part_type"], sort=True)))
    return [(hazard, groups[hazard.family, hazard.part_type]) for hazard in hazards
            if (hazard.family, hazard.part_type) in groups]


def _faults_per_failure(watched, with_part):
    """Faults for each part failure, by family: one fault may take several parts."""
    predicted = watched.groupby("family")["part_failures_expected"].sum()
    found = with_part.groupby("family").size().reindex(predicted.index, fill_value=0)
    return (found / predicted.where(predicted > 0)).fillna(0.0).rename("faults_per_failure")


def _other_rates(watched, without_part):
    """Faults with no part replaced, seen and a powered year, by family and module type."""
    table = watched.groupby(["family", "module_type"])[["years"]].sum()
    table["other_seen"] = without_part.groupby(["family", "module_type"]).size().reindex(table.index, fill_value=0)
    table["other_rate"] = (table["other_seen"] + 0.5) / table["years"].clip(lower=1e-9)
    return table[["other_seen", "other_rate"]]


def quarter_ahead(part_spells, in_service, hazards: list[PartHazard], *, generator: np.random.Generator,
                  number: int) -> Ahead:
    """Expected faults of each module in service over its coming hours, before its frailty.

    ``in_service`` has a row per module in a slot: the columns of ``watched_modules``, ``row``, ``desk``,
    ``position``, ``hours_ahead``. The draws carry the uncertainty of hazards and rates.
    """
    import pandas as pd

    modules = in_service.reset_index(drop=True)
    column_of = pd.Series(modules.index, index=modules["serial"])
    fitted = part_spells[part_spells["still_fitted"] & part_spells["serial"].isin(column_of.index)]
    factor, hours = (modules[name].to_numpy(float) for name in ("faults_per_failure", "hours_ahead"))
    total, draws, shares = np.zeros(len(modules)), np.zeros((number, len(modules))), []
    for hazard, parts in _by_hazard(fitted, hazards):
        column, age = column_of[parts["serial"]].to_numpy(), parts["exit"].to_numpy(float)
        later = age + hours[column]
        sums = np.zeros((len(parts), len(modules)))
        sums[np.arange(len(parts)), column] = factor[column]
        mean = hazard.expected(parts, age, later)[0]
        draws += hazard.expected(parts, age, later, hazard.draws(generator, number)) @ sums
        total += mean @ sums
        shares.append(parts[["serial", "part_type", "weight", "exit", "age_known"]].assign(share=mean * factor[column]))
    other = modules["other_rate"].to_numpy(float) * hours / HOURS_PER_YEAR
    draws += other * _rate_draws(modules, generator, number)
    columns = ["serial", "part_type", "weight", "exit", "age_known", "share"]
    parts = pd.concat(shares, ignore_index=True) if shares else pd.DataFrame(columns=columns)
    return Ahead(modules.assign(parts_expected=total, other_expected=other), draws, parts)


def _rate_draws(modules, generator, number):
    """Gamma factors around 1, one draw a module type, as uncertain as its count of such faults."""
    code = modules.groupby(["family", "module_type"], sort=True).ngroup().to_numpy()
    seen = modules.groupby(code)["other_seen"].first().to_numpy(float) + 0.5
    return generator.gamma(seen, 1 / seen, size=(number, len(seen)))[:, code]
