import numpy as np
import pytest

from maintkit.survival.log_rank import log_rank
from maintkit.survival.results import SpellError


def test_by_hand():
    # Failures at 1 (a: 1 of 2, b: 0 of 2), 2 (a: 1 of 1, b 0 of 2), 3 and 4 (b alone).
    result = log_rank([0] * 4, [1, 2, 3, 4], [1] * 4, ["a", "a", "b", "b"])
    assert result.observed.tolist() == [2, 2]
    np.testing.assert_allclose(result.expected, [1 / 2 + 1 / 3, 1 / 2 + 2 / 3 + 2])
    variance = 1 / 4 + 2 / 9
    np.testing.assert_allclose(result.variance, [[variance, -variance], [-variance, variance]], atol=1e-15)
    assert result.statistic == pytest.approx((7 / 6) ** 2 / variance)
    assert (result.df, result.note) == (1, "")


@pytest.mark.parametrize("seed", range(6))
def test_two_groups_with_late_entry_as_in_statsmodels(random_spells, seed):
    from statsmodels.duration.survfunc import survdiff

    spells, group = random_spells(seed)
    group = group == 0
    found = survdiff(spells["exit"], spells["event"], group, entry=spells["entry"])
    result = log_rank(spells["entry"], spells["exit"], spells["event"], group)
    assert result.statistic == pytest.approx(found[0], rel=1e-10)
    assert result.p == pytest.approx(found[1], rel=1e-10)


@pytest.mark.parametrize("seed", range(4))
def test_three_groups_in_strata_as_in_statsmodels(random_spells, seed):
    # Without late entry: statsmodels 0.15.0 fails on strata and entry together (it cuts all columns but entry to a
    # stratum).
    from statsmodels.duration.survfunc import survdiff

    spells, group = random_spells(seed, 90)
    stratum = np.arange(90) % 2
    found = survdiff(spells["exit"], spells["event"], group, strata=stratum)
    result = log_rank(np.zeros(90), spells["exit"], spells["event"], group, stratum=stratum)
    assert result.df == 2
    assert result.statistic == pytest.approx(found[0], rel=1e-9)
    assert result.p == pytest.approx(found[1], rel=1e-9)


def test_strata_with_late_entry_are_separate_tests_summed(random_spells):
    spells, group = random_spells(7, 90)
    stratum = np.arange(90) % 2
    whole = log_rank(**spells, group=group, stratum=stratum)
    parts = [
        log_rank(
            **{name: column[stratum == one] for name, column in spells.items()}, group=group[stratum == one]
        )
        for one in (0, 1)
    ]
    np.testing.assert_allclose(whole.expected, parts[0].expected + parts[1].expected)
    np.testing.assert_allclose(whole.variance, parts[0].variance + parts[1].variance)


def test_weights_are_numbers_of_parts(random_spells):
    spells, group = random_spells(2)
    count = spells["weight"].astype(int)
    written_out = log_rank(
        *(np.repeat(spells[name], count) for name in ("entry", "exit", "event")), np.repeat(group, count)
    )
    result = log_rank(spells["entry"], spells["exit"], spells["event"], group, spells["weight"])
    assert result.statistic == pytest.approx(written_out.statistic, rel=1e-12)
    np.testing.assert_allclose(result.expected, written_out.expected)


def test_observed_and_expected_sum_alike(random_spells):
    spells, group = random_spells(3)
    result = log_rank(**spells, group=group)
    assert result.observed.sum() == pytest.approx(result.expected.sum())
    assert result.observed.sum() == spells["weight"][spells["event"]].sum()


def test_a_single_part_at_risk_adds_no_variance():
    result = log_rank([0, 0], [1, 2], [1, 1], ["a", "b"])
    assert result.variance[0, 0] == pytest.approx(0.25)


def test_a_group_never_watched_when_another_failed_is_named():
    result = log_rank([0, 0, 0, 0, 50], [1, 2, 3, 4, 60], [1, 1, 1, 1, 0], ["a", "b", "a", "b", "c"])
    assert result.groups == ("a", "b", "c")
    assert result.df == 1
    assert result.note == "Not compared, for no part of it was watched when another failed: c."


def test_groups_never_watched_at_the_same_age():
    result = log_rank([0, 0, 10, 10], [1, 2, 11, 12], [1, 1, 1, 1], ["a", "a", "b", "b"])
    assert (result.df, result.p, result.statistic) == (0, 1.0, 0.0)
    assert (
        result.note == "Some groups were never watched at the same age as others and could not be compared."
    )


def test_strata_keep_desks_apart():
    # Within each stratum only one group: nothing to compare.
    result = log_rank([0] * 4, [1, 2, 3, 4], [1] * 4, ["a", "a", "b", "b"], stratum=["x", "x", "y", "y"])
    assert result.df == 0


def test_no_failures():
    result = log_rank([0, 0], [1, 2], [0, 0], ["a", "b"])
    assert (result.statistic, result.df, result.p) == (0, 0, 1.0)


def test_spells_of_no_weight_are_left_out_with_their_group():
    with_it = log_rank(
        [0] * 5, [1, 2, 3, 4, 1.5], [1] * 5, ["a", "a", "b", "b", "a"], [1, 1, 1, 1, 0], list("xxxxx")
    )
    assert with_it.statistic == log_rank([0] * 4, [1, 2, 3, 4], [1] * 4, ["a", "a", "b", "b"]).statistic


def test_one_group_is_no_comparison():
    with pytest.raises(SpellError, match="^A comparison needs two groups or more; found only 'a'.$"):
        log_rank([0, 0], [1, 2], [1, 1], ["a", "a"])


def test_as_many_groups_as_spells():
    with pytest.raises(
        SpellError, match="^The columns must have the same number of rows; found exit 2, group 3, stratum 3.$"
    ):
        log_rank([0, 0], [1, 2], [1, 1], ["a", "a", "b"])
