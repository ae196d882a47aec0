"""What should lie beside this module on the bench?"""

from dataclasses import dataclass
from datetime import date

import numpy as np

from maintkit.quarter.blanks import Blanks, reading_blanks, repair_blanks
from maintkit.quarter.fitted import parts_in
from maintkit.quarter.kits import as_shown, faults_ahead, kit, likely_parts
from maintkit.quarter.of_module import rows_of, tracks_bridged
from maintkit.quarter.programme import planned_serials
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.recaps import recaps
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.rows import first_record, records, text_of
from maintkit.quarter.supply import SupplyFlag, supply_flags
from maintkit.survival.ageing import corner_shift

MILD, HARD = (0.8, 2.0), (0.7, 3.0)  # capacitance and ESR over the first: customary ends of life, no one rule
TOLERANCE = 0.2  # common practice, no source
SORT = ["part_type", "measure"]
LIMIT_COLUMNS = [
    "part_type", "measure", "unit", "printed", "first_value", "limit_20_percent_2x", "limit_30_percent_3x", "readings_here",
    "last_here",
]  # fmt: skip


@dataclass(frozen=True)
class Standing:
    """Where the slot of the module stands on the list of slots, and why."""

    desk: str
    position: str
    rank: int
    rank_low: int
    rank_high: int
    slots: int
    reason: str


@dataclass(frozen=True)
class Inspection:
    """What was seen when the module was last inspected."""

    on: date
    condition: str
    damaged_tracks: float | None


@dataclass(frozen=True)
class Board:
    """The board of the module, and how many tracks lift in the next re-cap of one re-capped as often, by these records;
    ``bridged`` is None where no track of any board is on record."""

    era: str | None
    recaps: int
    bridged: int | None
    lifting: float
    inspected: Inspection | None


@dataclass(frozen=True)
class Limits:
    """A row a kind of capacitor and measure: print, first value, the two limits, the readings here.

    ``worn_low`` to ``worn_high`` is what a part printed within 20 % reads of its print after losing 30 %; a coupling corner
    rises so many times with 20 and with 30 % lost.
    """

    table: object
    worn_low: float
    worn_high: float
    corner_20: float
    corner_30: float


@dataclass(frozen=True)
class OnTheBench:
    """What is known of one module that is to be worked on, and blanks for what will be found, by record table."""

    serial: str
    last_day: date
    next_quarter: str
    standing: Standing | None
    supply: SupplyFlag | None
    likely: object
    kit: object
    board: Board
    limits: Limits
    blanks: dict[str, Blanks]
    by_slot: bool


def facts(quarter: Quarter, serial: str) -> OnTheBench:
    """The parts likely to have failed with their odds, the kit, the board, the values to measure against, and blanks."""
    likely, own = likely_parts(quarter, serial), rows_of(quarter, "evidence.roster", serial).iloc[0]
    place = own["desk"], own["position"]
    return OnTheBench(
        serial=serial,
        last_day=quarter.last_day,
        next_quarter=quarter.next_label,
        standing=_standings(quarter).get(place),
        supply=next(
            (one for one in supply_flags(quarter) if place[0] == one.desk and place[1] in one.slots), None
        ),
        likely=as_shown(quarter, likely),
        kit=kit(quarter, serial),
        board=_board(quarter, own),
        limits=_limits(quarter, serial),
        blanks={
            "repairs": repair_blanks(quarter, serial, likely),
            "readings": reading_blanks(quarter, serial),
        },
        by_slot=quarter.by_slot,
    )


def for_the_bench(quarter: Quarter, *, slots: int = 5) -> list[str]:
    """Every module the bench plan pulls, in order of day; where it pulls none, the module expected to fail most in each of the
    first slots of the work list."""
    serials = planned_serials(quarter)
    if serials:
        return serials
    place = ["desk", "position"]
    there = quarter.forecast.slots.head(slots)[place].merge(
        quarter.evidence.roster.dropna(subset=place), on=place
    )
    return [
        max(sorted(own), key=lambda serial: faults_ahead(quarter, serial))
        for _, own in there.groupby(place, sort=False)["serial"]
    ]


@once_a_quarter
def _standings(quarter: Quarter) -> dict[tuple[str, str], Standing]:
    """Where every slot of the list stands, by desk and slot."""
    slots = quarter.forecast.slots
    standings = records(Standing, slots.assign(slots=len(slots)))
    return {(one.desk, one.position): one for one in standings}


def _board(quarter: Quarter, own) -> Board:
    import pandas as pd

    cycles = int(own["rework_cycles"])
    seen = rows_of(quarter, "inspections", own["serial"]).astype({"damaged_tracks": float})
    seen = seen[seen["inspected_on"] <= pd.Timestamp(quarter.last_day)].sort_values("inspected_on")
    looked = first_record(Inspection, seen.rename(columns={"inspected_on": "on"}).tail(1))
    return Board(
        text_of(own["board_era"]),
        cycles,
        tracks_bridged(quarter, own),
        recaps(quarter).wear.tracks_a_cycle * cycles,
        looked,
    )


def _limits(quarter: Quarter, serial: str) -> Limits:
    held = parts_in(quarter, serial)["part_type"].unique()
    table, readings, rows = _limits_by_part(quarter)
    table = table[table["part_type"].isin(held)].reset_index(drop=True)
    here = readings.iloc[rows.get(serial, [])]
    latest = here[here["measured_on"] == here.groupby(SORT)["measured_on"].transform("max")]
    number, last = here.groupby(SORT).size(), latest.groupby(SORT)["value"].median()
    table = table.set_index(SORT).assign(readings_here=number, last_here=last).reset_index()
    table["readings_here"] = table["readings_here"].fillna(0).astype(int)
    low, high = ((1 + sign * TOLERANCE) * HARD[0] for sign in (-1, 1))
    return Limits(table[LIMIT_COLUMNS], low, high, corner_shift(MILD[0]), corner_shift(HARD[0]))


@once_a_quarter
def _limits_by_part(quarter: Quarter):
    """Print, first value and the two limits by kind of part and measure; the readings in the unit they are told in; rows by module."""
    import pandas as pd

    readings = quarter.table("readings")
    readings = readings[
        (readings["measured_on"] <= pd.Timestamp(quarter.last_day))
        & readings["measure"].isin(["capacitance", "esr"])
    ]
    units = readings.groupby(SORT)["unit"].agg(lambda own: own.mode().iloc[0]).rename("told_in").reset_index()
    readings = readings.merge(units, on=SORT)
    readings = readings[readings["unit"] == readings["told_in"]]
    table = readings.groupby(SORT, as_index=False).agg(
        unit=("unit", "first"), printed=("nominal", "median"), first_value=("baseline", "median")
    )
    base = table["first_value"].fillna(table["printed"])
    falls = table["measure"] == "capacitance"
    table["limit_20_percent_2x"] = base * np.where(falls, *MILD)
    table["limit_30_percent_3x"] = base * np.where(falls, *HARD)
    return table, readings, readings.groupby("serial").indices
