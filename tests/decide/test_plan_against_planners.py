"""The plan's true saving, on facilities drawn as the demo was, beside that of planners who know more."""

import numpy as np
import pytest

from data_demo.make import scenario
from maintkit.decide.plan import bench_plan
from maintkit.decide.plan_constraints import options_of
from maintkit.decide.plan_in_order import in_order
from maintkit.decide.plan_worth import overhaul_worth
from maintkit.quarter.programme import faults_in
from maintkit.quarter.resources import resources_ahead
from tests.decide.simulated_facilities import simulated_facility

WAYS = ("plan", "hazards known", "all known", "worst last quarter first")


def true_savings(seed, folder) -> list[float]:
    """Faults the overhauls spare in truth: by the plan, knowing the hazards, knowing all, worst last quarter first.

    All keep to the demo's bookings, 80 bench hours and the spares on record. Who knows the hazards also knows every age and
    how far frailties spread, but reads each module's frailty off the same records as the plan.
    """
    quarter, truth = simulated_facility(seed, folder)
    means = resources_ahead(quarter, quarters=1)
    modules = overhaul_worth(quarter.evidence, quarter.forecast, quarter.slots).modules.reset_index(drop=True)
    last = faults_in(quarter, modules)
    watched = quarter.forecast.modules
    seen = modules["serial"].map(dict(zip(watched["serial"], watched["faults"], strict=True))).to_numpy(float)
    frailty, expected, spared = (
        modules["serial"].map(values).to_numpy(float)
        for values in (truth.frailty, truth.expected, truth.spared)
    )
    recorded = watched["faults"].sum() / sum(truth.expected.values())
    by_record = (scenario.FRAILTY_SHAPE + seen) / (scenario.FRAILTY_SHAPE + recorded * expected)
    valued = (modules["minutes_saved"].to_numpy(float), by_record * spared, frailty * spared)
    plans = [bench_plan(modules.assign(minutes_saved=value), means).chosen for value in valued]
    options = options_of(modules, means)
    taken = in_order(options, np.lexsort((np.arange(len(modules)), -last))) > 0
    worst = options.module[taken & (options.module >= 0)]
    return [float((frailty * spared)[chosen].sum()) for chosen in (*plans, worst)]


def test_two_facilities_are_planned_near_their_best(tmp_path_factory):
    of_each = [true_savings(seed, tmp_path_factory.mktemp("facility")) for seed in (1, 2)]
    plan, hazards_known, _, worst = np.sum(of_each, axis=0)
    assert plan >= 0.95 * hazards_known
    assert plan > 2 * worst


@pytest.mark.slow
def test_on_fifty_facilities_the_plan_saves_nearly_what_knowing_the_hazards_would(tmp_path):
    savings = []
    for seed in range(50):
        (tmp_path / str(seed)).mkdir()
        savings.append(true_savings(seed, tmp_path / str(seed)))
    saved = dict(zip(WAYS, np.array(savings).T, strict=True))
    plan, hazards_known, all_known = (saved[way] for way in WAYS[:3])
    print(
        {way: round(float(plan.sum() / saved[way].sum()), 3) for way in WAYS[1:]},
        {way: int((plan >= 0.95 * saved[way]).sum()) for way in WAYS[1:]},
    )
    print("hazards known against all known", round(float(hazards_known.sum() / all_known.sum()), 3))
    assert plan.sum() >= 0.95 * hazards_known.sum()
    assert (plan >= 0.95 * hazards_known).sum() >= 40
    assert np.all(plan >= saved["worst last quarter first"])
    assert plan.sum() > 2 * saved["worst last quarter first"].sum()
    # How each module will turn out stands in no record: even who knows every hazard and age saves less than one who is told the
    # frailties too, on the demo's scenario of now 0.952 of it.
    assert hazards_known.sum() < all_known.sum()
    assert plan.sum() >= 0.92 * all_known.sum()
