"""Do parts wear out, and when: the Weibull life of parts that entered late, were cut short or failed unseen."""

from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from maintkit.notes import sentence
from maintkit.survival.rates import rate
from maintkit.survival.results import Estimate, SpellError, three_digits
from maintkit.survival.spell_rows import SpellRows, refuse_bad_level, spell_rows
from maintkit.survival.weibull_likelihood import shape_and_scale, top_of, weibull_cells, weibull_loglik
from maintkit.survival.weibull_profile import QUANTITIES, limit_held, profile_limits

# below this a shape is noise: common practice, no source
FEWEST_FAILURES = 5
# times the oldest age watched beyond which an age is not given: common practice, no source
FARTHEST = 10


@dataclass(frozen=True)
class WeibullLife:
    """Weibull life ``S(t) = exp(-(t / scale)**shape)``, or the rate alone where that is all the data carry.

    Attributes
    ----------
    shape : Estimate or None
        Above 1 parts wear out, at 1 age does not matter, below 1 the early ones fail.
    scale, b10, median : Estimate or None
        Ages by which 63.2 %, 10 % and 50 % have failed, in the unit of the spells.
    rate : Estimate
        Failures per unit of time, the whole time pooled.
    log_shape, log_scale, loglik : float or None
    covariance : ndarray, shape (2, 2), or None
        Of ``(log_shape, log_scale)``, from the curvature at the top.
    failures, exposure : float
        Failures, interval_censored ones among them, and summed time at risk; an interval-censored failure brings half its interval.
    level : float
    note : str
    """

    shape: Estimate | None
    scale: Estimate | None
    b10: Estimate | None
    median: Estimate | None
    rate: Estimate
    log_shape: float | None
    log_scale: float | None
    covariance: np.ndarray | None
    loglik: float | None
    failures: float
    exposure: float
    level: float
    note: str = ""

    def cumulative_hazard(self, age):
        """Cumulative hazard, shape of ``age`` (number or array); SpellError where no life was fitted."""
        if self.log_shape is None:
            raise SpellError(f"There is no Weibull life to draw on. {self.note}")
        age = np.asarray(age, float)
        hazard = (np.maximum(age, 0.0) / np.exp(self.log_scale)) ** np.exp(self.log_shape)
        return float(hazard) if hazard.ndim == 0 else hazard

    def survival(self, age):
        """Share still working at an age (number or array); SpellError where no life was fitted."""
        share = np.exp(-self.cumulative_hazard(age))
        return float(share) if np.ndim(share) == 0 else share


def fit_weibull(
    entry, exit, event, weight=None, *, interval_censored=None, level=0.90, limited=tuple(QUANTITIES)
) -> WeibullLife:
    """Shape, scale, B10 and median life of a kind of part, by maximum likelihood.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over ``(entry, exit]``.
    event : array_like of bool, shape (n,)
        True where the part failed exactly at ``exit``.
    weight : array_like, shape (n,), optional
        How many identical parts a spell stands for; 1 each when left out.
    interval_censored : array_like of bool, shape (n,), optional
        True where planned work found the part failed: it failed some time in ``(entry, exit]``, and was
        known good at ``entry``. Such rows count as failures and must not be events.
    level : float
        Level of every interval.
    limited : tuple of str
        Which of shape, scale, b10 and median get limits; they take most of the time.

    Returns
    -------
    WeibullLife
        With fewer than 5 failures, failures all at one age, or a likelihood without a top: the rate only,
        and ``note`` says why.

    Raises
    ------
    SpellError
        If the spells cannot be used, or a row is both event and interval_censored; the message gives the first such row.

    Notes
    -----
    Cut short: S(exit)/S(entry). Failed: h(exit) S(exit)/S(entry). Hidden: (S(entry) - S(exit))/S(entry).
    Intervals hold every value whose profile likelihood lies within half a chi-square quantile of the top; a side on
    which it never falls so low has no limit. Source: Meeker & Escobar (1998), Statistical Methods for Reliability Data,
    sections 8.3 and 11.6 (from memory).

    Examples
    --------
    >>> life = fit_weibull([0] * 6, [3, 5, 6, 8, 10, 12], [True] * 5 + [False])
    >>> round(life.shape.value, 2), round(life.scale.value, 2)
    (2.2, 8.74)
    >>> fit_weibull([0, 0], [3, 5], [True, False]).note
    'Only 1 failure: a shape takes at least 5, so the rate alone is given.'
    """
    refuse_bad_level(level)
    rows = spell_rows(entry, exit, event, weight, interval_censored)
    reason = too_little(rows)
    cells = None if reason else weibull_cells(rows)
    top = None if reason else top_of(cells, rows.failures, rows.exposure)
    if top is None:
        per_time, about = pooled_rate(rows, level), (rows.failures, rows.exposure, level)
        reason = reason or sentence("weibull.no_top")
        return WeibullLife(None, None, None, None, per_time, None, None, None, None, *about, reason)

    def limit(*asked):
        return limit_held(lambda theta: weibull_loglik(cells, theta), top, cells.middle, *asked)

    return WeibullLife(**told(rows, cells, top, limit, limited, level))


def told(rows: SpellRows, cells, top, limit, limited, level) -> dict:
    """What a life says, by name, from the top of its likelihood and what finds its limits (see ``profile_limits``)."""
    (log_shape, log_scale, *_), covariance = shape_and_scale(cells, top[0], top[3])
    cutoff = NormalDist().inv_cdf((1 + level) / 2)
    limits = profile_limits(top, cells.middle, limit, cutoff=cutoff, limited=limited)
    return {
        **estimated(rows, level, limits, limited),
        "rate": pooled_rate(rows, level),
        "log_shape": float(log_shape),
        "log_scale": float(log_scale),
        "covariance": covariance[:2, :2],
        "loglik": top[1],
        "failures": rows.failures,
        "exposure": rows.exposure,
        "level": level,
    }


def pooled_rate(rows: SpellRows, level) -> Estimate:
    """Failures per unit of time, the whole time pooled; the note tells how many were found by planned work."""
    per_time, found = rate(rows.failures, rows.exposure, level=level), rows.weight @ rows.interval_censored
    if not found:
        return per_time
    note = sentence("weibull.found", found=float(found))
    return replace(per_time, note=f"{per_time.note} {note}".strip())


def too_little(rows: SpellRows) -> str:
    """Why no shape can be fitted, or an empty text."""
    if rows.failures < FEWEST_FAILURES:
        return sentence("weibull.few", failures=rows.failures, fewest=FEWEST_FAILURES)
    if not rows.interval_censored.any() and np.ptp(rows.exit[rows.event]) == 0:
        age = three_digits(rows.exit[rows.event][0])
        return sentence("weibull.one_age", failures=rows.failures, age=age)
    return ""


def estimated(rows: SpellRows, level, limits: dict, limited) -> dict[str, Estimate]:
    """The shape and each age, from the log of its value and its limits."""
    whole, oldest = Estimate(None, None, None, level, rows.failures, rows.exposure), float(rows.exit.max())
    found = {}
    for name, (log_value, low, high) in limits.items():
        if name == "shape":
            value, note = float(np.exp(log_value)), missing_sides(low, high)
            found[name] = replace(whole, value=value, low=low, high=high, note=note)
        else:
            found[name] = age_estimate(whole, log_value, low, high, oldest=oldest)
        if name not in limited:
            note = found[name].note.replace(missing_sides(None, None), sentence("weibull.not_asked"))
            found[name] = replace(found[name], note=note)
    return found


def age_estimate(whole, log_age, low, high, *, oldest) -> Estimate:
    """An age read off the curve, or "not reached" where it lies far beyond any part watched."""
    seen = f"the oldest part watched was {three_digits(oldest)}"
    high = high if high is not None and high <= FARTHEST**2 * oldest else None
    low = low if low is not None and low <= FARTHEST**2 * oldest else None
    if log_age > np.log(FARTHEST * oldest):
        return replace(whole, low=low, note=sentence("weibull.too_far", times=FARTHEST, seen=seen))
    value = float(np.exp(log_age))
    beyond = [sentence("weibull.beyond", seen=seen)] if value > oldest else []
    note = " ".join(filter(None, [missing_sides(low, high), *beyond]))
    return replace(whole, value=value, low=low, high=high, note=note)


def missing_sides(low, high):
    """A sentence on the limits the data do not set, or an empty text."""
    sides = [name for name, limit in (("lower", low), ("upper", high)) if limit is None]
    return sentence("weibull.no_limit", sides=" or ".join(sides)) if sides else ""
