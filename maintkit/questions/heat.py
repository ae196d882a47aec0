"""Is it the heat: what would cooler air, or switching off at night, do to faults and re-cap intervals?"""

from dataclasses import dataclass
from typing import Literal

from maintkit.decide.heat import cooler, energy_of, fewer_hours
from maintkit.hours import HOURS_PER_WEEK
from maintkit.quarter.arguments import number
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.recaps import modules_with_costs
from maintkit.quarter.rows import record, records
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT
from maintkit.survival.results import Limited
from maintkit.survival.temperature import COOLEST_C

COOLER_C = -5.0
NIGHTS_OFF_HOURS = 84.0  # half the week
MOST_CHANGE_C = 30.0  # beyond that no part is what it was
LEAST_HOURS = 1.0
HOURS_COLUMNS = [
    "desk", "hours_now", "hours_then", "faults_now", "faults_now_low", "faults_now_high", "faults_then", "faults_then_low",
    "faults_then_high", "recap_calendar_times",
]  # fmt: skip


@dataclass(frozen=True)
class FamilyEnergy:
    """Activation energy of the electrolytics of a family by these records, eV, and the failures it rests on."""

    family: str
    energy_ev: Limited
    failures: float


@dataclass(frozen=True)
class Temperature:
    """What these records tell of a temperature law: families of which they can, those of which they cannot, and why not."""

    told: tuple[FamilyEnergy, ...]
    silent: tuple[str, ...]
    why_not: str | None


@dataclass(frozen=True)
class InOtherAir:
    """The desk with most faults a year, as it is and in the other air; intervals of re-caps in powered years."""

    desk: str
    faults_now: float
    faults_then: Limited
    faults_by_rule: float
    interval_times: Limited
    shortest_now: float | None
    shortest_then: float | None


@dataclass(frozen=True)
class CoolerAir:
    """What air warmer or cooler by so many degrees would do.

    Attributes
    ----------
    verdict : str
        Why nothing can be said, or by what it is: the makers' law (which may change nothing), or these records.
    seen, fewest : int
        Faults on record, and how many a verdict takes.
    change_c : float
    degrees, is_cooler
        The size of the change and its sense.
    coolest_c : float
        Below it the makers' law counts air as that warm.
    first : InOtherAir or None
    law : Temperature or None
        None where there is no slot or no air on record.
    table, by_part : DataFrame or None
        A row a desk; a row a kind of electrolytic.
    """

    verdict: Literal[
        "no slot", "no air", "no electrolytic", "too few", "as warm", "no change", "by law", "by records"
    ]
    seen: int
    fewest: int
    change_c: float
    coolest_c: float
    first: InOtherAir | None
    law: Temperature | None
    table: object
    by_part: object
    counts: dict

    @property
    def degrees(self) -> float:
        return abs(self.change_c)

    @property
    def is_cooler(self) -> bool:
        return self.change_c < 0


@dataclass(frozen=True)
class FewerHours:
    """Faults a year of a desk as it is powered and as it would be."""

    desk: str
    faults_now: float
    faults_then: Limited


@dataclass(frozen=True)
class OffAtNight:
    """What powering desks fewer hours a week would do, desk by desk; ``changed`` desks changed their hours on record. ``assumed`` are the
    hours a week that every desk is taken to be powered, None where any are written down."""

    verdict: Literal["no slot", "nothing to switch off", "too few", "no module", "told"]
    hours: float
    seen: int
    fewest: int
    desks: tuple[FewerHours, ...]
    changed: int
    table: object
    counts: dict
    assumed: float | None = None


def cooler_air(quarter: Quarter, *, change_c: float = COOLER_C) -> CoolerAir:
    """What air warmer or cooler by so many degrees would do to faults a year and the re-cap interval, desk by desk."""
    number("change_c", change_c, low=-MOST_CHANGE_C, high=MOST_CHANGE_C, unit="°C")
    spells, slots, seen = quarter.evidence.part_spells, quarter.slots, int(quarter.forecast.failures)
    about = (seen, FEWEST_FOR_A_VERDICT, change_c, COOLEST_C)
    if not len(slots) or not spells["air_c"].notna().any():
        return CoolerAir("no air" if len(slots) else "no slot", *about, None, None, None, None, {})
    energy = energy_of(spells)
    table = cooler(quarter.evidence, quarter.forecast, slots, energy, change_c=change_c)
    table = table.merge(_shortest(quarter), on="desk", how="left")
    table["shortest_interval_then"] = table["shortest_interval_years"] * table["interval_times"]
    first = table.loc[table["faults_now"].idxmax()] if len(table) else None
    names = {"shortest_interval_years": "shortest_now", "shortest_interval_then": "shortest_then"}
    by_part = energy.by_part
    return CoolerAir(
        _verdict(first, seen, change_c),
        *about,
        first=None if first is None else record(InOtherAir, first.rename(names)),
        law=_law(energy),
        table=table,
        by_part=by_part,
        counts={"failures": int(by_part["failures"].sum()), "part_types": len(by_part)},
    )


def _verdict(first, seen: int, change_c: float) -> str:
    if first is None:
        return "no electrolytic"
    if seen < FEWEST_FOR_A_VERDICT:
        return "too few"
    if change_c == 0:
        return "as warm"
    if first["faults_then"] == first["faults_then"]:
        return "by records"
    unmoved = first["in_range"] == 0 and first["faults_by_rule"] == first["faults_now"]
    return "no change" if unmoved else "by law"


def _law(energy) -> Temperature:
    notes = (found.note for found in energy.of_family.values())
    return Temperature(
        tuple(FamilyEnergy(family, found, found.failures) for family, found in sorted(energy.told.items())),
        tuple(sorted(set(energy.of_family) - set(energy.told))),
        None if energy.told else next(notes, None),
    )


def _shortest(quarter: Quarter):
    """The shortest re-cap interval of least cost among the boards of each desk, powered years."""
    by_desk = modules_with_costs(quarter).groupby("desk", observed=True)["interval_years"]
    return by_desk.min().rename("shortest_interval_years").reset_index()


def off_at_night(quarter: Quarter, *, hours_a_week: float = NIGHTS_OFF_HOURS) -> OffAtNight:
    """What powering desks fewer hours a week would do to faults a year, and what the records cannot know of it."""
    number("hours_a_week", hours_a_week, low=LEAST_HOURS, high=HOURS_PER_WEEK, unit="h")
    forecast, seen = quarter.forecast, int(quarter.forecast.failures)
    about = (hours_a_week, seen, FEWEST_FOR_A_VERDICT)
    if not len(quarter.slots):
        return OffAtNight("no slot", *about, (), 0, None, {})
    hours = {"hours_a_week": hours_a_week, "quarter_hours": quarter.days_ahead * 24.0}
    table = fewer_hours(quarter.evidence, forecast, quarter.slots, **hours)
    table = _with_limits(table, forecast.count_limits)
    told = table[table["faults_now"] > 0]
    verdict = "too few" if seen < FEWEST_FOR_A_VERDICT else "told" if len(told) else "no module"
    return OffAtNight(
        verdict if len(table) else "nothing to switch off",
        *about,
        desks=records(FewerHours, told),
        changed=quarter.table("power")["desk"].nunique(),
        table=table if len(table) else None,
        counts={"faults": forecast.failures},
        assumed=None if _hours_written(quarter) else HOURS_PER_WEEK,
    )


def _hours_written(quarter: Quarter) -> bool:
    """Whether any file says how many hours a week a desk is powered."""
    read = quarter.table("load_columns").query("column_name == 'powered_hours_per_week' and cells > blank")
    return bool(len(read) or len(quarter.table("power")))


def _with_limits(table, limits):
    """Faults a year now and then with the limits of the forecast, then in proportion."""
    limits = limits[["desk", "expected_faults_low", "expected_faults_high"]]
    table = table.merge(limits, on="desk", how="left")
    ratio = table["faults_then"] / table["faults_now"]
    for side in ("low", "high"):
        table[f"faults_now_{side}"] = 4 * table.pop(f"expected_faults_{side}")
        table[f"faults_then_{side}"] = table[f"faults_now_{side}"] * ratio
    return table[HOURS_COLUMNS]
