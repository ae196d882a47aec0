"""Faults each module has had, and those that the ages of its parts predict: past, and next quarter."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.hazards import HOURS_PER_YEAR, PartHazard

UNNAMED = "type not recorded"


@dataclass(frozen=True)
class Ahead:
    """What next quarter holds for the modules now in a slot, before their frailty.

    ``modules`` has a row per module in service with ``row`` (its row among the watched modules), ``desk``,
    ``position``, ``parts_expected`` and ``other_expected``; ``draws`` has shape (number, modules); ``past_draws``, shape
    (number, watched modules), is what the same draws of hazards and rates expect of the past; ``parts`` has a row per kind
    of part in each module with its ``share`` of expected faults.
    """

    modules: object
    draws: np.ndarray
    past_draws: np.ndarray
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
    table["other_rate"] = table["other_seen"].clip(lower=0.5) / table["years"].clip(lower=1e-9)   # none seen is not none ever
    return table[["other_seen", "other_rate"]]


def quarter_ahead(part_spells, watched, in_service, hazards: list[PartHazard], *, generator: np.random.Generator,
                  number: int) -> Ahead:
    """Expected faults of each module in service over its coming hours, before its frailty.

    ``watched`` are the watched modules; ``in_service`` has a row per module in a slot: the columns of ``watched``, ``row``
    (in ``watched``), ``desk``, ``position``, ``hours_ahead``. The draws carry the uncertainty of hazards and rates, the same
    for past and future.
    """
    import pandas as pd

    modules = in_service.reset_index(drop=True)
    fitted = part_spells[part_spells["still_fitted"] & part_spells["serial"].isin(modules["serial"])]
    hours = modules["hours_ahead"].to_numpy(float)
    years = {"past": watched["years"].to_numpy(float), "ahead": hours / HOURS_PER_YEAR}
    past, draws = _other_draws(watched, modules, years, generator, number)
    total, shares = np.zeros(len(modules)), []
    spells_of, parts_of = _by_type(part_spells), _by_type(fitted)
    for hazard in hazards:
        moved = hazard.draws(generator, number) - hazard.parameters
        key = (hazard.family, hazard.part_type)
        if key in spells_of:
            spells = spells_of[key]
            exit = spells["exit"].to_numpy(float)
            _add_draws(past, hazard, (spells, exit - spells["exposure_hours"].to_numpy(float), exit), watched, moved)
        if key in parts_of:
            parts = parts_of[key]
            age = parts["exit"].to_numpy(float)
            later = age + hours[pd.Index(modules["serial"]).get_indexer(parts["serial"])]
            share = _add_draws(draws, hazard, (parts, age, later), modules, moved)
            np.add.at(total, pd.Index(modules["serial"]).get_indexer(parts["serial"]), share)
            shares.append(parts[["serial", "part_type", "weight", "exit", "age_known"]].assign(share=share))
    columns = ["serial", "part_type", "weight", "exit", "age_known", "share"]
    parts = pd.concat(shares, ignore_index=True) if shares else pd.DataFrame(columns=columns)
    other = modules["other_rate"].to_numpy(float) * years["ahead"]
    return Ahead(modules.assign(parts_expected=total, other_expected=other), draws, past, parts)


def _by_type(parts):
    return dict(list(parts.groupby(["family", "part_type"], sort=True)))


def _add_draws(draws, hazard: PartHazard, spells, modules, moved):
    """Add to the draws what the parts make of each module expect, straight in the log; returns the share of each part.

    A module's expected failures move by exp(slope of their log x move of the parameters).
    """
    import pandas as pd

    parts, entry, exit = spells
    place = pd.Index(modules["serial"]).get_indexer(parts["serial"])
    mean, along = hazard.with_slopes(parts, entry, exit)
    inside = place >= 0
    columns, column = np.unique(place[inside], return_inverse=True)
    expected = np.bincount(column, mean[inside], len(columns))
    slopes = np.array([np.bincount(column, slope[inside], len(columns)) for slope in along.T])
    factor = modules["faults_per_failure"].to_numpy(float)
    tilt = moved @ np.divide(slopes, expected, out=np.zeros_like(slopes), where=expected > 0)
    draws[:, columns] += factor[columns] * expected * np.exp(tilt)
    return np.where(inside, mean * factor[np.maximum(place, 0)], 0.0)


def _other_draws(watched, modules, years: dict, generator, number: int):
    """Faults in which no part is replaced, past and ahead: one draw a module type, as uncertain as its count."""
    types = watched.groupby(["family", "module_type"], sort=True)
    code, seen = types.ngroup().to_numpy(), types["other_seen"].first().to_numpy(float) + 0.5
    factor = generator.gamma(seen, 1 / seen, size=(number, len(seen)))[:, code]
    past = watched["other_rate"].to_numpy(float) * years["past"] * factor
    rate = modules["other_rate"].to_numpy(float) * years["ahead"]
    return past, rate * factor[:, modules["row"].to_numpy()]
