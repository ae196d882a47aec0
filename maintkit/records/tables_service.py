"""The tables of what is in service and what happens to it: desks, slots, modules, tickets, work."""

from maintkit.actions import ACTIONS
from maintkit.hours import HOURS_PER_WEEK

from .columns import RowRule, Table, columns

TABLES_IN_SERVICE = (
    Table(
        "desks",
        "a desk",
        columns(f"""
            desk*                  | text   | the desk's name
            family                 | text
                | the construction it shares with other desks; spares fit within a family; blank: one of its own
                | default_from=desk
            coupling               | choice | how its stages are coupled | choices=capacitor / dc
            records_from           | date   | first day from which every ticket was kept
                | when_blank=the day of the first entry of any desk but re-caps, or of its own where that is much later
            retired_on             | date   | day it left service
            room                   | text   | where it stands
            powered_hours_per_week | number | hours a week it is switched on | default={HOURS_PER_WEEK}
                | unit=h | low=0 | high={HOURS_PER_WEEK}
        """),
        ("desk",),
        unlocks="desks without a ticket, their families, couplings and hours",
    ),
    Table(
        "power",
        "a change of regime of a desk",
        columns(f"""
            desk*                  | text   | the desk's name | refers_to=desks.desk
            from_on*               | date   | first day of the regime
            powered_hours_per_week | number | hours a week it is switched on | unit=h | low=0
                | high={HOURS_PER_WEEK}
            inlet_c                | number | temperature of the air going in | unit=°C | low=-20 | high=120
        """),
        ("desk", "from_on"),
        unlocks="powered time where the hours a week have changed",
    ),
    Table(
        "positions",
        "a slot of a desk",
        columns("""
            desk*      | text   | the desk's name | refers_to=desks.desk
            position*  | text   | the slot
            bay        | text   | frame section the slot is in
            zone       | text   | the site's own word for where in the desk: edge, middle …
            use_weight | number | how hard the slot is used, 1 = average | default=1 | low=0
            air_c      | number | air temperature at the slot | unit=°C | low=-20 | high=120
            in_use_to  | date   | last day the slot was in use; blank while it is
        """),
        ("desk", "position"),
        unlocks="differences by bay and zone, and slots that never failed",
    ),
    Table(
        "modules",
        "a physical module",
        columns("""
            serial*              | text   | the module's own number
            family               | text   | construction family
                | when_blank=that of the desk it sits in, sat in last or is listed under; else that of the modules of its type
            module_type          | text   | what the module does | default=module
            board_era            | text   | board issue or period
            origin               | choice | how it came | choices=original / donor / bought
            rework_cycles_before | whole  | re-caps before the records begin | low=0
            made_on              | date   | day, month or year of making | may_be_short
            desk                 | text
                | the desk it sits in today, where no fitment of it is on record; blank in the store
                | refers_to=desks.desk
            position             | text
                | the slot it sits in today, where no fitment of it is on record; what happened there before stays the slot's
                | refers_to=positions.position
        """),
        ("serial",),
        unlocks="ages and lives of modules, and modules that never failed",
    ),
    Table(
        "fitments",
        "a module's stay in a slot",
        columns("""
            serial*    | text | the module | refers_to=modules.serial
            desk*      | text | the desk's name | refers_to=desks.desk
            position*  | text | the slot | refers_to=positions.position
            fitted_on* | date | day it went in
            removed_on | date | day it came out; blank while it is in
            old_serial | text | the module that came out of the slot that day to make room | refers_to=modules.serial
        """),
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
        columns("""
            ticket*      | text    | the ticket's number
            raised_on*   | date    | day it was reported, with or without the time | time_in=raised_at
            desk*        | text    | the desk's name | refers_to=desks.desk
            position     | text    | the slot | refers_to=positions.position
            module_type  | text    | which module, where several share the slot
            symptom      | text    | what was heard, word for word
            impact       | choice  | what it did to the session
                | choices=stopped session / worked round / nuisance / found on check
            minutes_lost | minutes | session time lost | unit=min | low=0 | shared
            outcome      | choice  | what it turned out to be
                | choices=fault found / no fault found / not the desk / open
            restored_on  | date    | day service was back, with or without the time | time_in=restored_at
            closed_on    | date    | day the work was finished, with or without the time | time_in=closed_at
            raised_at    | clock   | time of day it was reported, where it has a column of its own
            restored_at  | clock   | time of day service was back
            closed_at    | clock   | time of day the work was finished
        """),
        ("ticket",),
        required=True,
    ),
    Table(
        "repairs",
        "one piece of work: what the technician found",
        columns(f"""
            repair*       | text    | the work's number
            done_on*      | date    | day it was done
            serial        | text    | the module worked on | refers_to=modules.serial
            desk          | text    | the desk, where no serial is known | refers_to=desks.desk
            position      | text    | the slot, where no serial is known | refers_to=positions.position
            ticket        | text    | the ticket it answers | refers_to=tickets.ticket
            action*       | choice  | what was done | choices={" / ".join(action.name for action in ACTIONS)}
            part_type     | text    | the kind of part | refers_to=part_types.part_type
            where         | choice
                | what failed, where it was no module's part: counted apart, and no module is charged with it
                | choices=slot / rail / cable
            ref           | text    | reference designator on the board
            quantity      | whole   | how many parts | default=1 | low=1 | high=10000 | shared
            finding       | text
                | what was found, word for word; of work that mends nothing, no fault found or not the desk in it settles the report
            cause         | choice
                | how sure the cause is; unknown where it was looked for and not found, blank where nothing was written
                | choices=confirmed / suspected / unknown
            as_found      | choice  | state of the part before the work | default=not measured
                | choices=failed / out of limit / in limit / not measured
            bench_minutes | minutes | hands-on time | unit=min | low=0 | shared
            planned       | choice
                | planned work, not the answer to a fault (a re-cap that names no ticket, unless it says no)
                | choices=yes / no
            donor_serial  | text    | module the part came from | refers_to=modules.serial
            waits_for     | text    | part type or words, while the work stands still for it
            began_on      | date    | day it was begun, or the module came to the bench, where that was before done_on
            put_in        | text    | the module that sits in the slot from that day on, where modules were swapped | refers_to=modules.serial
        """),
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
