"""Faults each module has had, and those that the ages of its parts predict: past, and next quarter."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.hazards import HOURS_PER_YEAR, PartHazard
from maintkit.decide.part_groups import PartGroups
from maintkit.survival.blocks import blocks
from maintkit.survival.crossed import added

DRAWN_AT_ONCE = 250_000  # numbers that stay near at hand while they are reckoned
FEW = 5  # times as many modules as have a part, from which they are picked
FARTHEST = np.float32(np.log(1000.0))  # no draw makes more of what is expected of a kind of part
UNNAMED = "type not recorded"


@dataclass(frozen=True)
class Ahead:
    """What next quarter holds for the modules now in a slot, before their frailty.

    ``modules`` has a row per module in service with ``row`` (its row among the watched modules), ``desk``,
    ``position``, ``parts_expected`` and ``other_expected``; ``draws`` has shape (number, modules); ``past_draws``, shape
    (number, watched modules), is what the same draws of hazards and rates expect of the past. ``share`` is what each
    kind of part makes of it, shape (modules, kinds), not a number where the module has none; ``parts``, ``aged`` (parts
    times hours) and ``age_known``, of the same shape, tell how many they are and how old; ``part_types`` names the kinds.
    """

    modules: object
    draws: np.ndarray
    past_draws: np.ndarray
    part_types: list[str]
    share: np.ndarray
    parts: np.ndarray
    aged: np.ndarray
    age_known: np.ndarray


def watched_modules(stays, seen, listed=None):
    """A row per module ever watched, in order of serial, before what its parts predict.

    ``seen`` are the fresh, independent faults that were found: ``serial, family, module_type, part_type`` (missing where no
    part was replaced) and ``faults``, how many there were of these; ``listed`` has the ``(family, part_type)`` whose ages are
    watched, every one when left out: a fault in any other part is predicted by no age and counts with the others. Columns: ``serial, family, module_type, years`` (powered),
    ``faults`` (counted), ``with_part`` (those of the family in which a part listed was replaced), ``other_seen`` and ``other_rate``
    (the other faults, and as many a powered year, of the module type).
    """
    watched = stays.groupby("serial", sort=True).agg(
        family=("family", "last"), module_type=("module_type", "last"), years=("exposure_hours", "sum")
    )
    watched["years"] /= HOURS_PER_YEAR
    watched["module_type"] = watched["module_type"].where(watched["module_type"].notna(), UNNAMED)
    seen = seen.loc[
        seen["serial"].isin(watched.index), ["serial", "family", "module_type", "part_type", "faults"]
    ]
    # of the family and type it was watched as: a book may name a module's family otherwise than its desk's
    seen = seen.assign(**{name: seen["serial"].map(watched[name]) for name in ("family", "module_type")})
    with_part = seen["part_type"].notna().to_numpy()
    if listed is not None:
        with_part &= np.fromiter(
            map(set(listed).__contains__, zip(seen["family"], seen["part_type"], strict=True)), bool
        )
    watched["faults"] = seen.groupby("serial")["faults"].sum().reindex(watched.index, fill_value=0)
    watched["with_part"] = watched["family"].map(seen[with_part].groupby("family")["faults"].sum()).fillna(0)
    watched = watched.join(_other_rates(watched, seen[~with_part]), on=["family", "module_type"])
    return watched.reset_index()


def _other_rates(watched, without_part):
    """Faults in no part listed, seen and a powered year, by family and module type."""
    table = watched.groupby(["family", "module_type"])[["years"]].sum()
    counted = without_part.groupby(["family", "module_type"])["faults"].sum()
    table["other_seen"] = counted.reindex(table.index, fill_value=0)
    # none seen is not none ever
    table["other_rate"] = table["other_seen"].clip(lower=0.5) / table["years"].clip(lower=1e-9)
    return table[["other_seen", "other_rate"]]


def with_expected(watched, groups: PartGroups, hazards: list[PartHazard]):
    """The watched modules that ran at all, with what the hazards predict of their past.

    Columns: those of ``watched_modules`` but ``with_part``, and ``part_failures_expected``,
    ``faults_per_failure`` (of the family: one fault may take several parts), ``expected`` (faults predicted over its
    years).
    """
    past, known = np.zeros(len(groups.serials)), {hazard.of: hazard for hazard in hazards}
    for group in groups.pieces():
        past += np.bincount(
            group.module, known[group.of].expected(group, group.entry, group.exit)[0], len(past)
        )
    place = _places(groups.serials, watched["serial"])
    expected = np.where(place >= 0, past[place], 0.0) if len(past) else np.zeros(len(watched))
    code = watched["family"].factorize(use_na_sentinel=False)[0]
    predicted = np.bincount(code, expected, len(code))[code]
    factor = np.divide(
        watched["with_part"].to_numpy(float), predicted, out=np.zeros(len(watched)), where=predicted > 0
    )
    found = expected * factor + watched["other_rate"].to_numpy(float) * watched["years"].to_numpy(float)
    table = watched.assign(part_failures_expected=expected, faults_per_failure=factor, expected=found)
    return table[table["years"] > 0].drop(columns="with_part").reset_index(drop=True)


def _places(known, asked) -> np.ndarray:
    """Where each asked word stands among those known, -1 where it does not."""
    import pandas as pd

    return pd.Index(known, dtype=object).get_indexer(pd.Index(asked, dtype=object))


def quarter_ahead(
    groups: PartGroups,
    watched,
    in_service,
    hazards: list[PartHazard],
    *,
    generator: np.random.Generator,
    number: int,
) -> Ahead:
    """Expected faults of each module in service over its coming hours, before its frailty.

    ``watched`` are the watched modules; ``in_service`` has a row per module in a slot: the columns of ``watched``,
    ``row`` (in ``watched``), ``desk``, ``position``, ``hours_ahead``. The draws carry the uncertainty of hazards and
    rates, the same for past and future.
    """
    modules = in_service.reset_index(drop=True)
    hours = modules["hours_ahead"].to_numpy(float)
    years = {"past": watched["years"].to_numpy(float), "ahead": hours / HOURS_PER_YEAR}
    past, draws = _other_draws(watched, modules, years, generator, number)
    rows, columns = (_places(frame["serial"], groups.serials) for frame in (watched, modules))
    factors = [frame["faults_per_failure"].to_numpy(float) for frame in (watched, modules)]
    kinds = np.zeros((4, len(hazards), len(modules)))  # share, parts, parts x hours, parts of unknown age
    known = {
        hazard.of: (kind, hazard, hazard.draws(generator, number) - hazard.parameters)
        for kind, hazard in enumerate(hazards)
    }
    past_terms, terms = [], []
    for group in groups.pieces():
        kind, hazard, moved = known[group.of]
        batches = groups.batches.get(group.of)
        apart = None if batches is None else batches.draws(generator, number)
        slopes = hazard.with_slopes(group, group.entry, group.exit)
        _add_parts(past, past_terms, factors[0], (rows[group.module], group.batch), slopes, (moved, apart))
        parts = group.rows(group.still_fitted & (columns[group.module] >= 0))
        if len(parts):
            column = columns[parts.module]
            slopes = hazard.with_slopes(parts, parts.exit, parts.exit + hours[column])
            _add_parts(draws, terms, factors[1], (column, parts.batch), slopes, (moved, apart))
            sums = (slopes[0] * factors[1][column], parts.weight, parts.exit * parts.weight, ~parts.age_known)
            kinds[:, kind] += [np.bincount(column, of, len(modules)) for of in sums]
    _add_draws(past, past_terms)
    _add_draws(draws, terms)
    share, held, aged, unknown = (of.T for of in kinds)
    other = modules["other_rate"].to_numpy(float) * years["ahead"]
    modules = modules.assign(parts_expected=share.sum(axis=1), other_expected=other)
    return Ahead(
        modules,
        draws,
        past,
        [hazard.part_type for hazard in hazards],
        np.where(held > 0, share, np.nan),
        held,
        aged,
        unknown == 0,
    )


def _add_parts(draws, terms: list, factor, where, slopes, of_draws) -> None:
    """Add to the ``terms`` what parts in these places make of each module; to the draws, those of each batch as fast as it is drawn."""
    (place, batch), (moved, apart), (mean, along) = where, of_draws, slopes
    if apart is None:
        terms.append(_term(factor, place, slopes, moved))
        return
    own = batch < 0
    terms.append(_term(factor, place[own], (mean[own], along[own]), moved))
    of_batch, own = np.zeros(apart.shape), ~own & (place >= 0)
    _add_draws(of_batch, [_term(np.ones(apart.shape[1]), batch[own], (mean[own], along[own]), moved)])
    held, first = np.unique(batch[own], return_index=True)
    module = place[own][first]
    draws += added((of_batch * apart)[:, held], module, len(factor)) * factor


def _term(factor, place, slopes, moved):
    """What parts of one kind make of each module: columns, moves of the parameters by draw, slopes of the log of what is expected along
    them, and what is expected, the last three with seven digits."""
    mean, along = slopes
    inside = place >= 0
    if not inside.all():
        place, mean, along = place[inside], mean[inside], along[inside]
    columns = np.flatnonzero(np.bincount(place, minlength=len(factor)))
    if FEW * len(columns) > len(factor):
        columns = slice(None)  # the others get 0, which is quicker than to pick
    expected = np.bincount(place, mean, len(factor))[columns]
    slopes = np.array([np.bincount(place, slope, len(factor))[columns] for slope in along.T], float)
    tilt = np.divide(slopes, expected, out=np.zeros_like(slopes), where=expected > 0)
    return columns, *(of.astype(np.float32) for of in (moved, tilt, factor[columns] * expected))


def _add_draws(draws, terms: list) -> None:
    """Add the terms to the draws, straight in the log: a module's expected failures move by exp(slope x move), ``FARTHEST`` at most."""
    for some in blocks(len(draws), DRAWN_AT_ONCE // max(draws.shape[1], 1)):
        whole = np.zeros(draws[some].shape, np.float32)
        for columns, moved, tilt, mean in terms:
            times = np.minimum(moved[some] @ tilt, FARTHEST)
            np.exp(times, out=times)
            times *= mean
            whole[:, columns] += times
        draws[some] += whole


def _other_draws(watched, modules, years: dict, generator, number: int):
    """Faults in no part listed, past and ahead: one draw a module type, as uncertain as its count."""
    types = watched.groupby(["family", "module_type"], sort=True)
    code, seen = types.ngroup().to_numpy(), types["other_seen"].first().to_numpy(float) + 0.5
    factor = generator.gamma(seen, 1 / seen, size=(number, len(seen)))
    past, ahead = factor[:, code], factor[:, code[modules["row"].to_numpy()]]
    past *= watched["other_rate"].to_numpy(float) * years["past"]
    ahead *= modules["other_rate"].to_numpy(float) * years["ahead"]
    return past, ahead
