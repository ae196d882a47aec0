"""Maintenance analytics for the technician who keeps large analogue mixing desks alive: records in, a quarterly review out."""

from maintkit.questions.boards import board_damage
from maintkit.questions.causes import first_causes
from maintkit.questions.compare import forecast_and_fact
from maintkit.questions.comparing import differences
from maintkit.questions.coupling import capacitor_or_dc, why_more
from maintkit.questions.donors import donor_modules, scarce_parts
from maintkit.questions.happened import what_happened
from maintkit.questions.lives import life_curves, part_lives
from maintkit.questions.module import module_parts, one_module
from maintkit.questions.patterns import did_it_hold, module_or_slot
from maintkit.questions.plans import desk_plans
from maintkit.questions.quarter import open_quarter
from maintkit.questions.readings import life_readings
from maintkit.questions.soundness import sound_records, three_readings
from maintkit.questions.trend import better_or_worse
from maintkit.questions.worklist import work_next
from maintkit.records.store import load_into, open_records
from maintkit.review import quarterly_review, write_review

__all__ = [
    "better_or_worse",
    "board_damage",
    "capacitor_or_dc",
    "desk_plans",
    "did_it_hold",
    "differences",
    "donor_modules",
    "first_causes",
    "forecast_and_fact",
    "life_curves",
    "life_readings",
    "load_into",
    "module_or_slot",
    "module_parts",
    "one_module",
    "open_quarter",
    "open_records",
    "part_lives",
    "quarterly_review",
    "scarce_parts",
    "sound_records",
    "three_readings",
    "what_happened",
    "why_more",
    "work_next",
    "write_review",
]
