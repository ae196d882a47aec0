"""A simulated facility: six years of faults, work and moves in one of the worlds, and the truth of the quarter after them.

The simulator shares no code with the kit or its demo. Time runs in steps of a month; a part fails within a step by its own
cumulative hazard times the factors of module, slot, zone, era and level, and is replaced on the day. To use it:

    >>> from tests.calibration.simulator import draw_facility
    >>> from tests.calibration.book import quarter_of_facility
    >>> facility = draw_facility("use doubles", 7)
    >>> quarter = quarter_of_facility(facility)            # a Quarter, 2026Q3, records in memory
    >>> truth = facility.expected                          # by slot, faults of 2026Q4; desk and position: facility.slots()

``tests/calibration/measure.py`` measures; ``book.py`` writes the record tables.
"""

from dataclasses import dataclass

import numpy as np

from tests.calibration.plant import (
    DESKS,
    END,
    GAMMA_VARIANCE,
    MINUTES,
    PARTS,
    QUARTER,
    WIDE_VARIANCE,
    YEAR,
    Plant,
    draw_plant,
)
from tests.calibration.worlds import WORLDS, World

STEPS = np.round(np.linspace(0, END, 73)).astype(int)
SEED = 131_313
RECAPPED_BEFORE, RECAPPED_SINCE = 0.3, 0.2
WORST_EACH_QUARTER = 1  # module of each desk that is re-capped in the worlds "worst first"
FACTORS = 400  # points by which the planner who knows the hazards reckons what a module's factor may be


@dataclass(frozen=True)
class Facility:
    """What happened, and the truth.

    ``faults`` (DataFrame): ``day, module, slot, part`` (-1 where none was replaced), ``ref, reported``. ``recaps``: ``day,
    module``. ``moves``: ``day, module, slot`` (the new one). By slot: ``expected`` (true expected faults of the coming quarter),
    ``coming`` (those that come), ``planner`` (expected by one who knows every hazard but the factors, and reads the same
    records). ``collected`` has, by module, the faults one of factor 1 would have had on record, ``seen`` those it had.
    ``after_recap`` counts faults after the re-caps of "worst first", and how many would have come on the old capacitors.
    """

    world: World
    plant: Plant
    faults: object
    recaps: object
    moves: object
    made_slot: np.ndarray
    expected: np.ndarray
    coming: np.ndarray
    planner: np.ndarray
    seen: np.ndarray
    collected: np.ndarray
    generator: np.random.Generator
    after_recap: tuple[float, float]

    def slots(self):
        """Desk and position of every slot, with the true expected faults and minutes, and the planner's minutes."""
        import pandas as pd

        desk = self.plant.desk
        return pd.DataFrame(
            {
                "desk": np.array(DESKS, object)[desk],
                "position": positions(desk),
                "expected": self.expected,
                "coming": self.coming,
                "minutes": self.expected * MINUTES[desk],
                "planner_minutes": self.planner * MINUTES[desk],
            }
        )


def positions(desk) -> np.ndarray:
    """Numbers of the slots within their desks, as text."""
    first = np.searchsorted(desk, np.arange(len(DESKS)))
    return np.array([str(place) for place in np.arange(len(desk)) - first[desk] + 1], object)


def level(world: World, day: float, phase: float) -> np.ndarray:
    """What all hazards of each desk are multiplied by on a day."""
    levels = np.ones(len(DESKS))
    if world.use_doubles and day >= END - YEAR:
        levels[0] = 2.0
    if world.level_wanders:
        away = abs(day - phase) / (2 * YEAR)
        levels *= 0.5 ** max(1 - away, 0.0)
    return levels


def reported(world: World, desk, day) -> np.ndarray:
    """Chance that a fault is put on record."""
    early = (np.asarray(desk) == 0) & (np.asarray(day) < END - 2 * YEAR)
    return np.where(early, world.reported_before, 1.0)


class _Run:
    """A facility running through its months, collecting what happens."""

    def __init__(self, world: World, number: int):
        self.world = world
        self.generator = np.random.default_rng([SEED, list(WORLDS).index(world.name), number])
        self.plant = draw_plant(self.generator, world)
        modules = len(self.plant.slot)
        self.phase = END + self.generator.uniform(-3.5, 0.5) * YEAR
        self.faults, self.recaps, self.moves = [], [], []
        self.seen, self.collected = np.zeros(modules), np.zeros(modules)
        self.by_slot = np.zeros((2, modules))  # seen, collected
        self.recapped_on = np.full(modules, np.inf)
        self.swap = self._planned_swaps()
        self.planned = self._planned_recaps()
        self.old_born = self.plant.born.copy()  # as if "worst first" had never re-capped
        self.after = np.zeros(2)

    def _planned_swaps(self):
        """The step at which pairs within a desk change places, and the pairs."""
        desk, pairs = self.plant.desk, []
        for number in range(len(DESKS)):
            own = self.generator.permutation(np.flatnonzero(desk == number))
            pairs.append(own[: 2 * round(self.world.swapped * len(own) / 2)].reshape(-1, 2))
        step = int(np.searchsorted(STEPS, END - self.world.swapped_years_ago * YEAR))
        return step, np.concatenate(pairs)

    def _planned_recaps(self):
        """The step at which each module is re-capped by plan, -1 where never; those before the records happen at once."""
        generator, plant = self.generator, self.plant
        modules = len(plant.slot)
        before = np.flatnonzero(generator.random(modules) < RECAPPED_BEFORE)
        days = np.floor(generator.uniform(plant.made[before] + 5 * YEAR, -200.0))
        for module, day in zip(before, days, strict=True):
            self._recap(np.array([module]), day)
        worst = self.world.worst_first != "no"
        share = 0.0 if worst else RECAPPED_SINCE
        planned = np.where(generator.random(modules) < share, generator.integers(3, 70, modules), -1)
        if self.world.bad_batch:
            first = np.flatnonzero(plant.desk == 0)
            batch = generator.permutation(first)[: round(0.3 * len(first))]
            planned[batch] = generator.integers(36, 70, len(batch))
            self.batch = batch
        return planned

    def _recap(self, modules, day, works: bool = True):
        """New electrolytics on these modules, and a line in the book."""
        plant = self.plant
        rows = np.isin(plant.module, modules) & _electrolytic(plant.part)
        if works:
            plant.born[rows] = day
            plant.poor[rows] = False
        self.recaps += [(int(day), int(module)) for module in modules]

    def month(self, step: int):
        """One step: planned work and moves on its first day, then failures."""
        first, last = int(STEPS[step]), int(STEPS[step + 1])
        if step == self.swap[0]:
            self._move(first)
        self._planned_work(step, first)
        self._failures(first, last)

    def _move(self, day: int):
        pairs, slot = self.swap[1], self.plant.slot
        slot[pairs] = slot[pairs[:, ::-1]]
        self.moves += [(day, int(module), int(slot[module])) for module in pairs.ravel()]

    def _planned_work(self, step: int, day: int):
        due = np.flatnonzero(self.planned == step)
        if len(due):
            self._recap(due, day)
            if self.world.bad_batch:
                poor = np.intersect1d(due, self.batch)
                rows = np.isin(self.plant.module, poor) & _electrolytic(self.plant.part)
                self.plant.poor[rows] = True
        if self.world.worst_first != "no" and step >= 15 and step % 3 == 0:
            worst = self._worst(day)
            self._recap(worst, day, works=self.world.worst_first == "works")
            self.recapped_on[worst] = day

    def _worst(self, day: int):
        """The modules of each desk with most recorded faults in the year before, not yet re-capped in these years."""
        recent = np.array([fault[1] for fault in self.faults if fault[0] >= day - YEAR], int)
        count = np.bincount(recent, minlength=len(self.seen)) + self.generator.random(len(self.seen)) / 2
        count[np.isfinite(self.recapped_on)] = -1
        home = self.plant.home
        return np.concatenate(
            [
                own[np.argsort(-count[own])[:WORST_EACH_QUARTER]]
                for own in (np.flatnonzero(home == desk) for desk in range(len(DESKS)))
            ]
        )

    def _failures(self, first: int, last: int):
        plant, world, generator = self.plant, self.world, self.generator
        home = plant.home
        common = level(world, (first + last) / 2, self.phase)[home]
        factor = plant.factor * plant.slot_factor[plant.slot] * common
        due, other = plant.due(first, last, world.lives), plant.other_due(last - first)
        told = reported(world, home, first)
        sums = (np.bincount(plant.module, due, len(home)) + other) * common
        self.collected += sums * told
        self.by_slot[1, plant.slot] += sums * told
        self._count_after_recaps(first, last, sums * plant.factor * plant.slot_factor[plant.slot], factor)
        failed = np.flatnonzero(generator.random(len(due)) < -np.expm1(-due * factor[plant.module]))
        others = np.repeat(np.arange(len(home)), generator.poisson(other * factor))
        module = np.concatenate([plant.module[failed], others])
        part = np.concatenate([plant.part[failed], np.full(len(others), -1)])
        ref = np.concatenate([plant.ref[failed], np.zeros(len(others), int)])
        day = generator.integers(first, last, len(module))
        plant.born[failed], plant.poor[failed] = day[: len(failed)], False
        self.old_born[failed] = day[: len(failed)]
        known = generator.random(len(module)) < told[module]
        self.faults += list(zip(day, module, plant.slot[module], part, ref, known, strict=True))
        self.seen += np.bincount(module[known], minlength=len(home))
        self.by_slot[0] += np.bincount(plant.slot[module[known]], minlength=len(home))

    def _count_after_recaps(self, first, last, with_new, factor):
        """Faults expected after the re-caps of "worst first", with the capacitors as they are, and had they stayed."""
        done = self.recapped_on < last
        if not done.any():
            return
        plant, born, poor = self.plant, self.plant.born, self.plant.poor
        plant.born, plant.poor = self.old_born, np.zeros_like(poor)
        due = np.bincount(plant.module, plant.due(first, last, self.world.lives), len(factor))
        plant.born, plant.poor = born, poor
        old = (due + plant.other_due(last - first)) * factor
        self.after += with_new[done].sum(), old[done].sum()


def _electrolytic(part):
    return np.array([one.kind == "electrolytic" for one in PARTS])[part]


def draw_facility(world: str, number: int) -> Facility:
    """The facility of that number in a world; the same number gives the same facility."""
    run = _Run(WORLDS[world], number)
    for step in range(len(STEPS) - 1):
        run.month(step)
    plant = run.plant
    home, slot = plant.home, plant.slot
    common = level(run.world, END + QUARTER / 2, run.phase)[home]
    due = np.bincount(plant.module, plant.due(END, END + QUARTER, run.world.lives), len(home))
    known = (due + plant.other_due(QUARTER)) * common
    expected, planner = np.zeros((2, len(home)))
    expected[slot] = known * plant.factor * plant.slot_factor[slot]
    of_slot = run.world.spread_of == "slot"
    seen, collected = run.by_slot[:, slot] if of_slot else (run.seen, run.collected)
    planner[slot] = known * likely_factor(run.world.spread, seen, collected)
    return Facility(
        run.world,
        plant,
        *_frames(run),
        np.arange(len(home)),
        expected,
        run.generator.poisson(expected),
        planner,
        run.seen,
        run.collected,
        run.generator,
        tuple(run.after),
    )


def _frames(run: _Run):
    import pandas as pd

    faults = pd.DataFrame(run.faults, columns=["day", "module", "slot", "part", "ref", "reported"])
    recaps = pd.DataFrame(run.recaps, columns=["day", "module"])
    moves = pd.DataFrame(run.moves, columns=["day", "module", "slot"])
    return faults.sort_values(["day", "module"], kind="stable").reset_index(drop=True), recaps, moves


def likely_factor(spread: str, seen, collected) -> np.ndarray:
    """Mean of each factor given the faults seen and those a factor of 1 would have had, by one who knows how factors spread."""
    if spread == "gamma":
        return (1 / GAMMA_VARIANCE + seen) / (1 / GAMMA_VARIANCE + collected)
    from scipy.special import ndtri

    wide = np.log1p(WIDE_VARIANCE)
    factor = np.exp(ndtri((np.arange(FACTORS) + 0.5) / FACTORS) * np.sqrt(wide) - wide / 2)
    log_chance = seen[:, None] * np.log(factor) - collected[:, None] * factor
    chance = np.exp(log_chance - log_chance.max(axis=1, keepdims=True))
    return chance @ factor / chance.sum(axis=1)
