"""Which donor modules to keep, strip or let go, and what one more spare is worth?"""

from maintkit.decide.spares import Demand, demand_of
from maintkit.decide.spares_donors import (
    INSPECT,
    KEEP,
    RELEASE,
    STRIP,
    Keeping,
    Need,
    donor_decisions,
    spare_worth,
)
from maintkit.hours import DAYS_PER_YEAR, HOURS_PER_YEAR
from maintkit.quarter.arguments import number
from maintkit.quarter.programme import planned_spares
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.shelf import demand_in, donor_parts, donor_table, on_hand, years_on_record
from maintkit.questions.donors import none_idle
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding

DAYS_AWAY = 21.0  # where fewer than five modules were timed
PULLED = ("fault", "return", "no fault found")
COLUMNS = [
    "serial",
    "family",
    "module_type",
    "board_era",
    "condition",
    "decision",
    "works",
    "days_spared",
    "minutes_a_year",
    "for_parts",
    "unpowered_years",
    "rework_cycles",
]


def keep_or_strip(quarter: Quarter, *, keeping: Keeping = Keeping()) -> Finding:
    """Each module that is in no desk: keep it whole, strip it or let it go, by the days it would spare the desks."""
    if keeping.shelf_places is not None:
        number("shelf_places", keeping.shelf_places, low=0)
    if keeping.days_away is not None:
        number("days_away", keeping.days_away, low=0)
    donors = donor_table(quarter)
    unknown = donors["unpowered_years"].isna()
    need = _need(quarter, keeping)
    decided = donor_decisions(
        donors.assign(unpowered_years=donors["unpowered_years"].fillna(years_on_record(quarter))),
        donor_parts(quarter, donors),
        need,
        keeping=keeping,
        planned=planned_spares(quarter),
        lost_a_year=_lost_a_year(quarter),
    )
    table = decided.merge(donors, on="serial")[COLUMNS]
    title = _title(quarter, table, need, keeping)
    places = (
        "no shelf limit set"
        if keeping.shelf_places is None
        else f"{keeping.shelf_places} places on the shelf"
    )
    chances = ", ".join(f"{name} {100 * chance:.0f} %" for name, chance in keeping.works)
    return Finding(
        key="keep-or-strip",
        title=title,
        table=table,
        caveats=(
            f"Worth is slot-days spared over {keeping.years:g} years ({places}); an empty slot is taken to cost "
            f"{keeping.minutes_a_day:g} session minutes a day, and below {keeping.least_days:g} slot-days a "
            "module is let go.",
            f"Chance that a module works when it is put in: {chances}, less {100 * keeping.lost_a_year:.0f} % a "
            f"year without power, {100 * keeping.lost_a_track:.0f} % a damaged track and "
            f"{100 * keeping.lost_a_recap:.0f} % a re-cap of its board; common practice, no source."
            + (
                f" {several(unknown.sum(), 'module')} of unknown time on the shelf: taken to be there since the records "
                "began."
                if unknown.any()
                else ""
            ),
            "The best boards of a kind are kept whole, parts come from the worst; what was never inspected is looked at before it "
            "is stripped or let go. What the shelf saves is no more than all desks lose. A spare the bench plan makes ready is kept.",
            "Electrolytics are never a reason to keep a donor. Before any is let go, check that no part type in "
            "it should be marked scarce.",
            "Log every part taken in repairs with donor_serial: it brings its own age.",
        ),
        counts={"modules": len(table), "pulls": sum(demand.used for demand, _ in need.pulls.values())},
    )


def _lost_a_year(quarter: Quarter) -> float:
    """Session minutes the desks' own faults have cost a year."""
    faults, years = quarter.evidence.faults, years_on_record(quarter)
    lost = faults.loc[faults["class"].isin(PULLED), "minutes_lost"].sum()
    return float(lost / years) if years > 0 else 0.0


def one_more_spare(quarter: Quarter, *, spares: int = 6, keeping: Keeping = Keeping()) -> Finding:
    """What the n-th whole spare of each kind saves a year in days a slot stands empty."""
    need = _need(quarter, keeping)
    table = spare_worth(need.pulls, spares=spares)
    for column, name in (("", "saved_by_this_one"), ("_low", "saved_low"), ("_high", "saved_high")):
        table[f"minutes_saved_a_year{column}"] = table[name] * keeping.minutes_a_day
    title = _worth_title(table, need)
    drawn = table[table["spares"] > 0].head(4 * spares)
    drawn = drawn.assign(
        label=drawn["module_type"] + ", spare " + drawn["spares"].astype(str),
        value=drawn["saved_by_this_one"],
        low=drawn["saved_low"],
        high=drawn["saved_high"],
    )
    return Finding(
        key="one-more-spare",
        title=title,
        table=table if len(table) else None,
        figure=interval_figure(
            drawn[["label", "value", "low", "high"]], title=title, axis="slot-days saved a year by this spare"
        )
        if len(drawn)
        else None,
        caveats=(
            "Pulls are taken to come by chance at the rate on record, whose doubt is in the numbers; only the "
            "mean of the days a module is away counts (Palm's theorem).",
            f"Days away run from the fault to the closing of its ticket; {DAYS_AWAY:.0f} days where fewer than "
            f"{FEWEST_FOR_A_VERDICT} are on record, unless another turnaround is set. An empty slot is taken to cost "
            f"{keeping.minutes_a_day:g} session minutes a day.",
        ),
        counts={"pulls": sum(demand.used for demand, _ in need.pulls.values())},
    )


def parts_from_donors(quarter: Quarter) -> Finding:
    """Every part taken from a donor: from which module, into which, when, and how old it was."""
    evidence = quarter.evidence
    taken = evidence.work[evidence.work["donor_serial"].notna()].sort_values("done_on", kind="stable")
    if not len(taken):
        return Finding(
            key="parts-from-donors",
            title="No part is on record as taken from a donor; the column donor_serial of repairs would say.",
            counts={"works": 0},
        )
    made = evidence.roster.set_index("serial")["made_on"]
    donor_years = (taken["done_on"] - taken["donor_serial"].map(made)).dt.days / DAYS_PER_YEAR
    table = taken.assign(powered_years=_age_in_donor(evidence.part_spells, taken), donor_years=donor_years)[
        ["done_on", "donor_serial", "serial", "part_type", "quantity", "powered_years", "donor_years"]
    ]
    table = table.rename(columns={"serial": "receiver_serial"}).reset_index(drop=True)
    return Finding(
        key="parts-from-donors",
        title=_donor_log_title(table),
        table=table,
        caveats=(
            "Powered years: what parts of that kind had run in the donor when one was taken; donor years: since "
            "the donor was made, the shelf included.",
            "A part from a donor brings its own age. In the lives of parts it counts as of unknown age from "
            "then on, for it may have been changed in the donor before.",
        ),
        counts={"works": len(table)},
    )


def _age_in_donor(part_spells, taken):
    """Mean powered age, years, of the parts of a kind in the donor on the day; NaN where it is not known."""
    kinds = part_spells[
        part_spells["serial"].isin(taken["donor_serial"]) & part_spells["age_known"].to_numpy(bool)
    ]
    kinds = dict(list(kinds.groupby(["serial", "part_type"], observed=True)))
    ages = []
    for donor, part_type, day in zip(
        taken["donor_serial"], taken["part_type"], taken["done_on"], strict=True
    ):
        own = kinds.get((donor, part_type))
        own = own[(own["from_on"] <= day) & ~(own["ended_on"] <= day)] if own is not None else ()
        last = (
            own.sort_values("exit", kind="stable").drop_duplicates("piece", keep="last") if len(own) else ()
        )
        ages.append(
            (last["exit"] * last["weight"]).sum() / last["weight"].sum() / HOURS_PER_YEAR
            if len(last)
            else float("nan")
        )
    return ages


def _donor_log_title(table) -> str:
    known = table["powered_years"].dropna()
    aged = (
        f"where it is known the parts had run {known.mean():.0f} powered years on average ({known.min():.0f} to "
        f"{known.max():.0f})"
        if len(known)
        else "of none is the age known"
    )
    return (
        f"{several(len(table), 'piece of work', 'pieces of work')} used parts of "
        f"{several(table['donor_serial'].nunique(), 'donor')} for {several(table['receiver_serial'].nunique(), 'module')}; "
        f"{aged}, for {len(table) - len(known)} it is not."
    )


@once_a_quarter
def _need(quarter: Quarter, keeping: Keeping = Keeping()) -> Need:
    """Pulls of each kind of module in service with the days away, and the parts that are short."""
    demand, years = demand_in(quarter)
    counted, types = on_hand(quarter), quarter.table("part_types")
    short = types[types["obtainable"].isin(["scarce", "no"]) & (types["kind"] != "electrolytic").fillna(True)]
    parts = {}
    for row in short.itertuples():
        own = demand.get(row.part_type, Demand(0, years))
        wait = (
            float("inf")
            if row.obtainable == "no"
            else row.lead_time_days
            if row.lead_time_days == row.lead_time_days
            else DAYS_AWAY
        )
        if own.used:
            parts[row.part_type] = (own, int(counted.get(row.part_type, 0)), wait)
    return Need(_pulls(quarter, keeping.days_away), parts)


def _pulls(quarter: Quarter, days_away: float | None) -> dict:
    """Demand and mean days away of each (family, module type) that is in a desk in service."""
    import pandas as pd

    evidence = quarter.evidence
    roster = evidence.roster
    serving = roster[roster["desk"].notna() & ~roster["retired_desk"]]
    first = evidence.stays["from_on"].min() if len(evidence.stays) else pd.Timestamp(quarter.last_day)
    length = float((pd.Timestamp(quarter.last_day) - first).days)
    pulls = evidence.faults[
        evidence.faults["class"].isin(PULLED)
        & evidence.faults["serial"].notna()
        & evidence.faults["desk"].isin(serving["desk"])
    ]
    away = (pulls["closed_on"] - pulls["happened_on"]).dt.days
    groups = dict(
        list(
            pulls.assign(day=(pulls["happened_on"] - first).dt.days, away=away.where(away >= 0)).groupby(
                ["family", "module_type"], observed=True
            )
        )
    )
    found = {}
    for kind in serving.groupby(["family", "module_type"], observed=True).groups:
        own = groups.get(kind)
        if own is None or length <= 0:
            continue
        timed = own["away"].dropna()
        usual = float(timed.mean()) if len(timed) >= FEWEST_FOR_A_VERDICT else DAYS_AWAY
        days = usual if days_away is None else days_away
        found[kind] = (demand_of(own["day"], [1] * len(own), length_days=length), days)
    return found


def _title(quarter: Quarter, table, need: Need, keeping: Keeping) -> str:
    if not len(table):
        return none_idle(quarter)
    by = table["decision"].value_counts()
    said = ", ".join(f"{name} {by.get(name, 0)}" for name in (KEEP, STRIP, INSPECT, RELEASE))
    if not need.pulls and not need.parts:
        return (
            f"{several(len(table), 'module')} in no desk, but no pull and no use of a scarce part is on record, so "
            "none shows a worth yet."
        )
    best = table.iloc[0]
    return (
        f"Of {several(len(table), 'module')} in no desk: {said}. {best['serial']} is worth most, "
        f"{best['days_spared']:,.0f} slot-days in {keeping.years:g} years{_for(best)}."
    )


def _for(best) -> str:
    return (
        f", stripped for {best['for_parts']}"
        if best["decision"] == STRIP
        else ", as a whole spare"
        if best["decision"] == KEEP
        else ""
    )


def _worth_title(table, need: Need) -> str:
    if not len(table):
        return (
            "No module of a kind now in service was pulled on record, so the worth of a spare cannot be told; tickets with "
            "serials or fitments would let it."
        )
    pulls = sum(demand.used for demand, _ in need.pulls.values())
    if pulls < FEWEST_FOR_A_VERDICT:
        return f"Only {several(pulls, 'pull')} on record: it takes {FEWEST_FOR_A_VERDICT} to say what a spare is worth."
    enough = table[table["met_at_once"] >= 0.95].groupby(["family", "module_type"])["spares"].min()
    said = ", ".join(f"{number} {name[1]}" for name, number in enough.items())
    return (
        f"Enough for 95 % of pulls to find a spare at once: {said or 'more than were tried'} "
        f"({several(pulls, 'pull')} on record)."
    )
