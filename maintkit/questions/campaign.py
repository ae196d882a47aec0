"""Is the re-cap money working, and what do the pulled capacitors say of the next bay?"""

from maintkit.decide.effectiveness_campaign import measured, recapped_or_not
from maintkit.questions.quarter import Quarter
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, several
from maintkit.show.curves import mean_cumulative_figure
from maintkit.show.dots import interval_figure
from maintkit.show.finding import Finding

PRECISION = 0.05
SIGNIFICANCE = 0.05


def recap_money(quarter: Quarter) -> Finding:
    """Faults per module of those re-capped and those not yet, over the same dates, desk by desk."""
    import pandas as pd

    evidence = quarter.evidence
    recaps = evidence.work[(evidence.work["action"] == "re-cap") & evidence.work["desk"].notna()]
    found = [recapped_or_not(evidence.stays, evidence.faults, evidence.work, desk=desk)
             for desk in recaps["desk"].value_counts().index]
    found = [one for one in found if one is not None]
    if not found:
        return Finding(key="recap-money", title=_nothing(recaps), counts={"recaps": len(recaps)})
    table = pd.DataFrame([_row(one, recaps) for one in found])
    first = found[0]
    title = _title(table.iloc[0], first)
    return Finding(
        key="recap-money", title=title, table=table,
        figure=mean_cumulative_figure({"re-capped": first.done, "not yet": first.not_yet}, title=title,
                                      clock="calendar",
                                      time=f"since {first.first_day:%Y-%m-%d}"),
        caveats=("Bays were chosen, not drawn by lot: a hot or bad bay done first makes re-capping look worse than it "
                 f"is, an easy one better. Share of the time spent in each zone: {_zones(evidence, first)}.",
                 "A module counts to those not yet done until its first re-cap on record; re-caps before the records "
                 "count for neither.",
                 "All faults are counted, also those no capacitor had a part in."),
        counts={"faults": first.difference.events_a + first.difference.events_b, "recaps": len(recaps)},
        alt="Mean faults per module over calendar time, re-capped against not yet, with limits and modules watched.")


def pulled_capacitors(quarter: Quarter, *, precision: float = PRECISION) -> Finding:
    """Capacitance left by part type and zone, and how many more to measure to know its mean to the wanted precision."""
    import pandas as pd

    readings = quarter.table("readings")
    readings = readings[readings["measured_on"] <= pd.Timestamp(quarter.last_day)]
    table = measured(readings, quarter.evidence.stays, precision=precision) if len(readings) else None
    if table is None or not len(table):
        return Finding(key="pulled-capacitors", title="No capacitance was measured on record. Measure those pulled in "
                                                      "the next re-cap, with "
                       "place and first value, before the bay after is decided.")
    title = _measured_title(table, precision)
    drawn = table[table["measured"] >= FEWEST_FOR_A_VERDICT]
    drawn = drawn.assign(label=drawn["part_type"] + ", " + drawn["zone"], value=drawn["share_left"],
                         failures=drawn["measured"])
    return Finding(
        key="pulled-capacitors", title=title, table=table,
        figure=interval_figure(drawn[["label", "value", "low", "high", "failures"]], title=title,
                               axis="capacitance left, share of the first value")
        if len(drawn) else None,
        caveats=("Share of the part's first value, or of its print where none was noted; the last reading of each "
                 "part, whatever its age.",
                 f"To measure: further parts for the mean to be known within {100 * precision:g} points at 90 %. Parts "
                 "of one module are alike, so spread them over modules."),
        counts={"parts_measured": int(table["measured"].sum())})


def _row(one, recaps) -> dict:
    difference, own = one.difference, recaps[recaps["desk"] == one.desk]
    return {"desk": one.desk, "from": one.first_day, "to": one.last_day, "faults_re_capped": difference.events_a,
            "faults_not_yet": difference.events_b,
            "module_years_re_capped": one.module_years_done,
            "mean_re_capped": one.done.mean_at(one.difference.until).value,
            "mean_not_yet": one.not_yet.mean_at(one.difference.until).value, "difference": difference.difference[-1],
            "low": difference.low[-1],
            "high": difference.high[-1], "p": difference.p, "re_caps": len(own),
            "bench_hours": own["bench_minutes"].sum() / 60}


def _nothing(recaps) -> str:
    if not len(recaps):
        return "No re-cap is on record, so nothing can be said of what re-capping brings."
    return (f"{several(len(recaps), 're-cap')} on record, but no desk had five modules re-capped and five not yet at "
            "one time: until then re-capping cannot be set against leaving alone.")


def _title(row, one) -> str:
    seen = row["faults_re_capped"] + row["faults_not_yet"]
    if seen < FEWEST_FOR_A_VERDICT:
        return (f"{several(seen, 'fault')} on {row['desk']} since re-capping began: it takes {FEWEST_FOR_A_VERDICT} to "
                "say whether it works.")
    years = one.difference.until / 8766
    limits = f"({-row['high']:.1f} to {-row['low']:.1f}; {seen:.0f} faults)"
    if row["p"] >= SIGNIFICANCE:
        return (f"No difference shown on {row['desk']}: re-capped modules had {-row['difference']:.1f} faults a module "
                f"fewer over {years:.1f} years than those not yet done {limits}.")
    verb = "works" if row["difference"] < 0 else "does not work"
    word, difference = ("fewer", -row["difference"]) if row["difference"] < 0 else ("more", row["difference"])
    limits = limits if row["difference"] < 0 else f"({row['low']:.1f} to {row['high']:.1f}; {seen:.0f} faults)"
    return (f"Re-capping {verb} on {row['desk']}: {difference:.1f} faults a module {word} over {years:.1f} years than "
            f"in modules not yet done {limits}, for {row['bench_hours']:.0f} bench hours.")


def _zones(evidence, one) -> str:
    """Zones in which re-capped modules and the others spent their time on the desk."""
    recap = evidence.work[evidence.work["action"] == "re-cap"].groupby("serial")["done_on"].min()
    stays = evidence.stays[(evidence.stays["desk"] == one.desk) & (evidence.stays["to_on"] > one.first_day)]
    done = stays["from_on"] >= stays["serial"].map(recap)
    said = []
    for name, own in (("re-capped", stays[done]), ("not yet", stays[~done])):
        hours = own.assign(zone=own["zone"].fillna("not recorded")).groupby("zone")["exposure_hours"].sum()
        said.append(f"{name} "
                    + ", ".join(f"{zone} {100 * share / hours.sum():.0f} %" for zone, share in hours.items()))
    return "; ".join(said)


def _measured_title(table, precision: float) -> str:
    enough = table[table["measured"] >= FEWEST_FOR_A_VERDICT]
    if not len(enough):
        return (f"{several(table['measured'].sum(), 'capacitor')} measured, fewer than {FEWEST_FOR_A_VERDICT} of any "
                "kind and place: too few for a mean.")
    least = enough.loc[enough["share_left"].idxmin()]
    more = table[table["to_measure"] > 0]
    need = (f"all means are known to {100 * precision:g} points" if not len(more) else
            f"{more['to_measure'].sum():.0f} more measured would bring every mean to {100 * precision:g} points")
    return (f"Least is left of {least['part_type']} ({least['zone']}): {100 * least['share_left']:.0f} % "
            f"({100 * least['low']:.0f} to {100 * least['high']:.0f}; {several(least['measured'], 'part')}); {need}.")
