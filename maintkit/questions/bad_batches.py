"""Did a batch of parts fitted together prove bad?"""

from dataclasses import dataclass
from datetime import date

from maintkit.decide.batches import TOGETHER, batches_table
from maintkit.quarter.quarter import Quarter

BATCH = ["serial", "part_type", "fitted_on"]
LIKELY = 0.9  # chance that a batch is bad, from which it is named


@dataclass(frozen=True)
class BadBatch:
    """Parts of one type that came together and fail faster than others of their age: the modules they came to and those that hold some
    now, how many parts, their failures, those that good parts of their age bring, how many times as fast they fail, and the days they
    were fitted on."""

    part_type: str
    modules: tuple[str, ...]
    still_in: tuple[str, ...]
    parts: int
    failures: int
    expected: float
    faster: float
    first_on: date
    last_on: date


@dataclass(frozen=True)
class BadBatches:
    """Batches that are likely bad, those with the most failures first.

    ``together`` is how many parts a batch has at least, ``chance`` from which it is named. ``table`` has a row per batch of these
    part types: see ``batches_table``; and where the module is.
    """

    found: tuple[BadBatch, ...]
    together: int
    chance: float
    table: object
    counts: dict


def facts(quarter: Quarter) -> BadBatches:
    """The parts that came together to modules and fail several times as fast as their age would have it."""
    table = batches_table(quarter.forecast.batches)
    sitting = quarter.evidence.roster[["serial", "desk", "position"]]
    table = table.merge(sitting, on="serial", how="left")
    bad = table[table["chance"] >= LIKELY]
    parts = quarter.evidence.part_spells
    held = set(parts.loc[parts["still_fitted"], BATCH].itertuples(index=False, name=None))
    bad = bad.assign(held=[one in held for one in bad[BATCH].itertuples(index=False, name=None)])
    found = [_told(part_type, own) for part_type, own in bad.groupby("part_type", sort=True)]
    return BadBatches(
        tuple(sorted(found, key=lambda one: -one.failures)),
        TOGETHER,
        LIKELY,
        table,
        {"batches": len(table), "failures": int(table["failures"].sum())},
    )


def _told(part_type: str, own) -> BadBatch:
    return BadBatch(
        part_type,
        tuple(sorted(own["serial"])),
        tuple(sorted(own.loc[own["held"], "serial"])),
        int(own["parts"].sum()),
        int(own["failures"].sum()),
        float(own["expected"].sum()),
        float(own["faster"].mean()),
        own["fitted_on"].min().date(),
        own["fitted_on"].max().date(),
    )
