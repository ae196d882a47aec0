"""What there is to work with in the year ahead: bookings, bench hours, the queue, spares on the shelf, parts in stock."""

from dataclasses import dataclass
from datetime import date, timedelta

from maintkit.decide.plan_constraints import Resources
from maintkit.decide.replacement_costs import REPAIR_MINUTES, median_minutes
from maintkit.decide.spares import LEAD_DAYS
from maintkit.decide.spares_donors import NOT_SEEN
from maintkit.quarter.arguments import number
from maintkit.quarter.borrowed import Debt, debts
from maintkit.quarter.quarter import Quarter, quarter_days, quarter_of
from maintkit.quarter.recaps import prices_of
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.shelf import RE_FORM_AFTER_YEARS, donor_table, old_stock, on_hand, on_the_bench

_DAY = timedelta(days=1)
BENCH_HOURS = 80.0  # a quarter, about six a week, where prices.toml says none: own choice
QUARTERS = 4  # that a plan looks ahead
READY_MINUTES = 75.0  # hands on, to re-form, soak and test a spare: common practice, no source
READY_DAYS = 7.0  # from first power to a spare that may be counted on: common practice, no source
# hands on, a capacitor, many at once in a jig and each checked: common practice, no source
RE_FORM_MINUTES = 2.0
MAKING_READY = ("re-form", "soak", "test")
# days after which a report still open is a record to settle rather than a module on the bench
ON_THE_BENCH = 90


def resources_ahead(
    quarter: Quarter,
    *,
    bench_hours: float | None = None,
    spares: dict | None = None,
    quarters: int = QUARTERS,
) -> Resources:
    """The limits of a plan that begins the day after the quarter.

    ``bench_hours`` as in :func:`hours_a_quarter`; ``spares`` counts whole modules ready to be swapped in by (family, module
    type): where left out, modules last inspected as working, of which those untested since they stood long without power
    must be made ready first; ``quarters`` is the length of the plan.
    """
    bench_hours = hours_a_quarter(quarter, bench_hours)
    openings = _openings(quarter)
    desks = quarter.slots["desk"].unique()
    booked = set(quarter.table("bookings")["desk"])
    days = days_ahead(quarter, quarters)
    whole = spare_modules(quarter)
    return Resources(
        openings[openings["free_from"] < days].reset_index(drop=True),
        tuple(sorted(set(desks) - booked)),
        bench_hours * quarters / days,
        days,
        _by_kind(whole[whole["ready"]]) if spares is None else spares,
        on_hand(quarter),
        _lead_days(quarter),
        to_ready=_by_kind(whole[~whole["ready"]]) if spares is None else {},
        ready_minutes=ready_minutes(quarter),
        ready_days=READY_DAYS,
        queue_minutes=float(bench_queue(quarter)["bench_minutes"].sum()),
        queue_due=quarter.days_ahead,
        old_stock=tuple(one.part_type for one in old_stock(quarter)),
        re_form_minutes=RE_FORM_MINUTES,
    )


def hours_a_quarter(quarter: Quarter, asked: float | None = None) -> float:
    """Hours at the bench for planned work in a quarter: those asked for, else those of prices.toml, else ``BENCH_HOURS``."""
    if asked is not None:
        return number("bench_hours", asked, low=0)
    own = prices_of(quarter).bench_hours_a_quarter
    return BENCH_HOURS if own is None else own


def days_ahead(quarter: Quarter, quarters: int) -> int:
    """Days of so many quarters after this one."""
    label = quarter.next_label
    for _ in range(quarters - 1):
        label = quarter_of(quarter_days(label)[1] + _DAY)
    return (quarter_days(label)[1] - quarter.last_day).days


def spare_modules(quarter: Quarter):
    """The modules to swap in, last inspected as working, best first, and whether they are ``ready`` as they stand.

    One that lent a part since, and has not had it back, is not.
    """
    table = donor_table(quarter)
    table = table[table["condition"] == "working"]
    fresh = table["unpowered_years"] <= RE_FORM_AFTER_YEARS
    fresh |= table["tested_years"] <= RE_FORM_AFTER_YEARS
    lent = table["serial"].isin([one.lender for one in debts(quarter)])
    return table.assign(ready=(fresh & ~lent).to_numpy(bool))


def swap_spares(quarter: Quarter):
    """:func:`spare_modules`, and as working and ready the modules that nobody inspected but somebody tested, lately and since they left
    their last slot; none that lent a part or of which a report is open. No plan counts on those, for nobody wrote down what was found.
    """
    import pandas as pd

    table, reports = donor_table(quarter), quarter.evidence.faults
    doubtful = {one.lender for one in debts(quarter)} | set(reports.loc[reports["class"] == "open", "serial"])
    tested = (table["condition"] == NOT_SEEN) & (table["tested_years"] <= RE_FORM_AFTER_YEARS)
    tested = table[tested & ~table["serial"].isin(doubtful)].assign(condition="working", ready=True)
    return pd.concat([spare_modules(quarter), tested], ignore_index=True)


def wanted_back(quarter: Quarter) -> tuple[Debt, ...]:
    """What modules in a slot, and working spares, lent and have not had back; what is taken from donors is owed to nobody."""
    spares = set(spare_modules(quarter)["serial"])
    return tuple(one for one in debts(quarter) if one.place or one.lender in spares)


def ready_minutes(quarter: Quarter) -> float:
    """Hands-on minutes that make one spare ready: those of a re-form, a soak and a test where each was timed often enough."""
    work = quarter.evidence.work
    learnt = [median_minutes(work, work["action"] == action, 0.0) for action in MAKING_READY]
    return sum(learnt) if all(learnt) else READY_MINUTES


def mending_hours(quarter: Quarter) -> float | None:
    """Hours at the bench that a piece of unplanned work usually takes (median); None where fewer than five were timed."""
    work = quarter.evidence.work
    usual = median_minutes(work, ~work["planned"].astype(bool), 0.0)
    return usual / 60 or None


@dataclass(frozen=True)
class Waiting:
    """A module still to mend: since when, with what, and what it waits for; not ``at_bench`` where a report is open and it sits in its slot."""

    serial: str
    desk: str | None
    position: str | None
    since: date | None
    what: str | None
    waits_for: str | None
    at_bench: bool


def still_open(faults):
    """Whether each of the faults and reports of an ``Evidence`` is a report that neither work nor a day of closing has ended."""
    return (faults["class"] == "open") & faults["closed_on"].isna() & faults["restored_on"].isna()


@once_a_quarter
def bench_queue(quarter: Quarter):
    """What is still to mend, longest first; not to be changed.

    A row per report of the last ninety days that is still open and whose module is known, per module that is said to lie on the bench, and
    per module whose last work waits for something: ``serial, desk, position, since, what, waits_for, bench_minutes, at_bench``; what waits
    takes no hours yet, and a module that sits in its slot with a report open is not ``at_bench``.
    """
    import pandas as pd

    end, evidence = pd.Timestamp(quarter.last_day), quarter.evidence
    faults = evidence.faults
    late = (end - faults["happened_on"]).dt.days <= ON_THE_BENCH
    fresh = faults[still_open(faults) & late & faults["serial"].notna()]
    work = quarter.table("repairs", "serial", "done_on", "action", "waits_for")
    work = work[(work["done_on"] <= end) & work["serial"].notna()].sort_values("done_on", kind="stable")
    lying, roster = on_the_bench(quarter), evidence.roster.set_index("serial")[["desk", "position"]]
    last = work.drop_duplicates("serial", keep="last").set_index("serial")
    last = last.reindex(last.index.union(sorted(lying))).reset_index(names="serial")
    waiting = last[last["waits_for"].notna() | last["serial"].isin(lying)].join(roster, on="serial")
    usual = mending_hours(quarter)
    usual = REPAIR_MINUTES if usual is None else 60 * usual
    fresh = fresh[~fresh["serial"].isin(waiting["serial"])].drop_duplicates("serial")
    waiting = waiting.rename(columns={"done_on": "since", "action": "what"})
    waiting = waiting.assign(bench_minutes=usual * waiting["waits_for"].isna(), at_bench=True)
    fresh = fresh.rename(columns={"happened_on": "since", "symptom": "what"})
    sits = fresh["serial"].map(roster["desk"]).notna()
    fresh = fresh.assign(waits_for=None, bench_minutes=usual, at_bench=~sits)
    columns = ["serial", "desk", "position", "since", "what", "waits_for", "bench_minutes", "at_bench"]
    table = pd.concat([some[columns] for some in (waiting, fresh) if len(some)] or [waiting[columns]])
    return table.sort_values(["since", "serial"], kind="stable", ignore_index=True)


def _by_kind(modules) -> dict:
    return modules.groupby(["family", "module_type"], observed=True).size().to_dict()


def _lead_days(quarter: Quarter) -> dict:
    """Days until more of each part type can be there, by part type; none of those no longer made."""
    types = quarter.table("part_types")
    types = types[(types["obtainable"] != "no").fillna(True).to_numpy(bool)]
    return dict(zip(types["part_type"], types["lead_time_days"].astype(float).fillna(LEAD_DAYS), strict=True))


def _openings(quarter: Quarter):
    """Gaps in the bookings after the quarter, in days from its end; one that has begun begins on the first day."""
    import pandas as pd

    end = pd.Timestamp(quarter.last_day)
    gaps, desks = quarter.table("bookings"), quarter.table("desks")[["desk", "family", "retired_on"]]
    gaps = gaps[gaps["free_to"] > end].merge(desks, on="desk")
    gaps = gaps[gaps["retired_on"].isna() | (gaps["retired_on"] > end)]
    first, last = ((gaps[name] - end).dt.days - 1 for name in ("free_from", "free_to"))
    gaps = gaps.assign(free_from=first.clip(lower=0), free_to=last)
    gaps = gaps.sort_values(["free_from", "desk"], kind="stable", ignore_index=True)
    return gaps[["desk", "family", "free_from", "free_to"]]


def day_of(quarter: Quarter, number):
    """The date of a day counted from the first after the quarter."""
    return quarter.last_day + timedelta(days=int(number) + 1)
