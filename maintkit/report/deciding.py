"""What the report asks its reader to decide: a row each, from the answers of the review and the site's prices."""

from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from maintkit.report.report_page import Decision, Prices
from maintkit.report.templates import told

TWO_YEARS = 8  # quarters that savings count over
SOON_YEARS = 2.0  # a part that lasts no longer is looked for now


@dataclass(frozen=True)
class Pulls:
    """The overhauls of the coming quarter, with what they cost and save.

    ``saved`` are session minutes in two years, with limits; the sums of money are None where a price is not set.
    """

    number: int
    desk: str
    serials: tuple[str, ...]
    first: date
    last: date
    spares: int
    ready_hours: float
    hours: float
    parts: float | None
    cost: float | None
    saved_hours: float
    saved_low: float
    saved_high: float
    saved: float | None
    a_quarter: float
    later: int
    unplaced: int


@dataclass(frozen=True)
class Scarce:
    """A part that runs out and cannot simply be bought."""

    part: str
    no_longer_made: bool
    in_stock: int
    a_year: float
    low: float
    high: float
    months: float
    in_donors: int


@dataclass(frozen=True)
class Bays:
    """Bays that run hot."""

    desk: str
    names: tuple[str, ...]
    number: int
    hotter_c: float


@dataclass(frozen=True)
class Uninspected:
    """Spare modules nobody has looked at."""

    number: int
    kept: int
    hours: float | None


def decisions(quarter, answers: dict, findings: dict, prices) -> tuple[Decision, ...]:
    """The decisions of a review, the most worth first; none where nothing is worth one."""
    made = (
        _row("decide_pulls", _pulls(quarter, answers.get("pull_next"), prices), prices),
        _row("decide_scarce", _scarce(findings), prices),
        _row("decide_bays", _bays(answers.get("hot_bays")), prices),
        _row("decide_shelf", _uninspected(findings), prices),
    )
    return tuple(one for one in made if one is not None)


def _row(template: str, facts, prices) -> Decision | None:
    if facts is None:
        return None
    said = told(template, facts, currency=prices.currency)
    texts = {
        name: said.get(name, Markup(""))
        for name in ("title", "text", "cost", "saves", "paid_back", "put_off")
    }
    return Decision(**texts, hours=getattr(facts, "hours", None), money=getattr(facts, "cost", None))


def _pulls(quarter, plan, prices) -> Pulls | None:
    if plan is None or plan.verdict != "pull" or plan.soon is None or not plan.soon.pulls:
        return None
    table = plan.table
    soon = table[table["quarter"] == plan.quarter].sort_values(
        "minutes_saved", ascending=False, kind="stable"
    )
    ready = sum(batch.hours for batch in plan.batches)
    hours = plan.soon.hours + ready
    parts = plan.soon.parts_cost
    cost = None if prices.bench_hour is None else hours * prices.bench_hour + (parts or 0.0)
    saved = [float(soon[f"minutes_saved{end}"].sum()) / 60 for end in ("", "_low", "_high")]
    return Pulls(
        plan.soon.pulls,
        soon["desk"].mode().iloc[0],
        tuple(soon["serial"]),
        soon["pull_from"].min(),
        soon["pull_from"].max(),
        sum(batch.number for batch in plan.batches),
        ready,
        hours,
        parts,
        cost,
        *saved,
        None if prices.session_hour is None else saved[0] * prices.session_hour,
        60 * saved[0] / TWO_YEARS,
        len(table) - len(soon),
        len(plan.unplaced),
    )


def _scarce(findings: dict) -> Scarce | None:
    table = findings["scarce-parts"].table if "scarce-parts" in findings else None
    if table is None or "years_in_stock" not in table:
        return None
    short = table[(table["years_in_stock"].astype(float) < SOON_YEARS) & (table["used"] >= 5)]
    if not len(short):
        return None
    row = short.sort_values("years_in_stock", kind="stable").iloc[0]
    return Scarce(
        row["part_type"],
        row["obtainable"] == "no",
        int(row["in_stock"]),
        float(row["used_per_year"]),
        float(row["used_per_year_low"]),
        float(row["used_per_year_high"]),
        12 * float(row["years_in_stock"]),
        int(row["in_donors"]),
    )


def _bays(heat) -> Bays | None:
    if heat is None or not heat.hot:
        return None
    own = [bay for bay in heat.hot if bay.desk == heat.desk]
    return Bays(heat.desk, tuple(bay.name for bay in own), len(own), max(bay.hotter_c for bay in own))


def _uninspected(findings: dict) -> Uninspected | None:
    table = findings["keep-or-strip"].table if "keep-or-strip" in findings else None
    if table is None or "decision" not in table:
        return None
    waiting = table["decision"].astype(str).str.startswith("inspect")
    if not waiting.any():
        return None
    return Uninspected(int(waiting.sum()), int((table["decision"] == "keep whole").sum()), None)


def money_of(cost, ahead, prices) -> Prices:
    """What the quarter cost in money, as far as prices are set."""
    session = _times(cost and cost.session_minutes / 60, prices.session_hour)
    bench = _times(cost and cost.bench_hours, prices.bench_hour)
    known = [one for one in (session, bench, cost and cost.parts_cost) if one is not None]
    whole = session is not None and bench is not None
    later = _times(ahead and ahead.two_years_hours, prices.session_hour)
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
