"""Rows of repairs and readings made ready for one module, that load once they are filled in."""

from dataclasses import dataclass

from maintkit.quarter.fitted import NO_PART, parts_in
from maintkit.quarter.of_module import rows_of
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.records.tables import TABLE

LIKELIEST = 3  # kinds of part that get a row of their own
REFS = 3  # places on the board, measured before, that get a row again
TEST_HZ = 100
FOUND = ("quantity", "finding", "cause", "as_found")
REPAIRS_ON_PAPER = ("repair", "done_on", "action", "part_type", "ref", *FOUND, "bench_minutes", "planned")
MEASURED = ("measure", "nominal", "value", "unit", "frequency_hz", "air_c", "in_circuit")
READINGS_ON_PAPER = ("part_type", "ref", "measured_on", *MEASURED)


@dataclass(frozen=True)
class Blanks:
    """A sheet to fill in: its table's rows with what is known, the columns worth a blank on paper, the words some may hold.

    ``rows`` has every column of the record table, in its order; ``on_paper`` names those shown on the card; ``choices`` gives the
    words of closed columns; ``dates`` names the columns that hold a day.
    """

    rows: object
    on_paper: tuple[str, ...]
    choices: dict[str, tuple[str, ...]]
    dates: tuple[str, ...]


def repair_blanks(quarter: Quarter, serial: str, likely) -> Blanks:
    """A row for each of the likeliest kinds of part, one for a re-cap where there are electrolytics, one for cleaning."""
    parts = likely[likely["part_type"] != NO_PART]
    deeds = [("replace", part) for part in parts["part_type"].head(LIKELIEST)]
    deeds += [("re-cap", None)] if (parts["kind"] == "electrolytic").any() else []
    deeds += [("clean", None), ("bridge track", None)]
    key, every = f"{quarter.next_label}-{serial}", {"serial": serial, "planned": "yes"}
    rows = [
        {"repair": f"{key}-{number}", "action": action, "part_type": part, **every}
        for number, (action, part) in enumerate(deeds, start=1)
    ]
    return _blanks("repairs", rows, REPAIRS_ON_PAPER)


def reading_blanks(quarter: Quarter, serial: str) -> Blanks:
    """Rows for the places last measured on this module, or for its kinds of electrolytic; capacitance and ESR of each."""
    readings = rows_of(quarter, "readings", serial)
    own = readings[readings["ref"].notna()].sort_values("measured_on", kind="stable")
    places = own[["part_type", "ref"]].drop_duplicates(keep="last").tail(REFS)
    places = list(places.itertuples(index=False, name=None))
    fitted = parts_in(quarter, serial)
    fitted = fitted[fitted["kind"] == "electrolytic"]
    measured = {part for part, _ in places}
    places += [(part, None) for part in sorted(fitted["part_type"].unique()) if part not in measured]
    every, prints = {"serial": serial, "frequency_hz": TEST_HZ, "in_circuit": "no"}, _prints(quarter)
    rows = [
        {"part_type": part, "ref": ref, "measure": measure, **every, **prints.get((part, measure), {})}
        for part, ref in places
        for measure in ("capacitance", "esr")
    ]
    return _blanks("readings", rows, READINGS_ON_PAPER)


@once_a_quarter
def _prints(quarter: Quarter) -> dict:
    """Print and unit most often written down, by kind of part and measure."""
    readings = quarter.table("readings")
    return {
        of: {column: one for column in ("nominal", "unit") for one in own[column].mode().head(1)}
        for of, own in readings.groupby(["part_type", "measure"])
    }


def _blanks(name: str, rows: list[dict], on_paper: tuple[str, ...]) -> Blanks:
    import pandas as pd

    columns = TABLE[name].columns
    frame = pd.DataFrame(rows, columns=[column.name for column in columns], dtype=object)
    return Blanks(
        frame.where(frame.notna(), None),
        on_paper,
        {column.name: column.choices for column in columns if column.choices},
        tuple(column.name for column in columns if column.kind == "date"),
    )
