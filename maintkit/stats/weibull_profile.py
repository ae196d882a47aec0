"""Limits by profile likelihood: how far a shape or an age can move before the data speak against it."""

import numpy as np

from maintkit.stats.climbing import climb
from maintkit.stats.weibull_likelihood import weibull_loglik

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
                return float(np.exp(self.best + side * near)) if near < REACH and np.isfinite(far_loss) else None
            step = self._next_step(step, loss, side * slope, cutoff, near, far)
            guess = best_free if np.isfinite(loss) else free
        return None

    @staticmethod
    def _next_step(step, loss, slope, cutoff, near, far):
        newton = step - (loss - cutoff) / slope if np.isfinite(loss) and slope > 0 else np.inf
        if near < newton < far and newton <= 3 * step:
            return min(newton, REACH)
        return min(2 * near, REACH) if np.isinf(far) else 0.5 * (near + far)


def profile_limits(cells, theta, loglik, *, cutoff, hazards):
    """Best value and limits of the shape, and of each age with a given cumulative hazard.

    ``hazards`` maps a name to a cumulative hazard (1 for the scale); ``cutoff`` is a normal quantile.
    Returns {name: (log of the best value, low or None, high or None)}; the limits are no longer logs.
    """
    def shape_held(log_shape, height):
        return weibull_loglik(cells, np.array([log_shape, height]))
    profiles = {"shape": HeldProfile(shape_held, theta[0], theta[1], loglik)}
    for name, hazard in hazards.items():
        best = cells.middle + (np.log(hazard) - theta[1]) * np.exp(-theta[0])
        held = age_held(lambda theta: weibull_loglik(cells, theta), cells.middle, np.log(hazard))
        profiles[name] = HeldProfile(held, best, theta[0], loglik)
    return {name: (profile.best, profile.limit(-1.0, cutoff), profile.limit(1.0, cutoff))
            for name, profile in profiles.items()}


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
