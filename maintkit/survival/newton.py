"""The way up to the top of a likelihood, by Newton's steps halved until they climb, and the covariance there by module."""

import numpy as np

# log hazard ratio per spread of a covariate beyond which a fit has run off: common practice, no source
LARGEST_EFFECT = 6.0
# gains, relative to the value, that count as nothing, small, and done
ROUNDING, NEAR, NEAR_ENOUGH = 1e-14, 1e-9, 1e-8


def climb(function, start, *, steps=80, tolerance=1e-26):
    """Theta at the top with value, gradient and Hessian there, or None if there is no top to be found.

    ``function(theta)`` gives value, gradient and Hessian. A step is done when the gain it promises is below
    ``tolerance`` of the value, or when rounding keeps it from getting smaller.
    """
    theta = np.asarray(start, float)
    value, gradient, hessian = function(theta)
    before = np.inf
    for _ in range(steps):
        step = (
            _uphill(gradient, hessian)
            if np.isfinite(value) and np.all(np.isfinite(hessian))
            else np.full(1, np.nan)
        )
        if not np.all(np.isfinite(step)):
            return None
        promised = float(gradient @ step) / (1 + abs(value))
        if promised < tolerance or ROUNDING > promised >= before:
            return theta, value, gradient, hessian
        taken = _taken(function, theta, value, step, promised)
        if taken is None:
            return (theta, value, gradient, hessian) if promised < NEAR_ENOUGH else None
        theta, value, gradient, hessian = taken
        before = promised
    return None


def _taken(function, theta, value, step, promised):
    """The first of the whole step, its half, its quarter ... that climbs; None if none does."""
    length = min(1.0, 3.0 / max(np.max(np.abs(step)), 1e-300))
    size = 1 + abs(value)
    for _ in range(40):
        new = theta + length * step
        found = function(new)
        if (
            found[0] >= value + 1e-4 * length * promised * size
            or promised < NEAR
            and found[0] >= value - 1e-12 * size
        ):
            return new, *found
        length /= 2
    return None


def _uphill(gradient, hessian):
    """Newton's step, with the curvature turned downward wherever it is not."""
    size, direction = np.linalg.eigh(hessian)
    size = np.maximum(np.abs(size), 1e-10 * np.max(np.abs(size)))
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        return direction @ ((direction.T @ gradient) / size)


def by_cluster(scores, cluster):
    """The rows' scores, shape (n, p), summed over each module: shape (modules, p), in the order of their names.

    ``cluster``, shape (n,), says which module a row is of. A sum, by definition.
    """
    names, number = np.unique(np.asarray(cluster), return_inverse=True)
    return np.column_stack([np.bincount(number, column, len(names)) for column in np.asarray(scores).T])


def sandwich(covariance, scores):
    """Covariance that allows for the rows of a module failing together, shape (p, p).

    ``covariance`` is that by curvature, ``scores`` the modules' at the top, shape (modules, p): curvature x sum of their squares
    x curvature, times m / (m - 1) for m modules. K.-Y. Liang & S. L. Zeger (1986), Biometrika 73, 13-22.
    """
    modules = len(scores)
    return covariance @ (scores.T @ scores) @ covariance * modules / max(modules - 1, 1)


def edge_p(ratio: float) -> float:
    """p of twice a gain in log likelihood where what is gained starts from an edge: half a chi-square tail.

    S. G. Self & K.-Y. Liang (1987), J. Am. Stat. Assoc. 82, 605-610.
    """
    from scipy.special import chdtrc

    return float(0.5 * chdtrc(1, ratio)) if ratio > 0 else 1.0
