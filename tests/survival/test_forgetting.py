"""How fast the past of single units is forgotten."""

import numpy as np
from scipy.stats import multinomial, nbinom

from maintkit.survival.forgetting import CVS, DISCOUNTS, GAIN, forgetting

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


def rotated(seed):
    """Modules whose factors stand still, drawn anew each period to slots, two to a slot, half a period each."""
    generator = np.random.default_rng(seed)
    factor = generator.gamma(2.0, 0.5, UNITS)
    slot = np.concatenate([generator.permutation(UNITS) // 2 for _ in range(PERIODS)])
    module, period = np.tile(np.arange(UNITS), PERIODS), np.repeat(np.arange(PERIODS), UNITS)
    return module, slot, period, generator.poisson(0.5 * factor[module]), np.full(len(module), 0.5)


def test_modules_and_the_slots_they_rotate_through_are_compared_on_the_same_rows():
    for seed in range(3):
        module, slot, *rows = rotated(seed)
        by_module = forgetting(module, *rows, units=UNITS, periods=PERIODS)
        by_slot = forgetting(slot, *rows, units=UNITS // 2, periods=PERIODS)
        assert by_module.loglik > by_slot.loglik
        assert by_module.discount == 1.0


def test_the_log_likelihood_is_that_of_the_rows_by_scipy():
    slot, period = np.array([0, 0, 1, 0, 0, 1, 0, 1, 1]), np.array([0, 0, 0, 1, 1, 1, 2, 2, 2])
    seen, due = np.array([1, 0, 2, 1, 2, 0, 1, 3, 1]), np.array([0.5, 0.5, 1, 0.3, 0.9, 1, 1.1, 0.4, 0.7])
    found = forgetting(slot, period, seen, due, units=2, periods=3)
    of_each = []
    for discount in DISCOUNTS:
        for cv in CVS:
            total = -GAIN * (discount < 1)
            for unit in (0, 1):
                shape = rate = cv**-2.0
                for now in (0, 1, 2):
                    own = (slot == unit) & (period == now)
                    shape, rate = (cv**-2.0 + discount * (of - cv**-2.0) for of in (shape, rate))
                    if now:
                        total += nbinom.logpmf(seen[own].sum(), shape, rate / (rate + due[own].sum()))
                        total += multinomial.logpmf(seen[own], seen[own].sum(), due[own] / due[own].sum())
                    shape, rate = shape + seen[own].sum(), rate + due[own].sum()
            of_each.append(total)
    np.testing.assert_allclose(found.loglik, max(of_each), rtol=1e-9)
