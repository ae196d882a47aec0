"""Which modules to pull for overhaul next quarter, with the hours, spares, parts and gaps there are?"""

from maintkit.decide.plan import Plan, chance_in_top, work_plan
from maintkit.decide.plan_worth import Overhaul, overhaul_worth
from maintkit.questions.plan_means import BENCH_HOURS, bookings_sentence, day_of, means_ahead, spares_sentence
from maintkit.questions.quarter import Quarter
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.show.dots import interval_figure
from maintkit.show.finding import Finding

NAMED = 4
LEAST_MINUTES = 5.0          # an overhaul that saves fewer is not proposed
COLUMNS = ["serial", "desk", "position", "pull_from", "how", "minutes_saved", "minutes_low", "minutes_high",
           "chance_in_top",
           "bench_hours", "capacitors", "joints", "kit"]


def pull_next(quarter: Quarter, *, bench_hours: float = BENCH_HOURS, spares: dict | None = None,
              overhaul: Overhaul = Overhaul(),
              least_minutes: float = LEAST_MINUTES) -> Finding:
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
    means = means_ahead(quarter, bench_hours=bench_hours, spares=spares)
    worth = overhaul_worth(quarter.evidence, quarter.forecast, quarter.slots, overhaul=overhaul)
    modules = worth.modules.reset_index(drop=True)
    saved = modules["minutes_saved"]
    worthy = modules.assign(minutes_saved=saved.where(saved >= least_minutes, 0.0))
    plan = work_plan(worthy, means, last_quarter=_faults_in(quarter, modules))
    table = _table(quarter, modules, plan, means, worth)
    if _too_few(quarter):
        return Finding(key="work-plan", title=_too_few(quarter), counts={"faults": quarter.forecast.failures})
    title = _title(quarter, table, plan, bench_hours, overhaul)
    drawn = table.assign(label=table["serial"] + ", " + table["desk"] + " " + table["position"],
                         value=table["minutes_saved"],
                         low=table["minutes_low"], high=table["minutes_high"])
    return Finding(
        key="work-plan", title=title, table=table[COLUMNS],
        figure=interval_figure(drawn[["label", "value", "low", "high"]], title=title,
                               axis=f"session minutes saved in {overhaul.years:g} years") if len(table) else None,
        caveats=(*_against(plan, worth, overhaul), spares_sentence(means), bookings_sentence(means),
                 f"Savings count over {overhaul.years:g} years against leaving the module alone. An overhaul renews "
                 f"the electrolytics, prevents {100 * overhaul.cleaning_saves:.0f} % of the faults that cleaning "
                 f"answers (an assumption) and brings {worth.early_faults:.2f} early faults and two mate cycles of the "
                 "connectors; nothing else grows younger.",
                 f"An overhaul that saves fewer than {least_minutes:g} minutes is not proposed. The chance is that of "
                 f"the module's saving being among the {len(table)} largest, by what the records allow."),
        counts={"faults": quarter.forecast.failures, "modules_in_service": len(modules)},
        alt="Session minutes each proposed overhaul saves, with 90 % limits.")


def _faults_in(quarter: Quarter, modules):
    """Faults of each module in the quarter gone by."""
    import pandas as pd

    faults = quarter.evidence.faults
    recent = faults[faults["counts"] & (faults["happened_on"] >= pd.Timestamp(quarter.first_day))]
    return modules["serial"].map(recent.groupby("serial").size()).fillna(0).to_numpy(float)


def _table(quarter: Quarter, modules, plan: Plan, means, worth):
    """A row per module to pull, most saved first."""
    chosen = modules.loc[plan.chosen]
    gaps = means.openings["free_from"]
    pull = [day_of(quarter, gaps[opening] if opening >= 0 else 0) for opening in plan.opening]
    how = ["against a spare" if swapped else "back before the gap ends" if opening >= 0 else "desk free"
           for opening, swapped in zip(plan.opening, plan.swapped, strict=True)]
    chance = chance_in_top(worth.draws, len(plan.chosen))[plan.chosen]
    kits = ["; ".join(f"{number:.0f} {name}" for name, number in sorted(kit.items())) for kit in chosen["kit"]]
    table = chosen.assign(pull_from=pull, how=how, chance_in_top=chance, kit=kits,
                          bench_hours=chosen["bench_minutes"] / 60)
    return table.sort_values("minutes_saved", ascending=False, kind="stable").reset_index(drop=True)


def _too_few(quarter: Quarter) -> str:
    failures = quarter.forecast.failures
    if failures >= FEWEST_FOR_A_VERDICT:
        return ""
    return (f"{several(failures, 'fault')} of known modules on record: it takes {FEWEST_FOR_A_VERDICT} to say which "
            "overhaul saves most. Keep logging.")


def _title(quarter: Quarter, table, plan: Plan, bench_hours: float, overhaul: Overhaul) -> str:
    if not len(table):
        return f"Pull no module for overhaul in {quarter.next_label}. {plan.note}".strip()
    names = ", ".join(f"{row.serial} ({row.desk} {row.position})" for row in table.head(NAMED).itertuples())
    more = f" and {len(table) - NAMED} more" if len(table) > NAMED else ""
    return (f"Pull {names}{more} for overhaul in {quarter.next_label}: {table['bench_hours'].sum():.0f} of "
            f"{bench_hours:.0f} bench hours save about {plan.saved:.0f} session minutes in {overhaul.years:g} years; "
            f"worst last quarter first would save {plan.others['worst last quarter first']:.0f}.")


def _against(plan: Plan, worth, overhaul: Overhaul):
    """What the plan saves beside plainer ways, and how near the best it is."""
    ways = ", ".join(f"{name} {minutes:.0f}" for name, minutes in plan.others.items())
    first = f"The plan saves {plan.saved:.0f} session minutes; within the same limits: {ways}."
    if len(plan.chosen):
        first += f" No plan can save more than {plan.bound:.0f}."
    return (first, f"Left alone, all desks together are expected to lose {worth.minutes_going_on:.0f} minutes in "
                   f"{overhaul.years:g} years.")
