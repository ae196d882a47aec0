"""Which parts wear out, and how long do they last?"""

from hashlib import sha256

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.arguments import named
from maintkit.quarter.quarter import Quarter
from maintkit.questions.say import by_chance
from maintkit.report.figures import interval_figure, survival_figure
from maintkit.report.finding import Finding
from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.shared_frailty import fit_weibull_shared

GROUPS = ("family", "board_era", "coupling", "zone", "module_type")
LIFE_COLUMNS = [
    "serial",
    "part_type",
    *GROUPS,
    "entry",
    "exit",
    "event",
    "interval_censored",
    "counted_from",
    "weight",
]
SIGNIFICANCE = 0.10
WEARS, STEADY, EARLY, THIN = "wears out", "wear not shown", "fails early", "too few failures to say"


def part_lives(quarter: Quarter) -> Finding:
    """Which kinds of part wear out: Weibull shape, B10 and median life of each kind in each family.

    A kind wears out where the lower limit of its shape lies above 1 at a level adjusted for the number of kinds.
    """
    table = life_table(quarter, groups=("family",))
    table = table.assign(verdict=_verdicts(quarter, table))
    title = _title(table)
    return Finding(
        key="part-lives",
        title=title,
        table=table.drop(columns=["group"]).rename(columns={"level": "family"}),
        figure=interval_figure(
            _shapes(table),
            title=title,
            axis="Weibull shape (1 = no wear, above 1 = wear)",
            reference=1.0,
            log=True,
        ),
        caveats=(
            "Ages are powered years since the part was fitted; a part fitted before the records began counts from "
            "its age on that day.",
            "Parts whose age is not known, and parts found out of limit in planned work on the survival curves, "
            "cannot stand in these fits; the check of the records says how many.",
            "Parts of one module share its air, its supply and its history: where modules differ beyond chance the limits "
            "allow for it, the shape is that of a part in one module, and the ages are those of all modules together.",
            *by_chance(quarter.evidence),
        ),
        counts={
            "failures": int(table["failures"].sum()),
            "powered_part_years": float(table["powered_years"].sum()),
        },
        alt="Weibull shape of each kind of part with its 90 % limits against the line of no wear at 1.",
    )


def life_curves(quarter: Quarter, part_type: str) -> Finding:
    """Share of one kind of part still working at each age, family by family, with the fitted Weibull beside it."""
    spells = _of_type(quarter, part_type)
    part_type = spells["part_type"].iloc[0]
    curves, fitted = {}, {}
    for family, rows in spells.groupby("family", sort=True, observed=True):
        curves[family], fitted[family] = _curve(rows), _fit(rows)
    title = " ".join(_life_sentence(part_type, family, fitted[family]) for family in fitted)
    curves = {family: curve for family, curve in curves.items() if curve is not None}
    return Finding(
        key="life-curves",
        title=title,
        table=life_table(quarter, part_type=part_type),
        figure=survival_figure(
            curves, title=title, clock="powered", fitted={family: fitted[family] for family in curves}
        )
        if curves
        else None,
        caveats=(*(curve.note for curve in curves.values() if curve.note), *by_chance(quarter.evidence)),
        counts={
            "failures": sum(fit.failures for fit in fitted.values()),
            "powered_part_years": sum(fit.exposure for fit in fitted.values()) / HOURS_PER_YEAR,
        },
        alt=f"Survival curves of {part_type} by family.",
    )


def life_table(quarter: Quarter, *, groups=GROUPS, part_type: str | None = None):
    """The rows of ``life.csv``: every kind of part by family, board era, coupling, zone and module type.

    ``failures`` counts those found out of limit in planned work too; times are powered years. A level is led by its family where the kind
    of part is used in more than one, for families are never pooled.
    """
    import pandas as pd

    frames = known_lives(quarter) if part_type is None else [_of_type(quarter, part_type)]
    rows = []
    for part, of_type in by_label(frames, "part_type"):
        several = of_type["family"].nunique() > 1
        for group in groups:
            for (family, level), cell in (
                of_type.groupby(["family", group], sort=True, observed=True)
                if group != "family"
                else (
                    ((name, name), part_rows)
                    for name, part_rows in of_type.groupby("family", sort=True, observed=True)
                )
            ):
                label = f"{family}, {level}" if several and group != "family" else level
                rows.append({"part_type": part, "group": group, "level": label, **life_row(quarter, cell)})
    columns = [
        "part_type",
        "group",
        "level",
        "failures",
        "powered_years",
        "shape",
        "shape_low",
        "shape_high",
        "scale",
        "b10",
        "b10_low",
        "b10_high",
        "median_life",
    ]
    return pd.DataFrame(rows, columns=columns)


def known_lives(quarter: Quarter):
    """Part spells that can stand in a life, of known age and taking time: frames of the columns that lives are told by.

    No part type stands in two of them.
    """
    for spells in quarter.evidence.part_frames(
        [*LIFE_COLUMNS, "age_known"], by=("part_type",), every_module=False
    ):
        yield spells.loc[spells["age_known"] & (spells["exit"] > spells["entry"]), LIFE_COLUMNS]


def by_label(frames, labels):
    """The rows under each label of frames one after another, in order within each."""
    return (group for frame in frames for group in frame.groupby(labels, sort=True, observed=True))


def _of_type(quarter: Quarter, part_type: str):
    names = {name for spells in known_lives(quarter) for name in spells["part_type"].unique()}
    part_type = named(
        "Part type", part_type, names, none="No part of that type has a known age in these records."
    )
    return next(rows for name, rows in by_label(known_lives(quarter), "part_type") if name == part_type)


def _fit(rows, level: float = 0.90, limited=("shape", "b10")):
    """The Weibull life, in hours, the parts of a module alike; parts found out of limit failed some time in their spell."""
    return fit_weibull_shared(
        rows["entry"],
        rows["exit"],
        rows["event"],
        rows["serial"].factorize()[0],
        weight=rows["weight"],
        interval_censored=rows["interval_censored"],
        level=level,
        limited=limited,
    )


def _curve(rows):
    """The survival curve, in hours; of parts found out of limit only the time they were known good, None where that is none."""
    seen = ~rows["interval_censored"].to_numpy(bool)
    return (
        kaplan_meier(*(rows[name].to_numpy()[seen] for name in ("entry", "exit", "event", "weight")))
        if seen.any()
        else None
    )


def life_row(quarter: Quarter, rows) -> dict:
    """The life of these spells; the same spells with the same failures, met again under another label, are not fitted again."""
    part_type = str(rows["part_type"].iloc[0]).encode()
    same = sha256(part_type + rows.index.to_numpy().tobytes() + rows["event"].to_numpy().tobytes()).digest()
    if same not in quarter.lives:
        quarter.lives[same] = _fitted_row(rows)
    return quarter.lives[same]


def _fitted_row(rows) -> dict:
    life, curve = _fit(rows), _curve(rows)
    median = None if curve is None else curve.quantile(0.5).value
    row = {
        "failures": int(life.failures),
        "powered_years": life.exposure / HOURS_PER_YEAR,
        **_limited("shape", life.shape, 1.0),
        "scale": _limited("scale", life.scale, HOURS_PER_YEAR)["scale"],
        **_limited("b10", life.b10, HOURS_PER_YEAR),
    }
    return row | {"median_life": "not reached" if median is None else median / HOURS_PER_YEAR}


def _limited(name: str, estimate, divisor: float) -> dict:
    values = (None, None, None) if estimate is None else (estimate.value, estimate.low, estimate.high)
    return {
        key: value and value / divisor
        for key, value in zip((name, f"{name}_low", f"{name}_high"), values, strict=True)
    }


def _verdicts(quarter: Quarter, table) -> list[str]:
    """What the shape says of each row, at a level adjusted for the number of rows (Bonferroni)."""
    level = 1 - SIGNIFICANCE / max(len(table), 1)
    groups = by_label(known_lives(quarter), ["part_type", "family"])
    return [_verdict(rows, row, level) for row, (_, rows) in zip(table.itertuples(), groups, strict=True)]


def _verdict(rows, row, level: float) -> str:
    if row.shape is None or np.isnan(row.shape):
        return THIN
    if row.shape_low <= 1 <= row.shape_high:
        return STEADY
    shape = _fit(rows, level, limited=("shape",)).shape
    if shape.low is not None and shape.low > 1:
        return WEARS
    return EARLY if shape.high is not None and shape.high < 1 else STEADY


def _shapes(table):
    """The rows with a shape, for the figure."""
    kept = table[table["shape"].notna()]
    return kept.assign(
        label=kept["part_type"] + " (" + kept["level"] + ")",
        value=kept["shape"].astype(float),
        low=kept["shape_low"].astype(float),
        high=kept["shape_high"].astype(float),
        exposure=kept["powered_years"],
    )[["label", "value", "low", "high", "failures", "exposure"]]


def _title(table) -> str:
    if not len(table):
        return "No life can be told: the records hold no parts of known age. A parts_list and made_on dates would let it."
    wearing = table[table["verdict"] == WEARS].sort_values("b10")
    thin = int((table["verdict"] == THIN).sum())
    said = f"{len(wearing)} of {len(table)} kinds of part wear out"
    if len(wearing):
        first = wearing.iloc[0]
        said += (
            f"; soonest {first['part_type']}, of which a tenth has failed by {first['b10']:.1f} powered years "
            f"({_span(first['b10_low'], first['b10_high'], '.1f')})"
        )
    return f"{said}; {thin} have too few failures to say." if thin else f"{said}."


def _life_sentence(part_type: str, family: str, life) -> str:
    seen = f"{life.failures:.0f} failures in {life.exposure / HOURS_PER_YEAR:,.0f} powered part-years"
    if life.shape is None:
        return f"{part_type} in {family}: {seen}. {life.note}"
    shape, years = life.shape, _limited("b10", life.b10, HOURS_PER_YEAR)
    return (
        f"A tenth of {part_type} in {family} has failed by {years['b10']:.1f} powered years "
        f"({_span(years['b10_low'], years['b10_high'], '.1f')}; shape {shape.value:.2g}, {_span(shape.low, shape.high, '.2g')}; {seen})."
    )


def _span(low, high, digits: str) -> str:
    """The limits, the one alone that there is where the records set no other."""
    low, high = (None if limit is None or np.isnan(limit) else f"{limit:{digits}}" for limit in (low, high))
    if low and high:
        return f"{low} to {high}"
    return f"at least {low}" if low else f"at most {high}" if high else "no limits"
