"""Gamma-Poisson shrinkage and credibility against published values."""

import numpy as np
import pytest

from maintkit.survival.credibility import credibility
from maintkit.survival.frailty import gamma_poisson
from maintkit.survival.frailty_posterior import spread_posterior

# Failures of ten power-plant pumps over thousand hours; Gaver & O'Muircheartaigh (1987), Technometrics 29, 1-15.
PUMP_FAILURES = [5, 1, 5, 14, 3, 19, 1, 1, 4, 22]
PUMP_HOURS = [94.3, 15.7, 62.9, 126, 5.24, 31.4, 1.05, 1.05, 2.1, 10.5]
# Maximum likelihood: shape 0.82 and rate 1.26 (George, Makov & Smith 1993, Scand. J. Stat. 20, 147-156, two decimals,
# from memory); the eight digits, the means and the quantiles recomputed with numpy and scipy.stats.gamma.
PUMP_MEAN = [
    0.06093412,
    0.10747567,
    0.0907546,
    0.11647629,
    0.58799891,
    0.60691861,
    0.78859796,
    0.78859796,
    1.43470032,
    1.94045552,
]
PUMP_SD = [
    0.02525157,
    0.07960145,
    0.03760941,
    0.03025311,
    0.30072973,
    0.13631578,
    0.58407212,
    0.58407212,
    0.65328718,
    0.40617918,
]
PUMP_LIMITS_95 = [
    (0.02194152, 0.11948949),
    (0.01117743, 0.31017926),
    (0.03267945, 0.17796631),
    (0.06493296, 0.18283079),
    (0.15399686, 1.30735379),
    (0.36980673, 0.90181415),
    (0.08201387, 2.27592655),
    (0.08201387, 2.27592655),
    (0.45375494, 2.9701126),
    (1.22766318, 2.81379026),
]


def test_gamma_poisson_gaver_omuircheartaigh_pumps_likelihood():
    found = gamma_poisson(PUMP_FAILURES, PUMP_HOURS)
    assert (round(found.shape, 2), round(found.shape / found.scale, 2)) == (0.82, 1.26)
    assert found.shape == pytest.approx(0.82296509, rel=1e-6)
    assert found.shape / found.scale == pytest.approx(1.26165329, rel=1e-6)
    assert found.scale == pytest.approx(0.65229099, rel=1e-6)
    assert found.loglik == pytest.approx(-32.257836303327, abs=1e-8)


def test_gamma_poisson_gaver_omuircheartaigh_pumps_factors():
    found = gamma_poisson(PUMP_FAILURES, PUMP_HOURS, level=0.95)
    a, b = found.shape + np.array(PUMP_FAILURES), found.shape / found.scale + np.array(PUMP_HOURS)
    np.testing.assert_allclose(found.posterior_mean, PUMP_MEAN, rtol=1e-6)
    np.testing.assert_allclose(np.sqrt(a) / b, PUMP_SD, rtol=1e-6)
    np.testing.assert_allclose(np.transpose([found.low, found.high]), PUMP_LIMITS_95, rtol=1e-6)


# Full Bayes for the same pumps, shape ~ exponential(1) and rate ~ gamma(0.1, 1) (George, Makov & Smith 1993; the pump
# example of the BUGS manuals, two digits from memory: shape .70, pumps .0598 .102 .089 .116 .60 .61 .89 .89 1.59 1.99);
# means and standard deviations by quadrature over shape and rate.
PUMP_FULL_BAYES = [
    (0.05982, 0.02520),
    (0.10183, 0.07945),
    (0.08924, 0.03758),
    (0.11579, 0.03026),
    (0.60134, 0.31601),
    (0.60939, 0.13753),
    (0.89254, 0.72442),
    (0.89254, 0.72442),
    (1.58631, 0.76952),
    (1.98983, 0.42499),
]


def test_uncertain_spread_george_makov_smith_pumps():
    # Ours has a flat prior on the coefficient of variation and takes the mean rate as known, so it need not agree to the
    # digit: within a tenth of a standard deviation for pumps watched long, a fifth for those watched for an hour or two.
    scale = gamma_poisson(PUMP_FAILURES, PUMP_HOURS).scale
    failures, expected = np.array(PUMP_FAILURES), scale * np.array(PUMP_HOURS)
    spread = spread_posterior(failures, expected)
    shape, weight = spread.cv[:, None] ** -2.0, spread.probability[:, None]
    mean = scale * np.sum(weight * (shape + failures) / (shape + expected), axis=0)
    off = np.abs(mean - [mean for mean, _ in PUMP_FULL_BAYES]) / [sd for _, sd in PUMP_FULL_BAYES]
    long = np.array(PUMP_HOURS) > 5
    assert off[long].max() < 0.1
    assert off.max() < 0.2
    plain = np.abs(np.array(PUMP_MEAN) - [mean for mean, _ in PUMP_FULL_BAYES]) / [
        sd for _, sd in PUMP_FULL_BAYES
    ]
    assert off.sum() < plain.sum()  # nearer than with the spread taken as known
    assert spread.mean == pytest.approx(0.69717**-0.5, rel=0.01)


def test_credibility_hachemeister_five_states():
    # Hachemeister (1975): average bodily-injury claims of five states. State means, numbers of claims and the variance
    # inside a state as printed by R package actuar, function cm, for this data set (seven digits).
    # Shares, premiums and the variance between states: the same program's Bühlmann-Straub example, from memory.
    means, claims = [2060.921, 1511.224, 1805.843, 1352.976, 1599.829], [100155, 19895, 13735, 4152, 36110]
    found = credibility(means, claims, 139120026.0)
    np.testing.assert_allclose(
        found.credibility, [0.9847404, 0.9276352, 0.8984754, 0.7279092, 0.9587911], atol=1e-6
    )
    np.testing.assert_allclose(found.mean, [2055.165, 1523.706, 1793.444, 1442.967, 1603.285], atol=2e-3)
    assert found.overall == pytest.approx(1683.713, abs=1e-3)
    assert found.between_variance == pytest.approx(89639.37, rel=2e-5)  # the means are rounded


def test_credibility_klugman_panjer_willmot_two_groups():
    # Klugman, Panjer & Willmot, Loss Models, example on two group policies with 50, 60 and 100, 110, 105 lives and
    # claims of 10,000, 13,000 and 18,000, 21,000, 17,000: shares 0.70 and 0.87 (two decimals, from memory).
    claims = [[10_000, 13_000], [18_000, 21_000, 17_000]]
    lives = [[50, 60], [100, 110, 105]]
    n = [110, 315]
    means = [sum(group) / total for group, total in zip(claims, n, strict=True)]
    squares = [
        sum(life * (claim / life - mean) ** 2 for claim, life in zip(group, sizes, strict=True))
        for group, sizes, mean in zip(claims, lives, means, strict=True)
    ]
    found = credibility(means, n, sum(squares) / 3)
    assert found.credibility.round(2).tolist() == [0.70, 0.87]
