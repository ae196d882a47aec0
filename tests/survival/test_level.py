"""The level: by hand, in the closed form of a level that stands still, against scipy, and where it moves."""

import numpy as np
import pytest
from scipy.stats import nbinom

from maintkit.survival.level import MEMORY, START, filtered, level_now, one_step_loglik, settings
from maintkit.survival.results import SpellError

STILL = settings((1.0,), (0.0,), (), 0)


def level(seen, expected, number=4000):
    return level_now(seen, expected, generator=np.random.default_rng(1), number=number)


def steady(generator, mean, periods=24, desks=3):
    expected = np.full((periods, desks), float(mean))
    return generator.poisson(expected), expected


def test_a_level_that_stands_still_is_the_plain_gamma_poisson():
    seen, expected = np.array([3.0, 0.0, 7.0]), np.array([2.0, 2.5, 4.0])
    found = filtered(seen, expected, STILL)
    assert found.shape.tolist() == [START + 10]
    assert found.rate.tolist() == [START + 8.5]
    assert found.after[:, 0] == pytest.approx(
        [(START + 3) / (START + 2), (START + 3) / (START + 4.5), (START + 10) / (START + 8.5)]
    )


def test_what_is_forgotten_and_what_noise_is_worth_by_hand():
    # Start 4, discount 1/2, extra variation 1/2. First period: 2 expected, 6 came; worth 1 / (1 + 2 x 1 x 1/4) = 2/3.
    # Shape 4 + 2/3 x 6 = 8, rate 4 + 2/3 x 2 = 16/3. A period later half is left, and half an event's worth of level 1:
    # shape 4.5, rate 19/6.
    found = filtered([6.0], [2.0], settings((0.5,), (0.5,), (), 0), start=4.0)
    assert found.after[0] == pytest.approx([1.5])
    assert (found.shape[0], found.rate[0]) == (pytest.approx(4.5), pytest.approx(19 / 6))


def test_the_likelihood_is_scipys_negative_binomial():
    # scipy.stats.nbinom, size a and probability b / (b + expected).
    a, b, expected = 5.0, 4.0, 3.0
    for seen in (0, 1, 9):
        ours = one_step_loglik(np.array(seen), expected * a / b, 1 / a)
        assert ours == pytest.approx(nbinom.logpmf(seen, a, b / (b + expected)))
    found = filtered([2.0, 5.0], [3.0, 3.0], STILL, start=5.0)
    by_scipy = MEMORY * nbinom.logpmf(2, 5, 5 / 8) + nbinom.logpmf(5, 7, 8 / 11)
    assert found.loglik[0] == pytest.approx(by_scipy)


def test_where_nothing_moves_the_level_stays_near_one_and_limits_hold_the_count():
    held, means = [], []
    for seed in range(40):
        generator = np.random.default_rng(seed)
        seen, expected = steady(generator, 6.0)
        found = level(seen[:-1], expected[:-1], 500)
        counts = generator.poisson(found.draws * found.noise * 6.0)
        low, high = np.quantile(counts, (0.05, 0.95), axis=0, method="inverted_cdf")
        held.append((low <= seen[-1]) & (seen[-1] <= high))
        means.append(found.draws.mean(axis=0))
    assert np.mean(means) == pytest.approx(1.0, abs=0.03)
    assert np.std(means) < 0.13
    assert 0.88 <= np.mean(held) <= 1.0


def test_a_desk_that_doubled_is_found_and_its_neighbours_are_left_alone():
    ratio = []
    for seed in range(12):
        generator = np.random.default_rng(seed)
        _, expected = steady(generator, 12.0)
        truth = np.ones(expected.shape)
        truth[-4:, 0] = 2.0
        ratio.append(level(generator.poisson(expected * truth), expected, 400).draws.mean(axis=0))
    # Draws that let it move alone have about 2 and 1, those that keep the total to the house's have about 1.5 and 0.8.
    first, second, third = np.mean(ratio, axis=0)
    assert 1.6 < first < 2.0
    assert (second, third) == (pytest.approx(0.95, abs=0.12), pytest.approx(0.95, abs=0.12))


def test_a_house_that_moves_as_one_moves_every_desk_with_it():
    generator = np.random.default_rng(5)
    _, expected = steady(generator, 8.0)
    seen = generator.poisson(expected * np.where(np.arange(24) < 16, 1.0, 0.5)[:, None])
    found = level(seen, expected)
    assert found.draws.mean(axis=0) == pytest.approx([0.5] * 3, abs=0.15)
    assert found.house.mean() < 0.7


@pytest.mark.parametrize("desks", [1, 3])
def test_no_past_quarter_leaves_a_level_of_one_in_doubt(desks):
    found = level(np.zeros((0, desks)), np.zeros((0, desks)))
    assert found.draws.shape == (4000, desks)
    assert found.draws.mean() == pytest.approx(1.0, abs=0.02)
    assert 0.05 < found.draws.std() < 0.4


def test_nothing_for_years_comes_near_none_but_never_to_none():
    expected = np.full((24, 2), 3.0)
    found = level(np.zeros((24, 2)), expected)
    assert np.isfinite(found.draws).all()
    assert 0 < found.draws.mean() < 0.3


def test_a_gap_of_a_year_only_widens():
    generator = np.random.default_rng(3)
    seen, expected = steady(generator, 10.0)
    gap = np.vstack([np.zeros((4, 3))])
    before, after = level(seen, expected), level(np.vstack([seen, gap]), np.vstack([expected, gap]))
    assert np.isfinite(after.draws).all()
    assert after.draws.std(axis=0).mean() > before.draws.std(axis=0).mean()


def test_a_hundred_times_the_faults_in_one_quarter_widen_the_limits():
    generator = np.random.default_rng(4)
    seen, expected = steady(generator, 5.0, desks=2)
    calm = level(seen, expected)
    seen[-1] = 500
    wild = level(seen, expected)
    assert np.isfinite(wild.draws).all() and np.isfinite(wild.noise).all()
    spread = [np.subtract(*np.quantile(one.draws * one.noise, (0.95, 0.05))) for one in (wild, calm)]
    assert spread[0] > 5 * spread[1]


def test_a_desk_a_quarter_old_goes_with_the_house():
    generator = np.random.default_rng(6)
    seen, expected = steady(generator, 10.0, desks=2)
    expected[:-1, 1], seen[:, 1] = 0.0, 0
    seen[-1, 1] = 10
    found = level(seen, expected)
    assert found.draws[:, 1].mean() == pytest.approx(1.0, abs=0.2)
    assert found.draws[:, 1].std() > found.draws[:, 0].std()


def test_faults_where_none_were_expected_are_refused():
    with pytest.raises(
        SpellError, match="Every count needs an expected number, above 0 where anything came."
    ):
        level([[1.0]], [[0.0]])
