import numpy as np
import pytest

from maintkit.survival.resampling import resample_clusters
from maintkit.survival.results import SpellError


def mean_of(values):
    values = np.asarray(values, float)
    return lambda times: values @ times / times.sum()


def test_rows_of_a_module_are_drawn_together():
    cluster = np.repeat(np.arange(30), 3)
    seen = []
    resample_clusters(cluster, lambda times: seen.append(times.reshape(30, 3)) or 0.0, draws=20)
    assert len(seen) == 21
    assert np.all(seen[0] == 1)
    assert all(np.array_equal(times, np.repeat(times[:, :1], 3, axis=1)) for times in seen)
    assert all(times[:, 0].sum() == 30 for times in seen)


def test_limits_of_a_mean_of_module_means_are_nearly_normal():
    # 200 modules: the spread of the drawn means is that of the sample, divisor n.
    values = np.random.default_rng(0).normal(5, 2, 200)
    found = resample_clusters(np.arange(200), mean_of(values), draws=2000, seed=1)
    reach = 1.6448536269514722 * values.std() / 200**0.5
    assert found.value == pytest.approx(values.mean())
    assert found.low == pytest.approx(values.mean() - reach, abs=0.06 * reach)
    assert found.high == pytest.approx(values.mean() + reach, abs=0.06 * reach)


def test_copies_within_modules_do_not_narrow_the_limits():
    values = np.random.default_rng(0).normal(5, 2, 40)
    one = resample_clusters(np.arange(40), mean_of(values), draws=300)
    five = resample_clusters(np.repeat(np.arange(40), 5), mean_of(np.repeat(values, 5)), draws=300)
    assert (five.low, five.high) == pytest.approx((one.low, one.high))


def test_the_same_seed_gives_the_same_limits_and_another_others():
    values = np.random.default_rng(0).normal(5, 2, 40)
    one, same, other = (
        resample_clusters(np.arange(40), mean_of(values), draws=50, seed=seed) for seed in (3, 3, 4)
    )
    assert one == same
    assert one.low != other.low


def test_limits_are_quantiles_at_the_level():
    drawn = []
    values = np.random.default_rng(0).normal(5, 2, 40)
    found = resample_clusters(
        np.arange(40), lambda times: drawn.append(mean_of(values)(times)) or drawn[-1], draws=101, level=0.8
    )
    assert (found.low, found.high) == pytest.approx(
        (np.quantile(drawn[1:], 0.1), np.quantile(drawn[1:], 0.9))
    )
    assert (found.level, found.draws, found.clusters) == (0.8, 101, 40)


def test_an_array_of_statistics():
    values = np.random.default_rng(0).normal(5, 2, 40)
    found = resample_clusters(np.arange(40), lambda times: np.array([times @ values, times.sum()]), draws=50)
    assert found.value.shape == found.low.shape == (2,)
    assert found.low[1] == found.high[1] == 40


@pytest.mark.parametrize("nothing", [np.nan, np.inf])
def test_draws_that_give_no_number_are_counted(nothing):
    missed = []

    def statistic(
        times,
    ):  # not computable where the first module was not drawn: in about a third of the draws
        missed.append(times[0] == 0)
        return np.array([times.sum(), nothing if missed[-1] else 1.0])

    found = resample_clusters(np.arange(40), statistic, draws=400)
    assert 100 < sum(missed) < 200
    assert found.note == f"In {sum(missed) / 4:.3g} % of the draws the statistic could not be computed."
    assert (found.low[1], found.high[1]) == (1.0, 1.0)


def test_a_single_draw_is_allowed():
    assert resample_clusters(np.arange(40), mean_of(range(40)), draws=1).draws == 1


def test_with_fewer_than_half_the_draws_there_are_no_limits():
    found = resample_clusters(np.arange(40), lambda times: 1.0 if times[:2].min() > 0 else np.nan, draws=100)
    assert np.isnan(found.low)
    assert np.isnan(found.high)


def test_few_modules_are_said():
    assert (
        resample_clusters(np.arange(19), mean_of(range(19)), draws=5).note
        == "Only 19 modules: the limits are likely too narrow."
    )
    assert resample_clusters(np.arange(20), mean_of(range(20)), draws=5).note == ""


@pytest.mark.parametrize(
    ("cluster", "draws", "message"),
    [
        (["a", "a"], 10, "Drawing modules again takes two or more; found 1."),
        (["a", "b"], 0, "draws must be 1 or more; found 0."),
    ],
)
def test_too_little_to_draw_from(cluster, draws, message):
    with pytest.raises(SpellError, match=f"^{message}$"):
        resample_clusters(cluster, lambda times: 0.0, draws=draws)
