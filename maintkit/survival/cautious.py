"""Hazard ratios fit for a verdict: limits that hold though failures are few and a few modules make most of the error."""

from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from maintkit.survival.results import Estimate
from maintkit.survival.weibull import FEWEST_FAILURES


@dataclass(frozen=True)
class CautiousRatios:
    """Hazard ratios of a Cox model in the order of its covariates, and their p, shape (p,); empty and None without estimates."""

    hazard_ratios: tuple[Estimate, ...]
    p: np.ndarray | None


def cautious(model) -> CautiousRatios:
    """The hazard ratios of a model, with the wider of two limits each and the larger of two p.

    Parameters
    ----------
    model : CoxModel

    Returns
    -------
    CautiousRatios

    Notes
    -----
    One is by curvature, the other by module. With k modules that count (``clusters_that_count``) errors by module come out
    too small by about k / (k - 1) (own factor, held against simulated records in ``maintkit/docs/calibration.md``), and have
    about k - 1 degrees of freedom (after F. E. Satterthwaite (1946), Biometrics Bulletin 2, 110-114); k is taken as 5 at least,
    as many as a comparison takes failures.

    Examples
    --------
    >>> from maintkit.survival.cox import cox
    >>> model = cox([0] * 6, [1, 2, 3, 4, 5, 6], [True] * 6, [[1], [0], [1], [1], [0], [0]], cluster=list("abcdef"))
    >>> ratio = cautious(model).hazard_ratios[0]
    >>> round(ratio.value, 2), round(ratio.low, 2), round(ratio.high, 1)
    (4.03, 0.25, 66.3)
    """
    if model.coefficients is None:
        return CautiousRatios((), None)
    if model.clusters == 0:
        return CautiousRatios(model.hazard_ratios, model.p)
    from scipy.special import ndtr, stdtr, stdtrit

    count = np.maximum(model.clusters_that_count, FEWEST_FAILURES)
    by_module = np.sqrt(np.diag(model.covariance)) * count / (count - 1)
    by_curvature = np.sqrt(np.diag(model.model_covariance))
    upper = (1 + model.level) / 2
    reach = np.maximum(stdtrit(count - 1, upper) * by_module, NormalDist().inv_cdf(upper) * by_curvature)
    size = np.abs(model.coefficients)
    p = np.maximum(2 * stdtr(count - 1, -size / by_module), 2 * ndtr(-size / by_curvature))
    ratios = [
        ratio
        if ratio.value is None
        else replace(ratio, low=float(np.exp(b - wide)), high=float(np.exp(b + wide)))
        for ratio, b, wide in zip(model.hazard_ratios, model.coefficients, reach, strict=True)
    ]
    return CautiousRatios(tuple(ratios), p)
