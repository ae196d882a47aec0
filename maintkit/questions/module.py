"""What has happened to one module, and what is in it?"""

from dataclasses import dataclass

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.fitted import parts_in
from maintkit.quarter.history import known_module, module_history
from maintkit.quarter.of_module import rows_of
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted, first_record, text_of

EXPECTED = "expected_failures_if_always_on"
PART_COLUMNS = ["part_type", "kind", "ref", "weight", "fitted_on", "age_years", "age_known", EXPECTED]


@dataclass(frozen=True)
class Watched:
    """Faults of a module over its powered years, those its parts predict, and how many times as often it fails, with 90 % limits."""

    faults: int
    powered_years: float
    predicted_faults: float
    value: float
    low: float
    high: float


WATCHED = {
    "years": "powered_years",
    "expected": "predicted_faults",
    "frailty": "value",
    "frailty_low": "low",
    "frailty_high": "high",
}  # what the forecast calls them


@dataclass(frozen=True)
class OneModule:
    """A module, where it is, its history, and how it compares with what its parts predict; None for what is not recorded.

    ``watched`` is None where it was never watched in a slot since the records began. ``by_slot`` where only today's slot is
    known of it: all counts are then the slot's.
    """

    serial: str
    module_type: str | None
    family: str | None
    desk: str | None
    position: str | None
    watched: Watched | None
    table: object
    counts: dict
    by_slot: bool = False


@dataclass(frozen=True)
class ModuleParts:
    """The parts in a module, and the failures expected of them over a quarter of power."""

    serial: str
    parts: int
    expected_failures: float
    table: object

    counts = counted("parts")


def one_module(quarter: Quarter, serial: str) -> OneModule:
    """The history of a module: its stays, faults and work in order of date, and how it compares with what its parts predict."""
    known = known_module(quarter, serial)
    own = rows_of(quarter, "forecast.modules", known["serial"]).rename(columns=WATCHED)
    table = module_history(quarter, known["serial"])
    names = ("module_type", "family", "desk", "position")
    return OneModule(
        serial=known["serial"],
        **{name: text_of(known[name]) for name in names},
        watched=first_record(Watched, own),
        table=table,
        counts={
            "faults": int(((table["what"] == "fault") & (table["counted"] == "yes")).sum()),
            "rows": len(table),
        },
        by_slot=quarter.by_slot,
    )


def module_parts(quarter: Quarter, serial: str) -> ModuleParts:
    """The parts now in a module, their ages, and the failures expected of them next quarter."""
    serial = known_module(quarter, serial)["serial"]
    fitted = parts_in(quarter, serial)
    ages = {"age_years": fitted["exit"] / HOURS_PER_YEAR, EXPECTED: _expected(quarter, fitted)}
    table = fitted.assign(**ages).sort_values(EXPECTED, ascending=False, kind="stable")
    return ModuleParts(
        serial=serial,
        parts=int(table["weight"].sum()),
        expected_failures=float(table[EXPECTED].sum()),
        table=table[PART_COLUMNS].reset_index(drop=True),
    )


def _expected(quarter: Quarter, fitted) -> list[float]:
    """Failures expected of each part were it powered the whole of next quarter."""
    ahead = quarter.days_ahead * 24.0
    hazards = {(hazard.family, hazard.part_type): hazard for hazard in quarter.forecast.hazards}
    ages = fitted["exit"].to_numpy(float)
    of = (hazards[row.family, row.part_type] for row in fitted.itertuples())
    places = ([place] for place in range(len(fitted)))
    return [
        float(hazard.expected(fitted.iloc[place], ages[place], ages[place] + ahead)[0, 0])
        for hazard, place in zip(of, places, strict=True)
    ]
