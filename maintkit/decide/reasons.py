"""One sentence a slot: why it stands where it stands in the list."""

import numpy as np

from maintkit.decide.hazards import HOURS_PER_YEAR

RAISED, LOWERED = 1.5, 1 / 1.5


def reasons(table, ahead) -> list[str]:
    """A sentence for each row of ``table`` (``desk, position, minutes_per_fault``), in its order.

    It names the parts behind most of the forecast and their age, the module whose record is worse or better than its
    parts predict, and what a fault there costs.
    """
    main = _main_parts(ahead)
    modules = ahead.modules.assign(total=(ahead.modules["parts_expected"] + ahead.modules["other_expected"]))
    groups = dict(list(modules.groupby(["desk", "position"], sort=False)))
    return [_sentence(groups.get((row.desk, row.position)), main, row.minutes_per_fault)
            for row in table.itertuples(index=False)]


def _main_parts(ahead) -> dict:
    """For each serial the kind of part expected to fail most: its share, how many, mean age in powered years."""
    if not len(ahead.parts):
        return {}
    parts = ahead.parts.assign(aged=ahead.parts["exit"] * ahead.parts["weight"])
    sums = parts.groupby(["serial", "part_type"], sort=True).agg(
        share=("share", "sum"), number=("weight", "sum"), aged=("aged", "sum"), age_known=("age_known", "all"))
    top = sums.loc[sums.groupby(level="serial")["share"].idxmax()].reset_index()
    top["age_years"] = top["aged"] / top["number"] / HOURS_PER_YEAR
    return {row.serial: row for row in top.itertuples(index=False)}


def _sentence(modules, main: dict, minutes: float) -> str:
    if modules is None:
        return "No module is recorded in this slot, so nothing can be forecast; a fitments row would let it."
    leading = modules.iloc[int(np.argmax((modules["total"] * modules["frailty"]).to_numpy()))]
    return f"{_parts(leading, main)}{_record(leading)}; a fault here costs about {minutes:.0f} session minutes."


def _parts(module, main: dict) -> str:
    top = main.get(module["serial"])
    if top is None or module["parts_expected"] < module["other_expected"]:
        return f"Mostly faults of {module['serial']} in which no part is replaced"
    age = f"about {top.age_years:.1f} powered years old" if top.age_known else "of unknown age"
    share = 100 * top.share / module["total"]
    return f"{top.number:.0f} {top.part_type} of {module['serial']}, {age}, make {share:.0f} % of what is expected"


def _record(module) -> str:
    seen, predicted = int(module["faults"]), module["expected"]
    if module["frailty"] >= RAISED:
        return f"; the module had {seen} faults where its parts predict {predicted:.1f}"
    if module["frailty"] <= LOWERED:
        return f"; the module had only {seen} faults where its parts predict {predicted:.1f}"
    return f"; its {seen} faults are about what its parts predict ({predicted:.1f})"
