import numpy as np
import pytest

from maintkit.survival.competing import cumulative_incidence
from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.results import SpellError


def with_causes(spells, group):
    """Causes "dry" and "leak" for the failures, none for the rest."""
    return np.where(spells["event"], np.where(group == 0, "leak", "dry"), None)


def test_ties_of_two_causes_share_one_risk_set():
    result = cumulative_incidence([0] * 4, [2, 2, 2, 3], ["dry", "leak", None, "dry"])
    assert result.causes == ("dry", "leak")
    assert result.at_risk.tolist() == [4, 1]
    assert result.incidence.tolist() == [[0.25, 0.25], [0.75, 0.25]]
    assert result.failures.tolist() == [[1, 1], [1, 0]]
    assert result.event_free.tolist() == [0.5, 0]


@pytest.mark.parametrize("seed", range(6))
def test_causes_sum_with_the_event_free_share_to_1_and_that_is_kaplan_meier(random_spells, seed):
    spells, group = random_spells(seed)
    result = cumulative_incidence(
        spells["entry"], spells["exit"], with_causes(spells, group), spells["weight"]
    )
    np.testing.assert_allclose(result.incidence.sum(axis=1) + result.event_free, 1, atol=1e-12)
    np.testing.assert_allclose(result.event_free, kaplan_meier(**spells).survival, atol=1e-12)
    assert np.all(np.diff(result.incidence, axis=0) >= 0)


@pytest.mark.parametrize("seed", range(4))
def test_incidence_added_up_one_failure_time_after_the_other(random_spells, seed):
    spells, group = random_spells(seed)
    cause = with_causes(spells, group)
    result = cumulative_incidence(spells["entry"], spells["exit"], cause, spells["weight"])
    free, lost = 1.0, {"dry": 0.0, "leak": 0.0}
    for at, time in enumerate(sorted(set(spells["exit"][spells["event"]]))):
        watched = spells["weight"][(spells["entry"] < time) & (time <= spells["exit"])].sum()
        hits = {name: spells["weight"][(cause == name) & (spells["exit"] == time)].sum() for name in lost}
        for name in lost:
            lost[name] += free * hits[name] / watched
        free *= 1 - sum(hits.values()) / watched
        assert result.incidence[at].tolist() == pytest.approx([lost["dry"], lost["leak"]], abs=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_standard_errors_by_the_sum_written_out(random_spells, seed):
    # Marubini & Valsecchi (1995), section 10.2 (from memory), term by term.
    spells, group = random_spells(seed)
    result = cumulative_incidence(
        spells["entry"], spells["exit"], with_causes(spells, group), spells["weight"]
    )
    before = np.concatenate([[1.0], result.event_free[:-1]])
    for at in range(len(result.time) - 1):
        for cause in (0, 1):
            total = 0.0
            for u in range(at + 1):
                n, d, own = result.at_risk[u], result.failures[u].sum(), result.failures[u, cause]
                gap = result.incidence[at, cause] - result.incidence[u, cause]
                total += (
                    gap**2 * d / n / max(n - d, 1e-9) * (n > d)
                    + before[u] ** 2 * (n - own) / n * own / n**2
                    - 2 * gap * before[u] * own / n**2
                )
            assert result.std_error[at, cause] == pytest.approx(total**0.5, abs=1e-12)


def test_limits_as_in_scikit_survival():
    from sksurv.nonparametric import cumulative_incidence_competing_risks

    generator = np.random.default_rng(3)
    time, cause = np.append(generator.integers(1, 20, 80), 30.0), np.append(generator.integers(0, 3, 80), 0)
    result = cumulative_incidence(np.zeros(81), time, cause, level=0.95)
    at, found, limits = cumulative_incidence_competing_risks(
        cause, time, conf_level=0.95, conf_type="log-log", var_type="Dinse_Approx"
    )
    place = np.searchsorted(at, result.time)
    np.testing.assert_allclose(result.incidence, found[1:, place].T, atol=1e-12)
    np.testing.assert_allclose(result.low, limits[1:, 0, place].T, atol=1e-12)
    np.testing.assert_allclose(result.high, limits[1:, 1, place].T, atol=1e-12)


def test_limits_lie_inside_0_and_1_around_the_incidence(random_spells):
    spells, group = random_spells(5)
    result = cumulative_incidence(spells["entry"], spells["exit"], with_causes(spells, group))
    assert np.all(
        (result.low >= 0)
        & (result.low <= result.incidence)
        & (result.incidence <= result.high)
        & (result.high <= 1)
    )
    inside = (result.incidence > 0) & (result.std_error > 0)
    assert np.all(result.high[inside] > result.low[inside])


def test_incidence_at_ages():
    result = cumulative_incidence([0] * 4, [2, 4, 5, 5], ["dry", "leak", None, None])
    assert result.incidence_at(1.9).tolist() == [0, 0]
    assert result.incidence_at(2).tolist() == [0.25, 0]
    assert result.incidence_at(9).tolist() == [0.25, 0.25]


def test_what_counts_as_cut_short():
    result = cumulative_incidence(
        [0] * 5, [1, 2, 3, 4, 5], np.array(["", 0, None, "dry", float("nan")], object)
    )
    assert result.causes == ("dry",)
    assert result.time.tolist() == [4]
    assert result.exposure == 15


def test_a_cause_seen_only_with_no_weight_is_no_cause():
    result = cumulative_incidence([0, 0], [1, 2], ["dry", "leak"], [0, 1])
    assert result.causes == ("leak",)


def test_no_failure_of_any_cause():
    result = cumulative_incidence([0, 0], [1, 2], [None, None])
    assert result.causes == ()
    assert result.incidence.shape == (0, 0)


def test_as_many_causes_as_spells():
    with pytest.raises(
        SpellError, match="^The columns must have the same number of rows; found exit 2, cause 1.$"
    ):
        cumulative_incidence([0, 0], [1, 2], ["dry"])
