"""Weibull life against published fits; values marked R come from R 4.2.2, survival 3.5-3 (survreg)."""

from pathlib import Path

import numpy as np
import pytest

from maintkit.survival.weibull import fit_weibull
from maintkit.survival.weibull_regression import weibull_regression

# 23 deep-groove ball bearings, millions of revolutions; Lieblein & Zelen (1956), J. Res. NBS 57, 273-316. The seventh
# value goes round as 48.40, 48.48 and 48.80: the data are pinned here, not only named.
BEARINGS = [
    17.88,
    28.92,
    33.00,
    41.52,
    42.12,
    45.60,
    48.40,
    51.84,
    51.96,
    54.12,
    55.56,
    67.80,
    68.64,
    68.64,
    68.88,
    84.12,
    93.12,
    98.64,
    105.12,
    105.84,
    127.92,
    128.04,
    173.40,
]

# 70 diesel generator fans: hours, 1 = failed, count; Nelson (1982), Applied Life Data Analysis, p. 133.
FANS = np.loadtxt(Path(__file__).parent / "diesel_fans.csv", delimiter=",", skiprows=1)


def life_of(time, event, weight=None, **options):
    return fit_weibull(np.zeros(len(time)), time, event, weight, **options)


@pytest.fixture(scope="module")
def bearings():
    return life_of(BEARINGS, [True] * 23, level=0.95)


@pytest.fixture(scope="module")
def fans():
    return life_of(*FANS.T, level=0.95)


def test_bearings_shape_and_scale(bearings):
    # Printed by Lawless (2003) and Meeker & Escobar (1998): 2.102 and 81.88. All digits: R and lifelines.
    assert bearings.shape.value == pytest.approx(2.101846863765, abs=5e-11)
    assert bearings.scale.value == pytest.approx(81.874558724108, abs=5e-10)
    assert bearings.loglik == pytest.approx(-113.691959087690, abs=5e-11)
    assert bearings.failures == 23


def test_bearings_with_the_other_seventh_value():
    # 48.48, as in Leemis (2009), Reliability, p. 222.
    life = life_of([48.48 if time == 48.40 else time for time in BEARINGS], [True] * 23)
    assert life.shape.value == pytest.approx(2.102058875195, abs=5e-11)
    assert life.scale.value == pytest.approx(81.878334051632, abs=5e-10)
    assert life.loglik == pytest.approx(-113.691290932320, abs=5e-11)


def test_bearings_profile_limits(bearings):
    # Likelihood-ratio limits, computed once with scipy's root finder on the profile likelihood; 8 digits.
    for estimate, low, high in (
        (bearings.shape, 1.50399124, 2.79126535),
        (bearings.scale, 65.69456018, 100.87287732),
        (bearings.b10, 16.28492934, 40.75997563),
        (bearings.median, 53.14793808, 85.41755328),
    ):
        assert estimate.low == pytest.approx(low, rel=1e-8)
        assert estimate.high == pytest.approx(high, rel=1e-8)


def test_bearings_b10_and_median(bearings):
    assert bearings.b10.value == pytest.approx(28.06508896, abs=5e-8)  # R survreg, predict(type = "quantile")
    assert bearings.median.value == pytest.approx(68.77303254, abs=5e-8)


def test_bearings_covariance(bearings):
    # R: se(mu) .1050500499, se(log sigma) .1563659717, cov(mu, log sigma) -.005402699486; log shape = -log sigma.
    np.testing.assert_allclose(
        bearings.covariance, [[0.1563659717**2, 0.005402699486], [0.005402699486, 0.1050500499**2]], rtol=1e-8
    )


def test_fans_shape_and_scale(fans):
    # Meeker & Escobar (1998) print mu 10.1771, sigma .9448, beta 1.058 (from memory); R, lifelines and scipy agree.
    assert fans.shape.value == pytest.approx(1.058445849944, abs=5e-11)
    assert fans.scale.value == pytest.approx(26296.845174820515, rel=1e-11)
    assert fans.loglik == pytest.approx(-135.1527199433565, abs=5e-11)
    assert (fans.failures, fans.exposure) == (
        12,
        344440,
    )  # Nelson (1982), p. 133: 12 failures in 344,440 hours


def test_fans_profile_limits(fans):
    for estimate, low, high in (
        (fans.shape, 0.60597419, 1.65794086),
        (fans.scale, 13631.239, 106086.9205),
        (fans.b10, 1420.24658, 5662.48431),
        (fans.median, 10506.36438, 60767.98294),
    ):
        assert estimate.low == pytest.approx(low, rel=1e-7)
        assert estimate.high == pytest.approx(high, rel=1e-7)


def test_fans_covariance(fans):
    np.testing.assert_allclose(
        fans.covariance, [[0.2534385351**2, -0.09572761123], [-0.09572761123, 0.465889661**2]], rtol=1e-7
    )


def test_fans_rate(fans):
    assert fans.rate.value == pytest.approx(12 / 344440, rel=1e-12)


@pytest.mark.parametrize(
    ("first", "shape", "scale", "loglik"),
    [(54, 1.720797261, 606.527558, -75.13461816), (55, 1.725625753, 606.004798, -75.12184563)],
)
def test_nist_apr413_both_printed_versions(first, shape, scale, loglik):
    # NIST/SEMATECH e-Handbook 8.4.1.3 prints 1.7208 and 606.5280 for a first failure at 54 h; its own script has 55 h
    # and
    # prints 1.72563 and 606.00500. Nine digits: R, lifelines and scipy.
    time = [first, 187, 216, 240, 244, 335, 361, 373, 375, 386] + [500] * 10
    life = life_of(time, [1] * 10 + [0] * 10)
    assert life.shape.value == pytest.approx(shape, abs=5e-9)
    assert life.scale.value == pytest.approx(scale, abs=5e-6)
    assert life.loglik == pytest.approx(loglik, abs=5e-8)


def test_nist_apr413_b10():
    life = life_of([54, 187, 216, 240, 244, 335, 361, 373, 375, 386] + [500] * 10, [1] * 10 + [0] * 10)
    assert life.b10.value == pytest.approx(164.0224387, abs=5e-7)


# Regressions. Published as accelerated failure time, log T = intercept + effect x + sigma W, which for the Weibull is
# proportional hazards with coefficient -effect / sigma.
def test_freireich_weibull_regression():
    # R survreg: intercept 3.515687, placebo -1.267335, log scale -0.311709, loglik -106.579491582.
    sixmp = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
    relapse = [1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0]
    placebo = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]
    fit = weibull_regression(np.zeros(42), sixmp + placebo, relapse + [1] * 21, np.repeat([0.0, 1.0], 21))
    assert fit.log_shape == pytest.approx(0.311709, abs=5e-7)
    assert fit.log_scale == pytest.approx(3.515687, abs=5e-7)
    assert fit.coefficients[0] == pytest.approx(1.267335 * np.exp(0.311709), abs=2e-6)
    assert fit.loglik == pytest.approx(-106.579491582, abs=5e-10)


def test_capacitor_life_test_two_covariates():
    # Glass capacitors, hours at temperature (C) and volts, 8 a cell, stopped at the fourth failure; Meeker & Escobar
    # (1998).
    # R survreg: intercept 13.40701688, temperature -0.02890466, voltage -0.00591082, log scale -1.01112578, loglik
    # -244.242343346.
    cells = {
        (170, 200): [439, 904, 1092, 1105],
        (170, 250): [572, 690, 904, 1090],
        (170, 300): [315, 315, 439, 628],
        (170, 350): [258, 258, 347, 588],
        (180, 200): [959, 1065, 1065, 1087],
        (180, 250): [216, 315, 455, 473],
        (180, 300): [241, 315, 332, 380],
        (180, 350): [241, 241, 435, 455],
    }
    exit = np.concatenate([[*hours, hours[-1]] for hours in cells.values()])
    design = np.repeat(np.array(list(cells), float), 5, axis=0)
    event, weight = np.tile([1, 1, 1, 1, 0], 8), np.tile([1, 1, 1, 1, 4], 8)
    fit = weibull_regression(np.zeros(40), exit, event, design, weight=weight)
    shape = np.exp(1.01112578)
    assert fit.log_shape == pytest.approx(1.01112578, abs=5e-8)
    assert fit.log_scale == pytest.approx(13.40701688, abs=5e-7)
    np.testing.assert_allclose(fit.coefficients, [0.02890466 * shape, 0.00591082 * shape], atol=2e-8)
    assert fit.loglik == pytest.approx(-244.242343346, abs=5e-9)


def test_motorettes_arrhenius_regression():
    # Motorettes, C, hours, 1 = failed, count; Nelson & Hahn (1972). R survreg on 11605 / (273.15 + C): intercept
    # -13.3530032,
    # Ea 0.8379043, log scale -1.122564, loglik -146.254296075.
    motors = np.array(
        [
            (150, 8064, 0, 10),
            (170, 1764, 1, 1),
            (170, 2772, 1, 1),
            (170, 3444, 1, 1),
            (170, 3542, 1, 1),
            (170, 3780, 1, 1),
            (170, 4860, 1, 1),
            (170, 5196, 1, 1),
            (170, 5448, 0, 3),
            (190, 408, 1, 2),
            (190, 1344, 1, 2),
            (190, 1440, 1, 1),
            (190, 1680, 0, 5),
            (220, 408, 1, 2),
            (220, 504, 1, 3),
            (220, 528, 0, 5),
        ],
        float,
    )
    fit = weibull_regression(
        np.zeros(16), motors[:, 1], motors[:, 2], 11605 / (273.15 + motors[:, 0]), weight=motors[:, 3]
    )
    assert fit.log_shape == pytest.approx(1.122564, abs=5e-7)
    assert fit.log_scale == pytest.approx(-13.3530032, abs=5e-6)
    assert fit.coefficients[0] == pytest.approx(-0.8379043 * np.exp(1.122564), abs=3e-6)
    assert fit.loglik == pytest.approx(-146.254296075, abs=5e-9)
