import numpy as np
import pytest

from maintkit.survival.newton import climb


def quadratic(theta):
    """Top at (1, -2), value 5."""
    away = theta - np.array([1.0, -2.0])
    curvature = np.array([[2.0, 0.5], [0.5, 1.0]])
    return 5 - 0.5 * away @ curvature @ away, -curvature @ away, -curvature


def test_a_quadratic_takes_one_step():
    calls = []
    theta, value, gradient, _ = climb(lambda theta: (calls.append(1), quadratic(theta))[1], [0.0, 0.0])
    np.testing.assert_allclose(theta, [1, -2], atol=1e-14)
    assert value == pytest.approx(5, abs=1e-14)
    np.testing.assert_allclose(gradient, 0, atol=1e-14)
    assert len(calls) <= 3


def test_where_the_curvature_is_upward_it_still_climbs():
    def well(theta):  # -(x^2 - 1)^2 has a dent at 0 and tops at -1 and 1
        x = theta[0]
        return -((x**2 - 1) ** 2), np.array([-4 * x * (x**2 - 1)]), np.array([[4 - 12 * x**2]])

    assert climb(well, [0.1])[0][0] == pytest.approx(1, abs=1e-12)
    assert climb(well, [-0.1])[0][0] == pytest.approx(-1, abs=1e-12)


def test_a_step_that_overshoots_is_halved():
    def pole(theta):  # log x - x, undefined at 0 and below: the first step from 3 leads to -3
        x = theta[0]
        if x <= 0:
            return -np.inf, np.array([np.nan]), np.array([[np.nan]])
        return np.log(x) - x, np.array([1 / x - 1]), np.array([[-1 / x**2]])

    assert climb(pole, [3.0])[0][0] == pytest.approx(1, abs=1e-12)


def test_a_slope_without_top_gives_none():
    assert climb(lambda theta: (theta[0], np.ones(1), np.zeros((1, 1))), [0.0]) is None
    assert (
        climb(lambda theta: (-np.exp(-theta[0]), np.exp(-theta), -np.exp(-theta)[None]), [0.0], steps=10)
        is None
    )


def test_a_start_outside_gives_none():
    assert climb(lambda theta: (-np.inf, np.zeros(1), -np.eye(1)), [0.0]) is None
    assert climb(lambda theta: (0.0, np.ones(1), np.array([[np.nan]])), [0.0]) is None


def test_rounding_does_not_keep_it_from_ending():
    def rough(theta):  # a slope that rounding never lets vanish
        value, gradient, hessian = quadratic(theta)
        return value, gradient + 1e-9, hessian

    theta, *_ = climb(rough, [0.0, 0.0])
    np.testing.assert_allclose(theta, [1, -2], atol=1e-7)
