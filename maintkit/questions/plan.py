"""Which modules to pull for overhaul next quarter, with the hours, spares, parts and gaps there are?"""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.plan import THIS_PLAN, WORST_FIRST, Plan, chance_in_top, work_plan
from maintkit.decide.plan_constraints import Resources
from maintkit.decide.plan_worth import LEVEL, Overhaul, Worth, overhaul_worth
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.questions.plan_resources import (
    BENCH_HOURS,
    bookings_sentence,
    day_of,
    resources_ahead,
    spares_sentence,
    stock_sentence,
)
from maintkit.questions.say import takes_more
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding

NAMED = 4
NEXT_IN_LINE = 3
SURE = 0.9
LEAST_MINUTES = 5.0  # an overhaul that saves fewer is not proposed
COLUMNS = [
    "serial",
    "desk",
    "position",
    "pull_from",
    "how",
    "minutes_saved",
    "minutes_saved_low",
    "minutes_saved_high",
    "chance_in_top",
    "bench_hours",
    "capacitors",
    "joints",
    "kit",
]


@dataclass(frozen=True)
class Decided:
    """The plan with what it was made from; ``modules`` has a row per module that may be pulled."""

    plan: Plan
    means: Resources
    worth: Worth
    modules: object


def pull_next(
    quarter: Quarter,
    *,
    bench_hours: float = BENCH_HOURS,
    spares: dict | None = None,
    overhaul: Overhaul = Overhaul(),
    least_minutes: float = LEAST_MINUTES,
) -> Finding:
    """The modules whose overhaul saves most session minutes within next quarter's hours, gaps, spares and parts.

    Parameters
    ----------
    quarter : Quarter
    bench_hours : float
        Hours at the bench for planned work in the coming quarter.
    spares : dict, optional
        Whole modules to swap in by (family, module type); those last inspected as working when left out.
    overhaul : Overhaul
        Years over which savings count, and the share of cleaning faults an overhaul prevents.
    least_minutes : float
        An overhaul that saves fewer session minutes is not proposed.
    """
    if _too_few(quarter):
        return Finding(key="work-plan", title=_too_few(quarter), counts={"faults": quarter.forecast.failures})
    own = decided(
        quarter,
        bench_hours=bench_hours,
        spares=None if spares is None else tuple(sorted(spares.items())),
        overhaul=overhaul,
        least_minutes=least_minutes,
    )
    table = _table(quarter, own)
    title = _title(quarter, table, own, bench_hours, overhaul)
    drawn = table.assign(
        label=table["serial"] + ", " + table["desk"] + " " + table["position"],
        value=table["minutes_saved"],
        low=table["minutes_saved_low"],
        high=table["minutes_saved_high"],
    )
    return Finding(
        key="work-plan",
        title=title,
        table=table[COLUMNS],
        figure=interval_figure(
            drawn[["label", "value", "low", "high"]],
            title=title,
            axis=f"session minutes saved in {overhaul.years:g} years",
        )
        if len(table)
        else None,
        caveats=(
            *_against(own, overhaul),
            *_how_sure(table, own),
            _held_back(own.plan),
            spares_sentence(own.means),
            bookings_sentence(own.means),
            stock_sentence(own.means),
            _assumed(own.worth, overhaul),
            f"An overhaul that saves fewer than {least_minutes:g} minutes is not proposed.",
        ),
        counts={"faults": quarter.forecast.failures, "modules_in_service": len(own.modules)},
        alt="Session minutes each proposed overhaul saves, with 90 % limits.",
    )


def plan_buys(
    quarter: Quarter, *, bench_hours: float = BENCH_HOURS, overhaul: Overhaul = Overhaul()
) -> Finding:
    """What the work plan saves beside doing nothing, worst last quarter first and all in order, within the same limits."""
    import pandas as pd

    if _too_few(quarter):
        return Finding(key="plan-buys", title=_too_few(quarter), counts={"faults": quarter.forecast.failures})
    own = decided(quarter, bench_hours=bench_hours, overhaul=overhaul)
    if not len(own.plan.chosen):
        return Finding(key="plan-buys", title=f"There is no plan to set against other ways. {_why_none(own)}")
    table = pd.DataFrame([_way(own, name) for name in (THIS_PLAN, *own.plan.others)])
    best, others = table.iloc[0], table[table["way"].isin(own.plan.shares) & (table["way"] != THIS_PLAN)]
    more = " and ".join(
        f"{best['minutes_saved'] - row.minutes_saved:z.0f} more than {row.way}" for row in others.itertuples()
    )
    title = (
        f"The plan saves about {best['minutes_saved']:z.0f} session minutes in {overhaul.years:g} years{_limits(own, THIS_PLAN)}, "
        f"{more}; left alone all desks are expected to lose {own.worth.minutes_going_on:.0f}."
    )
    drawn = table[table["modules"] > 0].assign(
        label=lambda rows: rows["way"], value=lambda rows: rows["minutes_saved"]
    )
    return Finding(
        key="plan-buys",
        title=title,
        table=table,
        figure=interval_figure(
            drawn[["label", "value", "low", "high"]],
            title=title,
            axis=f"session minutes saved in {overhaul.years:g} years",
        ),
        caveats=(
            f"All ways keep to the same {bench_hours:g} bench hours, gaps, spares and parts, and pull until nothing more fits. "
            f"No plan can save more than {own.plan.bound:.0f} minutes.",
            "Chance: the share of what the records allow in which the plan saves more than that way.",
        ),
        counts={"faults": quarter.forecast.failures, "modules_in_service": len(own.modules)},
        alt="Session minutes saved by each way to choose modules, with 90 % limits.",
    )


def _way(own: Decided, name: str) -> dict:
    """One way to choose: modules pulled, minutes saved with limits, chance that the plan saves more."""
    plan, draws = own.plan, own.worth.draws
    if name not in plan.shares:
        return {
            "way": name,
            "modules": 0,
            "minutes_saved": 0.0,
            "low": 0.0,
            "high": 0.0,
            "chance_plan_saves_more": float((draws @ plan.shares[THIS_PLAN] > 0).mean()),
        }
    saved = draws @ plan.shares[name]
    low, high = np.quantile(saved, [(1 - LEVEL) / 2, (1 + LEVEL) / 2])
    minutes = plan.saved if name == THIS_PLAN else plan.others[name]
    more = float("nan") if name == THIS_PLAN else float((draws @ plan.shares[THIS_PLAN] > saved).mean())
    return {
        "way": name,
        "modules": int((plan.shares[name] > 0).sum()),
        "minutes_saved": minutes,
        "low": low,
        "high": high,
        "chance_plan_saves_more": more,
    }


@once_a_quarter
def decided(
    quarter: Quarter,
    *,
    bench_hours: float = BENCH_HOURS,
    spares: tuple | None = None,
    overhaul: Overhaul = Overhaul(),
    least_minutes: float = LEAST_MINUTES,
) -> Decided:
    """The plan behind :func:`pull_next`; ``spares`` as pairs of (family, module type) and number."""
    means = resources_ahead(quarter, bench_hours=bench_hours, spares=None if spares is None else dict(spares))
    worth = overhaul_worth(quarter.evidence, quarter.forecast, quarter.slots, overhaul=overhaul)
    modules = worth.modules.reset_index(drop=True)
    saved = modules["minutes_saved"]
    worthy = modules.assign(minutes_saved=saved.where(saved >= least_minutes, 0.0))
    plan = work_plan(worthy, means, last_quarter=faults_in(quarter, modules), years=overhaul.years)
    return Decided(plan, means, worth, modules)


def planned_parts(quarter: Quarter) -> dict[str, int]:
    """Parts the work plan of the coming quarter takes, by part type; none where there is no plan."""
    if _too_few(quarter):
        return {}
    own, total = decided(quarter), {}
    for kit in own.modules.loc[own.plan.chosen, "kit"]:
        for name, number in kit.items():
            total[name] = total.get(name, 0) + int(number)
    return total


def planned_serials(quarter: Quarter) -> list[str]:
    """Modules the work plan of the coming quarter pulls."""
    if _too_few(quarter):
        return []
    own = decided(quarter)
    return own.modules.loc[own.plan.chosen, "serial"].tolist()


def faults_in(quarter: Quarter, modules):
    """Faults of each module in the quarter gone by."""
    import pandas as pd

    faults = quarter.evidence.faults
    recent = faults[faults["counts"] & (faults["happened_on"] >= pd.Timestamp(quarter.first_day))]
    return modules["serial"].map(recent.groupby("serial").size()).fillna(0).to_numpy(float)


def _table(quarter: Quarter, own: Decided):
    """A row per module to pull, most saved first."""
    plan, gaps = own.plan, own.means.openings["free_from"]
    chosen = own.modules.loc[plan.chosen]
    pull = [day_of(quarter, gaps[opening] if opening >= 0 else 0) for opening in plan.opening]
    how = [
        "against a spare" if swapped else "back before the gap ends" if opening >= 0 else "desk free"
        for opening, swapped in zip(plan.opening, plan.swapped, strict=True)
    ]
    chance = chance_in_top(own.worth.draws, len(plan.chosen))[plan.chosen]
    kits = [
        "; ".join(f"{number:.0f} {name}" for name, number in sorted(kit.items())) for kit in chosen["kit"]
    ]
    kept = plan.shares[THIS_PLAN][plan.chosen]
    table = chosen.assign(
        pull_from=pull,
        how=how,
        chance_in_top=chance,
        kit=kits,
        minutes_saved=plan.worth,
        minutes_saved_low=chosen["minutes_saved_low"] * kept,
        minutes_saved_high=chosen["minutes_saved_high"] * kept,
        bench_hours=chosen["bench_minutes"] / 60,
    )
    return table.sort_values("minutes_saved", ascending=False, kind="stable").reset_index(drop=True)


def _too_few(quarter: Quarter) -> str:
    said = takes_more(quarter.forecast, "say which overhaul saves most")
    return said and f"{said}. Keep logging."


def _title(quarter: Quarter, table, own: Decided, bench_hours: float, overhaul: Overhaul) -> str:
    plan = own.plan
    if not len(table):
        return f"Pull no module for overhaul in {quarter.next_label}. {_why_none(own)}".strip()
    names = ", ".join(f"{row.serial} ({row.desk} {row.position})" for row in table.head(NAMED).itertuples())
    more = f" and {len(table) - NAMED} more" if len(table) > NAMED else ""
    return (
        f"Pull {names}{more} for overhaul in {quarter.next_label}: {table['bench_hours'].sum():.0f} of "
        f"{bench_hours:.0f} bench hours save about {plan.saved:.0f} session minutes in {overhaul.years:g} years"
        f"{_limits(own, THIS_PLAN)}; worst last quarter first would save {plan.others[WORST_FIRST]:z.0f}."
    )


def _why_none(own: Decided) -> str:
    """Why no module is pulled, the plainest reason first."""
    modules, saved = own.modules, own.modules["minutes_saved"]
    if not len(modules):
        return "No module is on record as sitting in a desk in service; fitments would say where they are."
    if not (modules["capacitors"] > 0).any():
        return "No electrolytic of known number is in any of them; modules and parts_list would let the overhaul be reckoned."
    if not (modules["minutes_per_fault"] > 0).any():
        return "No session minute is on record as lost to a fault, so none can be saved; the column minutes_lost would say."
    if (saved > 0).any() and not own.plan.bound:
        return (
            f"None would save as much as is asked for: the best, {modules.loc[saved.idxmax(), 'serial']}, {saved.max():.1f} "
            "session minutes."
            if "saves anything" in own.plan.note
            else own.plan.note
        )
    return own.plan.note


def _limits(own: Decided, way: str) -> str:
    """The 90 % limits of what a way to choose saves, in brackets."""
    low, high = np.quantile(own.worth.draws @ own.plan.shares[way], [(1 - LEVEL) / 2, (1 + LEVEL) / 2])
    return f" ({low:z.0f} to {high:z.0f})"


def _against(own: Decided, overhaul: Overhaul):
    """What the plan saves beside plainer ways, and how near the best it is."""
    plan, draws = own.plan, own.worth.draws
    ways = ", ".join(
        f"{name} {minutes:z.0f}{_limits(own, name) if name in plan.shares else ''}"
        for name, minutes in plan.others.items()
    )
    first = f"The plan saves {plan.saved:.0f} session minutes{_limits(own, THIS_PLAN)}; within the same limits: {ways}."
    if len(plan.chosen):
        more = draws @ (plan.shares[THIS_PLAN] - plan.shares[WORST_FIRST])
        first += (
            f" It saves more than worst last quarter first in {_share((more > 0).mean())} of what the records "
            f"allow. No plan can save more than {plan.bound:.0f}."
        )
    return (
        first,
        f"Left alone, all desks together are expected to lose {own.worth.minutes_going_on:.0f} minutes in "
        f"{overhaul.years:g} years.",
    )


def _share(share: float) -> str:
    """A share of the draws, which are too few to tell 99 % from all."""
    return "more than 99 %" if share > 0.99 else f"{100 * share:.0f} %"


def _how_sure(table, own: Decided):
    """How sure the order is, and who comes next."""
    pulled = len(own.plan.chosen)
    if not pulled:
        return ()
    sure = int((table["chance_in_top"] >= SURE).sum())
    chance = chance_in_top(own.worth.draws, pulled)
    left = own.modules.assign(chance=chance).drop(index=own.plan.chosen)
    left = left[left["minutes_saved"] > 0].nlargest(NEXT_IN_LINE, "minutes_saved")
    named = ", ".join(
        f"{row.serial} ({row.desk} {row.position}, {row.minutes_saved:.0f} minutes, {100 * row.chance:.0f} %)"
        for row in left.itertuples()
    )
    return (
        f"How sure the order is: {sure} of the {pulled} are among the {pulled} that save most with a chance of "
        f"{100 * SURE:.0f} % or more, by what the records allow; the table has the chance of each."
        + (f" Next in line: {named}." if named else ""),
    )


def _held_back(plan: Plan) -> str:
    """What there is too little of."""
    if not plan.with_more:
        return (
            "Half as many bench hours, swap spares or parts in stock again would save no more: if anything holds this plan "
            "back, it is the bookings."
        )
    said = ", ".join(f"{name} {minutes:.0f}" for name, minutes in plan.with_more.items())
    return (
        f"What holds the plan back: minutes a plan could save with half as many again of one thing: {said}."
    )


def _assumed(worth: Worth, overhaul: Overhaul) -> str:
    brought = worth.brought
    return (
        f"Savings count over {overhaul.years:g} years against leaving the module alone, less for one pulled later. An "
        f"overhaul renews the electrolytics, prevents {100 * overhaul.cleaning_saves:.0f} % of the faults that cleaning "
        f"answers (an assumption) and brings {brought.early:.2f} early faults, {brought.tracks:.3f} faults of tracks a "
        f"year for one re-cap more and {brought.connectors:.4f} of connectors for one mating more, all taken off; "
        "nothing else grows younger. Electrolytics of unknown age are taken to be as old as their peers."
    )
