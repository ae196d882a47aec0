"""General reminders for the kinds of work a review may suggest; never a procedure, never leave to energise."""

from dataclasses import dataclass

from maintkit.actions import ACTIONS

GENERAL_REMINDER = (
    "General reminder, not a procedure. Local rules, licensed practice and makers' instructions prevail. "
    "Work on mains or inside supplies only if competent and authorised under local rules. "
    "Nothing in this review is a permit to work, an instruction to energise or a statement that something is safe."
)

FIRST_JOB = (
    "Monitors down before a module is pulled or powered.",
    "Supply off, locked and tagged; prove the rails dead before touching them.",
    "Wrist strap on before the module leaves its slot.",
    "A spare long unpowered is re-formed and checked before it goes into a desk.",
    "Polarity: go by board and photo of the old part.",
    "Solvents and board wash: window open, gloves, iron off.",
    "Lead dust from wick and pump: wipe wet, wash hands.",
    "Modules are heavy and hot: two hands, let them cool.",
)


@dataclass(frozen=True)
class Caution:
    """The reminders for one kind of work."""

    key: str
    work: str
    reminders: tuple[str, ...]


CAUTIONS = tuple(
    Caution(key, work, tuple(reminders))
    for key, (work, *reminders) in {  # a key, the work, and its reminders
        "power": (
            "Work on mains, supplies and rails",
            "Work dead wherever that can be done, under whatever isolation and authorisation local rules ask for.",
            "Reservoirs stay charged after switch-off and can regain voltage once discharged: prove dead, then again.",
            "Low-voltage rails can deliver tens of amps: rings, watches and tools can arc or weld.",
            "Never disconnect the protective earth of an oscilloscope or any other test gear.",
            "Keep others away from live parts; use insulated, guarded test leads and trained people.",
        ),
        "re-cap": (
            "Replacing electrolytics",
            "Check polarity twice: about 1 V the wrong way round can destroy an electrolytic.",
            "Keep the vent clear and protect the eyes at first power-up; how a module is first powered is for house rules and its maker.",
            "Leaked electrolyte irritates and corrodes: gloves, and clean it off board and skin.",
            "Capacitors long on the shelf may need re-forming and a check before they are fitted.",
        ),
        "solder": (
            "Soldering and rework",
            "Rosin flux fume is a leading cause of occupational asthma: use extraction and keep the head out of the plume.",
            "Lead solder, and the dust from wick and pump: wipe wet, wash hands, no food or drink at the bench.",
            "Solvents and board wash: ventilate, gloves, no iron or spark near; read the data sheet.",
            "Irons, regulators and old desks that run hot burn: let them cool.",
            "Chips are harmed by static: earthed mat, wrist strap, closed bags.",
        ),
        "clean": (
            "Cleaning switches, pots, faders and connectors",
            "Contact cleaners burn and their spray ignites easily: power off, ventilate, let it dry wholly, then power.",
            "Read the cleaner's own data sheet, and try it on the part's plastic first.",
        ),
        "lift": (
            "Taking modules and supplies in and out",
            "Monitors down before a module is pulled or powered: a thump can hurt ears and drivers.",
            "Modules and supplies are heavy and awkward: plan the lift, clear the way, take a second person.",
            "Whether a module may be moved with power on is for the maker's instructions; if they do not say, switch off.",
            "Frames that have just run are hot, and their edges are sharp.",
        ),
        "old": (
            "Opening what has stood for years",
            "Old desks can hold leaking cells and other legacy hazards: look before touching; local disposal rules hold.",
            "A spare or donor long unpowered needs checking before it is trusted: its first powered day is a risk.",
        ),
    }.items()
)

KINDS_OF_WORK = {action.name: action.cautions for action in ACTIONS} | {
    "donor": ("old", "solder", "lift"),
    "supply": ("power", "lift"),
    "power regime": ("power",),
}


def cautions_for(kinds) -> tuple[Caution, ...]:
    """The cautions for these kinds of work, in the order of ``CAUTIONS``, each once; "power" always stands first.

    Parameters
    ----------
    kinds : iterable of str
        Actions of the record book ("re-cap", "clean" …) or "donor", "supply", "power regime".

    Raises
    ------
    ValueError
        If a kind is not known; the message lists those that are.

    Examples
    --------
    >>> [caution.key for caution in cautions_for(["clean"])]
    ['power', 'clean', 'lift']
    """
    wanted = {"power"}
    for kind in kinds:
        if kind not in KINDS_OF_WORK:
            raise ValueError(f"No cautions are kept for {kind!r}; known are {', '.join(KINDS_OF_WORK)}.")
        wanted.update(KINDS_OF_WORK[kind])
    return tuple(caution for caution in CAUTIONS if caution.key in wanted)


def first_lines(kinds) -> list[str]:
    """The general reminder, then every reminder for these kinds of work: what stands before the first job in a workbook."""
    return [
        GENERAL_REMINDER,
        *(f"{group.work}: {one}" for group in cautions_for(kinds) for one in group.reminders),
    ]
