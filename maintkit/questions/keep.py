"""Which donor modules to keep, strip or let go, and what one more spare is worth?"""

from maintkit.decide.spares import Demand, demand_of
from maintkit.decide.spares_donors import KEEP, RELEASE, STRIP, Keeping, Need, donor_decisions, spare_worth
from maintkit.questions.donors import donor_table, on_hand
from maintkit.questions.quarter import Quarter
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.questions.stock import DAYS_PER_YEAR, demand_in, donor_parts
from maintkit.show.dots import interval_figure
from maintkit.show.finding import Finding

DAYS_AWAY = 21.0             # where fewer than five modules were timed
PULLED = ("fault", "return", "no fault found")
COLUMNS = ["serial", "family", "module_type", "board_era", "condition", "decision", "works", "days_spared",
           "minutes_a_year", "for_parts",
           "unpowered_years", "rework_cycles"]


def keep_or_strip(quarter: Quarter, *, keeping: Keeping = Keeping()) -> Finding:
    """Each module that is in no desk: keep it whole, strip it or let it go, by the days it would spare the desks."""
    donors = donor_table(quarter)
    need = _need(quarter)
    decided = donor_decisions(donors, donor_parts(quarter, donors), need, keeping=keeping)
    table = decided.merge(donors, on="serial")[COLUMNS]
    title = _title(table, need, keeping)
    places = "no shelf limit set" if keeping.shelf_places is None else f"{keeping.shelf_places} places on the shelf"
    chances = ", ".join(f"{name} {100 * chance:.0f} %" for name, chance in keeping.works)
    return Finding(
        key="keep-or-strip", title=title, table=table,
        caveats=(f"Worth is slot-days spared over {keeping.years:g} years ({places}); an empty slot is taken to cost "
                 f"{keeping.minutes_a_day:g} session minutes a day, and below {keeping.least_days:g} slot-days a "
                 "module is let go.",
                 f"Chance that a module works when it is put in: {chances}, less {100 * keeping.lost_a_year:.0f} % a "
                 f"year without power and {100 * keeping.lost_a_track:.0f} % a damaged track; common practice, no "
                 "source.",
                 "Electrolytics are never a reason to keep a donor. Before any is let go, check that no part type in "
                 "it should be marked scarce.",
                 "Log every part taken in repairs with donor_serial: it brings its own age."),
        counts={"modules": len(table), "pulls": sum(demand.used for demand, _ in need.pulls.values())})


def one_more_spare(quarter: Quarter, *, spares: int = 6, keeping: Keeping = Keeping()) -> Finding:
    """What the n-th whole spare of each kind saves a year in days a slot stands empty."""
    need = _need(quarter)
    table = spare_worth(need.pulls, spares=spares)
    table["minutes_saved_a_year"] = table["saved_by_this_one"] * keeping.minutes_a_day
    title = _worth_title(table, need)
    drawn = table[table["spares"] > 0].head(4 * spares)
    drawn = drawn.assign(label=drawn["module_type"] + ", spare " + drawn["spares"].astype(str),
                         value=drawn["saved_by_this_one"],
                         low=None, high=None)
    return Finding(
        key="one-more-spare", title=title, table=table if len(table) else None,
        figure=interval_figure(drawn[["label", "value", "low", "high"]], title=title,
                               axis="slot-days saved a year by this spare")
        if len(drawn) else None,
        caveats=("Pulls are taken to come by chance at the rate on record, whose doubt is in the numbers; only the "
                 "mean of the days a module is away counts (Palm's theorem).",
                 f"Days away run from the fault to the closing of its ticket; {DAYS_AWAY:.0f} days where fewer than "
                 f"{FEWEST_FOR_A_VERDICT} are on record. An empty slot is taken to cost {keeping.minutes_a_day:g} "
                 "session minutes a day."),
        counts={"pulls": sum(demand.used for demand, _ in need.pulls.values())})


def parts_from_donors(quarter: Quarter) -> Finding:
    """Every part taken from a donor: from which module, into which, and how old the donor was."""
    work = quarter.evidence.work
    taken = work[work["donor_serial"].notna()]
    made = quarter.evidence.roster.set_index("serial")["made_on"]
    age = (taken["done_on"] - taken["donor_serial"].map(made)).dt.days / DAYS_PER_YEAR
    table = taken.assign(donor_years=age)[["done_on", "donor_serial", "serial", "part_type", "quantity",
                                           "donor_years"]].reset_index(drop=True)
    unknown = int(table["donor_years"].isna().sum())
    title = (f"{several(len(table), 'piece of work', 'pieces of work')} used parts of "
             f"{several(table['donor_serial'].nunique(), 'donor')}; {unknown} of them from a module whose day of "
             "making is not known." if len(table) else
             "No part is on record as taken from a donor; the column donor_serial of repairs would say.")
    return Finding(key="parts-from-donors", title=title, table=table if len(table) else None,
                   caveats=("A part from a donor brings its own age, so it is younger than new to the receiver only on "
                            "paper.",),
                   counts={"works": len(table)})


def _need(quarter: Quarter) -> Need:
    """Pulls of each kind of module in service with the days away, and the parts that are short."""
    demand, years = demand_in(quarter)
    counted, types = on_hand(quarter), quarter.table("part_types")
    short = types[types["obtainable"].isin(["scarce", "no"])]
    parts = {}
    for row in short.itertuples():
        own = demand.get(row.part_type, Demand(0, years))
        wait = (float("inf") if row.obtainable == "no" else row.lead_time_days
                if row.lead_time_days == row.lead_time_days else DAYS_AWAY)
        if own.used:
            parts[row.part_type] = (own, int(counted.get(row.part_type, 0)), wait)
    return Need(_pulls(quarter), parts)


def _pulls(quarter: Quarter) -> dict:
    """Demand and mean days away of each (family, module type) that is in a desk in service."""
    import pandas as pd

    evidence = quarter.evidence
    roster = evidence.roster
    serving = roster[roster["desk"].notna() & ~roster["retired_desk"]]
    first = evidence.stays["from_on"].min() if len(evidence.stays) else pd.Timestamp(quarter.last_day)
    length = float((pd.Timestamp(quarter.last_day) - first).days)
    pulls = evidence.faults[evidence.faults["class"].isin(PULLED) & evidence.faults["serial"].notna()
                            & evidence.faults["desk"].isin(serving["desk"])]
    away = (pulls["closed_on"] - pulls["happened_on"]).dt.days
    groups = dict(list(pulls.assign(day=(pulls["happened_on"] - first).dt.days,
                                    away=away.where(away >= 0)).groupby(["family", "module_type"])))
    found = {}
    for kind in serving.groupby(["family", "module_type"]).groups:
        own = groups.get(kind)
        if own is None or length <= 0:
            continue
        timed = own["away"].dropna()
        days = float(timed.mean()) if len(timed) >= FEWEST_FOR_A_VERDICT else DAYS_AWAY
        found[kind] = (demand_of(own["day"], [1] * len(own), length_days=length), days)
    return found


def _title(table, need: Need, keeping: Keeping) -> str:
    if not len(table):
        return "No donor modules on record: every module on the roster sits in a desk in service."
    by = table["decision"].value_counts()
    said = ", ".join(f"{name} {by.get(name, 0)}" for name in (KEEP, STRIP, RELEASE))
    if not need.pulls and not need.parts:
        return (f"{several(len(table), 'module')} in no desk, but no pull and no use of a scarce part is on record, so "
                "none shows a worth yet.")
    best = table.iloc[0]
    return (f"Of {several(len(table), 'module')} in no desk: {said}. {best['serial']} is worth most, "
            f"{best['days_spared']:,.0f} slot-days in {keeping.years:g} years{_for(best)}.")


def _for(best) -> str:
    return (f", stripped for {best['for_parts']}" if best["decision"] == STRIP else ", as a whole spare"
            if best["decision"] == KEEP else "")


def _worth_title(table, need: Need) -> str:
    if not len(table):
        return ("No module was pulled on record, so the worth of a spare cannot be told; tickets with serials or "
                "fitments would let it.")
    pulls = sum(demand.used for demand, _ in need.pulls.values())
    if pulls < FEWEST_FOR_A_VERDICT:
        return f"Only {several(pulls, 'pull')} on record: it takes {FEWEST_FOR_A_VERDICT} to say what a spare is worth."
    enough = table[table["met_at_once"] >= 0.95].groupby(["family", "module_type"])["spares"].min()
    said = ", ".join(f"{number} {name[1]}" for name, number in enough.items())
    return (f"Enough for 95 % of pulls to find a spare at once: {said or 'more than were tried'} "
            f"({several(pulls, 'pull')} on record).")
