"""General reminders for the kinds of work a review may suggest, as ``cautions.toml`` has them; never a procedure, never leave to energise."""

from dataclasses import dataclass

from maintkit.actions import ACTIONS
from maintkit.report.resources import data_of

_SAID = data_of("cautions.toml")
GENERAL_REMINDER, FIRST_JOB = _SAID["reminder"], tuple(_SAID["first_job"])


@dataclass(frozen=True)
class Caution:
    """The reminders for one kind of work."""

    key: str
    work: str
    reminders: tuple[str, ...]


CAUTIONS = tuple(Caution(key, said["work"], tuple(said["reminders"])) for key, said in _SAID["kinds"].items())
KINDS_OF_WORK = {action.name: action.cautions for action in ACTIONS} | _SAID["other_work"]


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
