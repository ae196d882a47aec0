"""One sentence a slot: why it stands where it stands in the list."""

import numpy as np

from maintkit.decide.factors import MODULE, SLOT, UNTOLD
from maintkit.hours import HOURS_PER_YEAR

RAISED, LOWERED = 1.5, 1 / 1.5
WHOSE = {
    MODULE: " (the module's: they went with it)",
    SLOT: " (the slot's: they stayed with it)",
    UNTOLD: " (module or slot: not told apart)",
}


def reasons(table, ahead) -> list[str]:
    """A sentence for each row of ``table`` (``desk, position, minutes_per_fault``), in its order.

    It names the parts behind most of the forecast and their age, the module whose record is worse or better than its
    parts predict, and what a fault there costs.
    """
    modules = ahead.modules.assign(row=range(len(ahead.modules)))
    modules["total"] = modules["parts_expected"] + modules["other_expected"]
    modules["weighed"] = modules["total"] * modules["frailty"]
    leading = modules.sort_values("weighed", ascending=False, kind="stable").drop_duplicates(
        ["desk", "position"]
    )
    by_slot = {(module.desk, module.position): module for module in leading.itertuples(index=False)}
    return [
        _sentence(by_slot.get((slot.desk, slot.position)), ahead, slot.minutes_per_fault)
        for slot in table[["desk", "position", "minutes_per_fault"]].itertuples(index=False)
    ]


def _sentence(module, ahead, minutes: float) -> str:
    if module is None:
        return "No module is recorded in this slot, so nothing can be forecast; a fitments row would let it."
    return (
        f"{_parts(module, ahead)}{_record(module)}; a fault here costs about {minutes:.0f} session minutes."
    )


def _parts(module, ahead) -> str:
    """The kind of part expected to fail most in the module: how many, their mean age, what they make of the whole."""
    held, share = ahead.parts[module.row], ahead.share[module.row]
    if not module.total > 0:
        return f"Nothing is expected of {module.serial}, for it will not run"
    if not held.any() or module.parts_expected < module.other_expected:
        return f"Mostly faults of {module.serial} in which no part is replaced"
    top = int(np.nanargmax(share))
    age = (
        f"about {ahead.aged[module.row, top] / held[top] / HOURS_PER_YEAR:.1f} powered years old"
        if ahead.age_known[module.row, top]
        else "of unknown age"
    )
    return (
        f"{held[top]:.0f} {ahead.part_types[top]} of {module.serial}, {age}, make "
        f"{100 * share[top] / module.total:.0f} % of what is expected"
    )


def _record(module) -> str:
    """The module's record beside what its parts predict, and whose the difference is."""
    seen, predicted = int(module.faults), module.expected
    if module.frailty >= RAISED:
        return f"; the module had {seen} faults where its parts predict {predicted:.1f}{WHOSE.get(module.told, '')}"
    if module.frailty <= LOWERED:
        return f"; the module had only {seen} faults where its parts predict {predicted:.1f}"
    return f"; its {seen} faults are about what its parts predict ({predicted:.1f})"
