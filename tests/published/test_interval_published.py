"""Failures found by inspection: turbine wheels, cracks, breast cosmesis; values marked R: R 4.2.2, survival 3.5-3."""

import numpy as np
import pytest

from maintkit.survival.weibull import fit_weibull
from maintkit.survival.weibull_regression import weibull_regression

# Hundreds of hours, wheels inspected once, of which cracked; Nelson (1982), Applied Life Data Analysis, p. 409.
TURBINE = [
    (4, 39, 0),
    (10, 53, 4),
    (14, 33, 2),
    (18, 73, 7),
    (22, 30, 5),
    (26, 39, 9),
    (30, 42, 9),
    (34, 13, 6),
    (38, 34, 22),
    (42, 40, 21),
    (46, 36, 21),
]
# Day of inspection and parts newly cracked since the one before; 167 parts, 73 never; Nelson (1982), p. 415.
CRACKS = [(186, 5), (606, 16), (902, 12), (1077, 18), (1209, 18), (1377, 2), (1592, 6), (1932, 17)]
# (low, high] months to retraction, none = not seen; Finkelstein & Wolfe (1985), Biometrics 41, 933-945.
COSMESIS_RADIATION = (
    "45- 6-10 0-7 46- 46- 7-16 17- 7-14 37-44 0-8 4-11 15- 11-15 22- 46- 46- 25-37 46- 26-40 46- 27-34 36-44 46- "
    "36-48 37- 40- 17-25 46- 11-18 38- 5-12 37- 0-5 18- 24- 36- 5-11 19-35 17-25 24- 32- 33- 19-26 37- 34- 36-"
)
COSMESIS_BOTH = (
    "8-12 0-22 24-31 17-27 17-23 24-30 16-24 13- 11-13 16-20 18-25 17-26 32- 23- 44-48 14-17 0-5 5-8 12-20 11- "
    "33-40 31- 13-39 19-32 34- 13- 16-24 35- 15-22 11-17 22-32 10-35 30-34 13- 10-17 8-21 4-9 11- 14-19 4-8 34- "
    "30-36 18-24 16-60 35-39 21- 11-20 48-"
)


def interval_spells(low, high, weight):
    """Spells of units known good at ``low`` and found failed at ``high`` (nan: never)."""
    low, high, weight = np.array(low, float), np.array(high, float), np.array(weight, float)
    watched, found = low > 0, np.isfinite(high)
    return {
        "entry": np.concatenate([np.zeros(watched.sum()), low[found]]),
        "exit": np.concatenate([low[watched], high[found]]),
        "event": np.zeros(watched.sum() + found.sum(), bool),
        "weight": np.concatenate([weight[watched], weight[found]]),
        "interval_censored": np.arange(watched.sum() + found.sum()) >= watched.sum(),
    }


def cosmesis_spells(text):
    pairs = [entry.split("-") for entry in text.split()]
    return interval_spells(
        [float(low) for low, _ in pairs], [float(high or "nan") for _, high in pairs], [1] * len(pairs)
    )


def test_turbine_wheels_inspected_once():
    # R survreg; the log-normal fit of the same data is printed with the survival package (3.6999, -0.3287).
    hours, seen, cracked = np.array(TURBINE, float).T
    spells = interval_spells(
        np.concatenate([0 * hours, hours]),
        np.concatenate([hours, np.nan * hours]),
        np.concatenate([cracked, seen - cracked]),
    )
    life = fit_weibull(**spells, level=0.95)
    assert life.failures == 106
    assert life.shape.value == pytest.approx(2.175779909, abs=5e-9)
    assert life.scale.value == pytest.approx(46.77723025, abs=5e-8)
    assert life.loglik == pytest.approx(-189.2871934, abs=5e-8)
    assert life.b10.value == pytest.approx(16.62846154, abs=5e-8)


def crack_spells():
    days, found = np.array(CRACKS, float).T
    before = np.concatenate([[0.0], days[:-1]])
    return interval_spells(np.append(before, 1932), np.append(days, np.nan), np.append(found, 73))


def test_cracks_at_eight_inspections():
    # A second program, as printed in the survival package's tests: intercept 7.6880 (.0744), log scale -.3953 (.0987),
    # loglik -309.6; further digits R survreg.
    life = fit_weibull(**crack_spells())
    assert life.failures == 94
    assert life.log_scale == pytest.approx(7.687999064, abs=5e-9)
    assert life.shape.value == pytest.approx(1.484767544, abs=5e-9)
    assert life.loglik == pytest.approx(-309.6311809, abs=5e-8)
    np.testing.assert_allclose(np.sqrt(np.diag(life.covariance)), [0.09865908767, 0.07442671635], rtol=1e-8)


def test_cracks_quantiles():
    life = fit_weibull(**crack_spells())
    assert life.b10.value == pytest.approx(479.3173666, abs=5e-7)
    assert life.median.value == pytest.approx(1704.71015, abs=5e-5)


@pytest.mark.parametrize(
    ("text", "shape", "scale", "loglik"),
    [
        (COSMESIS_RADIATION, 1.12161285, 57.5130959, -64.7314706),
        (COSMESIS_BOTH, 2.03023843, 28.0424741, -75.7150684),
    ],
)
def test_breast_cosmesis_by_treatment(text, shape, scale, loglik):
    life = fit_weibull(**cosmesis_spells(text))  # R survreg and lifelines agree
    assert life.shape.value == pytest.approx(shape, abs=5e-8)
    assert life.scale.value == pytest.approx(scale, abs=5e-7)
    assert life.loglik == pytest.approx(loglik, abs=5e-7)


def test_breast_cosmesis_regression():
    # R survreg and lifelines: intercept 3.89928 (.14053), both treatments -0.56755 (.17573), log scale -0.47910,
    # loglik -143.320827110; as proportional hazards the coefficient is 0.56755 exp(0.47910).
    one, both = cosmesis_spells(COSMESIS_RADIATION), cosmesis_spells(COSMESIS_BOTH)
    spells = {name: np.concatenate([one[name], both[name]]) for name in one}
    treated = np.repeat([0.0, 1.0], [len(one["exit"]), len(both["exit"])])
    fit = weibull_regression(design=treated, **spells)
    assert fit.log_shape == pytest.approx(0.47910, abs=5e-6)
    assert fit.log_scale == pytest.approx(3.89928, abs=5e-6)
    assert fit.coefficients[0] == pytest.approx(0.56755 * np.exp(0.47910), abs=2e-5)
    assert fit.loglik == pytest.approx(-143.320827110, abs=5e-9)
    assert np.sqrt(fit.covariance[1, 1]) == pytest.approx(0.14053, abs=5e-6)
