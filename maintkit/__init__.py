"""Maintenance analytics for the technician who keeps large analogue mixing desks alive: records in, a quarterly review out."""

from maintkit.decide.plan_worth import Overhaul
from maintkit.decide.replacement_boards import Rules
from maintkit.decide.replacement_costs import Costs
from maintkit.decide.spares_donors import Keeping
from maintkit.questions.boards import board_damage
from maintkit.questions.campaign import pulled_capacitors, recap_money
from maintkit.questions.causes import first_causes
from maintkit.questions.compare import forecast_and_fact
from maintkit.questions.comparing import differences
from maintkit.questions.coupling import capacitor_or_dc, why_more
from maintkit.questions.donors import donor_modules, scarce_parts
from maintkit.questions.happened import what_happened
from maintkit.questions.heat import cooler_air, off_at_night
from maintkit.questions.held import comes_back, held_against_siblings, held_by_recaps
from maintkit.questions.keep import keep_or_strip, one_more_spare, parts_from_donors
from maintkit.questions.lives import life_curves, part_lives
from maintkit.questions.module import module_parts, one_module
from maintkit.questions.patterns import did_it_hold, module_or_slot
from maintkit.questions.plan import pull_next
from maintkit.questions.plans import desk_plans
from maintkit.questions.quarter import open_quarter
from maintkit.questions.readings import life_readings
from maintkit.questions.recap import recap_campaign, recap_cost, when_to_recap
from maintkit.questions.soundness import sound_records, three_readings
from maintkit.questions.stock import last_of_them, order_parts
from maintkit.questions.trend import better_or_worse
from maintkit.questions.worklist import work_next
from maintkit.records.store import load_into, open_records
from maintkit.review import quarterly_review, write_review

__all__ = [
    "Costs",
    "Keeping",
    "Overhaul",
    "Rules",
    "better_or_worse",
    "board_damage",
    "capacitor_or_dc",
    "comes_back",
    "cooler_air",
    "desk_plans",
    "did_it_hold",
    "differences",
    "donor_modules",
    "first_causes",
    "forecast_and_fact",
    "held_against_siblings",
    "held_by_recaps",
    "keep_or_strip",
    "last_of_them",
    "life_curves",
    "life_readings",
    "load_into",
    "module_or_slot",
    "module_parts",
    "off_at_night",
    "one_module",
    "one_more_spare",
    "open_quarter",
    "open_records",
    "order_parts",
    "part_lives",
    "parts_from_donors",
    "pull_next",
    "pulled_capacitors",
    "quarterly_review",
    "recap_campaign",
    "recap_cost",
    "recap_money",
    "scarce_parts",
    "sound_records",
    "three_readings",
    "what_happened",
    "when_to_recap",
    "why_more",
    "work_next",
    "write_review",
]
