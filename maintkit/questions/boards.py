"""Do the boards suffer from being re-worked?"""

from maintkit.actions import ACTIONS
from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import several
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding
from maintkit.survival.rate_trend import rate_ratio_a_step
from maintkit.survival.rates import rate

SIGNIFICANCE = 0.05
SOLDERING = tuple(action.name for action in ACTIONS if action.may_lift_tracks)
COLUMNS = ["rework_cycles", "bridged", "soldering_works", "modules", "bridged_per_100_works", "low", "high"]


def board_damage(quarter: Quarter) -> Finding:
    """Tracks bridged for each piece of soldering work, by how often the board had been re-capped before it."""
    cells = _cells(quarter)
    table = _by_cycles(cells)
    title = _title(
        table, rate_ratio_a_step(cells["bridged"], cells["works"], cells["rework_cycles"], cells["serial"])
    )
    drawn = table.assign(
        label=[several(cycles, "re-cap") + " before" for cycles in table["rework_cycles"]],
        value=table["bridged_per_100_works"],
        failures=table["bridged"],
    )
    return Finding(
        key="board-damage",
        title=title,
        table=table,
        figure=interval_figure(
            drawn[["label", "value", "low", "high", "failures"]],
            title=title,
            axis="tracks bridged for 100 pieces of soldering work",
        )
        if len(table)
        else None,
        caveats=(
            "Every re-cap heats each pad twice, out and in; a bridged track stays with the board for life.",
            "Boards re-capped more often are also older, so age and re-work are not fully told apart here.",
            "Only families whose boards have been re-capped stand in the comparison.",
        ),
        counts={
            "bridged_tracks": int(table["bridged"].sum()),
            "soldering_works": int(table["soldering_works"].sum()),
        },
        alt="Bridged tracks for 100 pieces of soldering work by number of re-caps, with 90 % limits.",
    )


def _cells(quarter: Quarter):
    """Soldering works and bridged tracks of each module at each number of re-caps, of families that are re-capped."""
    work = quarter.evidence.work
    start = quarter.evidence.stays["from_on"].min()
    work = work[work["serial"].notna() & (work["done_on"] >= start)]
    capped = work.groupby("family")["rework_cycles"].transform("max") > 0
    work = work[capped].assign(
        bridged=work["quantity"].where(work["action"] == "bridge track", 0),
        works=work["action"].isin(SOLDERING).astype(int),
    )
    return work.groupby(["rework_cycles", "serial"], sort=True)[["bridged", "works"]].sum().reset_index()


def _by_cycles(cells):
    import pandas as pd

    rows = []
    for cycles, of_cycles in cells.groupby("rework_cycles", sort=True):
        works = int(of_cycles["works"].sum())
        if works:
            found = rate(int(of_cycles["bridged"].sum()), works)
            rows.append(
                (
                    int(cycles),
                    int(found.failures),
                    works,
                    len(of_cycles),
                    100 * found.value,
                    100 * found.low,
                    100 * found.high,
                )
            )
    return pd.DataFrame(rows, columns=COLUMNS)


def _title(table, trend) -> str:
    bridged, works = int(table["bridged"].sum()), table["soldering_works"].sum()
    if trend.ratio is None:
        return (
            f"{several(bridged, 'bridged track')} on record: too few, or too alike in re-caps, to say whether re-work wears the "
            "boards. Recording every bridged track with its serial would let it."
        )
    seen = f"{several(bridged, 'bridged track')} in {several(works, 'piece of soldering work', 'pieces of soldering work')}"
    limits = f"{trend.ratio:.1f} times as often with each re-cap before it ({trend.low:.1f} to {trend.high:.1f}; {seen})"
    if trend.p >= SIGNIFICANCE:
        return f"No difference shown between boards re-capped often and seldom: tracks lift {limits}."
    return f"Tracks lift {'more' if trend.ratio > 1 else 'less'} on boards re-capped more often: {limits}."
