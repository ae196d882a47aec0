"""Do groups fail alike: the log-rank test with late entry, weights and strata."""

from dataclasses import dataclass

import numpy as np

from maintkit.survival.results import SpellError
from maintkit.survival.spell_rows import (
    SpellRows,
    failed_at,
    group_codes,
    refuse_unequal_lengths,
    spell_rows,
    watched_at,
)


@dataclass(frozen=True)
class LogRank:
    """Failures seen in each group against those expected if all groups failed alike.

    Attributes
    ----------
    groups : tuple, length g
    observed, expected : ndarray, shape (g,)
    variance : ndarray, shape (g, g)
        Covariance of ``observed - expected``.
    statistic, p : float
        Chi-square statistic and its chance under equal groups.
    df : int
        Groups that could be compared, less one.
    note : str
    """

    groups: tuple
    observed: np.ndarray
    expected: np.ndarray
    variance: np.ndarray
    statistic: float
    df: int
    p: float
    note: str = ""


def log_rank(entry, exit, event, group, weight=None, stratum=None) -> LogRank:
    """Failures seen against failures expected if every group failed alike, and how surprising the gap is.

    Parameters
    ----------
    entry, exit : array_like, shape (n,), one unit of time
        Each part was watched over ``(entry, exit]``.
    event : array_like of bool, shape (n,)
        True where the spell ended in a failure.
    group : array_like, shape (n,)
        The group of each spell.
    weight : array_like, shape (n,), optional
        How many identical parts a spell stands for; 1 each when left out.
    stratum : array_like, shape (n,), optional
        Only spells of the same stratum are compared with each other.

    Returns
    -------
    LogRank
        Groups in alphabetical or numeric order.

    Raises
    ------
    SpellError
        If the spells cannot be used, or if there are fewer than two groups; the message says which.

    Notes
    -----
    At each failure time the failures are shared out in proportion to the parts at risk, with the hypergeometric
    variance d (n-d)/(n-1) n_g/n (1 - n_g/n). Ties: failures before removals; entry at t is not at risk at t.
    Sources: Mantel (1966), Cancer Chemother. Rep. 50, 163-170; Klein & Moeschberger (2003), section 7.3 (from memory).

    Examples
    --------
    >>> result = log_rank([0, 0, 0, 0], [1, 2, 3, 4], [True] * 4, ["a", "a", "b", "b"])
    >>> result.observed.tolist(), [round(float(value), 4) for value in result.expected]
    ([2.0, 2.0], [0.8333, 3.1667])
    """
    names, code = group_codes(group)
    stratum = np.zeros(len(code), np.intp) if stratum is None else group_codes(stratum)[1]
    weight = np.ones(len(code)) if weight is None else np.ravel(np.asarray(weight, float))
    refuse_unequal_lengths(exit=np.ravel(exit), group=code, stratum=stratum)
    rows = spell_rows(entry, exit, event, weight)
    code, stratum = code[weight > 0], stratum[weight > 0]
    if len(names) < 2:
        raise SpellError(f"A comparison needs two groups or more; found only '{names[0]}'.")
    gap, expected, variance = np.zeros(len(names)), np.zeros(len(names)), np.zeros((len(names), len(names)))
    for one in np.unique(stratum):
        observed_here, expected_here, variance_here = _one_stratum(rows, code, stratum == one, len(names))
        gap += observed_here - expected_here
        expected += expected_here
        variance += variance_here
    statistic, df = _chi_square(gap, variance)
    return LogRank(
        names,
        gap + expected,
        expected,
        variance,
        statistic,
        df,
        _chance(statistic, df),
        _note(names, expected, df),
    )


def _one_stratum(rows, code, here, groups):
    time = np.unique(rows.exit[rows.event & here])
    parts = [
        SpellRows(rows.entry[mine], rows.exit[mine], rows.event[mine], rows.weight[mine])
        for mine in (here & (code == group) for group in range(groups))
    ]
    at_risk = np.stack([watched_at(part, time) for part in parts])
    failures = np.stack([failed_at(part, time) for part in parts])
    total, failed = at_risk.sum(axis=0), failures.sum(axis=0)
    share = at_risk / total
    spread = np.where(total > 1, failed * (total - failed) / np.where(total > 1, total - 1, 1.0), 0.0)
    variance = np.diag(share @ spread) - (share * spread) @ share.T
    return failures.sum(axis=1), share @ failed, variance


def _chi_square(gap, variance):
    """Statistic and its degrees of freedom, over the directions in which the groups can differ at all."""
    size, direction = np.linalg.eigh(variance)
    usable = size > 1e-9 * max(size.max(), 1e-300)
    along = direction[:, usable].T @ gap
    return float(np.sum(along**2 / size[usable])), int(usable.sum())


def _chance(statistic, df):
    from scipy.special import chdtrc

    return float(chdtrc(df, statistic)) if df else 1.0


def _note(names, expected, df):
    if df == len(names) - 1:
        return ""
    never = [str(name) for name, value in zip(names, expected, strict=True) if value <= 0]
    if never:
        return f"Not compared, for no part of it was watched when another failed: {', '.join(never)}."
    return "Some groups were never watched at the same age as others and could not be compared."
