"""The partial likelihood against one written out failure by failure, and its slopes against differences."""

import re

import numpy as np
import pytest

from maintkit.survival.cox_likelihood import (
    partial_loglik,
    risk_sets,
    risk_sums,
    schoenfeld_residuals,
    score_residuals,
)
from maintkit.survival.results import SpellError
from maintkit.survival.spell_rows import spell_rows

B = np.array([0.5, -0.3])


def case(random_spells, seed, weighted=True):
    spells, group = random_spells(seed)
    if not weighted:
        spells["weight"] = np.ones(60)
    design = np.column_stack([group == 1, np.random.default_rng(seed).normal(size=60)]).astype(float)
    return spell_rows(**spells), design, np.arange(60) % 2


def failure_by_failure(rows, design, stratum, b, efron):
    """Log partial likelihood with a loop over strata, failure times and tied failures, each part by itself."""
    total = 0.0
    for one in set(stratum):
        for time in set(rows.exit[rows.event & (stratum == one)]):
            here = (stratum == one) & (rows.entry < time) & (time <= rows.exit)
            dying = (stratum == one) & rows.event & (rows.exit == time)
            risk = rows.weight * np.exp(design @ b)
            tied = int(rows.weight[dying].sum())
            total += (rows.weight[dying] * (design[dying] @ b)).sum()
            total -= sum(
                np.log(risk[here].sum() - (i / tied if efron else 0) * risk[dying].sum()) for i in range(tied)
            )
    return total


@pytest.mark.parametrize("ties", ["efron", "breslow"])
@pytest.mark.parametrize("seed", range(3))
def test_value_failure_by_failure(random_spells, seed, ties):
    rows, design, stratum = case(random_spells, seed)
    found = partial_loglik(risk_sets(rows, design, stratum, ties), B)[0]
    assert found == pytest.approx(failure_by_failure(rows, design, stratum, B, ties == "efron"), rel=1e-12)


@pytest.mark.parametrize("ties", ["efron", "breslow"])
def test_gradient_and_hessian_by_differences(random_spells, ties):
    sets = risk_sets(*case(random_spells, 3), ties)
    _, gradient, hessian = partial_loglik(sets, B)
    for place in range(2):
        up, down = (partial_loglik(sets, B + side * 1e-5 * np.eye(2)[place]) for side in (1, -1))
        assert gradient[place] == pytest.approx((up[0] - down[0]) / 2e-5, rel=1e-6)
        np.testing.assert_allclose(hessian[place], (up[1] - down[1]) / 2e-5, rtol=1e-6)


@pytest.mark.parametrize("ties", ["efron", "breslow"])
def test_score_residuals_sum_to_the_gradient(random_spells, ties):
    sets = risk_sets(*case(random_spells, 4), ties)
    np.testing.assert_allclose(score_residuals(sets, B).sum(axis=0), partial_loglik(sets, B)[1], atol=1e-10)


@pytest.mark.parametrize("ties", ["efron", "breslow"])
def test_score_residuals_of_a_weighted_row_are_those_of_its_copies(random_spells, ties):
    rows, design, stratum = case(random_spells, 5)
    count = rows.weight.astype(int)
    copies = spell_rows(*(np.repeat(column, count) for column in (rows.entry, rows.exit, rows.event)))
    apart = score_residuals(
        risk_sets(copies, np.repeat(design, count, axis=0), np.repeat(stratum, count), ties), B
    )
    summed = np.add.reduceat(apart, np.cumsum(count) - count)
    np.testing.assert_allclose(score_residuals(risk_sets(rows, design, stratum, ties), B), summed, atol=1e-10)


def test_schoenfeld_residuals_by_hand():
    # Failure at 2: at risk x = 1, 0, 0 with b = ln 3: mean 3/5; at 3: x = 0, 0: mean 0.
    rows = spell_rows([0, 0, 0, 2], [2, 3, 4, 9], [1, 1, 0, 0])
    sets = risk_sets(rows, np.array([[1.0], [0], [0], [1]]), np.zeros(4, int), "breslow")
    np.testing.assert_allclose(
        schoenfeld_residuals(sets, np.log([3.0])), [[1 - 3 / 5], [0 - 3 / 5]], atol=1e-14
    )


def test_schoenfeld_residuals_sum_to_the_gradient_without_weights(random_spells):
    for ties in ("efron", "breslow"):
        sets = risk_sets(*case(random_spells, 6, weighted=False), ties)
        np.testing.assert_allclose(
            schoenfeld_residuals(sets, B).sum(axis=0), partial_loglik(sets, B)[1], atol=1e-10
        )


def test_strata_are_separate_likelihoods_summed(random_spells):
    rows, design, stratum = case(random_spells, 7)
    whole = partial_loglik(risk_sets(rows, design, stratum, "efron"), B)
    parts = []
    for one in (0, 1):
        mine = stratum == one
        part = spell_rows(rows.entry[mine], rows.exit[mine], rows.event[mine], rows.weight[mine])
        parts.append(partial_loglik(risk_sets(part, design[mine], np.zeros(mine.sum(), int), "efron"), B))
    assert whole[0] == pytest.approx(parts[0][0] + parts[1][0])
    np.testing.assert_allclose(whole[2], parts[0][2] + parts[1][2])


def test_ages_of_the_failure_times_are_those_of_each_stratum():
    rows = spell_rows([0, 0, 0], [5, 3, 7], [1, 1, 1])
    sets = risk_sets(rows, np.zeros((3, 1)), np.array([0, 1, 1]), "efron")
    assert sets.age.tolist() == [5, 3, 7]
    assert risk_sums(sets, np.zeros(1)).denominator.tolist() == [1, 2, 1]


def test_weights_are_whole_numbers():
    rows = spell_rows([0, 0], [5, 3], [1, 1], [1, 1.5])
    message = "weight, row 2: found '1.5'. A weight is a whole number of parts."
    with pytest.raises(SpellError, match=f"^{re.escape(message)}$"):
        risk_sets(rows, np.zeros((2, 1)), np.zeros(2, int), "efron")


def test_ties_have_two_ways():
    rows = spell_rows([0, 0], [5, 3], [1, 1])
    with pytest.raises(SpellError, match="^ties must be 'efron' or 'breslow'; found 'exact'.$"):
        risk_sets(rows, np.zeros((2, 1)), np.zeros(2, int), "exact")


def test_a_likelihood_out_of_range_is_minus_infinite():
    sets = risk_sets(spell_rows([0, 0], [5, 3], [1, 1]), np.array([[0.0], [1]]), np.zeros(2, int), "efron")
    assert partial_loglik(sets, np.array([1e5]))[0] == -np.inf
