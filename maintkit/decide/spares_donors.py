"""Which donor modules to keep whole, which to strip and which to let go, by what each would spare the desks."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.stocking import backorders, chance_at_most, days_saved
from maintkit.hours import DAYS_PER_YEAR

KEEP, STRIP, RELEASE = "keep whole", "strip", "release"
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


def donor_decisions(donors, held, need: Need, *, keeping: Keeping = Keeping()):
    """Keep whole, strip or release each donor, the most useful first.

    Parameters
    ----------
    donors : DataFrame
        ``serial, family, module_type, condition, damaged_tracks, rework_cycles, unpowered_years``.
    held : dict
        Number of each scarce part in each donor: ``{serial: {part_type: number}}``.
    need : Need
    keeping : Keeping

    Returns
    -------
    DataFrame
        ``serial, decision, works, days_spared`` (slot-days over the horizon), ``minutes_a_year, for_parts`` in order of
        worth.

    Notes
    -----
    The n-th whole spare spares (EBO(n - 1) - EBO(n)) x days, times the chance that it works: Palm's theorem with a
    gamma doubt about the rate of pulls. The j-th further part spares the days from the demand that would have gone
    without to the end. One after another the donor with most to give is taken, so that no part and no place counts
    twice.
    """
    import pandas as pd

    table = donors.reset_index(drop=True)
    works = chance_it_works(table, keeping)
    kinds = list(zip(table["family"], table["module_type"], strict=True))
    price = {kind: _whole_days(need.pulls[kind], keeping) for kind in set(kinds) if kind in need.pulls}
    parts = [
        {name: number for name, number in held.get(serial, {}).items() if name in need.parts}
        for serial in table["serial"]
    ]
    counts = {name: sum(own.get(name, 0) for own in parts) for name in need.parts}
    ledger = _Ledger(
        price, {name: _part_days(need.parts[name], count, keeping) for name, count in counts.items()}, keeping
    )
    rows, waiting = [], list(range(len(table)))
    while waiting:
        offers = [(ledger.offer(kinds[row], works[row], parts[row]), -row) for row in waiting]
        (days, decision), row = max(offers, key=lambda offer: (offer[0][0], offer[1]))
        ledger.take(kinds[-row], decision, parts[-row])
        wanted = ledger.named(parts[-row]) if decision == STRIP else ""
        rows.append(
            (
                table["serial"][-row],
                decision,
                works[-row],
                days,
                days * keeping.minutes_a_day / keeping.years,
                wanted,
            )
        )
        waiting.remove(-row)
    return pd.DataFrame(
        rows, columns=["serial", "decision", "works", "days_spared", "minutes_a_year", "for_parts"]
    )


def chance_it_works(donors, keeping: Keeping) -> np.ndarray:
    """Chance that each module works when it is put in, shape (donors,)."""
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

    Returns
    -------
    DataFrame
        ``family, module_type, spares, pulls_a_year, days_away, empty_days_a_year, saved_by_this_one`` with limits,
        ``met_at_once``.

    Notes
    -----
    Palm's theorem (``backorders``) with a gamma doubt about the rate of pulls; the limits of what a spare saves are what it
    saves at the limits of that rate.
    """
    import pandas as pd

    rows = []
    for (family, module_type), (demand, away) in sorted(pulls.items()):
        numbers, share = np.arange(spares + 1), away / DAYS_PER_YEAR
        pipeline = demand.a_year * share
        empty = backorders(numbers, pipeline, shape=demand.shape) * DAYS_PER_YEAR
        met = chance_at_most(numbers - 1, pipeline, shape=demand.shape)
        low, high = (
            np.r_[np.nan, -np.diff(backorders(numbers, rate * share))] * DAYS_PER_YEAR
            for rate in demand.rate_limits(level=level)
        )
        saved = np.r_[np.nan, -np.diff(empty)]
        rows += [
            (
                family,
                module_type,
                int(number),
                demand.a_year,
                away,
                empty[number],
                saved[number],
                low[number],
                high[number],
                met[number],
            )
            for number in numbers
        ]
    return pd.DataFrame(
        rows,
        columns=[
            "family",
            "module_type",
            "spares",
            "pulls_a_year",
            "days_away",
            "empty_days_a_year",
            "saved_by_this_one",
            "saved_low",
            "saved_high",
            "met_at_once",
        ],
    )


class _Ledger:
    """What has been given out so far: spares kept of each kind, parts taken of each type, places filled."""

    def __init__(self, whole: dict, part_days: dict, keeping: Keeping):
        self.whole, self.part_days, self.keeping = whole, part_days, keeping
        self.kept, self.taken, self.places = dict.fromkeys(whole, 0), dict.fromkeys(part_days, 0), 0

    def offer(self, kind, works, parts):
        """Most days this donor can spare now, and as what."""
        whole = (
            works * self.whole[kind][min(self.kept[kind], MOST_SPARES - 1)]
            if kind in self.whole and self._room()
            else 0.0
        )
        strip = self.keeping.part_good * sum(
            float(self.part_days[name][self.taken[name] : self.taken[name] + number].sum())
            for name, number in parts.items()
        )
        days, decision = max((whole, KEEP), (strip, STRIP))
        return (days, decision) if days >= self.keeping.least_days else (days, RELEASE)

    def take(self, kind, decision, parts):
        if decision == KEEP:
            self.kept[kind] += 1
            self.places += 1
        for name, number in parts.items() if decision == STRIP else ():
            self.taken[name] += number

    def named(self, parts) -> str:
        """The parts worth having, scarcest first: those whose next one spares most days."""
        order = sorted(parts, key=lambda name: -float(self.part_days[name][:1].sum()))
        return ", ".join(
            f"{parts[name]} {name}"
            for name in order
            if self.part_days[name][:1].sum() >= self.keeping.least_days
        )

    def _room(self) -> bool:
        return self.keeping.shelf_places is None or self.places < self.keeping.shelf_places


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
