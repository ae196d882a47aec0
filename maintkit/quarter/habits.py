"""A desk whose reports lack their work, where those of the other desks have theirs."""

from dataclasses import dataclass

from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.records.coverage import habits
from maintkit.survival.multiple_tests import holm
from maintkit.survival.shares import share_limits
from maintkit.survival.two_shares import shares_differ_p

WORK, WORK_OR_OUTCOME = "work on a report", "work on a report, or its outcome"
SIGNIFICANCE = 0.05
LEAST_MORE = 0.10  # share by which a desk must lack more than the others


@dataclass(frozen=True)
class ShortOfWork:
    """Of the ``entries`` reports on a desk that are or may be faults ``missing`` have no work on record, and of these ``blank`` no
    outcome either: the share with 90 % limits, and that of the other desks."""

    desk: str
    entries: int
    missing: int
    blank: int
    value: float
    low: float
    high: float
    others: float


@once_a_quarter
def habits_kept(quarter: Quarter):
    """What entries left out, year by year and desk by desk: see ``habits``; not to be changed."""
    return habits(quarter.records.connection, quarter.last_day)


@once_a_quarter
def short_of_work(quarter: Quarter) -> ShortOfWork | None:
    """The desk that lacks work most surely; None where none lacks a tenth more than the others, by more than chance.

    Each desk is held against all others by Fisher's exact test, adjusted for the number of desks (Holm).
    """
    _, both = habits_kept(quarter)
    table = both[both["habit"] == WORK]
    if len(table) < 2:
        return None
    entries, missing = table["entries"].to_numpy(int), table["missing"].to_numpy(int)
    rest, none = entries.sum() - entries, missing.sum() - missing
    sides = zip(missing.tolist(), entries.tolist(), none.tolist(), rest.tolist(), strict=True)
    p = holm([shares_differ_p(*side) for side in sides])
    more = missing / entries - none / rest
    is_short = (more >= LEAST_MORE) & (p < SIGNIFICANCE)
    if not is_short.any():
        return None
    worst = min(is_short.nonzero()[0], key=lambda at: (p[at], -more[at]))
    row = table.iloc[worst]
    blank = both[(both["habit"] == WORK_OR_OUTCOME) & (both["desk"] == row["desk"])]
    value, others = missing[worst] / entries[worst], none[worst] / rest[worst]
    low, high = share_limits(missing[worst], entries[worst])
    return ShortOfWork(
        str(row["desk"]),
        int(row["entries"]),
        int(row["missing"]),
        int(blank["missing"].sum()),
        *map(float, (value, low, high, others)),
    )
