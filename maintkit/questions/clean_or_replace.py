"""Switches, pots and faders: clean or replace, by how long a cleaning lasts beside a new part in these records?"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from maintkit.decide.replacement_costs import FEWEST_TIMED
from maintkit.hours import DAYS_PER_YEAR
from maintkit.quarter.calendar import is_of_a_round
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.recaps import prices_of
from maintkit.quarter.rows import plain
from maintkit.records.prices import Prices
from maintkit.survival.rates import rate
from maintkit.survival.results import Limited

KINDS = ("switch", "pot", "fader")
ANY = "any of them"  # a cleaning often names no part
WITHIN_DAYS = 365.0
AGAIN_TIMES, AGAIN_YEARS = 3, 2.0
FEWEST = 5


@dataclass(frozen=True)
class After:
    """What came after one sort of work on one kind of part, on the same module: how often it was done, how many came again,
    how many a module-year with limits (None with fewer than five works), hands-on minutes and price where known."""

    works: int
    again: int
    years: float
    value: float | None
    low: float | None
    high: float | None
    minutes: float | None
    price: float | None

    @property
    def months(self) -> float | None:
        """How long it is from one fault to the next."""
        return 12 / self.value if self.value else None


@dataclass(frozen=True)
class Kind:
    """A kind of part: what followed cleaning and what followed a new part. ``verdict`` is "replace" where cleaning is followed by
    clearly more (limits apart), "clean" where by no more and it takes less time, "not told apart" else, "too few" where either was
    done fewer than five times, "too few again" where fewer than five came again after both together. ``paid_back`` are the years after
    which what a new one costs more is earned by the faults it spares; None where that is not known, or never."""

    name: str
    cleaned: After
    replaced: After
    verdict: str
    paid_back: Limited | None = None


@dataclass(frozen=True)
class Often:
    """A module on which one kind of part was cleaned again and again."""

    serial: str
    kind: str
    times: int


@dataclass(frozen=True)
class CleanOrReplace:
    """``kinds`` in their order; ``often`` the modules on which one kind was cleaned three times or more within two years. What is paid
    back is reckoned ``in_money`` where prices are set, else in bench time alone."""

    kinds: tuple[Kind, ...]
    often: tuple[Often, ...]
    times: int
    years: float
    fewest: int
    table: object
    in_money: bool = False

    @property
    def counts(self) -> dict:
        return {"works": sum(kind.cleaned.works + kind.replaced.works for kind in self.kinds)}


def facts(quarter: Quarter) -> CleanOrReplace:
    """For switches, pots and faders: what followed within a year on the same module after a cleaning and after a new part.

    Planned work is left out, and so is a round that nobody called planned: it cleans modules with no fault, which are no match for those
    that had one.
    """
    work = quarter.evidence.work
    work = work[~(work["planned"].astype(bool) | is_of_a_round(work))]
    unnamed = (work["action"] == "clean") & work["kind"].isna()
    work = work[(work["kind"].isin(KINDS) | unnamed) & work["serial"].notna()]
    faults = quarter.evidence.faults
    faults = faults[faults["class"].isin(["fault", "return"])]
    end = pd.Timestamp(quarter.last_day)
    prices = quarter.table("part_types").groupby("kind")["unit_cost"].median()
    site, lost = prices_of(quarter), faults["minutes_lost"].mean()
    kinds = []
    for name in (*KINDS, ANY):
        own = work if name == ANY else work[work["kind"] == name]
        cleanings = own[own["action"] == "clean"]
        cleaned_away = faults["event_id"].isin(cleanings["event_id"]) & (faults["action"] != "replace")
        came = faults[faults["kind"].isin(KINDS if name == ANY else [name]) | cleaned_away]
        cleaned = _after(cleanings, came, end, None)
        replaced = _after(own[own["action"] == "replace"], came, end, prices.get(name))
        verdict = _verdict(cleaned, replaced)
        is_told = name != ANY and not verdict.startswith("too few")
        paid_back = _paid_back(cleaned, replaced, plain(lost) or 0.0, site) if is_told else None
        kinds.append(Kind(name, cleaned, replaced, verdict, paid_back))
    rows = [
        (kind.name, done, *vars(after).values())
        for kind in kinds
        for done, after in (("cleaned", kind.cleaned), ("replaced", kind.replaced))
    ]
    columns = ["kind", "action", "works", "came_again", "module_years", "faults_a_module_year", "faults_a_module_year_low", "faults_a_module_year_high", "bench_minutes", "unit_cost"]  # fmt: skip
    table = pd.DataFrame(rows, columns=columns)
    return CleanOrReplace(
        tuple(kinds),
        tuple(_often(work[work["action"] == "clean"], end)),
        AGAIN_TIMES,
        AGAIN_YEARS,
        FEWEST,
        table if table["works"].sum() else None,
        site.has_both,
    )


def _after(works, faults, end, price) -> After:
    """Faults of the kind on the same module within a year after each work, the first of each."""
    watched = _days_to_next(works, faults)
    until = np.minimum((end - watched["done_on"]).dt.days, WITHIN_DAYS)
    again = (watched["days"] <= until).sum()
    years = float(np.minimum(watched["days"], until).clip(lower=0).sum()) / DAYS_PER_YEAR
    found = rate(again, years) if len(works) >= FEWEST and years > 0 else None
    timed = works["bench_minutes"].dropna()
    limits = (found.value, found.low, found.high) if found else (None, None, None)
    minutes = float(timed.median()) if len(timed) >= FEWEST_TIMED else None
    return After(len(works), int(again), years, *limits, minutes, plain(price))


def _days_to_next(works, faults):
    """A row a work, in order of day: ``done_on``, and the ``days`` to the next fault of its module on a later day, infinite where
    none came."""
    works, faults = works[["serial", "done_on"]], faults[["serial", "happened_on"]].dropna()
    works = works.astype({"serial": object, "done_on": "datetime64[ns]"}).sort_values("done_on")
    faults = faults.astype({"serial": object, "happened_on": "datetime64[ns]"}).sort_values("happened_on")
    days = dict(left_on="done_on", right_on="happened_on", by="serial")
    found = pd.merge_asof(works, faults, **days, direction="forward", allow_exact_matches=False)
    return found.assign(days=(found["happened_on"] - found["done_on"]).dt.days.fillna(np.inf))


def _verdict(cleaned: After, replaced: After) -> str:
    if cleaned.value is None or replaced.value is None:
        return "too few"
    if cleaned.again + replaced.again < FEWEST:
        return "too few again"
    if cleaned.low > replaced.high:
        return "replace"
    quicker = cleaned.minutes is None or replaced.minutes is None or cleaned.minutes <= replaced.minutes
    return "clean" if cleaned.value <= replaced.value and quicker else "not told apart"


def _paid_back(cleaned: After, replaced: After, lost: float, prices: Prices) -> Limited | None:
    """Years after which a new part has earned what it costs more than a cleaning: by the work, parts and ``lost`` session minutes of the
    faults that follow either."""
    if None in (cleaned.value, replaced.value, cleaned.minutes, replaced.minutes):
        return None
    minute, part, session = 1.0, 0.0, 0.0
    if prices.has_both:
        minute, part = prices.bench_hour / 60, replaced.price or 0.0
        session = lost * prices.session_hour / 60
    more = max(minute * (replaced.minutes - cleaned.minutes) + part, 0.0)

    def years(after_cleaning: float, after_new: float) -> float | None:
        spared = after_cleaning * (minute * cleaned.minutes + session)
        spared -= after_new * (minute * replaced.minutes + part + session)
        return more / spared if spared > 0 else None

    value = years(cleaned.value, replaced.value)
    limits = years(cleaned.high, replaced.low), years(cleaned.low, replaced.high)
    return None if value is None else Limited(value, *limits)


def _often(cleaned, end):
    """Modules and kinds cleaned three times or more within the two years before the end of the quarter."""
    cleaned = cleaned.assign(kind=cleaned["kind"].astype(object).fillna("part not named"))
    recent = cleaned[(end - cleaned["done_on"]).dt.days <= AGAIN_YEARS * DAYS_PER_YEAR]
    for (serial, kind), own in recent.groupby(["serial", "kind"], observed=True):
        if len(own) >= AGAIN_TIMES:
            yield Often(serial, kind, len(own))
