"""The demo's modules, slots and starting ages: what stood where on the first day of the records."""

from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from data_demo.make.dice import Dice
from data_demo.make.lives import Fleet
from data_demo.make.scenario import (
    AIR_FACTOR,
    BAY_SLOTS,
    CAMPAIGNS_BEFORE,
    DESK,
    DESKS,
    FRAILTY_SHAPE,
    HERON_FIRST_BAYS,
    HOURS_A_YEAR,
    LATER_BOARDS,
    MODULE_TYPES,
    PARTS,
    PLOVER_CAPACITOR_YEARS,
    PLOVER_SLOTS,
    PLOVER_YEARS,
    RECORDS_FROM,
    ROVERS,
    SEED,
    SERIAL_PREFIX,
    SPARES,
    STRANGERS,
    UNDATED_SHARE,
)

USE_WEIGHTS = (1.5, 1.25, 1.0, 0.75, 0.5)


@dataclass
class Module:
    """A physical module: its papers, and where it stands now (``slot`` is None in the store)."""

    serial: str
    family: str
    module_type: str
    era: str
    origin: str
    made: date | None
    home: tuple | None = None
    fitted: date | None = None
    cycles: int = 0
    cycles_known: bool = True
    recapped: list = field(default_factory=list)
    slot: tuple | None = None
    since: date | None = None
    age_years: float = 0.0
    capacitor_years: float = 0.0
    from_plover: bool = False


def slots_of(desk) -> list:
    """Slots of a desk in order, as (desk, position) with the position as text."""
    return [(desk.name, str(number)) for number in range(1, desk.slots + 1)]


def bay_of(slot: tuple) -> int:
    """The bay a slot is in, from 1."""
    return (int(slot[1]) - 1) // BAY_SLOTS + 1


def zone_of(slot: tuple) -> str:
    """``middle`` or ``edge``."""
    return "middle" if bay_of(slot) in DESK[slot[0]].middle_bays else "edge"


def air_of(slot: tuple) -> float:
    """Air temperature at a slot, °C: it comes in at one end of a bay and rises smoothly to the other."""
    desk = DESK[slot[0]]
    along = (int(slot[1]) - 1) % BAY_SLOTS / (BAY_SLOTS - 1) - 0.5
    return (desk.air_middle_c if zone_of(slot) == "middle" else desk.air_edge_c) + desk.air_rise_c * along


def heat_factor(slot: tuple) -> float:
    """How much faster electrolytics wear there than in the edge bays of that desk on average: the planted effect of its air."""
    return AIR_FACTOR ** ((air_of(slot) - DESK[slot[0]].air_edge_c) / 10)


def use_weight(slot: tuple) -> float:
    """How hard a slot is used; neighbours differ, bays do not."""
    return USE_WEIGHTS[int(slot[1]) * 3 % len(USE_WEIGHTS)]


def original_modules(dice: Dice) -> list[Module]:
    """A module of each type in every slot, as delivered."""
    modules, numbers = [], dict.fromkeys(SERIAL_PREFIX.values(), 0)
    for desk in DESKS:
        for slot in slots_of(desk):
            for module_type in MODULE_TYPES[desk.family]:
                prefix = SERIAL_PREFIX[module_type]
                numbers[prefix] += 1
                era, made = era_of(dice, desk, slot)
                modules.append(
                    Module(
                        f"{prefix}-{numbers[prefix]:03d}",
                        desk.family,
                        module_type,
                        era,
                        "original",
                        made,
                        home=slot,
                        fitted=made + timedelta(days=dice.between(20, 90)),
                    )
                )
        if desk.name == "Heron":
            modules += plover_modules(dice, numbers)
    return modules


def plover_modules(dice: Dice, numbers: dict) -> list[Module]:
    """The modules of the desk bought for parts, as they are known here: a serial and a board issue."""
    modules = []
    for _ in range(PLOVER_SLOTS):
        for module_type in MODULE_TYPES["longshore"]:
            prefix = SERIAL_PREFIX[module_type]
            numbers[prefix] += 1
            modules.append(
                Module(
                    f"{prefix}-{numbers[prefix]:03d}",
                    "longshore",
                    module_type,
                    "1986" if dice.chance(0.5) else "1989",
                    "donor",
                    None,
                    cycles=1,
                    cycles_known=False,
                    age_years=PLOVER_YEARS,
                    capacitor_years=PLOVER_CAPACITOR_YEARS,
                    from_plover=True,
                )
            )
    return modules


def era_of(dice: Dice, desk, slot: tuple) -> tuple[str, date]:
    """Board issue and making date; Heron grew in 1989, old boards and new mixed, and Curlew by twelve slots in 2004."""
    if desk.name == "Curlew":
        late = int(slot[1]) % 4 == 0
        return ("2004", DESK["Dunlin"].made) if late else ("2001", desk.made)
    if desk.family == "saltmarsh":
        return "2004", desk.made
    era = "1986" if dice.chance(0.5) else "1989"
    first_delivery = desk.name == "Heron" and bay_of(slot) <= HERON_FIRST_BAYS and era == "1986"
    return era, desk.made if first_delivery else LATER_BOARDS


def extra_modules(dice: Dice, modules: list[Module]) -> list[Module]:
    """Bought spares that never ran, and donors from elsewhere whose age nobody knows."""
    extras, last = [], {}
    for module in modules:
        last[module.module_type] = int(module.serial[4:])
    for counts, origin in ((SPARES, "bought"), (STRANGERS, "donor")):
        for module_type, count in counts.items():
            family = "saltmarsh" if module_type == "channel" else "longshore"
            for _ in range(count):
                last[module_type] += 1
                era = "2004" if family == "saltmarsh" else "1989"
                made = date(2004, 6, 1) if family == "saltmarsh" else date(1989, 9, 1)
                age_years = 0.0 if origin == "bought" else 8 + 6 * dice.one()
                extras.append(
                    Module(
                        f"{SERIAL_PREFIX[module_type]}-{last[module_type]:03d}",
                        family,
                        module_type,
                        era,
                        origin,
                        made if origin == "bought" else None,
                        age_years=age_years,
                        capacitor_years=age_years,
                    )
                )
    return extras


def recap_before(dice: Dice, modules: list[Module]):
    """Re-cap modules in the campaigns before the records; for some nobody wrote the day down."""
    for module in modules:
        if module.home is None:
            continue
        module.cycles_known = not dice.chance(UNDATED_SHARE)
        for desk, bays, first, pace in CAMPAIGNS_BEFORE:
            if module.home[0] == desk and bay_of(module.home) in bays:
                module.recapped.append(first + timedelta(days=pace * int(module.home[1])))
                module.cycles += 1


def build_modules() -> list[Module]:
    """Every module of the demo as it stood on the first day of the records."""
    dice = Dice(SEED)
    modules = original_modules(dice)
    modules += extra_modules(dice, modules)
    recap_before(dice, modules)
    for module in modules:
        if module.home:
            module.slot, module.since = module.home, module.fitted
        if module.home and dice.chance(0.012):
            module.made = None
    return modules


def build_fleet(modules: list[Module]) -> Fleet:
    """The modules as arrays, with their frailties; the planted bad ones are set by hand."""
    frailty = Dice(SEED + 1).gammas(len(modules), FRAILTY_SHAPE)
    for number, module in enumerate(modules):
        frailty[number] = ROVERS.get(module.serial, frailty[number])
    return Fleet(
        [m.serial for m in modules],
        [m.family for m in modules],
        [m.module_type for m in modules],
        [m.era for m in modules],
        frailty,
    )


def starting_ages(modules: list[Module], lives) -> np.ndarray:
    """Age in hours of every part on the first day: since the last re-cap for electrolytics, else since fitting."""
    kinds = np.array([part.kind == "electrolytic" for part in PARTS])[lives.part]
    on_use = np.array([part.clock == "use" for part in PARTS])[lives.part]
    since_fitting = np.array(
        [hours_until_records(module, module.fitted, module.age_years) for module in modules]
    )
    since_recap = np.array(
        [
            hours_until_records(module, max(module.recapped, default=module.fitted), module.capacitor_years)
            for module in modules
        ]
    )
    weight = np.array([use_weight(module.home) if module.home else 1.0 for module in modules])
    age = np.where(kinds, since_recap[lives.module], since_fitting[lives.module])
    return age * np.where(on_use, weight[lives.module], 1.0)


def hours_until_records(module: Module, since: date | None, elsewhere_years: float) -> float:
    """Powered hours from a day to the first day of the records, in the module's home desk or elsewhere."""
    if module.home is None:
        return elsewhere_years * HOURS_A_YEAR
    return (RECORDS_FROM - since).days * DESK[module.home[0]].hours / 7
