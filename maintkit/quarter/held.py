"""What holds back the modules worth an overhaul that the plan does not pull, and what one spare inspected would change."""

from dataclasses import dataclass, replace

from maintkit.decide.plan import bench_plan
from maintkit.decide.plan_held import held_by
from maintkit.decide.spares_donors import NOT_SEEN
from maintkit.quarter.programme import Programme, told_of
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.shelf import donor_table

KIND = ["family", "module_type"]


@dataclass(frozen=True)
class Held:
    """Modules of one kind that cannot be pulled even by themselves, and what they lack: a "gap", "hours" within one or "stock".

    ``hours`` at the bench is what one of them takes at most, ``gap_days`` the longest gap of their desks and ``gap_hours`` what the
    bench has in it, None where they have none; ``has_spare`` whether a spare can be put in meanwhile.
    """

    why: str
    name: str
    number: int
    hours: float
    gap_days: int | None
    gap_hours: float | None
    has_spare: bool


@dataclass(frozen=True)
class Inspected:
    """Spares of a kind that nobody inspected, of which none is known to be whole: with one of them made ready the plan pulls so many
    modules more and saves so many minutes more."""

    name: str
    number: int
    pulls: int
    minutes: float


def with_reasons(own: Programme, left):
    """The modules left, each with ``why`` it cannot be pulled by itself; none is told of a bench without hours."""
    return left.assign(why=held_by(left, own.means) if own.means.hours_a_day > 0 else "")


def held_back(own: Programme, left) -> tuple[Held, ...]:
    """What those that cannot be pulled lack, by kind; ``left`` has ``why``."""
    groups = left[left["why"] != ""].groupby([*KIND, "why"], observed=True)
    return tuple(_held(own, name, rows) for name, rows in groups)


def _held(own: Programme, name, rows) -> Held:
    gaps = own.means.openings
    gaps = gaps[gaps["desk"].isin(rows["desk"])]
    days = (gaps["free_to"].clip(upper=own.means.days - 1) - gaps["free_from"]).max() + 1
    days = int(days) if len(gaps) else None
    return Held(
        name[2],
        f"{name[1]} ({name[0]})",
        len(rows),
        float(rows["bench_minutes"].max() / 60),
        days,
        None if days is None else float(own.means.bench_minutes(days) / 60),
        _spares(own, name[:2]) > 0,
    )


def if_inspected(quarter: Quarter, own: Programme, left, *, years: float, least_minutes: float):
    """What one spare inspected and made ready would let, of the kind whose modules would save most; None where it lets nothing."""
    table = donor_table(quarter)
    unseen = table[table["condition"] == NOT_SEEN].groupby(KIND, observed=True).size()
    for kind in dict.fromkeys(left[KIND].dropna().itertuples(index=False, name=None)):
        if kind not in unseen or _spares(own, kind):
            continue
        means = replace(own.means, to_ready={**own.means.to_ready, kind: 1})
        plan = bench_plan(told_of(own.modules, least_minutes), means, years=years)
        more, minutes = len(plan.chosen) - len(own.plan.chosen), plan.saved - own.plan.saved
        if more > 0 and minutes >= least_minutes:
            return Inspected(f"{kind[1]} ({kind[0]})", int(unseen[kind]), more, minutes)
    return None


def _spares(own: Programme, kind) -> int:
    return own.means.spares.get(kind, 0) + own.means.to_ready.get(kind, 0)
