"""How fast the past of single units is forgotten."""

import numpy as np

from maintkit.survival.forgetting import forgetting

UNITS, PERIODS = 200, 16


def counts(seed, kept):
    """Counts whose units' factors stand still, or change by a fresh draw now and then."""
    generator = np.random.default_rng(seed)
    factor, seen = generator.gamma(2.0, 0.5, UNITS), []
    for _ in range(PERIODS):
        fresh = generator.random(UNITS) > kept
        factor = np.where(fresh, generator.gamma(2.0, 0.5, UNITS), factor)
        seen.append(generator.poisson(factor))
    unit, period = np.tile(np.arange(UNITS), PERIODS), np.repeat(np.arange(PERIODS), UNITS)
    return unit, period, np.concatenate(seen), np.ones(UNITS * PERIODS)


def test_factors_that_stand_still_are_kept_and_those_that_change_are_forgotten():
    for seed in range(3):
        still, moving = (
            forgetting(*counts(seed, kept), units=UNITS, periods=PERIODS) for kept in (1.0, 0.75)
        )
        assert still.discount == 1.0
        assert moving.discount < 0.9


def test_the_factor_before_a_period_is_that_of_the_periods_before_it_by_hand():
    unit, period, seen, expected = counts(1, 1.0)
    found = forgetting(unit, period, seen, expected, units=UNITS, periods=PERIODS)
    assert (found.before[0] == 1.0).all()
    # Discount 1: (prior + seen so far) / (prior + expected so far), the prior told by a unit that had none in the first period.
    first = found.before[1][seen[:UNITS] == 0][0]
    prior, came = first / (1 - first), seen.reshape(PERIODS, UNITS).cumsum(axis=0)
    for now in (1, 7, 15):
        np.testing.assert_allclose(found.before[now], (prior + came[now - 1]) / (prior + now), rtol=1e-4)
