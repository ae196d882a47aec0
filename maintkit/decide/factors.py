"""What makes faults more or fewer than the ages of parts predict: the module, its slot, and the level of the desk now."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.past_quarters import PastQuarters
from maintkit.survival.blocks import side_by_side
from maintkit.survival.crossed import Crossed, crossed_factors
from maintkit.survival.forgetting import Forgetting, forgetting
from maintkit.survival.level import Level, level_now

SURE = 0.9  # probability from which a fault is called the module's, or the slot's
BEYOND = 1.25  # times what parts predict from which there is something to tell
MODULE, SLOT, UNTOLD, NEITHER = "module", "slot", "not told apart", "neither"
DRAWN = 20.0  # faults by which a desk's quarter is drawn to what was expected, where it is set off against its modules
ROUNDS = 2  # what a desk's quarter had of what was expected, and the factors, are found in turn


@dataclass(frozen=True)
class Factors:
    """Factors on what the ages of parts predict.

    Attributes
    ----------
    module, slot : ndarray, shape (draws, modules) and (draws, places)
        Mean 1 over those with no record.
    level : Level
        Of each desk of ``past.desks``.
    past : PastQuarters
    expected : ndarray, shape (periods, desks)
        Faults forecast of each desk for each past period at a level of 1, from the factors as then known.
    crossed : Crossed
    memory : Forgetting
    """

    module: np.ndarray
    slot: np.ndarray
    level: Level
    past: PastQuarters
    expected: np.ndarray
    crossed: Crossed
    memory: Forgetting

    @staticmethod
    def told(own: np.ndarray, place: np.ndarray) -> list[str]:
        """Whose the faults are of modules in slots of these factors, shape (draws, modules): the module's, the slot's, not told apart,
        or neither's."""
        is_bad, is_own = (own * place).mean(axis=0) >= BEYOND, (own > place).mean(axis=0)
        by_chance = np.where(is_own >= SURE, MODULE, np.where(is_own <= 1 - SURE, SLOT, UNTOLD))
        return np.where(is_bad, by_chance, NEITHER).tolist()


def learn_factors(past: PastQuarters, tilt: np.ndarray, generator: np.random.Generator) -> Factors:
    """Factors of modules, slots and desks from the quarters past: what a whole desk's quarter had more or less than expected is its
    level and is not put down to its modules and slots.

    ``tilt``, shape (draws, modules), is what each draw of the hazards expects of a module's past, as a multiple of the mean.
    """
    periods, modules = len(past.desk_seen), tilt.shape[1]
    shared = np.ones(past.desk_seen.shape)
    for _ in range(ROUNDS):
        due = past.expected * shared[past.period, past.desk]
        memory, unit = _memory(past, due, modules)
        expected = past.summed(past.expected * memory.before[past.period, unit])
        seen = np.where(expected > 0, past.desk_seen, 0.0)
        shared = (seen + DRAWN) / (expected + DRAWN)
    level = level_now(seen[1:], expected[1:], generator=generator, number=len(tilt))
    weight = memory.discount ** (periods - past.period)
    due = past.expected * shared[past.period, past.desk]
    cells, size = (past.module, past.slot, past.seen, due), {"modules": modules, "slots": len(past.places)}
    crossed = crossed_factors(*cells, **size, kept=weight, tilt=tilt)
    return Factors(*crossed.draws(generator, tilt), level, past, expected, crossed, memory)


def _memory(past: PastQuarters, due, modules: int) -> tuple[Forgetting, np.ndarray]:
    """How fast modules, or slots where these foretell the better, are forgotten, and the number of each cell's."""
    sides = [(past.module, modules), (past.slot, len(past.places))]

    def follow(side) -> tuple[Forgetting, np.ndarray]:
        unit, size = side
        found = forgetting(unit, past.period, past.seen, due, units=size, periods=len(past.desk_seen))
        return found, unit

    return max(side_by_side(follow, sides), key=lambda side: side[0].loglik)
