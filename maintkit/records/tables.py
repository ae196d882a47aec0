"""The data dictionary: every table, column, type, unit and rule of the record book, in one place."""

from dataclasses import dataclass

SQL_TYPE = {"text": "varchar", "choice": "varchar", "date": "date", "number": "double", "whole": "bigint"}


@dataclass(frozen=True)
class Column:
    """One column of a record table.

    ``kind`` is ``text``, ``choice``, ``date``, ``number`` or ``whole``; ``low`` and ``high`` bound
    numbers inclusively; ``refers_to`` names ``table.column`` holding the known values; a date with
    ``may_be_ahead`` may lie after the day of loading.
    """

    name: str
    kind: str
    meaning: str
    required: bool = False
    default: str | int | float | None = None
    choices: tuple[str, ...] = ()
    unit: str = ""
    low: float | None = None
    high: float | None = None
    refers_to: str = ""
    may_be_ahead: bool = False


@dataclass(frozen=True)
class RowRule:
    """A rule one row can break by itself: true where ``holds`` (SQL over the typed columns) is true."""

    holds: str
    column: str
    rule: str
    remedy: str


@dataclass(frozen=True)
class Table:
    """One record table: what a row is, its columns, its key, and what keeping it makes answerable."""

    name: str
    row_is: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    required: bool = False
    unlocks: str = ""
    row_rules: tuple[RowRule, ...] = ()

    def column(self, name: str) -> Column:
        """The column of that name; KeyError if the table has none."""
        return {column.name: column for column in self.columns}[name]


DESK = Column("desk", "text", "the desk's name", required=True, refers_to="desks.desk")
COUPLINGS = ("capacitor", "dc")
ORIGINS = ("original", "donor", "bought")
IMPACTS = ("stopped session", "worked round", "nuisance", "found on check")
OUTCOMES = ("fault found", "no fault found", "not the desk", "open")
ACTIONS = (
    "replace",
    "re-cap",
    "clean",
    "re-solder",
    "bridge track",
    "adjust",
    "swap module",
    "test",
    "scrap",
)
CAUSES = ("confirmed", "suspected", "unknown")
AS_FOUND = ("failed", "out of limit", "in limit", "not measured")
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
YES_NO = ("yes", "no")

TABLES = (
    Table(
        "desks",
        "a desk",
        (
            Column("desk", "text", "the desk's name", required=True),
            Column(
                "family",
                "text",
                "the construction it shares with other desks; spares fit within a family",
                required=True,
            ),
            Column("coupling", "choice", "how its stages are coupled", required=True, choices=COUPLINGS),
            Column("records_from", "date", "first day from which every ticket was kept", required=True),
            Column("retired_on", "date", "day it left service"),
            Column("room", "text", "where it stands"),
            Column(
                "powered_hours_per_week",
                "number",
                "hours a week it is switched on",
                default=168,
                unit="h",
                low=0,
                high=168,
            ),
        ),
        ("desk",),
        required=True,
    ),
    Table(
        "power",
        "a change of regime of a desk",
        (
            DESK,
            Column("from_on", "date", "first day of the regime", required=True),
            Column(
                "powered_hours_per_week",
                "number",
                "hours a week it is switched on",
                unit="h",
                low=0,
                high=168,
            ),
            Column("inlet_c", "number", "temperature of the air going in", unit="°C", low=-20, high=120),
        ),
        ("desk", "from_on"),
        unlocks="powered time where the hours a week have changed",
    ),
    Table(
        "positions",
        "a slot of a desk",
        (
            DESK,
            Column("position", "text", "the slot", required=True),
            Column("bay", "text", "frame section the slot is in"),
            Column("zone", "text", "the site's own word for where in the desk: edge, middle …"),
            Column("use_weight", "number", "how hard the slot is used, 1 = average", default=1, low=0),
            Column("air_c", "number", "air temperature at the slot", unit="°C", low=-20, high=120),
        ),
        ("desk", "position"),
        unlocks="differences by bay and zone, and slots that never failed",
    ),
    Table(
        "modules",
        "a physical module",
        (
            Column("serial", "text", "the module's own number", required=True),
            Column("family", "text", "construction family", required=True),
            Column("module_type", "text", "what the module does", required=True),
            Column("board_era", "text", "board issue or period"),
            Column("origin", "choice", "how it came", choices=ORIGINS),
            Column("rework_cycles_before", "whole", "re-caps before the records begin", low=0),
            Column("made_on", "date", "day or month of making"),
        ),
        ("serial",),
        unlocks="ages and lives of modules, and modules that never failed",
    ),
    Table(
        "fitments",
        "a module's stay in a slot",
        (
            Column("serial", "text", "the module", required=True, refers_to="modules.serial"),
            DESK,
            Column("position", "text", "the slot", required=True, refers_to="positions.position"),
            Column("fitted_on", "date", "day it went in", required=True),
            Column("removed_on", "date", "day it came out; blank while it is in"),
        ),
        ("serial", "desk", "position", "fitted_on"),
        unlocks="whether a fault follows the module or the slot",
        row_rules=(
            RowRule(
                "removed_on is null or removed_on >= fitted_on",
                "removed_on",
                "A module cannot come out before it went in.",
                "Correct whichever of the two dates is wrong.",
            ),
        ),
    ),
    Table(
        "tickets",
        "a reported fault: what the user heard",
        (
            Column("ticket", "text", "the ticket's number", required=True),
            Column("raised_on", "date", "day it was reported", required=True),
            DESK,
            Column("position", "text", "the slot", refers_to="positions.position"),
            Column("module_type", "text", "which module, where several share the slot"),
            Column("symptom", "text", "what was heard, word for word"),
            Column("impact", "choice", "what it did to the session", choices=IMPACTS),
            Column("minutes_lost", "number", "session time lost", unit="min", low=0),
            Column("outcome", "choice", "what it turned out to be", choices=OUTCOMES),
            Column("restored_on", "date", "day service was back"),
            Column("closed_on", "date", "day the work was finished"),
        ),
        ("ticket",),
        required=True,
    ),
    Table(
        "repairs",
        "one piece of work: what the technician found",
        (
            Column("repair", "text", "the work's number", required=True),
            Column("done_on", "date", "day it was done", required=True),
            Column("serial", "text", "the module worked on", refers_to="modules.serial"),
            Column("desk", "text", "the desk, where no serial is known", refers_to="desks.desk"),
            Column("position", "text", "the slot, where no serial is known", refers_to="positions.position"),
            Column("ticket", "text", "the ticket it answers", refers_to="tickets.ticket"),
            Column("action", "choice", "what was done", required=True, choices=ACTIONS),
            Column("part_type", "text", "the kind of part", refers_to="part_types.part_type"),
            Column("ref", "text", "reference designator on the board"),
            Column("quantity", "whole", "how many parts", default=1, low=1, high=10000),
            Column("finding", "text", "what was found, word for word"),
            Column("cause", "choice", "how sure the cause is", default="unknown", choices=CAUSES),
            Column(
                "as_found",
                "choice",
                "state of the part before the work",
                default="not measured",
                choices=AS_FOUND,
            ),
            Column("bench_minutes", "number", "hands-on time", unit="min", low=0),
            Column(
                "planned",
                "choice",
                "planned work, not the answer to a fault (a re-cap unless it says no)",
                choices=YES_NO,
            ),
            Column("donor_serial", "text", "module the part came from", refers_to="modules.serial"),
        ),
        ("repair",),
        required=True,
        row_rules=(
            RowRule(
                "serial is not null or (desk is not null and position is not null)",
                "serial",
                "Work needs a serial, or a desk and a position.",
                "Fill in the serial, or both desk and position.",
            ),
        ),
    ),
    Table(
        "shelf",
        "a module or part batch in the store",
        (
            Column("serial", "text", "the module", refers_to="modules.serial"),
            Column("part_type", "text", "the kind of part", refers_to="part_types.part_type"),
            Column("shelf_in", "date", "day it went on the shelf", required=True),
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
        unlocks="which re-caps renew which parts, and lives by kind",
    ),
    Table(
        "parts_list",
        "how many of a part a module holds",
        (
            Column("family", "text", "construction family", required=True),
            Column("module_type", "text", "what the module does", required=True),
            Column(
                "board_era", "text", "board issue or period; blank means every one without a row of its own"
            ),
            Column("part_type", "text", "the kind of part", required=True, refers_to="part_types.part_type"),
            Column("quantity", "whole", "how many", required=True, low=1, high=10000),
        ),
        ("family", "module_type", "board_era", "part_type"),
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
            Column("nominal", "number", "printed value, in unit", required=True),
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
            Column("counted_on", "date", "day of counting", required=True),
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
)

TABLE = {table.name: table for table in TABLES}


def table_ddl(table: Table) -> str:
    """The ``create table`` statement of a record table: its columns, then where each row came from."""
    columns = [f'"{column.name}" {SQL_TYPE[column.kind]}' for column in table.columns]
    columns += ['"source_file" varchar', '"source_row" bigint', '"load" bigint']
    return f'create table "{table.name}" (\n  ' + ",\n  ".join(columns) + "\n)"
