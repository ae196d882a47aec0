"""Facilities drawn as the demo was, from other seeds: the records each would keep, and the truth behind them."""

from dataclasses import dataclass
from unittest.mock import patch

import numpy as np

from data_demo.make import facility as yard
from data_demo.make import scenario
from data_demo.make.book import record_book
from data_demo.make.dice import Dice
from data_demo.make.facility import heat_factor
from data_demo.make.files import write_csv_files
from data_demo.make.lives import Lives
from data_demo.make.workshop import Workshop
from maintkit.quarter.quarter import Quarter, open_quarter

HEARD = 1 - scenario.SILENT_SHARE
LAST_QUARTER = "2026Q3"


class CountedLives(Lives):
    """Lives that also add up the faults each module would have brought at a frailty of 1, shape (modules,)."""

    def __init__(self, fleet, dice):
        super().__init__(fleet, dice)
        self.expected, self.modules = np.zeros(len(fleet.serial)), ()

    def week(self, hours, use_weight, hot):
        working, before = ~(self.down | self.silent), self._spent.copy()
        super().week(hours, use_weight, hot)
        gained = (
            (self._spent - before) / self.fleet.frailty[self.module] * np.where(self.electrolytic, HEARD, 1.0)
        )
        self.expected += np.bincount(self.module[working], gained[working], len(self.expected))
        cycles = np.array([module.cycles for module in self.modules])
        other = sum(scenario.FAULTS_A_YEAR.values()) + scenario.TRACKS_A_YEAR_A_CYCLE * cycles
        self.expected += other * hours / scenario.HOURS_A_YEAR


@dataclass(frozen=True)
class Truth:
    """By serial: ``frailty``; ``expected`` faults of the past at a frailty of 1; ``spared``, faults at a frailty of 1 that an
    overhaul today would spare over the years asked for."""

    frailty: dict
    expected: dict
    spared: dict


def simulated_facility(seed: int, folder, *, years: float = 2.0) -> tuple[Quarter, Truth]:
    """Four desks of two families, twelve years of their records without the planted dirt, and the truth."""
    with patch.object(yard, "SEED", seed), patch.object(scenario, "SEED", seed):
        modules = yard.build_modules()
        lives = CountedLives(yard.build_fleet(modules), Dice(seed + 2))
        lives.modules = modules
        lives.start(yard.starting_ages(modules, lives))
        shop = Workshop(modules, lives, seed + 3)
        shop.run()
    write_csv_files(record_book(shop), folder)
    (folder / "mapping.toml").write_text(f"as_of = {scenario.RECORD_END}\n", encoding="utf-8")
    serials = lives.fleet.serial
    frailty, expected, spared = lives.fleet.frailty, lives.expected, _spared(shop, lives, years)
    return open_quarter(folder, LAST_QUARTER), Truth(
        *(dict(zip(serials, values, strict=True)) for values in (frailty, expected, spared))
    )


def _spared(shop, lives, years: float) -> np.ndarray:
    """Heard faults of electrolytics as old as they are, less those of new ones, less those of tracks for one cycle more.

    What failed unheard fails no more until it is renewed.
    """
    hours = np.array(
        [
            scenario.HOURS_A_YEAR * years * (week_share(module) if module.slot else 0.0)
            for module in shop.modules
        ]
    )
    heat = np.array([heat_factor(module.slot) if module.slot else 1.0 for module in shop.modules])
    own = np.flatnonzero(lives.electrolytic)
    module, shape, scale = lives.module[own], lives.shape[own], lives._scale[own]
    age, ahead = lives.age[own], hours[module]
    old = np.where(lives.silent[own], 0.0, ((age + ahead) / scale) ** shape - (age / scale) ** shape)
    risen = HEARD * heat[module] * (old - (ahead / scale) ** shape)
    tracks = scenario.TRACKS_A_YEAR_A_CYCLE * hours / scenario.HOURS_A_YEAR
    return np.bincount(module, risen, len(hours)) - tracks


def week_share(module) -> float:
    """Share of the week the module's desk is powered at the end of the records."""
    from data_demo.make.workshop import week_hours

    return week_hours(module.slot[0], scenario.RECORD_END) / 168
