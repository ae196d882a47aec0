"""Looking at many groups at once: p values made fit for their number."""

import numpy as np

from maintkit.survival.results import SpellError


def holm(p) -> np.ndarray:
    """The p values made fit for having looked at all of them.

    Parameters
    ----------
    p : array_like, shape (n,)
        One p a comparison; NaN where none was made, which counts for nothing and stays NaN.

    Returns
    -------
    ndarray, shape (n,)
        Adjusted p in the order given: below a bound only if it would be with all n comparisons weighed.

    Raises
    ------
    SpellError
        If a p lies outside 0 to 1.

    Notes
    -----
    The i-th smallest of n is multiplied by n - i + 1, then no p may be smaller than one before it, nor above 1:
    S. Holm (1979), Scandinavian Journal of Statistics 6, 65-70.

    Examples
    --------
    >>> holm([0.01, 0.04, 0.03])
    array([0.03, 0.06, 0.06])
    """
    p = np.asarray(p, float)
    if np.any((p < 0) | (p > 1)):
        raise SpellError(
            "A p lies between 0 and 1; one of these does not. Hand over p values, not statistics."
        )
    adjusted = np.full(p.shape, np.nan)
    order = np.argsort(p)[: np.count_nonzero(~np.isnan(p))]  # NaN sorts last
    steps = p[order] * np.arange(len(order), 0, -1)
    adjusted[order] = np.minimum(np.maximum.accumulate(steps), 1.0)
    return adjusted
