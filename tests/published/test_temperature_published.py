"""Temperature laws against published values."""

import numpy as np
import pytest

from maintkit.survival.arrhenius import fit_arrhenius

# NIST/SEMATECH e-Handbook 8.4.2.1 and 8.4.2.2, read in its R scripts: temperature in C, hours of failure, units on test
# to 1000 h.
NIST_CELLS = {
    85: ([401, 428, 695, 725, 738], 100),
    105: (
        [
            171,
            187,
            189,
            266,
            275,
            285,
            301,
            302,
            305,
            316,
            317,
            324,
            349,
            350,
            386,
            405,
            480,
            493,
            530,
            534,
            536,
            567,
            589,
            598,
            599,
            614,
            620,
            650,
            668,
            685,
            718,
            795,
            854,
            917,
            926,
        ],
        50,
    ),
    125: (
        [
            24,
            42,
            92,
            93,
            141,
            142,
            143,
            159,
            181,
            188,
            194,
            199,
            207,
            213,
            243,
            256,
            259,
            290,
            294,
            305,
            392,
            454,
            502,
            696,
        ],
        25,
    ),
}
NIST_ZERO, NIST_BOLTZMANN = 273.16, 8.617e-5
# Motorettes, Nelson & Hahn (1972), Technometrics 14, 247: temperature in C, hours, failed or not, how many.
MOTORETTES = [
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
]
# Insulating fluid is not here: its stress is voltage.


def nist_rows():
    exit = [time for failures, _ in NIST_CELLS.values() for time in [*failures, 1000.0]]
    event = [flag for failures, _ in NIST_CELLS.values() for flag in [1] * len(failures) + [0]]
    air_c = [celsius for celsius, (failures, _) in NIST_CELLS.items() for _ in range(len(failures) + 1)]
    weight = [
        one
        for failures, units in NIST_CELLS.values()
        for one in [1] * len(failures) + [units - len(failures)]
    ]
    used = np.array(weight) > 0
    return [np.array(column, float)[used] for column in (np.zeros(len(exit)), exit, event, air_c, weight)]


def motorettes(lowest_c=0):
    air_c, exit, event, weight = np.array([row for row in MOTORETTES if row[0] >= lowest_c], float).T
    return np.zeros(len(exit)), exit, event, air_c, weight


def test_arrhenius_fit_nist_8422_printed():
    # prints ln A -19.906, activation energy 0.863, sigma 0.772, log likelihood -476.7089, factor 85 to 125 C 16.59
    found = fit_arrhenius(*nist_rows())
    assert found.intercept == pytest.approx(-19.906, abs=1e-3)  # it takes 0 C for 273.16 K
    assert (round(found.energy_ev.value, 3), round(found.sigma, 3)) == (0.863, 0.772)
    assert found.loglik == pytest.approx(-476.7089, abs=6e-5)
    assert found.factor(85, 125).value == pytest.approx(16.591, abs=2e-3)
    assert found.failures == 64


def test_arrhenius_fit_nist_8422_to_twelve_digits():
    # R 4.2.2 survreg on 1 / (8.617e-5 (C + 273.16)), and standard errors; our zero and constant shifted to theirs
    entry, exit, event, air_c, weight = nist_rows()
    found = fit_arrhenius(entry, exit, event, air_c + NIST_ZERO - 273.15, weight)
    stretch = NIST_BOLTZMANN / 8.617333262e-5
    theirs = (found.intercept, found.energy_ev.value * stretch, found.sigma, found.loglik)
    assert theirs == pytest.approx(
        (-19.9061735347, 0.862902875256, 0.771986262491, -476.708913502), rel=1e-10
    )
    errors = np.sqrt(np.diag(found.covariance)) * [1, stretch, 1]
    assert errors == pytest.approx((2.32042225372, 0.0760629214952, 0.0928479384964), rel=1e-8)


def test_arrhenius_fit_motorettes_above_150_c():
    # saved output of R survival (tests/r_sas.Rout.save), after a documentation example of a general statistics program:
    # intercept -10.471, slope 8.322 per 1000 / K, scale .604; life by which 10, 50, 90 % fail at 130 and 150 C, errors
    found = fit_arrhenius(*motorettes(160))
    assert found.intercept == pytest.approx(-10.471, abs=5e-3)  # it takes 0 C for 273.2 K
    assert found.energy_ev.value / 8.617333262e-5 / 1000 == pytest.approx(8.322, abs=3e-3)
    assert round(found.sigma, 3) == 0.604
    quantiles = {
        (130, 0.1): (12033.18, 5482.338),
        (130, 0.5): (26095.68, 11359.450),
        (130, 0.9): (56592.20, 26036.917),
        (150, 0.1): (4536.877, 1443.072),
        (150, 0.5): (9838.864, 2901.155),
        (150, 0.9): (21336.98, 7172.343),
    }
    for (celsius, share), (life, error) in quantiles.items():
        at = found.life_at(celsius, failed=share)
        assert at.value == pytest.approx(life, rel=1e-3)
        assert np.log(at.high / at.low) / 2 / 1.6448536 == pytest.approx(error / life, rel=1e-3)
    at = found.life_at(130, failed=0.1)
    reach = np.exp(1.64 * np.log(at.high / at.value) / 1.6448536)  # it rounds the 95 % point to 1.64
    assert (at.value / reach, at.value * reach) == pytest.approx((5700.089, 25402.68), rel=1e-3)


def test_arrhenius_fit_motorettes_all_temperatures():
    # R 4.2.2 survreg on 11605 / (273.15 + C); 11605 stands for 1 / k = 11604.518
    stretch = 11604.518122 / 11605
    for distribution, intercept, energy, log_sigma, loglik in (
        ("lognormal", -13.8575035, 0.8552226, -0.5161942, -148.537306207),
        ("weibull", -13.3530032, 0.8379043, -1.122564, -146.254296075),
    ):
        found = fit_arrhenius(*motorettes(), distribution=distribution)
        assert found.intercept == pytest.approx(intercept, abs=6e-7)
        assert found.energy_ev.value * stretch == pytest.approx(energy, abs=6e-7)
        assert np.log(found.sigma) == pytest.approx(log_sigma, abs=6e-7)
        assert found.loglik == pytest.approx(loglik, abs=1e-8)
