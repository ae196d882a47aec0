"""Kaplan-Meier and log-rank against published tables; values marked R come from R 4.2.2, survival 3.5-3."""

from pathlib import Path

import numpy as np
import pytest

from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.mean_life import area_and_variance

# Remission times in weeks of 21 pairs; Freireich et al. (1963), Blood 21, 699; Gehan (1965), Biometrika 52, 203.
SIXMP_TIME = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
SIXMP_EVENT = [1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0]
PLACEBO_TIME = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]
# time, at risk, failures, S, Greenwood: R survfit. Klein & Moeschberger (2003), table 4.1, prints the same three
# decimals (from memory).
SIXMP_TABLE = [
    (6, 21, 3, 0.857142857, 0.076360355),
    (7, 17, 1, 0.806722689, 0.086935285),
    (10, 15, 1, 0.752941176, 0.096349653),
    (13, 12, 1, 0.690196078, 0.106814708),
    (16, 11, 1, 0.627450980, 0.114053865),
    (22, 7, 1, 0.537815126, 0.128233752),
    (23, 6, 1, 0.448179272, 0.134591457),
]
SIXMP_LOG_LOG_95 = {  # R survfit(conf.type = "log-log")
    6: (0.61971796, 0.95155175),
    7: (0.56314656, 0.92280902),
    10: (0.50319951, 0.88936184),
    13: (0.43161022, 0.84906596),
    16: (0.36751086, 0.80491219),
    22: (0.26777894, 0.74679072),
    23: (0.18805201, 0.68014263),
}
# Maintenance chemotherapy in weeks; Miller (1981), Survival Analysis, p. 49.
AML_MAINTAINED = ([9, 13, 13, 18, 23, 28, 31, 34, 45, 48, 161], [1, 1, 0, 1, 1, 0, 1, 1, 0, 1, 0])
AML_NOT = ([5, 5, 8, 8, 12, 16, 23, 27, 30, 33, 43, 45], [1, 1, 1, 1, 1, 0, 1, 1, 1, 1, 1, 1])


def curve_of(time, event, **options):
    return kaplan_meier(np.zeros(len(time)), time, event, **options)


def test_kaplan_meier_freireich_6mp_table():
    curve = curve_of(SIXMP_TIME, SIXMP_EVENT)
    table = np.array(SIXMP_TABLE)
    assert curve.time.tolist() == table[:, 0].tolist()
    assert curve.at_risk.tolist() == table[:, 1].tolist()
    assert curve.failures.tolist() == table[:, 2].tolist()
    np.testing.assert_allclose(curve.survival, table[:, 3], atol=5e-10)
    np.testing.assert_allclose(curve.std_error, table[:, 4], atol=5e-10)


def test_kaplan_meier_freireich_6mp_log_log_limits():
    curve = curve_of(SIXMP_TIME, SIXMP_EVENT, level=0.95)
    np.testing.assert_allclose(
        np.column_stack([curve.low, curve.high]), list(SIXMP_LOG_LOG_95.values()), atol=5e-9
    )


def test_medians_freireich_6mp_and_placebo():
    # R survfit, 95 % log-log: 23 (13, none) and 8 (4, 11); the medians 23 and 8 are in Klein & Moeschberger (from
    # memory).
    median = curve_of(SIXMP_TIME, SIXMP_EVENT, level=0.95).quantile(0.5)
    placebo = curve_of(PLACEBO_TIME, [1] * 21, level=0.95).quantile(0.5)
    assert (median.value, median.high) == (23, None)
    assert (placebo.value, placebo.low, placebo.high) == (8, 4, 11)


def test_kaplan_meier_miller_aml():
    curve = curve_of(*AML_MAINTAINED)
    np.testing.assert_allclose(
        curve.survival,
        [0.909090909, 0.818181818, 0.715909091, 0.613636364, 0.490909091, 0.368181818, 0.184090909],
        atol=5e-10,
    )
    np.testing.assert_allclose(
        curve.std_error,
        [0.086678417, 0.116291300, 0.139664971, 0.152632331, 0.164193267, 0.162668886, 0.153492746],
        atol=5e-10,
    )
    other = curve_of(*AML_NOT)
    np.testing.assert_allclose(
        other.survival,
        [
            0.833333333,
            0.666666667,
            0.583333333,
            0.486111111,
            0.388888889,
            0.291666667,
            0.194444444,
            0.097222222,
            0.0,
        ],
        atol=5e-10,
    )
    np.testing.assert_allclose(
        other.std_error[:-1],
        [
            0.107582871,
            0.136082763,
            0.142318761,
            0.148130063,
            0.146986184,
            0.138715169,
            0.121874505,
            0.091866365,
        ],
        atol=5e-10,
    )


def test_kaplan_meier_nist_apr413():
    # NIST/SEMATECH e-Handbook 8.4.1.3: 20 units, 10 failures, stopped at 500 h. Printed to 2 and 4 decimals.
    curve = curve_of([54, 187, 216, 240, 244, 335, 361, 373, 375, 386] + [500] * 10, [1] * 10 + [0] * 10)
    np.testing.assert_allclose(curve.survival, np.arange(0.95, 0.49, -0.05), atol=1e-12)
    np.testing.assert_allclose(
        curve.std_error,
        [0.0487, 0.0671, 0.0798, 0.0894, 0.0968, 0.1025, 0.1067, 0.1095, 0.1112, 0.1118],
        atol=5.1e-5,
    )


def test_kaplan_meier_fan_failures_weights():
    # 70 diesel generator fans, hours; Nelson (1982), Applied Life Data Analysis, p. 133. Columns: R survfit.
    curve = kaplan_meier(np.zeros(len(FANS)), *FANS.T)
    expected = np.array(FANS_CURVE)
    assert np.column_stack([curve.time, curve.at_risk, curve.failures]).tolist() == expected[:, :3].tolist()
    np.testing.assert_allclose(curve.survival, expected[:, 3], atol=5e-9)
    np.testing.assert_allclose(curve.std_error, expected[:, 4], atol=5e-10)


# Hours, 1 = failed, count.
FANS = np.loadtxt(Path(__file__).parent / "diesel_fans.csv", delimiter=",", skiprows=1)
FANS_CURVE = [
    (450, 70, 1, 0.98571429, 0.014183306),
    (1150, 68, 2, 0.95672269, 0.024441824),
    (1600, 65, 1, 0.94200388, 0.028150896),
    (2070, 55, 2, 0.90774919, 0.036072759),
    (2080, 53, 1, 0.89062185, 0.039248117),
    (3100, 47, 1, 0.87167245, 0.042743447),
    (3450, 45, 1, 0.85230195, 0.045973715),
    (4600, 34, 1, 0.82723424, 0.050999904),
    (6100, 26, 1, 0.79541754, 0.058121678),
    (8750, 9, 1, 0.70703782, 0.098041977),
]


def test_life_table_heat_exchanger_cracks():
    # 100 tubes in each of 3 plants, inspected yearly; Meeker & Escobar (1998), tables 3.2 and 3.3, print
    # F = .0133 .0384 .0582 and se = .00662 .0128 .0187 (from memory; recomputed by Greenwood's formula).
    spells = [
        (0, 1, 1, 4),
        (0, 1, 0, 99),
        (1, 2, 1, 5),
        (1, 2, 0, 95),
        (2, 3, 1, 2),
        (2, 3, 0, 95),
        (0, 1, 0, 197),
        (1, 2, 0, 97),
    ]
    curve = kaplan_meier(*np.array(spells).T[:3], weight=np.array(spells).T[3])
    assert curve.at_risk.tolist() == [300, 197, 97]
    np.testing.assert_allclose(1 - curve.survival, [0.0133333333, 0.0383756345, 0.0582029410], atol=5e-11)
    np.testing.assert_allclose(curve.std_error, [0.0066220731, 0.0128021152, 0.0187006295], atol=5e-11)


def test_kaplan_meier_therneau_grambsch_data_1():
    # Therneau & Grambsch (2000), Modeling Survival Data, appendix E, data set 1. By hand: 1 of 6 fails at 1, 2 of 4
    # at 6,
    # the last one at 9.
    curve = curve_of([1, 1, 6, 6, 8, 9], [True, False, True, True, False, True])
    assert curve.at_risk.tolist() == [6, 4, 1]
    np.testing.assert_allclose(curve.survival, [5 / 6, 5 / 12, 0], atol=1e-15)


def test_restricted_mean_miller_aml():
    # R print(survfit(...), rmean = 161) for the maintained group gives 52.6 (se 19.8), as in the survival package's
    # manual (from memory); the area below is the sum of the steps by hand.
    area = (
        9
        + 4 * 10 / 11
        + 5 * 9 / 11
        + 5 * 0.715909090909
        + 8 * 0.613636363636
        + 3 * 0.490909090909
        + 14 * 0.368181818182
        + 113 * 0.184090909091
    )
    mean = area_and_variance(curve_of(*AML_MAINTAINED), 161)[0]
    assert mean == pytest.approx(area, abs=1e-9)
    assert mean == pytest.approx(52.6, abs=0.05)
