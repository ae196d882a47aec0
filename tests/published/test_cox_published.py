"""Cox regression against exact answers; Therneau & Grambsch (2000), Modeling Survival Data, appendix E.

Closed forms, betas and fractions are those of the survival package's validation vignette; further digits: R 4.2.2
coxph.
"""

from fractions import Fraction

import numpy as np
import pytest

from maintkit.survival.cox import cox
from maintkit.survival.cox_likelihood import partial_loglik, risk_sets, score_residuals
from maintkit.survival.newton import climb
from maintkit.survival.spell_rows import spell_rows

TIME_1, EVENT_1, X_1 = [1, 1, 6, 6, 8, 9], [1, 0, 1, 1, 0, 1], [1, 1, 1, 0, 0, 0]
DATA_2 = np.array(
    [
        (1, 2, 1, 1),
        (2, 3, 1, 0),
        (5, 6, 1, 0),
        (2, 7, 1, 1),
        (1, 8, 1, 0),
        (7, 9, 1, 1),
        (3, 9, 1, 1),
        (4, 9, 0, 1),
        (8, 14, 0, 0),
        (8, 17, 0, 0),
    ]
)  # start, stop, event, x
DATA_3 = {
    "exit": [1, 1, 2, 2, 2, 2, 3, 4, 5],
    "event": [1, 0, 1, 1, 1, 0, 0, 1, 0],
    "weight": [1, 2, 3, 4, 3, 2, 1, 2, 1],
}
X_3 = np.array([2, 0, 1, 1, 0, 1, 0, 1, 0])[:, None]


def likelihood_1(ties):
    rows = spell_rows(np.zeros(6), TIME_1, EVENT_1)
    sets = risk_sets(rows, np.array(X_1, float)[:, None], np.zeros(6, int), ties)
    return lambda b: partial_loglik(sets, b)


@pytest.mark.parametrize(
    ("ties", "value", "gradient", "information"),
    [("breslow", -4.56434819146784, 1, "5/8"), ("efron", -4.27666611901606, "52/48", "83/144")],
)
def test_data_1_at_zero(ties, value, gradient, information):
    found = likelihood_1(ties)(np.zeros(1))
    assert found[0] == pytest.approx(value, abs=1e-13)
    assert found[1][0] == pytest.approx(float(Fraction(gradient)), abs=1e-14)
    assert -found[2][0, 0] == pytest.approx(float(Fraction(information)), abs=1e-14)


@pytest.mark.parametrize(
    ("ties", "beta", "value", "information"),
    [
        # Breslow: beta = ln((3 + sqrt 33) / 2). Efron: exp(beta) = 2 sqrt(23/3) cos(arccos(45/23 sqrt(3/23)) / 3).
        ("breslow", np.log((3 + np.sqrt(33)) / 2), -3.82474950500287, 0.63416814276393),
        (
            "efron",
            np.log(2 * np.sqrt(23 / 3) * np.cos(np.arccos(45 / 23 * np.sqrt(3 / 23)) / 3)),
            -3.35897484026335,
            0.61263189599619,
        ),
    ],
)
def test_data_1_at_the_top(ties, beta, value, information):
    theta, loglik, _, hessian = climb(likelihood_1(ties), np.zeros(1))
    assert theta[0] == pytest.approx(beta, abs=1e-12)
    assert loglik == pytest.approx(value, abs=1e-13)
    assert -hessian[0, 0] == pytest.approx(information, abs=1e-12)


@pytest.mark.parametrize(
    ("ties", "beta", "null", "loglik", "information"),
    [
        ("breslow", -0.084526080661309, -9.392661928770137, -9.387015118366335, 1.586934148985497),
        ("efron", -0.021105209580175, -9.169518377455928, -9.169166464724759, 1.581512096621388),
    ],
)
def test_data_2_late_entry(ties, beta, null, loglik, information):
    fit = cox(*DATA_2.T[:3], DATA_2[:, 3:], ties=ties)
    assert fit.coefficients[0] == pytest.approx(beta, abs=1e-12)
    assert fit.loglik_null == pytest.approx(null, abs=1e-12)
    assert fit.loglik == pytest.approx(loglik, abs=1e-12)
    assert 1 / fit.model_covariance[0, 0] == pytest.approx(information, abs=1e-11)


def test_data_2_score_residuals_at_log_2():
    # The vignette's table for beta = ln 2, Breslow ties.
    rows = spell_rows(*DATA_2.T[:3])
    sets = risk_sets(rows, DATA_2[:, 3:].astype(float), np.zeros(10, int), "breslow")
    residuals = score_residuals(sets, np.log([2.0]))[:, 0]
    table = [
        "1/9",
        "-3/8",
        "-21/32",
        "-165/784",
        "-2417/14112",
        "33/392",
        "-15/784",
        "-211/784",
        "3/16",
        "3/16",
    ]
    np.testing.assert_allclose(residuals, [float(Fraction(value)) for value in table], atol=1e-14)
    assert residuals.sum() == pytest.approx(float(Fraction(-95, 84)), abs=1e-13)


def test_data_3_weights_with_breslow_ties():
    fit = cox(np.zeros(9), DATA_3["exit"], DATA_3["event"], X_3, weight=DATA_3["weight"], ties="breslow")
    assert fit.coefficients[0] == pytest.approx(0.85955744450688, abs=1e-12)
    assert fit.loglik_null == pytest.approx(-32.867550778900, abs=1e-11)
    assert fit.loglik == pytest.approx(-32.021046276433, abs=1e-11)
    assert 1 / fit.model_covariance[0, 0] == pytest.approx(1.96655543083, abs=5e-11)


def test_data_3_weights_are_parts_with_efron_ties():
    # R takes weights as case weights and counts a row of weight 3 as one tied failure: 0.8726042463984. Here a weight
    # is
    # a number of identical parts, so three parts that fail together are three tied failures: the answer of the rows
    # written out, on which R, too, would give this.
    written_out = {name: np.repeat(DATA_3[name], DATA_3["weight"]) for name in ("exit", "event")}
    rows = cox(
        np.zeros(19), written_out["exit"], written_out["event"], np.repeat(X_3, DATA_3["weight"], axis=0)
    )
    fit = cox(np.zeros(9), DATA_3["exit"], DATA_3["event"], X_3, weight=DATA_3["weight"])
    assert fit.coefficients[0] == pytest.approx(rows.coefficients[0], abs=1e-12)
    assert fit.loglik == pytest.approx(rows.loglik, abs=1e-11)
    assert abs(fit.coefficients[0] - 0.8726042463984) > 0.01


# Freireich et al. (1963), Blood 21, 699, in the order of the pairs (MASS::gehan); R coxph. Kalbfleisch & Prentice and
# Collett print 1.509 (Breslow) and 1.572 (Efron) (from memory).
SIXMP = [10, 7, 32, 23, 22, 6, 16, 34, 32, 25, 11, 20, 19, 6, 17, 35, 6, 13, 9, 6, 10]
SIXMP_EVENT = [1, 1, 0, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 0]
PLACEBO = [1, 22, 3, 12, 8, 17, 2, 11, 8, 12, 2, 5, 4, 15, 8, 23, 5, 11, 4, 1, 8]
PAIRS = {
    "entry": np.zeros(42),
    "exit": SIXMP + PLACEBO,
    "event": SIXMP_EVENT + [1] * 21,
    "design": np.repeat([0.0, 1.0], 21),
}


@pytest.mark.parametrize(
    ("ties", "beta", "std_error", "null", "loglik"),
    [
        ("breslow", 1.509191413, 0.4095644064, -93.98505048, -86.37962207),
        ("efron", 1.572125149, 0.4123967177, -93.18427, -85.00842458),
    ],
)
def test_freireich_placebo_against_6mp(ties, beta, std_error, null, loglik):
    fit = cox(**PAIRS, ties=ties)
    assert fit.coefficients[0] == pytest.approx(beta, abs=5e-9)
    assert np.sqrt(fit.covariance[0, 0]) == pytest.approx(std_error, abs=5e-9)
    assert fit.loglik_null == pytest.approx(null, abs=5e-6)
    assert fit.loglik == pytest.approx(loglik, abs=5e-8)


def test_freireich_with_pairs_as_strata():
    # Within pairs 18 placebo patients relapsed first and 3 on 6-MP: beta = ln 6, information 21 * 6 / 49.
    fit = cox(**PAIRS, stratum=list(range(21)) * 2)
    assert fit.coefficients[0] == pytest.approx(np.log(6), abs=1e-12)
    assert np.sqrt(fit.covariance[0, 0]) == pytest.approx(0.6236095645, abs=5e-11)
