"""Was the record kept all along, and in the same way?"""

from dataclasses import dataclass
from datetime import date

import numpy as np

from maintkit.quarter.habits import ShortOfWork, habits_kept, short_of_work
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted, first_record
from maintkit.records.coverage import ticket_months
from maintkit.survival.multiple_tests import holm
from maintkit.survival.rates import poisson_limits, rate_ratio
from maintkit.survival.shares import share_limits
from maintkit.survival.two_shares import shares_differ_p

SIGNIFICANCE = 0.05
NEIGHBOUR_MONTHS = 12  # a month is held against the twelve before and the twelve after it
MOST_KEPT = 0.75  # a stretch is quiet where it has at most this share of what was to be expected
LEAST_SHIFT = 0.10  # a year's share has to differ from the others' by this to be a change of habit
EVERY_DESK = "all desks"
FEW_COLUMNS = ["desk", "from_month", "months", "tickets", "expected", "low", "high", "p_adjusted"]


@dataclass(frozen=True)
class Quiet:
    """The stretch that lacks its tickets most surely; ``months`` of them from ``from_month`` on."""

    desk: str
    from_month: str
    months: int
    tickets: int
    expected: float


@dataclass(frozen=True)
class FewTickets:
    """Stretches with fewer tickets than their neighbours let one expect, among the months on record; a row each. ``until`` is the last day
    looked at, where tickets were raised after it."""

    stretches: int
    tickets: int
    desks: int
    desk_months: int
    worst: Quiet | None
    until: date | None
    table: object

    counts = counted("tickets", "desks", "desk_months")


@dataclass(frozen=True)
class LeftOut:
    """What entries leave out most often."""

    habit: str
    missing: int
    entries: int


@dataclass(frozen=True)
class Changed:
    """The year that differs most surely from the others: the share left out, with 90 % limits."""

    year: str
    habit: str
    entries: int
    value: float
    low: float
    high: float
    other_years: float


@dataclass(frozen=True)
class RecordingHabits:
    """What entries left out, year by year; ``changed`` habits, and None for what no entry lets say. ``short``: a desk that lacks work."""

    habits: int
    entries: int
    most_left_out: LeftOut | None
    changed: int
    first: Changed | None
    table: object
    short: ShortOfWork | None = None

    counts = counted("habits", "entries")


def few_tickets(quarter: Quarter) -> FewTickets:
    """Months and quarters with fewer tickets than the year before and the year after them let one expect.

    Each is compared with the twelve months on either side by the exact conditional test of two Poisson rates; p is
    adjusted for the number of periods of that desk, and the stretch has to lack a quarter of its tickets. ``expected`` is what the neighbours' rate gives, with 90 % limits of
    that rate.
    """
    import pandas as pd

    months = ticket_months(quarter.records.connection, quarter.last_day)
    later = quarter.records.connection.execute(
        "select bool_or(raised_on > $day) from tickets", {"day": quarter.last_day}
    ).fetchall()[0][0]
    series = [(desk, of_desk) for desk, of_desk in months.groupby("desk", sort=True)]
    if len(series) > 1:
        series.append((EVERY_DESK, months.groupby("month", as_index=False)[["days", "tickets"]].sum()))
    rows = [row for desk, of_desk in series for row in _few(desk, of_desk)]
    table = pd.DataFrame(rows, columns=FEW_COLUMNS)
    return FewTickets(
        stretches=len(table),
        tickets=int(months["tickets"].sum()),
        desks=months["desk"].nunique(),
        desk_months=len(months),
        worst=first_record(Quiet, table.sort_values("p_adjusted", kind="stable")),
        until=quarter.last_day if later else None,
        table=table,
    )


def _few(desk: str, months):
    """Rows of one series: quiet months, and quiet stretches of three that hold no month already listed."""
    months = months.sort_values("month").reset_index(drop=True)
    listed, summed = set(), np.zeros((2, len(months) + 1))
    summed[:, 1:] = months[["tickets", "days"]].to_numpy(float).T.cumsum(axis=1)
    for length in (1, 3):
        starts = range(0, len(months) - length + 1, length)
        compared = [_against_neighbours(summed, start, length) for start in starts]
        adjusted = holm([one.p if one else np.nan for one in compared])
        for start, found, p in zip(starts, compared, adjusted, strict=True):
            own = set(range(start, start + length))
            if p < SIGNIFICANCE and found.ratio <= MOST_KEPT and not own & listed:
                listed |= own
                expected = found.events_b / found.exposure_b * found.exposure_a
                low, high = poisson_limits(found.events_b) / found.exposure_b * found.exposure_a
                month = f"{months['month'][start]:%Y-%m}"
                yield desk, month, length, int(found.events_a), expected, low, high, p


def _against_neighbours(summed: np.ndarray, start: int, length: int):
    """The rate ratio of a stretch to the year before and the year after it; None where they hold no ticket.

    ``summed``, shape (2, months + 1), are the tickets and the days before each month.
    """
    end = start + length
    own = summed[:, end] - summed[:, start]
    around = max(start - NEIGHBOUR_MONTHS, 0), min(end + NEIGHBOUR_MONTHS, summed.shape[1] - 1)
    others = summed[:, around[1]] - summed[:, around[0]] - own
    return rate_ratio(*own, *others) if (others > 0).all() else None


def recording_habits(quarter: Quarter) -> RecordingHabits:
    """What entries left out, year by year: the share of each habit, and the years that differ from the others.

    A year is held against all others by Fisher's exact test, adjusted for all comparisons (Holm), and counts as changed
    where the shares also differ by a tenth or more.
    """
    table = _habit_table(habits_kept(quarter)[0])
    changed = table[table["changed"] == "yes"].astype({"year": str})
    names = {"share_missing": "value", "share_other_years": "other_years"}
    return RecordingHabits(
        habits=table["habit"].nunique(),
        entries=int(table["entries"].sum()),
        most_left_out=_most_left_out(table) if len(table) else None,
        changed=changed["habit"].nunique(),
        first=first_record(Changed, changed.sort_values("p_adjusted", kind="stable").rename(columns=names)),
        table=table,
        short=short_of_work(quarter),
    )


def _most_left_out(table) -> LeftOut:
    sums = table.groupby("habit")[["missing", "entries"]].sum()
    habit = (sums["missing"] / sums["entries"]).idxmax()
    return LeftOut(habit, *sums.loc[habit])


def _habit_table(years):
    table = years[["habit", "year", "entries", "missing"]].sort_values(
        "habit", kind="stable", ignore_index=True
    )
    table = table.astype({"year": int, "entries": int, "missing": int})
    entries, missing = table["entries"], table["missing"]
    sums = table.groupby("habit")[["entries", "missing"]].transform("sum")
    rest, others = sums["entries"] - entries, sums["missing"] - missing
    table["share_missing"] = missing / entries
    limits = [share_limits(*one) for one in zip(missing, entries, strict=True)]
    table[["low", "high"]] = np.array(limits, float).reshape(-1, 2)
    table["share_other_years"] = others / rest.where(rest > 0)
    sides = zip(*(one.tolist() for one in (missing, entries, others, rest)), strict=True)
    table["p_adjusted"] = holm([shares_differ_p(*side) for side in sides])
    shifted = (table["share_missing"] - table["share_other_years"]).abs() >= LEAST_SHIFT
    table["changed"] = np.where(shifted & (table["p_adjusted"] < SIGNIFICANCE), "yes", "no")
    return table.sort_values(
        ["changed", "habit", "year"], ascending=[False, True, True], kind="stable"
    ).reset_index(drop=True)
