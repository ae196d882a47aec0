"""When to re-cap which boards, and how a campaign fits into the bookings?"""

from maintkit.decide.replacement_boards import (
    DOES_NOT,
    LONGEST_YEARS,
    NOT_SHOWN,
    PAYS,
    TOO_FEW,
    UNNAMED,
    Recaps,
    Rules,
    recap_boards,
)
from maintkit.decide.replacement_calendar import UNNAMED as NO_BAY
from maintkit.decide.replacement_calendar import Campaign, campaign, totals
from maintkit.decide.replacement_costs import unit_costs
from maintkit.quarter.arguments import named
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.questions.plan import planned_serials
from maintkit.questions.plan_resources import (
    BENCH_HOURS,
    bookings_sentence,
    day_of,
    resources_ahead,
    spares_sentence,
    stock_sentence,
)
from maintkit.questions.say import several
from maintkit.report.cost_curves import cost_figure
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding

LISTED = 8
AHEAD_YEARS = 2.0  # with its bay a module is done that comes due within so many powered years
COLUMNS = [
    "family",
    "module_type",
    "board_era",
    "zone",
    "verdict",
    "interval_years",
    "interval_low",
    "interval_high",
    "age_years",
    "modules",
    "due",
    "recaps_left",
    "cost_a_year",
    "cost_a_year_going_on",
    "planned_cost",
    "damage_cost",
    "failure_cost",
    "chance_it_pays",
    "failures",
]
BUDGET = [
    "serial",
    "desk",
    "position",
    "bay",
    "family",
    "module_type",
    "board_era",
    "zone",
    "rework_cycles",
    "recaps_left",
    "age_years",
    "age_guessed",
    "interval_years",
    "past_years",
    "due",
]


def when_to_recap(quarter: Quarter, *, rules: Rules = Rules()) -> Finding:
    """The re-cap interval of least cost for each kind of board, or that it does not pay, and how many are past it."""
    recaps = _recaps(quarter, rules)
    table = _boards(recaps)
    title = _title(table)
    if not len(table):
        return Finding(key="when-to-recap", title=title)
    shown = table[table["verdict"] == PAYS]
    drawn = shown.assign(
        label=_names(shown),
        value=shown["interval_years"],
        low=shown["interval_low"],
        high=shown["interval_high"],
        failures=shown["failures"],
    )
    return Finding(
        key="when-to-recap",
        title=title,
        table=table[COLUMNS],
        figure=interval_figure(
            drawn[["label", "value", "low", "high", "failures"]],
            title=title,
            axis="re-cap interval of least cost, powered years",
        )
        if len(drawn)
        else None,
        caveats=_caveats(recaps),
        counts={"modules": len(recaps.modules), "recaps_on_record": recaps.wear.recaps},
        alt="Re-cap interval of least cost by kind of board, with 90 % limits.",
    )


def recap_cost(
    quarter: Quarter, *, module_type: str | None = None, board_era: str | None = None, rules: Rules = Rules()
) -> Finding:
    """What a board costs a year against how often it is re-capped, with a band: the board most due, or of the kind named."""
    recaps = _recaps(quarter, rules)
    table = _boards(recaps)
    wanted = table
    for column, name in (("module_type", module_type), ("board_era", board_era)):
        if name is not None:
            there = table[column] if len(table) else ()
            known = named(
                column.replace("_", " ").capitalize(), name, there, none="No such board is in a desk."
            )
            wanted = wanted[wanted[column] == known]
    paying = wanted[wanted["verdict"] == PAYS] if len(wanted) else wanted
    if not len(paying):
        return Finding(key="recap-cost", title=f"No cost curve is drawn. {_title(wanted)}")
    row = _most_due(paying)
    figure = _curve_of(recaps, row)
    return Finding(
        key="recap-cost",
        title=_curve_title(row),
        figure=figure,
        caveats=(
            recaps.rules.costs.sentence(),
            "Where the curve is flat a few years more or less hardly matter.",
        ),
        counts={"failures": int(row["failures"]), "modules": int(row["modules"])},
        alt="Cost a year of one board against its re-cap interval, with a 90 % band.",
    )


def recaps_left(quarter: Quarter, *, rules: Rules = Rules()) -> Finding:
    """Every board with electrolytics: how often it was re-capped, how often it still may be, and how far past its interval."""
    recaps = _recaps(quarter, rules)
    table = recaps.modules
    if not len(table):
        return Finding(key="recaps-left", title=_title(_boards(recaps)))
    table = table.assign(past_years=table["age_years"] - table["interval_years"])[BUDGET]
    table = table.sort_values(
        ["recaps_left", "past_years", "serial"],
        ascending=[True, False, True],
        kind="stable",
        na_position="last",
    ).reset_index(drop=True)
    return Finding(
        key="recaps-left",
        title=_budget_title(table, rules),
        table=table,
        caveats=(
            f"A board is taken to bear {rules.most_recaps} re-caps: there is no published limit and houses differ, so set your "
            "own. Re-caps before the records count where modules says how many there were.",
            _guessed_sentence(table),
        ),
        counts={"modules": len(table)},
    )


def recap_campaign(
    quarter: Quarter,
    *,
    bench_hours: float = BENCH_HOURS,
    spares: dict | None = None,
    ahead_years: float = AHEAD_YEARS,
    rules: Rules = Rules(),
) -> Finding:
    """The re-caps due bay by bay in the gaps of the bookings, with capacitors, joints, solder, hours and cost."""
    recaps = _recaps(quarter, rules)
    means = resources_ahead(quarter, bench_hours=bench_hours, spares=spares, days=-1)
    plan = campaign(recaps.modules, means, ahead_years=ahead_years)
    return Finding(
        key="recap-campaign",
        title=_campaign_title(plan, recaps, ahead_years, _in_plan(quarter, plan)),
        table=_calendar(quarter, plan, means),
        caveats=(
            "Bays go in order of how far their modules are past the interval; a module is done with its bay if "
            f"it comes due within {ahead_years:g} powered years. Bench time reckoned with: {bench_hours:g} h a "
            "quarter.",
            *_shared_with_plan(quarter, plan),
            spares_sentence(means),
            bookings_sentence(means),
            stock_sentence(means),
            recaps.rules.costs.sentence(),
            "Two joints a capacitor; 0.02 to 0.05 g of solder a joint is common practice without a source.",
        ),
        counts={key: plan.totals[key] for key in ("modules", "capacitors", "joints")},
    )


def _in_plan(quarter: Quarter, plan: Campaign) -> list[str]:
    """Modules of the campaign that the work plan pulls too."""
    return sorted(set(planned_serials(quarter)) & set(plan.rows["serial"]))


def _shared_with_plan(quarter: Quarter, plan: Campaign):
    """That the campaign and the work plan want the same bench, and which modules stand in both."""
    both = _in_plan(quarter, plan)
    if not len(plan.rows):
        return ()
    said = (
        f" {', '.join(both)} {'stands' if len(both) == 1 else 'stand'} in both and need be done once."
        if both
        else ""
    )
    return (
        "The campaign and the work plan are two uses of the same bench, gaps and spares: bay by bay for least cost over "
        f"the years, or single modules for most session minutes soon. Follow one, or give each its hours.{said}",
    )


@once_a_quarter
def _recaps(quarter: Quarter, rules: Rules) -> Recaps:
    return recap_boards(
        quarter.evidence, quarter.forecast, prices=unit_costs(quarter.table("part_types")), rules=rules
    )


def modules_with_costs(quarter: Quarter, rules: Rules = Rules()):
    """A row per module with electrolytics in service: desk, costs of a fault and of a re-cap, interval of its board."""
    return _recaps(quarter, rules).modules.assign(bench_hour=rules.costs.bench_hour)


def _most_due(paying):
    """The row of which most modules are past the interval."""
    return paying.sort_values("due", ascending=False, kind="stable").iloc[0]


def _curve_title(row) -> str:
    return (
        f"{_name(row)} costs least re-capped every {row['interval_years']:.0f} powered years "
        f"({row['interval_low']:.0f} to {_most(row['interval_high'])}): {row['cost_a_year']:.0f} a year."
    )


def _curve_of(recaps: Recaps, row):
    return cost_figure(
        recaps.years, recaps.curves[int(row.name)], best=row["interval_years"], title=_curve_title(row)
    )


def _budget_title(table, rules: Rules) -> str:
    none_left, one_left = (int((table["recaps_left"] == number).sum()) for number in (0, 1))
    past = table[table["past_years"] > 0]
    late = (
        "of none is an interval known"
        if table["interval_years"].isna().all()
        else "none is past its interval"
        if not len(past)
        else f"{len(past)} {'is' if len(past) == 1 else 'are'} past the interval, {int((past['recaps_left'] == 0).sum())} of them "
        "without a re-cap left"
    )
    return (
        f"{several(len(table), 'board')} with electrolytics in service: {none_left} {'has' if none_left == 1 else 'have'} "
        f"no re-cap left of {rules.most_recaps}, {one_left} {'has' if one_left == 1 else 'have'} one; {late}."
    )


def _guessed_sentence(modules) -> str:
    """How the electrolytics of unknown age are taken."""
    guessed, silent = modules[modules["age_guessed"]], modules[modules["age_years"].isna()]
    if not len(guessed) and not len(silent):
        return "The age of every module's electrolytics is on record."
    said = (
        [
            f"the electrolytics of {several(len(guessed), 'module')} ({_listed(guessed)}), whose age nobody wrote down, are "
            "taken to be as old as those of the desk were when watching began, and the time since"
        ]
        if len(guessed)
        else []
    )
    if len(silent):
        said.append(
            f"of {several(len(silent), 'module')} ({_listed(silent)}) no age can be told, so none is called due"
        )
    whole = "; ".join(said)
    return f"{whole[:1].upper()}{whole[1:]}: measure a few of them."


def _listed(modules) -> str:
    names = sorted(modules["serial"])
    return ", ".join(names[:LISTED]) + (f" and {len(names) - LISTED} more" if len(names) > LISTED else "")


def _boards(recaps: Recaps):
    """The decision table with the number due in each row."""
    if not len(recaps.boards):
        return recaps.boards
    cell = ["family", "module_type", "board_era", "zone"]
    due = recaps.modules.groupby(cell, sort=True, dropna=False, observed=True)["due"].sum()
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
        return (
            "No electrolytic of known number is in any desk; parts_list, modules and fitments would let the re-cap "
            "be reckoned."
        )
    paying = table[table["verdict"] == PAYS]
    others = _others(table)
    if not len(paying):
        never = (table["verdict"] == DOES_NOT).all()
        return (
            f"Planned re-capping {'does not' if never else 'is not shown to'} pay by these records: {others}."
        )
    soonest = paying.loc[paying["interval_years"].idxmin()]
    due = int(paying["due"].sum())
    return (
        f"Re-capping pays for {len(paying)} of {several(len(table), 'kind')} of board, soonest {_name(soonest)}, every "
        f"{soonest['interval_years']:.0f} powered years ({soonest['interval_low']:.0f} to "
        f"{_most(soonest['interval_high'])}); {several(due, 'module')} of {int(paying['modules'].sum())} "
        f"{'is' if due == 1 else 'are'} past it{f'; {others}' if others else ''}."
    )


def _others(table) -> str:
    """The kinds of board of which no interval is given, and why."""
    said = []
    for verdict, why in (
        (DOES_NOT, "does not pay, for the shape is not shown to be above 1"),
        (NOT_SHOWN, f"is not shown to pay within {LONGEST_YEARS:g} powered years"),
        (TOO_FEW, "too few failures to say"),
    ):
        names = sorted(set(table.loc[table["verdict"] == verdict, "family"]))
        if names:
            fewest = int(table.loc[table["verdict"] == verdict, "failures"].min())
            said.append(f"in {', '.join(names)} {why} ({several(fewest, 'failure')})")
    return "; ".join(said)


def _caveats(recaps: Recaps):
    wear, rules = recaps.wear, recaps.rules
    none_left = int(recaps.modules["no_recap_left"].sum()) if len(recaps.modules) else 0
    return (
        rules.costs.sentence(),
        "Least cost of a board whose electrolytics are renewed together and mended one by one in between; the "
        "interval runs in powered years since the last re-cap. Makers put 15 years as the longest life to be "
        "believed: beyond it an interval is a stretch of what the records have seen.",
        f"Each re-cap gone before adds {wear.tracks_a_cycle:.2f} lifted tracks to the next one "
        f"({several(wear.tracks, 'track')} in {several(wear.recaps, 're-cap')}) and "
        f"{wear.faults_a_year_a_cycle:.3f} faults a year ({several(wear.faults, 'fault')}), charged over "
        f"{rules.board_years:g} years: the column damage cost.",
        "The interval is that of an average module of its kind; one that fails more often than its parts predict is for the "
        "work plan.",
        *((_guessed_sentence(recaps.modules),) if len(recaps.modules) else ()),
        f"A board is taken to bear {rules.most_recaps} re-caps: there is no published limit and houses differ, so "
        f"set your own; {several(none_left, 'module')} past the interval {'has' if none_left == 1 else 'have'} "
        "none left.",
    )


def _campaign_title(plan: Campaign, recaps: Recaps, ahead_years: float, both: list[str]) -> str:
    if not len(recaps.boards) or not (recaps.boards["verdict"] == PAYS).any():
        return f"No re-cap campaign is laid out. {_title(_boards(recaps))}"
    if not plan.totals["modules"]:
        return (
            f"No re-cap campaign is due: no module is past its interval, or will be within {ahead_years:g} powered "
            "years, with a re-cap left."
        )
    placed = plan.placed
    first = plan.rows.iloc[0]
    fits = "all" if len(placed) == len(plan.rows) else len(placed) or "none"
    bay = "bay not recorded" if first["bay"] == NO_BAY else f"bay {first['bay']}"
    return (
        f"{several(len(plan.rows), 're-cap')} to do, {first['desk']} {bay} first: "
        f"{plan.totals['capacitors']:,.0f} capacitors, {plan.totals['joints']:,.0f} joints, "
        f"{plan.totals['solder_grams_low']:.0f} to {plan.totals['solder_grams_high']:.0f} g of solder, "
        f"{several(round(plan.totals['bench_hours']), 'bench hour')}, cost {plan.totals['cost']:,.0f}; {fits} of them within the "
        f"gaps, bench hours and parts known{f', {len(both)} of them in the work plan already' if both else ''}."
    )


def _calendar(quarter: Quarter, plan: Campaign, means):
    """A row per gap and bay in order of date, then what found no gap."""
    import pandas as pd

    rows = []
    for (opening, desk, bay), own in plan.rows.groupby(["opening", "desk", "bay"], sort=True, dropna=False):
        when = "no gap known" if opening != opening else "any day" if opening < 0 else None
        gap = None if when else means.openings.loc[int(opening)]
        sums = totals(own)
        rows.append(
            {
                "desk": desk,
                "bay": bay,
                "from": when or day_of(quarter, gap["free_from"]),
                "to": "" if when else day_of(quarter, gap["free_to"]),
                "re_caps": len(own),
                "against_spares": int(own["swapped"].sum()),
                "bench_hours": sums["bench_hours"],
                "capacitors": int(sums["capacitors"]),
                "joints": int(sums["joints"]),
                "solder_grams": (sums["solder_grams_low"] + sums["solder_grams_high"]) / 2,
                "cost": sums["cost"],
                "serials": ", ".join(own["serial"]),
            }
        )
    return pd.DataFrame(rows) if rows else None
