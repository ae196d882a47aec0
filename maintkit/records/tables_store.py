"""The tables of what is kept beside the desks: spares, parts, measurements, decisions, documents."""

from .columns import Column, RowRule, Table
from .tables_service import DESK, YES_NO

KINDS = (
    "electrolytic",
    "tantalum",
    "film",
    "ic",
    "transistor",
    "switch",
    "pot",
    "fader",
    "connector",
    "relay",
    "lamp",
    "other",
)
OBTAINABLE = ("yes", "scarce", "no")
MEASURES = ("capacitance", "esr", "leakage")
CONDITIONS = ("working", "repairable", "strip only")
AGREED = ("agreed", "put off", "refused")
DOCUMENTS = ("circuit", "board drawing", "manual", "note")


TABLES_BESIDE = (
    Table(
        "shelf",
        "a module or part batch in the store",
        (
            Column("serial", "text", "the module", refers_to="modules.serial"),
            Column("part_type", "text", "the kind of part", refers_to="part_types.part_type"),
            Column("shelf_in", "date", "day it went on the shelf", required=True),
            Column("place", "text", "where it lies: shelf, box"),
            Column("last_powered_on", "date", "day it last ran"),
            Column("last_tested_on", "date", "day it was last tested"),
            Column("date_code", "text", "maker's date code"),
        ),
        ("serial", "part_type", "shelf_in"),
        unlocks="how long spares have been unpowered",
        row_rules=(
            RowRule(
                "serial is not null or part_type is not null",
                "serial",
                "A shelf row needs a serial or a part_type.",
                "Fill in one of the two.",
            ),
        ),
    ),
    Table(
        "bookings",
        "when a desk can be worked on",
        (
            DESK,
            Column("free_from", "date", "first free day", required=True, may_be_ahead=True),
            Column("free_to", "date", "last free day", required=True, may_be_ahead=True),
        ),
        ("desk", "free_from"),
        unlocks="work planned into the gaps between sessions",
        row_rules=(
            RowRule(
                "free_to >= free_from",
                "free_to",
                "A gap cannot end before it begins.",
                "Correct whichever of the two dates is wrong.",
            ),
        ),
    ),
    Table(
        "part_types",
        "a kind of part",
        (
            Column("part_type", "text", "the kind of part", required=True),
            Column("kind", "choice", "its physics", required=True, choices=KINDS),
            Column("unit_cost", "number", "cost of one", low=0),
            Column("lead_time_days", "number", "days from order to shelf", unit="d", low=0),
            Column("obtainable", "choice", "whether it can be bought", choices=OBTAINABLE),
            Column("rated_hours", "number", "endurance at the rated temperature", unit="h", low=0),
            Column("rated_c", "number", "rated temperature", unit="°C", low=-20, high=300),
        ),
        ("part_type",),
        unlocks="the kinds of parts whose names do not tell them, prices, and what can still be bought",
    ),
    Table(
        "parts_list",
        "how many of a part a module holds",
        (
            Column(
                "family",
                "text",
                "construction family",
                when_blank="every family without a row of its own that has such a module",
            ),
            Column("module_type", "text", "what the module does", required=True),
            Column(
                "board_era", "text", "board issue or period; blank means every one without a row of its own"
            ),
            Column("part_type", "text", "the kind of part", required=True, refers_to="part_types.part_type"),
            Column("quantity", "whole", "how many", required=True, low=1, high=10000),
            Column("role", "text", "what it does there: coupling, decoupling, rail …"),
        ),
        ("family", "module_type", "board_era", "part_type", "role"),
        unlocks="lives of parts, since healthy parts can be counted",
    ),
    Table(
        "readings",
        "a bench measurement",
        (
            Column("serial", "text", "the module", required=True, refers_to="modules.serial"),
            Column("part_type", "text", "the kind of part", required=True, refers_to="part_types.part_type"),
            Column("ref", "text", "reference designator on the board"),
            Column("measured_on", "date", "day of measuring", required=True),
            Column("measure", "choice", "what was measured", required=True, choices=MEASURES),
            Column(
                "nominal",
                "number",
                "printed value, in unit",
                when_blank="of a capacitance the one that the part is called by, such as 47 of 47u 35V",
            ),
            Column("value", "number", "measured value, in unit", required=True),
            Column("unit", "text", "unit of nominal and value", required=True),
            Column("frequency_hz", "number", "test frequency", unit="Hz", low=0),
            Column("air_c", "number", "air temperature at the bench", unit="°C", low=-20, high=120),
            Column("in_circuit", "choice", "measured in circuit", choices=YES_NO),
            Column("baseline", "number", "first value of that part or batch, in unit"),
        ),
        ("serial", "part_type", "ref", "measured_on", "measure"),
        unlocks="whether capacitors are drying out",
    ),
    Table(
        "stock",
        "a count of spares",
        (
            Column("part_type", "text", "the kind of part", required=True, refers_to="part_types.part_type"),
            Column("on_hand", "whole", "how many are there", required=True, low=0),
            Column(
                "counted_on", "date", "day of counting", when_blank="the day of the last entry in the book"
            ),
        ),
        ("part_type", "counted_on"),
        unlocks="what runs out first",
    ),
    Table(
        "inspections",
        "the state of a module on a day",
        (
            Column("serial", "text", "the module", required=True, refers_to="modules.serial"),
            Column("inspected_on", "date", "day it was looked at", required=True),
            Column("condition", "choice", "its state", required=True, choices=CONDITIONS),
            Column("damaged_tracks", "whole", "lifted or bridged tracks seen", low=0),
            Column("note", "text", "anything else"),
        ),
        ("serial", "inspected_on"),
        unlocks="which donor modules are worth their shelf",
    ),
    Table(
        "decisions",
        "what a review proposed, for one module or part",
        (
            Column("review", "text", "the quarter reviewed, such as 2026Q3", required=True),
            Column("decision", "text", "its number in that review", required=True),
            Column("what", "text", "what was proposed", required=True),
            Column("serial", "text", "the module", refers_to="modules.serial"),
            Column("part_type", "text", "the kind of part", refers_to="part_types.part_type"),
            Column("desk", "text", "the desk", refers_to="desks.desk"),
            Column("position", "text", "the slot", refers_to="positions.position"),
            Column("cost", "number", "what it was to cost", low=0),
            Column("minutes_saved_expected", "number", "session minutes it was to save", unit="min"),
            Column("faults_expected", "number", "faults expected there without it", low=0),
            Column("due_on", "date", "day by which it was to be done", may_be_ahead=True),
            Column("agreed", "choice", "what was decided", choices=AGREED),
            Column("done_on", "date", "day it was done"),
            Column("note", "text", "anything else"),
        ),
        ("review", "decision", "serial", "part_type", "desk", "position"),
        unlocks="what became of last quarter's decisions",
    ),
    Table(
        "documents",
        "a drawing or manual",
        (
            Column("document", "text", "its name or number", required=True),
            Column("of", "text", "the desk, family or module type it is of", required=True),
            Column("kind", "choice", "what it is", choices=DOCUMENTS),
            Column("where", "text", "where it is kept: folder, file, shelf", required=True),
            Column("pages", "text", "the pages that matter"),
        ),
        ("document", "of"),
        unlocks="where the drawing lies, on the bench card",
    ),
)
