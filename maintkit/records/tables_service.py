"""The tables of what is in service and what happens to it: desks, slots, modules, tickets, work."""

from maintkit.actions import ACTIONS
from maintkit.hours import HOURS_PER_WEEK

from .columns import Column, RowRule, Table

DESK = Column("desk", "text", "the desk's name", required=True, refers_to="desks.desk")
COUPLINGS = ("capacitor", "dc")
ORIGINS = ("original", "donor", "bought")
IMPACTS = ("stopped session", "worked round", "nuisance", "found on check")
OUTCOMES = ("fault found", "no fault found", "not the desk", "open")
CAUSES = ("confirmed", "suspected", "unknown")
AS_FOUND = ("failed", "out of limit", "in limit", "not measured")
YES_NO = ("yes", "no")
PLACES = ("slot", "rail", "cable")

TABLES_IN_SERVICE = (
    Table(
        "desks",
        "a desk",
        (
            Column("desk", "text", "the desk's name", required=True),
            Column(
                "family",
                "text",
                "the construction it shares with other desks; spares fit within a family; blank: one of its own",
                default_from="desk",
            ),
            Column("coupling", "choice", "how its stages are coupled", choices=COUPLINGS),
            Column(
                "records_from",
                "date",
                "first day from which every ticket was kept",
                when_blank="the day of the desk's first entry",
            ),
            Column("retired_on", "date", "day it left service"),
            Column("room", "text", "where it stands"),
            Column(
                "powered_hours_per_week",
                "number",
                "hours a week it is switched on",
                default=HOURS_PER_WEEK,
                unit="h",
                low=0,
                high=HOURS_PER_WEEK,
            ),
        ),
        ("desk",),
        unlocks="desks without a ticket, their families, couplings and hours",
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
                high=HOURS_PER_WEEK,
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
            Column("in_use_to", "date", "last day the slot was in use; blank while it is"),
        ),
        ("desk", "position"),
        unlocks="differences by bay and zone, and slots that never failed",
    ),
    Table(
        "modules",
        "a physical module",
        (
            Column("serial", "text", "the module's own number", required=True),
            Column(
                "family",
                "text",
                "construction family",
                when_blank="that of the desk it sits in, or sat in last; else that of the modules of its type",
            ),
            Column("module_type", "text", "what the module does", default="module"),
            Column("board_era", "text", "board issue or period"),
            Column("origin", "choice", "how it came", choices=ORIGINS),
            Column("rework_cycles_before", "whole", "re-caps before the records begin", low=0),
            Column("made_on", "date", "day, month or year of making"),
            Column(
                "desk",
                "text",
                "the desk it sits in today, in a book without fitments; blank in the store",
                refers_to="desks.desk",
            ),
            Column(
                "position",
                "text",
                "the slot it sits in today, in a book without fitments; what happened there before stays the slot's",
                refers_to="positions.position",
            ),
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
            Column(
                "raised_on",
                "date",
                "day it was reported, with or without the time",
                required=True,
                time_in="raised_at",
            ),
            DESK,
            Column("position", "text", "the slot", refers_to="positions.position"),
            Column("module_type", "text", "which module, where several share the slot"),
            Column("symptom", "text", "what was heard, word for word"),
            Column("impact", "choice", "what it did to the session", choices=IMPACTS),
            Column("minutes_lost", "minutes", "session time lost", unit="min", low=0, shared=True),
            Column("outcome", "choice", "what it turned out to be", choices=OUTCOMES),
            Column(
                "restored_on",
                "date",
                "day service was back, with or without the time",
                time_in="restored_at",
            ),
            Column(
                "closed_on",
                "date",
                "day the work was finished, with or without the time",
                time_in="closed_at",
            ),
            Column("raised_at", "clock", "time of day it was reported, where it has a column of its own"),
            Column("restored_at", "clock", "time of day service was back"),
            Column("closed_at", "clock", "time of day the work was finished"),
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
            Column(
                "action",
                "choice",
                "what was done",
                required=True,
                choices=tuple(action.name for action in ACTIONS),
            ),
            Column("part_type", "text", "the kind of part", refers_to="part_types.part_type"),
            Column(
                "where",
                "choice",
                "what failed, where it was no module's part: counted apart, and no module is charged with it",
                choices=PLACES,
            ),
            Column("ref", "text", "reference designator on the board"),
            Column("quantity", "whole", "how many parts", default=1, low=1, high=10000, shared=True),
            Column("finding", "text", "what was found, word for word"),
            Column(
                "cause",
                "choice",
                "how sure the cause is; unknown where it was looked for and not found, blank where nothing was written",
                choices=CAUSES,
            ),
            Column(
                "as_found",
                "choice",
                "state of the part before the work",
                default="not measured",
                choices=AS_FOUND,
            ),
            Column("bench_minutes", "minutes", "hands-on time", unit="min", low=0, shared=True),
            Column(
                "planned",
                "choice",
                "planned work, not the answer to a fault (a re-cap that names no ticket, unless it says no)",
                choices=YES_NO,
            ),
            Column("donor_serial", "text", "module the part came from", refers_to="modules.serial"),
            Column("waits_for", "text", "part type or words, while the work stands still for it"),
        ),
        ("repair",),
        unlocks="which parts were changed, lives, causes and what holds",
        row_rules=(
            RowRule(
                'serial is not null or ticket is not null or (desk is not null and (position is not null or "where" is not null))',
                "serial",
                "Work needs a serial, a ticket, or a desk and a position.",
                "Fill in the serial, the ticket, or both desk and position (for a rail or cable: desk and where).",
            ),
        ),
    ),
)
