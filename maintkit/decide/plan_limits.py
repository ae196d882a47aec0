"""What a plan of overhauls must keep to: gaps in bookings, bench hours, spares, stock, as rows of A x <= b."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Means:
    """What there is to work with.

    ``openings`` has a row per gap: ``desk, family, free_from, free_to`` (days counted from the first of the plan, the
    last inclusive). ``always_free`` desks need no gap. ``hours_a_day`` is bench time on average; ``days`` the length of
    the plan. ``spares`` counts whole modules on the shelf by (family, module type); ``stock`` parts on hand and
    ``lead_days`` days to more of them, by part type: what is in neither is no limit.
    """

    openings: object
    always_free: tuple[str, ...]
    hours_a_day: float
    days: int
    spares: dict
    stock: dict
    lead_days: dict


@dataclass(frozen=True)
class Options:
    """Every way to pull a module, and what it takes.

    ``module, opening, swapped`` have a row per option (opening -1: the desk is always free); ``taken`` (limits,
    options) is what an option takes of each of ``limit``.
    """

    module: np.ndarray
    opening: np.ndarray
    swapped: np.ndarray
    taken: object
    limit: np.ndarray


def options_of(modules, means: Means) -> Options:
    """The options of each module, and the limits they share.

    Parameters
    ----------
    modules : DataFrame
        A row per module that may be pulled: ``desk, family, module_type, bench_minutes, kit`` (number by part type).
    means : Means

    Notes
    -----
    A module may be pulled in a gap of its desk against a whole spare, and must then be overhauled before the next gap
    of its family, when the spare is wanted again; or without a spare, and be back before the gap ends. Work with
    release and latest day fits one bench where in every stretch of days it fits: for all a < d, hours released from a
    on and wanted by d are at most those of the bench between (W. A. Horn 1974, Naval Research Logistics Quarterly 21,
    177-185, from memory).
    """
    jobs = _jobs(modules, means)
    columns = [np.array([job[place] for job in jobs], dtype) for place,
               dtype in ((0, int), (1, int), (2, bool), (3, float), (4, float))]
    module, opening, swapped, release, latest = columns
    rows = [*_once_each(module, len(modules)), *_bench(modules, means, module, release, latest),
            *_swaps(modules, means, module, opening, swapped), *_parts(modules, means, module, release)]
    taken = np.vstack([row for row, _ in rows]) if rows else np.zeros((0, len(module)))
    return Options(module, opening, swapped, taken, np.array([limit for _, limit in rows], float))


def in_order(options: Options, order) -> np.ndarray:
    """Pull modules in the given order wherever they still fit; options chosen, in that order.

    Each takes its first option that fits, spares first, early gaps first.
    """
    left = options.limit.copy()
    chosen = []
    for module in order:
        for option in np.flatnonzero(options.module == module):
            if np.all(options.taken[:, option] <= left + 1e-9):
                left -= options.taken[:, option]
                chosen.append(int(option))
                break
    return np.array(chosen, int)


def _jobs(modules, means: Means) -> list:
    """(module, opening, swapped, release day, latest day) of every option."""
    gaps = means.openings.reset_index(drop=True)
    starts = {family: sorted(own["free_from"]) for family, own in gaps.groupby("family")}
    of_desk = {desk: own for desk, own in gaps.groupby("desk")}
    jobs = []
    for number, row in enumerate(modules.itertuples(index=False)):
        if row.desk in means.always_free:
            jobs.append((number, -1, False, 0.0, float(means.days)))
        for gap in of_desk[row.desk].itertuples() if row.desk in of_desk else ():
            if means.spares.get((row.family, row.module_type), 0) > 0:
                later = [day for day in starts[gap.family] if day > gap.free_from]
                jobs.append((number, gap.Index, True, gap.free_from,
                             min(later[0] if later else means.days, means.days)))
            jobs.append((number, gap.Index, False, gap.free_from, min(gap.free_to + 1, means.days)))
    return jobs


def _once_each(module, count):
    return [((module == number).astype(float), 1.0) for number in range(count)]


def _bench(modules, means, module, release, latest):
    hours = modules["bench_minutes"].to_numpy(float)[module] / 60
    rows = []
    for start in np.unique(release):
        for end in np.unique(latest[latest > start]):
            inside = (release >= start) & (latest <= end)
            rows.append((np.where(inside, hours, 0.0), means.hours_a_day * (end - start)))
    return rows


def _swaps(modules, means, module, opening, swapped):
    kinds = list(zip(modules["family"], modules["module_type"], strict=True))
    rows = []
    for kind in sorted(set(kinds)):
        own = np.array([one == kind for one in kinds], bool)[module] & swapped
        rows += [((own & (opening == gap)).astype(float), float(means.spares.get(kind, 0)))
                 for gap in np.unique(opening[own])]
    return rows


def _parts(modules, means, module, release):
    rows = []
    for name, on_hand in sorted(means.stock.items()):
        need = np.array([kit.get(name, 0) for kit in modules["kit"]], float)[module]
        from_stock = (release < means.lead_days.get(name, np.inf)) & (need > 0)
        if from_stock.any():
            rows.append((np.where(from_stock, need, 0.0), float(on_hand)))
    return rows
