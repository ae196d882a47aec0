"""How far do the lives of parts move with the cause rule?"""

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.questions.lives import by_label, known_lives, life_row
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, by_chance, several
from maintkit.report.finding import Finding

CAUSE_RULES = {"strict": ("strict",), "usual": ("strict", "usual"), "loose": ("strict", "usual", "loose")}
TOLD = (("failures", ""), ("shape", ""), ("b10", ""), ("b10", "_low"), ("b10", "_high"))


def life_readings(quarter: Quarter) -> Finding:
    """Shape and B10 of each kind of part with confirmed failures only, with all but those of unknown cause, and with every replacement.

    Work of unknown cause ends no life in the main result; strict and loose bound it by counting none and all of it.
    """
    table = _table(quarter)
    told = table.dropna(subset=["b10_strict", "b10_loose"])
    told = told[told["b10_usual"] <= told["oldest_age"]]
    return Finding(
        key="life-readings",
        title=_title(table, told),
        table=table,
        caveats=(
            "Strict counts confirmed causes, usual all but unknown ones, loose every unplanned replacement; parts found out of limit in "
            "planned work count in all three.",
            *by_chance(quarter.evidence),
        ),
        counts={f"failures_{rule}": int(table[f"failures_{rule}"].sum()) for rule in CAUSE_RULES},
    )


def _table(quarter: Quarter):
    import pandas as pd

    rows = []
    for (part, family), spells in by_label(known_lives(quarter), ["part_type", "family"]):
        row = {"part_type": part, "family": family, "oldest_age": spells["exit"].max() / HOURS_PER_YEAR}
        for rule, levels in CAUSE_RULES.items():
            event = spells["counted_from"].isin(levels) & ~spells["interval_censored"]
            life = life_row(
                quarter, spells if (event == spells["event"]).all() else spells.assign(event=event)
            )
            row |= {f"{name}_{rule}{end}": life[f"{name}{end}"] for name, end in TOLD}
        rows.append(row)
    names = [
        name
        for rule in CAUSE_RULES
        for name in (
            f"failures_{rule}",
            f"shape_{rule}",
            f"b10_{rule}",
            f"b10_{rule}_low",
            f"b10_{rule}_high",
        )
    ]
    table = pd.DataFrame(rows, columns=["part_type", "family", "oldest_age", *names])
    return (
        table[table["failures_loose"] >= FEWEST_FOR_A_VERDICT]
        .reset_index(drop=True)
        .astype(dict.fromkeys(names, float))
    )


def _title(table, told) -> str:
    if not len(told):
        return (
            f"No kind of part has {FEWEST_FOR_A_VERDICT} failures under every rule and a tenth failed within the ages watched, so how "
            "far lives move with the cause rule cannot be said."
        )
    ratio = (told["b10_strict"] / told["b10_loose"]).sort_values(ascending=False)
    most = told.loc[ratio.index[0]]
    return (
        f"Read strictly or loosely, the age by which a tenth has failed moves by {100 * (ratio.median() - 1):.0f} % for the middle one of "
        f"{several(len(told), 'kind')} of part, most for {most['part_type']} in {most['family']}: {most['b10_strict']:.1f} powered years "
        f"strictly, {most['b10_usual']:.1f} usually, {most['b10_loose']:.1f} loosely."
    )
