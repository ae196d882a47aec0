"""What has happened to one module, and what is in it?"""

from dataclasses import dataclass

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.fitted import parts_in
from maintkit.quarter.history import known_module, module_history
from maintkit.quarter.of_module import rows_of
from maintkit.quarter.quarter import Quarter

PART_COLUMNS = [
    "part_type",
    "kind",
    "ref",
    "weight",
    "fitted_on",
    "age_years",
    "age_known",
    "expected_failures_if_always_on",
]


@dataclass(frozen=True)
class Watched:
    """Faults of a module over its powered years, those its parts predict, and how many times as often it fails, with 90 % limits."""

    faults: int
    powered_years: float
    predicted_faults: float
    value: float
    low: float
    high: float


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

    @property
    def counts(self) -> dict:
        return {"parts": self.parts}


def one_module(quarter: Quarter, serial: str) -> OneModule:
    """The history of a module: its stays, faults and work in order of date, and how it compares with what its parts predict."""
    known = known_module(quarter, serial)
    own = rows_of(quarter, "forecast.modules", known["serial"])
    table = module_history(quarter, known["serial"])
    names = ("module_type", "family", "desk", "position")
    return OneModule(
        serial=known["serial"],
        **{name: known[name] if isinstance(known[name], str) else None for name in names},
        watched=_watched(own.iloc[0]) if len(own) else None,
        table=table,
        counts={
            "faults": int(((table["what"] == "fault") & (table["counted"] == "yes")).sum()),
            "rows": len(table),
        },
        by_slot=quarter.by_slot,
    )


def _watched(row) -> Watched:
    return Watched(
        int(row["faults"]),
        row["years"],
        row["expected"],
        row["frailty"],
        row["frailty_low"],
        row["frailty_high"],
    )


def module_parts(quarter: Quarter, serial: str) -> ModuleParts:
    """The parts now in a module, their ages, and the failures expected of them next quarter."""
    serial = known_module(quarter, serial)["serial"]
    fitted = parts_in(quarter, serial)
    table = fitted.assign(
        age_years=fitted["exit"] / HOURS_PER_YEAR, expected_failures_if_always_on=_expected(quarter, fitted)
    ).sort_values("expected_failures_if_always_on", ascending=False, kind="stable")
    return ModuleParts(
        serial=serial,
        parts=int(table["weight"].sum()),
        expected_failures=float(table["expected_failures_if_always_on"].sum()),
        table=table[PART_COLUMNS].reset_index(drop=True),
    )


def _expected(quarter: Quarter, fitted) -> list[float]:
    """Failures expected of each part were it powered the whole of next quarter."""
    ahead = quarter.days_ahead * 24.0
    hazards = {(hazard.family, hazard.part_type): hazard for hazard in quarter.forecast.hazards}
    ages = fitted["exit"].to_numpy(float)
    return [
        float(
            hazards[row.family, row.part_type].expected(
                fitted.iloc[[place]], ages[[place]], ages[[place]] + ahead
            )[0, 0]
        )
        for place, row in enumerate(fitted.itertuples())
    ]
