"""Is the re-cap money working, and what do the pulled capacitors say of the next bay?"""

from maintkit.decide.effectiveness_campaign import measured, recapped_or_not
from maintkit.decide.replacement_boards import Rules
from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.arguments import named
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.slots import natural
from maintkit.questions.recap import modules_with_costs
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.report.curves import mean_cumulative_figure
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding

PRECISION = 0.05
SIGNIFICANCE = 0.05
PLACES = ("zone", "bay", "desk")


def recap_money(quarter: Quarter, *, rules: Rules = Rules()) -> Finding:
    """Faults per module of those re-capped and those not yet, over the same dates, desk by desk, and what that was worth."""
    import pandas as pd

    evidence = quarter.evidence
    recaps = evidence.work[(evidence.work["action"] == "re-cap") & evidence.work["desk"].notna()]
    found = [
        recapped_or_not(evidence.stays, evidence.faults, evidence.work, desk=desk)
        for desk in recaps["desk"].value_counts().index
    ]
    found = [one for one in found if one is not None]
    if not found:
        return Finding(key="recap-money", title=_nothing(recaps), counts={"recaps": len(recaps)})
    table = pd.DataFrame([_row(one, recaps, modules_with_costs(quarter, rules)) for one in found])
    first = found[0]
    title = _title(table.iloc[0], first)
    return Finding(
        key="recap-money",
        title=title,
        table=table,
        figure=mean_cumulative_figure(
            {"re-capped": first.done, "not yet": first.not_yet},
            title=title,
            clock="calendar",
            time=f"since {first.first_day:%Y-%m-%d}",
        ),
        caveats=(
            "Bays were chosen, not drawn by lot: a hot or bad bay done first makes re-capping look worse than it "
            f"is, an easy one better. Share of the time spent in each zone: {_zones(evidence, first)}.",
            f"Modules in service with a re-cap on record, bay by bay: {_bays(evidence, first.desk, recaps)}.",
            "A module counts to those not yet done until its first re-cap on record; re-caps before the records "
            "count for neither. All faults are counted, also those no capacitor had a part in.",
            "Brought back so far: faults spared in the module-years since, at the price of a fault; what the new capacitors "
            f"still have before them is not in it. {rules.costs.sentence()}",
        ),
        counts={"faults": first.difference.events_a + first.difference.events_b, "recaps": len(recaps)},
        alt="Mean faults per module over calendar time, re-capped against not yet, with limits and modules watched.",
    )


def pulled_capacitors(quarter: Quarter, *, precision: float = PRECISION, by: str = "zone") -> Finding:
    """Capacitance left by part type and place, and how many more to measure to know its mean to the wanted precision.

    ``by`` is the place: ``zone``, ``bay`` or ``desk``.
    """
    import pandas as pd

    readings = quarter.table("readings")
    by = named("by", by, PLACES, none="Capacitors are told apart by one of three places.")
    readings = readings[readings["measured_on"] <= pd.Timestamp(quarter.last_day)]
    table = measured(readings, quarter.evidence.stays, precision=precision, by=by) if len(readings) else None
    if table is None or not len(table):
        return Finding(
            key="pulled-capacitors",
            title="No capacitance was measured on record. Measure those pulled in "
            "the next re-cap, with "
            "place and first value, before the bay after is decided.",
        )
    title = _measured_title(table, precision, by)
    drawn = table[table["measured"] >= FEWEST_FOR_A_VERDICT]
    labels = [
        f"{name}, {_place(by, place)}" for name, place in zip(drawn["part_type"], drawn[by], strict=True)
    ]
    drawn = drawn.assign(label=labels, value=drawn["share_left"], failures=drawn["measured"])
    return Finding(
        key="pulled-capacitors",
        title=title,
        table=table,
        figure=interval_figure(
            drawn[["label", "value", "low", "high", "failures"]],
            title=title,
            axis="capacitance left, share of the first value",
        )
        if len(drawn)
        else None,
        caveats=(
            "Share of the part's first value, or of its print where none was noted; the last reading of each "
            "part, whatever its age.",
            f"To measure: further parts for the mean to be known within {100 * precision:g} points at 90 %. Parts "
            "of one module are alike, so spread them over modules.",
        ),
        counts={"parts_measured": int(table["measured"].sum())},
    )


def _row(one, recaps, modules) -> dict:
    difference, own = one.difference, recaps[recaps["desk"] == one.desk]
    hours = float(own["bench_minutes"].fillna(own["bench_minutes"].median()).sum()) / 60
    return {
        "desk": one.desk,
        "from": one.first_day,
        "to": one.last_day,
        "faults_re_capped": difference.events_a,
        "faults_not_yet": difference.events_b,
        "module_years_re_capped": one.module_years_done,
        "mean_re_capped": one.done.mean_at(one.difference.until).value,
        "mean_not_yet": one.not_yet.mean_at(one.difference.until).value,
        "difference": difference.difference[-1],
        "low": difference.low[-1],
        "high": difference.high[-1],
        "p": difference.p,
        "re_caps": len(own),
        "bench_hours": hours,
        **_money(one, len(own), hours, modules[modules["desk"] == one.desk]),
    }


def _money(one, re_caps: int, hours: float, modules) -> dict:
    """What the re-caps on record cost, and what the faults they spared would have cost, with limits; NaN where not known."""
    price, parts, bench_hour = (
        float(modules[name].mean()) for name in ("failure_cost", "parts_cost", "bench_hour")
    )
    years = one.difference.until / HOURS_PER_YEAR
    middle, high, low = (
        -faults[-1] / years * one.module_years_done * price
        for faults in (one.difference.difference, one.difference.low, one.difference.high)
    )
    return {
        "spent": hours * bench_hour + re_caps * parts,
        "brought_back": middle,
        "brought_back_low": low,
        "brought_back_high": high,
    }


def _bays(evidence, desk: str, recaps) -> str:
    """How many of the modules now in each bay have a re-cap on record."""
    last = evidence.stays.sort_values("from_on", kind="stable").drop_duplicates("serial", keep="last")
    serving = evidence.roster.loc[evidence.roster["desk"] == desk, "serial"]
    last = last[(last["desk"] == desk) & last["serial"].isin(serving)]
    done = last.assign(
        bay=last["bay"].astype(object).fillna("not recorded"), done=last["serial"].isin(recaps["serial"])
    )
    by = done.groupby("bay")["done"].agg(["sum", "size"])
    return ", ".join(
        f"{bay} {by.loc[bay, 'sum']} of {by.loc[bay, 'size']}" for bay in sorted(by.index, key=natural)
    )


def _nothing(recaps) -> str:
    if not len(recaps):
        return "No re-cap is on record, so nothing can be said of what re-capping brings."
    return (
        f"{several(len(recaps), 're-cap')} on record, but no desk had five modules re-capped and five not yet at "
        "one time: until then re-capping cannot be set against leaving alone."
    )


def _title(row, one) -> str:
    seen = row["faults_re_capped"] + row["faults_not_yet"]
    if seen < FEWEST_FOR_A_VERDICT:
        return (
            f"{several(seen, 'fault')} on {row['desk']} since re-capping began: it takes {FEWEST_FOR_A_VERDICT} to "
            "say whether it works."
        )
    years = one.difference.until / HOURS_PER_YEAR
    limits = f"({-row['high']:z.1f} to {-row['low']:z.1f}; {seen:.0f} faults)"
    if row["p"] >= SIGNIFICANCE:
        return (
            f"No difference shown on {row['desk']}: re-capped modules had {-row['difference']:z.1f} faults a module "
            f"fewer over {years:.1f} years than those not yet done {limits}."
        )
    verb = "works" if row["difference"] < 0 else "does not work"
    word, difference = ("fewer", -row["difference"]) if row["difference"] < 0 else ("more", row["difference"])
    limits = (
        limits if row["difference"] < 0 else f"({row['low']:z.1f} to {row['high']:z.1f}; {seen:.0f} faults)"
    )
    return (
        f"Re-capping {verb} on {row['desk']}: {difference:.1f} faults a module {word} over {years:.1f} years than "
        f"in modules not yet done {limits}, for {row['bench_hours']:.0f} bench hours{_worth(row)}."
    )


def _worth(row) -> str:
    """What came back of the money, for the sentence."""
    if not (row["spent"] > 0 and row["brought_back"] > 0):
        return ""
    return (
        f"; it has brought back about {row['brought_back']:,.0f} ({row['brought_back_low']:z,.0f} to "
        f"{row['brought_back_high']:,.0f}) of the {row['spent']:,.0f} spent so far"
    )


def _zones(evidence, one) -> str:
    """Zones in which re-capped modules and the others spent their time on the desk."""
    recap = evidence.work[evidence.work["action"] == "re-cap"].groupby("serial")["done_on"].min()
    stays = evidence.stays[(evidence.stays["desk"] == one.desk) & (evidence.stays["to_on"] > one.first_day)]
    done = stays["from_on"] >= stays["serial"].map(recap)
    said = []
    for name, own in (("re-capped", stays[done]), ("not yet", stays[~done])):
        hours = own.assign(zone=own["zone"].fillna("not recorded")).groupby("zone")["exposure_hours"].sum()
        said.append(
            f"{name} "
            + ", ".join(f"{zone} {100 * share / hours.sum():.0f} %" for zone, share in hours.items())
        )
    return "; ".join(said)


def _measured_title(table, precision: float, by: str) -> str:
    enough = table[(table["measured"] >= FEWEST_FOR_A_VERDICT) & table["low"].notna()]
    if not len(enough) and (table["measured"] >= FEWEST_FOR_A_VERDICT).any():
        return (
            f"{several(table['measured'].sum(), 'capacitor')} measured, but those of each kind and place in fewer than 2 modules: a mean "
            f"with limits takes {FEWEST_FOR_A_VERDICT} in 2 modules or more."
        )
    if not len(enough):
        return (
            f"{several(table['measured'].sum(), 'capacitor')} measured, fewer than {FEWEST_FOR_A_VERDICT} of any "
            "kind and place: too few for a mean."
        )
    least = enough.loc[enough["share_left"].idxmin()]
    more = table[table["to_measure"] > 0]
    means = "all means" if table["low"].notna().all() else "all means of two modules or more"
    need = (
        f"{means} are known to {100 * precision:g} points"
        if not len(more)
        else f"{more['to_measure'].sum():.0f} more measured would bring {means.replace('all means', 'every mean')} to {100 * precision:g} points"
    )
    return (
        f"Least is left of {least['part_type']} ({_place(by, least[by])}): {100 * least['share_left']:.0f} % "
        f"({100 * least['low']:.0f} to {100 * least['high']:.0f}; {several(least['measured'], 'part')}); {need}."
    )


def _place(by: str, name) -> str:
    return str(name) if by != "bay" else f"bay {name}"
