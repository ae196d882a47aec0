"""Does the capacitor-coupled desk really fail more, and why?"""

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.fitted import NO_PART
from maintkit.quarter.quarter import Quarter
from maintkit.questions.group_differences import module_exposure
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, by_chance, several, times
from maintkit.report.curves import mean_cumulative_figure
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding
from maintkit.survival.multiple_tests import holm
from maintkit.survival.rates import clustered_rate_ratio, rate
from maintkit.survival.recurrence import mean_cumulative

SIGNIFICANCE = 0.05


def capacitor_or_dc(quarter: Quarter) -> Finding:
    """Faults a powered module-year of capacitor-coupled against DC-coupled desks."""
    table = coupling_table(quarter)
    usual = table.astype(object).iloc[0] if len(table) else None
    title = _title(usual)
    curves = _curves(quarter)
    return Finding(
        key="capacitor-or-dc",
        title=title,
        table=table,
        figure=mean_cumulative_figure(
            curves, title=title, clock="calendar", time=f"since {_first_day(quarter)}"
        )
        if curves
        else None,
        caveats=(
            *nesting(quarter),
            *by_chance(quarter.evidence),
        ),
        counts={
            "faults": quarter.evidence.tally["faults_counted"],
            "powered_module_years": float(quarter.evidence.stays["exposure_hours"].sum() / HOURS_PER_YEAR),
        },
        alt="Mean number of faults a module has had over the years, one curve a coupling style.",
    )


def why_more(quarter: Quarter) -> Finding:
    """The difference between the coupling styles, kind of part by kind of part, per module and per part."""
    table = kind_table(quarter)
    more = table[table["verdict"] == "differs"]
    title = _why(more)
    drawn = table[table["ratio"].notna()]
    drawn = drawn.assign(
        label=drawn["kind"],
        value=drawn["ratio"].astype(float),
        failures=drawn["faults_capacitor"] + drawn["faults_dc"],
        exposure=drawn["exposure"],
    )
    return Finding(
        key="why-more",
        title=title,
        table=table.drop(columns=["exposure"]),
        figure=interval_figure(
            drawn[["label", "value", "low", "high", "failures", "exposure"]],
            title=title,
            axis="faults per module-year, capacitor-coupled over DC-coupled",
            reference=1.0,
            log=True,
        ),
        caveats=(
            "Per module-year says what a module costs; parts per module says how much of that is sheer number of parts; "
            "the ratio per part is what is left.",
            *nesting(quarter),
        ),
        counts={"faults": int(table["faults_capacitor"].sum() + table["faults_dc"].sum())},
        alt="Rate ratio by kind of part with 90 % limits.",
    )


def coupling_table(quarter: Quarter):
    """One row: faults, powered module-years, rates and their ratio, capacitor over DC."""
    import pandas as pd

    years = module_exposure(quarter).groupby(["coupling", "serial"])["years"].sum()
    faults = quarter.evidence.fault_counts(["serial", "coupling"])
    counted = faults[faults["serial"].notna()].groupby(["coupling", "serial"])["faults"].sum()
    row = _coupling_row(counted.reindex(years.index, fill_value=0), years)
    return pd.DataFrame([row] if row else [])


def _coupling_row(events, years) -> dict:
    sides = [
        (events.xs(name).to_numpy(float), years.xs(name).to_numpy(float))
        for name in ("capacitor", "dc")
        if name in years.index.get_level_values(0)
    ]
    sides = [
        (events[years > 0], years[years > 0]) for events, years in sides if (years > 0).any()
    ]  # no time, no rate
    if len(sides) < 2:
        return {}
    found = clustered_rate_ratio(*sides[0], *sides[1])
    capacitor, dc = (rate(side[0].sum(), side[1].sum()) for side in sides)
    return {
        "faults_capacitor": int(found.events_a),
        "faults_dc": int(found.events_b),
        "years_capacitor": found.exposure_a,
        "years_dc": found.exposure_b,
        "rate_capacitor": capacitor.value,
        "rate_capacitor_low": capacitor.low,
        "rate_capacitor_high": capacitor.high,
        "rate_dc": dc.value,
        "rate_dc_low": dc.low,
        "rate_dc_high": dc.high,
        "ratio": found.ratio,
        "ratio_low": found.low,
        "ratio_high": found.high,
        "p": found.p,
    }


def kind_table(quarter: Quarter):
    """One row a kind of part: faults by coupling, ratio per module-year, parts per module, ratio per part."""
    import pandas as pd

    evidence = quarter.evidence
    modules = module_exposure(quarter).groupby(["coupling", "serial"])["years"].sum()
    faults = evidence.fault_counts(["serial", "kind", "coupling"])
    counted = faults[faults["serial"].notna()]
    kinds = counted["kind"].fillna(NO_PART)
    parts = _part_years(evidence)
    rows = []
    for kind in sorted(kinds.unique()):
        events = (
            counted[kinds == kind]
            .groupby(["coupling", "serial"])["faults"]
            .sum()
            .reindex(modules.index, fill_value=0)
        )
        row = _coupling_row(events, modules)
        if row:
            rows.append(
                {
                    "kind": kind,
                    "faults_capacitor": row["faults_capacitor"],
                    "faults_dc": row["faults_dc"],
                    "ratio": row["ratio"],
                    "low": row["ratio_low"],
                    "high": row["ratio_high"],
                    "p": row["p"],
                    "exposure": row["years_capacitor"] + row["years_dc"],
                    **_per_part(kind, row, parts),
                }
            )
    table = pd.DataFrame(
        rows,
        columns=[
            "kind",
            "faults_capacitor",
            "faults_dc",
            "ratio",
            "low",
            "high",
            "p",
            "exposure",
            "parts_per_module_capacitor",
            "parts_per_module_dc",
            "ratio_per_part",
        ],
    )
    adjusted = holm(table["p"].to_numpy(float))
    events = table["faults_capacitor"] + table["faults_dc"]
    table["verdict"] = np.select(
        [events < FEWEST_FOR_A_VERDICT, adjusted < SIGNIFICANCE],
        ["too few faults to say", "differs"],
        "no difference shown",
    )
    return (
        table.sort_values("faults_capacitor", ascending=False, kind="stable")
        .drop(columns="p")
        .reset_index(drop=True)
    )


def _part_years(evidence):
    """Powered part-years of each kind and coupling."""
    import pandas as pd

    frames = evidence.part_frames(["kind", "coupling", "exposure_hours", "weight"], by=("part_type",))
    years = [
        (spells["exposure_hours"] * spells["weight"])
        .groupby([spells["kind"], spells["coupling"]], observed=True)
        .sum()
        for spells in frames
    ]
    return pd.concat(years).groupby(level=[0, 1], observed=True).sum() / HOURS_PER_YEAR


def _per_part(kind: str, row: dict, parts) -> dict:
    held = {side: parts.get((kind, side), 0.0) / row[f"years_{side}"] for side in ("capacitor", "dc")}
    both = held["capacitor"] > 0 and held["dc"] > 0 and row["ratio"] is not None
    return {
        "parts_per_module_capacitor": held["capacitor"] or None,
        "parts_per_module_dc": held["dc"] or None,
        "ratio_per_part": row["ratio"] * held["dc"] / held["capacitor"] if both else None,
    }


def nesting(quarter: Quarter) -> tuple[str, ...]:
    """Sentences naming what cannot be told apart from the coupling style in these records, and what would."""
    stays = quarter.evidence.stays
    desks = stays.groupby("coupling")["desk"].unique()
    if len(desks) < 2:
        return ("All desks on record have one coupling style, so these records cannot compare the two.",)
    named = "; ".join(f"{coupling}: {', '.join(sorted(names))}" for coupling, names in desks.items())
    nested = [
        label.replace("_", " ")
        for label in ("family", "desk", "module_type", "board_era")
        if stays[label].notna().any() and (stays.groupby(label)["coupling"].nunique() == 1).all()
    ]
    return (
        f"Each {', '.join(nested)} has one coupling style only ({named}): the records compare these desks, with their age, "
        "boards, air and use, not coupling styles as such. A desk of the same family and age with the other coupling "
        "would separate them; so would a re-capped bay against an untouched one.",
    )


def _curves(quarter: Quarter) -> dict:
    """Mean cumulative faults a module on the calendar, by coupling."""
    evidence, curves = quarter.evidence, {}
    drawn, zero = evidence.drawn_modules(), evidence.stays["from_on"].min()
    days = evidence.fault_counts(["serial", "coupling", "happened_on"], serials=drawn)
    fresh = days.loc[days.index.repeat(days["faults"])]
    watched = evidence.stays[evidence.stays["serial"].isin(drawn)]
    for coupling, stays in watched.groupby("coupling", sort=True):
        events = _in_a_slot(fresh[fresh["coupling"] == coupling], stays)
        curves[f"{coupling}-coupled"] = mean_cumulative(
            stays["serial"].to_numpy(),
            _hours(stays["from_on"], zero),
            _hours(stays["to_on"], zero),
            events["serial"].to_numpy(),
            _hours(events["happened_on"], zero),
        )
    return curves


def _in_a_slot(events, stays):
    """The faults that fell in a stay of their module, those of its first day moved into it; bench finds are left out."""
    import pandas as pd

    stays = stays[["serial", "from_on", "to_on"]].sort_values("from_on", kind="stable")
    days = events[["serial", "happened_on"]].sort_values("happened_on", kind="stable")
    begun = pd.merge_asof(
        days, stays, left_on="happened_on", right_on="from_on", by="serial", allow_exact_matches=False
    )
    within = (begun["happened_on"] <= begun["to_on"]).to_numpy()
    first = days[~within].merge(stays, left_on=["serial", "happened_on"], right_on=["serial", "from_on"])
    into = first[["serial"]].assign(happened_on=first["happened_on"] + np.timedelta64(1, "h"))
    return pd.concat([days[within], into])


def _hours(days, zero) -> np.ndarray:
    """Hours from the start of day ``zero`` to the start of each day."""
    return (days - zero).dt.total_seconds().to_numpy(float) / 3600


def _first_day(quarter: Quarter) -> str:
    return f"{quarter.evidence.stays['from_on'].min():%Y-%m-%d}"


def _title(usual) -> str:
    if usual is None:
        return (
            "These records cannot say whether capacitor-coupled desks fail more: they hold time under power of only one coupling "
            "style. Records of a desk of the other style would let them."
        )
    sides = (
        f"{several(usual['faults_capacitor'], 'fault')} in {usual['years_capacitor']:,.0f} powered module-years against "
        f"{usual['faults_dc']} in {usual['years_dc']:,.0f}"
    )
    if usual["faults_capacitor"] + usual["faults_dc"] < FEWEST_FOR_A_VERDICT:
        return f"Too few faults to say which coupling style fails more: {sides}."
    limits = times(usual["ratio"], usual["ratio_low"], usual["ratio_high"], "as often", more=sides)
    if usual["p"] >= SIGNIFICANCE:
        return f"No difference shown between coupling styles: capacitor-coupled modules fail {limits}."
    return f"Capacitor-coupled modules fail {limits}."


def _why(more) -> str:
    if not len(more):
        return "No single kind of part sets the coupling styles apart by more than chance."
    top = more.iloc[0]
    if top["kind"] == NO_PART:
        return (
            f"The difference is mostly in faults for which no part was replaced: they are "
            f"{times(top['ratio'], top['low'], top['high'], 'as frequent')}."
        )
    excess = f"{top['kind']} faults are {times(top['ratio'], top['low'], top['high'], 'as frequent')}"
    if top["ratio_per_part"] is None or np.isnan(top["ratio_per_part"]):
        return f"The difference is mostly {top['kind']}: {excess}."
    return (
        f"The difference is mostly {top['kind']}: {excess}, with {top['parts_per_module_capacitor']:.0f} of them a module "
        f"against {top['parts_per_module_dc']:.0f}; per part the ratio is {top['ratio_per_part']:.1f}."
    )
