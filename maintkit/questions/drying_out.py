"""Are the capacitors drying out: what is left of their capacitance against powered age, bay by bay."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted, plain, with_limits
from maintkit.survival.ageing import drift

PLACE = ["desk", "bay", "zone", "air_c"]
LOSSES = (0.20, 0.30)
MOST_PLACES = 8  # bays drawn; beyond them zones stand for bays
FEWEST = 5  # readings of a place before a line is drawn through them


@dataclass(frozen=True)
class Crossing:
    """Powered years to a loss, with limits; ``is_beyond`` where the oldest reading is younger."""

    loss: float
    value: float | None
    low: float | None
    high: float | None
    is_beyond: bool

    @property
    def columns(self) -> dict:
        return with_limits(f"years_to_{100 * self.loss:.0f}_percent", self.value, self.low, self.high)

    @property
    def is_told(self) -> bool:
        """Whether it is known well enough to set places in an order: both limits, within half and twice the value."""
        if None in (self.value, self.low, self.high):
            return False
        return self.low > self.value / 2 and self.high < 2 * self.value


@dataclass(frozen=True)
class Place:
    """One bay or zone: its readings and the line through them.

    ``years`` and ``share`` have a value a reading; ``line_years`` and ``line_share`` are the fitted curve up to the oldest
    reading, empty with fewer than five readings.
    """

    name: str
    air_c: float | None
    readings: int
    modules: int
    years: tuple[float, ...]
    share: tuple[float, ...]
    line_years: tuple[float, ...]
    line_share: tuple[float, ...]
    crossings: tuple[Crossing, ...]


@dataclass(frozen=True)
class DryingOut:
    """Capacitance left against powered age of the kind of capacitor measured most.

    Attributes
    ----------
    part_type, desk : str or None
        None where nothing was measured.
    by : {'bay', 'zone'}
    readings, modules : int
    without_age : int
        Readings of parts whose age is not known, which cannot stand here.
    places : tuple of Place
        In the order of the record book.
    fastest, slowest : Place or None
        Those that reach a loss of 20 % first and last within what was watched.
    """

    part_type: str | None
    desk: str | None
    by: str
    readings: int
    modules: int
    without_age: int
    places: tuple[Place, ...]
    fastest: Place | None
    slowest: Place | None

    counts = counted("readings", "modules")

    @property
    def table(self):
        return pd.DataFrame(
            [
                {
                    self.by: place.name,
                    "air_c": place.air_c,
                    "readings": place.readings,
                    "modules": place.modules,
                }
                | {name: value for one in place.crossings for name, value in one.columns.items()}
                for place in self.places
            ]
        )


def facts(quarter: Quarter) -> DryingOut:
    """Capacitance left of the kind of capacitor measured most, on the desk where most were measured."""
    aged, without = _readings_with_age(quarter)
    if not len(aged):
        return DryingOut(None, None, "bay", 0, 0, without, (), None, None)
    part = aged["part_type"].value_counts().index[0]
    own = aged[aged["part_type"] == part]
    desk = own["desk"].value_counts().index[0]
    own = own[own["desk"] == desk]
    by = "bay" if own["bay"].notna().all() and own["bay"].nunique() <= MOST_PLACES else "zone"
    order = dict.fromkeys(quarter.table("positions").query("desk == @desk")[by].dropna())
    groups = dict(tuple(own.groupby(by, observed=True)))
    names = [name for name in order if name in groups] or list(groups)
    places = tuple(_place(str(name), groups[name]) for name in names)
    known = [place for place in places if place.crossings and place.crossings[0].is_told]
    known.sort(key=lambda place: place.crossings[0].value)
    return DryingOut(
        part,
        desk,
        by,
        len(own),
        int(own["serial"].nunique()),
        without,
        places,
        known[0] if known else None,
        known[-1] if len(known) > 1 else None,
    )


def _readings_with_age(quarter: Quarter):
    """Capacitance readings with the powered age of the part on that day and the place it had; and how many have no age."""
    caps = quarter.table("readings")
    caps = caps[(caps["measure"] == "capacitance") & (caps["measured_on"] <= pd.Timestamp(quarter.last_day))]
    first = caps["baseline"].where(caps["baseline"] > 0, caps["nominal"])
    caps = caps.assign(share=caps["value"] / first, row=np.arange(len(caps)))
    caps = caps[(caps["share"] > 0) & (caps["share"] < 3)]
    spells = quarter.evidence.part_spells
    of_them = spells["age_known"] & spells["serial"].isin(caps["serial"].unique())
    spells = spells.loc[of_them, ["serial", "part_type", "ref", "from_on", "to_on", "entry", "exit", *PLACE]]
    met = caps[["row", "serial", "part_type", "ref", "measured_on", "share"]].merge(
        spells, on=["serial", "part_type"], suffixes=("", "_spell")
    )
    same_part = met["ref"].isna() | met["ref_spell"].isna() | (met["ref"] == met["ref_spell"])
    within = (met["from_on"] < met["measured_on"]) & (met["measured_on"] <= met["to_on"])
    met = met[same_part & within].assign(named=lambda rows: rows["ref"] == rows["ref_spell"])
    met = met.sort_values(["row", "named", "entry"], kind="stable").drop_duplicates("row", keep="last")
    days = (met["to_on"] - met["from_on"]).dt.days.clip(lower=1)
    share = (met["measured_on"] - met["from_on"]).dt.days / days
    hours = met["entry"] + (met["exit"] - met["entry"]) * share
    return met.assign(years=hours / HOURS_PER_YEAR), len(caps) - len(met)


def _place(name: str, rows) -> Place:
    """The readings of one place and the drift through them."""
    air = rows["air_c"].mean()
    hours = rows["years"] * HOURS_PER_YEAR
    fit = drift(hours, rows["share"], rows["serial"]) if len(rows) >= FEWEST else None
    told = fit is not None and fit.slope.value is not None and fit.slope.value < 0
    oldest = float(rows["years"].max())
    line = tuple(np.linspace(0, oldest, 12).tolist()) if told else ()
    return Place(
        name,
        plain(air),
        len(rows),
        int(rows["serial"].nunique()),
        tuple(rows["years"].astype(float)),
        tuple(rows["share"].astype(float)),
        line,
        tuple(float(fit.ratio_at(year * HOURS_PER_YEAR).value) for year in line),
        tuple(_crossing(fit, loss, oldest) for loss in LOSSES) if told else (),
    )


def _crossing(fit, loss: float, oldest: float) -> Crossing:
    found = fit.age_at(1 - loss)
    ends = [one and one / HOURS_PER_YEAR for one in (found.value, found.low, found.high)]
    return Crossing(loss, *ends, is_beyond=ends[0] is None or ends[0] > oldest)
