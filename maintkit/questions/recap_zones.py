"""What re-capping one kind of module costs a year in each zone, against how often it is done, and where its modules stand."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.replacement_boards import PAYS, UNNAMED
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.recaps import recaps, rules_of

WITHIN = 1.05  # of the least cost: where the curve is flat
FARTHEST = 2.2  # times the dearest flat range's end, that is drawn


@dataclass(frozen=True)
class ZoneCost:
    """The mean board of a zone, whose name is blank where none is recorded: cost a year at each of ``years``, the interval of least cost, the range within 5 % of it, the
    ages its modules have reached, how many of them are past that range."""

    name: str
    years: tuple[float, ...]
    cost: tuple[float, ...]
    best: float
    least: float
    flat_low: float
    flat_high: float
    ages: tuple[float, ...]
    past: int

    @property
    def modules(self) -> int:
        return len(self.ages)


@dataclass(frozen=True)
class ZoneCosts:
    """The kind of module most of which are due, zone by zone, the shortest interval first; ``failures`` behind its hazards. No zones
    where re-capping pays for none."""

    module_type: str | None
    family: str | None
    zones: tuple[ZoneCost, ...]
    failures: int
    in_money: bool

    @property
    def counts(self) -> dict:
        return {"failures": self.failures, "modules": sum(zone.modules for zone in self.zones)}

    @property
    def past(self) -> int:
        return sum(zone.past for zone in self.zones)

    @property
    def table(self):
        """Cost a year at each interval, a row per zone and interval."""
        import pandas as pd

        rows = [
            (self.module_type, zone.name, year, cost)
            for zone in self.zones
            for year, cost in zip(zone.years, zone.cost, strict=True)
        ]
        return pd.DataFrame(rows, columns=["module_type", "zone", "interval_years", "cost_a_year"])


def facts(quarter: Quarter) -> ZoneCosts:
    """The cost curve of each zone for the kind of module most due."""
    found = recaps(quarter)
    boards = found.boards
    pays = boards[boards["verdict"] == PAYS] if len(boards) else boards
    kind, in_money = ["family", "module_type"], rules_of(quarter).costs.in_money
    of_kind = found.modules.merge(pays[kind].drop_duplicates(), on=kind) if len(pays) else found.modules[:0]
    if not len(of_kind):
        return ZoneCosts(None, None, (), 0, in_money)
    due = of_kind.groupby(kind, sort=True)["due"].sum()
    family, module_type = due.idxmax()
    own = pays[(pays["family"] == family) & (pays["module_type"] == module_type)]
    modules = of_kind[(of_kind["family"] == family) & (of_kind["module_type"] == module_type)]
    zones = [
        _zone(str(zone), found.years, [found.curves[row][0] for row in rows.index], rows, modules)
        for zone, rows in own.groupby("zone", dropna=False, sort=True, observed=True)
    ]
    return ZoneCosts(
        str(module_type),
        str(family),
        tuple(sorted(zones, key=lambda zone: zone.best)),
        int(own["failures"].max()),
        in_money,
    )


def _zone(name: str, grid, curves, rows, modules) -> ZoneCost:
    """The mean of the zone's boards of every era, each by its number of modules."""
    from scipy.interpolate import CubicSpline

    curve = np.average(np.vstack(curves), axis=0, weights=rows["modules"].to_numpy(float))
    fine = np.geomspace(grid[0], grid[-1], 2000)
    cost = CubicSpline(np.log(grid), curve)(np.log(fine))
    flat = fine[cost <= WITHIN * cost.min()]
    here = modules[modules["zone"].astype(str) == name]
    ages = np.sort(here["age_years"].dropna().to_numpy(float))
    drawn = grid <= FARTHEST * flat[-1]
    return ZoneCost(
        "" if name == UNNAMED else name,
        tuple(map(float, grid[drawn])),
        tuple(map(float, curve[drawn])),
        float(fine[cost.argmin()]),
        float(cost.min()),
        float(flat[0]),
        float(flat[-1]),
        tuple(map(float, ages)),
        int((ages > flat[-1]).sum()),
    )
