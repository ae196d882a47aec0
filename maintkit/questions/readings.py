"""How far do the lives of parts move with the cause rule?"""

from dataclasses import dataclass

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.lives import by_label, known_lives, life_row
from maintkit.quarter.quarter import Quarter
from maintkit.quarter.rows import first_record
from maintkit.survival.rates import FEWEST_FOR_A_VERDICT

CAUSE_RULES = {"strict": ("strict",), "usual": ("strict", "usual"), "loose": ("strict", "usual", "loose")}
TOLD = (("failures", ""), ("shape", ""), ("b10", ""), ("b10", "_low"), ("b10", "_high"))


@dataclass(frozen=True)
class Moved:
    """The kind of part whose age by which a tenth has failed (powered years) moves most with the rule."""

    part_type: str
    family: str
    strict: float
    usual: float
    loose: float


@dataclass(frozen=True)
class LifeReadings:
    """How far lives move with the cause rule.

    ``kinds`` have an age under every rule; ``middle`` is the share by which the strict age lies above the loose one for the
    middle one of them; both are None where there is none.
    """

    kinds: int
    middle: float | None
    most: Moved | None
    drawn_from: int | None
    table: object
    counts: dict
    fewest: int = FEWEST_FOR_A_VERDICT


def life_readings(quarter: Quarter) -> LifeReadings:
    """Shape and B10 of each kind of part with confirmed failures only, with all but those of unknown cause, and with every replacement.

    Work of unknown cause ends no life in the main result; strict and loose bound it by counting none and all of it.
    """
    table = _table(quarter)
    told = table.dropna(subset=["b10_strict", "b10_loose"])
    told = told[told["b10_usual"] <= told["oldest_age"]]
    told = told.assign(ratio=told["b10_strict"] / told["b10_loose"]).sort_values("ratio", ascending=False)
    return LifeReadings(
        kinds=len(told),
        middle=float(told["ratio"].median() - 1) if len(told) else None,
        most=first_record(Moved, told.rename(columns=lambda name: name.removeprefix("b10_"))),
        drawn_from=quarter.drawn_from,
        table=table,
        counts={f"failures_{rule}": int(table[f"failures_{rule}"].sum()) for rule in CAUSE_RULES},
    )


def _table(quarter: Quarter):
    import pandas as pd

    rows = []
    for (part, family), spells in by_label(known_lives(quarter), ["part_type", "family"]):
        row = {"part_type": part, "family": family, "oldest_age": spells["exit"].max() / HOURS_PER_YEAR}
        for rule, levels in CAUSE_RULES.items():
            event = spells["counted_from"].isin(levels) & ~spells["interval_censored"]
            same = (event == spells["event"]).all()
            life = life_row(quarter, spells if same else spells.assign(event=event))
            row |= {f"{name}_{rule}{end}": life[f"{name}{end}"] for name, end in TOLD}
        rows.append(row)
    names = [f"{name}_{rule}{end}" for rule in CAUSE_RULES for name, end in TOLD]
    table = pd.DataFrame(rows, columns=["part_type", "family", "oldest_age", *names])
    table = table[table["failures_loose"] >= FEWEST_FOR_A_VERDICT].reset_index(drop=True)
    return table.astype(dict.fromkeys(names, float))
