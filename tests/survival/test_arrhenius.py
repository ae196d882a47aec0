"""The Arrhenius fit: by hand, against lifelines and a plain likelihood, and what it refuses."""

import numpy as np
import pytest
from scipy import optimize, stats

from maintkit.survival.arrhenius import fit_arrhenius
from maintkit.survival.results import SpellError
from maintkit.survival.temperature import inverse_ev


def arrhenius_factor(energy_ev, cool_c, hot_c):
    """How many times as fast at the hotter: exp(E / k (1/T - 1/T')), k = 8.617333e-5 eV/K (CODATA)."""
    return np.exp(energy_ev / 8.617333262e-5 * (1 / (cool_c + 273.15) - 1 / (hot_c + 273.15)))


def simulated(seed, n=150, late=True):
    generator = np.random.default_rng(seed)
    air_c = generator.choice([35.0, 42.0, 51.0, 60.0], n)
    life = np.exp(-20 + 0.8 * inverse_ev(air_c) + 0.6 * np.log(generator.exponential(size=n)))
    entry = generator.uniform(0, 8000, n) * late * (generator.uniform(size=n) < 0.6)
    keep = life > entry
    stop = entry + generator.uniform(500, 20_000, n)
    exit = np.minimum(life, stop)
    return (
        entry[keep],
        exit[keep],
        (life <= stop)[keep],
        air_c[keep],
        generator.integers(1, 4, n)[keep].astype(float),
    )


def minus_loglik(theta, columns, distribution):
    """Written apart: scipy's distributions of the age itself, left truncated."""
    entry, exit, event, air_c, weight = columns
    middle, sigma = theta[0] + theta[1] * inverse_ev(air_c), np.exp(theta[2])
    law = (
        stats.lognorm(sigma, scale=np.exp(middle))
        if distribution == "lognormal"
        else stats.weibull_min(1 / sigma, scale=np.exp(middle))
    )
    seen = np.where(event, law.logpdf(exit), law.logsf(exit)) - law.logsf(entry)
    return -np.sum(weight * seen)


@pytest.mark.parametrize("distribution", ["lognormal", "weibull"])
@pytest.mark.parametrize("seed", range(4))
def test_agrees_with_a_plain_likelihood_and_its_numerical_curvature(seed, distribution):
    columns = simulated(seed)
    found = fit_arrhenius(*columns, distribution=distribution)
    theta = np.array([found.intercept, found.energy_ev.value, np.log(found.sigma)])
    assert -found.loglik == pytest.approx(minus_loglik(theta, columns, distribution), rel=1e-10)

    def cost(at):
        return minus_loglik(at, columns, distribution)

    moved = optimize.minimize(
        cost,
        theta + [0.3, -0.01, 0.05],
        method="Nelder-Mead",
        options={"xatol": 1e-7, "fatol": 1e-9, "maxiter": 4000, "maxfev": 4000},
    )
    assert -found.loglik <= moved.fun + 1e-6
    np.testing.assert_allclose(theta, moved.x, rtol=2e-3, atol=2e-3)
    step = np.diag([1e-3, 3e-5, 1e-3])
    curvature = np.array(
        [
            [
                (cost(theta + a + b) - cost(theta + a - b) - cost(theta - a + b) + cost(theta - a - b))
                / (4 * a.sum() * b.sum())
                for b in step
            ]
            for a in step
        ]
    )
    np.testing.assert_allclose(np.diag(found.covariance), np.diag(np.linalg.inv(curvature)), rtol=0.02)


@pytest.mark.parametrize("distribution", ["lognormal", "weibull"])
def test_agrees_with_lifelines_without_late_entry(distribution):
    import lifelines
    import pandas as pd

    entry, exit, event, air_c, weight = simulated(9, late=False)
    frame = pd.DataFrame({"exit": exit, "event": event, "x": inverse_ev(air_c) - 36, "w": weight})
    fitter = lifelines.LogNormalAFTFitter() if distribution == "lognormal" else lifelines.WeibullAFTFitter()
    fitter.fit(frame, "exit", "event", weights_col="w")
    main, ancillary = ("mu_", "sigma_") if distribution == "lognormal" else ("lambda_", "rho_")
    found = fit_arrhenius(entry, exit, event, air_c, weight, distribution=distribution)
    assert found.energy_ev.value == pytest.approx(fitter.params_[main]["x"], rel=1e-4)
    sign = 1 if distribution == "lognormal" else -1
    assert np.log(found.sigma) == pytest.approx(sign * fitter.params_[ancillary]["Intercept"], abs=1e-4)
    assert found.loglik == pytest.approx(fitter.log_likelihood_, rel=1e-6)
    error = np.sqrt(found.covariance[1, 1])
    assert error == pytest.approx(fitter.standard_errors_[main]["x"], rel=1e-3)
    assert found.energy_ev.high - found.energy_ev.value == pytest.approx(stats.norm.ppf(0.95) * error)
    assert found.energy_ev.value - found.energy_ev.low == pytest.approx(stats.norm.ppf(0.95) * error)


def test_a_weight_stands_for_identical_parts():
    entry, exit, event, air_c, weight = simulated(2)
    times = weight.astype(int)
    rows = [np.repeat(column, times) for column in (entry, exit, event, air_c)]
    heavy, spelled_out = fit_arrhenius(entry, exit, event, air_c, weight), fit_arrhenius(*rows)
    assert heavy.energy_ev.value == pytest.approx(spelled_out.energy_ev.value, rel=1e-8)
    assert heavy.loglik == pytest.approx(spelled_out.loglik)
    assert (heavy.failures, heavy.exposure) == (spelled_out.failures, pytest.approx(spelled_out.exposure))
    assert heavy.exposure == pytest.approx(np.sum(weight * (exit - entry)))


def test_complete_lognormal_lives_are_a_least_squares_line():
    generator = np.random.default_rng(6)
    air_c = np.repeat([40.0, 55.0, 70.0], 6)
    exit = np.exp(-15 + 0.7 * inverse_ev(air_c) + generator.normal(0, 0.3, 18))
    line = stats.linregress(inverse_ev(air_c), np.log(exit))
    found = fit_arrhenius(np.zeros(18), exit, np.ones(18), air_c)
    assert found.energy_ev.value == pytest.approx(line.slope, rel=1e-9)
    assert found.intercept == pytest.approx(line.intercept, rel=1e-9)
    residual = np.log(exit) - line.intercept - line.slope * inverse_ev(air_c)
    assert found.sigma == pytest.approx(np.sqrt(np.mean(residual**2)))


def test_limits_by_module_widen_when_every_row_is_there_four_times():
    entry, exit, event, air_c, _ = simulated(4)
    n = len(exit)
    plain = fit_arrhenius(entry, exit, event, air_c)
    four = [np.tile(column, 4) for column in (entry, exit, event, air_c)]
    naive = fit_arrhenius(*four)
    clustered = fit_arrhenius(*four, cluster=np.tile(np.arange(n), 4))
    by_row = fit_arrhenius(entry, exit, event, air_c, cluster=np.arange(n))
    np.testing.assert_allclose(naive.covariance * 4, plain.covariance, rtol=1e-6)
    np.testing.assert_allclose(clustered.covariance, by_row.covariance, rtol=1e-6)
    np.testing.assert_allclose(np.diag(by_row.covariance)[:2], np.diag(plain.covariance)[:2], rtol=0.3)
    assert (
        clustered.note == clustered.energy_ev.note == "Limits allow for parts of one module failing together."
    )
    assert plain.note == ""


def test_clustered_covariance_is_the_sandwich_of_summed_slopes():
    columns = simulated(7, n=60)
    cluster = np.arange(len(columns[0])) % 9
    found = fit_arrhenius(*columns, cluster=cluster)
    plain = fit_arrhenius(*columns)
    theta = np.array([found.intercept, found.energy_ev.value, np.log(found.sigma)])
    slopes = []
    for name in range(9):
        rows = tuple(column[cluster == name] for column in columns)
        ends = [
            [minus_loglik(theta + sign * h, rows, "lognormal") for sign in (-1, 1)]
            for h in np.diag([1e-5, 1e-6, 1e-5])
        ]
        slopes.append(-np.diff(ends)[:, 0] / [2e-5, 2e-6, 2e-5])
    meat = np.transpose(slopes) @ np.array(slopes)
    np.testing.assert_allclose(
        found.covariance, plain.covariance @ meat @ plain.covariance * 9 / 8, rtol=1e-3
    )


def test_factor_and_life_follow_from_the_fit():
    found = fit_arrhenius(*simulated(1), distribution="weibull", level=0.80)
    factor = found.factor(35, 60)
    energies = np.array([found.energy_ev.low, found.energy_ev.value, found.energy_ev.high])
    assert (factor.low, factor.value, factor.high) == pytest.approx(tuple(arrhenius_factor(energies, 35, 60)))
    back = found.factor(60, 35)
    assert (back.low, back.value, back.high) == pytest.approx(
        (1 / factor.high, 1 / factor.value, 1 / factor.low)
    )
    life = found.life_at(50, failed=0.1)
    middle = found.intercept + found.energy_ev.value * inverse_ev(50)
    assert life.value == pytest.approx(stats.weibull_min(1 / found.sigma, scale=np.exp(middle)).ppf(0.1))
    row = np.array([1, inverse_ev(50), np.log(life.value) - middle])
    spread = stats.norm.ppf(0.9) * np.sqrt(row @ found.covariance @ row)
    assert (life.low, life.high) == pytest.approx((life.value * np.exp(-spread), life.value * np.exp(spread)))
    assert (life.failures, life.level) == (found.failures, 0.80)


def test_the_median_of_a_lognormal_life_needs_no_sigma():
    found = fit_arrhenius(*simulated(1))
    assert found.life_at(50).value == pytest.approx(
        np.exp(found.intercept + found.energy_ev.value * inverse_ev(50))
    )
    assert str(found) == f"Activation energy in eV (lognormal): {found.energy_ev}"


def test_four_failures_give_no_energy():
    found = fit_arrhenius([0] * 6, [5, 6, 7, 8, 9, 9], [1, 1, 1, 1, 0, 0], [40, 50, 60, 70, 40, 50])
    assert (found.energy_ev.value, found.intercept, found.covariance) == (None, None, None)
    assert found.note == found.energy_ev.note == "Only 4 failures: a temperature law takes at least 5."
    assert (found.failures, found.exposure) == (4, 44)
    assert found.factor(40, 50) == found.energy_ev and found.life_at(50) == found.energy_ev


def test_one_temperature_gives_no_energy():
    found = fit_arrhenius([0] * 5, [5, 6, 7, 8, 9], [1] * 5, [40] * 5)
    assert found.note == "All spells were at one temperature: nothing to compare."


def test_failures_at_one_age_and_temperature_alone_pin_down_nothing():
    found = fit_arrhenius([0] * 7, [5] * 5 + [4, 4], [1] * 5 + [0, 0], [60] * 5 + [40, 40])
    assert found.energy_ev.value is None
    assert found.note == "The fit did not settle: the records do not pin down a temperature law."


@pytest.mark.parametrize(
    ("columns", "options", "message"),
    [
        (
            ([0, 0], [1, 2], [1, 1], [40, 50]),
            {"distribution": "normal"},
            "Unknown distribution 'normal'. Known are lognormal and weibull.",
        ),
        (([0, 0], [1, 2], [1], [40, 50]), {}, "Every spell needs all its columns; they have [1, 2] rows."),
        (
            ([0, 3], [1, 3], [1, 1], [40, 50]),
            {},
            "1 of 2 spells cannot be right; the first is row 2: entry 3, exit 3. "
            "An age is 0 or more and a spell takes time.",
        ),
        (
            ([-1, 3], [1, 4], [1, 1], [40, 50]),
            {},
            "1 of 2 spells cannot be right; the first is row 1: entry -1, exit 1. "
            "An age is 0 or more and a spell takes time.",
        ),
        (
            ([0, 3], [1, 4], [1, 1], [40, np.nan]),
            {},
            "A spell has no temperature. Leave such spells out and say how many.",
        ),
    ],
)
def test_what_cannot_be_used_is_said(columns, options, message):
    with pytest.raises(SpellError) as caught:
        fit_arrhenius(*columns, **options)
    assert str(caught.value) == message
