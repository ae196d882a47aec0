"""What the review asks, in the order of the page."""

from collections.abc import Callable
from dataclasses import dataclass

from maintkit.quarter.quarter import Quarter
from maintkit.questions.after_repair import comes_back, held_against_siblings, held_by_recaps
from maintkit.questions.boards import board_damage
from maintkit.questions.campaign import pulled_capacitors, recap_money
from maintkit.questions.causes import first_causes
from maintkit.questions.coupling import capacitor_or_dc, why_more
from maintkit.questions.donors import donor_modules, scarce_parts
from maintkit.questions.group_differences import differences
from maintkit.questions.heat import cooler_air, off_at_night
from maintkit.questions.keep import keep_or_strip, one_more_spare, parts_from_donors
from maintkit.questions.lives import part_lives
from maintkit.questions.past_forecasts import forecast_and_fact
from maintkit.questions.patterns import module_or_slot
from maintkit.questions.plan import plan_buys, pull_next
from maintkit.questions.plans import desk_plans
from maintkit.questions.readings import life_readings
from maintkit.questions.recap import recap_campaign, recap_cost, recaps_left, when_to_recap
from maintkit.questions.soundness import sound_records, three_readings
from maintkit.questions.stock import last_of_them, order_parts
from maintkit.questions.trend import better_or_worse
from maintkit.questions.worklist import work_next
from maintkit.report.answers import BY_NAME
from maintkit.report.finding import Finding


@dataclass(frozen=True)
class Chapter:
    """A heading of the review, what the reader should know before it, and the questions under it."""

    heading: str
    intro: str
    questions: tuple[Callable[[Quarter], Finding], ...]


CHAPTERS = (
    Chapter(
        "What to work on next",
        "Each slot's faults next quarter: what the ages of its parts predict, times how its module "
        "has behaved, times what a fault there costs.",
        (work_next, desk_plans, pull_next, plan_buys),
    ),
    Chapter(
        "What happened",
        "Faults and session minutes of the quarter beside the one before. A change is called news only "
        "where chance would seldom bring it.",
        (BY_NAME["what_happened"], better_or_worse, forecast_and_fact),
    ),
    Chapter(
        "Which parts wear out",
        "A shape above 1 means that old parts fail faster than new ones, so planned replacement can "
        "pay; at 1 it cannot.",
        (part_lives, first_causes),
    ),
    Chapter(
        "Capacitor- or DC-coupled",
        "Whether the capacitor-coupled desks really fail more, and of what.",
        (capacitor_or_dc, why_more),
    ),
    Chapter(
        "Do groups differ",
        "Eras, zones, module types and desks against each other.",
        (differences, board_damage),
    ),
    Chapter(
        "Module or slot, and did the work hold",
        "Faults that travel with a module, faults that stay behind, and work that "
        "was followed by another fault.",
        (module_or_slot, held_against_siblings, held_by_recaps, comes_back),
    ),
    Chapter(
        "When to re-cap",
        "The interval at which planned re-capping costs least, the campaign it asks for, whether it has worked "
        "so far, and what heat and powered hours do.",
        (
            when_to_recap,
            recap_cost,
            recap_campaign,
            recaps_left,
            recap_money,
            pulled_capacitors,
            cooler_air,
            off_at_night,
        ),
    ),
    Chapter(
        "Donors and parts",
        "What stands on the shelf and what it is worth, what to order, and what cannot be bought.",
        (
            donor_modules,
            keep_or_strip,
            one_more_spare,
            parts_from_donors,
            scarce_parts,
            last_of_them,
            order_parts,
        ),
    ),
    Chapter(
        "Are the records sound",
        "What the loader turned away, what contradicts itself, and how far the answers move with "
        "the reading of the rules.",
        (sound_records, three_readings, life_readings),
    ),
)
