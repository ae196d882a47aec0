"""The plan's true saving, on desks drawn from known hazards, beside that of planners who know more."""

import numpy as np
import pandas as pd
import pytest
from tests.decide.simulated_desks import OTHER_A_YEAR, TYPES, YEAR, facility

from maintkit.decide.plan import work_plan
from maintkit.decide.plan_limits import Means, in_order, options_of
from maintkit.decide.plan_worth import overhaul_worth
from maintkit.decide.priority import next_quarter

YEARS = 12.0
CV = 0.5
GAPS = pd.DataFrame({"desk": "Heron", "family": "longshore", "free_from": [5, 30, 60], "free_to": [9, 33, 66]})
MEANS = Means(GAPS, (), 60 / 90, 90, {("longshore", "channel"): 4}, {}, {})


def true_savings(seed):
    """True minutes saved by the plan, knowing the hazards, knowing all, and worst last quarter first."""
    drawn = facility(seed, years=YEARS, cv=CV)
    evidence = drawn.evidence
    forecast = next_quarter(evidence.part_spells, evidence.stays, evidence.faults, drawn.slots)
    worth = overhaul_worth(evidence, forecast, drawn.slots)
    modules = worth.modules.sort_values("serial").reset_index(drop=True).assign(bench_minutes=300.0)
    truth = drawn.true_minutes(2.0)
    valued = [modules["minutes_saved"], truth / drawn.frailty * _frailty_by_the_record(evidence, len(modules)), truth]
    plans = [work_plan(modules.assign(minutes_saved=value), MEANS, last_quarter=drawn.last_quarter).chosen
             for value in valued]
    options = options_of(modules, MEANS)
    worst = options.module[in_order(options, np.lexsort((np.arange(len(modules)), -drawn.last_quarter)))]
    return [truth[chosen].sum() for chosen in (*plans, worst)]


def _frailty_by_the_record(evidence, count):
    """What true hazards and spread make of each module's faults: mean (k + faults) / (k + expected)."""
    expected, spells = np.full(count, OTHER_A_YEAR * YEARS), evidence.part_spells
    for name, _, shape, scale in TYPES:
        own = spells[spells["part_type"] == name]
        risen = (own["exit"] / YEAR / scale) ** shape - (own["entry"] / YEAR / scale) ** shape
        expected += np.bincount(own["module"], risen * own["weight"], count)
    seen = np.bincount(evidence.faults["module"], minlength=count)
    return (CV**-2 + seen) / (CV**-2 + expected)


def test_one_desk_is_planned_near_its_best():
    plan, hazards_known, _, worst = true_savings(1)
    assert plan >= 0.9 * hazards_known
    assert plan >= worst


@pytest.mark.slow
def test_on_fifty_desks_the_plan_saves_nearly_what_knowing_the_hazards_would():
    savings = np.array([true_savings(seed) for seed in range(50)])
    plan, hazards_known, all_known, worst = savings.T
    assert plan.sum() >= 0.95 * hazards_known.sum()
    assert np.all(plan >= worst)
    # who also knows how each module will turn out saves more than any record allows: knowing the hazards alone reaches
    # 0.94 of it
    assert plan.sum() >= 0.90 * all_known.sum()
