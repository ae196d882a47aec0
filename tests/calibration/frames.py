"""A drawn facility as the frames that ``decide`` and ``questions`` take."""

from types import SimpleNamespace

import numpy as np

from tests.calibration.simulator import COUPLINGS, DESKS, ERAS, PARTS, QUARTER, TYPES, YEAR, ZONES, Facility

NAMES = np.array([part.name for part in PARTS] + [None], object)
KINDS = np.array([part.kind for part in PARTS] + [None], object)


def labels(facility: Facility, module, stay) -> dict:
    """Serial, slot and the other labels of modules in their stays."""
    slot = facility.slot[stay, module]
    number = facility.slot.shape[1]
    desk = slot * len(DESKS) // number
    names = np.array([f"M{serial:04d}" for serial in range(number)], object)
    places = np.array([str(place) for place in range(number)], object)
    return {
        "serial": names[module],
        "desk": DESKS[desk],
        "position": places[slot],
        "coupling": COUPLINGS[desk],
        "zone": ZONES[slot % 2],
        "board_era": ERAS[facility.era[module]],
        "module_type": TYPES[facility.type[module]],
        "family": np.full(len(module), "longshore", object),
    }


def part_spell_frame(facility: Facility):
    """The evidence's part spells."""
    import pandas as pd

    return pd.DataFrame(
        {
            **labels(facility, facility.module, facility.stay),
            "part_type": NAMES[facility.part],
            "kind": KINDS[facility.part],
            "entry": facility.entry,
            "exit": facility.exit,
            "exposure_hours": facility.exit - facility.entry,
            "event": facility.event,
            "interval_censored": False,
            "weight": facility.weight,
            "age_known": True,
            "still_fitted": facility.last,
        }
    )


def stay_frame(facility: Facility):
    """The evidence's stays: one row a module and slot."""
    import pandas as pd

    moved = np.flatnonzero(np.isfinite(facility.moved_at))
    module = np.concatenate([np.arange(len(facility.frailty)), moved])
    stay = np.repeat([0, 1], [len(facility.frailty), len(moved)])
    until = np.minimum(facility.moved_at[module], facility.end)
    hours = np.where(stay == 0, until, facility.end - until)
    return pd.DataFrame({**labels(facility, module, stay), "exposure_hours": hours}).sort_values(
        "serial", kind="stable"
    )


def fault_frame(facility: Facility):
    """The evidence's faults, every one of them counted, one a row."""
    import pandas as pd

    return pd.DataFrame(
        {
            **labels(facility, facility.fault_module, facility.fault_stay),
            "faults": 1,
            "part_type": NAMES[facility.fault_part],
            "kind": KINDS[facility.fault_part],
            "minutes_lost": 20.0,
        }
    )


def slot_frame(facility: Facility):
    """Who sits where at the end of the records, and the hours ahead."""
    import pandas as pd

    module = np.arange(len(facility.frailty))
    stay = np.isfinite(facility.moved_at).astype(int)
    where = labels(facility, module, stay)
    return pd.DataFrame(
        {name: where[name] for name in ("desk", "position", "serial")} | {"hours_ahead": QUARTER}
    )


def quarter_of(facility: Facility):
    """What the comparing question asks of a quarter: its evidence."""
    parts, frames = (
        part_spell_frame(facility),
        {"stays": stay_frame(facility), "faults": fault_frame(facility)},
    )
    return SimpleNamespace(
        evidence=SimpleNamespace(
            stays=frames["stays"],
            part_frames=lambda names, **_: [parts[names]],
            fault_counts=lambda labels: (
                frames["faults"].groupby(labels, dropna=False).size().rename("faults").reset_index()
            ),
        )
    )


def module_years(facility: Facility) -> float:
    """Powered module-years on record."""
    return len(facility.frailty) * facility.end / YEAR
