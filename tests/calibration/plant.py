"""What stands in a simulated facility before anything fails: desks, slots, modules, parts, and the factors on their hazards."""

from dataclasses import dataclass

import numpy as np

YEAR = 365.25
END = 2191  # days from the first of the records, 2020-10-01, to the day after the last, 2026-10-01
QUARTER = 92
GAMMA_VARIANCE, WIDE_VARIANCE = 0.45, 2.0
LOGNORMAL_SPREAD = 1.7  # over the Weibull shape: spread of log life in the world of lognormal lives
POOR = 5.0  # how many times as fast a poor capacitor ages
LATE_ERA, HOT_ZONE = 1.8, 1.6
FAMILIES = ("gable", "truss")
TYPES = ("channel", "master")
DESKS = ("Tern", "Dunlin", "Godwit")
FAMILY_OF = np.array([0, 0, 1])
COUPLING_OF = ("capacitor", "capacitor", "dc")
WEEK_HOURS = np.array([168.0, 84.0, 126.0])
MADE = ((2001, 2007), (2003, 2010), (2001, 2009))  # years in which the modules of a desk were made
MINUTES = np.array([30.0, 12.0, 45.0])  # mean session minutes a fault
OTHER_A_YEAR = 0.14  # faults a powered year in which no part is replaced
OTHER_SHARE = np.array([1.0, 0.8])  # of it, by family


@dataclass(frozen=True)
class Part:
    """A type of part: Weibull life in powered years, how many a module of each type holds, and what hurries it."""

    name: str
    family: int
    kind: str
    shape: float
    scale_years: float
    quantity: tuple[int, int]
    hot: bool = False
    late: bool = False

    def hazard(self, years, lives: str = "weibull"):
        """Cumulative hazard of a part of a module of factor 1 at an age in powered years."""
        years = np.maximum(years, 1e-9)
        if lives == "weibull":
            return (years / self.scale_years) ** self.shape
        from scipy.special import log_ndtr

        median = self.scale_years * np.log(2) ** (1 / self.shape)
        return -log_ndtr(-np.log(years / median) * self.shape / LOGNORMAL_SPREAD)


PARTS = (
    Part("gable electrolytic", 0, "electrolytic", 2.8, 49.0, (40, 60), hot=True),
    Part("gable switch", 0, "switch", 2.0, 95.0, (12, 6)),
    Part("gable pot", 0, "pot", 1.6, 135.0, (8, 8)),
    Part("gable chip", 0, "ic", 1.0, 230.0, (6, 8), late=True),
    Part("gable fader", 0, "fader", 1.6, 50.0, (1, 1)),
    Part("truss electrolytic", 1, "electrolytic", 2.4, 54.0, (24, 40), hot=True),
    Part("truss switch", 1, "switch", 1.8, 115.0, (14, 8)),
    Part("truss relay", 1, "relay", 1.3, 190.0, (6, 10)),
    Part("truss chip", 1, "ic", 1.0, 260.0, (8, 12)),
)


@dataclass
class Plant:
    """The state of a facility while it runs; days count from the first of the records.

    Slots: ``desk, hot, slot_factor``. Modules: ``slot`` (where it sits now), ``family, type, late, made, factor``. Parts, one a
    row: ``module, part`` (number in ``PARTS``), ``ref``, ``born`` (true day of fitting), ``poor``.
    """

    desk: np.ndarray
    hot: np.ndarray
    slot_factor: np.ndarray
    slot: np.ndarray
    type: np.ndarray
    late: np.ndarray
    made: np.ndarray
    factor: np.ndarray
    module: np.ndarray
    part: np.ndarray
    ref: np.ndarray
    born: np.ndarray
    poor: np.ndarray

    @property
    def home(self) -> np.ndarray:
        """The desk of each module; modules move within their desk only."""
        return self.desk[self.slot]

    @property
    def share(self) -> np.ndarray:
        """Share of the calendar that each module is switched on."""
        return WEEK_HOURS[self.home] / 168

    def hurried(self) -> np.ndarray:
        """How many times as fast each part fails for its era and zone, where its module sits now."""
        hot = np.array([part.hot for part in PARTS])[self.part] & self.hot[self.slot[self.module]]
        late = np.array([part.late for part in PARTS])[self.part] & self.late[self.module]
        return np.where(hot, HOT_ZONE, 1.0) * np.where(late, LATE_ERA, 1.0)

    def due(self, first: float, last: float, lives: str) -> np.ndarray:
        """Failures each part of a module and slot of factor 1 is due between two days."""
        share = self.share[self.module] / YEAR
        faster = np.where(self.poor, POOR, 1.0)
        ages = [(np.maximum(day - self.born, 0.0)) * share * faster for day in (first, last)]
        due = np.zeros(len(self.module))
        for number, part in enumerate(PARTS):
            rows = self.part == number
            due[rows] = part.hazard(ages[1][rows], lives) - part.hazard(ages[0][rows], lives)
        return due * self.hurried()

    def other_due(self, days: float) -> np.ndarray:
        """Faults without a part that each module of factor 1 is due in so many days."""
        return OTHER_A_YEAR * OTHER_SHARE[FAMILY_OF[self.home]] * days / YEAR * self.share


def draw_plant(generator: np.random.Generator, world) -> Plant:
    """A facility of three desks with 24 to 56 slots each, before its first day on record."""
    slots = generator.integers(24, 57, len(DESKS))
    desk = np.repeat(np.arange(len(DESKS)), slots)
    number = len(desk)
    factors = draw_factors(generator, world.spread, number)
    is_slot = world.spread_of == "slot"
    first, last = (np.array(years)[desk] for years in zip(*MADE, strict=True))
    made = np.floor((generator.uniform(first, last) - 2020.75) * YEAR)
    type_ = (generator.random(number) < 0.15).astype(int)
    module, part, ref = _parts(desk, type_)
    return Plant(
        desk=desk,
        hot=generator.random(number) < 0.5,
        slot_factor=factors if is_slot else np.ones(number),
        slot=np.arange(number),
        type=type_,
        late=generator.random(number) < 0.4,
        made=made,
        factor=np.ones(number) if is_slot else factors,
        module=module,
        part=part,
        ref=ref,
        born=made[module].copy(),
        poor=np.zeros(len(module), bool),
    )


def draw_factors(generator, spread: str, number: int) -> np.ndarray:
    """Factors of mean 1: gamma, or lognormal with the wide variance."""
    if spread == "gamma":
        return generator.gamma(1 / GAMMA_VARIANCE, GAMMA_VARIANCE, number)
    wide = np.log1p(WIDE_VARIANCE)
    return np.exp(generator.normal(-wide / 2, np.sqrt(wide), number))


def _parts(desk, type_):
    """Every part of every module: its module, its type and its number among the like."""
    found = []
    for number, part in enumerate(PARTS):
        modules = np.flatnonzero(FAMILY_OF[desk] == part.family)
        held = np.array(part.quantity)[type_[modules]]
        ref = np.arange(held.sum()) - np.repeat(np.cumsum(held) - held, held) + 1
        found.append((np.repeat(modules, held), np.full(held.sum(), number), ref))
    return (np.concatenate(column) for column in zip(*found, strict=True))
