"""Of one module: the parts likely to have failed with their odds, the kit, the board, and the values to measure against."""

from maintkit.quarter.fitted import parts_in
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.recaps import recaps
from maintkit.survival.ageing import corner_shift

CRITERIA = (
    (0.8, 2.0),
    (0.7, 3.0),
)  # capacitance and ESR over the first value: two customary ends of life, no one rule
TOLERANCE = 0.2  # common practice, no source


def board_state(quarter: Quarter, serial: str) -> tuple[str, ...]:
    """Sentences on the board: era, re-caps, bridges, last inspection, re-caps left."""
    import pandas as pd

    own = quarter.evidence.roster.set_index("serial").loc[serial]
    cycles, bridged = int(own["rework_cycles"]), int(own["bridged_tracks"])
    era = f"Board era {own['board_era']}. " if isinstance(own["board_era"], str) else ""
    seen = quarter.table("inspections").astype({"damaged_tracks": float})
    seen = seen[
        (seen["serial"] == serial) & (seen["inspected_on"] <= pd.Timestamp(quarter.last_day))
    ].sort_values("inspected_on")
    looked = [
        f"Inspected {row.inspected_on:%Y-%m-%d}: {row.condition}"
        + (f", {row.damaged_tracks:.0f} damaged tracks." if row.damaged_tracks == row.damaged_tracks else ".")
        for row in seen.tail(1).itertuples()
    ]
    return (
        f"{era}Re-capped {cycles} times, {bridged} tracks bridged.",
        f"On boards re-capped as often {recaps(quarter).wear.tracks_a_cycle * cycles:.2f} tracks lift in the next re-cap, by these "
        "records; every one heats each pad twice.",
        *(looked or ("Never inspected on record.",)),
    )


def limits(quarter: Quarter, serial: str):
    """A row per kind of capacitor and measure in the module: printed and first value, the two limits, its own last readings."""
    import pandas as pd

    readings = quarter.table("readings")
    readings = readings[
        (readings["measured_on"] <= pd.Timestamp(quarter.last_day))
        & readings["measure"].isin(["capacitance", "esr"])
    ]
    held = parts_in(quarter, serial)["part_type"].unique()
    rows = [
        _limit_row(part, measure, own, serial)
        for (part, measure), own in readings[readings["part_type"].isin(held)].groupby(
            ["part_type", "measure"], sort=True
        )
    ]
    columns = [
        "part_type",
        "measure",
        "unit",
        "printed",
        "first_value",
        "limit_20_percent_2x",
        "limit_30_percent_3x",
        "readings_here",
        "last_here",
    ]
    low, high = (1 - TOLERANCE) * CRITERIA[1][0], (1 + TOLERANCE) * CRITERIA[1][0]
    return pd.DataFrame(rows, columns=columns), (
        "Limits are over the first value of such parts, or the print where none is known: capacitance down 20 or 30 %, ESR up 2 or 3 times: the house says which it goes by.",
        f"Where no first value is known, a part printed within 20 % reads {low:.2f} to {high:.2f} of its print after losing 30 %.",
        f"A coupling corner rises {corner_shift(0.8):.2f} times with 20 % lost and {corner_shift(0.7):.2f} times with 30 %.",
    )


def _limit_row(part: str, measure: str, own, serial: str) -> dict:
    unit = own["unit"].mode().iloc[0]
    own = own[own["unit"] == unit]
    known, printed = own["baseline"].dropna(), float(own["nominal"].median())
    first = float(known.median()) if len(known) else None
    base = printed if first is None else first
    mild, hard = (criterion[0 if measure == "capacitance" else 1] for criterion in CRITERIA)
    here = own[own["serial"] == serial].sort_values("measured_on", kind="stable")
    last = here[here["measured_on"] == here["measured_on"].max()]["value"].median() if len(here) else None
    return {
        "part_type": part,
        "measure": measure,
        "unit": unit,
        "printed": printed,
        "first_value": first,
        "limit_20_percent_2x": mild * base,
        "limit_30_percent_3x": hard * base,
        "readings_here": len(here),
        "last_here": last,
    }
