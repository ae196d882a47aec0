"""Laplace's test and the power law against published repair histories."""

import numpy as np
import pytest

from maintkit.survival.power_law_process import pooled_power_law, power_law
from maintkit.survival.trend import laplace_trend, pooled_laplace_trend

# NIST/SEMATECH e-Handbook 8.2.2.3 and 8.4.5.2: hours of failure in a test stopped at 1500 h; read in its R scripts.
NIST = [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478]
# MIL-HDBK-189 (1981), appendix C, stopped at 300 h; the data read in a copy, the prints of the results from memory.
HANDBOOK_189 = [
    2.6,
    16.5,
    16.5,
    17.0,
    21.4,
    29.1,
    33.3,
    56.5,
    63.1,
    70.6,
    73.0,
    77.7,
    93.9,
    95.5,
    98.1,
    101.1,
    132.0,
    142.2,
    147.7,
    149.0,
    167.2,
    190.7,
    193.0,
    198.7,
    251.9,
    282.5,
    286.1,
]
# Crow (1974), Reliability and Biometry, 379-410: three systems, each to 200 h; data and prints from memory, they agree.
CROW = [
    [4.3, 4.4, 10.2, 23.5, 23.8, 26.4, 74.0, 77.1, 92.1, 197.2],
    [0.1, 5.6, 18.6, 19.5, 24.2, 26.7, 45.1, 45.8, 75.7, 79.7, 98.6, 120.1, 161.8, 180.6, 190.8],
    [8.4, 32.5, 44.7, 48.4, 50.6, 73.6, 98.7, 112.2, 129.8, 136.0, 195.8],
]
# Unscheduled maintenance of two submarine diesels in hours; Lee (1980), Technometrics 22, 195; Ascher & Feingold 1984.
# The first ended with a failure, the second was watched to 16,000 h. Data read in a copy.
FIRST_DIESEL = [
    1382,
    2990,
    4124,
    6827,
    7472,
    7567,
    8845,
    9450,
    9794,
    10848,
    11993,
    12300,
    15413,
    16497,
    17352,
    17632,
    18122,
    19067,
    19172,
    19299,
    19360,
    19686,
    19940,
    19944,
    20121,
    20132,
    20431,
    20525,
    21057,
    21061,
    21309,
    21310,
    21378,
    21391,
    21456,
    21461,
    21603,
    21658,
    21688,
    21750,
    21815,
    21820,
    21822,
    21888,
    21930,
    21943,
    21946,
    22181,
    22311,
    22634,
    22635,
    22669,
    22691,
    22846,
    22947,
    23149,
    23305,
    23491,
    23526,
    23774,
    23791,
    23822,
    24006,
    24286,
    25000,
    25010,
    25048,
    25268,
    25400,
    25500,
    25518,
]
SECOND_DIESEL = [
    860,
    1258,
    1317,
    1442,
    1897,
    2011,
    2122,
    2439,
    3203,
    3298,
    3902,
    3910,
    4000,
    4247,
    4411,
    4456,
    4517,
    4899,
    4910,
    5676,
    5755,
    6137,
    6221,
    6311,
    6613,
    6975,
    7335,
    8158,
    8498,
    8690,
    9042,
    9330,
    9394,
    9426,
    9872,
    10191,
    11511,
    11575,
    12100,
    12126,
    12368,
    12681,
    12795,
    13399,
    13668,
    13780,
    13877,
    14007,
    14028,
    14035,
    14173,
    14173,
    14449,
    14587,
    14610,
    15070,
]


def test_power_law_nist_improvement_test():
    # printed there: shape without bias 0.483506 (growth slope 0.516494), scale 0.2913003 with that shape
    found = power_law(NIST, 1500)
    assert found.unbiased_shape == pytest.approx(0.483506, abs=5e-7)
    assert 10 / 1500**found.unbiased_shape == pytest.approx(0.2913003, abs=5e-8)
    # recomputed with numpy: maximum likelihood, its scale, the gap at the end, the chi-square limits
    assert found.shape.value == pytest.approx(0.5372288660341876, rel=1e-12)
    assert found.scale == pytest.approx(0.19665821571379197, rel=1e-12)
    assert 1 / found.rate_end == pytest.approx(279.21061112612375, rel=1e-12)
    assert (found.shape.low, found.shape.high) == pytest.approx(
        (0.29146845504237756, 0.8437295609274589), rel=1e-10
    )


def test_power_law_nist_trend_test():
    # 8.2.3.4 (from memory): chi-square 37.23 on 20 degrees of freedom, 98.9 %
    found = power_law(NIST, 1500)
    assert (round(found.statistic, 2), found.df) == (37.23, 20)
    assert 1 - found.p / 2 == pytest.approx(0.9890136428842033, rel=1e-9)
    assert laplace_trend(NIST, 1500).statistic == pytest.approx(-1.326949182649183, rel=1e-12)


def test_pooled_power_law_crow_three_systems():
    # prints shape .615 and scale .461
    unit = [number for number, times in enumerate(CROW) for _ in times]
    found = pooled_power_law([0, 1, 2], [0] * 3, [200] * 3, unit, np.concatenate(CROW))
    assert (round(found.shape.value, 3), round(found.scale, 3)) == (0.615, 0.461)
    assert found.shape.value == pytest.approx(0.615336252693585, rel=1e-12)
    assert found.unbiased_shape == pytest.approx(0.5982435790076521, rel=1e-12)
    assert (found.statistic, found.df, found.exposure) == (
        pytest.approx(117.00919567931481, rel=1e-12),
        72,
        600,
    )
    laplace = pooled_laplace_trend([0, 1, 2], [0] * 3, [200] * 3, unit, np.concatenate(CROW))
    assert laplace.statistic == pytest.approx(-3.0120363543622766, rel=1e-12)


def test_power_law_first_diesel_ended_with_a_failure():
    # Meeker & Escobar (1998), ch. 16, print shape 2.76 and 5.45 thousand hours (from memory)
    found = power_law(FIRST_DIESEL, level=0.95)
    assert round(found.shape.value, 2) == 2.76
    assert round(found.scale ** (-1 / found.shape.value) / 1000, 2) == 5.45
    assert found.shape.value == pytest.approx(2.760339553841818, rel=1e-12)
    assert (found.statistic, found.df, found.events) == (pytest.approx(51.44294650357981, rel=1e-12), 140, 71)
    assert (found.shape.low, found.shape.high) == pytest.approx(
        (2.1215127754841254, 3.3949811210354595), rel=1e-10
    )


def test_laplace_first_diesel_depends_on_how_the_watch_ended():
    assert laplace_trend(FIRST_DIESEL).statistic == pytest.approx(7.443086388494655, rel=1e-12)
    assert laplace_trend(FIRST_DIESEL, FIRST_DIESEL[-1]).statistic == pytest.approx(
        7.59604102507837, rel=1e-12
    )


def test_power_law_second_diesel_ended_at_a_set_time():
    # recomputed with numpy
    found = power_law(SECOND_DIESEL, 16_000)
    assert found.shape.value == pytest.approx(1.1350707744202493, rel=1e-12)
    assert found.scale ** (-1 / found.shape.value) / 1000 == pytest.approx(0.4612774805009293, rel=1e-10)
    assert (found.statistic, found.df) == (pytest.approx(98.6722612580747, rel=1e-12), 112)
    assert laplace_trend(SECOND_DIESEL, 16_000).statistic == pytest.approx(0.39737934594925145, rel=1e-9)
    assert found.verdict == "no trend shown"
