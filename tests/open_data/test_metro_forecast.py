"""Each quarter of a real record forecast from the records before it: total, limits, and car by car.

Against the plainest forecasts there are: the last quarter's total, the mean of up to four before, and rates of the cars shrunk by a
gamma fitted (scipy) to their counts of the last 1 to 7 quarters.
"""

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import minimize
from scipy.stats import nbinom, poisson

from maintkit.quarter.quarter import open_quarter
from tests.open_data import metro

FIRST = 2  # 2018Q3


@pytest.fixture(scope="module")
def counts():
    """Faults by quarter and car, shape (8, 636)."""
    rows = metro.faults()
    rows = rows[rows["outcome"] == "fault found"]
    table = pd.crosstab(rows["day"].dt.to_period("Q"), rows["car"])
    return table.reindex(columns=metro.cars()["car"], fill_value=0).to_numpy()


@pytest.fixture(scope="module")
def forecasts(tmp_path_factory):
    book = metro.book(tmp_path_factory.mktemp("metro"))
    return [open_quarter(book, metro.QUARTERS[number - 1]).forecast for number in range(FIRST, 8)]


def test_the_record_is_the_one_described(counts):
    assert counts.shape == (8, 636)
    assert counts.sum(axis=1).tolist() == [346, 384, 417, 314, 359, 324, 386, 296]  # README.md of the record


def test_the_error_of_the_total_is_that_of_the_better_plain_forecast(counts, forecasts):
    total = counts.sum(axis=1)
    ours = [found.count_limits.iloc[-1]["expected_faults"] for found in forecasts]
    last = total[FIRST - 1 : -1]
    mean = [total[max(0, number - 4) : number].mean() for number in range(FIRST, 8)]
    error, *plain = (np.abs(total[FIRST:] - forecast).mean() for forecast in (ours, last, mean))
    assert error <= 1.05 * min(plain)


def test_the_total_lies_within_its_limits(counts, forecasts):
    limits = pd.DataFrame([found.count_limits.iloc[-1] for found in forecasts])
    within = (limits["faults_low"] <= counts.sum(axis=1)[FIRST:]) & (
        counts.sum(axis=1)[FIRST:] <= limits["faults_high"]
    )
    assert within.sum() >= 4
    assert (limits["faults_high"] < 2 * limits["expected_faults"]).all()


def test_cars_are_foretold_better_than_by_shrunk_rates_of_any_window(counts, forecasts):
    ours = np.mean([score(found, came) for found, came in zip(forecasts, counts[FIRST:], strict=True)])
    plain = [
        np.mean([shrunk(counts, number, window) for number in range(FIRST, 8)]) for window in range(1, 8)
    ]
    assert ours > max(plain) + 0.01


def score(found, came) -> float:
    """Mean log probability of what came, car by car, over the draws of the forecast."""
    column = pd.Index(metro.cars()["car"]).get_indexer(found.slots["position"].astype(int))
    return float(np.log(poisson.pmf(came[column], found.draws).mean(axis=0)).mean())


def shrunk(counts, number: int, window: int) -> float:
    """The same of the gamma-Poisson rates of the quarters before, as many as there are up to the window."""
    before = counts[max(0, number - window) : number]
    seen, quarters = before.sum(axis=0), len(before)

    def cost(logs):
        shape, rate = np.exp(logs)
        return -nbinom.logpmf(seen, shape, rate / (rate + quarters)).sum()

    shape, rate = np.exp(minimize(cost, [0.0, 0.5], method="Nelder-Mead").x)
    return float(
        nbinom.logpmf(counts[number], shape + seen, (rate + quarters) / (rate + quarters + 1)).mean()
    )
