"""Which bays run hot, how much hotter than the rest of their desk, and how much more their electrolytics fail?"""

from dataclasses import dataclass

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted
from maintkit.survival.rates import rate

HOTTER_C = 5.0  # above the coolest bay of its desk; nearer together is no hot bay
FEWEST = 5
RATE = "faults_a_module_year"


@dataclass(frozen=True)
class Bay:
    """A bay: mean air, degrees above the coolest bay of its desk, failures of electrolytics, and how many a powered module-year
    there were with limits (None with fewer than five)."""

    name: str
    desk: str
    air_c: float
    hotter_c: float
    failures: int
    module_years: float
    value: float | None
    low: float | None
    high: float | None


@dataclass(frozen=True)
class HotBays:
    """The bays at least 5 °C above the coolest of their desk, hottest first; ``bays`` counts those whose air is on record.

    ``desk`` is that of the hottest; ``rest`` its other bays together. ``has_air`` is false where no air was ever measured.
    """

    has_air: bool
    bays: int
    limit_c: float
    hot: tuple[Bay, ...]
    desk: str
    rest: Bay | None
    table: object

    @property
    def names(self) -> tuple[str, ...]:
        """The hot bays of the desk of the hottest."""
        return tuple(sorted(one.name for one in self.hot if one.desk == self.desk))

    @property
    def hot_here(self) -> int:
        return len(self.names)

    counts = counted("bays")


def facts(quarter: Quarter) -> HotBays:
    """The hot bays of the desks in service, with what fails there beside the other bays of the desk."""
    import pandas as pd

    places = quarter.table("positions")
    places = places[
        places["desk"].isin(quarter.slots["desk"]) & places["bay"].notna() & places["air_c"].notna()
    ]
    if not len(places):
        return HotBays(False, 0, HOTTER_C, (), "", None, None)
    air = places.groupby(["desk", "bay"])["air_c"].mean().rename("air_c").reset_index()
    air["hotter_c"] = air["air_c"] - air.groupby("desk")["air_c"].transform("min")
    evidence = quarter.evidence
    years = evidence.stays.groupby(["desk", "bay"])["exposure_hours"].sum() / HOURS_PER_YEAR
    faults = evidence.faults
    failed = faults[faults["counts"].astype(bool) & (faults["kind"] == "electrolytic")]
    count = failed.groupby(["desk", "bay"]).size().rename("failures")
    air = air.join(count, on=["desk", "bay"]).join(years.rename("years"), on=["desk", "bay"])
    air = air.fillna({"failures": 0, "years": 0.0})[["bay", "desk", "air_c", "hotter_c", "failures", "years"]]
    bays = [_bay(*row) for row in air.itertuples(index=False)]
    hot = tuple(sorted((one for one in bays if one.hotter_c >= HOTTER_C), key=lambda one: -one.hotter_c))
    desk = hot[0].desk if hot else ""
    cool = [one for one in bays if one.desk == desk and one not in hot]
    summed = ("air_c", "failures", "module_years")
    air_c, number, years = (sum(getattr(one, name) for one in cool) for name in summed)
    rest = _bay("other bays", desk, air_c / len(cool), 0.0, number, years) if cool else None
    names = {"name": "bay", "value": RATE, "low": f"{RATE}_low", "high": f"{RATE}_high"}
    table = pd.DataFrame(map(vars, bays)).rename(columns=names)
    return HotBays(True, len(bays), HOTTER_C, hot, desk, rest, table)


def _bay(name, desk, air_c, hotter_c, failures, years) -> Bay:
    found = rate(int(failures), float(years)) if failures >= FEWEST and years > 0 else None
    limits = (found.value, found.low, found.high) if found else (None, None, None)
    return Bay(name, desk, air_c, hotter_c, int(failures), float(years), *limits)
