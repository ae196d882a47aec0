"""Where a profile likelihood falls to a given height: all parameters moved at once."""

import numpy as np

STEPS, LONGEST = 25, 0.7  # Newton's steps, and how far one may go on the log scale


def profile_point(function, quantity, top, target, side):
    """The value of a quantity on one side of its best where the likelihood, at its highest given the quantity, is ``target``.

    Parameters
    ----------
    function, quantity : callable
        Take theta, shape (q,); return value, gradient (q,) and Hessian (q, q).
    top : (theta, value, gradient, hessian)
        Of ``function`` at its highest.
    side : -1.0 or 1.0

    Returns
    -------
    float or None
        None where the steps find no such point.

    Notes
    -----
    Newton's steps on "likelihood = target, its gradient = factor times the gradient of the quantity", from where a
    parabola has the point: D. J. Venzon & S. H. Moolgavkar (1988), Applied Statistics 37, 87-94.

    Examples
    --------
    >>> bowl = lambda x: (-0.5 * float(x @ x), -x, -np.eye(2))
    >>> first = lambda x: (x[0], np.array([1.0, 0.0]), np.zeros((2, 2)))
    >>> round(profile_point(bowl, first, (np.zeros(2), *bowl(np.zeros(2))), -2.0, 1.0), 6)
    2.0
    """
    theta, best = top[0], quantity(top[0])
    across = np.linalg.solve(-top[3], best[1])
    spread = np.sqrt(best[1] @ across)
    if not spread > 0:
        return None
    reach = np.sqrt(2 * (top[1] - target))
    theta, factor = (
        theta + side * min(reach, LONGEST / np.max(np.abs(across / spread))) * across / spread,
        -side * reach / spread,
    )
    for _ in range(STEPS):
        step, missed = _step(function(theta), quantity(theta), factor, target)
        if step is None:
            return None
        if missed < 1e-8:
            at = quantity(theta)[0]
            return float(at) if side * (at - best[0]) > 0 and side * factor < 0 else None
        step *= min(1.0, LONGEST / np.max(np.abs(step[:-1])))
        theta, factor = theta + step[:-1], factor + step[-1]
    return None


def _step(found, held, factor, target):
    """Newton's step in theta and the factor, and by how much the two demands are missed."""
    value, gradient, hessian = found
    _, along, bend = held
    missed = np.append(gradient - factor * along, value - target)
    if not np.all(np.isfinite(missed)):
        return None, np.inf
    size = len(gradient)
    slopes = np.zeros((size + 1, size + 1))
    slopes[:size, :size] = hessian - factor * bend
    slopes[:size, size] = -along
    slopes[size, :size] = gradient
    try:
        return np.linalg.solve(slopes, -missed), float(np.max(np.abs(missed)))
    except np.linalg.LinAlgError:
        return None, np.inf
