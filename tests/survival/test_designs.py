import re

import numpy as np
import pytest

from maintkit.survival.designs import checked_design, middle_and_spread, without_gaps
from maintkit.survival.results import SpellError


def test_a_single_column_may_be_flat():
    design, names = checked_design([1, 2, 3], 3)
    assert design.tolist() == [[1], [2], [3]]
    assert names == ("covariate 1",)
    assert checked_design(np.zeros((3, 0)), 3)[0].shape == (3, 0)


@pytest.mark.parametrize(
    ("design", "names", "message"),
    [
        ([[1, 2], [3, 4]], None, "The design must have one row a spell; found shape (2, 2) for 3 spells."),
        ([[1], [float("nan")], [3]], ["air"], "air, row 2: found 'nan'. Every spell needs a number here."),
        ([[1], [2], [3]], ["air", "zone"], "The design has 1 columns and 2 names; they must be as many."),
    ],
)
def test_designs_that_cannot_be_used(design, names, message):
    with pytest.raises(SpellError, match=f"^{re.escape(message)}$"):
        checked_design(design, 3, names)


def test_middle_and_spread_are_weighted():
    middle, spread = middle_and_spread(np.array([[0.0, 5], [4, 5]]), np.array([3.0, 1]))
    assert middle.tolist() == [1, 5]
    assert spread.tolist() == [3**0.5, 1]


def test_covariates_that_can_be_told_apart_give_no_sentence():
    assert without_gaps(np.array([[0.0, 1], [1, 1], [0, 0], [1, 2]]), ("a", "b")) == ""
    assert without_gaps(np.zeros((3, 0)), ()) == ""


def test_covariates_that_never_vary_are_named():
    flat = np.array([[1.0, 0, 3], [1, 1, 3], [1, 2, 3]])
    both, alone = (
        f"{names}: the same for every spell, so nothing can be said about {them}."
        for names, them in (("a and c", "them"), ("a", "it"))
    )
    assert without_gaps(flat, ("a", "b", "c")) == both
    assert without_gaps(flat[:, :2], ("a", "b")) == alone
    assert without_gaps(np.array([[0.1], [0.1], [0.1]]), ("a",)) == alone


def test_a_covariate_flat_within_each_stratum_is_named():
    design, stratum = np.array([[0.0, 1], [0, 2], [1, 1], [1, 3]]), np.array([0, 0, 1, 1])
    assert (
        without_gaps(design, ("a", "b"), stratum)
        == "a: the same for every spell of a stratum, so nothing can be said about it."
    )
    assert without_gaps(design, ("a", "b")) == ""


def test_sums_of_others_are_named_and_bystanders_are_not():
    generator = np.random.default_rng(0)
    one, other, bystander = generator.normal(size=(3, 20))
    design = np.column_stack([one, bystander, other, one + 2 * other])
    assert without_gaps(design, ("a", "by", "b", "c")) == "a, b and c cannot be told apart in these data."


def test_nearly_alike_is_still_told_apart():
    one = np.arange(50.0)
    other = one + np.random.default_rng(0).normal(0, 0.1, 50)
    assert without_gaps(np.column_stack([one, other]), ("a", "b")) == ""


def test_the_unit_of_a_covariate_does_not_matter():
    design = np.array([[0.0, 1], [1, 1], [0, 0], [1, 2]])
    for unit in (1e-7, 1e7):
        assert without_gaps(design * [unit, 1], ("a", "b")) == ""


def test_strata_of_one_spell_say_nothing():
    assert without_gaps(np.array([[3.0], [1], [2]]), ("a",), np.array([0, 1, 2])) == (
        "a: the same for every spell of a stratum, so nothing can be said about it."
    )
