"""Module and slot told apart: exact for one factor, by what moved for two, and not believed in because positive."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import nbinom, poisson

from maintkit.survival.crossed import crossed_factors

UNITS = 144


def facility(seed, *, module=0.0, slot=0.0, swapped=0.5, mean=4.0):
    """Modules watched in their first slots, then, the swapped ones, in others; and where they are at last."""
    generator = np.random.default_rng(seed)
    own, place = (generator.gamma(cv**-2, cv**2, UNITS) if cv else np.ones(UNITS) for cv in (module, slot))
    first, last = np.arange(UNITS), np.arange(UNITS)
    movers = generator.permutation(UNITS)[: int(swapped * UNITS)]
    last[movers] = np.roll(movers, 1)
    modules, slots = np.concatenate([first, first]), np.concatenate([first, last])
    expected = np.repeat([0.6 * mean, 0.4 * mean], UNITS)
    seen = generator.poisson(expected * own[modules] * place[slots])
    return (modules, slots, seen, expected), own * place[last], last


def found(cells):
    return crossed_factors(*cells, modules=UNITS, slots=UNITS)


def drawn(fit, last):
    own, place = fit.draws(np.random.default_rng(1), np.ones((600, UNITS)))
    return own * place[:, last]


def probability(fit, which):
    return fit.probability[which(fit.cv[:, 0] > 0, fit.cv[:, 1] > 0)].sum()


def test_with_one_factor_the_likelihood_is_negative_binomial():
    # Ratio of two settings of the modules' spread, as likely before, against scipy.stats.nbinom, nothing moved.
    seen, expected = np.array([0, 3, 1, 8]), np.array([1.0, 2.0, 0.5, 3.0])
    fit = crossed_factors(range(4), range(4), seen, expected, modules=4, slots=4)
    small, large = (np.flatnonzero((fit.cv == (cv, 0.0)).all(axis=1))[0] for cv in (0.6, 0.8))
    by_scipy = [nbinom.logpmf(seen, cv**-2, 1 / (1 + expected * cv**2)).sum() for cv in (0.6, 0.8)]
    ours = np.log(fit.probability[[small, large]])
    assert ours[1] - ours[0] == pytest.approx(by_scipy[1] - by_scipy[0])


def test_where_nothing_moved_they_are_not_told_apart():
    cells, _, _ = facility(1, module=0.7, swapped=0.0)
    fit = found(cells)
    assert probability(fit, lambda own, place: own & ~place) == pytest.approx(
        probability(fit, lambda own, place: place & ~own)
    )
    assert (fit.cv == 0).any(axis=1).all()


@pytest.mark.parametrize(("module", "slot"), [(0.7, 0.0), (0.0, 0.7)])
def test_what_moved_tells_whose_it_is(module, slot):
    for seed in range(3):
        cells, _, _ = facility(seed, module=module, slot=slot)
        fit = found(cells)
        assert (fit.module_cv > fit.slot_cv) == (module > slot)
        right = (lambda own, place: own) if module else (lambda own, place: place)
        assert probability(fit, right) > 0.9


def test_no_spread_is_not_taken_for_some():
    for seed in range(3):
        cells, _, _ = facility(seed, mean=8.0)
        fit = found(cells)
        assert probability(fit, lambda own, place: ~own & ~place) > 0.25
        assert fit.module_cv + fit.slot_cv < 0.2


@pytest.mark.parametrize(("module", "slot"), [(0.7, 0.0), (0.0, 0.7), (0.5, 0.5)])
def test_limits_hold_the_product_about_nine_times_in_ten(module, slot):
    held = []
    for seed in range(6):
        cells, truth, last = facility(seed, module=module, slot=slot)
        low, high = np.quantile(drawn(found(cells), last), (0.05, 0.95), axis=0)
        held.append(((low <= truth) & (truth <= high)).mean())
    assert 0.82 <= np.mean(held) <= 0.96


def test_what_is_forgotten_leaves_the_spread_but_not_the_factor():
    cells, _, last = facility(7, module=0.8, swapped=0.0, mean=8.0)
    whole, gone = found(cells), crossed_factors(*cells, modules=UNITS, slots=UNITS, kept=0.01)
    assert gone.module_cv == pytest.approx(whole.module_cv)
    assert drawn(gone, last).mean(axis=0).std() < 0.4 * drawn(whole, last).mean(axis=0).std()


def test_expected_events_of_a_draw_move_its_factors():
    fit = crossed_factors([0, 1], [0, 1], [9, 0], [3.0, 3.0], modules=2, slots=2)
    generator = np.random.default_rng(2)
    usual, more = (fit.draws(generator, np.full((4000, 2), tilt)) for tilt in (1.0, 3.0))
    assert (more[0] * more[1])[:, 0].mean() < 0.7 * (usual[0] * usual[1])[:, 0].mean()


def test_the_spread_allows_for_means_found_from_the_same_events():
    """Eight groups of six modules, the mean of each group unknown: against the likelihood integrated by quadrature."""
    groups, each, rng = 8, 6, np.random.default_rng(4)
    group = np.repeat(np.arange(groups), each)
    seen = rng.poisson(rng.gamma(3.0, 1 / 3.0, groups * each) * 4.0)
    total = np.bincount(group, seen)
    expected = (total / each)[group]
    tilt = rng.gamma(total, 1 / total, (10_000, groups))[:, group]
    own = {"modules": len(seen), "slots": 1}
    place, cells = np.arange(len(seen)), (np.zeros(len(seen), int), seen, expected)
    known, found = (crossed_factors(place, *cells, **own, tilt=of) for of in (None, tilt))
    gained = np.log(found.probability / known.probability)

    def integrated(cv):
        def likelihood(move, of):
            return np.exp(_log_of(seen[group == of], expected[group == of] * np.exp(move), cv).sum())

        return sum(
            np.log(quad(likelihood, -3, 3, args=(of,), points=[0])[0] / likelihood(0.0, of))
            for of in range(groups)
        )

    exact = np.array([integrated(cv) for cv in (0.0, 0.4, 0.8)])
    row = [np.flatnonzero((found.cv == (cv, 0.0)).all(axis=1))[0] for cv in (0.0, 0.4, 0.8)]
    assert np.diff(exact).min() > 0.5  # it matters: 0.4 gains this much on none
    share = np.diff(gained[row]) / np.diff(exact)  # of heavy-tailed weights: a little short
    assert ((share > 0.8) & (share < 1.1)).all(), share
    assert found.module_cv > known.module_cv


def _log_of(seen, expected, cv):
    """Log chance of counts with gamma factors of mean 1: scipy's negative binomial."""
    if cv == 0:
        return poisson.logpmf(seen, expected)
    return nbinom.logpmf(seen, cv**-2, 1 / (1 + expected * cv**2))


def one_bad(seed, *, moved):
    """A facility of equal modules and slots of which one module, in one slot or in two one after the other, had twelve events."""
    (modules, slots, seen, expected), _, _ = facility(seed, mean=1.0, swapped=0.0)
    slots[UNITS:] = np.roll(slots[UNITS:], 1) if moved else slots[UNITS:]
    seen[[0, UNITS]] = 7, 5
    return modules, slots, seen, expected


def test_one_module_far_beyond_all_others_keeps_its_own_record():
    fit = found(one_bad(3, moved=False))
    assert (np.flatnonzero(fit.apart[0]).tolist(), np.flatnonzero(fit.apart[1]).tolist()) == ([0], [0])
    own, place = fit.draws(np.random.default_rng(1), np.ones((2000, UNITS)))
    # by itself: gamma with cv 2 before, 12 events where 1 was expected
    assert (own * place)[:, 0].mean() == pytest.approx((0.25 + 12) / (0.25 + 1), rel=0.03)
    assert (own[:, 0] > place[:, 0]).mean() == pytest.approx(0.5, abs=0.05)  # whose it is, nothing tells
    assert (own * place)[:, 1:].mean() == pytest.approx(1.0, abs=0.1)


def test_where_it_moved_with_its_module_it_is_the_modules():
    fit = found(one_bad(3, moved=True))
    assert np.flatnonzero(fit.apart[0]).tolist() == [0] and not fit.apart[1].any()
    own, place = fit.draws(np.random.default_rng(1), np.ones((600, UNITS)))
    assert own[:, 0].mean() > 6 and place[:, :2].mean() < 1.5


@pytest.mark.parametrize("spread", [0.0, 0.7, 1.0])
def test_of_units_that_differ_as_gamma_factors_do_hardly_any_stands_apart(spread):
    some = [found(facility(seed, module=spread, mean=2.0)[0]).apart for seed in range(40)]
    assert sum(own.any() or place.any() for own, place in some) <= 2


def test_beyond_the_spread_is_the_tail_of_a_negative_binomial():
    cells = one_bad(3, moved=False)
    seen, expected = (np.bincount(cells[0], of, UNITS) for of in cells[2:])
    for events, apart in ((6, False), (12, True)):
        seen[0] = events
        tail = nbinom.sf(events - 1, 0.3**-2, 1 / (1 + expected[0] * 0.3**2))
        fit = crossed_factors(range(UNITS), range(UNITS), seen, expected, modules=UNITS, slots=UNITS)
        assert (tail * UNITS < 0.01) == apart == fit.apart[0][0]
