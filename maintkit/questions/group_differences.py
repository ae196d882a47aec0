"""Do groups differ? Every comparison of the review in one table, adjusted for how many there are."""

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, by_chance, several, times
from maintkit.report.dots import interval_figure
from maintkit.report.finding import Finding
from maintkit.survival.cautious import cautious
from maintkit.survival.cox import cox
from maintkit.survival.multiple_tests import holm
from maintkit.survival.rates import clustered_rate_ratio

SIGNIFICANCE = 0.05
PART_LABELS = ("board_era", "zone")
PART_COLUMNS = [
    "family",
    "kind",
    "part_type",
    "serial",
    "desk",
    *PART_LABELS,
    "entry",
    "exit",
    "exposure_hours",
    "event",
    "interval_censored",
    "weight",
    "age_known",
]
HIGHER, LOWER, SAME, THIN = "higher", "lower", "no difference shown", "too few failures to say"
COLUMNS = [
    "what",
    "level_a",
    "level_b",
    "ratio",
    "low",
    "high",
    "events_a",
    "events_b",
    "exposure_a",
    "exposure_b",
    "verdict",
]


def differences(quarter: Quarter) -> Finding:
    """Rate ratios of every pair of groups worth comparing, with verdicts that allow for their number."""
    table = comparison_table(quarter)
    differing = table[table["verdict"].isin([HIGHER, LOWER])].sort_values("p_adjusted", kind="stable")
    title = _title(table, differing)
    return Finding(
        key="differences",
        title=title,
        table=table,
        figure=interval_figure(
            _drawn(differing if len(differing) else table),
            title=title,
            axis="rate ratio, first group over second",
            reference=1.0,
            log=True,
        ),
        caveats=(
            "For modules the ratio is of faults per powered time; for parts it is of failures at equal age, of one part type "
            "on one desk, era and zone allowing for each other (Cox). Limits allow for faults bunched in modules.",
            f"{len(table)} comparisons: each p is adjusted for all of them (Holm), so a single chance find is rare.",
            *by_chance(quarter.evidence),
        ),
        counts={"comparisons": len(table), "faults": quarter.evidence.tally["faults_counted"]},
        alt="Rate ratios with 90 % limits against the line of no difference at 1.",
    )


def comparison_table(quarter: Quarter):
    """The rows of ``rates.csv``, with p, and p adjusted for the number of comparisons; those that differ first, the surest first."""
    import pandas as pd

    rows = [*_module_comparisons(quarter), *_part_comparisons(quarter)]
    table = pd.DataFrame(rows, columns=[*COLUMNS[:-1], "p"])
    table["p_adjusted"] = holm(table["p"].to_numpy(float))
    events = table["events_a"] + table["events_b"]
    shown = table["p_adjusted"] < SIGNIFICANCE
    untold = (events < FEWEST_FOR_A_VERDICT) | table["p"].isna()
    table["verdict"] = np.select(
        [untold, ~shown, table["ratio"].astype(float).fillna(np.inf) > 1], [THIN, SAME, HIGHER], LOWER
    )
    first = table["p_adjusted"].where(table["verdict"].isin([HIGHER, LOWER]), 2.0)
    return table.iloc[np.argsort(first, kind="stable")].reset_index(drop=True)


def _module_comparisons(quarter: Quarter) -> list[dict]:
    """Faults a powered module-year: between couplings, and within a family by desk, module type, era and zone."""
    modules = module_exposure(quarter)
    rows = _between_couplings(modules)
    for family, of_family in modules.groupby("family", sort=True):
        for label in ("desk", "module_type", "board_era", "zone"):
            rows += _pairs(
                f"faults per module-year of {family}, by {label.replace('_', ' ')}", of_family, label
            )
    return rows


def _between_couplings(modules) -> list[dict]:
    """Capacitor-coupled over DC-coupled, where there are both."""
    cells = _cells(modules, "coupling")
    if set(cells.loc[cells["years"] > 0, "coupling"]) != {"capacitor", "dc"}:
        return []
    return [_pair("faults per module-year, by coupling", cells, "coupling", "capacitor", "dc")]


def _part_comparisons(quarter: Quarter) -> list[dict]:
    """Failures of each kind of part by board era and zone, of the same part type, desk and age."""
    rows = []
    for spells in quarter.evidence.part_frames(PART_COLUMNS, by=("family", "kind"), every_module=False):
        for (family, kind), of_kind in _aged(spells).groupby(["family", "kind"], sort=True, observed=True):
            rows += _at_equal_age(f"{kind} failures of {family} at equal age, by", of_kind)
    return rows


def _aged(spells):
    """Spells of parts of known age; of those found out of limit only the time they were known good."""
    return spells[spells["age_known"] & (spells["exit"] > spells["entry"]) & ~spells["interval_censored"]]


def _at_equal_age(what: str, spells) -> list[dict]:
    """Hazard ratios of each level of era and zone over the level with the most exposure, from one Cox model."""
    years = spells["exposure_hours"] * spells["weight"] / HOURS_PER_YEAR
    cells = spells.assign(years=years, events=spells["event"] * spells["weight"])
    pairs = [
        (label, level, reference) for label in PART_LABELS for level, reference in _against_most(cells, label)
    ]
    if not pairs:
        return []
    design = np.column_stack([(spells[label] == level).to_numpy(float) for label, level, _ in pairs])
    model = cautious(
        cox(
            spells["entry"],
            spells["exit"],
            spells["event"],
            design,
            weight=spells["weight"],
            cluster=spells["serial"].factorize()[0],
            stratum=spells.groupby(["desk", "part_type"], sort=True, observed=True).ngroup(),
            names=[f"{label} {level}" for label, level, _ in pairs],
        )
    )
    ratios = model.hazard_ratios or [None] * len(pairs)
    chances = [np.nan] * len(pairs) if model.p is None else model.p
    return [
        _part_row(f"{what} {label.replace('_', ' ')}", cells, (label, level, reference), ratio, p)
        for (label, level, reference), ratio, p in zip(pairs, ratios, chances, strict=True)
    ]


def _part_row(what: str, cells, pair, ratio, p) -> dict:
    label, *levels = pair
    sums = cells.groupby(label, observed=True)[["events", "years"]].sum()
    (events_a, years_a), (events_b, years_b) = (sums.loc[level] for level in levels)
    return {
        "what": what,
        "level_a": levels[0],
        "level_b": levels[1],
        "ratio": ratio and ratio.value,
        "low": ratio and ratio.low,
        "high": ratio and ratio.high,
        "events_a": int(events_a),
        "events_b": int(events_b),
        "exposure_a": float(years_a),
        "exposure_b": float(years_b),
        "p": p,
    }


def _against_most(cells, label: str) -> list[tuple]:
    """Every level of a label beside the one with the most exposure."""
    years = (
        cells.groupby(label, observed=True)["years"]
        .sum()
        .sort_index()
        .sort_values(ascending=False, kind="stable")
    )
    levels = list(years[years > 0].index)
    return [(level, levels[0]) for level in levels[1:]]


def module_exposure(quarter: Quarter):
    """Powered years and counted faults of each module under each set of labels it stood under."""
    import pandas as pd

    labels = ["family", "coupling", "desk", "module_type", "board_era", "zone", "serial"]
    evidence = quarter.evidence
    years = evidence.stays.groupby(labels, dropna=False, sort=True)["exposure_hours"].sum() / HOURS_PER_YEAR
    faults = evidence.fault_counts(labels)
    events = faults[faults["serial"].notna()].groupby(labels, dropna=False)["faults"].sum()
    return (
        pd.concat({"years": years, "events": events}, axis=1, sort=False).fillna(0.0).reset_index()
    )  # labels may be missing


def _cells(frame, label: str):
    """Years and events of each module at each level."""
    return frame.groupby([label, "serial"], sort=True)[["years", "events"]].sum().reset_index()


def _pairs(what: str, frame, label: str) -> list[dict]:
    """Rate ratios of every level over the one with the most exposure."""
    cells = _cells(frame, label)
    return [_pair(what, cells, label, level, reference) for level, reference in _against_most(cells, label)]


def _pair(what: str, cells, label: str, a, b) -> dict:
    first, second = (cells[(cells[label] == level) & (cells["years"] > 0)] for level in (a, b))
    found = clustered_rate_ratio(first["events"], first["years"], second["events"], second["years"])
    return {
        "what": what,
        "level_a": a,
        "level_b": b,
        "ratio": found.ratio,
        "low": found.low,
        "high": found.high,
        "events_a": int(found.events_a),
        "events_b": int(found.events_b),
        "exposure_a": found.exposure_a,
        "exposure_b": found.exposure_b,
        "p": found.p,
    }


def _drawn(table):
    shown = table[table["ratio"].notna()].head(15)
    return shown.assign(
        label=shown["what"] + ": " + shown["level_a"].astype(str) + " / " + shown["level_b"].astype(str),
        value=shown["ratio"].astype(float),
        failures=shown["events_a"] + shown["events_b"],
        exposure=shown["exposure_a"] + shown["exposure_b"],
    )[["label", "value", "low", "high", "failures", "exposure"]]


def _title(table, differing) -> str:
    if not len(table):
        return "Nothing can be compared: the records hold no two groups with time at risk."
    if not len(differing):
        return (
            f"Of {several(len(table), 'comparison')} none shows a difference that chance would seldom bring."
        )
    first = differing.iloc[0]
    return (
        f"{len(differing)} of {len(table)} comparisons show a difference; the surest: {first['what']}, "
        f"{first['level_a']} fails {times(first['ratio'], first['low'], first['high'], 'as often as ' + str(first['level_b']))}."
    )
