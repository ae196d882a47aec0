import numpy as np
import pytest

from maintkit.survival.rate_trend import rate_ratio_a_step
from maintkit.survival.results import SpellError


def test_rates_that_double_with_each_step_give_two():
    found = rate_ratio_a_step([5, 10, 20, 40], [10, 10, 10, 10], [0, 1, 2, 3], list("abcd"))
    assert found.ratio == pytest.approx(2, rel=1e-9)


def test_two_places_give_the_plain_rate_ratio():
    # By hand: 12/30 over 8/40 = 2.
    found = rate_ratio_a_step([5, 7, 3, 5], [10, 20, 15, 25], [1, 1, 0, 0], list("abcd"))
    assert found.ratio == pytest.approx(2, rel=1e-9)
    assert (found.events_a, found.exposure_a) == (20, 70)


@pytest.mark.parametrize("seed", range(5))
def test_it_agrees_with_poisson_regression_of_statsmodels(seed):
    import statsmodels.api as sm

    generator = np.random.default_rng(seed)
    module = np.repeat(np.arange(40), 4)
    score, exposure = np.tile([0, 1, 2, 3], 40), generator.uniform(1, 5, 160)
    events = generator.poisson(
        exposure * np.exp(-1 + 0.3 * score) * np.repeat(generator.gamma(3, 1 / 3, 40), 4)
    )
    found = rate_ratio_a_step(events, exposure, score, module)
    other = sm.GLM(events, sm.add_constant(score), family=sm.families.Poisson(), offset=np.log(exposure)).fit(
        cov_type="cluster", cov_kwds={"groups": module, "use_correction": False}
    )
    assert np.log(found.ratio) == pytest.approx(other.params[1], rel=1e-6)
    from scipy.stats import t

    wide = t.ppf(0.95, 39) * other.bse[1] * np.sqrt(40 / 39)
    assert np.log([found.low, found.high]) == pytest.approx(
        [other.params[1] - wide, other.params[1] + wide], rel=1e-6
    )
    assert found.p == pytest.approx(
        2 * t.sf(abs(other.params[1]) / (other.bse[1] * np.sqrt(40 / 39)), 39), rel=1e-6
    )


def test_four_events_are_too_few():
    found = rate_ratio_a_step([1, 3], [10, 10], [0, 1], ["a", "b"])
    assert found.ratio is None
    assert found.note == "4 events on 2 places of the scale: too little to tell a trend."


def test_one_place_on_the_scale_tells_no_trend():
    assert rate_ratio_a_step([5, 3], [10, 10], [1, 1], ["a", "b"]).ratio is None


def test_cells_without_exposure_say_nothing():
    whole = rate_ratio_a_step([5, 10, 0], [10, 10, 0], [0, 1, 9], ["a", "b", "c"])
    assert whole.ratio == pytest.approx(2, rel=1e-9)


def test_unequal_lengths_are_refused():
    with pytest.raises(
        SpellError, match="Every cell needs all four: 1 events, 2 exposures, 2 scores, 2 modules"
    ):
        rate_ratio_a_step([1], [1, 2], [1, 2], ["a", "b"])
