"""Was the record kept all along, and in the same way?"""

import numpy as np

from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import several
from maintkit.records.coverage import habit_years, ticket_months
from maintkit.report.finding import Finding
from maintkit.survival.multiple_tests import holm
from maintkit.survival.rates import rate_ratio
from maintkit.survival.shares import share_limits
from maintkit.survival.two_shares import shares_differ_p

SIGNIFICANCE = 0.05
NEIGHBOUR_MONTHS = 12  # a month is held against the twelve before and the twelve after it
MOST_KEPT = 0.75  # a stretch is quiet where it has at most this share of what was to be expected
LEAST_SHIFT = 0.10  # a year's share has to differ from the others' by this to be a change of habit
EVERY_DESK = "all desks"
FEW_COLUMNS = ["desk", "from_month", "months", "tickets", "expected", "low", "high", "p_adjusted"]


def few_tickets(quarter: Quarter) -> Finding:
    """Months and quarters with fewer tickets than the year before and the year after them let one expect.

    Each is compared with the twelve months on either side by the exact conditional test of two Poisson rates; p is
    adjusted for the number of periods of that desk, and the stretch has to lack a quarter of its tickets. ``expected`` is what the neighbours' rate gives, with 90 % limits of
    that rate.
    """
    import pandas as pd

    months = ticket_months(quarter.records.connection, quarter.last_day)
    series = [(desk, of_desk) for desk, of_desk in months.groupby("desk", sort=True)]
    if len(series) > 1:
        series.append((EVERY_DESK, months.groupby("month", as_index=False)[["days", "tickets"]].sum()))
    rows = [row for desk, of_desk in series for row in _few(desk, of_desk)]
    table = pd.DataFrame(rows, columns=FEW_COLUMNS)
    tickets, desks = int(months["tickets"].sum()), months["desk"].nunique()
    return Finding(
        key="few-tickets",
        title=_few_title(table, tickets, len(months)),
        table=table,
        caveats=(
            "Few tickets can mean few faults, an idle desk, or a month nobody wrote down; only you can say which. Move "
            "records_from past a gap, or find the missing tickets.",
            "The sum takes tickets to come one by one; they bunch a little, so a listed month is a question, not a verdict. A "
            "desk with few tickets a month can hide a gap of a month or two.",
        ),
        counts={"tickets": tickets, "desks": desks, "desk_months": len(months)},
    )


def _few(desk: str, months):
    """Rows of one series: quiet months, and quiet stretches of three that hold no month already listed."""
    months = months.sort_values("month").reset_index(drop=True)
    listed = set()
    for length in (1, 3):
        starts = range(0, len(months) - length + 1, length)
        compared = [_against_neighbours(months, start, length) for start in starts]
        adjusted = holm([one.p if one else np.nan for one in compared])
        for start, found, p in zip(starts, compared, adjusted, strict=True):
            own = set(range(start, start + length))
            if p < SIGNIFICANCE and found.ratio <= MOST_KEPT and not own & listed:
                listed |= own
                a_day = found.events_b / found.exposure_b * found.exposure_a
                low, high = _expected_limits(found)
                yield {
                    "desk": desk,
                    "from_month": f"{months['month'][start]:%Y-%m}",
                    "months": length,
                    "tickets": int(found.events_a),
                    "expected": a_day,
                    "low": low,
                    "high": high,
                    "p_adjusted": p,
                }


def _against_neighbours(months, start: int, length: int):
    """The rate ratio of a stretch to the year before and the year after it; None where they hold no ticket."""
    near = months.iloc[max(0, start - NEIGHBOUR_MONTHS) : start + length + NEIGHBOUR_MONTHS]
    own = months.iloc[start : start + length]
    tickets, days = own["tickets"].sum(), own["days"].sum()
    others, other_days = near["tickets"].sum() - tickets, near["days"].sum() - days
    return rate_ratio(tickets, days, others, other_days) if others > 0 and other_days > 0 else None


def _expected_limits(found):
    from maintkit.survival.rates import poisson_limits

    return poisson_limits(found.events_b) / found.exposure_b * found.exposure_a


def _few_title(table, tickets: int, desk_months: int) -> str:
    sound = f"{several(tickets, 'ticket')} in {several(desk_months, 'desk-month')} on record"
    if not len(table):
        return f"No month has suspiciously few tickets: {sound}, each month held against the year on either side."
    worst = table.sort_values("p_adjusted", kind="stable").iloc[0]
    stretch = "the month" if worst["months"] == 1 else f"the {worst['months']} months from"
    return (
        f"{several(len(table), 'stretch', 'stretches')} with suspiciously few tickets among {sound}; most so {worst['desk']} in {stretch} "
        f"{worst['from_month']}: {worst['tickets']} where {worst['expected']:.1f} were to be expected."
    )


def recording_habits(quarter: Quarter) -> Finding:
    """What entries left out, year by year: the share of each habit, and the years that differ from the others.

    A year is held against all others by Fisher's exact test, adjusted for all comparisons (Holm), and counts as changed
    where the shares also differ by a tenth or more.
    """
    table = _habit_table(habit_years(quarter.records.connection, quarter.last_day))
    changed = table[table["changed"] == "yes"]
    entries = int(table["entries"].sum())
    return Finding(
        key="recording-habits",
        title=_habit_title(changed, table),
        table=table,
        caveats=(
            "Where a habit changed, years before and after cannot be compared on what it records: a rise in confirmed causes may "
            "be a rise in writing them down.",
        ),
        counts={"habits": table["habit"].nunique(), "entries": entries},
    )


def _habit_table(years):
    import pandas as pd

    rows = []
    for habit, of_habit in years.groupby("habit", sort=True):
        entries, missing = int(of_habit["entries"].sum()), int(of_habit["missing"].sum())
        for year in of_habit.itertuples():
            rest = entries - year.entries
            share, others = year.missing / year.entries, (missing - year.missing) / rest if rest else np.nan
            low, high = share_limits(year.missing, year.entries)
            rows.append(
                {
                    "habit": habit,
                    "year": int(year.year),
                    "entries": int(year.entries),
                    "missing": int(year.missing),
                    "share_missing": share,
                    "low": low,
                    "high": high,
                    "share_other_years": others,
                    "p": shares_differ_p(
                        int(year.missing), int(year.entries), missing - int(year.missing), rest
                    ),
                }
            )
    table = pd.DataFrame(
        rows,
        columns=[
            "habit",
            "year",
            "entries",
            "missing",
            "share_missing",
            "low",
            "high",
            "share_other_years",
            "p",
        ],
    )
    table["p_adjusted"] = holm(table.pop("p").to_numpy(float))
    shifted = (table["share_missing"] - table["share_other_years"]).abs() >= LEAST_SHIFT
    table["changed"] = np.where(shifted & (table["p_adjusted"] < SIGNIFICANCE), "yes", "no")
    return table.sort_values(
        ["changed", "habit", "year"], ascending=[False, True, True], kind="stable"
    ).reset_index(drop=True)


def _habit_title(changed, table) -> str:
    if not len(table):
        return "No ticket and no work is on record, so no habit of recording shows."
    missing = table.groupby("habit")[["entries", "missing"]].sum()
    worst = (missing["missing"] / missing["entries"]).idxmax()
    overall = f"most often left out is the {worst} ({missing.loc[worst, 'missing']:,} of {missing.loc[worst, 'entries']:,} entries)"
    if not len(changed):
        return f"No habit of recording changed by a tenth or more from one year to the others; {overall}."
    first = changed.sort_values("p_adjusted", kind="stable").iloc[0]
    return (
        f"{several(changed['habit'].nunique(), 'habit')} of recording changed: in {first['year']} the {first['habit']} was left out in "
        f"{100 * first['share_missing']:.0f} % of {first['entries']:,} entries ({100 * first['low']:.0f} to {100 * first['high']:.0f} %), in the "
        f"other years in {100 * first['share_other_years']:.0f} %; {overall}."
    )
