"""When planned replacement pays: the best age for a single part, the best interval for a whole board."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

FARTHEST = 20.0  # a best age beyond so many scale lives is never reached


@dataclass(frozen=True)
class Replacement:
    """The best interval and what it costs.

    Attributes
    ----------
    interval : float or None
        Age or interval of least cost, in the unit of the scale; None where planned replacement does not pay.
    cost_rate : float
        Cost for each unit of time at that interval, or of running to failure where there is none.
    run_to_failure_rate : float
        Cost for each unit of time without planned work; ``inf`` for a board that wears without end.
    note : str
        Why there is no interval.
    """

    interval: float | None
    cost_rate: float
    run_to_failure_rate: float
    note: str = ""

    @property
    def ratio(self) -> float:
        """Cost with planned replacement over cost without."""
        return self.cost_rate / self.run_to_failure_rate


def age_replacement(shape, scale, *, planned_cost, failure_cost) -> Replacement:
    """Best age at which to replace one part that has a Weibull life, where it is not replaced by a failure before.

    Parameters
    ----------
    shape, scale : float
        Weibull shape, and scale in any unit of time.
    planned_cost, failure_cost : float
        Cost of a replacement in time, and of one after a failure, in one currency.

    Raises
    ------
    ValueError
        If a number is not above 0.

    Notes
    -----
    Least C(T) = (c_p R(T) + c_f F(T)) / int_0^T R. At the optimum h(T) int_0^T R - F(T) = c_p / (c_f - c_p), and the
    cost is (c_f - c_p) h(T): R. E. Barlow & F. Proschan (1965), Mathematical Theory of Reliability, ch. 4. With
    shape 1 or less, or a failure no dearer than planned work, there is no finite optimum.

    Examples
    --------
    >>> round(age_replacement(2, 10.0, planned_cost=1, failure_cost=5).interval, 3)
    5.107
    """
    from scipy.optimize import brentq
    from scipy.special import gamma

    _refuse_not_above_0(shape=shape, scale=scale, planned_cost=planned_cost, failure_cost=failure_cost)
    run = failure_cost / (scale * gamma(1 + 1 / shape))
    if shape <= 1:
        return Replacement(
            None,
            run,
            run,
            "An old part is as good as a new one (shape not above 1): planned replacement does not pay.",
        )
    if failure_cost <= planned_cost:
        return Replacement(
            None, run, run, "A failure costs no more than planned work: planned replacement does not pay."
        )
    wanted = planned_cost / (failure_cost - planned_cost)

    def excess(age):
        return shape * age ** (shape - 1) * _mean_life_within(age, shape) + np.expm1(-(age**shape)) - wanted

    if excess(FARTHEST) < 0:
        return Replacement(
            None,
            run,
            run,
            f"The best age lies beyond {FARTHEST:g} scale lives: planned replacement gains nothing.",
        )
    age = brentq(excess, 1e-9, FARTHEST, xtol=1e-14, rtol=1e-13)
    return Replacement(age * scale, (failure_cost - planned_cost) * shape * age ** (shape - 1) / scale, run)


def age_replacement_cost(ages, survival: Callable, *, planned_cost, failure_cost) -> np.ndarray:
    """Cost for each unit of time if a part is replaced at each age, for any law of life.

    Parameters
    ----------
    ages : array_like, shape (n,)
        Ages above 0, in the unit of time ``survival`` takes.
    survival : callable
        Share still working at an age.
    planned_cost, failure_cost : float
        As in :func:`age_replacement`.

    Notes
    -----
    C(T) = (c_p R(T) + c_f F(T)) / int_0^T R, the integral by adaptive quadrature. Barlow & Proschan (1965), ch. 4.

    Examples
    --------
    >>> age_replacement_cost([1.0, 2.0], lambda age: np.exp(-age), planned_cost=1, failure_cost=1).round(3)
    array([1.582, 1.157])
    """
    from scipy.integrate import quad

    costs = []
    for age in np.asarray(ages, float):
        alive = float(survival(age))
        costs.append(
            (planned_cost * alive + failure_cost * (1 - alive)) / quad(survival, 0, age, epsabs=1e-12)[0]
        )
    return np.array(costs)


@dataclass(frozen=True)
class Group:
    """Parts of a board renewed together: failures by age t are sum of reached x (t / age) ** shape.

    ``shape``, ``reached`` have shape (draws, kinds): ``reached`` is what the kind, all pieces of it together, has
    collected by the age given for it in ``age``, shape (kinds,), in any unit of time.
    """

    age: np.ndarray
    shape: np.ndarray
    reached: np.ndarray

    def failures(self, interval) -> np.ndarray:
        """Failures by each interval (n,) since renewal, shape (draws, n)."""
        aged = (np.asarray(interval, float)[None, :, None] / self.age) ** self.shape[:, None, :]
        return np.sum(self.reached[:, None, :] * aged, axis=2)


def group_cost_rate(intervals, group: Group, *, planned_cost, failure_cost) -> np.ndarray:
    """Cost for each unit of time if a board is renewed at each interval and its failures repaired in between.

    Parameters
    ----------
    intervals : array_like, shape (n,)
    group : Group
    planned_cost, failure_cost : float
        Of renewing the board, and of one failure between.

    Returns
    -------
    ndarray, shape (draws, n)

    Notes
    -----
    (c_p + c_f H(T)) / T with minimal repair between: R. E. Barlow & L. Hunter (1960), Operations Research 8, 90-100.
    One new part among many leaves the board about as old as it was.

    Examples
    --------
    >>> group = Group(np.array([1.0]), np.array([[2.0]]), np.array([[1.0]]))
    >>> group_cost_rate([1.0, 2.0], group, planned_cost=4, failure_cost=1)
    array([[5., 4.]])
    """
    intervals = np.asarray(intervals, float)
    return (planned_cost + failure_cost * group.failures(intervals)) / intervals


def group_intervals(group: Group, *, planned_cost, failure_cost, longest) -> np.ndarray:
    """Interval of least cost for each draw, shape (draws,); NaN where none up to ``longest`` is better than going on.

    Notes
    -----
    At the optimum sum of (shape - 1) x failures of the kind = planned_cost / failure_cost, which for one kind gives
    T = age x (planned_cost / (failure_cost x reached x (shape - 1))) ** (1 / shape), taken as it stands. Kinds that do not
    wear lower the left side; where it never gets there, renewal does not pay. Barlow & Hunter (1960). With several kinds
    solved by halving.

    Examples
    --------
    >>> group = Group(np.array([1.0]), np.array([[2.0], [1.0]]), np.array([[1.0], [1.0]]))
    >>> group_intervals(group, planned_cost=4, failure_cost=1, longest=50).round(6)
    array([ 2., nan])
    """
    _refuse_not_above_0(planned_cost=planned_cost, failure_cost=failure_cost, longest=longest)
    wanted = planned_cost / failure_cost
    if group.shape.shape[1] == 1:
        return _one_kind_interval(group, wanted, longest)
    low, high = np.full(len(group.shape), 1e-6 * longest), np.full(len(group.shape), float(longest))

    def collected(interval):
        parts = group.reached * (interval[:, None] / group.age) ** group.shape
        return np.sum((group.shape - 1) * parts, axis=1)

    pays = collected(high) >= wanted
    for _ in range(60):
        middle = np.sqrt(low * high)
        enough = collected(middle) >= wanted
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return np.where(pays, high, np.nan)


def _one_kind_interval(group: Group, wanted, longest):
    """The closed form for one kind, NaN where it does not wear or the interval is longer than ``longest``."""
    shape, reached = group.shape[:, 0], group.reached[:, 0]
    wears = (shape > 1) & (reached > 0)
    over = wanted / np.where(wears, reached * (shape - 1), 1.0)
    interval = group.age[0] * over ** (1 / shape)
    return np.where(wears & (interval <= longest), interval, np.nan)


def _mean_life_within(age, shape):
    """int_0^age exp(-x ** shape) dx."""
    from scipy.special import gamma, gammainc

    return gamma(1 + 1 / shape) * gammainc(1 / shape, age**shape)


def _refuse_not_above_0(**numbers):
    for name, number in numbers.items():
        if not (np.isfinite(number) and number > 0):
            raise ValueError(f"{name.replace('_', ' ')}: found {number}. It must be above 0.")
