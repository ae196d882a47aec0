"""When planned replacement pays: the best interval for a whole board."""

from dataclasses import dataclass

import numpy as np


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
    T = age x (planned_cost / (failure_cost x reached x (shape - 1))) ** (1 / shape). Kinds that do not
    wear lower the left side; where it never gets there, renewal does not pay. Barlow & Hunter (1960). Solved by halving.

    Examples
    --------
    >>> group = Group(np.array([1.0]), np.array([[2.0], [1.0]]), np.array([[1.0], [1.0]]))
    >>> group_intervals(group, planned_cost=4, failure_cost=1, longest=50).round(6)
    array([ 2., nan])
    """
    _refuse_not_above_0(planned_cost=planned_cost, failure_cost=failure_cost, longest=longest)
    wanted = planned_cost / failure_cost
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


def _refuse_not_above_0(**numbers):
    for name, number in numbers.items():
        if not (np.isfinite(number) and number > 0):
            raise ValueError(f"{name.replace('_', ' ')}: found {number}. It must be above 0.")
