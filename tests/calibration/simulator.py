"""Facilities drawn from the field's own models, so that limits can be held against a known truth.

Every module has a gamma factor (mean 1) on all its hazards. Its parts have Weibull lives and are replaced when they
fail. Records begin years after the parts were fitted, some modules are re-capped by plan, some change slots and
desks. Nothing differs between eras, zones, desks or couplings, so every "different" is a false one.
"""

from dataclasses import dataclass

import numpy as np

YEAR = 8766.0
QUARTER = YEAR / 4


@dataclass(frozen=True)
class Part:
    """A type of part: Weibull shape, scale in years, and how many a module holds."""

    name: str
    kind: str
    shape: float
    scale_years: float
    quantity: int

    def hazard(self, hours):
        """Cumulative hazard of one part of an average module at an age in hours."""
        return (np.maximum(hours, 0.0) / (self.scale_years * YEAR)) ** self.shape


@dataclass(frozen=True)
class Setting:
    """How many modules, and years of records."""

    modules: int
    years: float


PARTS = (
    Part("capacitor", "electrolytic", 3.0, 40.0, 24),
    Part("switch", "switch", 2.0, 60.0, 12),
    Part("chip", "ic", 1.0, 180.0, 8),
    Part("pot", "pot", 2.0, 45.0, 4),
)
SETTINGS = {"small": Setting(40, 3.0), "usual": Setting(200, 12.0), "large": Setting(600, 12.0)}
FRAILTY_CV = 0.5
OTHER_FAULTS_A_YEAR = 0.08
OLDEST_YEARS = 12.0
RECAPPED, MOVED, SECOND_ERA = 0.3, 0.2, 0.4
DESKS, COUPLINGS = (
    np.array(["D1", "D2", "D3", "D4"], object),
    np.array(["capacitor", "capacitor", "dc", "dc"], object),
)
ZONES, ERAS = np.array(["edge", "middle"], object), np.array(["old", "new"], object)
TYPES = np.array(["channel", "master"], object)


@dataclass(frozen=True)
class Facility:
    """One facility with its truth; hours throughout, records over ``(0, end]``.

    ``frailty``, ``era`` and ``type`` have a value per module. A module sits in slot ``slot[0]`` until ``moved_at``, then in
    ``slot[1]``. The spell arrays (``module, part, stay, entry, exit, event, weight, last``) have a row per part or cohort and
    stay; the fault arrays (``fault_module, fault_part, fault_stay``) one per fault, part -1 where none was replaced.
    ``coming`` holds the faults each module has in the quarter after the records.
    """

    end: float
    frailty: np.ndarray
    era: np.ndarray
    type: np.ndarray
    slot: np.ndarray
    moved_at: np.ndarray
    module: np.ndarray
    part: np.ndarray
    stay: np.ndarray
    entry: np.ndarray
    exit: np.ndarray
    event: np.ndarray
    weight: np.ndarray
    last: np.ndarray
    fault_module: np.ndarray
    fault_part: np.ndarray
    fault_stay: np.ndarray
    coming: np.ndarray

    def coming_expected(self) -> np.ndarray:
        """The true expected faults of each module in the coming quarter, given the ages of its parts."""
        fitted = self.last
        due = np.zeros(len(self.frailty))
        for number, part in enumerate(PARTS):
            rows = np.flatnonzero(fitted & (self.part == number))
            each = part.hazard(self.exit[rows] + QUARTER) - part.hazard(self.exit[rows])
            due += np.bincount(self.module[rows], self.weight[rows] * each, minlength=len(due))
        return self.frailty * (due + OTHER_FAULTS_A_YEAR / 4)


def draw_facility(
    generator: np.random.Generator, setting: Setting, frailty_cv: float = FRAILTY_CV
) -> Facility:
    """Draw one facility; ``frailty_cv`` 0 makes all modules alike."""
    modules, end = setting.modules, setting.years * YEAR
    shape = np.inf if frailty_cv == 0 else frailty_cv**-2
    frailty = np.ones(modules) if frailty_cv == 0 else generator.gamma(shape, 1 / shape, modules)
    fitted = -generator.uniform(0, OLDEST_YEARS * YEAR, modules)
    recapped = np.where(generator.random(modules) < RECAPPED, generator.uniform(0, end, modules), np.inf)
    slot, moved_at = _moves(generator, modules, end)
    lives = [
        _lives(
            generator, (number, part), frailty, fitted, recapped if part.kind == "electrolytic" else None, end
        )
        for number, part in enumerate(PARTS)
    ]
    module, part, start, stop, event = (np.concatenate(column) for column in zip(*lives, strict=True))
    failed = event & (stop > 0)
    coming = np.bincount(module[failed & (stop > end)], minlength=modules)
    coming = coming + generator.poisson(frailty * OTHER_FAULTS_A_YEAR / 4)
    others = generator.poisson(frailty * OTHER_FAULTS_A_YEAR * setting.years)
    known = failed & (stop <= end)
    fault_module = np.concatenate([module[known], np.repeat(np.arange(modules), others)])
    fault_part = np.concatenate([part[known], np.full(others.sum(), -1)])
    fault_time = np.concatenate([stop[known], generator.uniform(0, end, others.sum())])
    spells = _spells(module, part, start, np.minimum(stop, end), known, moved_at, end)
    return Facility(
        end,
        frailty,
        (generator.random(modules) < SECOND_ERA).astype(int),
        (generator.random(modules) < 0.15).astype(int),
        slot,
        moved_at,
        *spells,
        fault_module,
        fault_part,
        (fault_time > moved_at[fault_module]).astype(int),
        coming,
    )


def _moves(generator, modules, end):
    """Slots before and after; pairs of modules change places on one day."""
    slot = generator.permutation(modules)
    after, moved_at = slot.copy(), np.full(modules, np.inf)
    movers = generator.permutation(modules)[: 2 * int(MOVED * modules / 2)].reshape(-1, 2)
    after[movers] = slot[movers[:, ::-1]]
    moved_at[movers] = generator.uniform(0, end, (len(movers), 1))
    return np.array([slot, after]), moved_at


def _lives(generator, part, frailty, fitted, recapped, end):
    """Every life of one part type: module, part, fitted, ended, failed; lives go on to the end of the coming quarter."""
    number, part = part
    until = end + QUARTER
    module = np.repeat(np.arange(len(frailty)), part.quantity)
    start, found = fitted[module], []
    recap = np.full(len(module), np.inf) if recapped is None else recapped[module]
    while len(module):
        life = (
            part.scale_years
            * YEAR
            * (generator.standard_exponential(len(module)) / frailty[module]) ** (1 / part.shape)
        )
        planned = np.where(recap > start, recap, np.inf)
        stop = np.minimum(np.minimum(start + life, planned), until)
        found.append((module, start, stop, (start + life < planned) & (start + life < until)))
        going = stop < until
        module, recap, start = module[going], recap[going], stop[going]
    module, start, stop, event = (np.concatenate(column) for column in zip(*found, strict=True))
    return module, np.full(len(module), number), start, stop, event


def _spells(module, part, start, stop, event, moved_at, end):
    """Spells inside the records, parts of one module alike in every date summed up, cut where the module moved."""
    kept = (stop > 0) & (start < end)
    module, part, start, stop, event = (column[kept] for column in (module, part, start, stop, event))
    key = np.column_stack([module, part, start, stop, event])
    order = np.lexsort(key.T)
    new = np.any(np.diff(key[order], axis=0, prepend=np.nan) != 0, axis=1)
    first = order[new]
    weight = np.diff(np.append(np.flatnonzero(new), len(order)))
    module, part, start, stop, event = (column[first] for column in (module, part, start, stop, event))
    opens, moved = np.maximum(start, 0.0), moved_at[module]
    cut = (opens < moved) & (moved < stop)
    late = cut | (opens >= moved)
    index = np.concatenate([np.flatnonzero(cut | ~late), np.flatnonzero(late)])
    stay = np.repeat([0, 1], [np.count_nonzero(cut | ~late), np.count_nonzero(late)])
    before = cut[index] & (stay == 0)
    opens = np.where(cut[index] & (stay == 1), moved[index], opens[index])
    closes = np.where(before, moved[index], stop[index])
    return (
        module[index],
        part[index],
        stay,
        opens - start[index],
        closes - start[index],
        event[index] & ~before,
        weight[index].astype(float),
        (closes == end) & ~event[index],
    )
