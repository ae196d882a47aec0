"""Does the capacitor-coupled desk really fail more, and why?"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from maintkit.decide.equal_age import at_equal_age, both_errors, both_p, counted_in, least_shown
from maintkit.hours import DAYS_PER_YEAR, HOURS_PER_WEEK, HOURS_PER_YEAR
from maintkit.quarter.ages import (
    CHANNEL,
    channel_years,
    faults_by_day,
    least_aged_share,
    module_exposure,
    modules_by_age,
)
from maintkit.quarter.fitted import NO_PART, kind_replaced
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.remember import once_a_quarter
from maintkit.quarter.rows import with_limits
from maintkit.records.understood import drafted_tables
from maintkit.spells.parts import MOST
from maintkit.survival.multiple_tests import holm
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT, clustered_rate_ratio, rate
from maintkit.survival.recurrence import mean_cumulative
from maintkit.survival.results import Limited, limited
from maintkit.survival.unseen import zeros_expected

SIGNIFICANCE = 0.05
SIDES = ("capacitor", "dc")
MORE, FEWER, SAME, THIN = "more", "fewer", "no difference shown", "too few faults to say"
RAW_ONLY, UNTOLD = "not at equal age", "equal age cannot be told"
UNSEEN, UNREAD = "slots without an entry", "reports without an outcome"
AGES_UNTOLD = ("no age known", "few ages known")


@dataclass(frozen=True)
class Nested:
    """What has one coupling style only, so that the records cannot tell it from the style; desks of either style."""

    labels: tuple[str, ...]
    capacitor: tuple[str, ...]
    dc: tuple[str, ...]


@dataclass(frozen=True)
class Unseen:
    """Slots of either style that are not on record for they never had an entry, and the ratio of faults with these counted in."""

    capacitor: Limited
    dc: Limited
    ratio: Limited


@dataclass(frozen=True)
class Unread:
    """Reports of either style still open, how many of them will prove to be faults, and the ratio of faults with these."""

    reports_capacitor: int
    reports_dc: int
    faults_capacitor: float
    faults_dc: float
    ratio: float | None


@dataclass(frozen=True)
class ByCalendar:
    """The ratio of faults a calendar year, and hours a week under power of either style."""

    ratio: Limited
    hours_capacitor: float
    hours_dc: float


@dataclass(frozen=True)
class Coupling:
    """Faults of capacitor-coupled against DC-coupled modules and channels.

    Attributes
    ----------
    verdict : str or None
        ``more`` (capacitor-coupled), ``fewer``, ``no difference shown``, ``not at equal age`` (the plain rates differ, those at
        equal age do not), ``equal age cannot be told`` (they differ, and ``why_untold`` in the row says why no more), ``slots without an
        entry`` (slots are known by their entries alone, and those that never had one would change the answer), ``too few
        faults to say``; None where only one style has time under power.
    module, channel : dict or None
        The rows of ``table``.
    ages : dict or None
        Median powered years since the modules of either style were made and last re-capped.
    nested : Nested or None
        None where all desks have one style.
    by_slot : bool
        Whether no fitments are on record, so that a slot stands for a module, however many it holds.
    most : int or None
        Faults beyond which the curves are of modules drawn by chance, where that was so.
    unseen : Unseen or None
        None where slots are listed, or each had faults so often that none can have been missed.
    unread : Unread or None
        None where no report is still open.
    untold : tuple of str
        Desks of which no coupling style is on record.
    by_calendar : ByCalendar or None
        None where it lies on the same side of 1 as the ratio of powered years, or neither is told from 1.
    """

    verdict: str | None
    module: dict | None
    channel: dict | None
    ages: dict | None
    nested: Nested | None
    most: int | None
    table: object
    curves: dict
    first_day: object
    counts: dict
    by_slot: bool = False
    unseen: Unseen | None = None
    by_calendar: ByCalendar | None = None
    unread: Unread | None = None
    untold: tuple[str, ...] = ()
    fewest: int = FEWEST_FOR_A_VERDICT


@dataclass(frozen=True)
class WhyMore:
    """The difference between the coupling styles, kind of part by kind of part.

    ``top`` is the row of ``table`` that differs beyond chance and makes up most of the difference of all faults; ``is_against`` where
    those that differ all go the other way. None where none differs; ``untold`` then is the row of which it cannot be told at
    equal age, where there is one that differs beyond chance as the records stand.
    """

    top: dict | None
    untold: dict | None
    is_against: bool
    nested: Nested | None
    table: object
    counts: dict
    no_part: str = NO_PART


def capacitor_or_dc(quarter: Quarter) -> Coupling:
    """Faults a powered module-year and channel-year of capacitor-coupled against DC-coupled desks, plain and at equal age."""
    table, evidence = coupling_table(quarter), quarter.evidence
    by_slot = quarter.by_slot and not evidence.tally["modules_by_slot"]
    names = {"value": "ratio", "low": "ratio_low", "high": "ratio_high"}
    rows = [row | {name: row[of] for name, of in names.items()} for row in table.to_dict("records")]
    module, channel = (*rows, None, None)[:2]
    return Coupling(
        verdict=module and module["verdict"],
        module=module,
        channel=channel,
        ages=None if module and module["why_untold"] in AGES_UNTOLD else _ages(quarter),
        nested=nesting(quarter),
        most=MOST if evidence.outgrown else None,
        by_slot=by_slot,
        unseen=module and _unseen(quarter, module["ratio"]),
        by_calendar=module and _by_calendar(quarter, module),
        unread=module and _unread(quarter, module),
        untold=tuple(sorted(evidence.stays.loc[evidence.stays["coupling"].isna(), "desk"].unique())),
        table=table,
        curves=_curves(quarter),
        first_day=evidence.stays["from_on"].min().date() if len(evidence.stays) else None,
        counts={
            "faults": evidence.tally["faults_counted"],
            f"powered_{'slot' if by_slot else 'module'}_years": float(
                evidence.stays["exposure_hours"].sum() / HOURS_PER_YEAR
            ),
        },
    )


def why_more(quarter: Quarter) -> WhyMore:
    """The difference between the coupling styles, kind of part by kind of part, per module and per part."""
    table = kind_table(quarter)
    years = module_exposure(quarter).groupby("coupling")["years"].sum().reindex(SIDES)
    excess = table["faults_capacitor"] / years["capacitor"] - table["faults_dc"] / years["dc"]
    excess = excess * np.sign(excess.sum())
    by_excess = table.assign(value=table["ratio"], excess=excess).sort_values(
        "excess", ascending=False, kind="stable"
    )
    more, untold = (by_excess[by_excess["verdict"] == verdict] for verdict in ("differs", UNTOLD))
    top, top_untold = (
        next(iter(some.drop(columns="excess").to_dict("records")), None) for some in (more, untold)
    )
    return WhyMore(
        top=top,
        untold=top_untold if top is None else None,
        is_against=bool(len(more)) and bool(more["excess"].iloc[0] < 0),
        nested=nesting(quarter),
        table=table,
        counts={"faults": int(table["faults_capacitor"].sum() + table["faults_dc"].sum())},
    )


def coupling_table(quarter: Quarter):
    """Faults, powered years, rates and their ratio, capacitor over DC: a row per module-year, and one per channel-year.

    Of modules the ratio at equal age too, and the ratio these records would have shown with a chance of 80 %.
    """
    counted, years = _by_module(quarter)
    row = _ratio_row(counted, years)
    if not row:
        return pd.DataFrame()
    aged = _aged_row(quarter, row, faults_by_day(quarter))
    unseen = _unseen(quarter, row["ratio"])
    if unseen and aged["verdict"] != THIN and _changes_the_answer(row, unseen.ratio):
        aged["verdict"] = UNSEEN
    unread = _unread(quarter, row)
    if unread and aged["verdict"] not in (THIN, SAME) and _answers_otherwise(row, unread):
        aged["verdict"] = UNREAD
    return pd.DataFrame([{"per": "module", **row, **aged}, *_channel_row(quarter)])


@once_a_quarter
def _by_module(quarter):
    """Faults and powered years of each module, by coupling style and serial."""
    years = module_exposure(quarter).groupby(["coupling", "serial"])["years"].sum()
    faults = quarter.evidence.fault_counts(["serial", "coupling"])
    counted = faults[faults["serial"].notna()].groupby(["coupling", "serial"])["faults"].sum()
    return counted.reindex(years.index, fill_value=0), years


@once_a_quarter
def _unseen(quarter, ratio: float | None) -> Unseen | None:
    """The slots of either style that never had an entry, and the ratio with them; None where they would be on record or make none."""
    if "positions" not in drafted_tables(quarter.records.connection):
        return None
    events, years = _by_module(quarter)
    sides = [events[years > 0].xs(name) for name in SIDES]
    capacitor, dc = (_not_on_record(one) for one in sides)
    if not capacitor.high and not dc.high:
        return None

    def times(of_capacitor, of_dc):
        return ratio and ratio * (1 + of_dc / len(sides[1])) / (1 + of_capacitor / len(sides[0]))

    by = Limited(
        times(capacitor.value, dc.value), times(capacitor.high, dc.low), times(capacitor.low, dc.high)
    )
    return Unseen(capacitor, dc, by)


def _unread(quarter, row) -> Unread | None:
    """The reports still open of either style, and the ratio with as many of them as will prove to be faults."""
    waiting = quarter.open_reports.faults
    if waiting is None:
        return None
    style = quarter.evidence.stays.drop_duplicates("desk").set_index("desk")["coupling"]
    sums = (
        waiting.groupby(waiting["desk"].map(style))[["reports", "faults"]].sum().reindex(SIDES, fill_value=0)
    )
    capacitor, dc = (
        (row[f"faults_{side}"] + sums.loc[side, "faults"]) / row[f"years_{side}"] for side in SIDES
    )
    return Unread(
        *map(int, sums["reports"]), *map(float, sums["faults"]), float(capacitor / dc) if dc else None
    )


def _answers_otherwise(row, unread: Unread) -> bool:
    """Whether the limits of the ratio lie on another side of 1 once the reports still open are counted in; of a style without
    a fault, whether the ratio then lies beyond them."""
    ratio = np.inf if unread.ratio is None else unread.ratio
    if not row["ratio"]:
        return not (row["ratio_low"] or 0.0) <= ratio <= (row["ratio_high"] or np.inf)
    return _side(row, ratio / row["ratio"]) != _side(row, 1.0)


def _by_calendar(quarter, module) -> ByCalendar | None:
    """The ratio a calendar year, where it says other than that of powered years: one style is on for more hours."""
    stays = quarter.evidence.stays
    stays = stays.assign(years=(stays["to_on"] - stays["from_on"]).dt.days / DAYS_PER_YEAR)
    years = stays.groupby(["coupling", "serial"])["years"].sum()
    row = _ratio_row(_by_module(quarter)[0].reindex(years.index, fill_value=0), years)
    if not row or _side(row, 1.0) == _side(module, 1.0):
        return None
    by_style = stays.groupby("coupling")[["exposure_hours", "years"]].sum().loc[[*SIDES]]
    weekly = by_style["exposure_hours"] / by_style["years"] * HOURS_PER_WEEK / HOURS_PER_YEAR
    return ByCalendar(limited(row, "ratio"), *map(float, weekly))


def _not_on_record(faults) -> Limited:
    """How many slots without a fault there are beyond those on record."""
    there, all_of_them = int((faults == 0).sum()), zeros_expected(faults)
    return Limited(*(max(one - there, 0.0) for one in (all_of_them.value, all_of_them.low, all_of_them.high)))


def _changes_the_answer(row, ratio: Limited) -> bool:
    """Whether the limits of the ratio can lie on another side of 1 where it is between these."""
    if not row["ratio"]:
        return False
    return len({_side(row, one / row["ratio"]) for one in (row["ratio"], ratio.low, ratio.high)}) > 1


def _side(row, times: float) -> int:
    """On which side of 1 the limits of the ratio lie, so many times as high; 0 where 1 is between them."""
    low, high = row["ratio_low"] or 0.0, row["ratio_high"] or np.inf
    return int(low * times > 1) - int(high * times < 1)


def _aged_row(quarter: Quarter, row: dict, faults) -> dict:
    """The ratio at equal age beside the plain one, what could have been shown, and the verdict of both."""
    pieces = modules_by_age(quarter)
    aged_share = least_aged_share(module_exposure(quarter), "coupling", SIDES)
    aged = at_equal_age(pieces, counted_in(pieces, faults), "coupling", SIDES, aged_share)
    error = both_errors(row["ratio_low"], row["ratio_high"], aged)
    return {
        **with_limits("equal_age_ratio", aged.ratio, aged.low, aged.high),
        "p": both_p(row["raw_p"], aged),
        "could_show": least_shown(error) if np.isfinite(error) else np.nan,
        "why_untold": aged.why,
        "verdict": _verdict(row, aged),
    }


def _verdict(row: dict, aged) -> str:
    if row["faults_capacitor"] + row["faults_dc"] < FEWEST_FOR_A_VERDICT:
        return THIN
    if row["raw_p"] >= SIGNIFICANCE:
        return SAME
    is_more = row["ratio"] is None or row["ratio"] > 1
    if np.isnan(aged.p):
        return UNTOLD
    if aged.p >= SIGNIFICANCE or (aged.ratio > 1) != is_more:
        return RAW_ONLY
    return MORE if is_more else FEWER


def _channel_row(quarter: Quarter) -> list[dict]:
    """The rates of channels: a slot with all the modules that sit in it at a time."""
    years, faults = channel_years(quarter), quarter.evidence.fault_counts([*CHANNEL, "serial"])
    faults = faults[faults["serial"].notna()].dropna(subset=["position"]).groupby(CHANNEL)["faults"].sum()
    row = _ratio_row(faults.reindex(years.index, fill_value=0), years)
    return [{"per": "channel", **row}] if row else []


def _ratio_row(events, years) -> dict:
    """Faults, years, rates and ratio of units (modules or channels) of either style; empty where one has no time."""
    events, years = events[years > 0], years[years > 0]
    if set(SIDES) - set(years.index.get_level_values(0)):
        return {}
    sides = [(events.xs(name).to_numpy(float), years.xs(name).to_numpy(float)) for name in SIDES]
    found = clustered_rate_ratio(*sides[0], *sides[1])
    capacitor, dc = (rate(side[0].sum(), side[1].sum()) for side in sides)
    return {
        "faults_capacitor": int(found.events_a),
        "faults_dc": int(found.events_b),
        "years_capacitor": found.exposure_a,
        "years_dc": found.exposure_b,
        **with_limits("rate_capacitor", capacitor.value, capacitor.low, capacitor.high),
        **with_limits("rate_dc", dc.value, dc.low, dc.high),
        **with_limits("ratio", found.ratio, found.low, found.high),
        "raw_p": found.p,
    }


def _ages(quarter: Quarter) -> dict | None:
    """Median powered years since modules of either style were made and last re-capped, over the time they were watched."""
    pieces = modules_by_age(quarter)
    median = pieces.groupby("coupling")[["made", "renewed"]].median()
    if set(SIDES) - set(median.index):
        return None
    return {f"{name}_{age}": float(median.loc[name, age]) for name in SIDES for age in ("made", "renewed")}


def kind_table(quarter: Quarter):
    """One row a kind of part: faults by coupling, ratio per module-year plain and at equal age, parts per module, ratio per part."""
    evidence = quarter.evidence
    modules = module_exposure(quarter).groupby(["coupling", "serial"])["years"].sum()
    faults = evidence.fault_counts(["serial", "kind", "action", "coupling"])
    counted = faults[faults["serial"].notna()]
    kinds, days, parts = kind_replaced(counted), faults_by_day(quarter), _part_years(evidence)
    rows = []
    for kind in sorted(kinds.unique()):
        events = counted[kinds == kind].groupby(["coupling", "serial"])["faults"].sum()
        row = _ratio_row(events.reindex(modules.index, fill_value=0), modules)
        if row:
            own = days[kind_replaced(days) == kind]
            about = {"kind": kind, "low": row["ratio_low"], "high": row["ratio_high"]}
            aged = _aged_row(quarter, row, own)
            rows.append(row | about | aged | _per_part(kind, row, parts))
    table = pd.DataFrame(rows, columns=KIND_COLUMNS)
    untold = table["verdict"] == UNTOLD
    adjusted = holm(table["p"].where(~untold, table["raw_p"]).to_numpy(float))
    events = table["faults_capacitor"] + table["faults_dc"]
    beyond_chance = adjusted < SIGNIFICANCE
    table["verdict"] = np.select(
        [
            events < FEWEST_FOR_A_VERDICT,
            beyond_chance & table["verdict"].isin([MORE, FEWER]),
            beyond_chance & untold,
        ],
        [THIN, "differs", UNTOLD],
        SAME,
    )
    table["could_show"] = table["could_show"].where(table["verdict"] != "differs")
    first = table.sort_values("faults_capacitor", ascending=False, kind="stable")
    return first.drop(columns=["p", "raw_p"]).reset_index(drop=True)


EQUAL_AGE = ["equal_age_ratio", "equal_age_ratio_low", "equal_age_ratio_high"]
PER_PART = ["parts_per_module_capacitor", "parts_per_module_dc", "ratio_per_part"]
PLAIN = ["kind", "faults_capacitor", "faults_dc", "ratio", "low", "high"]
KIND_COLUMNS = [*PLAIN, *EQUAL_AGE, "could_show", "p", "raw_p", *PER_PART, "verdict"]


def _part_years(evidence):
    """Powered part-years of each kind and coupling."""
    frames = evidence.part_frames(["kind", "coupling", "exposure_hours", "weight"], by=("part_type",))
    hours = (spells.assign(hours=spells["exposure_hours"] * spells["weight"]) for spells in frames)
    sums = [of.groupby(["kind", "coupling"], observed=True)["hours"].sum() for of in hours]
    return pd.concat(sums).groupby(level=[0, 1], observed=True).sum() / HOURS_PER_YEAR


def _per_part(kind: str, row: dict, parts) -> dict:
    held = {side: parts.get((kind, side), 0.0) / row[f"years_{side}"] for side in SIDES}
    both = held["capacitor"] > 0 and held["dc"] > 0 and row["ratio"] is not None
    ratio = row["ratio"] * held["dc"] / held["capacitor"] if both else None
    return dict(zip(PER_PART, (held["capacitor"] or None, held["dc"] or None, ratio), strict=True))


def nesting(quarter: Quarter) -> Nested | None:
    """What cannot be told apart from the coupling style in these records; None where all desks have one style."""
    stays = quarter.evidence.stays
    desks = stays.groupby("coupling")["desk"].unique()
    if len(desks) < 2:
        return None
    labels = tuple(
        label.replace("_", " ")
        for label in ("family", "desk", "module_type", "board_era")
        if stays[label].notna().any() and (stays.groupby(label)["coupling"].nunique() == 1).all()
    )
    return Nested(labels, *(tuple(sorted(desks.get(side, ()))) for side in SIDES))


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
