"""What every estimator hands back, and what it says when the data cannot be used."""

from dataclasses import dataclass

from maintkit.errors import MaintkitError


class SpellError(MaintkitError, ValueError):
    """The spells handed over cannot be right; the message says which row, what was found and what to do."""


@dataclass(frozen=True)
class Estimate:
    """One number with its interval and the evidence behind it.

    Attributes
    ----------
    value : float or None
        The estimate; None where the data do not reach it, and ``note`` says why.
    low, high : float or None
        Limits of the interval; None on a side where there is no limit.
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

    value: float | None
    low: float | None
    high: float | None
    level: float
    failures: float
    exposure: float
    note: str = ""

    def __str__(self) -> str:
        evidence = f"{_percent(self.level)} interval; {_count(self.failures)}"
        if self.value is None and self.low is None and self.high is None:
            text = f"no estimate ({_count(self.failures)})"
        else:
            text = f"{_value(self.value)} ({_range(self.low, self.high)}, {evidence})"
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


def _value(value):
    return "not reached" if value is None else three_digits(value)


def _range(low, high):
    if low is None and high is None:
        return "no limits"
    if low is None:
        return f"at most {three_digits(high)}"
    if high is None:
        return f"at least {three_digits(low)}"
    return f"{three_digits(low)} to {three_digits(high)}"


def _percent(level):
    return f"{100 * level:g} %"


def _count(failures):
    return f"{failures:,g} failure{'' if failures == 1 else 's'}"
