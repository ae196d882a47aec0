"""What mapping.toml says of desks where no table of desks does: the coupling style, and hours a week under power."""

from dataclasses import dataclass

from maintkit.hours import HOURS_PER_WEEK

from .errors import MappingError

STYLES = ("capacitor", "dc")
SECTIONS = ("coupling", "powered_hours_per_week")


@dataclass(frozen=True)
class DeskTold:
    """What is said of one desk; None where nothing is."""

    coupling: str | None = None
    hours: float | None = None


def desks_told(coupling, hours, file_name: str) -> dict[str, DeskTold]:
    """What the sections ``coupling`` (names of desks by style) and ``powered_hours_per_week`` (hours by name) say, by desk.

    Raises
    ------
    MappingError
        For another style, a name of two styles, what is no list of names, or hours that no week has.
    """
    if not isinstance(coupling, dict) or not all(
        isinstance(names, list) and all(isinstance(name, str) for name in names)
        for names in coupling.values()
    ):
        raise MappingError(
            f'{file_name} [coupling]: it must give lists of desks, such as capacitor = ["Heron"] and dc = ["Curlew"].'
        )
    if other := next((style for style in coupling if style not in STYLES), ""):
        raise MappingError(
            f"{file_name} [coupling]: found {other!r}. The coupling styles are {' and '.join(STYLES)}."
        )
    styles = [(name.strip(), style) for style, names in coupling.items() for name in names]
    if twice := next((name for name, _ in styles if [one for one, _ in styles].count(name) > 1), ""):
        raise MappingError(
            f"{file_name} [coupling]: {twice!r} stands twice. Take it out of one of the lists."
        )
    wrong = not isinstance(hours, dict) or next(
        (
            name
            for name, many in hours.items()
            if type(many) not in (int, float) or not 0 <= many <= HOURS_PER_WEEK
        ),
        "",
    )
    if wrong:
        raise MappingError(
            f"{file_name} [powered_hours_per_week]: it must give hours from 0 to {HOURS_PER_WEEK:.0f} by desk, such as "
            f'"{wrong if isinstance(wrong, str) else "Curlew"}" = 60.'
        )
    by_style, by_hours = dict(styles), {name.strip(): float(many) for name, many in hours.items()}
    return {name: DeskTold(by_style.get(name), by_hours.get(name)) for name in {**by_style, **by_hours}}
