import numpy as np
import pytest
from scipy import stats

from maintkit.decide.stocking import (
    backorders,
    chance_at_most,
    days_saved,
    lasting,
    stock_for,
)


def test_backorders_are_the_mean_shortfall_counted_out():
    number = np.arange(400)
    for pipeline, shape in ((2.5, np.inf), (2.5, 1.5), (12.0, 4.5)):
        law = stats.poisson(pipeline) if np.isinf(shape) else stats.nbinom(shape, shape / (shape + pipeline))
        slow = [(np.maximum(number - spares, 0) * law.pmf(number)).sum() for spares in range(8)]
        np.testing.assert_allclose(backorders(range(8), pipeline, shape=shape), slow, atol=1e-9)


def test_doubt_about_the_rate_asks_for_more_spares():
    assert backorders([3], 2.0, shape=1.5)[0] > backorders([3], 2.0)[0]


def test_days_a_further_part_saves_are_those_of_a_drawn_horizon():
    dice = np.random.default_rng(4)
    rate = dice.gamma(5.5, 0.02 / 5.5, 20_000)
    arrivals = np.cumsum(dice.exponential(size=(20_000, 8)), axis=1) / rate[:, None]
    drawn = np.maximum(300.0 - arrivals, 0).mean(axis=0)[2:5]
    found = days_saved(2, 3, mean_a_day=0.02, shape=5.5, days=300.0)
    np.testing.assert_allclose(found, drawn, rtol=0.03)


def test_years_left_are_quantiles_of_the_drawn_last_use():
    dice = np.random.default_rng(5)
    rate = dice.gamma(6.5, 3.0 / 6.5, 100_000)
    drawn = np.quantile(dice.gamma(4, 1 / rate), [0.5, 0.05, 0.95])
    np.testing.assert_allclose(lasting(4, 3.0, shape=6.5), drawn, rtol=0.02)
    assert lasting(4, 3.0)[0] == pytest.approx(stats.gamma(4, scale=1 / 3).median())


def test_with_none_held_it_ends_today_and_with_no_use_never():
    assert lasting(0, 3.0) == (0.0, 0.0, 0.0)
    assert lasting(2, 0.0) == (np.inf, np.inf, np.inf)


def test_no_demand_needs_no_stock():
    assert stock_for(0.95, 0.0) == 0
    assert chance_at_most(-1, 1.0) == 0


@pytest.mark.parametrize(
    ("protection", "mean", "why"),
    [(1.0, 2, "lies between 0 and 1"), (0.9, -1, "Expected demand is 0 or more; found -1.")],
)
def test_impossible_wishes_are_refused(protection, mean, why):
    with pytest.raises(ValueError, match=why):
        stock_for(protection, mean)
