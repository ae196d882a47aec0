"""Which modules to pull when over the coming four quarters, with the hours, spares, parts and gaps there are?"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from maintkit.decide.plan import NO_GAP, NO_ROOM, NO_SAVING, NOTHING, THIS_PLAN, chance_in_top
from maintkit.decide.plan_worth import Brought, Overhaul
from maintkit.decide.replacement_boards import BOARD_YEARS
from maintkit.decide.replacement_costs import solder_grams
from maintkit.quarter.gaps import Gaps, bookings_until, gaps_wanted
from maintkit.quarter.held import Held, Inspected, held_back, if_inspected, with_reasons
from maintkit.quarter.programme import (
    LEAST_MINUTES,
    Programme,
    ReFormed,
    batch_spares,
    limited_sum,
    programme,
    stock_re_formed,
    worth_an_overhaul,
)
from maintkit.quarter.quarter import Quarter, quarter_of
from maintkit.quarter.recaps import rules_of
from maintkit.quarter.resources import (
    QUARTERS,
    RE_FORM_MINUTES,
    READY_DAYS,
    Waiting,
    bench_queue,
    day_of,
    hours_a_quarter,
    mending_hours,
    still_open,
)
from maintkit.quarter.rows import counted, records
from maintkit.quarter.siblings import known_good
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT
from maintkit.survival.results import Limited

SURE = 0.9
NEXT_IN_LINE = 3
COLUMNS = [
    "serial", "desk", "position", "bay", "quarter", "pull_from", "back_by", "how", "minutes_saved", "minutes_saved_low",
    "minutes_saved_high", "chance_in_top", "due", "bench_hours", "capacitors", "joints", "parts_cost", "kit", "known_good",
]  # fmt: skip
SPARE, BEFORE_THE_END, FREE = "against a spare", "back before the gap ends", "desk free"


@dataclass(frozen=True)
class Work:
    """What a part of the plan takes: pulls, ``hours`` at the bench, capacitors, joints, grams of solder, parts in money (None
    where no price is on record)."""

    pulls: int
    hours: float
    capacitors: int
    joints: int
    solder: Limited
    parts_cost: float | None


@dataclass(frozen=True)
class Batch:
    """Spares of one kind to be made ready: begun by ``start_by``, ready by ``ready_by``, the best boards first."""

    name: str
    number: int
    serials: tuple[str, ...]
    start_by: date
    ready_by: date
    hours: float


@dataclass(frozen=True)
class Next:
    """Who comes next in line: minutes its overhaul would save and the chance that it is among those that save most."""

    desk: str
    position: str
    serial: str
    minutes: float
    chance: float


@dataclass(frozen=True)
class Pull:
    """A module to pull."""

    serial: str
    desk: str
    position: str


@dataclass(frozen=True)
class More:
    """What a plan could save in minutes with half as much again of one thing."""

    name: str
    minutes: float


@dataclass(frozen=True)
class SpareKind:
    """Whole spares of one kind: ready as they stand, and to be made ready first."""

    name: str
    ready: int
    to_ready: int


@dataclass(frozen=True)
class Untimed:
    """A kind of module in the plan whose re-caps nobody timed often enough, and the minutes each capacitor is taken to need."""

    name: str
    minutes: float


@dataclass(frozen=True)
class Pulls:
    """The bench plan.

    Attributes
    ----------
    quarter, until : str
        The coming quarter and the last the plan looks at.
    seen, fewest : int
        Faults on record, and how many a plan takes.
    verdict : {"pull", "too few faults", "none on record", "no electrolytics", "no minutes", "too little", "no gap", "nothing saved", "no room"}
    saved, saved_soon : Limited or None
        Session minutes over ``years``, of all pulls and of those of the coming quarter; ``faults_soon`` the faults of these.
    mending_hours : float or None
        What a fault usually takes at the bench; None where fewer than five jobs were timed.
    hours_a_quarter, hours_free : float
        Bench hours there are in a quarter, and in all quarters.
    bound, gap : float
        No plan can save more; by which share of this plan at most.
    whole, soon : Work
        All quarters, and the coming one.
    batches, waiting, open_reports, queue_hours
        Spares to make ready first; the bench queue, how many reports are open in all, and the hours kept free for the queue.
    re_formed
        Electrolytics of the plan that stood on the shelf too long and are re-formed and checked before they are counted on, at
        ``re_form_minutes`` each; those of pulls late enough are ordered fresh.
    gaps : Gaps or None
        What more gaps in the bookings would let.
    held : tuple of Held
        What the modules lack that cannot be pulled even by themselves.
    inspected : Inspected or None
        What one spare more, inspected and made ready, would let.
    due, due_planned : int
        Modules past the interval of their board, and those of them in the plan.
    unplaced : tuple of str
        Modules worth an overhaul for which no gap, hour, spare or part is left, most saved first.
    sure : int
        Pulls that are among those that save most with a chance of nine in ten.
    with_more : tuple of (name, minutes)
    untimed : tuple of Untimed
    earned_in : float or None
        Years within which an overhaul must have earned its cost; None where no prices are set.
    table : DataFrame
        A row a pull, in order of day.
    """

    quarter: str
    until: str
    seen: int
    verdict: str
    years: float
    hours_a_quarter: float
    hours_free: float
    least_minutes: float
    modules: int = 0
    best_serial: str = ""
    best_minutes: float = 0.0
    saved: Limited | None = None
    saved_soon: Limited | None = None
    faults_soon: Limited | None = None
    mending_hours: float | None = None
    bound: float = 0.0
    gap: float = 0.0
    worst_first: float = 0.0
    going_on: float = 0.0
    whole: Work | None = None
    soon: Work | None = None
    first: tuple[Pull, ...] = ()
    batches: tuple[Batch, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    open_reports: int = 0
    queue_hours: float = 0.0
    re_formed: tuple[ReFormed, ...] = ()
    re_form_minutes: float = RE_FORM_MINUTES
    gaps: Gaps | None = None
    held: tuple[Held, ...] = ()
    inspected: Inspected | None = None
    bookings_until: date | None = None
    due: int = 0
    due_planned: int = 0
    unplaced: tuple[str, ...] = ()
    sure: int = 0
    next: tuple[Next, ...] = ()
    with_more: tuple[More, ...] = ()
    always_free: tuple[str, ...] = ()
    spares: tuple[SpareKind, ...] = ()
    has_stock: bool = False
    brought: Brought | None = None
    cleaning_saves: float = 0.0
    untimed: tuple[Untimed, ...] = ()
    earned_in: float | None = None
    table: object = None
    fewest: int = FEWEST_FOR_A_VERDICT

    @property
    def at_bench(self) -> tuple[Waiting, ...]:
        """What lies on the bench, or whose work waits."""
        return tuple(one for one in self.waiting if one.at_bench)

    @property
    def ready_hours(self) -> float:
        """Bench hours of spares made ready and parts re-formed."""
        return sum(one.hours for one in (*self.batches, *self.re_formed))

    @property
    def hours(self) -> float:
        """Bench hours of the whole plan."""
        return self.ready_hours + (self.whole.hours if self.whole else 0.0)

    counts = counted(faults="seen", modules_in_service="modules")


def pull_next(
    quarter: Quarter,
    *,
    bench_hours: float | None = None,
    spares: dict | None = None,
    overhaul: Overhaul = Overhaul(),
    least_minutes: float = LEAST_MINUTES,
) -> Pulls:
    """The modules whose overhaul saves most session minutes within the hours, gaps, spares and parts of four quarters.

    Parameters
    ----------
    quarter : Quarter
    bench_hours : float, optional
        Hours at the bench for planned work in a quarter; those of prices.toml, or 80, when left out.
    spares : dict, optional
        Whole modules ready to swap in by (family, module type); those last inspected as working when left out.
    overhaul : Overhaul
        Years over which savings count, and the share of cleaning faults an overhaul prevents.
    least_minutes : float
        An overhaul whose new capacitors alone save fewer session minutes is not proposed.
    """
    hours = hours_a_quarter(quarter, bench_hours)
    about = dict(
        quarter=quarter.next_label,
        seen=quarter.forecast.failures,
        years=overhaul.years,
        hours_a_quarter=hours,
        hours_free=hours * QUARTERS,
        least_minutes=least_minutes,
        earned_in=BOARD_YEARS if rules_of(quarter).costs.in_money else None,
    )
    if not quarter.forecast.enough:
        return Pulls(**about, until=quarter.next_label, verdict="too few faults")
    own = programme(
        quarter,
        bench_hours=bench_hours,
        spares=None if spares is None else tuple(sorted(spares.items())),
        overhaul=overhaul,
        least_minutes=least_minutes,
    )
    plan, modules, saved = own.plan, own.modules, own.modules["minutes_by_capacitors"]
    table = pulls_table(quarter, own)
    left = with_reasons(own, _left(own, least_minutes))
    return Pulls(
        **about,
        until=quarter_of(day_of(quarter, own.means.days - 1)),
        verdict=verdict_of(own),
        modules=len(modules),
        best_serial=str(modules.loc[saved.idxmax(), "serial"]) if len(modules) else "",
        best_minutes=float(saved.max()) if len(modules) else 0.0,
        saved=saving(own, THIS_PLAN),
        **_saved_soon(quarter, own),
        mending_hours=mending_hours(quarter),
        bound=plan.bound,
        gap=plan.gap,
        worst_first=next((minutes for name, minutes in plan.others.items() if name.startswith("worst")), 0.0),
        going_on=own.worth.minutes_going_on,
        whole=_work(table),
        soon=_work(table[table["quarter"] == quarter.next_label]),
        first=records(Pull, table),
        batches=_batches(quarter, own),
        **_to_mend(quarter, own),
        re_formed=stock_re_formed(quarter, own),
        **_what_holds(quarter, own, left, overhaul.years, least_minutes),
        bookings_until=bookings_until(quarter),
        due=int(modules["due"].sum()),
        due_planned=int(table["due"].sum()),
        unplaced=tuple(left["serial"]),
        sure=int((table["chance_in_top"] >= SURE).sum()),
        next=_next(own, left),
        with_more=tuple(More(name, minutes) for name, minutes in plan.with_more.items()),
        always_free=own.means.always_free,
        spares=_spares(own),
        has_stock=bool(own.means.stock),
        brought=own.worth.brought,
        cleaning_saves=overhaul.cleaning_saves,
        untimed=_untimed(modules.loc[plan.chosen]),
        table=table[COLUMNS],
    )


def _to_mend(quarter: Quarter, own: Programme) -> dict:
    """What waits at the bench, how many reports are open, and the hours kept for both."""
    return {
        "waiting": records(Waiting, bench_queue(quarter)),
        "open_reports": int(still_open(quarter.evidence.faults).sum()),
        "queue_hours": own.means.queue_minutes / 60,
    }


def _what_holds(quarter: Quarter, own: Programme, left, years: float, least_minutes: float) -> dict:
    """What holds back the modules left, and what would let them be pulled."""
    return {
        "gaps": gaps_wanted(own, left),
        "held": held_back(own, left),
        "inspected": if_inspected(quarter, own, left, years=years, least_minutes=least_minutes),
    }


def _untimed(pulled) -> tuple[Untimed, ...]:
    """The kinds of module among those pulled whose hours are reckoned from their capacitors."""
    reckoned = pulled[~pulled["timed"].astype(bool)].drop_duplicates(["family", "module_type"])
    return tuple(
        Untimed(f"{row.module_type} ({row.family})", float(row.bench_minutes / row.capacitors))
        for row in reckoned.itertuples()
    )


def verdict_of(own: Programme) -> str:
    """Why no module is pulled, the plainest reason first; "pull" where some are."""
    modules, saved = own.modules, own.modules["minutes_by_capacitors"]
    if len(own.plan.chosen):
        return "pull"
    if not len(modules):
        return "none on record"
    if not (modules["capacitors"] > 0).any():
        return "no electrolytics"
    if not (modules["minutes_per_fault"] > 0).any():
        return "no minutes"
    if (saved > 0).any() and own.plan.why == NO_SAVING:
        return "too little"
    return {NO_GAP: "no gap", NO_SAVING: "nothing saved", NO_ROOM: "no room"}[own.plan.why]


def saving(own: Programme, way: str) -> Limited:
    """Session minutes a way to choose saves, with limits."""
    saved = own.plan.saved if way == THIS_PLAN else own.plan.others[way]
    return limited_sum(own.worth.draws, saved, own.plan.shares[way])


def _saved_soon(quarter: Quarter, own: Programme) -> dict[str, Limited]:
    """Session minutes and faults the pulls of the coming quarter save, with limits."""
    soon, worth = own.plan.release < quarter.days_ahead, own.worth
    here = np.isin(np.arange(len(own.modules)), own.plan.chosen[soon])
    shares = np.where(here, own.plan.shares[THIS_PLAN], 0.0)
    return {
        "saved_soon": limited_sum(worth.draws, float(own.plan.worth[soon].sum()), shares),
        "faults_soon": limited_sum(worth.faults[1:], float(worth.faults[0] @ shares), shares),
    }


def _told(kit: dict) -> str:
    return "; ".join(f"{number:.0f} {name}" for name, number in sorted(kit.items()))


def pulls_table(quarter: Quarter, own: Programme):
    """A row per module to pull, in order of day and of what is saved."""
    plan = own.plan
    chosen = own.modules.loc[plan.chosen]
    kept = plan.shares[THIS_PLAN][plan.chosen]
    days = [day_of(quarter, release) for release in plan.release]
    table = chosen.assign(
        pull_from=days,
        back_by=[day_of(quarter, latest - 1) for latest in plan.latest],
        quarter=[quarter_of(day) for day in days],
        how=np.where(plan.swapped, SPARE, np.where(plan.opening >= 0, BEFORE_THE_END, FREE)),
        chance_in_top=chance_in_top(own.worth.draws, len(plan.chosen))[plan.chosen],
        kit=chosen["kit"].map(_told),
        minutes_saved=plan.worth,
        minutes_saved_low=chosen["minutes_saved_low"] * kept,
        minutes_saved_high=chosen["minutes_saved_high"] * kept,
        bench_hours=chosen["bench_minutes"] / 60,
        known_good=[known_good(quarter, serial) for serial in chosen["serial"]],
    )
    by = ["pull_from", "minutes_saved"]
    return table.sort_values(by, ascending=[True, False], kind="stable", ignore_index=True)


@dataclass(frozen=True)
class Way:
    """One way to choose: pulls, minutes saved with limits, and the chance that the plan saves more."""

    name: str
    pulls: int
    saved: Limited
    chance_plan_saves_more: float | None


@dataclass(frozen=True)
class Ways:
    """The plan beside doing nothing, worst last quarter first and bay by bay, in the same hours, gaps, spares and parts."""

    pulls: Pulls
    ways: tuple[Way, ...] = ()
    table: object = None

    @property
    def counts(self) -> dict:
        return self.pulls.counts


def plan_buys(quarter: Quarter, *, bench_hours: float | None = None, overhaul: Overhaul = Overhaul()) -> Ways:
    """What the bench plan saves beside doing nothing, worst last quarter first and bay by bay, within the same limits."""
    import pandas as pd

    pulls = pull_next(quarter, bench_hours=bench_hours, overhaul=overhaul)
    if pulls.verdict != "pull":
        return Ways(pulls)
    own = programme(quarter, bench_hours=bench_hours, overhaul=overhaul)
    ways = tuple(_way(own, name) for name in (THIS_PLAN, *own.plan.others))
    table = pd.DataFrame([vars(one) | vars(one.saved) for one in ways])
    table = table.rename(columns={"name": "way", "pulls": "modules", "value": "minutes_saved"})
    return Ways(
        pulls, ways, table[["way", "modules", "minutes_saved", "low", "high", "chance_plan_saves_more"]]
    )


def _way(own: Programme, name: str) -> Way:
    plan, draws = own.plan, own.worth.draws
    best = draws @ plan.shares[THIS_PLAN]
    if name == NOTHING:
        return Way(name, 0, Limited(0.0, 0.0, 0.0), float((best > 0).mean()))
    more = None if name == THIS_PLAN else float((best > draws @ plan.shares[name]).mean())
    return Way(name, int((plan.shares[name] > 0).sum()), saving(own, name), more)


def _work(table) -> Work:
    joints = int(table["joints"].sum())
    low, high = solder_grams(joints)
    cost = table["parts_cost"]
    return Work(
        pulls=len(table),
        hours=float(table["bench_hours"].sum()),
        capacitors=int(table["capacitors"].sum()),
        joints=joints,
        solder=Limited((low + high) / 2, low, high),
        parts_cost=None if cost.isna().any() else float(cost.sum()),
    )


def _batches(quarter: Quarter, own: Programme) -> tuple[Batch, ...]:
    """The spares to make ready, by name and day."""
    found = own.plan.batches
    days = [day_of(quarter, number - 1) for number in found["ready_by"]]
    found = found.assign(
        name=found["module_type"] + " (" + found["family"] + ")",
        serials=batch_spares(quarter, own),
        start_by=[day - timedelta(days=READY_DAYS) for day in days],
        ready_by=days,
        hours=found["number"] * own.means.ready_minutes / 60,
    )
    return records(Batch, found)


def _spares(own: Programme) -> tuple[SpareKind, ...]:
    """Spares there are, by kind: ready as they stand, and to be made ready first."""
    both = (own.means.spares, own.means.to_ready)
    return tuple(
        SpareKind(f"{kind[1]} ({kind[0]})", *(int(there.get(kind, 0)) for there in both))
        for kind in sorted({*both[0], *both[1]}, key=str)
    )


def _left(own: Programme, least_minutes: float):
    """Modules worth an overhaul that the plan does not pull, those that would save most first."""
    left = own.modules.drop(index=own.plan.chosen)
    return left[worth_an_overhaul(left, least_minutes)].sort_values("minutes_saved", ascending=False)


def _next(own: Programme, left) -> tuple[Next, ...]:
    if not len(own.plan.chosen):
        return ()
    chance = chance_in_top(own.worth.draws, len(own.plan.chosen))
    left = left.head(NEXT_IN_LINE).rename(columns={"minutes_saved": "minutes"})
    return records(Next, left.assign(chance=chance[left.index]))
