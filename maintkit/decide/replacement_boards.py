"""When to re-cap: the interval of least cost for each kind of board, how sure it is, and which modules are past it."""

from dataclasses import dataclass, replace

import numpy as np

from maintkit.decide.hazards import FEWEST_FAILURES, HOURS_PER_YEAR, PartHazard, part_hazard
from maintkit.decide.part_groups import PartGroups
from maintkit.decide.replacement import Group, group_cost_rate, group_intervals
from maintkit.decide.replacement_ages import guessed_ages
from maintkit.decide.replacement_costs import (
    BRIDGE_MINUTES,
    PART_COST,
    REPAIR_MINUTES,
    BoardWear,
    Costs,
    board_wear,
    kits_of,
    median_minutes,
    overhaul_minutes,
)

DRAWS = 400
LEVEL = 0.90
TAILS = ((1 - LEVEL) / 2, (1 + LEVEL) / 2)
LONGEST_YEARS = 60.0  # no interval beyond is called one
SURE = 0.95  # share of the draws in which it must pay before it is said to
FLAT = 1.05  # intervals that cost no more than so many times the least are all as good
BOARD_YEARS = 10.0  # how long a board is to serve on; a setting
CELL = ["family", "module_type", "board_era", "zone"]
BOARD = ["family", "module_type", "board_era"]
UNNAMED = "not recorded"
PAYS, NOT_SHOWN, DOES_NOT, TOO_FEW = "pays", "not shown to pay", "does not pay", "too few failures to say"


@dataclass(frozen=True)
class Rules:
    """What the site decides: prices, how often a board may be re-capped (None: no limit but what it costs), how
    long it is to serve on."""

    costs: Costs = Costs()
    most_recaps: int | None = None
    board_years: float = BOARD_YEARS


@dataclass(frozen=True)
class Recaps:
    """The decision for each kind of board in service.

    ``boards`` has a row per family, module type, board era and zone; ``modules`` a row per module with the age of its
    electrolytics, whether it is past the interval and what one re-cap takes; ``curves`` per row of ``boards`` the cost
    a year at each of ``years`` with limits, shape (3, years); ``wear`` what a re-cap does to the board.
    """

    boards: object
    modules: object
    years: np.ndarray
    curves: list[np.ndarray]
    wear: BoardWear
    rules: Rules


def recap_boards(
    evidence, forecast, *, prices: dict, rules: Rules = Rules(), shared: dict | None = None, seed: int = 1
) -> Recaps:
    """The re-cap interval of least cost for each family, module type, board era and zone, with limits.

    Parameters
    ----------
    evidence : Evidence
        ``part_spells, stays, faults, work, roster`` on powered time.
    forecast : Forecast
        ``hazards`` of the part types, ``slots`` with the minutes a fault costs.
    prices : dict
        Cost of one of each part type.
    rules : Rules
    shared : dict, optional
        Variance of the log of the mean factor of each family's modules (``Forecast.shared``).
    seed : int
        Of the draws behind the limits.

    Notes
    -----
    Renewal of all electrolytics of a board with repairs between (Barlow & Hunter 1960), each kind with its own hazard.
    Planned cost = bench time + capacitors + tracks lifted, which grow with the re-caps gone before, + the later faults
    of one more heat cycle. Limits are quantiles over draws of the hazards and of the mean
    factor of a family's modules. "Pays" where it does, within 60 powered years, in 95 % of
    the draws; "does not pay" where in fewer any kind of capacitor wears at all (shape above 1). There ``chance_it_pays`` is the
    larger of two: of the records, and of them without the earliest failure of each kind, on which alone it may hang.
    """
    import pandas as pd

    modules = capacitor_modules(evidence.part_spells, forecast.slots)
    wear = board_wear(evidence.work, evidence.stays, evidence.faults)
    modules = _priced(modules, evidence, wear, prices, rules)
    years = np.geomspace(1.0, LONGEST_YEARS, 80)
    hazards = [hazard for hazard in forecast.hazards if hazard.kind == "electrolytic"]
    generator = np.random.default_rng(seed)
    drawn = {id(hazard): np.vstack([hazard.parameters, hazard.draws(generator, DRAWS)]) for hazard in hazards}
    for family in sorted({hazard.family for hazard in hazards}):
        variance = (shared or {}).get(family, 0.0)
        moved = generator.normal(-variance / 2, np.sqrt(variance), DRAWS)
        for hazard in hazards:
            if hazard.family == family:
                drawn[id(hazard)][1:, 1] += moved
    rows, curves, spared, drawn_spared = [], [], None, {}
    for cell, own in modules.groupby(CELL, sort=True, dropna=False):
        row, curve = _one_board(dict(zip(CELL, cell, strict=True)), own, hazards, drawn, years)
        if row["verdict"] == DOES_NOT:
            if spared is None:
                spared = _without_earliest(evidence.part_spells)
                drawn_spared = {id(one): one.draws(generator, DRAWS) for one in spared}
            chance = _chance_it_pays(own, spared, drawn_spared)
            row["chance_it_pays"] = max(row["chance_it_pays"], chance)
        rows.append(row)
        curves.append(curve)
    boards = pd.DataFrame(rows, columns=rows[0].keys() if rows else CELL)
    return Recaps(boards, _due(modules, boards), years, curves, wear, rules)


def capacitor_modules(part_spells, slots):
    """A row per module in service with electrolytics: labels, how many, mean age, minutes a fault costs.

    Electrolytics of unknown age are taken to be in the middle case of :func:`guessed_ages`; ``age_guessed`` says where. A module's
    age is told only where that of at least half of its electrolytics is.
    """
    caps = part_spells[part_spells["still_fitted"] & (part_spells["kind"] == "electrolytic")]
    caps = caps.merge(slots[["desk", "position", "minutes_per_fault"]], on=["desk", "position"])
    guess = guessed_ages(part_spells)
    last = guess.rows["still_fitted"].to_numpy(bool)
    guessed = dict(zip(guess.rows["piece"][last], guess.middle[last], strict=True))
    middle = caps["piece"].map(guessed).astype(float)
    known = caps["age_known"].to_numpy(bool)
    age = np.where(known, caps["exit"].to_numpy(float), middle)
    told = np.where(np.isnan(age), 0.0, caps["weight"])
    caps = caps.assign(aged=np.nan_to_num(age) * told, known=told, guessed=~known & ~np.isnan(age))
    labels = ["desk", "position", "bay", *CELL, "rework_cycles", "minutes_per_fault"]
    table = caps.groupby("serial", sort=True, observed=True).agg(
        **{name: (name, "first") for name in labels},
        capacitors=("weight", "sum"),
        aged=("aged", "sum"),
        known=("known", "sum"),
        age_guessed=("guessed", "any"),
    )
    table[CELL] = table[CELL].astype(object).fillna(UNNAMED)
    told = table["known"].where(table["known"] >= table["capacitors"] / 2)
    table["age_years"] = table["aged"] / told / HOURS_PER_YEAR
    table["kit"] = kits_of(caps, table.index)
    return table.drop(columns=["aged", "known"]).reset_index()


def _priced(modules, evidence, wear, prices, rules):
    """Bench minutes and cost of one re-cap of each module, and of one fault between."""
    work, costs = evidence.work, rules.costs
    minutes, _ = overhaul_minutes(work, modules)
    price = [
        sum(number * prices.get(name, PART_COST) for name, number in kit.items()) for kit in modules["kit"]
    ]
    parts, replaced = np.array(price, float), (work["kind"] == "electrolytic") & (work["action"] == "replace")
    repair = median_minutes(work, replaced & ~work["planned"].astype(bool), REPAIR_MINUTES)
    bridge = median_minutes(work, work["action"] == "bridge track", BRIDGE_MINUTES)
    fault = costs.fault(bench_minutes=repair, session_minutes=modules["minutes_per_fault"], part=PART_COST)
    track = costs.fault(bench_minutes=bridge, session_minutes=modules["minutes_per_fault"], part=0.0)
    tracks, cycles = wear.tracks_a_cycle * modules["rework_cycles"], modules["rework_cycles"]
    damage = costs.work(tracks * bridge) + wear.faults_a_year_a_cycle * rules.board_years * track
    most = np.inf if rules.most_recaps is None else float(rules.most_recaps)
    return modules.assign(
        recap_minutes=minutes,
        parts_cost=parts,
        damage_cost=damage,
        failure_cost=fault,
        planned_cost=costs.work(minutes, parts) + damage,
        tracks_next=tracks,
        recaps_left=(most - cycles.astype(float)).clip(lower=0),
    )


def board_group(own, hazards: list[PartHazard], drawn: dict):
    """The electrolytics of an average board of the cell as one group, and the failures behind it."""
    zones = own[["board_era", "zone"]]
    ages, shapes, reached, failures = [], [], [], 0
    for hazard in hazards:
        fitted = np.array([row.get(hazard.part_type, 0) for row in own["kit"]], float)
        if hazard.family != own["family"].iloc[0] or not fitted.any():
            continue
        draws = drawn[id(hazard)]
        effects = np.exp(draws[:, 2:] @ hazard.design(zones).T)  # draws x modules
        ages.append(hazard.age_hours / HOURS_PER_YEAR)
        shapes.append(np.exp(draws[:, 0]))
        reached.append(np.exp(draws[:, 1]) * (effects @ fitted) / len(own))
        failures += hazard.failures
    return Group(np.array(ages), np.array(shapes).T, np.array(reached).T), failures


def _without_earliest(part_spells) -> list[PartHazard]:
    """The hazards of the electrolytics, had the one that failed youngest of each kind gone on."""
    hazards = []
    for group in PartGroups(part_spells[part_spells["kind"] == "electrolytic"]):
        failed = np.flatnonzero(group.event & group.age_known)
        youngest = failed[np.argsort(group.exit[failed], kind="stable")[:1]]
        hazards.append(
            part_hazard(replace(group, event=group.event & ~np.isin(np.arange(len(group)), youngest)))
        )
    return hazards


def _chance_it_pays(own, hazards: list[PartHazard], drawn: dict) -> float:
    group, _ = board_group(own, hazards, drawn)
    if not group.age.size:
        return 0.0
    return float(np.isfinite(group_intervals(group, longest=LONGEST_YEARS, **_prices(own))).mean())


def _prices(own) -> dict[str, float]:
    """What a re-cap and a fault between cost on an average board."""
    return {name: float(own[name].mean()) for name in ("planned_cost", "failure_cost")}


def _one_board(cell, own, hazards, drawn, years):
    """One row of the decision, and its cost curve with limits."""
    group, failures = board_group(own, hazards, drawn)
    price = _prices(own)
    means = {name: float(own[name].mean()) for name in ("capacitors", "age_years", "rework_cycles")}
    best, least, soon, flat = np.array([np.nan]), np.nan, np.nan, (np.nan, np.nan)
    verdict, curve = _verdict(best, 0, np.ones((1, 1))), np.full((3, len(years)), np.nan)
    if group.age.size:
        best = group_intervals(group, longest=LONGEST_YEARS, **price)
        rates, verdict = group_cost_rate(years, group, **price), _verdict(best, failures, group.shape)
        curve = np.vstack([rates[:1], np.quantile(rates[1:], TAILS, axis=0)])
        if np.isfinite(best[0]):
            least = group_cost_rate([best[0]], group, **price)[0, 0]
        age = np.fmax(means["age_years"], 0.5)
        soon = float(np.diff(group.failures([age, age + 1.0])[0])[0] * price["failure_cost"])
        flat = _flat(group, least, price) if verdict["verdict"] == PAYS else flat
    row = {
        **cell,
        "modules": len(own),
        "capacitors": means["capacitors"],
        "failures": failures,
        "age_years": means["age_years"],
        "rework_cycles": means["rework_cycles"],
        "recaps_left": float(own["recaps_left"].min()),
        "tracks_next": float(own["tracks_next"].max()),
        **price,
        "damage_cost": float(own["damage_cost"].mean()),
        "recap_minutes": float(own["recap_minutes"].mean()),
        **verdict,
        "flat_low": flat[0],
        "flat_high": flat[1],
        "cost_a_year": least,
        "cost_a_year_going_on": soon,
    }
    return row, curve


def _flat(group: Group, least: float, price: dict) -> tuple[float, float]:
    """Shortest and longest interval that costs within 5 % of the least."""
    years = np.geomspace(0.5, LONGEST_YEARS, 600)
    near = years[group_cost_rate(years, group, **price)[0] <= FLAT * least]
    return (float(near.min()), float(near.max())) if len(near) else (np.nan, np.nan)


def _verdict(best, failures, shape) -> dict:
    """Interval and limits over the draws; a limit is missing where there a re-cap never pays."""
    pays, wears = (
        float(np.mean(own[1:])) if len(best) > 1 else 0.0
        for own in (np.isfinite(best), (shape > 1).any(axis=1))
    )
    filled = np.where(np.isfinite(best[1:]), best[1:], np.inf)
    low, high = np.quantile(filled, TAILS, method="nearest") if len(filled) else (np.nan, np.nan)
    verdict = (
        TOO_FEW
        if failures < FEWEST_FAILURES
        else DOES_NOT
        if wears < SURE
        else PAYS
        if pays >= SURE and np.isfinite(best[0])
        else NOT_SHOWN
    )
    kept = verdict == PAYS
    return {
        "verdict": verdict,
        "interval_years": best[0] if kept else np.nan,
        "interval_low": low if kept else np.nan,
        "interval_high": high if kept and np.isfinite(high) else np.nan,
        "chance_it_pays": pays,
    }


def _due(modules, boards):
    """Each module beside the interval of its board: past it, surely past it, any re-cap left."""
    told = ["verdict", "interval_years", "interval_high"]
    if len(modules):
        found = modules.merge(boards[[*CELL, *told]], on=CELL, how="left")
    else:
        found = modules.assign(**{name: [] for name in told})
    past = found["age_years"] > found["interval_years"]
    return found.assign(
        due=past & (found["recaps_left"] > 0),
        surely_due=found["age_years"] > found["interval_high"],
        no_recap_left=past & (found["recaps_left"] == 0),
    )
