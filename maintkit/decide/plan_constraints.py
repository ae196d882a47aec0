"""What a plan of overhauls must keep to: gaps in bookings, bench hours, spares, stock, as rows of A x <= b."""

from dataclasses import dataclass, replace

import numpy as np

ONCE, HOURS, SPARES, STOCK = "once each", "bench hours", "swap spares", "parts in stock"
SLACK = 1e-6  # of a minute, for sums that are whole but for rounding


@dataclass(frozen=True)
class Resources:
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

    ``module, opening, swapped`` and the day of ``release`` have a row per option (opening -1: the desk is always free);
    ``taken`` (limits, options) is what an option takes of each of ``limit``, and ``names`` says what each limit is.
    """

    module: np.ndarray
    opening: np.ndarray
    swapped: np.ndarray
    release: np.ndarray
    taken: np.ndarray
    limit: np.ndarray
    names: tuple[str, ...]

    def with_more(self, name: str, times: float) -> "Options":
        """The options with the limits of that name so many times as wide, whole numbers of modules rounded up."""
        own = np.array([one == name for one in self.names], bool)
        wider = np.ceil(times * self.limit) if name == SPARES else times * self.limit
        return replace(self, limit=np.where(own, wider, self.limit))


def options_of(modules, means: Resources) -> Options:
    """The options of each module, and the limits they share.

    Parameters
    ----------
    modules : DataFrame
        A row per module that may be pulled: ``desk, family, module_type, bench_minutes, kit`` (number by part type).
    means : Resources

    Notes
    -----
    A module may be pulled in a gap of its desk against a whole spare, and must then be overhauled before the next gap
    of its family, when the spare is wanted again; or without a spare, and be back before the gap ends. Work with
    release and latest day fits one bench where in every stretch of days it fits: for all a < d, hours released from a
    on and wanted by d are at most those of the bench between (W. A. Horn 1974, Naval Research Logistics Quarterly 21,
    177-185, from memory).
    """
    jobs = _jobs(modules, means)
    columns = [
        np.array([job[place] for job in jobs], dtype)
        for place, dtype in ((0, int), (1, int), (2, bool), (3, float), (4, float))
    ]
    module, opening, swapped, release, latest = columns
    limits = {
        ONCE: _once_each(module, len(modules)),
        HOURS: _bench(modules, means, module, release, latest),
        SPARES: _swaps(modules, means, module, opening, swapped),
        STOCK: _parts(modules, means, module, release),
    }
    rows = [row for own in limits.values() for row in own]
    taken = np.vstack([row for row, _ in rows]) if rows else np.zeros((0, len(module)))
    names = tuple(name for name, own in limits.items() for _ in own)
    return Options(
        module, opening, swapped, release, taken, np.array([limit for _, limit in rows], float), names
    )


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


def _jobs(modules, means: Resources) -> list:
    """(module, opening, swapped, release day, latest day) of every option."""
    gaps = _gaps(means)
    jobs = []
    for number, (desk, kind) in enumerate(zip(modules["desk"], _kinds(modules), strict=True)):
        if desk in means.always_free:
            jobs.append((number, -1, False, 0.0, float(means.days)))
        for opening, free_from, last, until in gaps.get(desk, ()):
            if means.spares.get(kind, 0) > 0:
                jobs.append((number, opening, True, free_from, until))
            jobs.append((number, opening, False, free_from, last))
    return jobs


def _gaps(means: Resources) -> dict:
    """By desk: (row, first day, day by which a module must be back, day by which a spare is wanted again) of each gap."""
    table = means.openings.reset_index(drop=True)
    starts = {family: np.unique(own["free_from"]) for family, own in table.groupby("family", observed=True)}
    found: dict = {}
    for row, desk, family, first, last in zip(
        table.index, table["desk"], table["family"], table["free_from"], table["free_to"], strict=True
    ):
        later = starts[family][starts[family] > first]
        until = min(later[0] if len(later) else means.days, means.days)
        found.setdefault(desk, []).append((row, first, min(last + 1, means.days), until))
    return found


def _kinds(modules) -> list:
    return list(zip(modules["family"], modules["module_type"], strict=True))


def _once_each(module, count):
    return [((module == number).astype(float), 1.0) for number in range(count)]


def _bench(modules, means, module, release, latest):
    """Bench time in whole minutes, which keeps the optimiser's sums exact."""
    minutes = np.ceil(modules["bench_minutes"].to_numpy(float)[module] - SLACK)
    rows = []
    for start in np.unique(release):
        for end in np.unique(latest[latest > start]):
            inside = (release >= start) & (latest <= end)
            rows.append(
                (np.where(inside, minutes, 0.0), np.floor(60 * means.hours_a_day * (end - start) + SLACK))
            )
    return rows


def _swaps(modules, means, module, opening, swapped):
    kinds, rows = _kinds(modules), []
    for kind in sorted(set(kinds), key=str):  # a type may not be recorded
        own = np.array([one == kind for one in kinds], bool)[module] & swapped
        rows += [
            ((own & (opening == gap)).astype(float), float(means.spares.get(kind, 0)))
            for gap in np.unique(opening[own])
        ]
    return rows


def _parts(modules, means, module, release):
    rows = []
    for name, on_hand in sorted(means.stock.items()):
        need = np.array([kit.get(name, 0) for kit in modules["kit"]], float)[module]
        from_stock = (release < means.lead_days.get(name, np.inf)) & (need > 0)
        if from_stock.any():
            rows.append((np.where(from_stock, need, 0.0), float(on_hand)))
    return rows
