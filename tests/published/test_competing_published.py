"""Cumulative incidence against exact fractions and published tables."""

from fractions import Fraction

import numpy as np
import pytest

from maintkit.survival.competing import cumulative_incidence

# Scrucca, Santucci & Aversa (2007), Bone Marrow Transplant. 40, 381-387: 35 patients, months, cause (0 = cut short).
TRANSPLANT = [
    (13, 2),
    (1, 1),
    (72, 0),
    (7, 2),
    (8, 2),
    (67, 0),
    (9, 2),
    (5, 2),
    (70, 0),
    (4, 0),
    (7, 0),
    (68, 0),
    (1, 2),
    (10, 2),
    (7, 2),
    (3, 1),
    (4, 1),
    (4, 1),
    (3, 1),
    (3, 1),
    (22, 2),
    (8, 1),
    (2, 2),
    (0, 2),
    (0, 1),
    (35, 0),
    (35, 0),
    (4, 2),
    (14, 2),
    (26, 2),
    (3, 2),
    (2, 0),
    (8, 0),
    (32, 0),
    (12, 1),
]
# time: incidence of 1 and 2, their standard errors. R survfit, cmprsk, scikit-survival and statsmodels agree.
TRANSPLANT_TABLE = {
    0: (0.0285714286, 0.0285714286, 0.0281603074, 0.0281603074),
    1: (0.0571428571, 0.0571428571, 0.0392346607, 0.0392346607),
    4: (0.2049261084, 0.1448275862, 0.0691062859, 0.0599405342),
    10: (0.2377116364, 0.3407601464, 0.0736051949, 0.0841519237),
    20: (0.2728389878, 0.4110148493, 0.0780906879, 0.0882569852),
    30: (0.2728389878, 0.4812695522, 0.0780906879, 0.0900167957),
}


def fractions(*texts):
    return [float(Fraction(text)) for text in texts]


def test_eight_subjects_worked_by_hand():
    # survival package, tests/testci.R: event-free and two causes; the standard errors are its infinitesimal jackknife.
    result = cumulative_incidence([0] * 8, [1, 2, 2, 3, 3, 3, 5, 6], [0, 1, 0, 2, 0, 2, 0, 2])
    assert result.causes == (1, 2)
    assert result.time.tolist() == [2, 3, 6]
    np.testing.assert_allclose(result.event_free, fractions("6/7", "18/35", "0"), atol=1e-15)
    np.testing.assert_allclose(result.incidence[:, 0], fractions("1/7", "1/7", "1/7"), atol=1e-15)
    np.testing.assert_allclose(result.incidence[:, 1], fractions("0", "12/35", "6/7"), atol=1e-15)
    np.testing.assert_allclose(
        result.std_error,
        [(0.132260014, 0.0), (0.132260014, 0.195100333), (0.132260014, 0.132260014)],
        atol=5e-10,
    )


def test_late_entry_therneau_grambsch_data_2():
    result = cumulative_incidence(
        [1, 2, 5, 2, 1, 7, 3, 4, 8, 8], [2, 3, 6, 7, 8, 9, 9, 9, 14, 17], [1, 1, 2, 1, 2, 1, 2, 0, 0, 0]
    )
    assert result.time.tolist() == [2, 3, 6, 7, 8, 9]
    np.testing.assert_allclose(
        result.event_free, fractions("1/2", "1/3", "4/15", "1/5", "3/20", "9/100"), atol=1e-15
    )
    np.testing.assert_allclose(
        result.incidence[:, 0], fractions("1/2", "2/3", "2/3", "11/15", "11/15", "229/300"), atol=1e-15
    )
    np.testing.assert_allclose(
        result.incidence[:, 1], fractions("0", "0", "1/15", "1/15", "7/60", "11/75"), atol=1e-15
    )


@pytest.fixture(scope="module")
def transplant():
    time, cause = np.array(TRANSPLANT).T
    # one month on, for two fail at 0 and spells take time
    return cumulative_incidence(np.zeros(35), time + 1, cause)


@pytest.mark.parametrize("month", TRANSPLANT_TABLE)
def test_transplant_incidence(transplant, month):
    np.testing.assert_allclose(transplant.incidence_at(month + 1), TRANSPLANT_TABLE[month][:2], atol=5e-11)


@pytest.mark.parametrize("month", TRANSPLANT_TABLE)
def test_transplant_standard_errors(transplant, month):
    at = np.searchsorted(transplant.time, month + 1, side="right") - 1
    np.testing.assert_allclose(transplant.std_error[at], TRANSPLANT_TABLE[month][2:], atol=5e-11)
