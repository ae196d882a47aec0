"""What there is to work with in the days ahead: bookings, bench hours, spares on the shelf, parts in stock."""

from maintkit.decide.plan_constraints import Resources
from maintkit.decide.spares import LEAD_DAYS
from maintkit.quarter.arguments import number
from maintkit.quarter.quarter import Quarter
from maintkit.questions.donors import donor_table, on_hand

BENCH_HOURS = 80.0  # a quarter: about six a week


def resources_ahead(
    quarter: Quarter, *, bench_hours: float = BENCH_HOURS, spares: dict | None = None, days: int | None = None
) -> Resources:
    """The limits of a plan that begins the day after the quarter.

    ``bench_hours`` are those of one quarter; ``spares`` counts whole modules by (family, module type), those last
    inspected as working where left out; ``days`` is the length of the plan, the coming quarter where left out, -1 for
    all bookings known.
    """
    bench_hours = number("bench_hours", bench_hours, low=0)
    openings = _openings(quarter)
    desks = quarter.slots["desk"].unique()
    booked = set(quarter.table("bookings")["desk"])
    if days == -1:
        days = int(openings["free_to"].max()) + 1 if len(openings) else quarter.days_ahead
    days = quarter.days_ahead if days is None else days
    return Resources(
        openings[openings["free_from"] < days].reset_index(drop=True),
        tuple(sorted(set(desks) - booked)),
        bench_hours / quarter.days_ahead,
        days,
        whole_spares(quarter) if spares is None else spares,
        on_hand(quarter),
        _lead_days(quarter),
    )


def _lead_days(quarter: Quarter) -> dict:
    """Days until more of each part type can be there, by part type; none of those no longer made."""
    types = quarter.table("part_types")
    types = types[(types["obtainable"] != "no").fillna(True).to_numpy(bool)]
    return dict(zip(types["part_type"], types["lead_time_days"].astype(float).fillna(LEAD_DAYS), strict=True))


def _openings(quarter: Quarter):
    """Gaps in the bookings after the quarter, in days from its end; one that has begun begins on the first day."""
    import pandas as pd

    end = pd.Timestamp(quarter.last_day)
    gaps = quarter.table("bookings")
    gaps = gaps[gaps["free_to"] > end].merge(
        quarter.table("desks")[["desk", "family", "retired_on"]], on="desk"
    )
    gaps = gaps[gaps["retired_on"].isna() | (gaps["retired_on"] > end)]
    first, last = ((gaps[name] - end).dt.days - 1 for name in ("free_from", "free_to"))
    return (
        gaps.assign(free_from=first.clip(lower=0), free_to=last)
        .sort_values(["free_from", "desk"], kind="stable")[["desk", "family", "free_from", "free_to"]]
        .reset_index(drop=True)
    )


def whole_spares(quarter: Quarter) -> dict:
    """Modules in no desk that were last inspected as working, by (family, module type)."""
    donors = donor_table(quarter)
    return donors[donors["condition"] == "working"].groupby(["family", "module_type"]).size().to_dict()


def day_of(quarter: Quarter, number):
    """The date of a day counted from the first after the quarter."""
    from datetime import timedelta

    return quarter.last_day + timedelta(days=int(number) + 1)


def spares_sentence(means: Resources) -> str:
    """The spares a plan reckons with."""
    kept = [f"{number} {name[1]} ({name[0]})" for name, number in sorted(means.spares.items()) if number]
    if not kept:
        return "No whole spare is on the shelf, so a module must be back in its slot before its gap ends."
    return (
        f"Swap spares reckoned with: {', '.join(kept)}, last inspected as working unless you named them yourself; check "
        "each before its gap."
    )


def bookings_sentence(means: Resources) -> str:
    """Which desks are taken to be free at any time."""
    if not means.always_free:
        return "Modules are pulled only in the gaps of bookings."
    return (
        f"No bookings are on record for {', '.join(means.always_free)}: taken to be free at any time; a bookings "
        "table would say."
    )


def stock_sentence(means: Resources) -> str:
    """How stock and lead times hold a plan back."""
    if not means.stock:
        return "No part was ever counted, so stock holds nothing back; a stock table would."
    return (
        "Work before an order can be there takes what the last count found in stock, later work what is ordered now: see "
        "the order list. Parts never counted hold nothing back."
    )
