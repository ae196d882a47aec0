"""Rates of faults at equal age: modules compared while as long has passed since they were made and since they were re-capped."""

from dataclasses import dataclass

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.survival.shared_rates import fit_shared_rates

PIECE_DAYS = 365
YOUNGEST_YEARS = 0.5  # below this an age counts as so much, for its logarithm runs off
MOST_MODULES = 4000  # beyond these, modules drawn by chance tell it as well
POWER = 0.80
FEWEST_MODULES = 3
LEAST_SHARE = 0.5  # of the time of either group, at known age, for its ages to tell: own choice
TAILS = (0.05, 0.95)  # of the time watched, between which the ages of two groups must meet
TWO_ERRORS = 2 * 1.6448536  # errors of a logarithm between 90 % limits
LABELS = ["serial", "family", "coupling", "desk", "module_type", "board_era", "zone"]


@dataclass(frozen=True)
class AtEqualAge:
    """How many times as often a group fails as another at equal age: ``ratio``, 90 % ``low, high``, ``p``; ``error`` of its log.

    Where there is none ``why`` says so: ``no age known``, ``few ages known``, ``no age in common`` or ``no fault on one side``.
    """

    ratio: float = np.nan
    low: float = np.nan
    high: float = np.nan
    p: float = np.nan
    error: float = np.nan
    why: str = ""


def least_shown(error: float, *, significance: float = 0.05) -> float:
    """The rate ratio above 1 that would be shown with a chance of 80 %, had it been true, where its log has this error.

    Its inverse is the ratio below 1; ``error`` is a standard error, a float, ``significance`` two-sided. Normal quantiles of both chances
    added: J. Cohen (1988), Statistical Power Analysis, ch. 2 (from memory).

    Examples
    --------
    >>> round(least_shown(0.2), 2)
    1.75
    """
    from scipy.special import ndtri

    return float(np.exp((ndtri(1 - significance / 2) + ndtri(POWER)) * error))


def both_p(raw: float, aged: AtEqualAge) -> float:
    """The p of "differs as it stands (``raw``) and at equal age (``aged``)": the larger; 1 where no age is known.

    A float. Both must be shown: R. L. Berger (1982), Technometrics 24, 295-300 (from memory).
    """
    return 1.0 if np.isnan(aged.p) else max(raw, aged.p)


def both_errors(low, high, aged: AtEqualAge) -> float:
    """The larger standard error of two log ratios, one told by its 90 % limits ``low`` and ``high``, one by ``aged``.

    A float; not a number where one of them has none. Half the width over the normal quantile, by definition.
    """
    if not (low and high and np.isfinite(high)):
        return np.nan
    return float(np.maximum(np.log(high / low) / TWO_ERRORS, aged.error))


def aged_pieces(stays, recaps):
    """Stays of modules of known age cut into pieces of a year or less: labels, ``from_on``, ``years`` under power, and two ages.

    Parameters
    ----------
    stays : DataFrame
        The evidence's stays.
    recaps : DataFrame
        ``serial, done_on`` of every re-cap known, those before the records too.

    Returns
    -------
    DataFrame
        ``LABELS``, ``from_on, years``, and ``made`` and ``renewed``: powered years since the module was made, and since it was last
        re-capped (made, where it never was), at the middle of the piece. In order of day.

    Notes
    -----
    Time split by age: D. Clayton & M. Hills (1993), Statistical Models in Epidemiology, ch. 6 (from memory).
    """
    import pandas as pd

    stays = some_modules(stays[stays["age_known"] & (stays["exposure_hours"] > 0)])
    days = (stays["to_on"] - stays["from_on"]).dt.days.to_numpy()
    number = np.maximum(np.ceil(days / PIECE_DAYS), 1).astype(int)
    row = np.repeat(np.arange(len(stays)), number)
    place = np.arange(len(row)) - np.repeat(np.cumsum(number) - number, number)
    own = stays.iloc[row].reset_index(drop=True)
    hours = own["exposure_hours"].to_numpy(float) / number[row]
    begun = own["from_on"] + pd.to_timedelta(np.round(place * (days / number)[row]), unit="D")
    middle = own["entry"].to_numpy(float) + (place + 0.5) * hours
    pieces = own[LABELS].assign(from_on=begun, years=hours / HOURS_PER_YEAR, made=middle / HOURS_PER_YEAR)
    pieces = pieces.astype({"from_on": "datetime64[ns]"}).sort_values("from_on", kind="stable")
    share = pieces["years"] * HOURS_PER_YEAR / np.maximum((days / number)[row][pieces.index] * 24, 1)
    return pieces.assign(renewed=_renewed(pieces, recaps, share)).reset_index(drop=True)


def some_modules(stays):
    """The stays, a frame, of every module, or of so many drawn by chance, common practice: what many tell, some tell as well."""
    serials = np.sort(stays["serial"].unique())
    if len(serials) <= MOST_MODULES:
        return stays
    return stays[stays["serial"].isin(np.random.default_rng(1).choice(serials, MOST_MODULES, replace=False))]


def _renewed(pieces, recaps, share):
    """Powered years at the middle of each piece since the last re-cap, at the hours a week of that piece; since making without one."""
    import pandas as pd

    done = recaps.dropna(subset=["serial", "done_on"])[["serial", "done_on"]]
    done = done.astype({"serial": object, "done_on": "datetime64[ns]"}).sort_values("done_on", kind="stable")
    last = pd.merge_asof(
        pieces[["serial", "from_on"]], done, left_on="from_on", right_on="done_on", by="serial"
    )
    since = (last["from_on"] - last["done_on"]).dt.days.to_numpy() * 24 * share.to_numpy() / HOURS_PER_YEAR
    made = pieces["made"].to_numpy()
    return np.where(np.isnan(since), made, np.minimum(since + pieces["years"].to_numpy() / 2, made))


def counted_in(pieces, faults) -> np.ndarray:
    """How many faults fell in each piece, shape (pieces,); those of no piece are left out. A tally, by definition.

    ``pieces`` has ``serial, from_on, to_on`` in order of day, ``faults`` has ``serial, happened_on, faults``.
    """
    import pandas as pd

    numbered = pieces[["serial", "from_on"]].assign(piece=np.arange(len(pieces)))
    days = faults.dropna(subset=["serial"]).astype({"serial": object, "happened_on": "datetime64[ns]"})
    days = days.sort_values("happened_on", kind="stable")
    put = pd.merge_asof(days, numbered, left_on="happened_on", right_on="from_on", by="serial").dropna(
        subset=["piece"]
    )
    return np.bincount(put["piece"].astype(int), put["faults"], len(pieces))


def at_equal_age(pieces, events, label: str, pair: tuple, aged_share: float = 1.0) -> AtEqualAge:
    """Rate of the first level of a label over that of the second, modules of equal age and type beside each other.

    Parameters
    ----------
    pieces : DataFrame
        See ``aged_pieces``.
    events : ndarray
        Faults of each piece.
    label : str
        A column of ``pieces``.
    pair : tuple
        The two levels.
    aged_share : float
        Share of the time watched that is at known age, of the level where it is smaller.

    Notes
    -----
    ``fit_shared_rates`` (Liang & Zeger 1986) with the logarithms of both ages, and the module types that both levels have. Nothing is said
    where the ages since the last re-cap never met.
    """
    level = pieces[label].to_numpy()
    seen = (level == pair[0]) | (level == pair[1])
    first, events = level[seen] == pair[0], events[seen]
    names = ("serial", "module_type", "years", "made", "renewed")
    serial, module_type, years, *ages = (pieces[name].to_numpy()[seen] for name in names)
    sides = first, ~first
    if not all(side.any() for side in sides) or len(set(serial)) < FEWEST_MODULES:
        return AtEqualAge(why="no age known")
    if aged_share < LEAST_SHARE:
        return AtEqualAge(why="few ages known")
    if not _meet(*((ages[1][side], years[side]) for side in sides)):
        return AtEqualAge(why="no age in common")
    if min(events[side].sum() for side in sides) == 0:
        return AtEqualAge(why="no fault on one side")
    ages = np.log(np.maximum(np.column_stack(ages), YOUNGEST_YEARS))
    columns = [first.astype(float), ages - ages.mean(axis=0)]
    if label != "module_type":
        columns.append(_types_of_both(module_type, first))
    found = fit_shared_rates(events, years, np.column_stack(columns), serial)
    ratio = found.ratio()
    return AtEqualAge(ratio.value, ratio.low, ratio.high, found.p(), float(found.errors[0]))


def _meet(first, second) -> bool:
    """Whether the ages at which nine tenths of the time of two groups were watched overlap; of each its ages and years."""
    spans = []
    for ages, years in (first, second):
        order = np.argsort(ages)
        share = (np.cumsum(years[order]) - years[order] / 2) / years.sum()
        spans.append(np.interp(TAILS, share, ages[order]))
    return max(span[0] for span in spans) <= min(span[1] for span in spans)


def _types_of_both(module_type, first) -> np.ndarray:
    """A column of zeros and ones for each module type, but one, that both sides have; types of one side alone stand together."""
    import pandas as pd

    code, types = pd.factorize(module_type, sort=True)
    on_sides = [np.bincount(code[side & (code >= 0)], minlength=len(types)) for side in (first, ~first)]
    is_of = code[:, None] == np.flatnonzero(np.minimum(*on_sides))
    return is_of[:, int(is_of.any(axis=1).all()) :].astype(float)
