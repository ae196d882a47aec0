"""Did the work hold: faults after work against similarly bad untouched siblings over the same dates."""

from dataclasses import dataclass, field

import numpy as np

from maintkit.actions import MENDING
from maintkit.decide.equal_age import TWO_ERRORS, least_shown
from maintkit.survival.blocks import distinct
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT, poisson_limits

FAULTS = ("fault", "return")
UNTOUCHED_DAYS = 90  # a sibling counts as untouched with no work in so many days before
LOOK_BACK_DAYS = 365  # how bad: faults in the year before, 0, 1, or 2 and more
WORST_CLASS = 2
LONG = 2**20  # days, longer than any records: a day within a module's keys
VERDICT_LEVEL = 0.95
SAME = "no difference shown"


@dataclass(frozen=True)
class Calendar:
    """What befell every module by day since the records began.

    ``faults, works, fitted, removed`` hold days, counted from ``first_day``, as keys ``row x LONG + day`` in order; ``kind``, shape
    (modules,), numbers the (family, module type); ``row`` finds a serial; ``days`` is the last day.
    """

    faults: np.ndarray
    works: np.ndarray
    fitted: np.ndarray
    removed: np.ndarray
    kind: np.ndarray
    row: dict
    first_day: object
    days: int
    found: dict = field(default_factory=dict, repr=False)

    def siblings(self, days: int) -> tuple[np.ndarray, np.ndarray]:
        """Faults and days in service in so many days after each day of the modules then untouched: see ``_siblings``; found once."""
        if days not in self.found:
            self.found[days] = _siblings(self, days)
        return self.found[days]

    def faults_between(self, row, after, upto) -> np.ndarray:
        """Faults of modules after a day, up to and including another; shape as ``row`` and the days."""
        return _between(self.faults, row, after, upto)

    def works_between(self, row, after, upto) -> np.ndarray:
        """Pieces of work, likewise."""
        return _between(self.works, row, after, upto)

    def served_between(self, row, after, upto) -> np.ndarray:
        """Days in a slot, likewise."""
        return _days_since(self.fitted, row, after, upto) - _days_since(self.removed, row, after, upto)


def module_calendar(stays, faults, work, *, record_end) -> Calendar:
    """Faults, work and service of every module by day.

    ``stays, faults, work`` are the evidence's frames, ``record_end`` the last day of the records. Days are counted
    from the first day of a stay; a tally, by definition.
    """
    import pandas as pd

    first, end = stays["from_on"].min(), pd.Timestamp(record_end)
    modules = stays.groupby("serial", sort=True).agg(
        family=("family", "first"), module_type=("module_type", "first")
    )
    row = dict(zip(modules.index, range(len(modules)), strict=True))
    kind = modules.fillna("").groupby(["family", "module_type"], sort=True).ngroup().to_numpy()
    last = (end - first).days
    real = faults[faults["class"].isin(FAULTS)]
    at = stays["serial"].map(row).to_numpy()
    ends = ((stays[name] - first).dt.days.clip(0, last + 1).to_numpy() for name in ("from_on", "to_on"))
    return Calendar(
        _keys(real["serial"].map(row), (real["happened_on"] - first).dt.days, last),
        _keys(work["serial"].map(row), (work["done_on"] - first).dt.days, last),
        *_without_overlap(at, *ends),
        kind,
        row,
        first,
        last,
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
    table = treated[matched].assign(observed=observed[matched], expected=expected[matched]).sort_index()
    groups = list(table.groupby(by, sort=True))
    whole = table.drop_duplicates(["row", "day"])  # work of two sorts on one day is one piece
    rows = [_row("all work", whole, days, behind, (level, VERDICT_LEVEL))] if len(whole) else []
    levels = level, 1 - (1 - VERDICT_LEVEL) / max(len(groups), 1)
    return pd.DataFrame(rows + [_row(name, own, days, behind, levels) for name, own in groups])


def _keys(row, day, last: int) -> np.ndarray:
    """Events of the modules on record, by module and day."""
    inside = row.notna().to_numpy() & day.between(0, last).to_numpy()
    return np.sort(row[inside].to_numpy(np.int64) * LONG + day[inside].to_numpy(np.int64))


def _without_overlap(row, start, end) -> tuple[np.ndarray, np.ndarray]:
    """When modules came to slots and left them, a day in two slots counted once: keys in order."""
    order = np.lexsort((start, row))
    row, start, end = row[order].astype(np.int64), start[order], end[order]
    # the latest end so far; an earlier module's is before any day of this one
    until = np.maximum.accumulate(row * LONG + end)
    begins = np.r_[True, row[1:] * LONG + start[1:] > until[:-1]] if len(row) else np.zeros(0, bool)
    return (row * LONG + start)[begins], until[np.r_[begins[1:], True]] if len(row) else until


def _ends(keys, row, day) -> np.ndarray:
    """Where among the keys those of each module up to and including a day end."""
    return np.searchsorted(keys, np.asarray(row, np.int64) * LONG + np.maximum(day, -1), "right")


def _between(keys, row, after, upto) -> np.ndarray:
    return _ends(keys, row, upto) - _ends(keys, row, after)


def _days_since(keys, row, after, upto) -> np.ndarray:
    """Days from each of a module's keys to a day, both counted, added up, beyond those to an earlier one; keys later than the day
    count nothing."""
    first, summed = _ends(keys, row, -1), np.r_[0, np.cumsum(keys % LONG)]
    ends = ((day, _ends(keys, row, day)) for day in (after, upto))
    to_first, to_last = ((end - first) * (np.asarray(day) + 1) - summed[end] for day, end in ends)
    return to_last - to_first


def _treated(calendar, work, days, by):
    """Distinct pieces of mending with a year before them and the whole stretch after, with row and day, in their order.

    In that order they are found several times as fast among the keys; the index is that of their order in ``work``.
    """
    mended = work.loc[work["action"].isin(MENDING), ["serial", "done_on", by]]
    day = (mended["done_on"] - calendar.first_day).dt.days
    kept = mended.assign(row=mended["serial"].map(calendar.row), day=day).dropna(subset="row")
    kept = kept[(kept["day"] >= LOOK_BACK_DAYS) & (kept["day"] + days <= calendar.days)]
    distinct_works = kept.drop_duplicates(["row", "day", by]).reset_index(drop=True)
    return distinct_works.sort_values(["row", "day"], kind="stable")


def _beside_siblings(calendar, treated, days):
    """Faults seen after each work, those its siblings lead one to expect, and the siblings' faults in all.

    A module worked on is none of its own siblings, for the work stands on its day.
    """
    row, day = treated["row"].to_numpy(int), treated["day"].to_numpy(int)
    if not len(row):
        return np.zeros(0), np.zeros(0), 0.0
    faults_by_day, served_by_day = calendar.siblings(days)
    cell = _class(calendar, row, day), day - LOOK_BACK_DAYS
    faults_of, served_of = faults_by_day[cell], served_by_day[cell]
    matched = served_of > 0
    rate = np.divide(faults_of, served_of, out=np.full(len(row), np.nan), where=matched)
    seen = np.where(matched, calendar.faults_between(row, day, day + days), 0.0)
    return seen, calendar.served_between(row, day, day + days) * rate, float(faults_of[matched].sum())


def _class(calendar, row, day) -> np.ndarray:
    """Number of the kind of module and of how bad it was in the year before a day."""
    bad = calendar.faults_between(row, day - LOOK_BACK_DAYS, day)
    return calendar.kind[row] * (WORST_CLASS + 1) + np.minimum(bad, WORST_CLASS)


def _siblings(calendar, days: int) -> tuple[np.ndarray, np.ndarray]:
    """Faults and days in service, in the days after each day, of the modules then untouched; shape (classes, days from ``LOOK_BACK_DAYS``).

    What is asked of a module stays as it is, or grows by one a day, between the days on which something enters or leaves a stretch looked
    at; so modules are added up by such pieces, from where they begin to where they end.
    """
    first, last = LOOK_BACK_DAYS, calendar.days - days
    shifts = (
        (calendar.faults, (0, LOOK_BACK_DAYS, -days)),
        (calendar.works, (0, UNTOUCHED_DAYS)),
        (calendar.fitted, (0, -days)),
        (calendar.removed, (-1, -1 - days)),
    )
    keys = np.concatenate([keys + shift for keys, by in shifts for shift in by])
    row = np.concatenate([keys // LONG for keys, by in shifts for _ in by])
    day = np.clip(keys - row * LONG, first, last + 1)
    start = distinct(np.r_[row * LONG + day, np.arange(len(calendar.kind)) * LONG + first])
    row, start = start // LONG, start % LONG
    end = np.r_[np.where(row[1:] == row[:-1], start[1:], last + 1), last + 1]
    ran, ran_at_end = (calendar.served_between(row, day, day + days) for day in (start, end - 1))
    untouched = calendar.works_between(row, start - UNTOUCHED_DAYS, start) == 0
    kept = untouched & ((ran > 0) | (ran_at_end > 0)) & (end > start)
    row, start, end, ran, ran_at_end = (of[kept] for of in (row, start, end, ran, ran_at_end))
    growth = (ran_at_end - ran) / np.maximum(end - 1 - start, 1)
    faults = calendar.faults_between(row, start, start + days)
    cell = _class(calendar, row, start)
    shape = (int(calendar.kind.max()) + 1) * (WORST_CLASS + 1), last + 2 - first

    def by_day(of):
        change = np.bincount(cell * shape[1] + start - first, of, shape[0] * shape[1])
        change -= np.bincount(cell * shape[1] + end - first, of, shape[0] * shape[1])
        return change.reshape(shape).cumsum(axis=1)

    served = by_day(ran - growth * start) + by_day(growth) * np.arange(first, last + 2)
    return by_day(faults), np.round(served)


def _row(name, own, days, behind, levels):
    """One row: seen against expected, with limits at the first level and a verdict at the second."""
    seen, expected = float(own["observed"].sum()), float(own["expected"].sum())
    ratio, low, high, could_show, verdict = *[np.nan] * 4, "no fault of a sibling to compare with"
    if expected:
        ratio, (low, high) = seen / expected, _limits(own, behind, levels[0])
        verdict = _verdict(max(seen, expected), *_limits(own, behind, levels[1]))
        error = np.log(high / low) / TWO_ERRORS if low > 0 and np.isfinite(high) else np.nan
        could_show = least_shown(error, significance=1 - levels[1]) if verdict == SAME else np.nan
    return {
        "group": name,
        "days": days,
        "works": len(own),
        "faults": int(seen),
        "expected": expected,
        "ratio": ratio,
        "low": low,
        "high": high,
        "excess_per_100": 100 * (seen - expected) / len(own),
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
        away = modules["observed"] - ratio * modules["expected"]
        spread = (away**2).sum() / expected**2 * count / (count - 1)
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
    rows = rows[[*keys, day]].dropna().sort_values([*keys, day], kind="stable", ignore_index=True)
    grouped = rows.groupby(list(keys), sort=True)[day]
    earlier = grouped.shift(times - 1)
    bunch = rows[(rows[day] - earlier).dt.days <= within_days]
    last = bunch.groupby(list(keys), sort=True)[day].max().rename("last_on").reset_index()
    found = rows.merge(last, on=list(keys))
    near = found[(found["last_on"] - found[day]).dt.days.between(0, within_days)]
    told = {"times": (day, "size"), "first_on": (day, "min"), "last_on": ("last_on", "first")}
    table = near.groupby(list(keys), sort=True, as_index=False).agg(**told)
    return table.sort_values("times", ascending=False, kind="stable", ignore_index=True)
