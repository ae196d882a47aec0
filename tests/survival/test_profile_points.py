import numpy as np
import pytest
from scipy.optimize import brentq

from maintkit.survival.profile_points import profile_point


def exponential(deaths, time):
    """Log-likelihood of a constant rate in (log rate, a number that does not matter but bends)."""

    def function(theta):
        rate, idle = np.exp(theta[0]), theta[1]
        gradient = np.array([deaths - rate * time, -(idle**3) - idle])
        return (
            deaths * theta[0] - rate * time - idle**4 / 4 - idle**2 / 2,
            gradient,
            np.diag([-rate * time, -3 * idle**2 - 1]),
        )

    return function


def first(theta):
    return theta[0], np.array([1.0, 0.0]), np.zeros((2, 2))


@pytest.mark.parametrize("deaths", [5, 40])
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_the_limit_of_a_rate_is_where_its_likelihood_has_fallen_so_far(deaths, side):
    function = exponential(deaths, 100.0)
    theta = np.array([np.log(deaths / 100), 0.0])
    top = (theta, *function(theta))
    found = profile_point(function, first, top, top[1] - 1.35, side)
    drop = lambda at: deaths * at - np.exp(at) * 100 - top[1] + 1.35
    assert found == pytest.approx(brentq(drop, *sorted([theta[0], theta[0] + 3 * side])), abs=1e-8)


def test_a_quantity_of_both_numbers_is_held_at_its_best_split():
    # Likelihood -(x^2 + 4 y^2) / 2 with x + y held at s: best at x = 4 s / 5, and -(2 / 5) s^2 = -2 at s = 5^0.5.
    def bowl(theta):
        size = np.array([1.0, 4.0])
        return -0.5 * float(size @ theta**2), -size * theta, -np.diag(size)

    def both(theta):
        return theta.sum(), np.ones(2), np.zeros((2, 2))

    assert profile_point(bowl, both, (np.zeros(2), *bowl(np.zeros(2))), -2.0, -1.0) == pytest.approx(
        -(5**0.5)
    )


def test_a_bent_quantity_is_followed_in_few_steps():
    # Likelihood -(x^2 + 4 y^2) / 2 held at -1.35: on that ellipse exp(x) + exp(y) is largest at 6.2148640 (by going round it).
    calls, size = [], np.array([1.0, 4.0])

    def bowl(theta):
        calls.append(theta)
        return -0.5 * float(size @ theta**2), -size * theta, -np.diag(size)

    def mixed(theta):
        return np.exp(theta).sum(), np.exp(theta), np.diag(np.exp(theta))

    round_it = np.linspace(0, 2 * np.pi, 400_001)
    largest = (np.exp(2.7**0.5 * np.cos(round_it)) + np.exp(2.7**0.5 / 2 * np.sin(round_it))).max()
    assert profile_point(bowl, mixed, (np.zeros(2), *bowl(np.zeros(2))), -1.35, 1.0) == pytest.approx(
        largest, abs=1e-7
    )
    assert len(calls) <= 8


def test_where_the_likelihood_never_falls_so_far_there_is_no_point():
    def levelling(theta):
        x = theta[0]
        return (
            np.exp(-(x**2) / 2) - theta[1] ** 2 / 2,
            np.array([-x * np.exp(-(x**2) / 2), -theta[1]]),
            np.diag([(x**2 - 1) * np.exp(-(x**2) / 2), -1.0]),
        )

    assert profile_point(levelling, first, (np.zeros(2), *levelling(np.zeros(2))), -0.5, 1.0) is None
