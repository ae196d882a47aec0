"""Which slots to work on next: expected faults and session minutes of the next quarter, slot by slot."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from maintkit.decide.batches import bad_batches
from maintkit.decide.expectation import Ahead, quarter_ahead, watched_modules, with_expected
from maintkit.decide.factors import Factors, learn_factors
from maintkit.decide.hazards import PartHazard, condition_on_frailty, part_hazards
from maintkit.decide.minutes import MinutesPerFault, minutes_per_fault
from maintkit.decide.part_groups import PartGroups
from maintkit.decide.past_quarters import part_failures, past_quarters, quarter_edges
from maintkit.decide.reasons import reasons
from maintkit.notes import sentence
from maintkit.survival.blocks import blocks
from maintkit.survival.crossed import added
from maintkit.survival.frailty import GammaPoisson, gamma_poisson
from maintkit.survival.frailty_posterior import spread_posterior
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

DRAWS, FEWEST_DRAWS, MOST_DRAWN = 1000, 200, 6_000_000  # a house of many modules is drawn less often
MODULES_AT_ONCE = 4096  # whose draws are worked on together
LEVEL = 0.90
TAILS = ((1 - LEVEL) / 2, (1 + LEVEL) / 2)
PLACE = ["desk", "position"]
BY_MODULE, BY_MINUTES = ["serial", "family", "module_type", "part_type"], [*PLACE, "minutes_lost"]


@dataclass(frozen=True)
class FaultsSeen:
    """How many faults counted: ``by_module`` has ``BY_MODULE`` and ``faults``, ``by_minutes`` has ``BY_MINUTES`` and ``faults``,
    ``by_quarter`` has ``BY_QUARTER`` and ``faults``; ``still_open`` has ``desk, quarter`` and ``faults``, those that the reports
    now open are expected to turn out to be, or is None where none is open."""

    by_module: object
    by_minutes: object
    by_quarter: object
    still_open: object = None

    @property
    def open(self):
        """``desk, quarter`` and ``faults`` that the reports now open are expected to turn out to be; no row where none is."""
        none = self.by_quarter[["desk", "quarter", "faults"]].iloc[:0]
        return none if self.still_open is None else self.still_open


@dataclass(frozen=True)
class Forecast:
    """Next quarter, slot by slot.

    ``in_order`` has a row per slot of every desk in service, worst first: what is expected there, ``minutes_per_fault``,
    and ``told``, whose the faults are (``Factors.told``); ``slots`` has beside it the other columns of ``priority.csv``: the limits
    of the ranks and the reasons, found when asked for. ``watched`` has a row per watched module: faults seen, faults its parts
    predict; ``modules`` has beside it ``frailty``, what its faults are of these now, with limits and ``frailty_error``, found when
    asked for; ``sits``, shape (2, watched), is the number of its slot and its desk. ``hazards`` are those of parts of no
    bad batch; ``batches`` has, by family and part type, where some are bad: see ``bad_batches``. ``draws`` are the expected faults,
    shape (draws, slots in order). ``minutes`` is what a fault costs in each of them.
    ``count_limits`` has the columns of ``forecast.csv``, a row per desk and one of the house (``scope``): ``faults_low,
    faults_high`` are those between which the count to come lies with the probability ``level`` or more;
    ``open_expected_faults`` are those that the reports now open are expected to turn out to be.
    """

    in_order: object
    watched: object
    hazards: list[PartHazard]
    batches: dict
    draws: np.ndarray
    count_limits: object
    minutes: MinutesPerFault
    factors: Factors = field(repr=False)
    ahead: Ahead = field(repr=False)
    sits: np.ndarray = field(repr=False)
    minute_draws: Callable = field(repr=False)
    level: float = LEVEL

    @cached_property
    def slots(self):
        """The slots in order, with the limits of their ranks and why each stands where it stands."""
        table = _with_rank_limits(self.in_order, self.draws, self.minute_draws)
        return table.drop(columns="is_desk").assign(**reasons(table, self.ahead))

    @cached_property
    def modules(self):
        """The watched modules with what their faults are now of those expected."""
        return _with_frailty(self.watched, self.factors, self.sits)

    @cached_property
    def spread(self) -> GammaPoisson:
        """The gamma frailty over the modules."""
        return _spread(self.watched["faults"].to_numpy(float), self.watched["expected"].to_numpy(float))

    @cached_property
    def shared(self) -> dict:
        """Variance of the log of the mean factor of each family's modules: its hazards were found with its own modules, whose factors
        average 1 only by and large."""
        crossed, own = self.factors.crossed, self.watched.groupby("family", dropna=False)["expected"]
        share = own.agg(lambda due: (due**2).sum() / max(due.sum() ** 2, 1e-300))
        return (share * (crossed.module_cv**2 + crossed.slot_cv**2)).to_dict()

    @property
    def failures(self) -> int:
        """Faults the forecast rests on."""
        return int(self.watched["faults"].sum())

    @property
    def enough(self) -> bool:
        """Whether that is enough to say anything of what is to come."""
        return self.failures >= FEWEST_FOR_A_VERDICT

    @property
    def exposure_years(self) -> float:
        """Powered module-years it rests on."""
        return float(self.watched["years"].sum())


def next_quarter(part_spells, stays, faults, slots, *, record_end=None, seed: int = 1) -> Forecast:
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
        empty), ``hours_ahead`` (powered hours of the coming quarter), and where there are such ``is_desk``: whether it stands for a
        whole desk, which comes behind all slots.
    record_end : date
        Last day of the records; the last day of a stay when left out.
    seed : int
        Of the draws behind the limits.

    Returns
    -------
    Forecast
        Limits are 90 %; an empty slot has no forecast and stands last.

    Notes
    -----
    Own method. Faults of a module in a slot ~ Poisson(module x slot x level of the desk x expected). Expected = part failures its parts'
    ages predict x faults per part failure in the family + rate of other faults of its type x powered time. Module and slot
    are crossed gamma factors (``crossed_factors``), forgotten as fast as the quarters past ask (``forgetting``); the level is
    what each past quarter brought of what was expected of it (``level_now``). Parts that came together to one module may be of a
    bad batch (``bad_batches``). Limits are quantiles over draws: hazards and
    rates, then level and spreads, then each factor given its own faults and what these hazards expect of its past, then
    minutes; ``maintkit/docs/calibration.md`` says how often they hold.
    """
    generator = np.random.default_rng(seed)
    groups = PartGroups(part_spells)
    hazards = part_hazards(groups)
    watched = watched_modules(stays, faults.by_module, {hazard.of for hazard in hazards})
    groups, hazards = bad_batches(groups, hazards, watched, stays)
    hazards, modules = _condition_on_frailty(groups, hazards, watched)
    modules = modules.assign(row=np.arange(len(modules)))
    places = slots.reindex(columns=[*PLACE, "is_desk"]).drop_duplicates(PLACE, ignore_index=True)
    places["is_desk"] = places["is_desk"].eq(True)
    in_service = slots[[*PLACE, "serial", "hours_ahead"]].merge(modules, on="serial")
    number = int(np.clip(MOST_DRAWN // max(len(modules), 1), FEWEST_DRAWS, DRAWS))
    ahead = quarter_ahead(groups, modules, in_service, hazards, generator=generator, number=number)
    past = _past(groups, hazards, modules, stays, faults, places, record_end)
    tilt = ahead.past_draws
    tilt /= np.maximum(modules["expected"].to_numpy(float), 1e-300)
    ahead = replace(ahead, past_draws=None)
    factors = learn_factors(past, tilt, generator)
    ahead, sits = _with_factors(ahead, factors, modules)
    minutes = minutes_per_fault(faults.by_minutes, places)
    table, draws = _by_slot(places, ahead, minutes)
    limits = _count_limits(places["desk"].to_numpy(), draws, factors, faults.open, generator)
    table = _in_order(table)
    order = table["slot"].to_numpy()
    return Forecast(
        table.drop(columns="slot"),
        modules.drop(columns="row"),
        hazards,
        groups.batches,
        draws[:, order],
        limits,
        minutes.of(order),
        factors,
        replace(ahead, draws=None),
        sits,
        lambda: minutes.draws(generator, number)[:, order],
    )


def _past(groups, hazards, modules, stays, faults, places, record_end):
    """The quarters past, module by module: see ``PastQuarters``."""
    import pandas as pd

    if record_end is None:
        record_end = (stays["to_on"].max() - pd.Timedelta(1, "D")).date()
    first_on = stays["from_on"].min() if len(stays) else record_end  # no module was ever watched
    edges = quarter_edges(first_on, record_end)
    failures = part_failures(groups, hazards, edges)
    row = pd.Index(groups.serials, dtype=object).get_indexer(modules["serial"])
    # no part of known type: the last row
    failures = np.vstack([failures, np.zeros((1, failures.shape[1]))])[row]
    return past_quarters(modules, stays, faults.by_quarter, faults.open, places, failures, edges)


def _with_factors(ahead: Ahead, factors: Factors, modules):
    """Draws and modules of the quarter ahead with their factors; and where each watched module sits, -1 where nowhere."""
    import pandas as pd

    rows = ahead.modules["row"].to_numpy()
    slot = pd.MultiIndex.from_tuples(factors.past.places, names=PLACE).get_indexer(
        pd.MultiIndex.from_frame(ahead.modules[PLACE])
    )
    desk = np.searchsorted(factors.past.desks, ahead.modules["desk"].to_numpy(str))
    own, place, level, frailty = found = np.empty((4, len(rows)))
    told, draws = [], ahead.draws.copy()
    for some in blocks(len(rows), MODULES_AT_ONCE):
        of = factors.module[:, rows[some]], factors.slot[:, slot[some]], factors.level.draws[:, desk[some]]
        found[:3, some] = [factor.mean(axis=0) for factor in of]
        told += factors.told(*of[:2])
        frailty[some] = (of[0] * of[1] * of[2]).mean(axis=0)
        for factor in of:
            draws[:, some] *= factor
    about = ahead.modules.assign(
        module_factor=own, slot_factor=place, level=level, told=told, frailty=frailty
    )
    sits = np.full((2, len(modules)), -1)
    sits[:, rows] = slot, desk
    return replace(ahead, modules=about, draws=draws), sits


def _with_frailty(modules, factors: Factors, sits):
    """What the faults of each module are of those its parts predict, now and in its slot; of a module in none, by itself."""
    slot, desk = sits
    mean, low, high, error = found = np.empty((4, len(modules)))
    for some in blocks(len(modules), MODULES_AT_ONCE):
        of_place = factors.slot[:, slot[some]] * factors.level.draws[:, desk[some]]
        frailty = factors.module[:, some] * np.where(slot[some] >= 0, of_place, 1.0)
        found[:, some] = frailty.mean(axis=0), *np.quantile(frailty, TAILS, axis=0), frailty.std(axis=0)
    return modules.assign(frailty=mean, frailty_low=low, frailty_high=high, frailty_error=error)


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
    one, note = np.ones(len(faults)), sentence("frailty.one_module")
    return GammaPoisson(np.inf, 1.0, 0.0, 1.0, one, one, one, faults, expected, LEVEL, note)


def _by_slot(places, ahead: Ahead, minutes):
    """Sum the modules of each slot; the mean, its limits, and the draws in order of slot."""
    key = places.assign(slot=np.arange(len(places)))
    column = ahead.modules[PLACE].merge(key, on=PLACE, how="left")["slot"].to_numpy()
    by_slot = added(ahead.draws, column, len(places))
    held, due = np.bincount(column, minlength=len(places)) > 0, _limited("expected_faults", by_slot)
    due = {name: np.where(held, of, np.nan) for name, of in due.items()}
    table = key.assign(**due, minutes_per_fault=minutes.mean)
    most = ahead.modules.assign(slot=column, due=ahead.draws.mean(axis=0)).sort_values("due", kind="stable")
    about = most.drop_duplicates("slot", keep="last").set_index("slot")
    return table.join(about[["module_factor", "slot_factor", "level", "told"]], on="slot"), by_slot


def _count_limits(desk: np.ndarray, draws: np.ndarray, factors: Factors, still_open, generator):
    """Expected faults of each desk and of the house, the numbers between which the count of faults will lie, and the level."""
    import pandas as pd

    names, column = np.unique(desk.astype(str), return_inverse=True)
    place = np.searchsorted(factors.past.desks, names)
    expected = added(draws, column, len(names))
    counts = generator.poisson(expected * factors.level.noise[:, place])
    whole = expected.sum(axis=1, keepdims=True)
    levels = factors.level.draws[:, place]
    share = expected.mean(axis=0) / max(float(whole.mean()), 1e-300)
    expected, counts = np.hstack([expected, whole]), np.hstack([counts, counts.sum(axis=1, keepdims=True)])
    levels = np.hstack([levels, (levels @ share)[:, None]])
    unread = still_open.groupby("desk")["faults"].sum().reindex(names, fill_value=0.0).to_numpy(float)
    fewest, most = np.quantile(counts, TAILS, axis=0, method="inverted_cdf")
    return pd.DataFrame(
        {
            "scope": ["desk"] * len(names) + ["house"],
            "desk": [*names, None],
            **_limited("expected_faults", expected),
            "faults_low": fewest.astype(int),
            "faults_high": most.astype(int),
            **_limited("level", levels),
            "open_expected_faults": [*unread, float(unread.sum())],
        }
    )


def _limited(name: str, draws: np.ndarray) -> dict:
    low, high = np.quantile(draws, TAILS, axis=0)
    return {name: draws.mean(axis=0), f"{name}_low": low, f"{name}_high": high}


def _in_order(table):
    """Order by expected minutes lost, by expected faults where no minutes are known."""
    is_timed = _is_timed(table)
    cost = table["minutes_per_fault"] if is_timed else np.nan
    table = table.assign(expected_minutes_lost=table["expected_faults"] * cost)
    order = "expected_minutes_lost" if is_timed else "expected_faults"
    table = table.sort_values(order, ascending=False, kind="stable", na_position="last")
    table = table.sort_values("is_desk", kind="stable", ignore_index=True)
    return table.assign(rank=np.arange(1, len(table) + 1))


def _is_timed(table) -> bool:
    return bool((table["minutes_per_fault"] > 0).any())


def _with_rank_limits(table, draws: np.ndarray, minute_draws):
    """The slots in order, with limits of their ranks over the draws; ``minute_draws()`` gives what a fault costs in each."""
    lost = draws * minute_draws() if _is_timed(table) else draws
    lost = np.where(table["is_desk"], -1.0, lost)
    order, ranks = (-lost).argsort(axis=1, kind="stable"), np.empty(lost.shape, np.int32)
    np.put_along_axis(ranks, order, np.arange(1, lost.shape[1] + 1, dtype=np.int32)[None], axis=1)
    low, high = np.quantile(ranks, TAILS, axis=0, method="nearest")
    return table.assign(
        rank_low=np.minimum(low.astype(int), table["rank"]),
        rank_high=np.maximum(high.astype(int), table["rank"]),
    )
