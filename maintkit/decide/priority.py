"""Which slots to work on next: expected faults and session minutes of the next quarter, slot by slot."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from maintkit.decide.expectation import Ahead, quarter_ahead, watched_modules, with_expected
from maintkit.decide.hazards import PartHazard, condition_on_frailty, part_hazards
from maintkit.decide.minutes import MinutesPerFault, minutes_per_fault
from maintkit.decide.part_groups import PartGroups
from maintkit.decide.reasons import reasons
from maintkit.survival.frailty import GammaPoisson, gamma_poisson
from maintkit.survival.frailty_posterior import spread_posterior

DRAWS = 1000
LEVEL = 0.90
TAILS = ((1 - LEVEL) / 2, (1 + LEVEL) / 2)
PLACE = ["desk", "position"]
BY_MODULE, BY_MINUTES = ["serial", "family", "module_type", "part_type"], [*PLACE, "minutes_lost"]


@dataclass(frozen=True)
class FaultsSeen:
    """How many faults counted: ``by_module`` has ``BY_MODULE`` and ``faults``, ``by_minutes`` has ``BY_MINUTES`` and ``faults``."""

    by_module: object
    by_minutes: object


@dataclass(frozen=True)
class Forecast:
    """Next quarter, slot by slot.

    ``slots`` has a row per slot of every desk in service, worst first: the columns of ``priority.csv``, and
    ``minutes_per_fault``. ``modules`` has a row per watched module: faults seen, faults its parts predict, frailty
    with limits. ``draws`` are the expected faults, shape (draws, slots in order).
    ``minutes`` is what a fault costs in each of them.
    ``count_limits`` has a row per desk: ``desk, expected_faults, expected_faults_low, expected_faults_high``, and
    ``faults_low, faults_high``, between which the count to come lies with the probability ``level`` or more.
    """

    slots: object
    modules: object
    hazards: list[PartHazard]
    draws: np.ndarray
    count_limits: object
    minutes: MinutesPerFault
    level: float = LEVEL

    @cached_property
    def spread(self) -> GammaPoisson:
        """The gamma frailty over the modules."""
        return _spread(self.modules["faults"].to_numpy(float), self.modules["expected"].to_numpy(float))

    @property
    def failures(self) -> int:
        """Faults the forecast rests on."""
        return int(self.modules["faults"].sum())

    @property
    def exposure_years(self) -> float:
        """Powered module-years it rests on."""
        return float(self.modules["years"].sum())


def next_quarter(part_spells, stays, faults, slots, *, seed: int = 1) -> Forecast:
    """Expected faults and session minutes of each slot over the coming quarter, worst first.

    Parameters
    ----------
    part_spells : DataFrame, or function
        The evidence's part spells, ages in hours, whole or a frame at a time: see ``PartGroups``.
    stays : DataFrame
        The evidence's stays.
    faults : FaultsSeen
    slots : DataFrame
        A row per module in a slot of a desk in service, and per empty slot: ``desk, position, serial`` (missing where
        empty), ``hours_ahead`` (powered hours of the coming quarter).
    seed : int
        Of the draws behind the limits.

    Returns
    -------
    Forecast
        Limits are 90 %; an empty slot has no forecast and stands last.

    Notes
    -----
    Faults of a module ~ Poisson(frailty x expected). Expected = part failures its parts' ages predict x faults per part
    failure in the family + rate of other faults of its type x powered time. The frailty is gamma over modules with
    mean 1 (Gaver & O'Muircheartaigh 1987, Technometrics 29:1-15), its spread uncertain (``spread_posterior``). Limits are
    quantiles over draws: hazards and rates, then the spread, then each module's frailty given its own faults and what
    these hazards expect of its past, then minutes; ``maintkit/docs/calibration.md`` says how often they hold.
    """
    generator = np.random.default_rng(seed)
    groups = PartGroups(part_spells)
    hazards, modules = _condition_on_frailty(
        groups, part_hazards(groups), watched_modules(stays, faults.by_module)
    )
    modules = modules.assign(row=np.arange(len(modules)))
    in_service = slots[[*PLACE, "serial", "hours_ahead"]].merge(modules, on="serial")
    ahead = quarter_ahead(groups, modules, in_service, hazards, generator=generator, number=DRAWS)
    common, frailty = _frailty_draws(modules, ahead.past_draws, generator)
    low, high = np.quantile(frailty, TAILS, axis=0)
    modules = modules.assign(frailty=frailty.mean(axis=0), frailty_low=low, frailty_high=high)
    ahead = replace(
        ahead, modules=ahead.modules.assign(frailty=modules["frailty"].to_numpy()[ahead.modules["row"]])
    )
    places = slots[PLACE].drop_duplicates().reset_index(drop=True)
    minutes = minutes_per_fault(faults.by_minutes, places)
    by_module = ahead.draws * (common * frailty)[:, ahead.modules["row"].to_numpy()]
    table, draws = _by_slot(places, ahead, by_module, minutes)
    limits = _count_limits(places["desk"].to_numpy(), draws, generator)
    table = _ranked(table, draws, minutes.draws(generator, DRAWS))
    table["reason"] = reasons(table, ahead)
    order = table["slot"].to_numpy()
    return Forecast(
        table.drop(columns="slot"),
        modules.drop(columns="row"),
        hazards,
        draws[:, order],
        limits,
        minutes.of(order),
    )


def _condition_on_frailty(groups: PartGroups, hazards: list[PartHazard], watched):
    """Hazards of a module of frailty 1 in place of those of all modules together, and what they expect of the past."""
    modules = with_expected(watched, groups, hazards)
    if len(modules) < 2:
        return hazards, modules
    seen, expected = modules["faults"].to_numpy(float), modules["expected"].to_numpy(float)
    shape = spread_posterior(seen, expected).mean ** -2.0
    own = dict(zip(modules["serial"], (shape + seen) / (shape + expected), strict=True))
    frailty = np.array([own.get(serial, 1.0) for serial in groups.serials])
    hazards = [
        condition_on_frailty(hazard, group, frailty[group.module])
        for hazard, group in zip(hazards, groups, strict=True)
    ]
    return hazards, with_expected(watched, groups, hazards)


def _spread(faults: np.ndarray, expected: np.ndarray) -> GammaPoisson:
    """The frailty over modules; with fewer than two, each is taken to behave as its parts predict."""
    if len(faults) >= 2:
        return replace(gamma_poisson(faults, expected, level=LEVEL), note="")
    one = np.ones(len(faults))
    return GammaPoisson(
        np.inf,
        1.0,
        0.0,
        1.0,
        one,
        one,
        one,
        faults,
        expected,
        LEVEL,
        scale_known=True,
        note="With fewer than two modules on record no module can be told from another.",
    )


def _frailty_draws(modules, past_draws: np.ndarray, generator):
    """Draws of the level of each family beyond its hazards', and of each watched module's frailty, both (draws, modules).

    A family's hazards were found with its own modules, whose frailties average 1 only by and large: that average is drawn.
    A module's frailty is gamma given its faults and what the draw expects of it.
    """
    if len(modules) < 2:
        return np.ones(past_draws.shape), np.ones(past_draws.shape)
    seen, expected = modules["faults"].to_numpy(float), modules["expected"].to_numpy(float)
    shapes = spread_posterior(seen, expected).draw_shapes(generator, len(past_draws))[:, None]
    code = np.unique(modules["family"].to_numpy(str), return_inverse=True)[1]
    variance = np.bincount(code, expected**2) / np.maximum(np.bincount(code, expected), 1e-300) ** 2 / shapes
    common = np.exp(generator.standard_normal(variance.shape) * np.sqrt(variance) - variance / 2)[:, code]
    return common, generator.standard_gamma(shapes + seen) / (shapes + common * past_draws)


def _by_slot(places, ahead: Ahead, draws: np.ndarray, minutes):
    """Sum the modules of each slot; the mean, its limits, and the draws in order of slot."""
    key = places.assign(slot=np.arange(len(places)))
    column = ahead.modules[PLACE].merge(key, on=PLACE, how="left")["slot"].to_numpy()
    by_slot = summed_columns(draws, column, len(places))
    low, high = np.quantile(by_slot, TAILS, axis=0)
    held = np.bincount(column, minlength=len(places)) > 0
    table = key.assign(
        expected_faults=by_slot.mean(axis=0),
        expected_faults_low=low,
        expected_faults_high=high,
        minutes_per_fault=minutes.mean,
    )
    table.loc[~held, ["expected_faults", "expected_faults_low", "expected_faults_high"]] = np.nan
    return table, by_slot


def _count_limits(desk: np.ndarray, draws: np.ndarray, generator):
    """Expected faults of each desk, and between which numbers the count of faults will lie."""
    import pandas as pd

    names, column = np.unique(desk, return_inverse=True)
    by_desk = summed_columns(draws, column, len(names))
    low, high = np.quantile(by_desk, TAILS, axis=0)
    fewest, most = np.quantile(generator.poisson(by_desk), TAILS, axis=0, method="inverted_cdf")
    return pd.DataFrame(
        {
            "desk": names,
            "expected_faults": by_desk.mean(axis=0),
            "expected_faults_low": low,
            "expected_faults_high": high,
            "faults_low": fewest.astype(int),
            "faults_high": most.astype(int),
        }
    )


def summed_columns(draws: np.ndarray, column: np.ndarray, number: int) -> np.ndarray:
    """Columns of draws added up by the number each belongs to, shape (draws, number).

    Examples
    --------
    >>> summed_columns(np.array([[1.0, 2.0, 4.0]]), np.array([1, 0, 1]), 3)
    array([[2., 5., 0.]])
    """
    summed = np.zeros((len(draws), number))
    order = np.argsort(column, kind="stable")
    if len(order):
        held, first = np.unique(column[order], return_index=True)
        summed[:, held] = np.add.reduceat(draws[:, order], first, axis=1)
    return summed


def _ranked(table, draws: np.ndarray, minute_draws: np.ndarray):
    """Order by expected minutes lost; ranks with limits over the draws."""
    table["expected_minutes_lost"] = table["expected_faults"] * table["minutes_per_fault"]
    lost = draws * minute_draws
    ranks = (-lost).argsort(axis=1, kind="stable").argsort(axis=1) + 1
    low, high = np.quantile(ranks, TAILS, axis=0, method="nearest")
    table = table.assign(rank_low=low.astype(int), rank_high=high.astype(int))
    table = table.sort_values("expected_minutes_lost", ascending=False, kind="stable", na_position="last")
    table = table.reset_index(drop=True)
    table["rank"] = np.arange(1, len(table) + 1)
    table["rank_low"] = np.minimum(table["rank_low"], table["rank"])
    table["rank_high"] = np.maximum(table["rank_high"], table["rank"])
    return table
