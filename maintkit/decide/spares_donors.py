"""Which donor modules to keep whole, which to strip and which to let go, by what each would spare the desks."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.stocking import backorders, chance_at_most, days_saved
from maintkit.hours import DAYS_PER_YEAR

KEEP, STRIP, INSPECT, RELEASE = "keep whole", "strip", "inspect first", "release"
NOT_SEEN = "not inspected"
MOST_SPARES = 60


@dataclass(frozen=True)
class Keeping:
    """What the site decides, and what is assumed where no record says: common practice, no source.

    ``works`` is the chance that a module put into a slot works, by its last inspection; it falls by ``lost_a_year`` a
    year without power, ``lost_a_track`` a damaged track and ``lost_a_recap`` a re-cap its board has behind it.
    ``part_good`` is that of a part taken out. ``least_days`` is what a module must spare over the horizon to be worth a
    shelf. An empty slot costs ``minutes_a_day``. ``days_away`` is how long a pulled module is away, from the records where
    left out.
    """

    years: float = 5.0
    shelf_places: int | None = None
    minutes_a_day: float = 10.0
    least_days: float = 1.0
    part_good: float = 0.8
    works: tuple[tuple[str, float], ...] = (
        ("working", 0.9),
        ("repairable", 0.5),
        ("not inspected", 0.5),
        ("strip only", 0.0),
    )
    lost_a_year: float = 0.03
    lost_a_track: float = 0.05
    lost_a_recap: float = 0.02
    days_away: float | None = None


@dataclass(frozen=True)
class Need:
    """Demand that donors can meet: pulls of each (family, module type) with days away, and parts that are short.

    ``pulls`` holds Demand and mean days away by kind of module; ``parts`` Demand, parts on hand and, where it can still
    be bought, days to get one (``inf`` where it cannot) by part type.
    """

    pulls: dict
    parts: dict

    @property
    def pulled(self) -> int:
        """All pulls together."""
        return sum(demand.used for demand, _ in self.pulls.values())


def donor_decisions(
    donors, held, need: Need, *, keeping: Keeping = Keeping(), planned=(), lost_a_year: float = np.inf
):
    """One decision for each module on the shelf: keep whole, strip, inspect first or release; the most useful first.

    Parameters
    ----------
    donors : DataFrame
        ``serial, family, module_type, condition, damaged_tracks, rework_cycles, unpowered_years``.
    held : dict
        Number of each scarce part in each donor: ``{serial: {part_type: number}}``.
    need : Need
    keeping : Keeping
    planned : iterable of str
        Spares the bench plan makes ready: kept whole whatever else.
    lost_a_year : float
        Session minutes all desks lose a year: what the shelf saves is no more.

    Returns
    -------
    DataFrame
        ``serial, decision, works, days_spared`` (slot-days over the horizon), ``minutes_a_year, for_parts`` in order of
        worth.

    Notes
    -----
    Own method. Spares wanted whole go to the best boards of their kind, as long as the n-th spares more than the least:
    (EBO(n - 1) - EBO(n)) x days x the chance that it works (Palm's theorem, a gamma doubt about the rate of pulls). Parts
    wanted are counted by part type, as long as the next one spares more than the least, and come from the worst boards
    first; a board wanted whole is stripped only where that spares more. What was never looked at is looked at first, and
    only what was is let go.
    """
    import pandas as pd

    table = donors.reset_index(drop=True)
    shelf = _Shelf(table, held, need, keeping)
    best_first = sorted(range(len(table)), key=lambda row: (-shelf.works[row], table["serial"][row]))
    planned = set(planned)
    for row in sorted(best_first, key=lambda row: table["serial"][row] not in planned):
        shelf.keep(row, whatever=table["serial"][row] in planned)
    for row in reversed(best_first):
        shelf.strip(row, planned)
    for row in best_first:
        shelf.rest(row)
    decided = pd.DataFrame(
        [(table["serial"][row], *shelf.decided[row]) for row in range(len(table))],
        columns=["serial", "decision", "works", "days_spared", "for_parts"],
    )
    minutes = decided["days_spared"] * keeping.minutes_a_day / keeping.years
    share = min(1.0, lost_a_year / minutes.sum()) if minutes.sum() > 0 else 1.0
    decided.insert(4, "minutes_a_year", minutes * share)
    return decided.sort_values("days_spared", ascending=False, kind="stable", ignore_index=True)


class _Shelf:
    """What has been decided so far: spares kept of each kind, parts taken of each type, places filled."""

    def __init__(self, table, held: dict, need: Need, keeping: Keeping):
        self.table, self.keeping = table, keeping
        self.works = chance_it_works(table, keeping)
        self.seen = (table["condition"] != NOT_SEEN).to_numpy(bool) & table["condition"].notna().to_numpy(
            bool
        )
        self.kinds = list(zip(table["family"], table["module_type"], strict=True))
        self.whole = {
            kind: _whole_days(need.pulls[kind], keeping) for kind in set(self.kinds) if kind in need.pulls
        }
        self.parts = [
            {name: number for name, number in held.get(serial, {}).items() if name in need.parts}
            for serial in table["serial"]
        ]
        counts = {name: sum(own.get(name, 0) for own in self.parts) for name in need.parts}
        self.days = {name: _part_days(need.parts[name], count, keeping) for name, count in counts.items()}
        self.kept, self.taken, self.places = dict.fromkeys(self.whole, 0), dict.fromkeys(self.days, 0), 0
        self.decided: dict = {}

    def keep(self, row: int, *, whatever: bool) -> None:
        """Keep it whole where there is a place and its kind is still wanted, or ``whatever`` its kind."""
        kind, limit = self.kinds[row], self.keeping.shelf_places
        is_full = limit is not None and self.places >= limit
        if is_full or not self.seen[row] or not (whatever or self.works[row] > 0):
            return
        number = self.kept.get(kind, 0)
        days = self.works[row] * self.whole[kind][min(number, MOST_SPARES - 1)] if kind in self.whole else 0.0
        if whatever or days >= self.keeping.least_days:
            self.kept[kind] = number + 1
            self.places += 1
            self.decided[row] = (KEEP, self.works[row], days, "")

    def strip(self, row: int, planned) -> None:
        """Strip it for what is still wanted; one kept whole only where that spares more."""
        gain = self._part_gain(row)
        before = self.decided.get(row)
        if not self.seen[row] or gain < self.keeping.least_days or self.table["serial"][row] in planned:
            return
        if before is not None and gain <= before[2]:
            return
        if before is not None:
            self.kept[self.kinds[row]] -= 1
            self.places -= 1
        self.decided[row] = (STRIP, self.works[row], gain, self._named(row))
        for name, number in self.parts[row].items():
            self.taken[name] += number

    def rest(self, row: int) -> None:
        """What is neither: let go where it was looked at, else looked at first."""
        if row not in self.decided:
            decision = RELEASE if self.seen[row] else INSPECT
            self.decided[row] = (decision, self.works[row], 0.0, "" if self.seen[row] else self._named(row))

    def _part_gain(self, row: int) -> float:
        return self.keeping.part_good * sum(
            float(self.days[name][self.taken[name] : self.taken[name] + number].sum())
            for name, number in self.parts[row].items()
        )

    def _named(self, row: int) -> str:
        """The parts worth having, scarcest first: those whose next one spares most days."""

        def next_days(name):
            return float(self.days[name][self.taken[name] : self.taken[name] + 1].sum())

        own = self.parts[row]
        order = sorted(own, key=lambda name: (-next_days(name), name))
        return ", ".join(
            f"{own[name]} {name}" for name in order if next_days(name) >= self.keeping.least_days
        )


def chance_it_works(donors, keeping: Keeping) -> np.ndarray:
    """Chance that each module works when it is put in, a float, shape (donors,), by what ``keeping`` says of each condition.

    Notes
    -----
    Losses of a year, a track and a re-cap multiply, as if each struck by itself: common practice, no source.
    """
    known = dict(keeping.works)
    start = np.array(
        [known.get(condition, known["not inspected"]) for condition in donors["condition"]], float
    )
    years = donors["unpowered_years"].fillna(0.0).to_numpy(float)
    tracks = donors["damaged_tracks"].fillna(0.0).to_numpy(float)
    cycles = donors["rework_cycles"].fillna(0.0).to_numpy(float)
    return (
        start
        * (1 - keeping.lost_a_year) ** years
        * (1 - keeping.lost_a_track) ** tracks
        * (1 - keeping.lost_a_recap) ** cycles
    )


def spare_worth(pulls: dict, *, spares: int = 6, level: float = 0.90):
    """Days a year slots stand empty, and pulls met at once, for 0, 1, 2 ... whole spares of each kind.

    Parameters
    ----------
    pulls : dict
        Demand and mean days away by (family, module type).
    spares : int
        The most tried of each kind.
    level : float
        Of the limits.

    Returns
    -------
    DataFrame
        ``family, module_type, spares, pulls_a_year, days_away, empty_days_a_year, saved_by_this_one`` with limits,
        ``met_at_once``.

    Notes
    -----
    C. Palm's theorem (1938; ``backorders``, C. C. Sherbrooke 2004) with a gamma doubt about the rate of pulls; the limits of what a spare saves are what it
    saves at the limits of that rate.
    """
    import pandas as pd

    kinds, numbers = sorted(pulls), np.arange(spares + 1)
    demands, away = [pulls[kind][0] for kind in kinds], np.array([pulls[kind][1] for kind in kinds], float)
    a_year, shape = (np.array([getattr(one, of) for one in demands], float) for of in ("a_year", "shape"))
    share = away / DAYS_PER_YEAR
    rates = np.array([one.rate_limits(level=level) for one in demands]).reshape(-1, 2).T

    def saved(rate, shape=np.inf):
        """Empty places with so many spares, and by how many fewer they are for this one."""
        empty = backorders(numbers, rate * share, shape=shape)
        return empty, -np.diff(empty, prepend=np.nan)

    empty, fewer = saved(a_year, shape)
    low, high = (saved(rate)[1] for rate in rates)
    met = chance_at_most(numbers - 1, (a_year * share)[:, None], shape=shape[:, None])
    family, module_type = np.repeat(np.array(kinds, object).reshape(-1, 2), len(numbers), axis=0).T
    return pd.DataFrame(
        {
            "family": family,
            "module_type": module_type,
            "spares": np.tile(numbers, len(kinds)),
            "pulls_a_year": np.repeat(a_year, len(numbers)),
            "days_away": np.repeat(away, len(numbers)),
            "empty_days_a_year": empty.ravel() * DAYS_PER_YEAR,
            "saved_by_this_one": fewer.ravel() * DAYS_PER_YEAR,
            "saved_low": low.ravel() * DAYS_PER_YEAR,
            "saved_high": high.ravel() * DAYS_PER_YEAR,
            "met_at_once": met.ravel(),
        }
    )


def _whole_days(pulls, keeping: Keeping) -> np.ndarray:
    """Slot-days over the horizon that each further whole spare saves."""
    demand, away = pulls
    empty = backorders(np.arange(MOST_SPARES + 1), demand.a_year * away / DAYS_PER_YEAR, shape=demand.shape)
    return -np.diff(empty) * DAYS_PER_YEAR * keeping.years


def _part_days(short, count: int, keeping: Keeping) -> np.ndarray:
    """Slot-days over the horizon that each further part of a kind saves."""
    demand, on_hand, wait = short
    days = keeping.years * DAYS_PER_YEAR
    if np.isinf(wait):
        return days_saved(
            on_hand, count, mean_a_day=demand.a_year / DAYS_PER_YEAR, shape=demand.shape, days=days
        )
    missed = 1 - chance_at_most(on_hand + np.arange(count), demand.a_year * keeping.years, shape=demand.shape)
    return missed * wait
