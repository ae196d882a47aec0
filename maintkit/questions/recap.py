"""When to re-cap which boards, and how a campaign fits into the bookings?"""

from maintkit.decide.replacement_boards import NOT_SHOWN, PAYS, TOO_FEW, UNNAMED, Recaps, Rules, recap_boards
from maintkit.decide.replacement_calendar import Campaign, campaign, totals
from maintkit.decide.replacement_costs import unit_costs
from maintkit.questions.plan_means import BENCH_HOURS, bookings_sentence, day_of, means_ahead, spares_sentence
from maintkit.questions.quarter import Quarter
from maintkit.questions.say import several
from maintkit.show.cost_curves import cost_figure
from maintkit.show.dots import interval_figure
from maintkit.show.finding import Finding

AHEAD_YEARS = 2.0            # with its bay a module is done that comes due within so many powered years
COLUMNS = ["family", "module_type", "board_era", "zone", "verdict", "interval_years", "interval_low", "interval_high",
           "age_years",
           "modules", "due", "recaps_left", "cost_a_year", "cost_a_year_going_on", "planned_cost", "failure_cost",
           "failures"]


def when_to_recap(quarter: Quarter, *, rules: Rules = Rules()) -> Finding:
    """The re-cap interval of least cost for each kind of board, or that it does not pay, and how many are past it."""
    recaps = _recaps(quarter, rules)
    table = _boards(recaps)
    title = _title(table)
    if not len(table):
        return Finding(key="when-to-recap", title=title)
    shown = table[table["verdict"] == PAYS]
    drawn = shown.assign(label=_names(shown), value=shown["interval_years"], low=shown["interval_low"],
                         high=shown["interval_high"], failures=shown["failures"])
    return Finding(
        key="when-to-recap", title=title, table=table[COLUMNS],
        figure=interval_figure(drawn[["label", "value", "low", "high", "failures"]], title=title,
                               axis="re-cap interval of least cost, powered years") if len(drawn) else None,
        caveats=_caveats(recaps), counts={"modules": len(recaps.modules), "recaps_on_record": recaps.wear.recaps},
        alt="Re-cap interval of least cost by kind of board, with 90 % limits.")


def recap_cost(quarter: Quarter, *, rules: Rules = Rules()) -> Finding:
    """What a board costs a year against how often it is re-capped, with a band, for the board most due."""
    recaps = _recaps(quarter, rules)
    table = _boards(recaps)
    paying = table[table["verdict"] == PAYS].sort_values("due", ascending=False, kind="stable") if len(table) else table
    if not len(paying):
        return Finding(key="recap-cost", title=f"No cost curve is drawn. {_title(table)}")
    row = paying.iloc[0]
    curve = recaps.curves[int(paying.index[0])]
    title = (f"{_name(row)} costs least re-capped every {row['interval_years']:.0f} powered years "
             f"({row['interval_low']:.0f} to {_most(row['interval_high'])}): {row['cost_a_year']:.0f} a year.")
    return Finding(key="recap-cost", title=title,
                   figure=cost_figure(recaps.years, curve, best=row["interval_years"], title=title),
                   caveats=(recaps.rules.costs.sentence(),
                            "Where the curve is flat a few years more or less hardly matter."),
                   counts={"failures": int(row["failures"]), "modules": int(row["modules"])},
                   alt="Cost a year of one board against its re-cap interval, with a 90 % band.")


def recap_campaign(quarter: Quarter, *, bench_hours: float = BENCH_HOURS, spares: dict | None = None,
                   ahead_years: float = AHEAD_YEARS, rules: Rules = Rules()) -> Finding:
    """The re-caps due bay by bay in the gaps of the bookings, with capacitors, joints, solder, hours and cost."""
    recaps = _recaps(quarter, rules)
    means = means_ahead(quarter, bench_hours=bench_hours, spares=spares, days=-1)
    plan = campaign(recaps.modules, means, ahead_years=ahead_years)
    solder = plan.totals["solder_grams_low"], plan.totals["solder_grams_high"]
    return Finding(
        key="recap-campaign", title=_campaign_title(plan, recaps, ahead_years), table=_calendar(quarter, plan, means),
        caveats=("Bays go in order of how far their modules are past the interval; a module is done with its bay if "
                 f"it comes due within {ahead_years:g} powered years. Bench time reckoned with: {bench_hours:g} h a "
                 "quarter.",
                 spares_sentence(means), bookings_sentence(means), recaps.rules.costs.sentence(),
                 "Two joints a capacitor; 0.02 to 0.05 g of solder a joint is common practice without a source: "
                 f"{solder[0]:.0f} to {solder[1]:.0f} g in all. Stock and lead times hold a re-cap back only where "
                 "parts are counted."),
        counts={key: plan.totals[key] for key in ("modules", "capacitors", "joints")})


def _recaps(quarter: Quarter, rules: Rules) -> Recaps:
    return recap_boards(quarter.evidence, quarter.forecast, prices=unit_costs(quarter.table("part_types")), rules=rules)


def _boards(recaps: Recaps):
    """The decision table with the number due in each row."""
    if not len(recaps.boards):
        return recaps.boards
    cell = ["family", "module_type", "board_era", "zone"]
    due = recaps.modules.groupby(cell, sort=True, dropna=False)["due"].sum()
    return recaps.boards.assign(due=due.to_numpy(int))


def _name(row) -> str:
    about = [str(row[name]) for name in ("module_type", "board_era", "zone") if row[name] != UNNAMED]
    return " ".join([str(row["family"]), *about])


def _names(table) -> list[str]:
    return [_name(row) for row in table.to_dict("records")]


def _most(high) -> str:
    return f"{high:.0f}" if high == high else "no upper limit"


def _title(table) -> str:
    if not len(table):
        return ("No electrolytic of known number is in any desk; parts_list, modules and fitments would let the re-cap "
                "be reckoned.")
    paying = table[table["verdict"] == PAYS]
    others = _others(table)
    if not len(paying):
        return f"Planned re-capping does not pay by these records: {others}."
    soonest = paying.loc[paying["interval_years"].idxmin()]
    due = int(paying["due"].sum())
    return (f"Re-capping pays for {len(paying)} of {len(table)} kinds of board, soonest {_name(soonest)}, every "
            f"{soonest['interval_years']:.0f} powered years ({soonest['interval_low']:.0f} to "
            f"{_most(soonest['interval_high'])}); {several(due, 'module')} of {int(paying['modules'].sum())} "
            f"{'is' if due == 1 else 'are'} past it{f'; {others}' if others else ''}.")


def _others(table) -> str:
    """The kinds of board of which no interval is given, and why."""
    said = []
    for verdict, why in ((NOT_SHOWN, "does not pay, for the shape is not shown to be above 1"),
                         (TOO_FEW, "too few failures to say")):
        names = sorted(set(table.loc[table["verdict"] == verdict, "family"]))
        if names:
            fewest = int(table.loc[table["verdict"] == verdict, "failures"].min())
            said.append(f"in {', '.join(names)} {why} ({several(fewest, 'failure')})")
    return "; ".join(said)


def _caveats(recaps: Recaps):
    wear, rules = recaps.wear, recaps.rules
    none_left = int(recaps.modules["no_recap_left"].sum()) if len(recaps.modules) else 0
    return (rules.costs.sentence(),
            "Least cost of a board whose electrolytics are renewed together and mended one by one in between; the "
            "interval runs in powered years since the last re-cap. Makers put 15 years as the longest life to be "
            "believed: beyond it an interval is a stretch of what the records have seen.",
            f"Each re-cap gone before adds {wear.tracks_a_cycle:.2f} lifted tracks to the next one "
            f"({several(wear.tracks, 'track')} in {several(wear.recaps, 're-cap')}) and "
            f"{wear.faults_a_year_a_cycle:.3f} faults a year ({several(wear.faults, 'fault')}), charged over "
            f"{rules.board_years:g} years.",
            f"A board is taken to bear {rules.most_recaps} re-caps: there is no published limit and houses differ, so "
            f"set your own; {several(none_left, 'module')} past the interval {'has' if none_left == 1 else 'have'} "
            "none left.")


def _campaign_title(plan: Campaign, recaps: Recaps, ahead_years: float) -> str:
    if not len(recaps.boards) or not (recaps.boards["verdict"] == PAYS).any():
        return f"No re-cap campaign is laid out. {_title(_boards(recaps))}"
    if not plan.totals["modules"]:
        return (f"No re-cap campaign is due: no module is past its interval, or will be within {ahead_years:g} powered "
                "years, with a re-cap left.")
    placed = plan.placed
    first = plan.rows.iloc[0]
    fits = ("all fit" if len(placed) == len(plan.rows)
            else f"{len(placed)} fit") + " into the gaps and bench hours known"
    return (f"{several(len(plan.rows), 're-cap')} to do, {first['desk']} bay {first['bay']} first: "
            f"{plan.totals['capacitors']:,.0f} capacitors, {plan.totals['joints']:,.0f} joints, "
            f"{plan.totals['bench_hours']:,.0f} bench hours, cost {plan.totals['cost']:,.0f}; {fits}.")


def _calendar(quarter: Quarter, plan: Campaign, means):
    """A row per gap and bay in order of date, then what found no gap."""
    import pandas as pd

    rows = []
    for (opening, desk, bay), own in plan.rows.groupby(["opening", "desk", "bay"], sort=True, dropna=False):
        when = "no gap known" if opening != opening else "any day" if opening < 0 else None
        gap = None if when else means.openings.loc[int(opening)]
        sums = totals(own)
        rows.append({"desk": desk, "bay": bay, "from": when or day_of(quarter, gap["free_from"]),
                     "to": "" if when else day_of(quarter, gap["free_to"]), "re_caps": len(own),
                     "against_spares": int(own["swapped"].sum()),
                     "bench_hours": sums["bench_hours"], "capacitors": int(sums["capacitors"]),
                     "joints": int(sums["joints"]),
                     "cost": sums["cost"], "serials": ", ".join(own["serial"])})
    return pd.DataFrame(rows) if rows else None
