"""What was planted in the demo, for tests to ask back; every value is imported from the generator."""

import csv
from pathlib import Path

from data_demo.make import dirt, scenario
from data_demo.make.files import WORKBOOK

DATA_DEMO = Path(__file__).resolve().parents[2] / "data_demo"
WORKBOOK_PATH = DATA_DEMO / WORKBOOK

SHAPES = {part.name: part.shape for part in scenario.PARTS}
SCALES_YEARS = {part.name: part.scale_years for part in scenario.PARTS}
WEARING = tuple(part.name for part in scenario.PARTS if part.kind == "electrolytic")
MILDLY_WEARING = tuple(part.name for part in scenario.PARTS if part.kind in ("pot", "fader"))
NOT_WEARING = tuple(part.name for part in scenario.PARTS if part.shape == 1)
HOT_DESK, HOT_ZONE, ZONE_FACTOR = scenario.HOT_DESK, "middle", scenario.ZONE_FACTOR
SWITCH_ERA, SWITCH_ERA_FACTOR = scenario.SWITCH_ERA, scenario.SWITCH_ERA_FACTOR
ROVERS, ROVER_SYMPTOM = scenario.ROVERS, scenario.ROVER_SYMPTOM
BAD_SLOT, BAD_SLOT_SYMPTOM, BAD_SLOT_DAYS = (
    scenario.BAD_SLOT,
    scenario.BAD_SLOT_SYMPTOM,
    scenario.BAD_SLOT_DAYS,
)
SCARCE_PART, SCARCE_ON_HAND = scenario.SCARCE_PART, scenario.SCARCE_ON_HAND
CAMPAIGNS = scenario.CAMPAIGNS
RECORDS_FROM, RECORD_END = scenario.RECORDS_FROM, scenario.RECORD_END

# Contradictions that must be kept and listed: what they are, and how many rows show each.
KEPT_CONTRADICTIONS = {
    "two modules of one type in a slot at once": 1,
    "work done before its ticket was raised": 1,
    "a ticket closed or restored before it was raised": 1,
    "more parts replaced at once than the module holds": 1,
    "a scrapped module that came back": 1,
    "a serial that is not in modules": 1,
    "a ticket older than its desk's complete records": 1,
    "a reading whose unit, print or value looks mistyped": 2,
}


def read_table(name: str, folder: Path = DATA_DEMO) -> list[dict[str, str]]:
    """The rows of one table as they stand in its CSV file."""
    with (folder / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def turned_away(folder: Path = DATA_DEMO) -> list[tuple[str, int, str, str]]:
    """(file, row as seen in a spreadsheet, column, cell) of every row an intake must turn away, no more and no fewer.

    Where a key stands twice, the second row is the one to turn away.
    """
    places = []
    for bad in dirt.BAD_ROWS:
        wanted = {**bad.key, bad.column: bad.found}
        rows = [
            number
            for number, row in enumerate(read_table(bad.table, folder), start=2)
            if all(row[name] == value for name, value in wanted.items())
        ]
        places.append((f"{bad.table}.csv", rows[-1], bad.column, bad.found))
    return sorted(places)
