"""The physics of the demo: every part ages by its own Weibull clock, week by week, and fails when its time is up."""

from dataclasses import dataclass

import numpy as np

from data_demo.make.scenario import HOURS_A_YEAR, PARTS, SWITCH_ERA, SWITCH_ERA_FACTOR


@dataclass(frozen=True)
class Fleet:
    """Every module by index: what it is, and how fast it fails; each array has shape (modules,)."""

    serial: list
    family: list
    module_type: list
    era: list
    frailty: np.ndarray


class Lives:
    """All parts of all modules, one array entry each.

    A part fails when its summed hazard (Weibull hazard x module frailty x surroundings) passes its own
    exponential threshold: exactly a Weibull life under changing surroundings. Ages at the start count
    as survived, for the threshold starts anew there. ``log`` keeps every life that ended as
    (part index of PARTS, module, seat, age at entry, age at exit, failed).
    """

    def __init__(self, fleet: Fleet, dice):
        rows = [
            (module, number, seat)
            for module, kind in enumerate(fleet.module_type)
            for number, part in enumerate(PARTS)
            for seat in range(fitted_quantity(part, kind, fleet.era[module]))
        ]
        self.module, self.part, self.seat = np.array(rows).T
        self.fleet, self._dice = fleet, dice
        self.shape = np.array([part.shape for part in PARTS])[self.part]
        self._scale = np.array([part.scale_years * HOURS_A_YEAR for part in PARTS])[self.part]
        self.electrolytic = np.array([part.kind == "electrolytic" for part in PARTS])[self.part]
        self._on_use = np.array([part.clock == "use" for part in PARTS])[self.part]
        old_switch = (
            np.array([part.kind == "switch" for part in PARTS])[self.part]
            & (np.array(fleet.era) == SWITCH_ERA)[self.module]
        )
        self._pace = fleet.frailty[self.module] * np.where(old_switch, SWITCH_ERA_FACTOR, 1.0)
        self.age = np.zeros(len(rows))
        self.down = np.zeros(len(rows), bool)
        self.silent = np.zeros(len(rows), bool)
        self.log: list = []

    def start(self, age_hours: np.ndarray):
        """Set every part's age on the first day; all of them have survived to it."""
        self.age = age_hours.astype(float)
        self.entry = self.age.copy()
        self._power = (self.age / self._scale) ** self.shape
        self._spent = np.zeros(len(self.age))
        self._threshold = self._dice.exponentials(len(self.age))

    def week(self, hours: np.ndarray, use_weight: np.ndarray, heat: np.ndarray):
        """Age every part by a week; the three arrays are by module (hours is 0 in the store)."""
        gained = hours[self.module] * np.where(self._on_use, use_weight[self.module], 1.0)
        self.age += gained
        power = (self.age / self._scale) ** self.shape
        heat = np.where(self.electrolytic, heat[self.module], 1.0)
        self._spent += self._pace * heat * (power - self._power)
        self._power = power

    def due(self) -> np.ndarray:
        """Indices of the parts whose time is up and which nobody is dealing with yet."""
        return np.flatnonzero((self._spent >= self._threshold) & ~self.down & ~self.silent)

    def parts_of(self, module: int, part_name: str | None = None) -> np.ndarray:
        """Indices of a module's electrolytics, or of its parts of one type."""
        which = (
            self.electrolytic
            if part_name is None
            else np.array([part.name == part_name for part in PARTS])[self.part]
        )
        return np.flatnonzero((self.module == module) & which)

    def end(self, index: int, failed: bool):
        """Write the life of a part into the log."""
        self.log.append(
            (
                int(self.part[index]),
                int(self.module[index]),
                int(self.seat[index]),
                float(self.entry[index]),
                float(self.age[index]),
                failed,
            )
        )

    def renew(self, indices, age_hours: float = 0.0):
        """Put other parts in: new ones, or ones with an age of their own from a donor."""
        indices = np.atleast_1d(indices)
        self.age[indices] = self.entry[indices] = age_hours
        self._power[indices] = (age_hours / self._scale[indices]) ** self.shape[indices]
        self._spent[indices] = 0.0
        self._threshold[indices] = self._dice.exponentials(len(indices))
        self.down[indices] = self.silent[indices] = False

    def close(self):
        """Write the lives still running into the log, cut short."""
        for index in np.flatnonzero(~self.silent):
            self.end(index, failed=False)


def fitted_quantity(part, module_type: str, era: str) -> int:
    """How many of a part a module holds; boards of 1989 got two more tantalums in the channel path."""
    extra = 2 if (part.name, module_type, era) == ("tantalum 4u7", "channel path", "1989") else 0
    return part.fitted.get(module_type, 0) + extra
