"""How often 90 % limits hold the truth, how often equals are called different, and what ignoring late entry would cost.

    python tests/calibration/measure.py --setting usual --facilities 1000

Facilities are drawn by ``simulator.py``; the results of a setting are kept as JSON beside the others and the table in
``maintkit/docs/calibration.md`` is written anew. Every number comes with its Monte Carlo error, facilities being what
varies independently.
"""

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.calibration import frames, table
from tests.calibration.simulator import (
    FRAILTY_CV,
    OTHER_FAULTS_A_YEAR,
    PARTS,
    SETTINGS,
    YEAR,
    draw_facility,
)

SEED = 20_000
UNTIL = {"small": 12.0, "usual": 16.0, "large": 16.0}  # powered years up to which mean life is counted
START = 4.0  # ... and from which, so that enough were watched
TRUE_RATIO = 2.0
KEPT_EVERY = 100


def measure(setting: str, number: int) -> dict:
    """One facility's outcomes: name -> (held, tried, refused), or (sum, number, 0) where a bias is measured."""
    generator = np.random.default_rng([SEED, list(SETTINGS).index(setting), number])
    facility = draw_facility(generator, SETTINGS[setting])
    return {
        **lives(facility),
        **mean_lives(facility, UNTIL[setting]),
        **ratios(facility, generator),
        **coming_quarter(facility),
        **verdicts(facility),
        **entry_ignored(facility),
    }


def lives(facility) -> dict:
    """Coverage of the shape of each type of part and of the population's B10."""
    from maintkit.survival.shared_frailty import fit_weibull_shared

    out = {}
    for number, part in enumerate(PARTS):
        rows = facility.part == number
        life = fit_weibull_shared(
            facility.entry[rows],
            facility.exit[rows],
            facility.event[rows],
            facility.module[rows],
            weight=facility.weight[rows],
        )
        out[f"shape {part.shape:g}, {part.name}"] = held(life.shape, part.shape)
        out[f"B10, {part.name}"] = held(life.b10, population_age(part, 0.1))
    return out


def held(estimate, truth: float) -> tuple:
    """Whether the limits hold the truth; a refusal is counted apart, a missing limit is no limit."""
    if estimate is None or estimate.value is None and estimate.low is None:
        return 0, 0, 1
    low = -np.inf if estimate.low is None else estimate.low
    high = np.inf if estimate.high is None else estimate.high
    return int(low <= truth <= high), 1, 0


def population_age(part, share: float) -> float:
    """Age in hours by which a share of the parts of all modules has failed: (1 + v H)^(-1 / v) = 1 - share."""
    variance = FRAILTY_CV**2
    return part.scale_years * YEAR * (((1 - share) ** -variance - 1) / variance) ** (1 / part.shape)


def true_mean_life(part, start: float, until: float) -> float:
    """Mean life of the population between two ages, of parts that reached the first (hours)."""
    variance, age = FRAILTY_CV**2, np.linspace(start, until, 4001)
    share = (1 + variance * part.hazard(age)) ** (-1 / variance)
    return float(np.trapezoid(share, age) / share[0])


def mean_lives(facility, until_years: float) -> dict:
    """Coverage of mean life up to an age, and of its difference between board eras, for the first type of part."""
    from maintkit.survival.mean_life_by_module import mean_life_difference_by_module
    from maintkit.survival.results import SpellError

    rows, start, until = facility.part == 0, START * YEAR, until_years * YEAR
    try:
        found = mean_life_difference_by_module(
            facility.entry[rows],
            facility.exit[rows],
            facility.event[rows],
            facility.era[facility.module[rows]] == 1,
            facility.module[rows],
            until,
            weight=facility.weight[rows],
            start=start,
        )
    except SpellError:
        return {"mean life": (0, 0, 1), "difference in mean life": (0, 0, 1)}
    return {
        "mean life": held(found.first, true_mean_life(PARTS[0], start, until)),
        "difference in mean life": held(found.difference, 0.0),
    }


def ratios(facility, generator) -> dict:
    """Coverage of the rate ratio of two halves of the modules: all faults (truth 1), and faults of a known ratio."""
    from maintkit.survival.rates import clustered_rate_ratio

    number = len(facility.frailty)
    years, half = np.full(number, facility.end / YEAR), np.arange(number) < number // 2
    alike = np.bincount(facility.fault_module, minlength=number)
    doubled = generator.poisson(
        facility.frailty * OTHER_FAULTS_A_YEAR * years * np.where(half, TRUE_RATIO, 1.0)
    )
    out = {}
    for name, events, truth in (("rate ratio 1", alike, 1.0), ("rate ratio 2", doubled, TRUE_RATIO)):
        found = clustered_rate_ratio(events[half], years[half], events[~half], years[~half])
        told = found.events_a + found.events_b >= 5
        low, high = found.low or 0.0, np.inf if found.high is None else found.high
        out[name] = (int(told and low <= truth <= high), int(told), int(not told))
    return out


def coming_quarter(facility) -> dict:
    """Coverage of next quarter's expected faults, slot by slot and desk by desk, and of each desk's count."""
    from maintkit.decide.priority import FaultsSeen, next_quarter

    slots, faults = frames.slot_frame(facility), frames.fault_frame(facility)
    found = next_quarter(
        frames.part_spell_frame(facility), frames.stay_frame(facility), FaultsSeen(faults, faults), slots
    )
    by_slot = slots.assign(truth=facility.coming_expected(), count=facility.coming)
    ours = found.slots.merge(by_slot, on=["desk", "position"])
    out = {"expected faults, slot": between(ours, "expected_faults_low", "truth", "expected_faults_high")}
    by_desk = by_slot.groupby("desk")[["truth", "count"]].sum().reset_index()
    desks = found.count_limits.merge(by_desk, on="desk")
    return {
        **out,
        "expected faults, desk": between(desks, "expected_faults_low", "truth", "expected_faults_high"),
        "count of faults, desk": between(desks, "faults_low", "count", "faults_high"),
    }


def between(frame, low: str, value: str, high: str) -> tuple:
    """How many rows have the value within the limits, and how many there are."""
    return int(((frame[low] <= frame[value]) & (frame[value] <= frame[high])).sum()), len(frame), 0


def verdicts(facility) -> dict:
    """Whether any comparison of the review calls groups different, when nothing differs."""
    from maintkit.questions.group_differences import HIGHER, LOWER, THIN, comparison_table

    verdict = comparison_table(frames.quarter_of(facility))["verdict"]
    return {
        "false verdict": (int(verdict.isin([HIGHER, LOWER]).any()), 1, 0),
        "comparisons refused": (int((verdict == THIN).sum()), len(verdict), 0),
    }


def entry_ignored(facility) -> dict:
    """Relative error of shape, B10 and share failed at an age when every part is taken as watched from new."""
    from maintkit.survival.kaplan_meier import kaplan_meier
    from maintkit.survival.weibull import fit_weibull

    rows, part = facility.part == 0, PARTS[0]
    out, age = {}, 12 * YEAR
    share = 1 - (1 + FRAILTY_CV**2 * part.hazard(age)) ** (-1 / FRAILTY_CV**2)
    for name, entry in (
        ("late entry heeded", facility.entry[rows]),
        ("late entry ignored", np.zeros(rows.sum())),
    ):
        spells = entry, facility.exit[rows], facility.event[rows], facility.weight[rows]
        life, curve = fit_weibull(*spells), kaplan_meier(*spells)
        if name == "late entry heeded":
            out[f"shape {part.shape:g}, {part.name}, parts taken alone"] = held(life.shape, part.shape)
            out[f"B10, {part.name}, parts taken alone"] = held(life.b10, population_age(part, 0.1))
        for what, value, truth in (
            ("shape", life.shape and life.shape.value, part.shape),
            ("B10", life.b10 and life.b10.value, population_age(part, 0.1)),
            ("share failed at 12 years", 1 - curve.survival_at(age), share),
        ):
            known = value is not None and np.isfinite(value)
            out[f"{what}, {name}"] = (value / truth - 1 if known else 0.0, int(known), int(not known))
    return out


def run(setting: str, facilities: int, processes: int = 2, progress: bool = True):
    """Outcomes of the facilities of a setting, one after the other."""
    from tqdm import tqdm

    with ProcessPoolExecutor(processes) as pool:
        yield from tqdm(
            pool.map(measure, [setting] * facilities, range(facilities), chunksize=5),
            total=facilities,
            desc=setting,
            disable=not progress,
        )


def summed(outcomes: list[dict]) -> dict:
    """Share held, its error with facilities as the independent units, and how often it was tried and refused."""
    result = {}
    for name in outcomes[0]:
        got, tried, refused = np.array([outcome[name] for outcome in outcomes], float).T
        share = got.sum() / tried.sum() if tried.sum() else float("nan")
        spread = np.sqrt(np.sum((got - share * tried) ** 2)) / tried.sum() if tried.sum() else float("nan")
        result[name] = {
            "value": float(share),
            "error": float(spread),
            "tried": int(tried.sum()),
            "refused": int(refused.sum()),
        }
    return result


def main() -> None:
    """Measure one setting and write the table anew."""
    parser = argparse.ArgumentParser(description="Measure how often the kit's limits hold the truth.")
    parser.add_argument("--setting", choices=list(SETTINGS), default="usual")
    parser.add_argument("--facilities", type=int, default=1000)
    parser.add_argument("--processes", type=int, default=2)
    arguments = parser.parse_args()
    outcomes = []
    for outcome in run(arguments.setting, arguments.facilities, arguments.processes):
        outcomes.append(outcome)
        if len(outcomes) % KEPT_EVERY == 0 or len(outcomes) == arguments.facilities:
            said = table.kept(arguments.setting, len(outcomes), summed(outcomes))
    print(said)


if __name__ == "__main__":
    main()
