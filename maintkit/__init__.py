"""Maintenance analytics for the technician who keeps large analogue mixing desks alive: records in, a quarterly review out.

Each name is fetched from its module when it is first asked for, so that what needs few of them waits for few.
"""

import sys
from importlib import import_module

if sys.argv[:1] == ["-m"] and not sys.flags.safe_path:
    del sys.path[
        0
    ]  # the folder in which `python -m maintkit` is given: what lies there is records, not modules

from maintkit.report.answers import BY_NAME as QUESTIONS

HOMES = {
    "decide.plan_worth": ("Overhaul",),
    "decide.replacement_boards": ("Rules",),
    "decide.replacement_costs": ("Costs",),
    "decide.spares_donors": ("Keeping",),
    "quarter.for_lifelines": ("lifelines_curve", "lifelines_life"),
    "quarter.quarter": ("open_quarter",),
    "records.store": ("load_into", "open_records"),
    "review": ("quarterly_review", "write_review"),
}
HOME_OF = {name: home for home, names in HOMES.items() for name in names}
__all__ = sorted([*HOME_OF, *QUESTIONS])


def __getattr__(name: str):
    if name in QUESTIONS:
        return QUESTIONS[name]
    if name not in HOME_OF:
        raise AttributeError(f"maintkit has no {name!r}. It has: {', '.join(__all__)}.")
    found = globals()[name] = getattr(import_module(f"maintkit.{HOME_OF[name]}"), name)
    return found


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])
