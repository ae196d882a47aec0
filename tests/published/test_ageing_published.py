"""The line through readings against certified values."""

import numpy as np
import pytest

from maintkit.survival.ageing import drift

# NIST Statistical Reference Datasets, linear regression, Norris (36 observations); data and certified values from
# memory.
# That the fit returns every certified digit shows that they are remembered rightly.
NORRIS_X = [
    0.2,
    337.4,
    118.2,
    884.6,
    10.1,
    226.5,
    666.3,
    996.3,
    448.6,
    777.0,
    558.2,
    0.4,
    0.6,
    775.5,
    666.9,
    338.0,
    447.5,
    11.6,
    556.0,
    228.1,
    995.8,
    887.6,
    120.2,
    0.3,
    0.3,
    556.8,
    339.1,
    887.2,
    999.0,
    779.0,
    11.1,
    118.3,
    229.2,
    669.1,
    448.9,
    0.5,
]
NORRIS_Y = [
    0.1,
    338.8,
    118.1,
    888.0,
    9.2,
    228.1,
    668.5,
    998.5,
    449.1,
    778.9,
    559.2,
    0.3,
    0.1,
    778.1,
    668.8,
    339.3,
    448.9,
    10.8,
    557.7,
    228.3,
    998.0,
    888.8,
    119.6,
    0.3,
    0.6,
    557.6,
    339.3,
    888.0,
    998.5,
    778.9,
    10.2,
    117.6,
    228.9,
    668.4,
    449.2,
    0.2,
]


def test_drift_norris_certified_line():
    found = drift(NORRIS_X, np.exp(np.array(NORRIS_Y) / 1000), ["one"] * 36)  # the drift is in the log
    assert found.intercept * 1000 == pytest.approx(-0.262323073774029, rel=1e-10)
    assert found.slope.value * 1000 == pytest.approx(1.00211681802045, rel=1e-12)
    errors = np.sqrt(np.diag(found.covariance)) * 1000
    assert errors == pytest.approx((0.232818234301152, 0.429796848199937e-3), rel=1e-10)
