"""How far do the lives of parts move with the reading of the rules?"""

from maintkit.hours import HOURS_PER_YEAR
from maintkit.quarter.quarter import Quarter
from maintkit.questions.coupling import READINGS
from maintkit.questions.lives import by_label, known_lives, life_row
from maintkit.questions.say import FEWEST_FOR_A_VERDICT, by_chance, several
from maintkit.report.finding import Finding

TOLD = (("failures", ""), ("shape", ""), ("b10", ""), ("b10", "_low"), ("b10", "_high"))


def life_readings(quarter: Quarter) -> Finding:
    """Shape and B10 of each kind of part with confirmed failures only, with suspected ones too, and with every replacement.

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
            "Strict counts confirmed causes, usual also suspected ones, loose every unplanned replacement; parts found out of limit in "
            "planned work count in all three.",
            *by_chance(quarter.evidence),
        ),
        counts={f"failures_{reading}": int(table[f"failures_{reading}"].sum()) for reading in READINGS},
    )


def _table(quarter: Quarter):
    import pandas as pd

    rows = []
    for (part, family), spells in by_label(known_lives(quarter), ["part_type", "family"]):
        row = {"part_type": part, "family": family, "oldest_age": spells["exit"].max() / HOURS_PER_YEAR}
        for reading, levels in READINGS.items():
            event = spells["counted_from"].isin(levels) & ~spells["interval_censored"]
            life = life_row(
                quarter, spells if (event == spells["event"]).all() else spells.assign(event=event)
            )
            row |= {f"{name}_{reading}{end}": life[f"{name}{end}"] for name, end in TOLD}
        rows.append(row)
    names = [
        name
        for reading in READINGS
        for name in (
            f"failures_{reading}",
            f"shape_{reading}",
            f"b10_{reading}",
            f"b10_{reading}_low",
            f"b10_{reading}_high",
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
            f"No kind of part has {FEWEST_FOR_A_VERDICT} failures under every reading and a tenth failed within the ages watched, so how "
            "far lives move with the reading cannot be said."
        )
    ratio = (told["b10_strict"] / told["b10_loose"]).sort_values(ascending=False)
    most = told.loc[ratio.index[0]]
    return (
        f"Read strictly or loosely, the age by which a tenth has failed moves by {100 * (ratio.median() - 1):.0f} % for the middle one of "
        f"{several(len(told), 'kind')} of part, most for {most['part_type']} in {most['family']}: {most['b10_strict']:.1f} powered years "
        f"strictly, {most['b10_usual']:.1f} usually, {most['b10_loose']:.1f} loosely."
    )
