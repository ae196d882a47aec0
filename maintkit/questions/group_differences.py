"""Do groups differ? Every comparison of the review in one table, adjusted for how many there are."""

from dataclasses import dataclass

import numpy as np

from maintkit.decide.equal_age import TWO_ERRORS, at_equal_age, both_errors, both_p, counted_in, least_shown
from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.ages import faults_by_day, least_aged_share, module_exposure, modules_by_age
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import counted, with_limits
from maintkit.spells.parts import MOST
from maintkit.survival.cautious import cautious
from maintkit.survival.cox import cox
from maintkit.survival.multiple_tests import holm
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT, clustered_rate_ratio

SIGNIFICANCE = 0.05
PART_LABELS = ("board_era", "zone")
SPELL = ["entry", "exit", "exposure_hours", "event", "interval_censored", "weight", "age_known"]
PART_COLUMNS = ["family", "kind", "part_type", "serial", "desk", *PART_LABELS, *SPELL]
HIGHER, LOWER, SAME, THIN = "higher", "lower", "no difference shown", "too few failures to say"
AS_THEY_STAND = ["ratio", "low", "high", "events_a", "events_b", "exposure_a", "exposure_b"]
EQUAL_AGE = ["equal_age_ratio", "equal_age_ratio_low", "equal_age_ratio_high"]
PAIR = ["what", "level_a", "level_b", *AS_THEY_STAND]
MOSTLY = ["part_type", "of_type"]
COLUMNS = [*PAIR, "verdict", *EQUAL_AGE, "could_show"]


@dataclass(frozen=True)
class Differences:
    """Every comparison, and the surest that differs.

    Attributes
    ----------
    comparisons, differing : int
        How many, and how many with a verdict of higher or lower.
    first : dict or None
        The row of ``table`` that differs most surely; of a kind of part ``part_type`` and ``of_type`` too, the type with most of the
        failures of ``level_a`` and how many are of it.
    raw_only : tuple of dict
        Rows whose plain rates differ beyond chance, but not at equal age.
    faults : int
    most : int or None
        Spells beyond which modules are drawn by chance, where that was so.
    table : DataFrame
        See ``comparison_table``, without the part types.
    """

    comparisons: int
    differing: int
    first: dict | None
    raw_only: tuple[dict, ...]
    faults: int
    most: int | None
    table: object

    counts = counted("comparisons", "faults")


def facts(quarter: Quarter) -> Differences:
    """Rate ratios of every pair of groups worth comparing, with verdicts that allow for their number."""
    compared = comparison_table(quarter)
    table = compared.drop(columns=MOSTLY)
    differing = table[table["verdict"].isin([HIGHER, LOWER])]
    raw_only = table[(table["verdict"] == SAME) & (table["raw_p_adjusted"] < SIGNIFICANCE)]
    return Differences(
        comparisons=len(table),
        differing=len(differing),
        first=_fact(compared.loc[differing.index[0]].to_dict()) if len(differing) else None,
        raw_only=tuple(map(_fact, raw_only.to_dict("records"))),
        faults=quarter.evidence.tally["faults_counted"],
        most=MOST if quarter.evidence.outgrown else None,
        table=table,
    )


def _fact(row: dict) -> dict:
    return row | {"value": row["ratio"]}


def comparison_table(quarter: Quarter):
    """The rows of ``rates.csv``, with p, and p adjusted for the number of comparisons; those that differ first, the surest first.

    Rates of modules differ where they do both as they stand and at equal age, so their p is the larger of both; where no age is
    known nothing is said to differ. ``could_show`` is the ratio above 1 that these records would have shown with a chance of 80 %
    among so many comparisons; blank where a difference is shown. ``part_type`` and ``of_type`` are the type with most of the failures
    of ``level_a`` of a kind of part that has several, and how many are of it.
    """
    import pandas as pd

    rows = [*_module_comparisons(quarter), *_part_comparisons(quarter)]
    table = pd.DataFrame(rows, columns=[*PAIR, *EQUAL_AGE, "why_untold", "raw_p", "p", "error", *MOSTLY])
    table["raw_p_adjusted"], table["p_adjusted"] = (holm(table[p].to_numpy(float)) for p in ("raw_p", "p"))
    events = table["events_a"] + table["events_b"]
    shown = table["p_adjusted"] < SIGNIFICANCE
    untold = (events < FEWEST_FOR_A_VERDICT) | table["raw_p"].isna()
    above = table["ratio"].astype(float).fillna(np.inf) > 1
    agree = table["equal_age_ratio"].isna() | ((table["equal_age_ratio"].astype(float) > 1) == above)
    table["verdict"] = np.select([untold, ~shown | ~agree, above], [THIN, SAME, HIGHER], LOWER)
    differ = table["verdict"].isin([HIGHER, LOWER])
    each = SIGNIFICANCE / max(int(table["p"].notna().sum()), 1)
    table["could_show"] = [
        np.nan if told or not error > 0 or np.isinf(error) else least_shown(error, significance=each)
        for told, error in zip(differ, table["error"].astype(float), strict=True)
    ]
    first = table["p_adjusted"].where(differ, 2.0)
    return table.drop(columns="error").iloc[np.argsort(first, kind="stable")].reset_index(drop=True)


def _module_comparisons(quarter: Quarter) -> list[dict]:
    """Faults a powered module-year: between couplings, and within a family by desk, module type, era and zone."""
    modules, pieces = module_exposure(quarter), modules_by_age(quarter)
    pieces = pieces.assign(events=counted_in(pieces, faults_by_day(quarter)))
    rows = _between_couplings(modules, pieces)
    for family, of_family in modules.groupby("family", sort=True):
        aged = pieces[pieces["family"] == family]
        for label in ("desk", "module_type", "board_era", "zone"):
            what = f"faults per module-year of {family}, by {label.replace('_', ' ')}"
            cells = _cells(of_family, label)
            rows += _pairs(what, cells, aged, label, _against_most(cells, label))
    return rows


def _between_couplings(modules, pieces) -> list[dict]:
    """Capacitor-coupled over DC-coupled, where there are both."""
    cells = _cells(modules, "coupling")
    if set(cells.loc[cells["years"] > 0, "coupling"]) != {"capacitor", "dc"}:
        return []
    return _pairs("faults per module-year, by coupling", cells, pieces, "coupling", [("capacitor", "dc")])


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
    sums = cells.groupby(label, observed=True)[["events", "years"]].sum().loc[levels]
    limits = (None, None, None) if ratio is None else (ratio.value, ratio.low, ratio.high)
    error = np.log(ratio.high / ratio.low) / TWO_ERRORS if ratio is not None and ratio.value else np.nan
    found = (what, *levels, *limits, *sums["events"].astype(int), *sums["years"])
    of_type = cells[cells[label] == levels[0]].groupby("part_type", observed=True)["events"].sum()
    most = {"part_type": of_type.idxmax(), "of_type": int(of_type.max())} if len(of_type) > 1 else {}
    return dict(zip(PAIR, found, strict=True), raw_p=p, p=p, error=error, **most)


def _against_most(cells, label: str) -> list[tuple]:
    """Every level of a label beside the one with the most exposure."""
    years = cells.groupby(label, observed=True)["years"].sum().sort_index()
    levels = list(years[years > 0].sort_values(ascending=False, kind="stable").index)
    return [(level, levels[0]) for level in levels[1:]]


def _cells(frame, label: str):
    """Years and events of each module at each level."""
    return frame.groupby([label, "serial"], sort=True)[["years", "events", "aged_years"]].sum().reset_index()


def _pairs(what: str, cells, pieces, label: str, pairs: list[tuple]) -> list[dict]:
    """The rates of two levels of each pair as they stand and at equal age; the larger p and the larger error count."""
    watched = cells[cells["years"] > 0].groupby(label, observed=True)[["events", "years"]]
    watched = {level: own.to_numpy(float).T for level, own in watched}
    rows = pieces.groupby(label, observed=True).indices
    none = np.zeros(0, int)
    return [
        _pair(
            what,
            [watched[level] for level in pair],
            pieces.iloc[np.sort(np.concatenate([rows.get(level, none) for level in pair]))],
            (label, pair, least_aged_share(cells, label, pair)),
        )
        for pair in pairs
    ]


def _pair(what: str, watched, pieces, of: tuple) -> dict:
    found, pair = clustered_rate_ratio(*watched[0], *watched[1]), of[1]
    aged = at_equal_age(pieces, pieces["events"].to_numpy(float), *of)
    row = dict(zip(PAIR, [what, *pair, *(getattr(found, name) for name in AS_THEY_STAND)], strict=True))
    return {
        **row,
        "events_a": int(found.events_a),
        "events_b": int(found.events_b),
        **with_limits("equal_age_ratio", aged.ratio, aged.low, aged.high),
        "why_untold": aged.why,
        "raw_p": found.p,
        "p": both_p(found.p, aged),
        "error": both_errors(found.low, found.high, aged),
    }
