"""How well the kit does in each world, measured from records in to tables out, a facility at a time.

    python tests/calibration/measure.py --world "use doubles" --facilities 100 --results results.csv

Rows are appended to the results file after each facility, and facilities already in it are left out, so that a run may be stopped
and taken up again. ``--first`` begins at a later facility; ``--only comparisons recaps`` takes some measures alone, into a
results file of their own. ``tests/calibration/table.py`` makes the page of one or more such files.
"""

import argparse
import csv
import os
import sys
from pathlib import Path
from time import perf_counter

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices are slower on two threads than on one

import numpy as np  # noqa: E402

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.calibration import truth
from tests.calibration.book import quarter_of_facility
from tests.calibration.plant import DESKS, FAMILIES, PARTS, TYPES
from tests.calibration.simulator import Facility, draw_facility
from tests.calibration.worlds import WORLDS

LISTED = 12  # first slots of the list
COLUMNS = ("world", "facility", "measure", "got", "tried", "refused")
HOUSE, HOT = "house", "middle"


def measure(world: str, number: int, only: tuple[str, ...] | None = None) -> dict:
    """One facility's outcomes: name -> (got, tried, refused); a mean is the sum of what was got over what was tried.

    ``only`` names some of ``MEASURES``; all are taken when it is left out.
    """
    started = perf_counter()
    facility = draw_facility(world, number)
    quarter = quarter_of_facility(facility)
    found = {}
    for name in only or MEASURES:
        found |= MEASURES[name](facility, quarter)
    quarter.records.close()
    return found | {"seconds": (perf_counter() - started, 1, 0)}


def forecasts(facility: Facility, quarter) -> dict:
    """The list, the slots and the desks of the coming quarter."""
    forecast = quarter.forecast
    return {
        **capture(facility, forecast.slots),
        **slots(facility, forecast.slots),
        **desks(facility, forecast),
    }


def capture(facility: Facility, listed) -> dict:
    """True expected minutes of the first slots of the list, over those of the best slots, and over the planner's."""
    known = facility.slots()
    minutes = known.set_index(["desk", "position"])["minutes"]
    first = listed.sort_values("rank").head(LISTED)
    ours = minutes.loc[list(zip(first["desk"], first["position"], strict=True))].sum()
    planner = known.sort_values("planner_minutes", ascending=False).head(LISTED)["minutes"].sum()
    best = known["minutes"].nlargest(LISTED).sum()
    return {
        "capture": (ours / best, 1, 0),
        "capture of the planner": (planner / best, 1, 0),
        "capture over the planner's": (ours / planner, 1, 0),
    }


def slots(facility: Facility, listed) -> dict:
    """How many slots have their true expected faults within the limits."""
    both = listed.merge(facility.slots(), on=["desk", "position"])
    is_first = both["desk"] == DESKS[0]
    within = between(both, "expected_faults_low", "expected", "expected_faults_high")
    return {
        "expected faults, slot": (int(within.sum()), len(both), 0),
        "expected faults, slot of the first desk": (int(within[is_first].sum()), int(is_first.sum()), 0),
    }


def desks(facility: Facility, forecast) -> dict:
    """Expected faults and counts of desks and house: within their limits, and forecast over truth."""
    known = facility.slots().groupby("desk")[["expected", "coming"]].sum()
    known.loc[HOUSE] = known.sum()
    out = {}
    for row in _limits(forecast, known).itertuples():
        name = HOUSE if row.desk == HOUSE else "first desk" if row.desk == DESKS[0] else "other desks"
        expected = row.expected_faults_low <= row.expected <= row.expected_faults_high
        counted = row.faults_low <= row.coming <= row.faults_high
        for measured, got in (
            (f"expected faults, {name}", expected),
            (f"count of faults, {name}", counted),
            (f"forecast over truth, {name}", row.expected_faults / row.expected),
        ):
            before = out.get(measured, (0, 0, 0))
            out[measured] = (before[0] + float(got), before[1] + 1, 0)
    return out


def _limits(forecast, known):
    """A row a desk and, where the forecast has one, the house: its limits beside what is true and what came."""
    limits = forecast.count_limits
    if "scope" in limits:
        limits = limits.assign(desk=limits["desk"].where(limits["scope"] == "desk", HOUSE))
    return limits.merge(known, left_on="desk", right_index=True)


def between(frame, low: str, value: str, high: str):
    """Whether each row has the value within the limits."""
    return (frame[low] <= frame[value]) & (frame[value] <= frame[high])


def lives(facility: Facility, quarter) -> dict:
    """Shape and B10 of each part type within its limits; those held singly are counted apart."""
    from maintkit.quarter.lives import life_table

    table = life_table(quarter, groups=("family",)).set_index("part_type")
    out = {}
    for part in PARTS:
        of = "one part a module" if max(part.quantity) == 1 else "electrolytics" if part.hot else "others"
        for measured, told, value in (
            ("shape", facility.world.lives == "weibull", part.shape),
            ("B10", True, truth.population_b10(facility, part)),
        ):
            if told:
                name = f"{measured}, {of}"
                outcome = held(table, part.name, measured.lower(), value)
                out[name] = tuple(np.add(out.get(name, (0, 0, 0)), outcome))
    return out


def held(table, part: str, name: str, value: float) -> tuple:
    """Whether the limits hold the value; nothing said is a refusal."""
    if part not in table.index or table.loc[part, name] is None or np.isnan(float(table.loc[part, name])):
        return 0, 0, 1
    low, high = (table.loc[part, f"{name}_{side}"] for side in ("low", "high"))
    low, high = (
        open_ if side is None or side != side else side for side, open_ in ((low, -np.inf), (high, np.inf))
    )
    return int(low <= value <= high), 1, 0


def comparisons(facility: Facility, quarter) -> dict:
    """Rate ratios of parts at equal age within their limits, and whether any verdict of ``rates.csv`` is false."""
    from maintkit.questions.group_differences import comparison_table

    table = comparison_table(quarter)
    aged = table[table["what"].str.contains("at equal age") & table["ratio"].notna()]
    known = np.array([truth.true_ratio(row) for row in aged.itertuples()], float)
    low, high = aged["low"].astype(float).fillna(0.0), aged["high"].astype(float).fillna(np.inf)
    false = [row for row in table.itertuples() if truth.is_false(facility, row)]
    differ = aged[np.abs(np.log(known)) > 1e-9]
    return {
        "rate ratio at equal age": (int(((low <= known) & (known <= high)).sum()), len(aged), 0),
        "a false verdict": (int(bool(false)), 1, 0),
        "true differences told": (int(differ["verdict"].isin(["higher", "lower"]).sum()), len(differ), 0),
    }


def recaps(facility: Facility, quarter) -> dict:
    """Whether "is the re-cap money working" is answered rightly where re-caps went to the worst first.

    A facility is tried where a ratio as strong as the true one, or one half where re-caps are useless, would have been shown
    with a chance of 80 %.
    """
    from maintkit.decide.effectiveness_recaps import HARMS, SAME, WORKS, recap_effects

    if facility.world.worst_first == "no":
        return {}
    evidence = quarter.evidence
    row = recap_effects(evidence.stays, evidence.faults, evidence.work).iloc[0]
    works = facility.world.worst_first == "works"
    new, old = facility.after_recap
    tried = int(row["could_show"] >= (new / old if works else 0.5))
    right, contrary = (WORKS, (HARMS,)) if works else (SAME, (HARMS, WORKS))
    return {
        "re-caps judged rightly": (int(row["verdict"] == right) * tried, tried, 1 - tried),
        "re-caps judged to the contrary": (int(row["verdict"] in contrary), 1, 0),
        "re-cap ratio": (int(row["low"] <= new / old <= row["high"]), 1, 0),
    }


def intervals(facility: Facility, quarter) -> dict:
    """Whether the limits of the re-cap interval of each kind of board hold the one of least cost; not told is a refusal."""
    from maintkit.quarter.recaps import recaps

    if facility.world.lives != "weibull" or facility.world.bad_batch:
        return {}  # no one interval is best
    out = np.zeros(3, int)
    for board in recaps(quarter).boards.itertuples():
        part = next(part for part in PARTS if part.hot and FAMILIES[part.family] == board.family)
        best = truth.recap_interval(
            part, TYPES.index(board.module_type), board.zone == HOT, board.planned_cost / board.failure_cost
        )
        if np.isnan(board.interval_years):
            out += (0, 0, 1)
        else:
            high = board.interval_high if np.isfinite(board.interval_high) else np.inf
            out += (int(board.interval_low <= best <= high), 1, 0)
    return {"re-cap interval": tuple(int(one) for one in out)}


MEASURES = {
    "forecasts": forecasts,
    "lives": lives,
    "comparisons": comparisons,
    "recaps": recaps,
    "intervals": intervals,
}


def done_before(path: Path) -> set:
    """The facilities already in the results file."""
    if not path.exists():
        return set()
    with path.open(encoding="utf-8", newline="") as file:
        return {(row["world"], int(row["facility"])) for row in csv.DictReader(file)}


def append(path: Path, world: str, number: int, outcomes: dict) -> None:
    """Add one facility's rows to the results file, which is begun where it is not there."""
    begun = path.exists()
    with path.open("a", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        if not begun:
            writer.writerow(COLUMNS)
        writer.writerows((world, number, name, *outcome) for name, outcome in outcomes.items())


def main() -> None:
    """Measure some facilities of one world, or of every world in turn."""
    parser = argparse.ArgumentParser(description="Measure how well the kit does in a world.")
    parser.add_argument("--world", choices=[*WORLDS, "all"], default="base")
    parser.add_argument("--facilities", type=int, default=10)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--only", choices=list(MEASURES), nargs="*")
    parser.add_argument("--results", type=Path, required=True)
    arguments = parser.parse_args()
    done = done_before(arguments.results)
    names = list(WORLDS) if arguments.world == "all" else [arguments.world]
    for number in range(arguments.first, arguments.first + arguments.facilities):
        for world in names:
            if (world, number) not in done:
                append(arguments.results, world, number, measure(world, number, arguments.only))


if __name__ == "__main__":
    main()
