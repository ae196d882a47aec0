import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import gamma, poisson

from maintkit.survival.frailty_posterior import spread_posterior
from maintkit.survival.results import SpellError


def test_it_is_bayes_rule_over_the_factor_done_by_integration():
    counts, expected = np.array([4, 0, 1]), np.array([1.5, 2.0, 0.5])
    found = spread_posterior(counts, expected)

    def likelihood(cv):
        shape = cv**-2
        return np.prod(
            [
                quad(
                    lambda z, n=n, e=e: poisson.pmf(n, z * e) * gamma.pdf(z, shape, scale=1 / shape),
                    0,
                    40,
                    limit=300,
                )[0]
                for n, e in zip(counts, expected, strict=True)
            ]
        )

    picked = [20, 40, 70]
    ratios = [likelihood(found.cv[number]) / likelihood(found.cv[50]) for number in picked]
    assert found.probability[picked] / found.probability[50] == pytest.approx(ratios, rel=1e-6)
    assert found.probability.sum() == pytest.approx(1)


def test_many_faults_find_the_spread_again():
    generator = np.random.default_rng(3)
    expected = generator.uniform(2, 6, 400)
    counts = generator.poisson(generator.gamma(4, 0.25, 400) * expected)
    found = spread_posterior(counts, expected)
    assert found.mean == pytest.approx(0.5, abs=0.05)
    assert np.sqrt(found.probability @ (found.cv - found.mean) ** 2) < 0.06


def test_a_few_faults_leave_the_spread_open():
    found = spread_posterior([1, 0, 0, 1], [0.5] * 4)
    assert found.probability[found.cv < 0.1].sum() < 0.2
    assert found.probability[found.cv > 0.5].sum() > 0.4


def test_lengths_and_impossible_faults_are_refused():
    with pytest.raises(SpellError, match="^Every module needs both: 2 counts but 1 expected numbers.$"):
        spread_posterior([1, 2], [1.0])
    with pytest.raises(
        SpellError, match="^Nothing was expected of a module that has faults. Check its time at risk.$"
    ):
        spread_posterior([1, 2], [1.0, 0.0])
