"""When to replace: values worked out in 30 digits from the published conditions, and a textbook's set-up."""

import numpy as np
import pytest
from scipy.stats import norm

from maintkit.decide.replacement import (
    Group,
    age_replacement,
    age_replacement_cost,
    group_cost_rate,
    group_intervals,
)

# Barlow & Proschan (1965), Mathematical Theory of Reliability, ch. 4, eq. for the optimum age. No printed table could
# be
# read: values recomputed with mpmath 1.4.1 (30 digits) from the first-order condition, C* = (cf - cp) h(T*) checked
# too.
# shape, cf/cp: (T*/scale, C*/cp x scale, C* / cost of running to failure)
AGE_REPLACEMENT = {
    (1.5, 2): (2.17464137974, 2.21199979756, 0.9984362),
    (1.5, 3): (1.15707679688, 3.22702512726, 0.97106058),
    (1.5, 5): (0.675491992136, 4.93129919158, 0.89034143),
    (1.5, 10): (0.378144491573, 8.3016163239, 0.74942451),
    (1.5, 20): (0.226119874637, 13.5523381073, 0.61171547),
    (1.5, 100): (0.0743764055431, 40.4989763962, 0.3656026),
    (2, 2): (1.09079696963, 2.18159393927, 0.96669364),
    (2, 3): (0.737913860172, 2.95165544069, 0.87194551),
    (2, 5): (0.510655224295, 4.08524179436, 0.72409026),
    (2, 10): (0.336451191255, 6.0561214426, 0.53670979),
    (2, 20): (0.230426798272, 8.75621833433, 0.38799982),
    (2, 50): (0.143100551714, 14.023854068, 0.24856634),
    (2, 100): (0.100588459004, 19.9165148827, 0.17650552),
    (2.5, 2): (0.883601677427, 2.07646591293, 0.92118654),
    (2.5, 5): (0.493046957597, 3.46204273879, 0.61434905),
    (2.5, 10): (0.35457440963, 4.75054679898, 0.42149883),
    (3, 2): (0.810342027426, 1.96996260424, 0.87956812),
    (3, 3): (0.636547860282, 2.43115907058, 0.72365841),
    (3, 5): (0.502609582103, 3.03139670426, 0.54139503),
    (3, 10): (0.382455531143, 3.94935029915, 0.35266889),
    (3, 20): (0.297770470635, 5.05403343139, 0.22565742),
    (3, 100): (0.171607524743, 8.74639533692, 0.078103518),
    (4, 2): (0.766113237492, 1.79861781521, 0.81513582),
    (4, 5): (0.538402120285, 2.49712491138, 0.45268004),
    (4, 10): (0.439097186787, 3.04778596481, 0.27625207),
    (4, 100): (0.240905902066, 5.53652807183, 0.050183228),
}


@pytest.mark.parametrize(("shape", "ratio"), sorted(AGE_REPLACEMENT))
def test_best_age_barlow_and_proschan(shape, ratio):
    best = age_replacement(shape, 10.0, planned_cost=3.0, failure_cost=3.0 * ratio)
    age, cost, against_failure = AGE_REPLACEMENT[shape, ratio]
    assert best.interval == pytest.approx(10 * age, rel=1e-10)
    assert best.cost_rate == pytest.approx(cost * 3 / 10, rel=1e-10)
    assert best.ratio == pytest.approx(against_failure, rel=1e-7)


# Set-up of the exercise in A. K. S. Jardine & A. H. C. Tsang, Maintenance, Replacement, and Reliability (from memory):
# normal
# life of mean 5 and sd 1 week, planned 5, failure 10. Values recomputed with mpmath 1.4.1; minimum at 4 weeks.
JARDINE_TSANG = {
    1: 5.00019,
    2: 2.50385,
    3: 1.70942,
    4: 1.47913,
    5: 1.63006,
    6: 1.87255,
    7: 1.98061,
    8: 1.99880,
}


def test_cost_by_age_of_a_normal_life_jardine_and_tsang():
    cost = age_replacement_cost(list(JARDINE_TSANG), norm(5, 1).sf, planned_cost=5, failure_cost=10)
    np.testing.assert_allclose(cost, list(JARDINE_TSANG.values()), atol=6e-6)
    assert cost.argmin() == 3


def test_no_best_age_where_parts_do_not_wear_barlow_and_proschan():
    # Barlow & Proschan (1965), ch. 4: a hazard that does not rise has no finite optimum.
    for shape in (0.7, 1.0):
        best = age_replacement(shape, 10.0, planned_cost=1, failure_cost=20)
        assert best.interval is None
        assert best.ratio == 1


def test_best_interval_with_minimal_repair_barlow_and_hunter():
    # Barlow & Hunter (1960), Operations Research 8, 90-100: with H(t) = (t / scale) ** shape the best interval is
    # scale x (cp / (cf (shape - 1))) ** (1 / shape), and the cost there shape / (shape - 1) x cp / T.
    shape, scale, planned, failure = 2.5, 8.0, 30.0, 4.0
    group = Group(np.array([scale]), np.array([[shape]]), np.array([[1.0]]))
    best = group_intervals(group, planned_cost=planned, failure_cost=failure, longest=200)[0]
    assert best == pytest.approx(scale * (planned / (failure * 1.5)) ** 0.4, rel=1e-9)
    cost = group_cost_rate([best], group, planned_cost=planned, failure_cost=failure)[0, 0]
    assert cost == pytest.approx(2.5 / 1.5 * planned / best, rel=1e-9)
