"""Which parts wear out, and how long do they last?"""

from dataclasses import dataclass

import numpy as np

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.lives import (
    by_label,
    fitted_life,
    in_years,
    known_lives,
    life_table,
    lives_of,
    survival_curve,
)
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import first_record
from maintkit.survival.results import Limited
from maintkit.survival.weibull import FEWEST_FAILURES

SIGNIFICANCE = 0.10
WEARS, STEADY, EARLY, THIN = "wears out", "wear not shown", "fails early", "too few failures to say"


@dataclass(frozen=True)
class Soonest:
    """The kind of part that wears out soonest: the powered years by which a tenth has failed, with 90 % limits."""

    part_type: str
    value: float
    low: float | None
    high: float | None


@dataclass(frozen=True)
class PartLives:
    """Kinds of part of known age, those that wear out, and those with too few failures to say; a row a kind and family."""

    kinds: int
    wearing: int
    thin: int
    soonest: Soonest | None
    drawn_from: int | None
    table: object
    counts: dict


@dataclass(frozen=True)
class FamilyLife:
    """The life of one kind of part in one family: failures, powered part-years, and where they suffice shape and B10 in years."""

    family: str
    failures: int
    part_years: float
    shape: Limited | None
    b10: Limited | None


@dataclass(frozen=True)
class LifeCurves:
    """How long one kind of part lasts, family by family, its survival curves and the Weibulls fitted to them."""

    part_type: str
    families: tuple[FamilyLife, ...]
    notes: tuple[str, ...]
    drawn_from: int | None
    curves: dict
    fitted: dict
    table: object
    counts: dict
    fewest: int = FEWEST_FAILURES


def part_lives(quarter: Quarter) -> PartLives:
    """Which kinds of part wear out: Weibull shape, B10 and median life of each kind in each family.

    A kind wears out where the lower limit of its shape lies above 1 at a level adjusted for the number of kinds.
    """
    table = life_table(quarter, groups=("family",))
    table = table.assign(verdict=_verdicts(quarter, table)).drop(columns=["group"])
    wearing = table[table["verdict"] == WEARS].sort_values("b10")
    return PartLives(
        kinds=len(table),
        wearing=len(wearing),
        thin=int((table["verdict"] == THIN).sum()),
        soonest=first_record(
            Soonest, wearing.rename(columns={"b10": "value", "b10_low": "low", "b10_high": "high"})
        ),
        drawn_from=quarter.drawn_from,
        table=table.rename(columns={"level": "family"}),
        counts={
            "failures": int(table["failures"].sum()),
            "powered_part_years": float(table["powered_years"].sum()),
        },
    )


def life_curves(quarter: Quarter, part_type: str) -> LifeCurves:
    """Share of one kind of part still working at each age, family by family, with the fitted Weibull beside it."""
    spells = lives_of(quarter, part_type)
    families = {family: rows for family, rows in spells.groupby("family", sort=True, observed=True)}
    fitted = {family: fitted_life(rows) for family, rows in families.items()}
    curves = {
        family: curve for family, rows in families.items() if (curve := survival_curve(rows)) is not None
    }
    return LifeCurves(
        part_type=spells["part_type"].iloc[0],
        families=tuple(_family_life(family, life) for family, life in fitted.items()),
        notes=tuple(curve.note for curve in curves.values() if curve.note),
        drawn_from=quarter.drawn_from,
        curves=curves,
        fitted={family: fitted[family] for family in curves},
        table=life_table(quarter, part_type=spells["part_type"].iloc[0]),
        counts={
            "failures": sum(fit.failures for fit in fitted.values()),
            "powered_part_years": sum(fit.exposure for fit in fitted.values()) / HOURS_PER_YEAR,
        },
    )


def _family_life(family: str, life) -> FamilyLife:
    return FamilyLife(
        family,
        int(life.failures),
        life.exposure / HOURS_PER_YEAR,
        _limited(life.shape, 1.0),
        _limited(life.b10, HOURS_PER_YEAR) if life.shape is not None else None,
    )


def _limited(estimate, divisor: float) -> Limited | None:
    return None if estimate is None else Limited(*in_years(estimate, divisor))


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
    shape = fitted_life(rows, level, limited=("shape",)).shape
    if shape.low is not None and shape.low > 1:
        return WEARS
    return EARLY if shape.high is not None and shape.high < 1 else STEADY
