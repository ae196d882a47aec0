"""Lives of parts, fitted once a quarter however often the same spells are met: what ``life.csv`` holds."""

from hashlib import sha256

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.arguments import named
from maintkit.quarter.quarter import Quarter
from maintkit.survival.kaplan_meier import kaplan_meier
from maintkit.survival.shared_frailty import fit_weibull_shared

GROUPS = ("family", "board_era", "coupling", "zone", "module_type")
SPELL = ("entry", "exit", "event", "interval_censored", "counted_from", "weight")
LIFE_COLUMNS = ["serial", "part_type", *GROUPS, *SPELL]
LIFE = ["failures", "powered_years", "shape", "shape_low", "shape_high", "scale"]
LIFE += ["b10", "b10_low", "b10_high", "median_life"]


def life_table(quarter: Quarter, *, groups=GROUPS, part_type: str | None = None):
    """The rows of ``life.csv``: every kind of part by family, board era, coupling, zone and module type.

    ``failures`` counts those found out of limit in planned work too; times are powered years. A level is led by its family where the kind
    of part is used in more than one, for families are never pooled.
    """
    import pandas as pd

    frames = known_lives(quarter) if part_type is None else [lives_of(quarter, part_type)]
    rows = []
    for part, of_type in by_label(frames, "part_type"):
        several = of_type["family"].nunique() > 1
        for group in groups:
            labels = list(dict.fromkeys(["family", group]))
            for name, cell in of_type.groupby(labels, sort=True, observed=True):
                label = f"{name[0]}, {name[1]}" if several and len(name) > 1 else name[-1]
                rows.append({"part_type": part, "group": group, "level": label, **life_row(quarter, cell)})
    return pd.DataFrame(rows, columns=["part_type", "group", "level", *LIFE])


def known_lives(quarter: Quarter):
    """Part spells that can stand in a life, of known age and taking time: frames of the columns that lives are told by.

    No part type stands in two of them.
    """
    columns = [*LIFE_COLUMNS, "age_known"]
    for spells in quarter.evidence.part_frames(columns, by=("part_type",), every_module=False):
        yield spells.loc[spells["age_known"] & (spells["exit"] > spells["entry"]), LIFE_COLUMNS]


def by_label(frames, labels):
    """The rows under each label of frames one after another, in order within each."""
    return (group for frame in frames for group in frame.groupby(labels, sort=True, observed=True))


def lives_of(quarter: Quarter, part_type: str):
    names = {name for spells in known_lives(quarter) for name in spells["part_type"].unique()}
    part_type = named(
        "Part type", part_type, names, none="No part of that type has a known age in these records."
    )
    return next(rows for name, rows in by_label(known_lives(quarter), "part_type") if name == part_type)


def fitted_life(rows, level: float = 0.90, limited=("shape", "b10")):
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


def survival_curve(rows):
    """The survival curve, in hours; of parts found out of limit only the time they were known good, None where that is none."""
    seen = ~rows["interval_censored"].to_numpy(bool)
    arrays = (rows[name].to_numpy()[seen] for name in ("entry", "exit", "event", "weight"))
    return kaplan_meier(*arrays) if seen.any() else None


def life_row(quarter: Quarter, rows) -> dict:
    """The life of these spells; the same spells with the same failures, met again under another label, are not fitted again."""
    part_type = str(rows["part_type"].iloc[0]).encode()
    same = sha256(part_type + rows.index.to_numpy().tobytes() + rows["event"].to_numpy().tobytes()).digest()
    if same not in quarter.lives:
        quarter.lives[same] = _fitted_row(rows)
    return quarter.lives[same]


def _fitted_row(rows) -> dict:
    life, curve = fitted_life(rows), survival_curve(rows)
    median = None if curve is None else curve.quantile(0.5).value
    shape, scale, b10 = in_years(life.shape, 1.0), in_years(life.scale), in_years(life.b10)
    half = "not reached" if median is None else median / HOURS_PER_YEAR
    told = (int(life.failures), life.exposure / HOURS_PER_YEAR, *shape, scale[0], *b10, half)
    return dict(zip(LIFE, told, strict=True))


def in_years(estimate, divisor: float = HOURS_PER_YEAR) -> list:
    """A number and its limits, in years where nothing else is said; None for what is missing."""
    values = (None, None, None) if estimate is None else (estimate.value, estimate.low, estimate.high)
    return [value and value / divisor for value in values]
