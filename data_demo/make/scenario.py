"""The demo facility on paper: desks, modules, part types, campaigns, and the truths planted in them.

A fictional coastal arts centre with one full-time technician. Every number here is invented to be plausible (common practice, no
source); the tests import the planted truths from here and ask for them back.
"""

from dataclasses import dataclass
from datetime import date, timedelta

SEED = 20260929  # one of thirty tried: in its twelve years every planted effect can be seen
RECORDS_FROM = date(2014, 10, 1)
RECORD_END = date(2026, 9, 30)
HOURS_A_YEAR = 8766
BAY_SLOTS = 8
MODULE_TYPES = {"longshore": ("channel path", "monitor path"), "saltmarsh": ("channel",)}
SERIAL_PREFIX = {"channel path": "LCH", "monitor path": "LMO", "channel": "SCH"}


@dataclass(frozen=True)
class Desk:
    """A desk of the demo; ``regimes`` are (from, hours a week, inlet °C) after the first."""

    name: str
    family: str
    coupling: str
    slots: int
    hours: float
    room: str
    made: date
    middle_bays: tuple[int, ...]
    air_edge_c: float
    air_middle_c: float
    air_rise_c: float = 2.0
    regimes: tuple = ()


DESKS = (
    Desk(
        "Heron",
        "longshore",
        "capacitor",
        56,
        168,
        "concert hall control",
        date(1986, 5, 1),
        (3, 4, 5),
        36.5,
        48.0,
        air_rise_c=3.0,
    ),
    Desk("Curlew", "saltmarsh", "dc", 48, 168, "small hall", date(2001, 9, 1), (3, 4), 33.0, 33.0),
    Desk(
        "Dunlin",
        "saltmarsh",
        "dc",
        40,
        84,
        "teaching room",
        date(2004, 2, 1),
        (2, 3, 4),
        32.0,
        32.0,
        regimes=((date(2020, 4, 1), 42, 20.0), (date(2021, 9, 1), 84, 21.5)),
    ),
)
DESK = {desk.name: desk for desk in DESKS}
# A touring company's desk of Heron's family, bought for parts: nobody kept records of it, its modules are the donors.
PLOVER_SLOTS, PLOVER_BOUGHT_ON, LATER_BOARDS = 36, date(2021, 6, 30), date(1989, 3, 1)
PLOVER_YEARS, PLOVER_CAPACITOR_YEARS = 11.5, 6.0  # powered, when it came; re-capped once, nobody knows when
PLOVER_READY = 4  # of each type, fitted into Heron after 2021; the rest stay on the shelf
PLOVER_LOOKED_AT = 0.3  # share of the others that somebody has inspected since
HERON_FIRST_BAYS = 3  # Heron started in 1986 with these bays and was extended in 1989


@dataclass(frozen=True)
class Part:
    """A part type: its physics (Weibull shape, scale in years of its clock), where it sits, what it costs."""

    name: str
    kind: str
    shape: float
    scale_years: float
    fitted: dict
    prefix: str
    cost: float
    lead_days: int
    obtainable: str = "yes"
    rated_hours: int | None = None
    rated_c: int | None = None
    clock: str = "powered"
    nominal: float | None = None
    esr_ohm: float | None = None


PARTS = (
    Part(
        "electrolytic 10u coupling monitor",
        "electrolytic",
        3.0,
        36.3,
        {"monitor path": 72},
        "C1",
        0.35,
        14,
        rated_hours=2000,
        rated_c=85,
        nominal=10,
        esr_ohm=2.4,
    ),
    Part(
        "electrolytic 22u coupling channel",
        "electrolytic",
        2.5,
        62,
        {"channel path": 84},
        "C3",
        0.40,
        14,
        rated_hours=2000,
        rated_c=85,
        nominal=22,
        esr_ohm=1.6,
    ),
    Part(
        "electrolytic 47u decoupling",
        "electrolytic",
        2.5,
        55,
        {"channel path": 40, "monitor path": 34},
        "C5",
        0.30,
        14,
        rated_hours=2000,
        rated_c=105,
        nominal=47,
        esr_ohm=0.9,
    ),
    Part(
        "electrolytic 100u rail",
        "electrolytic",
        2.5,
        150,
        {"channel": 20},
        "C7",
        0.45,
        14,
        rated_hours=5000,
        rated_c=105,
        nominal=100,
        esr_ohm=0.35,
    ),
    Part(
        "tantalum 4u7",
        "tantalum",
        1.0,
        1600,
        {"channel path": 6, "monitor path": 4},
        "C9",
        0.90,
        21,
        rated_hours=2000,
        rated_c=85,
    ),
    Part(
        "dual op-amp",
        "ic",
        1.0,
        1300,
        {"channel path": 24, "monitor path": 20, "channel": 30},
        "IC1",
        1.20,
        10,
    ),
    Part("gain-control ic", "ic", 1.0, 64, {"channel": 4}, "IC5", 46.0, 180, obtainable="no"),
    Part("logic ic", "ic", 1.0, 700, {"channel": 6}, "IC7", 9.5, 60, obtainable="scarce"),
    Part(
        "push switch 4-pole",
        "switch",
        1.0,
        330,
        {"channel path": 14, "monitor path": 10},
        "SW",
        7.5,
        45,
        obtainable="scarce",
    ),
    Part("push switch 2-pole", "switch", 1.0, 2200, {"channel": 12}, "SW", 3.8, 30),
    Part(
        "rotary pot",
        "pot",
        1.4,
        280,
        {"channel path": 16, "monitor path": 6, "channel": 10},
        "RV",
        4.2,
        30,
        clock="use",
    ),
    Part(
        "fader",
        "fader",
        1.4,
        75,
        {"channel path": 1, "monitor path": 1, "channel": 1},
        "RV9",
        58.0,
        42,
        clock="use",
    ),
    Part("mute relay", "relay", 1.0, 450, {"monitor path": 4, "channel": 2}, "RL", 3.1, 21),
    Part(
        "edge connector",
        "connector",
        1.0,
        2200,
        {"channel path": 2, "monitor path": 2, "channel": 2},
        "PL",
        6.4,
        30,
    ),
    Part(
        "indicator lamp",
        "lamp",
        1.0,
        450,
        {"channel path": 5, "monitor path": 3, "channel": 2},
        "LP",
        0.8,
        10,
    ),
)
PART = {part.name: part for part in PARTS}

# Planted truths.
ZONE_FACTOR = 2.2  # electrolytics in Heron's middle bays against its edge bays, on average
AIR_FACTOR = ZONE_FACTOR ** (
    10 / 11.5
)  # so many times the hazard of electrolytics for each 10 °C more of slot air
HOT_DESK = "Heron"
SWITCH_ERA_FACTOR = 3.5  # switches on boards of era 1986; no other part, no other era
SWITCH_ERA = "1986"
FRAILTY_SHAPE = 4  # gamma spread between modules, mean 1
ROVERS = {"LMO-019": 4.5, "SCH-012": 5.0}  # two bad modules; their faults follow them
ROVER_JOINTS_A_YEAR = {"SCH-012": 0.5}  # and a joint of one of them that opens again and again
ROVER_RECAPPED = ("LMO-019", date(2018, 5, 14))  # the worst channel, re-capped on its own
ROVER_SYMPTOM = {"LMO-019": "monitor drops out when warm", "SCH-012": "cuts out then comes back"}
BAD_SLOT = ("Heron", "23")  # its connector keeps failing whatever module sits there
BAD_SLOT_DAYS = (
    date(2018, 10, 9),
    date(2019, 3, 12),
    date(2019, 7, 2),
    date(2019, 11, 19),
    date(2020, 2, 18),
    date(2020, 8, 11),
)
BAD_SLOT_SYMPTOM = "monitor crackle, goes if you lean on the module"
SLOT_FAULTS = (("Curlew", "40", date(2024, 6, 10)),)  # another connector of a frame, once
# A supply rail that sagged: several slots of one bay in three days, as (position, days later); of the last nothing was found.
DIP_DESK, DIP_FROM, DIP_SLOTS = "Curlew", date(2026, 8, 18), (("18", 0), ("21", 1), ("23", 2))
IN_LIMIT_SHARE = 0.24  # failed electrolytics beside which a good one was changed first, on suspicion
CLEANED_FIRST_SHARE = 0.3  # worn switches, pots and faders that were only cleaned the first time
TRACED_SHARE = 0.65  # faults that had to be traced
SILENT_SHARE = 0.15  # electrolytic failures nobody hears, found in the next re-cap
RETURN_SHARE = 0.08  # works that go wrong within 30 days
NO_FAULT_SHARE, NOT_DESK_SHARE, REPORT_SHARE = 0.18, 0.10, 0.05
FAULTS_A_YEAR = {
    "clean": 0.013,
    "re-solder": 0.010,
    "adjust": 0.006,
}  # per powered module-year, no part changed
TRACKS_A_YEAR_A_CYCLE = 0.004  # lifted tracks heard as faults, per powered module-year and rework cycle
TRACKS_A_WORK_A_CYCLE = 0.02  # tracks lifted while a part is changed, per rework cycle
TRACKS_A_RECAP_A_CYCLE = 0.09  # tracks lifted in a re-cap, per rework cycle gone before
CAPACITANCE_LOSS_A_YEAR = 0.014  # share of the first value lost per powered year, edge bays
ESR_RISE_A_YEAR = 0.12
DRYING_SPREAD = 0.3  # of the logarithm of that pace, from one capacitor to the next
SCARCE_PART, SCARCE_ON_HAND = "gain-control ic", 3
CARE_MINUTES = {"switch": 19, "pot": 16, "fader": 45}  # of the weekly cleaning, each
SPARES_TRIED = (3, 9)  # months in which the spares on the shelf are powered and tried

# Re-cap campaigns: (desk, bays, first day, days between slots, part_type or None for all electrolytics).
CAMPAIGNS_BEFORE = (
    ("Heron", (1, 2, 3, 4, 5, 6, 7), date(1999, 1, 11), 5),
    ("Heron", (1, 2, 3, 4, 5, 6, 7), date(2007, 1, 8), 6),
)
CAMPAIGNS = (
    ("Heron", (1,), date(2016, 2, 8), 3, None),
    ("Heron", (2,), date(2016, 10, 3), 3, None),
    ("Heron", (3,), date(2017, 7, 10), 3, None),
    ("Heron", (4,), date(2018, 1, 15), 3, None),
    ("Heron", (5,), date(2021, 1, 11), 3, None),
    ("Heron", (7,), date(2023, 1, 9), 3, None),
    ("Heron", (6,), date(2023, 7, 17), 3, "electrolytic 10u coupling monitor"),
)
NO_SERIAL_SHARE = 0.03  # answered repairs that name only desk and position
UNDATED_SHARE = 0.12  # modules whose re-caps before the records nobody wrote down
SPARES = {"channel path": 4, "monitor path": 4, "channel": 5}
STRANGERS = {"channel path": 3, "monitor path": 3, "channel": 2}  # donors from elsewhere, of unknown age
STRANGERS_COME_ON = date(2016, 6, 1)
SCRAP_AFTER = (
    (date(2017, 11, 1), "monitor path"),
    (date(2020, 1, 10), "channel path"),
    (date(2022, 5, 2), "channel"),
    (date(2024, 3, 4), "monitor path"),
)
PREVENTIVE = ("Dunlin", range(1, 11), date(2022, 8, 8), "fader")  # healthy faders changed as planned work
SPOT_CHECKS, SPOT_CHECKS_FROM, SPOT_CHECK_EVERY = 40, date(2019, 2, 4), timedelta(days=69)
