"""What the reader asked for, held against what there is: a name as the records have it, a number within reason."""

import difflib
import math
import numbers

from maintkit.records.errors import RecordsError
from maintkit.records.folding import look_alike

NEAREST = 5


def named(what: str, found, known, *, none: str, most: int | None = None) -> str:
    """The name as the records have it; blanks around it and the size of letters do not matter.

    Parameters
    ----------
    what : str
        What kind of name it is, as a heading: ``Desk``.
    found : object
        What was asked for.
    known : iterable of str
        The names there are.
    none : str
        The sentence that says there is none of that name.
    most : int, optional
        Name only so many of those there are, the nearest.

    Raises
    ------
    RecordsError
        If there is none; the message lists those there are, the nearest first.

    Examples
    --------
    >>> named("Desk", " heron", ["Curlew", "Heron"], none="No such desk is on record.")
    'Heron'
    """
    known = sorted({str(name) for name in known})
    asked = str(found).strip()
    alike = [name for name in known if name == asked] or [
        name for name in known if name.casefold() == asked.casefold()
    ]
    if len(alike) == 1:
        return alike[0]
    near = _nearest(asked, alike or known)
    lead = "Choose one of" if most is None or len(near) <= most else "Nearest"
    same = next((look_alike(asked, name) for name in near if look_alike(asked, name)), "")
    choice = f" {same}" if same else f" {lead}: {', '.join(near[:most])}." if near else ""
    raise RecordsError(f"{what}: found {found!r}. {none}{choice}")


def _nearest(asked: str, known: list[str]) -> list[str]:
    """The names, the likest to what was asked first."""
    likeness = {
        name: difflib.SequenceMatcher(None, asked.casefold(), name.casefold()).ratio() for name in known
    }
    return sorted(known, key=lambda name: (-likeness[name], name))


def number(what: str, found, *, low: float, high: float = math.inf, unit: str = "") -> float:
    """The number, which must lie within ``low`` and ``high``, both allowed.

    Raises
    ------
    RecordsError
        If it is no number or lies outside; the message says what it may be.

    Examples
    --------
    >>> number("bench_hours", 80, low=0)
    80
    """
    is_number = isinstance(found, numbers.Real) and not isinstance(found, bool) and math.isfinite(found)
    if is_number and low <= found <= high:
        return found
    within = f"from {low:g} to {high:g}" if math.isfinite(high) else f"of {low:g} or more"
    raise RecordsError(
        f"{what}: found {found!r}. It must be a number {within}{unit and f' {unit}'}, written without quotes."
    )
