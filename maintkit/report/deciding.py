"""What the report asks its reader to decide: a row each, from the answers of the review and the site's prices."""

from dataclasses import dataclass
from datetime import date
from math import ceil

from maintkit.quarter.held import Inspected
from maintkit.report.report_page import Decision, Prices
from maintkit.report.templates import told
from maintkit.survival.results import Limited

TWO_YEARS = 8  # quarters that savings count over
UNTIL_NEXT_DAYS = 91  # a part not found is looked for again at the next review
TAKE_HOURS = 1.0  # to take a part out of a spare and test it: common practice, no source
SOON_YEARS = 2.0  # a part that lasts no longer is looked for now


@dataclass(frozen=True)
class Pulls:
    """The overhauls of the coming quarter, with what they cost and save.

    ``saved_low`` to ``saved_high`` are session hours in two years and ``faults`` the faults; ``mending`` the bench
    hours of those faults (None where no job was timed). ``re_formed`` parts of old stock come first, in
    ``re_form_hours``; ``not_booked`` desks have no bookings on record. The sums of money are None where a price is not set.
    ``paid_back_years`` until what is saved has paid for it; such a re-cap lasts ``lasts_low`` to ``lasts_high`` powered years.
    """

    number: int
    desk: str
    on_desk: int
    serials: tuple[str, ...]
    first: date
    last: date
    spares: int
    ready_hours: float
    hours: float
    parts: float | None
    cost: float | None
    saved_low: float
    saved_high: float
    faults: Limited
    mending: float | None
    saved: float | None
    a_quarter: float
    faults_a_quarter: float
    later: int
    re_formed: tuple = ()
    re_form_hours: float = 0.0
    not_booked: tuple[str, ...] = ()
    paid_back_years: int | None = None
    lasts_low: float | None = None
    lasts_high: float | None = None


@dataclass(frozen=True)
class Scarce:
    """A part that runs out and cannot simply be bought.

    ``used`` in ``years``, ``a_year`` with limits; stock lasts ``months``; ``to_buy`` carry it through two years at the upper limit of
    use, at ``cost`` together. ``price`` is what one may cost: the ``take_hours`` at the bench that take one out of a spare instead, while
    spares hold any; after that ``late_price``, what a slot costs that stands empty for the ``days`` until the next review.
    """

    part: str
    no_longer_made: bool
    in_stock: int
    used: int
    years: float
    a_year: float
    low: float
    high: float
    months: float
    in_donors: int
    to_buy: int
    price: float | None
    late_price: float | None
    cost: float | None
    take_hours: float = TAKE_HOURS
    days: int = UNTIL_NEXT_DAYS


@dataclass(frozen=True)
class Bays:
    """Bays that run hot; ``fewer_a_year`` faults where air fell by ``cooler_c``, as far as these records tell."""

    desk: str
    names: tuple[str, ...]
    number: int
    hotter_c: float
    cooler_c: float | None = None
    fewer_a_year: Limited | None = None


@dataclass(frozen=True)
class Uninspected:
    """Spare modules nobody has looked at; ``first`` what one of them, found whole, would let the plan do."""

    number: int
    kept: int
    first: Inspected | None = None


def decisions(proposed: Pulls | None, answers: dict, findings: dict, prices) -> tuple[Decision, ...]:
    """The decisions of a review, the most worth first; none where nothing is worth one."""
    plan = answers.get("pull_next")
    gaps = None if plan is None else plan.gaps
    about = {} if plan is None else {"until": plan.bookings_until, "is_more": plan.verdict == "pull"}
    made = (
        _row("decide_pulls", proposed, prices, path="page.proposed"),
        _row("decide_gaps", gaps, prices, path="pull_next.gaps", **about),
        _row("decide_scarce", scarce(findings, prices), prices, path="scarce"),
        _row("decide_bays", _bays(answers.get("hot_bays"), answers.get("cooler_air")), prices),
        _row("decide_shelf", _uninspected(findings, plan), prices),
    )
    return tuple(one for one in made if one is not None)


def _row(template: str, facts, prices, *, path: str = "", **more) -> Decision | None:
    if facts is None:
        return None
    texts = told(template, facts, path=path, currency=prices.currency, **more)
    return Decision(**texts, hours=getattr(facts, "hours", None), money=getattr(facts, "cost", None))


def proposed_pulls(plan, zones, prices) -> Pulls | None:
    """The overhauls of the coming quarter as a decision; None where the plan pulls nothing in it."""
    if plan is None or plan.verdict != "pull" or plan.soon is None or not plan.soon.pulls:
        return None
    table = plan.table
    soon = table[table["quarter"] == plan.quarter].sort_values(
        "minutes_saved", ascending=False, kind="stable"
    )
    last, desks = soon["pull_from"].max(), soon["desk"].value_counts()
    ready = [batch for batch in plan.batches if batch.ready_by <= last]
    ready_hours = sum(batch.hours for batch in ready)
    re_formed = tuple(one for one in plan.re_formed if one.soon)
    re_form_hours = sum(one.hours_soon for one in re_formed)
    hours, parts = plan.soon.hours + ready_hours + re_form_hours, plan.soon.parts_cost
    cost = None if prices.bench_hour is None else hours * prices.bench_hour + (parts or 0.0)
    saved = plan.saved_soon.value / 60
    mending = None if plan.mending_hours is None else plan.faults_soon.value * plan.mending_hours
    money = None if prices.session_hour is None or prices.bench_hour is None else saved * prices.session_hour
    if money is not None:
        money += (mending or 0.0) * prices.bench_hour
    lasting = zones.zones[0] if zones is not None and zones.zones else None
    return Pulls(
        plan.soon.pulls,
        str(desks.index[0]),
        int(desks.iloc[0]),
        tuple(soon["serial"]),
        soon["pull_from"].min(),
        last,
        sum(batch.number for batch in ready),
        ready_hours,
        hours,
        parts,
        cost,
        plan.saved_soon.low / 60,
        plan.saved_soon.high / 60,
        plan.faults_soon,
        mending,
        money,
        plan.saved_soon.value / TWO_YEARS,
        plan.faults_soon.value / TWO_YEARS,
        len(table) - len(soon),
        re_formed,
        re_form_hours,
        tuple(desk for desk in desks.index if desk in plan.always_free),
        None if cost is None or not money or money <= 0 else ceil(2 * cost / money),
        lasting and lasting.flat_low,
        lasting and lasting.flat_high,
    )


def scarce(findings: dict, prices) -> Scarce | None:
    """The part that runs out first of those that cannot simply be bought, and up to what it may cost."""
    table = findings["scarce-parts"].table if "scarce-parts" in findings else None
    if table is None or "years_in_stock" not in table:
        return None
    short = table[(table["years_in_stock"].astype(float) < SOON_YEARS) & (table["used"] >= 5)]
    if not len(short):
        return None
    row = short.sort_values("years_in_stock", kind="stable").iloc[0]
    high = float(row["used_per_year_high"])
    to_buy = max(ceil(SOON_YEARS * high - float(row["in_stock"])), 1)
    late = _times(UNTIL_NEXT_DAYS, prices.empty_slot_day)
    price = _times(TAKE_HOURS, prices.bench_hour) if row["in_donors"] > 0 else late
    return Scarce(
        part=row["part_type"],
        no_longer_made=row["obtainable"] == "no",
        in_stock=int(row["in_stock"]),
        used=int(row["used"]),
        years=float(row["years_of_records"]),
        a_year=float(row["used_per_year"]),
        low=float(row["used_per_year_low"]),
        high=high,
        months=12 * float(row["years_in_stock"]),
        in_donors=int(row["in_donors"]),
        to_buy=to_buy,
        price=price,
        late_price=late,
        cost=_times(to_buy, price),
    )


def _bays(heat, cooler) -> Bays | None:
    if heat is None or not heat.hot:
        return None
    own = [bay for bay in heat.hot if bay.desk == heat.desk]
    told = (heat.desk, tuple(bay.name for bay in own), len(own), max(bay.hotter_c for bay in own))
    one = None if cooler is None or cooler.verdict != "by records" else cooler.first
    if one is None or one.desk != heat.desk or not one.faults_then.value < one.faults_now:
        return Bays(*told)
    then = one.faults_then
    fewer = Limited(*(one.faults_now - there for there in (then.value, then.high, then.low)))
    return Bays(*told, cooler.degrees, fewer)


def _uninspected(findings: dict, plan) -> Uninspected | None:
    table = findings["keep-or-strip"].table if "keep-or-strip" in findings else None
    if table is None or "decision" not in table:
        return None
    waiting = table["decision"].astype(str).str.startswith("inspect")
    if not waiting.any():
        return None
    kept = int((table["decision"] == "keep whole").sum())
    return Uninspected(int(waiting.sum()), kept, None if plan is None else plan.inspected)


def money_of(cost, ahead, prices) -> Prices:
    """What the quarter cost in money, as far as prices are set."""
    session = _times(cost and cost.session_minutes / 60, prices.session_hour)
    bench = _times(cost and cost.bench_hours, prices.bench_hour)
    known = [one for one in (session, bench, cost and cost.parts_cost) if one is not None]
    whole = session is not None and bench is not None
    later = _times(ahead and ahead.two_years_hours, prices.session_hour)
    mending = _times(ahead and ahead.two_years_mending, prices.bench_hour)
    later = None if later is None or prices.bench_hour is None else later + (mending or 0.0)
    names = {
        "bench_hour": "bench hour",
        "session_hour": "session hour",
        "empty_slot_day": "day with an empty slot",
    }
    return Prices(
        session,
        bench,
        cost.parts_cost if cost else None,
        float(sum(known)) if whole else None,
        later,
        tuple({"what": names[name], "price": price} for name, price in prices.set),
        prices.unset,
    )


def _times(amount, price) -> float | None:
    return None if amount is None or price is None else float(amount) * price
