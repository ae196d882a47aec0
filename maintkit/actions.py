"""The one list of what work can be: what it renews, whether it shows a fault, and what it asks for; SQL joins it."""

from dataclasses import astuple, dataclass, fields
from functools import partial


@dataclass(frozen=True)
class Action:
    """One kind of work, as ``repairs.action`` names it.

    Attributes
    ----------
    name, meaning : str
    renews : {'', 'part', 'electrolytics'}
        What begins a new life: the part named, every electrolytic of the module, or nothing.
    works_on : {'part', 'board', 'module'}
    makes_fault : {'always', 'with a ticket', 'never'}
        Whether unplanned work of this kind shows that something had failed: by itself, only where it answers a ticket
        without an outcome (cleaning by itself is care), or never.
    mends : bool
        It is meant to end a fault, so that a fault soon after it may be a return.
    may_lift_tracks : bool
        It unsolders or heats joints, so that tracks may lift.
    planned : bool
        What a blank ``planned`` means.
    default_minutes : int, minutes
        Time at the bench where the records hold too few of their own; common practice, no source.
    cautions : tuple of str
        Keys of the reminders that stand beside it.
    """

    name: str
    meaning: str
    renews: str = ""
    works_on: str = "module"
    makes_fault: str = "never"
    mends: bool = False
    may_lift_tracks: bool = False
    planned: bool = False
    default_minutes: int = 20
    cautions: tuple[str, ...] = ("lift",)


_SOLDER = ("solder", "lift")
_soldered = partial(
    Action, works_on="board", makes_fault="always", mends=True, may_lift_tracks=True, cautions=_SOLDER
)
ACTIONS = (
    _soldered("replace", "a part changed", "part", works_on="part", default_minutes=40),
    _soldered(
        "re-cap",
        "every electrolytic of the module changed; part_type narrows it",
        "electrolytics",
        planned=True,
        default_minutes=180,
        cautions=("re-cap", *_SOLDER),
    ),
    Action(
        "clean",
        "contacts, pots, faders or switches cleaned, a card or plug seated again",
        works_on="part",
        makes_fault="with a ticket",
        mends=True,
        cautions=("clean", "lift"),
    ),
    _soldered("re-solder", "a joint made again", default_minutes=30),
    _soldered(
        "bridge track", "a lifted or broken track wired across", may_lift_tracks=False, default_minutes=60
    ),
    Action("trace", "a fault looked for, nothing changed", default_minutes=40, cautions=("power", "lift")),
    Action("adjust", "lined up or trimmed", "", "board", "always", mends=True),
    Action("swap module", "the module exchanged for another", default_minutes=10),
    Action(
        "re-form",
        "capacitors brought back to voltage slowly",
        works_on="part",
        default_minutes=60,
        cautions=("power", "re-cap", "lift"),
    ),
    Action("soak", "left running under test", default_minutes=15),
    Action("test", "measured or listened to, nothing changed", default_minutes=40),
    Action("scrap", "taken out of service for good", makes_fault="with a ticket", cautions=("old", "lift")),
    Action("other work", "mended in another way, or not said how", makes_fault="always", mends=True),
)
OTHER = "other work"
MENDING = tuple(action.name for action in ACTIONS if action.mends)
CARE = tuple(  # where planned: the cleaning round
    action.name for action in ACTIONS if action.mends and action.works_on == "part" and not action.renews
)
_COLUMNS = [field.name for field in fields(Action)]


def put_actions(connection) -> None:
    """Make the temporary table ``actions`` of this connection: a row an action, its ``name`` called ``action``."""
    rows = ", ".join(f"({', '.join(['?'] * len(_COLUMNS))})" for _ in ACTIONS)
    values = [list(value) if isinstance(value, tuple) else value for one in ACTIONS for value in astuple(one)]
    connection.execute(
        f"create or replace temp table actions as from (values {rows}) as t (action, {', '.join(_COLUMNS[1:])})",
        values,
    )
