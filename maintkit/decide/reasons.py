"""One sentence a slot: why it stands where it stands in the list."""

import numpy as np

from maintkit.decide.factors import MODULE, SLOT, UNTOLD
from maintkit.hours import HOURS_PER_YEAR
from maintkit.notes import sentence
from maintkit.survival.rates import poisson_tail

RAISED, LOWERED = 1.5, 1 / 1.5
BY_CHANCE = 0.1  # of a record, from which chance may bring it
WHOSE = {MODULE: "slot.of_module", SLOT: "slot.of_slot", UNTOLD: "slot.of_either"}


def reasons(table, ahead) -> dict[str, list]:
    """For each row of ``table`` (``desk, position, minutes_per_fault``), in its order, a sentence (``reason``), and the kind of part
    expected to fail most (``likeliest_part``) with its share of what is expected of its module (``likeliest_share``), where one is.

    The sentence names these parts and their age, the module whose record is worse or better than its parts predict, and what a
    fault there costs.
    """
    modules = ahead.modules.assign(
        row=range(len(ahead.modules)),
        top=np.where(ahead.parts > 0, ahead.share, -1.0).argmax(axis=1) if ahead.share.size else 0,
        has_parts=ahead.parts.any(axis=1),
    )
    modules["total"] = modules["parts_expected"] + modules["other_expected"]
    modules["weighed"] = modules["total"] * modules["frailty"]
    leading = modules.sort_values("weighed", ascending=False, kind="stable").drop_duplicates(
        ["desk", "position"]
    )
    by_slot = {(module.desk, module.position): module for module in leading.itertuples(index=False)}
    leads = [by_slot.get(place) for place in zip(table["desk"], table["position"], strict=True)]
    told = [_likeliest(module, ahead) for module in leads]
    return {
        "reason": [
            _sentence(module, ahead, minutes)
            for module, minutes in zip(leads, table["minutes_per_fault"], strict=True)
        ],
        "likeliest_part": [part for part, _ in told],
        "likeliest_share": [share for _, share in told],
    }


def _likeliest(module, ahead) -> tuple[str | None, float]:
    """The kind of part behind most of what is expected of a module, and its share of all; none where no part is."""
    if module is None or not module.total > 0 or not module.has_parts:
        return None, np.nan
    if module.parts_expected < module.other_expected:
        return None, np.nan
    return ahead.part_types[module.top], float(ahead.share[module.row][module.top] / module.total)


def _sentence(module, ahead, minutes: float) -> str:
    if module is None:
        return sentence("slot.no_module")
    cost = sentence("slot.cost", minutes=minutes) if minutes > 0 else ""
    return f"{_parts(module, ahead)}; {_record(module)}{cost}."


def _parts(module, ahead) -> str:
    """The kind of part expected to fail most in the module: how many, their mean age, what they make of the whole."""
    if not module.total > 0:
        return sentence("slot.will_not_run", module=_name(module))
    if not module.has_parts:
        return sentence("slot.no_parts", module=_name(module))
    if module.parts_expected < module.other_expected:
        return sentence("slot.other", module=_name(module))
    top, number = module.top, ahead.parts[module.row, module.top]
    age = sentence("slot.unknown_age")
    if ahead.age_known[module.row, top]:
        age = sentence("slot.age", years=ahead.aged[module.row, top] / number / HOURS_PER_YEAR)
    percent = 100 * _likeliest(module, ahead)[1]
    told = {"part": ahead.part_types[top], "module": _name(module), "age": age}
    return sentence("slot.parts", number=number, percent=percent, **told)


def _name(module) -> str:
    """The module's serial; where a slot stands for a module of no serial, the slot."""
    return sentence("slot.this_slot") if _is_slot(module) else module.serial


def _is_slot(module) -> bool:
    return module.serial == f"{module.desk}/{module.position}"


def _record(module) -> str:
    """The module's record beside what its parts predict, and whose the difference is; what is expected from now where the two
    do not say the same, for old faults count less than late ones."""
    seen, predicted, factor = int(module.faults), module.expected, module.frailty
    told = {
        "whose": sentence("slot.the_slot" if _is_slot(module) else "slot.the_module"),
        "faults": sentence("slot.faults", seen=seen),
        "by": sentence("slot.by_parts" if module.has_parts else "slot.by_kind"),
        "predicted": predicted,
    }
    if factor >= RAISED and seen > predicted:
        whose = "" if _is_slot(module) or module.told not in WHOSE else f" ({sentence(WHOSE[module.told])})"
        return sentence("slot.worse", **told) + whose
    if factor <= LOWERED and seen <= LOWERED * predicted:
        return sentence("slot.better", **told)
    if LOWERED < factor < RAISED and poisson_tail(seen, predicted) >= BY_CHANCE:
        return sentence("slot.as_one" if seen == 1 else "slot.as_expected", **told)
    again = sentence("slot.again_by_parts" if module.has_parts else "slot.again_by_kind")
    is_slot = factor >= RAISED and seen <= LOWERED * predicted and not _is_slot(module)
    return sentence("slot.in_this_slot" if is_slot else "slot.from_now", factor=factor, again=again, **told)
