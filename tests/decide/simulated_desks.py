"""A desk drawn from hazards that are known, with the records it would leave and the truth behind them."""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
import pandas as pd

YEAR = 8766.0
TYPES = (("cap signal", 60, 3.0, 32.0),
         ("cap rail", 40, 2.5, 50.0))      # name, pieces, Weibull shape and scale in years
OTHER_A_YEAR = 0.03          # faults in which no part is replaced, a module and year
QUARTER_HOURS = YEAR / 4
NO_WORK = pd.DataFrame({"repair": pd.Series(dtype=str), "serial": pd.Series(dtype=str),
                        "done_on": pd.Series(dtype="datetime64[ns]"),
                        "action": pd.Series(dtype=str), "part_type": pd.Series(dtype=object),
                        "kind": pd.Series(dtype=object),
                        "family": pd.Series(dtype=str), "module_type": pd.Series(dtype=str),
                        "bench_minutes": pd.Series(dtype=float),
                        "rework_cycles": pd.Series(dtype=float), "quantity": pd.Series(dtype=float),
                        "planned": pd.Series(dtype=bool)})


@dataclass(frozen=True)
class Facility:
    """What the records hold, and ``true_minutes``: what overhauling each module saves in truth over so many years."""

    evidence: object
    slots: pd.DataFrame
    last_quarter: np.ndarray
    frailty: np.ndarray
    minutes: float
    ages: dict

    def true_minutes(self, years: float) -> np.ndarray:
        saved = np.zeros(len(self.frailty))
        for name, pieces, shape, scale in TYPES:
            module, age, weight = self.ages[name]
            risen = ((age + years) / scale) ** shape - (age / scale) ** shape - (years / scale) ** shape
            saved += np.bincount(module, risen * weight, len(saved))
        return self.frailty * self.minutes * saved


def facility(seed: int, *, modules: int = 60, years: float = 8.0, cv: float = 0.5) -> Facility:
    """Draw a desk of so many modules, each last re-capped 0 to 12 years before the records begin."""
    dice = np.random.default_rng(seed)
    frailty = dice.gamma(cv**-2, cv**2, modules)
    begun = dice.uniform(0, 12, modules)
    rows, ages, failed = [], {}, []
    for name, pieces, shape, scale in TYPES:
        found, ages[name], at = _lives(dice, (frailty, begun), (name, pieces, shape, scale), years)
        rows.append(found)
        failed.append(at)
    other = dice.poisson(frailty * OTHER_A_YEAR * years)
    events = [*failed, pd.DataFrame({"module": np.repeat(np.arange(modules), other),
                                     "at": dice.uniform(0, years, other.sum()), "part_type": None})]
    faults = pd.concat(events, ignore_index=True)
    minutes = 15.0
    labels = _labels(modules)
    evidence = SimpleNamespace(part_spells=pd.concat(rows, ignore_index=True).merge(labels, on="module"), work=NO_WORK,
                               stays=labels.assign(entry=0.0, exit=years * YEAR, exposure_hours=years * YEAR,
                                                   rework_cycles=1, from_on=pd.Timestamp("2020-01-01")),
                               faults=faults.merge(labels, on="module").assign(counts=True, minutes_lost=minutes,
                                                                               action="replace", **{"class": "fault"},
                                                                               return_of=None),
                               roster=labels.assign(rework_cycles=1))
    last = np.bincount(faults.loc[faults["at"] > years - 0.25, "module"], minlength=modules).astype(float)
    slots = labels[["desk", "position", "serial"]].assign(hours_ahead=QUARTER_HOURS)
    return Facility(evidence, slots, last, frailty, minutes, ages)


def _lives(dice, desk, part, years):
    """Rows of one part type, the ages of what is fitted at the end, and the failures."""
    (frailty, begun), (name, pieces, shape, scale) = desk, part
    module = np.repeat(np.arange(len(frailty)), pieces)
    entry, now = begun[module], np.zeros(len(module))
    done = []
    while len(module):
        life = scale * ((entry / scale) ** shape + dice.exponential(size=len(module)) / frailty[module]) ** (1 / shape)
        fails = now + life - entry < years
        leaves = np.where(fails, life, entry + years - now)
        done.append(pd.DataFrame({"module": module, "entry": entry, "exit": leaves, "event": fails,
                                  "at": now + leaves - entry}))
        module, now = module[fails], (now + leaves - entry)[fails]
        entry = np.zeros(len(module))
    lives = pd.concat(done, ignore_index=True).groupby(["module", "entry", "exit", "event", "at"],
                                                       as_index=False).size()
    fitted = lives[~lives["event"]]
    spells = lives.assign(part_type=name, kind="electrolytic", weight=lives["size"], hidden=False, age_known=True,
                          still_fitted=~lives["event"])
    spells = spells.assign(exposure_hours=(lives["exit"] - lives["entry"]) * YEAR, exit=lives["exit"] * YEAR,
                           entry=lives["entry"] * YEAR)
    ages = fitted["module"].to_numpy(), fitted["exit"].to_numpy(), fitted["size"].to_numpy(float)
    return spells.drop(columns=["size", "at"]), ages, lives.loc[lives["event"], ["module", "at"]].assign(part_type=name)


def _labels(modules):
    number = np.arange(modules)
    return pd.DataFrame({"module": number, "serial": [f"M{one:03d}" for one in number], "desk": "Heron",
                         "position": number.astype(str), "bay": (number // 8).astype(str),
                         "family": "longshore", "module_type": "channel", "board_era": "A", "zone": "edge"})
