import re

import numpy as np
import pytest

from maintkit.survival.results import SpellError
from maintkit.survival.weibull import fit_weibull

Z90 = 1.6448536269514722


def minus_loglik(spells, log_shape, log_scale):
    """Row by row, with numpy alone."""
    hazard = lambda age: (age / np.exp(log_scale)) ** np.exp(log_shape)  # noqa: E731
    gone = hazard(spells["exit"]) - hazard(spells["entry"])
    seen = np.where(spells["interval_censored"], np.log(-np.expm1(-gone)), -gone)
    density = log_shape - log_scale + (np.exp(log_shape) - 1) * (np.log(spells["exit"]) - log_scale)
    return -float(spells["weight"] @ (seen + spells["event"] * density))


def hidden_case(random_spells, seed):
    spells, group = random_spells(seed)
    spells["interval_censored"] = ~spells["event"] & (group == 0)
    return spells


@pytest.mark.parametrize("seed", range(6))
def test_the_top_as_a_general_optimiser_finds_it(random_spells, seed):
    from scipy.optimize import minimize

    spells = hidden_case(random_spells, seed)
    life = fit_weibull(**spells)
    found = minimize(
        lambda theta: minus_loglik(spells, *theta),
        [0.0, 2.5],
        method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-11, "maxiter": 2000},
    )
    assert life.loglik == pytest.approx(-found.fun, abs=1e-8)
    np.testing.assert_allclose([life.log_shape, life.log_scale], found.x, atol=1e-5)


@pytest.mark.parametrize("seed", range(3))
def test_limits_lie_where_the_best_likelihood_given_them_has_dropped_so_far(random_spells, seed):
    from scipy.optimize import minimize_scalar

    spells = hidden_case(random_spells, seed)
    life = fit_weibull(**spells)
    aim = -life.loglik + Z90**2 / 2
    for limit in (life.shape.low, life.shape.high):
        best = minimize_scalar(
            lambda scale, limit=limit: minus_loglik(spells, np.log(limit), scale),
            bounds=(0, 8),
            method="bounded",
            options={"xatol": 1e-9},
        )
        assert best.fun == pytest.approx(aim, abs=1e-6)
    for estimate, hazard in ((life.scale, 1.0), (life.b10, -np.log(0.9)), (life.median, np.log(2))):
        for limit in (estimate.low, estimate.high):

            def held(shape, limit=limit, hazard=hazard):
                return minus_loglik(spells, shape, np.log(limit) - np.log(hazard) * np.exp(-shape))

            best = minimize_scalar(held, bounds=(-3, 3), method="bounded", options={"xatol": 1e-9})
            assert best.fun == pytest.approx(aim, abs=1e-6)
        assert estimate.low < estimate.value < estimate.high


@pytest.mark.parametrize("seed", range(3))
def test_right_censored_as_in_scipy(random_spells, seed):
    from scipy.stats import CensoredData, weibull_min

    spells, _ = random_spells(seed)
    exit, event = spells["exit"], spells["event"]
    shape, _, scale = weibull_min.fit(CensoredData(uncensored=exit[event], right=exit[~event]), floc=0)
    life = fit_weibull(np.zeros(len(exit)), exit, event)
    assert life.shape.value == pytest.approx(shape, rel=1e-4)  # scipy stops about 1e-5 short
    assert life.scale.value == pytest.approx(scale, rel=1e-4)


@pytest.mark.parametrize("seed", range(3))
def test_late_entry_as_in_lifelines(random_spells, seed):
    from lifelines import WeibullFitter

    spells, _ = random_spells(seed)
    found = WeibullFitter().fit(
        spells["exit"], spells["event"], entry=spells["entry"], weights=spells["weight"]
    )
    life = fit_weibull(**spells)
    assert life.shape.value == pytest.approx(found.rho_, rel=1e-4)
    assert life.scale.value == pytest.approx(found.lambda_, rel=1e-4)
    assert life.loglik == pytest.approx(found.log_likelihood_, abs=1e-6)
    # Its covariance is in (scale, shape); ours in logs of (shape, scale).
    turn = np.diag([1 / found.rho_, 1 / found.lambda_])
    theirs = turn @ found.variance_matrix_.loc[["rho_", "lambda_"], ["rho_", "lambda_"]].to_numpy() @ turn
    np.testing.assert_allclose(life.covariance, theirs, rtol=2e-3)


def test_quantiles_and_curve_agree(random_spells):
    life = fit_weibull(**random_spells(1)[0])
    assert life.survival(life.b10.value) == pytest.approx(0.9)
    assert life.survival(life.median.value) == pytest.approx(0.5)
    assert life.cumulative_hazard(life.scale.value) == pytest.approx(1)
    np.testing.assert_allclose(life.survival([0, -1, 5]), [1, 1, np.exp(-life.cumulative_hazard(5))])


def test_the_unit_of_time_changes_ages_only(random_spells):
    spells, _ = random_spells(2)
    hours = fit_weibull(**spells)
    years = fit_weibull(spells["entry"] / 8766, spells["exit"] / 8766, spells["event"], spells["weight"])
    for name, factor in (("shape", 1), ("scale", 8766), ("b10", 8766), ("median", 8766)):
        one, other = getattr(hours, name), getattr(years, name)
        expected = np.multiply([other.value, other.low, other.high], factor)
        np.testing.assert_allclose([one.value, one.low, one.high], expected, rtol=1e-7)


def test_hidden_failures_bring_half_their_interval():
    life = fit_weibull([0, 0, 2, 0], [4, 6, 5, 7], [1, 0, 0, 0], [1, 1, 2, 1], interval_censored=[0, 0, 1, 0])
    assert life.failures == 3
    assert life.exposure == 4 + 6 + 2 * 1.5 + 7
    assert life.rate.value == pytest.approx(3 / 20)
    assert life.rate.note == (
        "2 of the failures were found by planned work; each brings half the time in which it happened."
    )


@pytest.mark.parametrize(
    ("failures", "note"),
    [
        (0, "Only 0 failures: a shape takes at least 5, so the rate alone is given."),
        (1, "Only 1 failure: a shape takes at least 5, so the rate alone is given."),
        (4, "Only 4 failures: a shape takes at least 5, so the rate alone is given."),
    ],
)
def test_with_fewer_than_5_failures_the_rate_alone(failures, note):
    life = fit_weibull([0] * 9, range(1, 10), [1] * failures + [0] * (9 - failures))
    assert (life.shape, life.scale, life.b10, life.median, life.log_shape, life.covariance) == (None,) * 6
    assert life.note == note
    assert life.rate.value == pytest.approx(failures / 45)
    assert (life.failures, life.exposure, life.level) == (failures, 45, 0.9)


def test_5_failures_make_a_shape():
    life = fit_weibull([0] * 9, range(1, 10), [1] * 5 + [0] * 4)
    assert life.shape.failures == 5
    assert life.note == ""


def test_without_a_fit_there_is_no_curve():
    life = fit_weibull([0, 0], [3, 5], [1, 0])
    message = (
        "There is no Weibull life to draw on. Only 1 failure: a shape takes at least 5, so the rate alone is "
        "given."
    )
    with pytest.raises(SpellError, match=f"^{re.escape(message)}$"):
        life.survival(3)


def test_failures_at_one_age_carry_no_shape():
    life = fit_weibull([0] * 8, [5] * 6 + [9, 9], [1] * 6 + [0, 0])
    assert life.shape is None
    assert life.note == "All 6 failures are at one age (5): they carry no shape, so the rate alone is given."


@pytest.mark.parametrize(
    "spells",
    [
        dict(entry=[0] * 6, exit=[5, 5, 5, 5.001, 5.001, 5.001], event=[1] * 6),  # the shape runs off upwards
        dict(entry=[0] * 6, exit=[10] * 6, event=[0] * 6, interval_censored=[1] * 6),  # every life fits
        dict(entry=[2, 3, 4, 1, 2], exit=[10, 11, 12, 10, 13], event=[0] * 5, interval_censored=[1] * 5),
    ],
)
def test_a_likelihood_without_top_gives_the_rate_alone(spells):
    life = fit_weibull(**spells)
    assert life.shape is None
    assert (
        life.note == "The likelihood has no top within any shape a part can have, so the rate alone is given."
    )
    assert life.rate.value > 0


def test_a_limit_that_is_never_reached_is_none():
    # Each part watched for a tenth of an hour at an age of 100: any shape below does as well as the best.
    entry = np.arange(100.0, 106)
    life = fit_weibull(entry, entry + 0.1, [1] * 6)
    assert life.shape.low is None
    assert life.shape.high == pytest.approx(44.3, abs=0.05)
    assert life.shape.note == "The data set no lower limit."
    at_limit = minus_loglik(
        dict(
            entry=entry,
            exit=entry + 0.1,
            event=np.ones(6),
            interval_censored=np.zeros(6, bool),
            weight=np.ones(6),
        ),
        life.log_shape,
        life.log_scale,
    )
    assert at_limit == pytest.approx(-life.loglik)


def test_an_age_far_beyond_the_records_is_not_given():
    life = fit_weibull([0] * 1000, [1, 2, 3, 4, 5] + [1e5] * 995, [1] * 5 + [0] * 995)
    assert (life.median.value, life.median.high) == (None, None)
    assert life.median.note == (
        "Not reached: more than 10 times as far as the records go; the oldest part watched was 100,000."
    )
    assert life.shape.value < 0.2


def test_an_age_beyond_the_oldest_part_is_marked():
    life = fit_weibull([0] * 30, [2, 3, 4, 5, 6] + [7] * 25, [1] * 5 + [0] * 25)
    assert 7 < life.median.value < 70
    assert life.median.note == "Beyond what was seen; the oldest part watched was 7."
    assert life.b10.note == ""


def test_a_row_is_not_both_event_and_hidden():
    message = "Row 2 is both event and interval_censored. A failure was either seen on its day (event) or found later (interval_censored)."
    with pytest.raises(SpellError, match=f"^{re.escape(message)}$"):
        fit_weibull([0, 0], [3, 5], [1, 1], interval_censored=[0, 1])


def test_hidden_has_as_many_rows():
    with pytest.raises(
        SpellError,
        match="^The columns must have the same number of rows; found exit 2, interval_censored 1.$",
    ):
        fit_weibull([0, 0], [3, 5], [1, 1], interval_censored=[0])


def test_hidden_rows_of_no_weight_are_left_out():
    spells = dict(entry=[0] * 7, exit=[3, 4, 5, 6, 8, 9, 2], event=[1] * 5 + [0, 0])
    with_it = fit_weibull(**spells, weight=[1] * 6 + [0], interval_censored=[0] * 6 + [1])
    without = fit_weibull(*(column[:6] for column in spells.values()))
    assert with_it.shape.value == pytest.approx(without.shape.value, rel=1e-12)
    assert with_it.failures == 5


def test_a_wider_level_gives_wider_limits(random_spells):
    spells, _ = random_spells(3)
    narrow, wide = fit_weibull(**spells, level=0.5), fit_weibull(**spells, level=0.99)
    assert wide.shape.low < narrow.shape.low < narrow.shape.high < wide.shape.high
    assert (narrow.shape.level, narrow.rate.level) == (0.5, 0.5)


def test_limits_cover_as_often_as_they_say():
    # 90 % limits of the shape from 100 samples of 20 lives: 90 expected, binomial sd 3.
    generator = np.random.default_rng(11)
    held = 0
    for _ in range(100):
        lives = 10 * generator.weibull(2.0, 20)
        exit = np.minimum(lives, 12)
        shape = fit_weibull(np.zeros(20), exit, lives < 12).shape
        held += shape.low <= 2.0 <= shape.high
    assert 82 <= held <= 98


def test_limits_take_few_looks_at_the_likelihood(random_spells, monkeypatch):
    # Eight limits, each some four Newton steps: speed is part of the promise of one review in seconds.
    from maintkit.survival import weibull

    looks = []
    plain = weibull.weibull_loglik
    monkeypatch.setattr(weibull, "weibull_loglik", lambda *given: (looks.append(1), plain(*given))[1])
    fit_weibull(**random_spells(1)[0])
    assert 25 < len(looks) < 60


@pytest.mark.parametrize("seed", range(4))
def test_a_limit_is_the_same_whether_all_moves_at_once_or_one_thing_at_a_time(
    random_spells, monkeypatch, seed
):
    spells = random_spells(seed)[0]
    at_once = fit_weibull(**spells)
    monkeypatch.setattr("maintkit.survival.weibull_profile.profile_point", lambda *about: None)
    in_turn = fit_weibull(**spells)
    for name in ("shape", "scale", "b10", "median"):
        one, other = getattr(at_once, name), getattr(in_turn, name)
        assert (one.low, one.high) == pytest.approx((other.low, other.high), rel=1e-7)


def test_only_what_is_asked_for_gets_limits_and_the_rest_says_so(random_spells):
    spells = random_spells(2)[0]
    whole, some = fit_weibull(**spells), fit_weibull(**spells, limited=("shape", "b10"))
    assert (some.shape, some.b10) == (whole.shape, whole.b10)
    assert (some.scale.value, some.median.value) == (whole.scale.value, whole.median.value)
    assert (some.scale.low, some.scale.high, some.scale.note) == (
        None,
        None,
        "Its limits were not asked for.",
    )
    assert fit_weibull(**spells, limited=("b10",)).shape.note == "Its limits were not asked for."
