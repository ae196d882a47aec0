"""The bench plan of the coming four quarters, made once: what it is made from, whom it pulls, the parts it takes."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

import numpy as np

from maintkit.decide.plan import Plan, bench_plan
from maintkit.decide.plan_constraints import Resources
from maintkit.decide.plan_worth import LEVEL, Overhaul, Worth, overhaul_worth
from maintkit.decide.replacement_boards import BOARD_YEARS, DOES_NOT
from maintkit.quarter.kits import kit
from maintkit.quarter.marked import refused_lately
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.recaps import recaps, rules_of
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.resources import day_of, resources_ahead, spare_modules
from maintkit.quarter.runs import faults_of_slots
from maintkit.quarter.shelf import old_stock, on_hand
from maintkit.survival.results import Limited

LEAST_MINUTES = 5.0  # an overhaul that saves fewer is not proposed
WORST_FIRST, BAY_BY_BAY = "worst last quarter first", "bay by bay"


@dataclass(frozen=True)
class Programme:
    """The plan with what it was made from; ``modules`` has a row per module that may be pulled, with the interval of its
    board (``due``: past it, ``past_years``, and its ``verdict``: where a re-cap does not pay, new capacitors save nothing) and whether its re-cap was lately ``refused`` and ``earns`` its cost, beside what its overhaul saves."""

    plan: Plan
    means: Resources
    worth: Worth
    modules: object


@dataclass(frozen=True)
class ReFormed:
    """Parts of the plan that stood on the shelf too long: so many of those in stock are re-formed and checked first, in ``hours`` at
    the bench, ``by`` the day before the first of these pulls; the newest of them stand ``since``. ``soon`` and ``hours_soon`` are
    for the pulls of the coming quarter."""

    part_type: str
    number: int
    in_stock: int
    since: date
    by: date
    hours: float
    soon: int
    hours_soon: float


@once_a_quarter
def programme(
    quarter: Quarter,
    *,
    bench_hours: float | None = None,
    spares: tuple | None = None,
    overhaul: Overhaul = Overhaul(),
    least_minutes: float = LEAST_MINUTES,
) -> Programme:
    """The plan of the coming four quarters; ``spares`` as pairs of (family, module type) and number."""
    means = resources_ahead(quarter, bench_hours=bench_hours, spares=None if spares is None else dict(spares))
    known = quarter.evidence, quarter.forecast, quarter.slots
    worth = overhaul_worth(*known, overhaul=overhaul, of_slots=faults_of_slots(quarter))
    modules = _with_intervals(quarter, worth.modules.reset_index(drop=True))
    modules["earns"] = _earns(quarter, modules)
    plan = bench_plan(
        told_of(modules, least_minutes), means, ways=_plainer_ways(quarter, modules), years=overhaul.years
    )
    return Programme(plan, means, worth, modules)


def told_of(modules, least_minutes: float):
    """The modules with ``proposed``, as the plan is told of them."""
    return modules.assign(proposed=worth_an_overhaul(modules, least_minutes))


def usual_programme(quarter: Quarter) -> Programme | None:
    """The plan with nothing asked for; None where there are too few faults for one."""
    return programme(quarter) if quarter.forecast.enough else None


def limited_sum(draws, saved: float, shares) -> Limited:
    """What modules save together, so much of each, with the limits of the sum."""
    low, high = np.quantile(draws @ shares, [(1 - LEVEL) / 2, (1 + LEVEL) / 2])
    return Limited(saved, float(low), float(high))


def worth_an_overhaul(modules, least_minutes: float):
    """Whether the new capacitors of each module alone save as much as is asked for and earn its cost, and it was not refused lately; those
    of none do in which there is nothing to re-cap."""
    saves = (modules["minutes_by_capacitors"] >= least_minutes) & (modules["capacitors"] > 0)
    return saves & modules["earns"] & ~modules["refused"]


def _earns(quarter: Quarter, modules):
    """Whether the faults that new capacitors spare a year cost as much within the years of a board as it does; where no prices are set each
    does, for hours at the bench and of session are not alike."""
    if not rules_of(quarter).costs.in_money:
        return True
    cost = modules["planned_cost"].astype(float)
    return ~(modules["faults_by_capacitors"] * modules["failure_cost"].astype(float) * BOARD_YEARS < cost)


def planned_serials(quarter: Quarter, *, within_days: float = np.inf) -> list[str]:
    """Modules the plan pulls within so many days, in order of day; none where there are too few faults for a plan."""
    own = usual_programme(quarter)
    if own is None:
        return []
    return own.modules.loc[own.plan.chosen[own.plan.release < within_days], "serial"].tolist()


def batch_spares(quarter: Quarter, own: Programme) -> list[tuple[str, ...]]:
    """The spares of each batch made ready: the best boards of their kind that are not ready, each once."""
    whole = spare_modules(quarter)
    whole = whole[~whole["ready"]]
    used, found = set(), []
    for row in own.plan.batches.itertuples():
        like = whole[(whole["family"] == row.family) & (whole["module_type"] == row.module_type)]
        found.append(tuple([serial for serial in like["serial"] if serial not in used][: row.number]))
        used |= set(found[-1])
    return found


def planned_spares(quarter: Quarter) -> list[str]:
    """The spares the plan makes ready; none where there is no plan."""
    own = usual_programme(quarter)
    return [] if own is None else [serial for batch in batch_spares(quarter, own) for serial in batch]


def re_formed(own: Programme, *, within_days: float = np.inf) -> dict[str, int]:
    """Parts of old stock the pulls within so many days take, number by part type: they are re-formed and checked first."""
    found = Counter()
    for release, taken in _from_old_stock(own):
        if release < within_days:
            found.update(taken)
    return dict(sorted(found.items()))


def _from_old_stock(own: Programme) -> list[tuple[float, dict]]:
    """Day of each pull, and what it takes of old stock by part type."""
    kits, pulls = own.modules["kit"], zip(own.plan.chosen, own.plan.release, strict=True)
    return [(release, own.means.re_formed(kits[row], release)) for row, release in pulls]


def minutes_used(own: Programme) -> float:
    """Minutes at the bench the plan takes: its pulls, the queue, and spares and old stock made ready for them."""
    ready = own.plan.batches["number"].sum() * own.means.ready_minutes
    ready += sum(re_formed(own).values()) * own.means.re_form_minutes
    return float(own.modules.loc[own.plan.chosen, "bench_minutes"].sum() + own.means.queue_minutes + ready)


def stock_re_formed(quarter: Quarter, own: Programme) -> tuple[ReFormed, ...]:
    """What the plan takes of old stock, by part type."""
    made, soon = re_formed(own), re_formed(own, within_days=quarter.days_ahead)
    each = own.means.re_form_minutes / 60
    first: dict = {}
    for release, taken in _from_old_stock(own):
        for part in taken:
            first[part] = min(release, first.get(part, release))
    taken = (one for one in old_stock(quarter) if one.part_type in made)
    return tuple(
        ReFormed(
            **vars(one),
            number=made[one.part_type],
            by=day_of(quarter, first[one.part_type] - 1),
            hours=made[one.part_type] * each,
            soon=soon.get(one.part_type, 0),
            hours_soon=soon.get(one.part_type, 0) * each,
        )
        for one in taken
    )


def usable(quarter: Quarter) -> dict:
    """Of each part counted, how many may be counted on: all, or of old stock what the plan re-forms for the coming quarter."""
    own = usual_programme(quarter)
    made = {} if own is None else re_formed(own, within_days=quarter.days_ahead)
    old = {one.part_type for one in old_stock(quarter)}
    return {part: made.get(part, 0) if part in old else there for part, there in on_hand(quarter).items()}


@once_a_quarter
def planned_kit(quarter: Quarter):
    """What the pulls of the coming quarter take, a row per part type: ``part_type, modules, quantity, joints, in_stock, usable,
    obtainable, to_get`` (of what the plan takes, above what is usable); not to be changed."""
    import pandas as pd

    serials = planned_serials(quarter, within_days=quarter.days_ahead)
    kits = [own for own in (kit(quarter, serial) for serial in serials) if len(own)]
    table = pd.concat(kits or [kit(quarter, "")]).groupby("part_type", sort=True)
    table = table.agg(
        modules=("quantity", "size"),
        quantity=("quantity", "sum"),
        joints=("joints", "sum"),
        in_stock=("in_stock", "first"),
        obtainable=("obtainable", "first"),
    )
    table["usable"] = table.index.map(usable(quarter))
    to_get = (table["quantity"] - table["usable"].fillna(0)).clip(lower=0)
    return table.assign(to_get=to_get).reset_index()


def planned_parts(quarter: Quarter) -> dict[str, int]:
    """Parts the plan takes within the coming quarter, by part type."""
    own = planned_kit(quarter)
    return dict(zip(own["part_type"], own["quantity"].astype(int), strict=True))


def faults_in(quarter: Quarter, modules):
    """Faults of each module in the quarter gone by."""
    import pandas as pd

    faults = quarter.evidence.faults
    recent = faults[faults["counts"] & (faults["happened_on"] >= pd.Timestamp(quarter.first_day))]
    return modules["serial"].map(recent.groupby("serial").size()).fillna(0).to_numpy(float)


def _plainer_ways(quarter: Quarter, modules) -> dict:
    """Worst last quarter first; and bay by bay, the bay with most faults last quarter first."""
    last, stands = faults_in(quarter, modules), np.arange(len(modules))
    named = modules["desk"].astype(str) + "\n" + modules["bay"].fillna("").astype(str)
    by_bay = modules.assign(last=last).groupby(named)["last"].transform("sum").to_numpy(float)
    order = np.unique(named, return_inverse=True)[1]
    return {
        WORST_FIRST: np.lexsort((stands, -last)),
        BAY_BY_BAY: np.lexsort((stands, order, -by_bay)),
    }


def _with_intervals(quarter: Quarter, modules):
    """The modules with bay, age of their electrolytics, interval of their board and whether they are past it."""
    bays = quarter.table("positions")[["desk", "position", "bay"]]
    about = recaps(quarter).modules
    columns = [
        "serial",
        "age_years",
        "interval_years",
        "due",
        "planned_cost",
        "failure_cost",
        "parts_cost",
        "verdict",
    ]
    found = modules.merge(bays, on=["desk", "position"], how="left")
    found = found.merge(about[columns].astype({"serial": object}), on="serial", how="left")
    past_years = (found["age_years"] - found["interval_years"]).astype(float)
    refused = found["serial"].isin(refused_lately(quarter))
    found.loc[found["verdict"] == DOES_NOT, ["minutes_by_capacitors", "faults_by_capacitors"]] = 0.0
    return found.assign(due=found["due"].eq(True), past_years=past_years, refused=refused)
