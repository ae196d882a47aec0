"""Limits by profile likelihood: how far a shape or an age can move before the data speak against it."""

import numpy as np

from maintkit.survival.newton import climb
from maintkit.survival.profile_points import profile_point
from maintkit.survival.weibull_likelihood import weibull_loglik

REACH = 40.0  # how far, on the log scale, a limit is looked for before it is said that there is none


class HeldProfile:
    """The likelihood with one quantity held and the other set free, as the root of twice the loss.

    ``held(at, free)`` gives value, gradient (2,) and Hessian (2, 2) in (held quantity, free quantity).
    """

    def __init__(self, held, best, free, loglik):
        self.held, self.best, self.free, self.loglik = held, best, free, loglik
        hessian = held(best, free)[2]
        self.curvature = -(hessian[0, 0] - hessian[0, 1] ** 2 / hessian[1, 1])
        self.follows = -hessian[0, 1] / hessian[1, 1]

    def drop(self, at, free):
        """The loss at ``at``, its slope there, and the best free value; infinite where the data rule it out."""

        def along(inner):
            value, gradient, hessian = self.held(at, inner[0])
            return value, gradient[1:], hessian[1:, 1:]

        top = climb(along, [free], steps=40, tolerance=1e-13)
        if top is None:
            return np.inf, np.nan, free
        best_free = float(top[0][0])
        loss = np.sqrt(max(2 * (self.loglik - top[1]), 0.0))
        slope = -self.held(at, best_free)[1][0] / loss if loss > 0 else 0.0
        return loss, slope, best_free

    def limit(self, side, cutoff):
        """Where the loss first reaches the cutoff on one side of the best value; None if nowhere in reach.

        Newton's step on a nearly straight line, kept inside the bracket that has been found so far.
        """
        near, far, far_loss, free = 0.0, np.inf, np.inf, self.free
        step = min(cutoff / np.sqrt(self.curvature), REACH / 10) if self.curvature > 0 else REACH / 10
        guess = free + self.follows * side * step
        for _ in range(80):
            loss, slope, best_free = self.drop(self.best + side * step, guess)
            if abs(loss - cutoff) < 1e-9:
                return float(np.exp(self.best + side * step))
            if loss < cutoff:
                near, free = step, best_free
            else:
                far, far_loss = step, loss
            if near >= REACH or far - near < 1e-9:
                return (
                    float(np.exp(self.best + side * near)) if near < REACH and np.isfinite(far_loss) else None
                )
            step = self._next_step(step, loss, side * slope, cutoff, near, far)
            guess = best_free if np.isfinite(loss) else free
        return None

    @staticmethod
    def _next_step(step, loss, slope, cutoff, near, far):
        newton = step - (loss - cutoff) / slope if np.isfinite(loss) and slope > 0 else np.inf
        if near < newton < far and newton <= 3 * step:
            return min(newton, REACH)
        return min(2 * near, REACH) if np.isinf(far) else 0.5 * (near + far)


def profile_limits(cells, theta, loglik, *, cutoff, hazards, limited):
    """Best value and limits of the shape, and of each age with a given cumulative hazard.

    ``hazards`` maps a name to a cumulative hazard (1 for the scale); ``cutoff`` is a normal quantile; those not ``limited`` get
    none.
    Returns {name: (log of the best value, low or None, high or None)}; the limits are no longer logs.
    """

    def function(theta):
        return weibull_loglik(cells, theta)

    top, limits = (theta, *function(theta)), {}
    for name, hazard in {"shape": None, **hazards}.items():
        log_hazard = None if hazard is None else np.log(hazard)
        best = theta[0] if hazard is None else cells.middle + (log_hazard - theta[1]) * np.exp(-theta[0])
        limits[name] = (
            best,
            *(
                limit_held(function, top, cells.middle, log_hazard, (loglik - cutoff**2 / 2, side))
                if name in limited
                else None
                for side in (-1.0, 1.0)
            ),
        )
    return limits


def limit_held(function, top, middle, log_hazard, height):
    """One limit of the shape (``log_hazard`` None), or of the age with a cumulative hazard; None where there is none.

    ``function`` is a likelihood of (log shape, height), ``top`` its theta, value, gradient and Hessian at the highest,
    ``height`` the value at the limit and its side. All at once first, and where that leads nowhere one at a time.
    """
    theta, best, (target, side) = top[0], top[1], height
    quantity = _log_shape if log_hazard is None else _log_age(middle, log_hazard)
    at = profile_point(function, quantity, top, target, side)
    if at is not None:
        return float(np.exp(at))
    if log_hazard is None:
        held, free = (lambda log_shape, height: function(np.array([log_shape, height]))), theta[1]
    else:
        held, free = age_held(function, middle, log_hazard), theta[0]
    return HeldProfile(held, quantity(theta)[0], free, best).limit(side, np.sqrt(2 * (best - target)))


def _log_shape(theta):
    return theta[0], np.array([1.0, 0.0]), np.zeros((2, 2))


def _log_age(middle, log_hazard):
    """Log of the age with a cumulative hazard, as a function of theta with slopes and curvature."""

    def quantity(theta):
        away, per_shape = log_hazard - theta[1], np.exp(-theta[0])
        return (
            middle + away * per_shape,
            np.array([-away, -1.0]) * per_shape,
            np.array([[away, 1.0], [1.0, 0.0]]) * per_shape,
        )

    return quantity


def age_held(function, middle, log_hazard):
    """A likelihood of (log shape, height) as one of (log age with that hazard, log shape).

    Height = log hazard - shape (log age - middle).
    """

    def held(log_age, log_shape):
        shape = np.exp(log_shape)
        rise = shape * (log_age - middle)
        value, gradient, hessian = function(np.array([log_shape, log_hazard - rise]))
        turn = np.array([[0.0, -shape], [1.0, -rise]])
        bent = turn @ hessian @ turn.T - gradient[1] * np.array([[0.0, shape], [shape, rise]])
        return value, turn @ gradient, bent

    return held
