"""Did the work hold: faults after work against similarly bad untouched siblings over the same dates."""

from dataclasses import dataclass

import numpy as np

from maintkit.actions import MENDING
from maintkit.decide.equal_age import TWO_ERRORS, least_shown
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT, poisson_limits

FAULTS = ("fault", "return")
UNTOUCHED_DAYS = 90  # a sibling counts as untouched with no work in so many days before
LOOK_BACK_DAYS = 365  # how bad: faults in the year before, 0, 1, or 2 and more
WORST_CLASS = 2
VERDICT_LEVEL = 0.95
SAME = "no difference shown"


@dataclass(frozen=True)
class Calendar:
    """Every module day by day since the records began; arrays have shape (modules, days + 1).

    ``faults, works`` count up to and including each day, ``served`` the days in a slot up to it; ``kind`` numbers the
    (family, module type); ``row`` finds a serial.
    """

    faults: np.ndarray
    works: np.ndarray
    served: np.ndarray
    kind: np.ndarray
    row: dict
    first_day: object

    @property
    def days(self) -> int:
        """The last day, counted from the first."""
        return self.faults.shape[1] - 1


def module_calendar(stays, faults, work, *, record_end) -> Calendar:
    """Faults, work and service of every module day by day.

    ``stays, faults, work`` are the evidence's frames, ``record_end`` the last day of the records. Counts of shape (modules, days)
    from the first day of a stay; a tally, by definition.
    """
    import pandas as pd

    first, end = stays["from_on"].min(), pd.Timestamp(record_end)
    modules = stays.groupby("serial", sort=True).agg(
        family=("family", "first"), module_type=("module_type", "first")
    )
    row = dict(zip(modules.index, range(len(modules)), strict=True))
    shape = (len(modules), (end - first).days + 1)
    kind = modules.fillna("").groupby(["family", "module_type"], sort=True).ngroup().to_numpy()
    served = np.zeros((shape[0], shape[1] + 1), np.int16)
    at = stays["serial"].map(row).to_numpy()
    for day, sign in ((stays["from_on"], 1), (stays["to_on"], -1)):
        np.add.at(served, (at, (day - first).dt.days.clip(0, shape[1]).to_numpy()), sign)
    in_slot = np.minimum(np.cumsum(served, axis=1)[:, : shape[1]], 1)
    real = faults[faults["class"].isin(FAULTS)]
    return Calendar(
        _running(real["serial"].map(row), (real["happened_on"] - first).dt.days, shape),
        _running(work["serial"].map(row), (work["done_on"] - first).dt.days, shape),
        np.cumsum(in_slot, axis=1, dtype=np.int32),
        kind,
        row,
        first,
    )


def after_work(calendar: Calendar, work, *, days: int = 30, by: str = "action", level: float = 0.90):
    """Faults of a module within so many days after work, beside those of its untouched siblings over the same dates.

    Parameters
    ----------
    calendar : Calendar
    work : DataFrame
        ``serial, done_on, action`` and the column named by ``by``.
    days : int
        Length of the time watched after the work.
    by : str
        Column whose values stand in a row each; all work together has the row "all work".
    level : float

    Returns
    -------
    DataFrame
        ``group, days, works, faults, expected, ratio, low, high, excess_per_100, verdict, could_show``, all work first; the last
        is the ratio above 1 that these records would have shown with a chance of 80 %, where no difference is shown.

    Notes
    -----
    Own method. Expected = days in service after the work x fault rate, over the same days, of modules of the same family and type
    in service then, with no work in the 90 days before and as many faults in the year before (0, 1, 2 or more). What
    happens to them later is not looked at in choosing them. Limits: exact Poisson, or by module and for the siblings'
    own chance (linearised, added variances), whichever is wider. A verdict takes five faults, seen or expected, and limits at 95 %,
    adjusted for the number of groups (Bonferroni), that leave 1 out. Work in the first year or too near the end is left
    out.
    """
    import pandas as pd

    treated = _treated(calendar, work, days, by)
    observed, expected, behind = _beside_siblings(calendar, treated, days)
    matched = np.isfinite(expected)
    table = treated[matched].assign(observed=observed[matched], expected=expected[matched])
    groups = list(table.groupby(by, sort=True))
    whole = table.drop_duplicates(["serial", "done_on"])  # work of two sorts on one day is one piece
    rows = [_row("all work", whole, days, behind, (level, VERDICT_LEVEL))] if len(whole) else []
    rows += [
        _row(name, own, days, behind, (level, 1 - (1 - VERDICT_LEVEL) / len(groups))) for name, own in groups
    ]
    return pd.DataFrame(
        rows,
        columns=[
            "group",
            "days",
            "works",
            "faults",
            "expected",
            "ratio",
            "low",
            "high",
            "excess_per_100",
            "verdict",
            "could_show",
        ],
    )


def _running(row, day, shape):
    counts = np.zeros(shape, np.int16)
    inside = row.notna().to_numpy() & (day >= 0).to_numpy() & (day < shape[1]).to_numpy()
    np.add.at(counts, (row[inside].to_numpy(int), day[inside].to_numpy(int)), 1)
    return np.cumsum(counts, axis=1, dtype=np.int32)


def _treated(calendar, work, days, by):
    """Distinct pieces of mending with a year before them and the whole stretch after, with row and day."""
    mended = work[work["serial"].isin(calendar.row) & work["action"].isin(MENDING)]
    day = (mended["done_on"] - calendar.first_day).dt.days
    kept = mended.assign(row=mended["serial"].map(calendar.row), day=day)
    kept = kept[(kept["day"] >= LOOK_BACK_DAYS) & (kept["day"] + days <= calendar.days)]
    return kept.drop_duplicates(["serial", "done_on", by]).reset_index(drop=True)


def _beside_siblings(calendar, treated, days):
    """Faults seen after each work, those its siblings lead one to expect, and the siblings' faults in all.

    A module worked on is none of its own siblings, for the work stands on its day.
    """
    when, at = np.unique(treated["day"].to_numpy(int), return_inverse=True)
    row = treated["row"].to_numpy(int)
    if not len(row):
        return np.zeros(0), np.zeros(0), 0.0
    bad = np.minimum(calendar.faults[:, when] - calendar.faults[:, when - LOOK_BACK_DAYS], WORST_CLASS)
    faults = calendar.faults[:, when + days] - calendar.faults[:, when]
    served = calendar.served[:, when + days] - calendar.served[:, when]
    untouched = (calendar.works[:, when] == calendar.works[:, when - UNTOUCHED_DAYS]) & (served > 0)
    code = (calendar.kind[:, None] * (WORST_CLASS + 1) + bad) * len(when) + np.arange(len(when))
    siblings = code[untouched]
    cells = int(code.max()) + 1
    faults_of, served_of = (
        np.bincount(siblings, own[untouched], cells)[code[row, at]] for own in (faults, served)
    )
    matched = served_of > 0
    rate = np.divide(faults_of, served_of, out=np.full(len(row), np.nan), where=matched)
    return np.where(matched, faults[row, at], 0.0), served[row, at] * rate, float(faults_of[matched].sum())


def _row(name, own, days, behind, levels):
    """One row: seen against expected, with limits at the first level and a verdict at the second."""
    seen, expected = float(own["observed"].sum()), float(own["expected"].sum())
    about = {
        "group": name,
        "days": days,
        "works": len(own),
        "faults": int(seen),
        "expected": expected,
        "excess_per_100": 100 * (seen - expected) / len(own),
    }
    if not expected:
        return {
            **about,
            "ratio": np.nan,
            "low": np.nan,
            "high": np.nan,
            "verdict": "no fault of a sibling to compare with",
        }
    (low, high), verdict = (
        _limits(own, behind, levels[0]),
        _verdict(max(seen, expected), *_limits(own, behind, levels[1])),
    )
    error = np.log(high / low) / TWO_ERRORS if low > 0 and np.isfinite(high) else np.nan
    could_show = least_shown(error, significance=1 - levels[1]) if verdict == SAME else np.nan
    return {
        **about,
        "ratio": seen / expected,
        "low": low,
        "high": high,
        "verdict": verdict,
        "could_show": could_show,
    }


def _limits(own, behind, level):
    """Limits of the ratio: exact ones, or those by module with the siblings' own chance added, whichever are wider."""
    from scipy.special import ndtri

    seen, expected = float(own["observed"].sum()), float(own["expected"].sum())
    ratio = seen / expected
    low, high = poisson_limits(seen, level=level) / expected
    modules = own.groupby("row")[["observed", "expected"]].sum()
    count = len(modules)
    if seen and count > 1 and behind:
        spread = (
            ((modules["observed"] - ratio * modules["expected"]) ** 2).sum()
            / expected**2
            * count
            / (count - 1)
        )
        reach = np.exp(ndtri((1 + level) / 2) * np.sqrt(spread / ratio**2 + 1 / behind))
        low, high = min(low, ratio / reach), max(high, ratio * reach)
    elif behind:
        high *= np.exp(ndtri((1 + level) / 2) / np.sqrt(behind))
    return low, high


def _verdict(faults, low, high):
    if faults < FEWEST_FOR_A_VERDICT:
        return "too few faults to say"
    return "more than siblings" if low > 1 else "fewer than siblings" if high < 1 else SAME


def back_again(rows, *, keys, day: str, times: int = 3, within_days: int = 730):
    """What came ``times`` times or more within ``within_days`` by the same keys.

    Parameters
    ----------
    rows : DataFrame
        Rows with a date column named ``day`` and the columns ``keys``; rows that miss a key are left out.

    Returns
    -------
    DataFrame
        ``keys, times, first_on, last_on``, most often first; the latest such bunch of each. A tally, by definition.
    """
    rows = rows.dropna(subset=[*keys, day]).sort_values([*keys, day], kind="stable").reset_index(drop=True)
    grouped = rows.groupby(list(keys), sort=True)[day]
    earlier = grouped.shift(times - 1)
    bunch = rows[(rows[day] - earlier).dt.days <= within_days]
    last = bunch.groupby(list(keys), sort=True)[day].max().rename("last_on").reset_index()
    found = rows.merge(last, on=list(keys))
    near = found[(found["last_on"] - found[day]).dt.days.between(0, within_days)]
    table = (
        near.groupby(list(keys), sort=True)
        .agg(times=(day, "size"), first_on=(day, "min"), last_on=("last_on", "first"))
        .reset_index()
    )
    return table.sort_values(
        ["times", *keys], ascending=[False] + [True] * len(keys), kind="stable"
    ).reset_index(drop=True)
