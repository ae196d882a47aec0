"""Limits by profile likelihood: how far a shape or an age can move before the data speak against it."""

import numpy as np

from maintkit.survival.newton import climb
from maintkit.survival.profile_points import profile_point

REACH = 40.0  # how far, on the log scale, a limit is looked for before it is said that there is none
QUANTITIES = {"shape": None, "scale": 1.0, "b10": -np.log(0.9), "median": np.log(2.0)}


def profile_limits(top, middle: float, limit, *, cutoff: float, limited) -> dict:
    """Best value and limits of the shape, and of each age with a given cumulative hazard.

    ``limit(hazard, target, side)`` finds where the likelihood has fallen to the target, hazard None for the shape; ``cutoff`` is a
    normal quantile; those not ``limited`` get none. Returns {name: (log of the best value, low or None, high or None)}; the limits
    are no longer logs.
    """
    target, limits = top[1] - cutoff**2 / 2, {}
    for name, hazard in QUANTITIES.items():
        sides = (limit(hazard, target, side) if name in limited else None for side in (-1.0, 1.0))
        limits[name] = (float(quantity_of(middle, hazard)(top[0])[0]), *sides)
    return limits


def limit_held(function, top, middle: float, hazard, target, side):
    """One limit of the shape (``hazard`` None), or of the age with a cumulative hazard; None where there is none.

    ``function`` is a likelihood of (log shape, height), ``top`` its theta, value, gradient and Hessian at the highest,
    ``target`` the value at the limit. All at once first, and where that leads nowhere one at a time.
    """
    quantity = quantity_of(middle, hazard)
    at = profile_point(function, quantity, top, target, side)
    if at is None:
        free = top[0][1 if hazard is None else 0]
        at = _one_at_a_time(
            _held(function, middle, hazard), quantity(top[0])[0], free, (top[1], target), side
        )
    return None if at is None else float(np.exp(at))


def _one_at_a_time(held, best, free, heights, side):
    """Where ``held``, a likelihood of a quantity and a number that is free, falls from its highest to the target; None if nowhere
    in reach.

    Newton's step on the root of twice the loss, a nearly straight line, kept inside the bracket that has been found so far.
    """
    hessian, cutoff = held(best, free)[2], np.sqrt(2 * (heights[0] - heights[1]))
    curvature = hessian[0, 1] ** 2 / hessian[1, 1] - hessian[0, 0]
    step = min(cutoff / np.sqrt(curvature), REACH / 10) if curvature > 0 else REACH / 10
    near, far, far_loss, guess = 0.0, np.inf, np.inf, free - hessian[0, 1] / hessian[1, 1] * side * step
    for _ in range(80):
        loss, slope, best_free = _loss(held, best + side * step, guess, heights[0])
        if abs(loss - cutoff) < 1e-9:
            return best + side * step
        if loss < cutoff:
            near, free = step, best_free
        else:
            far, far_loss = step, loss
        if near >= REACH or far - near < 1e-9:
            return best + side * near if near < REACH and np.isfinite(far_loss) else None
        newton = step - (loss - cutoff) / (side * slope) if np.isfinite(loss) and side * slope > 0 else np.inf
        middle = 2 * near if np.isinf(far) else 0.5 * (near + far)
        step = min(newton if near < newton < far and newton <= 3 * step else middle, REACH)
        guess = best_free if np.isfinite(loss) else free
    return None


def _loss(held, at, free, highest):
    """The root of twice the loss with the quantity held, its slope, and the best free number; infinite where the data rule it out."""

    def along(inner):
        value, gradient, hessian = held(at, inner[0])
        return value, gradient[1:], hessian[1:, 1:]

    top = climb(along, [free], steps=40, tolerance=1e-13)
    if top is None:
        return np.inf, np.nan, free
    best_free, loss = float(top[0][0]), np.sqrt(max(2 * (highest - top[1]), 0.0))
    return loss, -held(at, best_free)[1][0] / loss if loss > 0 else 0.0, best_free


def quantity_of(middle: float, hazard):
    """Log of the shape (``hazard`` None), or of the age by which parts have the cumulative hazard, as a function of theta with
    slopes and curvature: of log shape, height and, where modules differ, the log of the variance of their factors."""

    def log_shape(theta):
        return theta[0], np.eye(len(theta))[0], np.zeros((len(theta), len(theta)))

    def log_age(theta):
        size, per_shape = len(theta), np.exp(-theta[0])
        level, rise, bend = _of_average(hazard, theta[2]) if size > 2 else (np.log(hazard), 0.0, 0.0)
        away = level - theta[1]
        slope = np.array([-away, -1.0, rise])[:size]
        curve = np.array([[away, 1.0, -rise], [1.0, 0.0, 0.0], [-rise, 0.0, bend]])[:size, :size]
        return middle + away * per_shape, slope * per_shape, curve * per_shape

    return log_shape if hazard is None else log_age


def _of_average(hazard, log_variance):
    """Log of the cumulative hazard of an average module when the population has ``hazard``, its slope and curvature along the log of
    the variance v: (1 + v H)^(-1 / v) = exp(-hazard)."""
    x = np.exp(log_variance) * hazard
    gone = -np.expm1(-x)
    return np.log(np.expm1(x)) - log_variance, x / gone - 1, x * (gone - x * (1 - gone)) / gone**2


def _held(function, middle: float, hazard):
    """A likelihood of (log shape, height) as one of the quantity held and the other, free; an age goes with log shape.

    Height = log hazard - shape (log age - middle).
    """

    def held_shape(log_shape, height):
        return function(np.array([log_shape, height]))

    def held_age(log_age, log_shape):
        shape = np.exp(log_shape)
        rise = shape * (log_age - middle)
        value, gradient, hessian = function(np.array([log_shape, np.log(hazard) - rise]))
        turn = np.array([[0.0, -shape], [1.0, -rise]])
        bent = turn @ hessian @ turn.T - gradient[1] * np.array([[0.0, shape], [shape, rise]])
        return value, turn @ gradient, bent

    return held_shape if hazard is None else held_age
