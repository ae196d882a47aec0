"""What makes parts fail sooner, whatever age does: Cox regression with late entry, strata and clustered modules."""

from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.cox_likelihood import partial_loglik, risk_sets, schoenfeld_residuals, score_residuals
from maintkit.survival.designs import checked_design, middle_and_spread, tellable, tied_up, without_gaps
from maintkit.survival.newton import LARGEST_EFFECT, by_cluster, climb
from maintkit.survival.results import Estimate
from maintkit.survival.spell_rows import (
    group_codes,
    refuse_bad_level,
    refuse_unequal_lengths,
    spell_rows,
)
from maintkit.survival.weibull import FEWEST_FAILURES

FLATTEST = 1e-6  # information on a covariate, per spread of it, that counts as none
FEW_CLUSTERS = 20  # fewer modules than this and limits by module are too narrow: common practice, no source


@dataclass(frozen=True)
class CoxModel:
    """Hazard ratios that hold whatever the hazard does with age, or the reason why there are none.

    Attributes
    ----------
    names : tuple of str, length p
    coefficients : ndarray, shape (p,), or None
        Log hazard ratio for one unit of each covariate; nan where every failure is on one side of it.
    covariance : ndarray, shape (p, p), or None
        By module where ``clusters`` is not 0, else from the curvature.
    model_covariance : ndarray, shape (p, p), or None
        From the curvature, as if every part failed for itself.
    loglik_null, loglik : float or None
        With all coefficients 0, and at the top.
    proportional_p : ndarray, shape (p,), or None
        Chance of a drift of the effect with age as large as seen if there is none; small: one ratio does not tell it
        all.
    proportional_p_overall : float or None
    failures, exposure, level : float
    clusters : int
    note : str
    """

    names: tuple[str, ...]
    coefficients: np.ndarray | None
    covariance: np.ndarray | None
    model_covariance: np.ndarray | None
    loglik_null: float | None
    loglik: float | None
    proportional_p: np.ndarray | None
    proportional_p_overall: float | None
    failures: float
    exposure: float
    level: float
    clusters: int = 0
    note: str = ""
    clusters_that_count: np.ndarray | None = None

    @property
    def hazard_ratios(self) -> tuple[Estimate, ...]:
        """How many times as fast parts fail for one unit more of each covariate; limits on the log scale."""
        if self.coefficients is None:
            return ()
        reach = NormalDist().inv_cdf((1 + self.level) / 2) * np.sqrt(np.diag(self.covariance))
        return tuple(map(self._hazard_ratio, self.coefficients.tolist(), reach.tolist()))

    def _hazard_ratio(self, b, wide):
        about = self.level, self.failures, self.exposure, self.note
        if np.isnan(b):
            return Estimate(None, None, None, *about)
        return Estimate.of_log(b, wide, *about)

    @property
    def p(self) -> np.ndarray | None:
        """Two-sided chance of each coefficient if the covariate made no difference, shape (p,)."""
        if self.coefficients is None:
            return None
        return _chi_square_tail(self.coefficients**2 / np.diag(self.covariance), 1)


def cox(
    entry,
    exit,
    event,
    design,
    *,
    weight=None,
    stratum=None,
    cluster=None,
    ties="efron",
    names=None,
    level=0.90,
) -> CoxModel:
    """How many times as fast parts fail for each covariate, all else equal, whatever age does.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over ``(entry, exit]``.
    event : array_like of bool, shape (n,)
        True where the spell ended in a failure.
    design : array_like, shape (n, p)
        Covariates, no constant.
    weight : array_like of whole numbers, shape (n,), optional
        How many identical parts a spell stands for: the same result as that many rows.
    stratum : array_like, shape (n,), optional
        Each stratum has its own hazard; only spells of one stratum are compared.
    cluster : array_like, shape (n,), optional
        The module of each spell: limits then allow for parts of a module failing together.
    ties : "efron" or "breslow"
    names : sequence of str, length p, optional
        What the covariates are called in messages.
    level : float
        Level of the hazard ratios' intervals.

    Returns
    -------
    CoxModel
        Without estimates, and with a ``note`` that says why, where there are fewer than 5 failures, covariates that
        cannot be told apart, or covariates that part failed from unfailed. Where a covariate has two values and one
        of them never failed, it alone has no estimate; the others are those of the remaining spells.

    Raises
    ------
    SpellError
        If the spells or the design cannot be used; the message gives the row or the lengths.

    Notes
    -----
    Limits by module: inverse curvature times the summed squares of the modules' score residuals times inverse
    curvature (Lin & Wei 1989, J. Am. Stat. Assoc. 84, 1074-1078). Drift with age: scaled Schoenfeld residuals
    against the rank of the failure age (Grambsch & Therneau 1994, Biometrika 81, 515-526).

    Examples
    --------
    >>> fit = cox([0] * 6, [1, 2, 3, 4, 5, 6], [True] * 6, [[1], [0], [1], [1], [0], [0]])
    >>> print(fit.hazard_ratios[0])
    4.03 (0.594 to 27.4, 90 % interval; 6 failures)
    """
    refuse_bad_level(level)
    design, names = checked_design(design, np.size(exit), names)
    strata = _labels("stratum", stratum, np.size(exit))
    clusters = None if cluster is None else _labels("cluster", cluster, np.size(exit))
    rows = spell_rows(entry, exit, event, weight)
    design, strata = design[rows.kept], strata[rows.kept]
    clusters = None if clusters is None else clusters[rows.kept]
    nothing = CoxModel(names, None, None, None, None, None, None, None, rows.failures, rows.exposure, level)
    told, used = tellable(design, rows.event)
    reason = _too_little(rows.failures) or without_gaps(design, names, strata) or _none_told(names, told)
    told_names = tuple(name for name, one in zip(names, told, strict=True) if one)
    if not reason and not told.all():
        reason = without_gaps(design[used][:, told], told_names, strata[used])
    if reason:
        return replace(nothing, note=reason)
    rows = rows.some(used)
    clusters = None if clusters is None else clusters[used]
    found = _fitted(nothing, told_names, rows, design[used][:, told], strata[used], clusters, ties)
    return found if found.coefficients is None or told.all() else _spread_out(found, told)


def _fitted(nothing, told_names, rows, design, strata, clusters, ties) -> CoxModel:
    """The model of covariates that can all be estimated."""
    middle, spread = middle_and_spread(design, rows.weight)
    sets = risk_sets(rows, (design - middle) / spread, strata, ties)
    top = climb(lambda b: partial_loglik(sets, b), np.zeros(len(spread)))
    if top is None or np.any(np.abs(top[0]) > LARGEST_EFFECT):
        return replace(nothing, note=sentence("cox.parted"))
    tied = tied_up(-top[3], told_names, FLATTEST)
    if tied:
        return replace(nothing, note=tied)
    model = np.linalg.inv(-top[3])
    covariance, note, count = _by_cluster(sets, top[0], model, clusters)
    drift, overall = _drift(sets, top[0], model)
    unit = np.outer(spread, spread)
    return replace(
        nothing,
        coefficients=top[0] / spread,
        covariance=covariance / unit,
        model_covariance=model / unit,
        loglik_null=partial_loglik(sets, np.zeros(len(spread)))[0],
        loglik=top[1],
        proportional_p=drift,
        proportional_p_overall=overall,
        clusters=0 if clusters is None else len(np.unique(clusters)),
        note=note,
        clusters_that_count=count,
    )


def _none_told(names, told):
    return "" if told.any() else sentence("cox.none_told", covariates=_one_side(names))


def _one_side(names):
    return f"{' and '.join(names)}: every failure is on one side"


def _spread_out(found, told):
    """The model with nan for the covariates that could not be estimated, and a note that names them."""
    place = np.flatnonzero(told)

    def spread(values):
        whole = np.full((len(told),) * values.ndim, np.nan)
        whole[np.ix_(*[place] * values.ndim)] = values
        return whole

    left_out = [name for name, one in zip(found.names, told, strict=True) if not one]
    for_what = "it" if len(left_out) == 1 else "them"
    note = f"{_one_side(left_out)}, so no hazard ratio can be given for {for_what}. {found.note}".strip()
    return replace(
        found,
        coefficients=spread(found.coefficients),
        covariance=spread(found.covariance),
        model_covariance=spread(found.model_covariance),
        proportional_p=spread(found.proportional_p),
        note=note,
        clusters_that_count=None if found.clusters == 0 else spread(found.clusters_that_count),
    )


def _labels(name, labels, rows):
    if labels is None:
        return np.zeros(rows, np.intp)
    code = group_codes(labels)[1]
    refuse_unequal_lengths(exit=range(rows), **{name: code})
    return code


def _too_little(failures):
    if failures >= FEWEST_FAILURES:
        return ""
    return sentence("cox.few", failures=failures, fewest=FEWEST_FAILURES)


def _by_cluster(sets, b, model, clusters):
    if clusters is None:
        return model, "", None
    moved = by_cluster(score_residuals(sets, b), clusters) @ model
    few = len(moved) < FEW_CLUSTERS
    note = sentence("cox.few_modules", modules=len(moved)) if few else ""
    return moved.T @ moved, note, np.sum(moved**2, axis=0) ** 2 / np.sum(moved**4, axis=0)


def _drift(sets, b, model):
    """P of a drift of each coefficient with the rank of age, and of all together."""
    weight = sets.weight[sets.died]
    rank = _middle_rank(np.unique(sets.age[sets.died_at], return_inverse=True)[1], weight)
    away = rank - np.average(rank, weights=weight)
    size = weight @ away**2
    if size <= 0:
        return np.ones(len(b)), 1.0
    lean = (weight * away) @ schoenfeld_residuals(sets, b)
    along = model @ lean
    scale = weight.sum() / size
    return _chi_square_tail(scale * along**2 / np.diag(model), 1), float(
        _chi_square_tail(scale * lean @ along, len(b))
    )


def _middle_rank(age_number, weight):
    """Rank of each failure's age among all failures, but for a shift; ties share the middle of their ranks."""
    tied = np.bincount(age_number, weight)
    return (np.cumsum(tied) - tied / 2)[age_number]


def _chi_square_tail(statistic, df):
    from scipy.special import chdtrc

    return chdtrc(df, statistic)
