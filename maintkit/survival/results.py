"""What every estimator hands back, and what it says when the data cannot be used."""

from dataclasses import dataclass

import numpy as np

from maintkit.errors import MaintkitError


class SpellError(MaintkitError, ValueError):
    """The spells handed over cannot be right; the message says which row, what was found and what to do."""


@dataclass(frozen=True)
class Limited:
    """A number with its limits: 90 % where nothing else is said.

    Attributes
    ----------
    value : float or None
        The number; None where the data do not reach it.
    low, high : float or None
        Its limits; None on a side where there is none.
    """

    value: float | None
    low: float | None
    high: float | None


def limited(row, name: str) -> Limited:
    """The number of that name in a row of a table, with the limits beside it: None for what is missing.

    Examples
    --------
    >>> limited({"faults": 2.5, "faults_low": 1, "faults_high": float("nan")}, "faults")
    Limited(value=2.5, low=1.0, high=None)
    """
    found = (row[f"{name}{end}"] for end in ("", "_low", "_high"))
    return Limited(*(None if one is None or one != one else float(one) for one in found))


@dataclass(frozen=True)
class Estimate(Limited):
    """One number with its interval and the evidence behind it.

    Attributes
    ----------
    value, low, high : float or None
        As of :class:`Limited`; where there is no value ``note`` says why.
    level : float
        Share of repetitions in which such an interval holds the truth, 0.90 for example.
    failures : float
        How many failures it rests on.
    exposure : float
        Summed time at risk, in the unit of the spells.
    note : str
        What the reader must know to use it; empty when there is nothing.

    Examples
    --------
    >>> print(Estimate(1234.5, 1000.0, 1500.0, 0.90, failures=12, exposure=90_000.0))
    1,230 (1,000 to 1,500, 90 % interval; 12 failures)
    """

    level: float
    failures: float
    exposure: float
    note: str = ""

    def __post_init__(self):
        for name in ("value", "low", "high"):
            if (number := getattr(self, name)) is not None:
                object.__setattr__(self, name, float(number))

    @classmethod
    def of_log(cls, middle: float, reach: float, *about) -> "Estimate":
        """What is told by its log: ``exp(middle)``, its limits a reach away on the log scale; ``about`` are level, failures, exposure
        and note."""
        return cls(*np.exp([middle, middle - reach, middle + reach]), *about)

    def __str__(self) -> str:
        evidence = f"{100 * self.level:g} % interval; {_count(self.failures)}"
        if self.value is None and self.low is None and self.high is None:
            text = f"no estimate ({_count(self.failures)})"
        else:
            value = "not reached" if self.value is None else three_digits(self.value)
            text = f"{value} ({_range(self.low, self.high)}, {evidence})"
        return f"{text}. {self.note}" if self.note else text


def three_digits(number: float) -> str:
    """The number with three significant digits, for reading, not for reckoning.

    Examples
    --------
    >>> three_digits(1234.5), three_digits(0.012345), three_digits(5.0)
    ('1,230', '0.0123', '5')
    """
    rounded = float(f"{number:.3g}")
    return f"{rounded:,.0f}" if 100 <= abs(rounded) < 1e12 else f"{rounded:.3g}"


def _range(low, high):
    if low is None and high is None:
        return "no limits"
    if low is None:
        return f"at most {three_digits(high)}"
    if high is None:
        return f"at least {three_digits(low)}"
    return f"{three_digits(low)} to {three_digits(high)}"


def _count(failures):
    return f"{failures:,g} failure{'' if failures == 1 else 's'}"
