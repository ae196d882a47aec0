"""Poisson limits and rate ratios against published values."""

import numpy as np
import pytest

from maintkit.survival.rates import poisson_limits, rate, rate_ratio

# Garwood (1936), Biometrika 28, 437-442: limits of the expected number. Recomputed to 10 digits with scipy 1.17.1
# (chi2.ppf) and equal to R 4.2.2 poisson.test; the print has 2 decimals and was not seen.
GARWOOD_95 = {
    0: (0.0, 3.6888794541),
    1: (0.0253178080, 5.5716433909),
    2: (0.2422092785, 7.2246876677),
    3: (0.6186721229, 8.7672730697),
    4: (1.0898653736, 10.2415886754),
    5: (1.6234863901, 11.6683320793),
    6: (2.2018942535, 13.0594740225),
    8: (3.4538321767, 15.7631892202),
    10: (4.7953886961, 18.3903560420),
    12: (6.2005751087, 20.9615850482),
    15: (8.3953861328, 24.7402188715),
    20: (12.2165195854, 30.8883779027),
}
GARWOOD_90 = {
    0: (0.0, 2.9957322736),
    1: (0.0512932944, 4.7438645184),
    2: (0.3553615107, 6.2957936219),
    3: (0.8176914472, 7.7536565279),
    4: (1.3663183967, 9.1535190266),
    5: (1.9701495681, 10.5130349087),
    10: (5.4254056971, 16.9622192357),
}


@pytest.mark.parametrize(("level", "table"), [(0.95, GARWOOD_95), (0.90, GARWOOD_90)])
def test_poisson_limits_garwood(level, table):
    np.testing.assert_allclose(
        poisson_limits(list(table), level=level).T, list(table.values()), atol=6e-11, rtol=0
    )


def test_rate_r_poisson_test_help_page():
    # R 4.2.2 stats, ?poisson.test: poisson.test(137, 24.19893); 10 digits
    found = rate(137, 24.19893, level=0.95)
    assert (found.value, found.low, found.high) == pytest.approx(
        (5.661407343, 4.753124805, 6.692709334), rel=1e-9
    )


# R 4.2.2 poisson.test(c(a, b), c(time_a, time_b)) for the limits; the central p, twice the smaller tail, recomputed
# with scipy binom (R prints the other convention, by likelihood). 10 digits.
@pytest.mark.parametrize(
    ("columns", "ratio", "limits", "p"),
    [
        ((11, 800, 21, 3011), 1.971488095, (0.8584264034, 4.2772659437), 0.1120173196),
        ((60, 51477.5, 30, 54308.7), 2.1099975718, (1.3397357218, 3.3883655736), 0.00085610539),
        ((2, 17877, 9, 16660), 0.2070941557, (0.0217740628, 1.0005491045), 0.0501064956),
    ],
)
def test_rate_ratio_r_poisson_test(columns, ratio, limits, p):
    found = rate_ratio(*columns, level=0.95)
    assert found.ratio == pytest.approx(ratio, rel=1e-9)
    assert (found.low, found.high) == pytest.approx(limits, rel=3e-9)
    assert found.p == pytest.approx(p, rel=1e-8)


def test_rate_ratio_fay_help_page():
    # M. P. Fay (2010), R Journal 2(1), 53-58, example of 2 against 9 events: p 0.05011, limits 0.0218 and 1.0005
    # (from memory of the help page of his implementation). The likelihood p is .0331 and contradicts the interval.
    found = rate_ratio(2, 17877, 9, 16660, level=0.95)
    assert (round(found.p, 5), round(found.low, 4), round(found.high, 4)) == (0.05011, 0.0218, 1.0005)


def test_rate_ratio_none_against_five():
    # R 4.2.2 poisson.test(c(0, 5), c(100, 100)): 0 to 1.091279105
    found = rate_ratio(0, 100, 5, 100, level=0.95)
    assert (found.low, found.high) == pytest.approx((0.0, 1.091279105), rel=1e-9)


def test_rate_nist_mean_time_between_failures_example():
    # NIST/SEMATECH e-Handbook 8.4.5.1, time-truncated test, 2 failures in 800 h, 90 %: MTBF 127.0690 to 2251.229
    found = rate(2, 800.0, level=0.90)
    assert 1 / found.high == pytest.approx(127.0690, abs=5e-5)
    assert 1 / found.low == pytest.approx(2251.229, abs=5e-4)


# NIST/SEMATECH e-Handbook 8.4.5.1, factors on T/r, 4 decimals; rows for r = 1 read, the rest recomputed with scipy.
NIST_FACTORS = {
    0.60: [
        (1, 0.3340, 4.4814),
        (2, 0.4674, 2.4260),
        (5, 0.6324, 1.6184),
        (10, 0.7326, 1.3719),
        (100, 0.9145, 1.0929),
    ],
    0.80: [(1, 0.2571, 9.4912), (3, 0.4490, 2.7222), (20, 0.7395, 1.3769)],
    0.90: [(1, 0.2108, 19.4957), (2, 0.3177, 5.6281), (5, 0.4756, 2.5379), (50, 0.7901, 1.2832)],
    0.95: [(1, 0.1795, 39.4979), (4, 0.3906, 3.6702), (10, 0.5438, 2.0853), (100, 0.8222, 1.2290)],
}


@pytest.mark.parametrize("level", NIST_FACTORS)
def test_rate_nist_factors(level):
    for failures, low, high in NIST_FACTORS[level]:
        found = rate(failures, float(failures), level=level)
        assert (1 / found.high, 1 / found.low) == pytest.approx((low, high), abs=1.01e-4)


def test_no_failure_nist_one_sided_factor():
    # NIST/SEMATECH e-Handbook 8.4.5.1: MTBF above T / -ln(alpha); at 95 % one-sided 0.3338 T
    assert 1 / rate(0, 1.0, level=0.90).high == pytest.approx(0.33380820069533407, rel=1e-12)
