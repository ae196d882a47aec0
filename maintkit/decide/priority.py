"""Which slots to work on next: expected faults and session minutes of the next quarter, slot by slot."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.expectation import Ahead, quarter_ahead, watched_modules
from maintkit.decide.hazards import PartHazard, part_hazards
from maintkit.decide.minutes import minutes_per_fault
from maintkit.decide.reasons import reasons
from maintkit.stats.frailty import GammaPoisson, gamma_poisson

DRAWS = 1000
LEVEL = 0.90
PLACE = ["desk", "position"]


@dataclass(frozen=True)
class Forecast:
    """Next quarter, slot by slot.

    ``slots`` has a row per slot of every desk in service, worst first: the columns of ``priority.csv``, and
    ``minutes_per_fault``. ``modules`` has a row per watched module: faults seen, faults its parts predict, frailty
    with limits. ``spread`` is the gamma frailty, ``draws`` the expected faults, shape (draws, slots in order).
    """

    slots: object
    modules: object
    spread: GammaPoisson
    hazards: list[PartHazard]
    draws: np.ndarray
    level: float = LEVEL

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
    part_spells, stays, faults : DataFrame
        The evidence's frames, ages in hours.
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
    mean 1 (Gaver & O'Muircheartaigh 1987, Technometrics 29:1-15). Limits are quantiles over draws of hazard
    parameters, rates, frailties and minutes.
    """
    generator = np.random.default_rng(seed)
    hazards = part_hazards(part_spells)
    modules = watched_modules(part_spells, stays, faults, hazards)
    spread = _spread(modules["faults"].to_numpy(float), modules["expected"].to_numpy(float))
    modules = modules.assign(row=np.arange(len(modules)), frailty=spread.posterior_mean,
                             frailty_low=spread.low, frailty_high=spread.high)
    in_service = slots[[*PLACE, "serial", "hours_ahead"]].merge(modules, on="serial")
    ahead = quarter_ahead(part_spells, in_service, hazards, generator=generator, number=DRAWS)
    places = slots[PLACE].drop_duplicates().reset_index(drop=True)
    minutes = minutes_per_fault(faults[faults["counts"]], places)
    table, draws = _by_slot(places, ahead, _with_frailty(ahead, spread, generator), minutes)
    table = _ranked(table, draws, minutes.draws(generator, DRAWS))
    table["reason"] = reasons(table, ahead)
    return Forecast(table.drop(columns="slot"), modules.drop(columns="row"), spread, hazards,
                    draws[:, table["slot"].to_numpy()])


def _spread(faults: np.ndarray, expected: np.ndarray) -> GammaPoisson:
    """The frailty over modules; with fewer than two, each is taken to behave as its parts predict."""
    if len(faults) >= 2:
        return gamma_poisson(faults, expected, level=LEVEL)
    one = np.ones(len(faults))
    return GammaPoisson(np.inf, 1.0, 0.0, 1.0, one, one, one, faults, expected, LEVEL, scale_known=True,
                        note="With fewer than two modules on record no module can be told from another.")


def _with_frailty(ahead: Ahead, spread: GammaPoisson, generator) -> np.ndarray:
    """Draws of expected faults with each module's frailty drawn from what its own record says of it."""
    a, b = spread.posterior()
    row = ahead.modules["row"].to_numpy()
    number, modules = ahead.draws.shape
    shared = not np.isfinite(spread.shape)          # no spread: one pooled factor, the same for every module
    size = (number, 1) if shared else (number, modules)
    return ahead.draws * generator.gamma(a[:1] if shared else a[row], 1 / (b[:1] if shared else b[row]), size=size)


def _by_slot(places, ahead: Ahead, draws: np.ndarray, minutes):
    """Sum the modules of each slot; the mean, its limits, and the draws in order of slot."""
    key = places.assign(slot=np.arange(len(places)))
    column = ahead.modules[PLACE].merge(key, on=PLACE, how="left")["slot"].to_numpy()
    sums = np.zeros((len(ahead.modules), len(places)))
    sums[np.arange(len(column)), column] = 1.0
    by_slot = draws @ sums
    low, high = np.quantile(by_slot, [(1 - LEVEL) / 2, (1 + LEVEL) / 2], axis=0)
    held = sums.sum(axis=0) > 0
    table = key.assign(expected_faults=by_slot.mean(axis=0), expected_faults_low=low, expected_faults_high=high,
                       minutes_per_fault=minutes.mean)
    table.loc[~held, ["expected_faults", "expected_faults_low", "expected_faults_high"]] = np.nan
    return table, by_slot


def _ranked(table, draws: np.ndarray, minute_draws: np.ndarray):
    """Order by expected minutes lost; ranks with limits over the draws."""
    table["expected_minutes_lost"] = table["expected_faults"] * table["minutes_per_fault"]
    lost = draws * minute_draws
    ranks = (-lost).argsort(axis=1, kind="stable").argsort(axis=1) + 1
    low, high = np.quantile(ranks, [(1 - LEVEL) / 2, (1 + LEVEL) / 2], axis=0, method="nearest")
    table = table.assign(rank_low=low.astype(int), rank_high=high.astype(int))
    table = table.sort_values("expected_minutes_lost", ascending=False, kind="stable", na_position="last")
    table = table.reset_index(drop=True)
    table["rank"] = np.arange(1, len(table) + 1)
    table["rank_low"] = np.minimum(table["rank_low"], table["rank"])
    table["rank_high"] = np.maximum(table["rank_high"], table["rank"])
    return table
