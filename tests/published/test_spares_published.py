"""How many to keep: published stock levels, backorders, fill rates and loss probabilities."""

import numpy as np
import pytest
from scipy import stats

from maintkit.decide.stocking import backorders, chance_at_most, stock_for

# Smallest k with Poisson cdf >= p. Computed with scipy 1.17.1 and mpmath 1.4.1. The row (4.32, 0.95) -> 8 spares is
# the worked
# case of B. S. Blanchard, Logistics Engineering and Management (from memory): 20 parts, 0.0001 failures an hour, 24 h,
# 90 days.
POISSON_STOCK = {
    (0.1, 0.95): (1, 0.9953211599),
    (0.5, 0.90): (1, 0.9097959896),
    (0.5, 0.95): (2, 0.9856123220),
    (1, 0.90): (2, 0.9196986029),
    (1, 0.95): (3, 0.9810118431),
    (1, 0.99): (4, 0.9963401532),
    (2, 0.95): (5, 0.9834363915),
    (3, 0.90): (5, 0.9160820580),
    (4, 0.95): (8, 0.9786365655),
    (4.32, 0.90): (7, 0.9274955380),
    (4.32, 0.95): (8, 0.9675081866),
    (4.32, 0.99): (10, 0.9950112791),
    (5, 0.95): (9, 0.9681719427),
    (10, 0.90): (14, 0.9165415271),
    (10, 0.95): (15, 0.9512595967),
    (10, 0.99): (18, 0.9928134954),
    (20, 0.95): (28, 0.9656664781),
    (50, 0.95): (62, 0.9576090650),
}
# E[(X - s)+] for s = 0, 1, 2 ... Pipelines 1 and 4 are the cases of C. C. Sherbrooke, Optimal Inventory Modeling of
# Systems,
# ch. 2 (from memory, printed to 3 decimals: 1.000 .368 .104 .023 and 4.000 3.018 2.110 1.348 .782 .410); more digits
# by scipy 1.17.1.
BACKORDERS = {
    1.0: [1.0, 0.367879, 0.103638, 0.023337, 0.004349, 0.000689],
    4.0: [
        4.0,
        3.018316,
        2.109894,
        1.347997,
        0.781467,
        0.410304,
        0.195435,
        0.084761,
        0.033627,
        0.012264,
        0.004131,
    ],
    0.5: [0.5, 0.106531, 0.016327, 0.001939, 0.000187],
    10.0: [
        10.0,
        9.000045,
        8.000545,
        7.003314,
        6.01365,
        5.042903,
        4.109989,
        3.24013,
        2.460351,
        1.793171,
        1.2511,
    ],
}
FILL_RATE = {
    1.0: {1: 0.367879, 2: 0.735759, 3: 0.919699, 4: 0.981012},
    4.0: {4: 0.433470, 5: 0.628837, 6: 0.785130, 8: 0.948866},
}


@pytest.mark.parametrize(("mean", "protection"), sorted(POISSON_STOCK))
def test_poisson_stock_blanchard(mean, protection):
    spares, reached = POISSON_STOCK[mean, protection]
    assert stock_for(protection, mean) == spares
    assert chance_at_most(spares, mean) == pytest.approx(reached, abs=2e-9)


@pytest.mark.parametrize("pipeline", sorted(BACKORDERS))
def test_expected_backorders_sherbrooke(pipeline):
    expected = BACKORDERS[pipeline]
    np.testing.assert_allclose(backorders(range(len(expected)), pipeline), expected, atol=6e-7)


def test_fill_rate_is_one_below_the_protection_level_sherbrooke():
    for pipeline, rates in FILL_RATE.items():
        found = chance_at_most(np.array(list(rates)) - 1, pipeline)
        np.testing.assert_allclose(found, list(rates.values()), atol=6e-7)


def test_an_uncertain_rate_gives_the_negative_binomial_of_scipy():
    # Greenwood & Yule (1920): Poisson with a gamma rate of shape a and mean m is negative binomial(a, a / (a + m)).
    # scipy 1.17.1 nbinom.
    for mean, shape in ((0.3, 0.5), (4.32, 2.0), (12.0, 30.5)):
        law = stats.nbinom(shape, shape / (shape + mean))
        number = np.arange(40)
        np.testing.assert_allclose(chance_at_most(number, mean, shape=shape), law.cdf(number), atol=1e-12)
        assert stock_for(0.95, mean, shape=shape) == law.ppf(0.95)
