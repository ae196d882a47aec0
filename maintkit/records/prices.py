"""What things cost at this site, and the hours it has for planned work: prices.toml beside the records. A price it does not give is not known, never assumed."""

import math
from dataclasses import dataclass

from .errors import RecordsError
from .toml_text import beside, read_toml

FILE_NAME = "prices.toml"
HOURS = "bench_hours_a_quarter"
EXAMPLE = f'currency = "€"\nbench_hour = 40\nsession_hour = 150\nempty_slot_day = 10\n{HOURS} = 60\n'
MEANING = {
    "bench_hour": "an hour at the bench",
    "session_hour": "an hour of session lost",
    "empty_slot_day": "a day with a slot standing empty",
}


@dataclass(frozen=True)
class Prices:
    """Prices in ``currency``, the money of ``unit_cost`` too, and hours for planned work; None where the site has set none.

    Examples
    --------
    >>> Prices("€", bench_hour=40.0).unset
    ('session_hour', 'empty_slot_day')
    """

    currency: str = ""
    bench_hour: float | None = None
    session_hour: float | None = None
    empty_slot_day: float | None = None
    bench_hours_a_quarter: float | None = None

    @property
    def has_both(self) -> bool:
        """Whether an hour at the bench and an hour of session both have a price."""
        return self.bench_hour is not None and self.session_hour is not None

    @property
    def unset(self) -> tuple[str, ...]:
        return tuple(name for name in MEANING if getattr(self, name) is None)

    @property
    def set(self) -> tuple[tuple[str, float], ...]:
        """Name and price of each that is set."""
        return tuple((name, getattr(self, name)) for name in MEANING if getattr(self, name) is not None)


def prices_beside(source) -> Prices:
    """The prices of the records folder, or of the one a workbook or store lies in; none set where there is no prices.toml.

    Raises
    ------
    RecordsError
        When the file cannot be read or a value in it is not a price; the message names it and shows a line that can be.
    """
    path = beside(source, FILE_NAME)
    if not path.is_file():
        return Prices()
    content = read_toml(path, "A line of it reads: bench_hour = 40.")
    known = ["currency", *MEANING, HOURS]
    for name, value in content.items():
        if name not in known:
            raise RecordsError(
                f"{FILE_NAME}: found {name!r}. It may hold {', '.join(known[:-1])} and {known[-1]}; correct the name or take "
                "the line out."
            )
        _refuse(name, value)
    return Prices(**{name: value if name == "currency" else float(value) for name, value in content.items()})


def _refuse(name: str, value) -> None:
    if name == "currency":
        if not isinstance(value, str):
            raise RecordsError(
                f'{FILE_NAME}, currency: found {value!r}. Write a sign in quotes: currency = "€".'
            )
        return
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)
    if not is_number or value < 0:
        raise RecordsError(
            f"{FILE_NAME}, {name}: found {value!r}. {_rule(name)} Take the line out if it is not known."
        )


def _rule(name: str) -> str:
    if name == HOURS:
        return f"The hours at the bench for planned work in a quarter are a number of 0 or more without quotes: {name} = 60."
    return f"The price of {MEANING[name]} is a number of 0 or more without quotes, in the money of unit_cost: {name} = 40."
