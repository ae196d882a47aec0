"""The tables of what is kept beside the desks: spares, parts, measurements, decisions, documents."""

from .columns import RowRule, Table, columns

TABLES_BESIDE = (
    Table(
        "shelf",
        "a module or part batch in the store",
        columns("""
            serial          | text | the module | refers_to=modules.serial
            part_type       | text | the kind of part | refers_to=part_types.part_type
            shelf_in*       | date | day it went on the shelf
            place           | text | where it lies: shelf, box
            last_powered_on | date | day it last ran
            last_tested_on  | date | day it was last tested
            date_code       | text | maker's date code
        """),
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
        columns("""
            desk*      | text | the desk's name | refers_to=desks.desk
            free_from* | date | first free day | may_be_ahead
            free_to*   | date | last free day | may_be_ahead
        """),
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
        columns("""
            part_type*     | text   | the kind of part
            kind*          | choice | its physics
                | choices=electrolytic / tantalum / film / ic / transistor / switch / pot / fader / connector / relay / lamp / other
            unit_cost      | number | cost of one | low=0
            lead_time_days | number | days from order to shelf | unit=d | low=0
            obtainable     | choice | whether it can be bought | choices=yes / scarce / no
            rated_hours    | number | endurance at the rated temperature | unit=h | low=0
            rated_c        | number | rated temperature | unit=°C | low=-20 | high=300
        """),
        ("part_type",),
        unlocks="the kinds of parts whose names do not tell them, prices, and what can still be bought",
    ),
    Table(
        "parts_list",
        "how many of a part a module holds",
        columns("""
            family       | text  | construction family
                | when_blank=every family without a row of its own that has such a module
            module_type* | text  | what the module does
            board_era    | text  | board issue or period; blank means every one without a row of its own
            part_type*   | text  | the kind of part | refers_to=part_types.part_type
            quantity*    | whole | how many | low=1 | high=10000
            role         | text  | what it does there: coupling, decoupling, rail …
        """),
        ("family", "module_type", "board_era", "part_type", "role"),
        unlocks="lives of parts, since healthy parts can be counted",
    ),
    Table(
        "readings",
        "a bench measurement",
        columns("""
            serial*      | text   | the module | refers_to=modules.serial
            part_type*   | text   | the kind of part | refers_to=part_types.part_type
            ref          | text   | reference designator on the board
            measured_on* | date   | day of measuring
            measure*     | choice | what was measured | choices=capacitance / esr / leakage
            nominal      | number | printed value, in unit
                | when_blank=of a capacitance the one that the part is called by, such as 47 of 47u 35V
            value*       | number | measured value, in unit
            unit*        | text   | unit of nominal and value
            frequency_hz | number | test frequency | unit=Hz | low=0
            air_c        | number | air temperature at the bench | unit=°C | low=-20 | high=120
            in_circuit   | choice | measured in circuit | choices=yes / no
            baseline     | number | first value of that part or batch, in unit
        """),
        ("serial", "part_type", "ref", "measured_on", "measure"),
        unlocks="whether capacitors are drying out",
    ),
    Table(
        "stock",
        "a count of spares",
        columns("""
            part_type* | text  | the kind of part | refers_to=part_types.part_type
            on_hand*   | whole | how many are there | low=0
            counted_on | date  | day of counting | when_blank=the day of the last entry in the book
        """),
        ("part_type", "counted_on"),
        unlocks="what runs out first",
    ),
    Table(
        "inspections",
        "the state of a module on a day",
        columns("""
            serial*        | text   | the module | refers_to=modules.serial
            inspected_on*  | date   | day it was looked at
            condition*     | choice | its state | choices=working / repairable / strip only
            damaged_tracks | whole  | lifted or bridged tracks seen | low=0
            note           | text   | anything else
        """),
        ("serial", "inspected_on"),
        unlocks="which donor modules are worth their shelf",
    ),
    Table(
        "decisions",
        "what a review proposed, for one module or part",
        columns("""
            review*                | text   | the quarter reviewed, such as 2026Q3
            decision*              | text   | its number in that review
            what*                  | text   | what was proposed
            serial                 | text   | the module | refers_to=modules.serial
            part_type              | text   | the kind of part | refers_to=part_types.part_type
            desk                   | text   | the desk | refers_to=desks.desk
            position               | text   | the slot | refers_to=positions.position
            cost                   | number | what it was to cost | low=0
            minutes_saved_expected | number | session minutes it was to save | unit=min
            faults_expected        | number | faults expected there without it | low=0
            due_on                 | date   | day by which it was to be done | may_be_ahead
            agreed                 | choice | what was decided; a re-cap refused is not proposed again for a year, unless a fault of capacitors comes | choices=agreed / put off / refused
            done_on                | date   | day it was done; a spare made ready counts as tested that day, until it is fitted
            note                   | text   | anything else
        """),
        ("review", "decision", "serial", "part_type", "desk", "position"),
        unlocks="what became of last quarter's decisions",
    ),
    Table(
        "documents",
        "a drawing or manual",
        columns("""
            document* | text   | its name or number
            of*       | text   | the desk, family or module type it is of
            kind      | choice | what it is | choices=circuit / board drawing / manual / note
            where*    | text   | where it is kept: folder, file, shelf
            pages     | text   | the pages that matter
        """),
        ("document", "of"),
        unlocks="where the drawing lies, on the bench card",
    ),
)
