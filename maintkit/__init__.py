"""Maintenance analytics for the technician who keeps large analogue mixing desks alive: records in, a quarterly review out.

Each name is fetched from its module when it is first asked for, so that what needs few of them waits for few.
"""

from importlib import import_module

HOMES = {
    "decide.plan_worth": ("Overhaul",),
    "decide.replacement_boards": ("Rules",),
    "decide.replacement_costs": ("Costs",),
    "decide.spares_donors": ("Keeping",),
    "questions.boards": ("board_damage",),
    "questions.campaign": ("pulled_capacitors", "recap_money"),
    "questions.causes": ("first_causes",),
    "questions.past_forecasts": ("forecast_and_fact",),
    "questions.group_differences": ("differences",),
    "questions.coupling": ("capacitor_or_dc", "why_more"),
    "questions.coverage": ("few_tickets", "recording_habits"),
    "questions.desk": ("one_desk",),
    "questions.donors": ("donor_modules", "scarce_parts"),
    "questions.heat": ("cooler_air", "off_at_night"),
    "questions.after_repair": ("comes_back", "held_against_siblings", "held_by_recaps"),
    "questions.keep": ("keep_or_strip", "one_more_spare", "parts_from_donors"),
    "questions.lives": ("life_curves", "part_lives"),
    "questions.mending": ("what_to_mend",),
    "questions.module": ("module_parts", "one_module"),
    "questions.patterns": ("module_or_slot",),
    "questions.plan": ("plan_buys", "pull_next"),
    "questions.plans": ("desk_plans",),
    "quarter.quarter": ("open_quarter",),
    "questions.readings": ("life_readings",),
    "questions.recap": ("recap_campaign", "recap_cost", "recaps_left", "when_to_recap"),
    "questions.soundness": ("rows_turned_away", "sound_records", "three_readings"),
    "questions.stock": ("last_of_them", "order_parts"),
    "questions.symptoms": ("symptom_words",),
    "questions.trend": ("better_or_worse",),
    "questions.worklist": ("work_next",),
    "records.store": ("load_into", "open_records"),
    "review": ("quarterly_review", "write_review"),
}
HOME_OF = {name: home for home, names in HOMES.items() for name in names}
ASKED = ("what_happened",)  # questions of report/answers.py
__all__ = sorted([*HOME_OF, *ASKED])


def __getattr__(name: str):
    if name in ASKED:
        found = globals()[name] = import_module("maintkit.report.answers").BY_NAME[name]
        return found
    if name not in HOME_OF:
        raise AttributeError(f"maintkit has no {name!r}. It has: {', '.join(__all__)}.")
    found = globals()[name] = getattr(import_module(f"maintkit.{HOME_OF[name]}"), name)
    return found


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
